"""Module: from the order to the bowl in front of the guest."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Numbers, Question, Step

MODULE = Module(
    slug="serving-the-bowl",
    title="Serving the bowl",
    station_slug="serving",
    summary=(
        "Warm bowl, moving noodles, hot stock, toppings last. "
        "Plan back from the moment the bowl stands before the guest."
    ),
    minutes_to_read=9,
    body=(
        Caution(
            kind="allergens",
            text=(
                "A bowl can hold wheat, buckwheat, egg, fish, soy and sesame at once. "
                "Stock holds fish and soy even when you cannot see them. "
                "Never guess. Read the house's allergen list or ask the head chef. "
                "Use a clean ladle, basket and bowl. Local food law comes first."
            ),
        ),
        Caution(
            kind="boiling_water",
            text=(
                "Stock clings to the skin and burns deep. "
                "Fill bowls on the bench, never in your hand. "
                "Say “hot” when you pass a bowl on. "
                "Cool a burn at once: {{safe_burn_cooling}}."
            ),
        ),
        Numbers(names=("portion", "boil_time", "width")),
        Step(
            title="Read the order aloud",
            drawing="serve-order",
            drawing_alt=(
                "Two order slips hang on a rail. A ring marks a line on the second. "
                "Below one stands a steaming bowl, below the other a cold one."
            ),
            do=(
                "Read each slip aloud: which noodle, hot or cold, which toppings. "
                "Then read the note on allergens and say it back. "
                "Hot with stock poured over is called kake. "
                "Cold in a heap with a dip is called mori. Hang the slip where you can see it."
            ),
            look_feel=(
                "A second voice repeats the order. "
                "You can point to each thing you will need. If the note is not clear, you ask."
            ),
        ),
        Step(
            title="Make the bowl hot, or cold",
            drawing="serve-bowl",
            drawing_alt=(
                "A bowl full of hot water steams. After an arrow it is tipped on its side, and "
                "the last drops fall out."
            ),
            do=(
                "For a hot dish, fill the bowl with hot water while the noodles cook. "
                "Tip it out at the last moment and wipe the rim dry. "
                "For a cold dish, take a cool, dry plate or basket. "
                "Never use a chipped or cracked bowl."
            ),
            look_feel=(
                "The wall of the bowl feels warm in both palms, but you can hold it. "
                "No water is left at the bottom."
            ),
        ),
        Step(
            title="Warm the noodles until they move",
            drawing="serve-move",
            drawing_alt=(
                "Two pots with a basket in each. In the first the strands lie in a tight bundle. "
                "In the second they hang loose, and an arrow shows the sway."
            ),
            do=(
                "Noodles that were washed cold go back into the boil for a moment. "
                "Dip one portion in a deep basket and loosen it with sticks. "
                "Wait until every strand moves by itself. Then lift it, not before and not later. "
                "Chilled noodles must be hot all through: {{safe_reheat}}."
            ),
            look_feel=(
                "At first the bundle turns as one lump. Then strands drift apart and sway. "
                "When the middle sways too, it is warm."
            ),
        ),
        Step(
            title="Shake off all the water",
            drawing="serve-shake",
            drawing_alt=(
                "A deep basket of strands above a pot. An arrow up and down shows the shaking, "
                "and drops fall."
            ),
            do=(
                "Lift the basket over the pot and let the water run. "
                "Shake it down with a few short jerks and stop each one hard. "
                "Tap the rim once. Work away from your face, and mind who stands beside you."
            ),
            look_feel=(
                "The stream turns into drops, and the drops stop. "
                "The basket sounds dull at first, then dry."
            ),
        ),
        Step(
            title="Fold the noodles into the bowl",
            drawing="serve-fold",
            drawing_alt=(
                "A bowl from above with strands side by side, all in one direction. "
                "Sticks lay the end over, as an arrow shows."
            ),
            do=(
                "Slide the noodles in from the far side, so that they fall in one direction. "
                "Lift the ends with sticks and fold them over once. "
                "Leave a low ridge in the middle for the toppings. "
                "Use the whole portion, so each guest gets the same."
            ),
            look_feel=(
                "The strands lie side by side, with no knot. "
                "When you lift a few with sticks, they come free at once."
            ),
        ),
        Step(
            title="Pour the stock down the side",
            drawing="serve-stock",
            drawing_alt=(
                "A ladle tips stock into a bowl at its wall. The noodles rise a little above the "
                "stock. Steam goes up."
            ),
            do=(
                "Stir the stock, called tsuyu, from the bottom first. "
                "Keep it hot at the bench: {{safe_hot_holding}}. "
                "Pour it gently at the wall, not on the ridge. "
                "Fill to the house line, well under the rim. "
                "For a cold dish, serve the strong cold dip in its own cup."
            ),
            look_feel=(
                "The ridge shows a little above the stock. The fold stays as you laid it. "
                "Steam rises, and small spots of fat lie still."
            ),
        ),
        Caution(
            kind="warm_food",
            text=(
                "Stock and cooked toppings must stay hot or cold, never in between. "
                "Hot: {{safe_hot_holding}}. Cold: {{safe_cold_holding}}. "
                "Out of the heat or the cold, cooked food has this limit: {{safe_room_time}}. "
                "For eggs: {{safe_egg}}. Your local authority decides."
            ),
        ),
        Step(
            title="Set the toppings, crisp ones last",
            drawing="serve-toppings",
            drawing_alt=(
                "A bowl from above, with a ridge of noodles in stock. On it lie fried tofu, half "
                "an egg, fish cake and rings of spring onion."
            ),
            do=(
                "Use tongs or clean sticks, not the hand that took the money. "
                "Lay large pieces first, leaning on the ridge. "
                "Then the small, sharp ones that cooks call yakumi, such as spring onion. "
                "Put crisp pieces on last, or on a plate beside the bowl."
            ),
            look_feel=(
                "Each topping can be seen and none is under water. "
                "The guest can tell at a glance what is in the bowl."
            ),
        ),
        Step(
            title="Let two orders end together",
            drawing="serve-two",
            drawing_alt=(
                "Two bars of time that end at one dashed line, where two bowls steam. "
                "The thick strand has the long bar, the thin one starts later."
            ),
            do=(
                "Find the order that takes longest. The house boil time is {{boil_time}}. "
                "Count back from its end, and start the quick one so that both end together. "
                "Set a timer for each and say what it is for. "
                "When you must choose, let the hot stock wait. The noodles cannot."
            ),
            look_feel=(
                "Both bowls stand at the pass within one breath. "
                "You never hold a filled bowl back for the other."
            ),
        ),
        Step(
            title="Wipe, look and hand over",
            drawing="serve-wipe",
            drawing_alt=(
                "A bowl on a tray from above. An arrow shows a cloth wiping along its rim. "
                "Sticks lie beside it."
            ),
            do=(
                "Wipe the rim with a clean cloth. Read the slip once more against the bowl. "
                "Set it on a dry tray with its best side to the guest. "
                "Name the dish as you hand it over, and name the allergens that were asked about."
            ),
            look_feel=(
                "Steam, shine and a clean rim. "
                "Nothing runs down the outside, and the tray does not slide."
            ),
        ),
        Caution(
            kind="wet_floor",
            text=(
                "A spill at the pass sends the next person down with a hot bowl. "
                "Stop and wipe it at once. Carry two bowls on a tray, not in your hands."
            ),
        ),
        Fault(
            see="The noodles lie in the bowl as one lump.",
            tell=(
                "The middle of the lump is cool, and it turns as a whole. "
                "If it is hot and sticky, the starch was not washed off."
            ),
            cause="The basket came up before the strands in the middle moved.",
            remedy=(
                "Do not poke it apart in the stock. Warm a new portion until all of it sways. "
                "Loosen it with sticks as soon as it is in the water."
            ),
            drawing="serve-lump",
            drawing_alt=(
                "Two bowls from above. In one the strands lie in a tight short bundle, in the "
                "other they lie loose and wide."
            ),
        ),
        Fault(
            see="The dish is lukewarm.",
            tell=(
                "Feel the bowl. If it is cool, it took the heat. "
                "If it is warm, taste a strand: its core may be cold."
            ),
            cause=(
                "A cold bowl, noodles warmed too briefly, or stock that was not hot. "
                "Or the bowl stood at the pass."
            ),
            remedy=(
                "Make it again. Fill the bowl with hot water first. Check the stock with a probe. "
                "Serve within moments."
            ),
        ),
        Fault(
            see="The stock tastes weak in the bowl.",
            tell=(
                "Taste the stock in the pot. If it is right there, the noodles or the bowl "
                "brought water. "
                "If it is weak there too, look at the stock."
            ),
            cause="The basket was not shaken, or hot water was left in the bowl.",
            remedy=(
                "Shake until the drops stop. Tip the bowl out and wipe it. "
                "Do not put in more seasoning to hide water."
            ),
        ),
        Fault(
            see="The noodles are soft and swollen when they reach the guest.",
            tell=(
                "They were right when you tasted one at the pot. "
                "If they were soft there, look at the boil."
            ),
            cause="The bowl waited for another order, and the strands drank the stock.",
            remedy=(
                "Make the swollen bowl again. "
                "Next time serve the first bowl at once, and say that the other one follows. "
                "Or count back, and start the quick one later."
            ),
        ),
        Fault(
            see="Stock runs over the rim.",
            tell=(
                "The rim is wet all round, and the ridge is under water. "
                "A drip at one side only comes from pouring or carrying."
            ),
            cause="The bowl was filled before the noodles were in, or past the house line.",
            remedy=(
                "Lay the noodles first, then fill. Stop while the ridge still shows. "
                "Use the ladle that the house has for one bowl."
            ),
            drawing="serve-full",
            drawing_alt=(
                "Two bowls cut open. One is full to the rim and drips, with a ring there. "
                "The other has room between stock and rim."
            ),
        ),
        Fault(
            see="The crisp topping is soggy.",
            tell=(
                "It is soft below and crisp above. "
                "If it is soft and greasy all over, it was fried too cool or stood too long."
            ),
            cause="It went into the stock too early, or lay beside the ridge and not on it.",
            remedy=(
                "Serve it on a plate beside the bowl, or lay it on at the very last moment. "
                "Drain it on a rack first."
            ),
            drawing="serve-crisp",
            drawing_alt=(
                "Left, a fritter sinks into the stock of a bowl. Right, it lies on a small plate "
                "beside the bowl."
            ),
        ),
        Question(
            prompt=(
                "One order is thick wheat noodles from the boil, one is thin buckwheat. "
                "They go to one table. What comes first?"
            ),
            answers=(
                Answer("Both go in at the same moment."),
                Answer("The thick ones. The thin ones start near their end.", correct=True),
                Answer("The thin ones. They can wait in the bowl."),
            ),
            why=(
                "Both should end together. Thin noodles are done fast and go soft fast, so they "
                "start last."
            ),
        ),
        Question(
            prompt="The bundle turns in the basket as one piece. What do you do?",
            answers=(
                Answer("Loosen it with sticks and wait until all of it sways.", correct=True),
                Answer("Lift it. The stock will warm it."),
                Answer("Shake the basket hard in the water."),
            ),
            why=(
                "A lump is still cold inside. It cools the stock, and the guest pulls out a knot."
            ),
        ),
        Question(
            prompt="The stock is right in the pot but weak in the bowl. Where do you look?",
            answers=(
                Answer("At the seasoning of the stock."),
                Answer("At the length of the boil."),
                Answer("At the shaking, and at water left in the bowl.", correct=True),
            ),
            why="Between pot and bowl only water can come in. It comes from basket or bowl.",
        ),
        Question(
            prompt="A guest must not eat fish, and orders noodles with egg. Is the bowl safe?",
            answers=(
                Answer("Yes, if I leave off the fish cake."),
                Answer("I do not know until I have checked the stock.", correct=True),
                Answer("Yes, stock is only water and soy."),
            ),
            why=(
                "Most stock for noodles is made with fish, and you cannot see it. "
                "Check the list, and tell the guest when you cannot serve the dish."
            ),
        ),
        Question(
            prompt="One bowl is ready. The other for that table needs a while. What now?",
            answers=(
                Answer("Serve the ready bowl and say the other follows.", correct=True),
                Answer("Keep it warm on the stove."),
                Answer("Put a lid on it and wait."),
            ),
            why=(
                "Noodles in hot stock swell from the first moment. "
                "Warm or covered, they only swell faster. Tell the head chef, too."
            ),
        ),
        Question(
            prompt="Cooked toppings stood on the bench all through the rush. May you use them?",
            answers=(
                Answer("Yes, the hot stock makes them safe."),
                Answer("Yes, if they smell fresh."),
                Answer(
                    "Only if hot or cold was kept, or the time limit is not past.", correct=True
                ),
            ),
            why=(
                "Stock does not heat a thick piece through, and smell tells you nothing. "
                "If no one knows the time, throw them out."
            ),
        ),
    ),
    source_note=(
        "The order of work, warming until the strands move, folding, toppings and timing are "
        "common practice, with no source. "
        "Thick strands need longer by the area of their cut end, as a flour merchant states. "
        "Temperatures and times are those of your region's food-safety set, each with its "
        "source. "
        "Lists of allergens differ by country, and buckwheat and fish are on some lists only. "
        "Your local authority decides."
    ),
)
