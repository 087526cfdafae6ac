"""Module: stock of kelp and fish flakes, its seasoning base, holding and chilling."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Question, Step

MODULE = Module(
    slug="making-stock",
    title="Making stock",
    station_slug="stock",
    summary=(
        "Draw a clear stock from kelp and fish flakes, and season it for hot and for cold bowls. "
        "Then keep it hot, or chill it fast."
    ),
    minutes_to_read=10,
    body=(
        Caution(
            kind="allergens",
            text=(
                "Stock holds fish. Most soy sauce holds soy and wheat. "
                "Guests cannot see this in the bowl, so know what is in each pot. "
                "Check the label of each new bag. "
                "A stock without fish needs its own pot, sieve and ladle. "
                "Local food law comes first."
            ),
        ),
        Caution(
            kind="boiling_water",
            text=(
                "Hot stock burns as badly as boiling water. "
                "Turn the handles inward. Pour away from your body. "
                "Call out before you carry a hot pot. "
                "For a burn: {{safe_burn_cooling}}."
            ),
        ),
        Step(
            title="Wipe, weigh and soak the kelp",
            drawing="stock-soak",
            drawing_alt=(
                "A piece of kelp on a scale is wiped with a cloth. Beside it, two pieces lie in a "
                "pot of cold water, and a sand glass runs."
            ),
            do=(
                "Wipe sand off the kelp with a cloth that is just damp. Do not wash it. "
                "The white bloom is taste, so leave it on. "
                "Weigh kelp and cold water by the house recipe. "
                "Lay the kelp in and let it soak, as long as the recipe says. "
                "If it soaks overnight, keep it cold: {{safe_cold_holding}}."
            ),
            look_feel=(
                "The kelp opens, gets wide and bends like wet leather. "
                "The water turns pale gold and smells of the sea, not of fish."
            ),
        ),
        Step(
            title="Warm it slowly",
            drawing="stock-warm",
            drawing_alt=(
                "Kelp in a pot on a low flame, with a probe. A ring marks small beads on the wall "
                "of the pot."
            ),
            do=(
                "Set the pot on a low flame. Do not hurry it. "
                "Keep it near 60 degrees Celsius for as long as the recipe says. "
                "Skim off the froth. Pinch the kelp now and then."
            ),
            look_feel=(
                "You can see small beads on the wall of the pot. Nothing rolls. "
                "Your thumbnail goes into the thick part of the kelp. Then it has given its taste."
            ),
        ),
        Step(
            title="Take the kelp out before the boil",
            drawing="stock-lift",
            drawing_alt=(
                "Long chopsticks lift a dripping piece of kelp out of the pot. Small beads cling "
                "to the wall, and the water is flat."
            ),
            do=(
                "Stay at the pot. Lift all the kelp out when the beads begin to rise in threads. "
                "Let it drip and lay it in a tray. "
                "Taste a spoonful of the water before you go on."
            ),
            look_feel=(
                "The water trembles but does not boil. "
                "It tastes round and mild, a little sweet. It feels light on the tongue, not slimy."
            ),
        ),
        Step(
            title="Add the flakes off the heat",
            drawing="stock-flakes",
            drawing_alt=(
                "Fish flakes fall from a dish into a pot. No flame burns below it. "
                "A sand glass stands beside the pot."
            ),
            do=(
                "Bring the water to the boil and skim it. Turn off the flame. "
                "Drop in the flakes all at once, spread over the pot. Do not stir. "
                "Let them sink, as long as the recipe says. "
                "Thick flakes need a gentle simmer and more time. Follow the recipe for them."
            ),
            look_feel=(
                "The flakes drink, get heavy and sink. "
                "The smell is clean and smoky. If it turns sharp, strain at once."
            ),
        ),
        Step(
            title="Strain without pressing",
            drawing="stock-strain",
            drawing_alt=(
                "A ladle pours into a sieve lined with cloth, set across a clean pot. "
                "Flakes stay in the cloth and drops fall below."
            ),
            do=(
                "Line a sieve with a clean, rinsed cloth. Set it on a clean pot. "
                "Ladle the stock in from the top and leave the mud below. "
                "Let it run by its own weight. Do not press or wring the cloth."
            ),
            look_feel=(
                "The stock is clear and gold. A spoon at the bottom of a glass is easy to see. "
                "The last drops come slowly. Let them."
            ),
        ),
        Caution(
            kind="lifting",
            text=(
                "A full stock pot is too heavy and too hot for one person. "
                "Ladle it into small pots, or carry it with a second cook. "
                "Keep the way clear. The rules of your workplace come first."
            ),
        ),
        Step(
            title="Make the seasoning base",
            drawing="stock-season",
            drawing_alt=(
                "Soy sauce runs from a bottle into a pot on a low flame. Then the base stands in a "
                "closed jar with a label, beside a sand glass."
            ),
            do=(
                "The base, or kaeshi, is soy sauce, sugar and sweet rice wine. "
                "Heat the wine first and let the alcohol boil off, with the fan on. "
                "Keep your face back, as the fumes can catch fire. "
                "Stir in the sugar until it has gone. Add the soy sauce and warm it gently. "
                "Take it off before it boils. "
                "Cool it, close it, write the date on it and let it rest as the recipe says."
            ),
            look_feel=(
                "A fine white ring forms at the edge of the pot. That is the sign to stop. "
                "Fresh base tastes sharp. After its rest it tastes round."
            ),
        ),
        Step(
            title="Dilute for hot and for cold",
            drawing="stock-dilute",
            drawing_alt=(
                "Left: a glass with little base and much stock goes into a steaming bowl. "
                "Right: a glass with more base goes into a cup, with ice."
            ),
            do=(
                "Weigh base and stock by the recipe. A hot soup takes little base. "
                "A cold dip takes far more, as the guest drinks only what clings. "
                "Taste each as it is served: the soup hot, the dip cold, both with a noodle. "
                "Then correct it in small steps."
            ),
            look_feel=(
                "First you taste the stock, then the salt. "
                "The soup is good to the last sip. The dip is too strong to drink."
            ),
        ),
        Step(
            title="Hold it hot, not boiling",
            drawing="stock-hold",
            drawing_alt=(
                "A pot of stock on a low flame, its lid half off. A probe stands in it, and a "
                "timer runs beside it."
            ),
            do=(
                "Keep the soup under a lid on a low flame: {{safe_hot_holding}}. "
                "Slide the lid half off to stir it and to probe it in the middle. "
                "Write down what you read, and when. "
                "Make small pots through the day. Do not top up old stock with new."
            ),
            look_feel=(
                "Steam rises, and the top stays calm. "
                "When the smell is gone or the taste gets salty, change the pot."
            ),
        ),
        Step(
            title="Chill the rest fast",
            drawing="stock-chill",
            drawing_alt=(
                "A shallow pot of stock stands in a basin of ice water. A ladle stirs it, a probe "
                "stands in it and a timer runs."
            ),
            do=(
                "Pour the stock into shallow pots. Set them in ice water and stir. "
                "Start the timer and probe: {{safe_cooling_steps}}. "
                "Cover, date and chill it: {{safe_cold_holding}}. "
                "Use it while it is good: {{safe_keep_days}}. "
                "To use it, bring it to the boil, once only: {{safe_reheat}}."
            ),
            look_feel=(
                "The pot feels cold all round, not only at its wall. "
                "Sour smell, gas or threads: throw it out. Do not taste it."
            ),
        ),
        Caution(
            kind="warm_food",
            text=(
                "Stock has little acid, so germs grow in it when it is warm. "
                "Boiling does not destroy all that they leave. "
                "Never leave a pot to cool on the stove overnight. "
                "Throw out stock that stood past the limit: {{safe_room_time}}. "
                "Your local authority decides."
            ),
        ),
        Caution(
            kind="wet_floor",
            text=(
                "Stock on the floor is slick. Wipe it up before you walk. "
                "The rules of your workplace come first."
            ),
        ),
        Fault(
            see="The stock is cloudy.",
            tell=(
                "Fill a glass and put a spoon in it. If you cannot see the spoon, it is cloudy. "
                "Dark but clear stock is only strong."
            ),
            cause="The flakes boiled or were stirred, or the cloth was pressed.",
            remedy=(
                "Stock that was just made, or kept hot or chilled in time, is good for simmered "
                "dishes. It is not for clear soup. If you do not know its age, throw it out. "
                "Next time, turn off the flame first. Let the sieve drip by itself."
            ),
            drawing="stock-fault-cloudy",
            drawing_alt=(
                "Two glasses of stock. In the left one a spoon shows to the bottom. In the right "
                "one it is lost in specks, and mud lies below."
            ),
        ),
        Fault(
            see="The stock is slimy and tastes of seaweed.",
            tell=(
                "Lift a ladle. The stock runs off in threads. "
                "When fish is the cause, it is bitter but runs like water."
            ),
            cause="The kelp was in the pot when it boiled, or it soaked too long in warm water.",
            remedy=(
                "You cannot take the slime out. Start anew. "
                "Stay at the pot and lift the kelp at the first threads of beads."
            ),
        ),
        Fault(
            see="The stock is bitter or tastes of old fish.",
            tell=(
                "The taste sticks at the back of the tongue. "
                "Smell the dry flakes. If they smell rancid, it was not the heat."
            ),
            cause="The flakes steeped too long, were wrung out, or were old.",
            remedy=(
                "Strain sooner, by the timer. Keep the flakes closed, cool and dry. "
                "Throw rancid flakes away."
            ),
        ),
        Fault(
            see="The stock is thin and has no body.",
            tell=(
                "Taste it before the base goes in. If plain stock is weak, the base is not at "
                "fault. "
                "If it is good, look at the dilution."
            ),
            cause="The kelp was warmed too fast, or kelp and flakes were not weighed.",
            remedy=(
                "Weigh kelp, flakes and water. Warm the kelp slowly until your nail goes in. "
                "Do not make up for it with salt."
            ),
        ),
        Fault(
            see="The soup gets saltier from hour to hour.",
            tell=(
                "It was right when it was made, and the level has sunk. "
                "When it is too salty at once, the dilution was wrong."
            ),
            cause="Water boiled off while the soup was held.",
            remedy=(
                "Turn the flame down and put the lid on. Make smaller pots. "
                "Correct it with hot plain stock, never with tap water."
            ),
        ),
        Question(
            prompt="Small beads cling to the wall of the pot, and threads begin to rise. And now?",
            answers=(
                Answer("I turn up the flame."),
                Answer("I lift the kelp out.", correct=True),
                Answer("I drop in the flakes."),
            ),
            why=(
                "In a moment it boils, and boiled kelp gives slime. "
                "It has given its good taste already."
            ),
        ),
        Question(
            prompt="The cloth still holds a lot of stock, and you are short. May you wring it?",
            answers=(
                Answer("No. It makes the stock cloudy and bitter.", correct=True),
                Answer("Yes. It is the same stock."),
                Answer("Yes, if I rinse the cloth first."),
            ),
            why=(
                "What you press out is fine dust and bitter oil. "
                "Use the wet flakes at once for a second, weaker stock, or chill them."
            ),
        ),
        Question(
            prompt="The dip tastes far too strong from the spoon. Do you add stock?",
            answers=(
                Answer("Yes, until I would like to drink it."),
                Answer("Yes, but only for guests who ask."),
                Answer("Not yet. I taste it cold, with a noodle.", correct=True),
            ),
            why="Only a thin coat of dip clings to the noodle. The noodle must not taste flat.",
        ),
        Question(
            prompt="A tall, full pot of stock is left at closing time. How do you chill it?",
            answers=(
                Answer("With the lid on, in the fridge, as it is."),
                Answer("On the stove until morning. Then I boil it."),
                Answer("In shallow pots in ice water, stirred and probed.", correct=True),
            ),
            why=(
                "A tall pot stays warm in the middle for hours and warms the fridge. "
                "What germs leave behind can outlast the next boil."
            ),
        ),
        Question(
            prompt="A guest must not eat fish. You have a stock of kelp and mushroom. Is it safe?",
            answers=(
                Answer("Yes. There is no fish in the recipe."),
                Answer(
                    "Only if pot, sieve, ladle and base never met fish, and I checked.",
                    correct=True,
                ),
                Answer("Yes, if I boil it longer."),
            ),
            why=(
                "One ladle from the other pot is enough to harm. Some bases hold fish too. "
                "When you are not sure, say so to the guest."
            ),
        ),
        Question(
            prompt=(
                "At noon the pot is low. Its log of heat and time is in order. "
                "Fresh stock is ready. What do you do?"
            ),
            answers=(
                Answer("I top up the old pot."),
                Answer("I use up the old pot and start a clean one.", correct=True),
                Answer("I add water and base."),
            ),
            why=(
                "Topped-up stock is as old as its oldest drop, and nobody knows its age. "
                "It also gets saltier."
            ),
        ),
    ),
    source_note=(
        "Wiping, soaking, the signs and the order are common practice, with no source. "
        "So is warming the kelp near 60 degrees Celsius. Houses differ, so the recipe decides. "
        "How much kelp, flakes and base to use is in the house recipe, not in this module. "
        "Fish is on the lists of the EU, the UK and the US. "
        "In Japan only some kinds of fish are named, and only as advice. "
        "Heat, cold, time and hands: the food-safety set of your region, with its own sources. "
        "Your local authority decides."
    ),
)
