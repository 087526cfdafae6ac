"""Module: cooling, washing, draining, holding and warming again."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Numbers, Question, Step

MODULE = Module(
    slug="cooling-and-washing",
    title="Cooling and washing",
    station_slug="boiling",
    summary=(
        "Stop the cooking in cold water, rub off the starch and drain in time. "
        "Then serve, or chill at once."
    ),
    minutes_to_read=9,
    body=(
        Caution(
            kind="warm_food",
            text=(
                "From here on the noodles are ready to eat, and germs grow in warm food. "
                "Wash your hands first: {{safe_handwash}}. "
                "Use drinking water and clean ice only. Never leave noodles to cool by "
                "themselves. "
                "Local food law comes first."
            ),
        ),
        Caution(
            kind="boiling_water",
            text=(
                "Hot noodles drip and steam. Carry the basket low, over a tray, and away from "
                "your body. "
                "Call out before you turn. Keep hands out of the basin until the tap has run "
                "through it."
            ),
        ),
        Numbers(names=("portion", "boil_time")),
        Step(
            title="Set up the cold side first",
            drawing="cool-ready",
            drawing_alt=(
                "A tap runs into a bowl of water. Beside it stand a bowl of water with ice and, "
                "on a shelf, an empty flat basket."
            ),
            do=(
                "Do this while the noodles still boil. "
                "Fill a wide basin and leave the tap on. Set a bowl with ice beside it. "
                "Put the flat basket, called a zaru, within reach. "
                "Check that the sink is clean and that its drain is open."
            ),
            look_feel=(
                "All you need is one step away from the pot. "
                "The water feels truly cold. In summer the tap may not be cold enough alone."
            ),
        ),
        Step(
            title="Cool at once",
            drawing="cool-plunge",
            drawing_alt=(
                "An arrow leads from a steaming pot to a basin. A basket of strands stands in it "
                "under a running tap."
            ),
            do=(
                "Carry the basket from the pot straight into the basin. "
                "Let the cold water run through the strands. "
                "Lift and turn them with sticks, so the cold reaches the middle. "
                "Do not rub yet. Hot strands are soft and tear."
            ),
            look_feel=(
                "The steam stops in a moment. "
                "Reach into the middle of the heap. It should be as cool as the outside."
            ),
        ),
        Caution(
            kind="wet_floor",
            text=(
                "Starch and water drip on the way from pot to sink. "
                "Lay a mat that grips, and wipe the floor after each load."
            ),
        ),
        Step(
            title="Rub off the starch",
            drawing="cool-rub",
            drawing_alt=(
                "Two hands slide past each other in a basin, with strands between the palms. "
                "Fine grains sink in the water."
            ),
            do=(
                "Use clean hands or fresh gloves. Lift some strands between your palms. "
                "Slide one palm past the other, as if you washed cloth. Work through the whole "
                "load. "
                "Rub thick wheat noodles firmly. Only swirl thin buckwheat noodles."
            ),
            look_feel=(
                "At first they feel slick. Then your palms begin to grip. "
                "A clean strand feels smooth but not slimy, and squeaks a little."
            ),
        ),
        Caution(
            kind="allergens",
            text=(
                "Wash water and baskets carry flour too. "
                "Use other basins for wheat and for buckwheat, or clean them in between. "
                "Keep raw flour and raw dough away from this sink."
            ),
        ),
        Step(
            title="Change the water until it is clear",
            drawing="cool-clear",
            drawing_alt=(
                "Three glasses with a strand in each. The water of the first is full of grains, "
                "the second has few, the third is clear."
            ),
            do=(
                "Pour off the white water and run in fresh water. Rub and pour off again. "
                "Stop when the water stays clear. "
                "Skip the wash only for noodles served from the pot, called kama-age."
            ),
            look_feel=(
                "You can see the bottom of the basin. "
                "White water after the third change points to strands that were boiled too long."
            ),
        ),
        Step(
            title="Tighten cold noodles in ice water",
            drawing="cool-ice",
            drawing_alt=(
                "A bowl of water with ice and strands. The point of a probe is among the strands, "
                "and a timer stands above."
            ),
            do=(
                "For noodles that are served cold, dip them in ice water. "
                "Cooks call this shimeru, to tighten. "
                "Move them gently, and lift them out as soon as they are cold through. "
                "Check the middle with a clean probe."
            ),
            look_feel=(
                "A strand bends and springs back. Its edges feel sharp to the finger. "
                "Left too long, it goes hard and takes up water."
            ),
        ),
        Step(
            title="Drain in time",
            drawing="cool-drain",
            drawing_alt=(
                "A flat basket of strands is held at a slant. Arrows show it shaken up and down, "
                "and drops fall into a dish."
            ),
            do=(
                "Spread the strands in the flat basket. Tilt it and shake it with short jerks. "
                "Turn the heap over once and shake again. Do not press the strands. "
                "Lay out loose bundles before the skin dries. "
                "One raw portion weighs {{portion}} and makes one bundle. Boiled, it weighs more."
            ),
            look_feel=(
                "The drops come one by one, then stop. "
                "The strands still shine and slide. When they pull at each other, you have waited "
                "too long."
            ),
        ),
        Step(
            title="Serve soon, or hold cold",
            drawing="cool-hold",
            drawing_alt=(
                "A fridge with four covered portions on two shelves. "
                "The point of a probe is in one of them, and a timer stands outside."
            ),
            do=(
                "Noodles are best at once. Cook to order when you can. "
                "If they must wait, chill them in small, flat, covered portions. "
                "Keep them cold: {{safe_cold_holding}}. "
                "Cool hot food in time: {{safe_cooling_steps}}. "
                "Write day and time on the cover. Keep them no longer than this: "
                "{{safe_keep_days}}. They taste good for far less. "
                "Out of the fridge the limit is this: {{safe_room_time}}."
            ),
            look_feel=(
                "Each portion is one flat layer, and cold in the middle when you probe it. "
                "No cover is without a time."
            ),
        ),
        Caution(
            kind="warm_food",
            text=(
                "When in doubt, throw it out. You cannot see or smell all that makes people ill. "
                "Do not chill noodles that stood warm past the limit. "
                "Throw them out. "
                "Your local authority decides, and your house plan says the rest."
            ),
        ),
        Step(
            title="Warm them again in the boil",
            drawing="cool-rewarm",
            drawing_alt=(
                "A basket with one portion hangs in boiling water. An arrow points down, and a "
                "timer shows a short time."
            ),
            do=(
                "Put one portion in a deep basket. Dip it in water at a full boil. "
                "Loosen it with sticks until all the strands move. "
                "Food that was chilled must be hot all through: {{safe_reheat}}. "
                "Warm it once only. What is left over goes in the bin."
            ),
            look_feel=(
                "The heap falls apart in the water. "
                "A strand from the middle is as hot as one from the edge."
            ),
        ),
        Fault(
            see="The strands feel slimy.",
            tell=(
                "The water is white, and a film comes off between your fingers. "
                "If the water is clear and the strand is soft to the core, it was boiled too long."
            ),
            cause="The starch was not rubbed off, or the wash water was not changed.",
            remedy=(
                "Wash again in fresh cold water, now. Rub until your palms grip. "
                "Once dry, the film sets like glue."
            ),
            drawing="cool-slimy",
            drawing_alt=(
                "Above, two strands in a veil of slime that drips. Below an arrow, the same "
                "strands are clean."
            ),
        ),
        Fault(
            see="The middle of the heap is still warm.",
            tell=(
                "The outside is cold, but steam or warmth rises when you part the heap. "
                "A probe in the middle reads more than one at the edge."
            ),
            cause="The heap was too large, or it was put in the fridge too soon.",
            remedy=(
                "Part it, and run cold water through it again. "
                "Chill small, flat portions only. "
                "If it stood warm past the limit, throw it out."
            ),
            drawing="cool-warm-core",
            drawing_alt=(
                "A high heap of noodles with a probe in its middle still steams. "
                "Beside it are two small trays with flat portions."
            ),
        ),
        Fault(
            see="Water runs out of the noodles in the bowl.",
            tell=(
                "The stock is weak at the bottom of the bowl and right in the jug. "
                "If it is weak in the jug too, look at the stock."
            ),
            cause="The strands were not shaken, or they lay too deep in the basket.",
            remedy=(
                "Spread them thin, tilt the basket and shake. Turn the heap and shake again. "
                "Never lay wet strands in the bowl."
            ),
        ),
        Fault(
            see="The drained strands stick together.",
            tell=(
                "They come apart in cold water and then slide. "
                "If they stick again, starch was left on them."
            ),
            cause="They stood too long after the draining, so the skin dried.",
            remedy=(
                "Rinse them briefly in cold water, drain and serve. "
                "Drain only when the bowl is ready. Keep waiting portions covered. "
                "They have this limit: {{safe_room_time}}."
            ),
        ),
        Fault(
            see="The strands are short and ragged after the wash.",
            tell=(
                "They were whole when they left the pot. "
                "If bits float in the pot already, look at the boil."
            ),
            cause="They were rubbed while hot and soft, or rubbed too hard for a thin strand.",
            remedy=(
                "Cool first, then rub. Only swirl thin buckwheat, and lift it with open fingers."
            ),
        ),
        Fault(
            see="Held noodles are chalky and snap.",
            tell=(
                "The strand is dull and stiff all through, not just in the core. "
                "A raw strand has a white core and a soft skin."
            ),
            cause="Cooked starch firms up in the cold. The strands were held too long.",
            remedy=(
                "A dip at a full boil brings some of it back, if they are still in time. "
                "Cook less ahead. When the time on the cover is past, throw them out."
            ),
        ),
        Question(
            prompt="The noodles are done, but the basin is still dry. What was the mistake?",
            answers=(
                Answer("The boil was too hot."),
                Answer("The cold side should be ready before the pot is.", correct=True),
                Answer("None. They can wait in the pot."),
            ),
            why=(
                "Strands go on cooking until they are cold. "
                "Each breath that they wait makes the skin softer."
            ),
        ),
        Question(
            prompt="The water is clear, but the strands still feel slick. What do you do?",
            answers=(
                Answer("Serve them. Clear water is enough."),
                Answer("Add ice."),
                Answer("Rub again until your palms grip.", correct=True),
            ),
            why=(
                "Water can run past a film of starch and stay clear. "
                "Your palms tell more than your eyes."
            ),
        ),
        Question(
            prompt="It is a hot day, and the tap water is warm. Cold noodles are ordered. And now?",
            answers=(
                Answer("Use ice water for the last dip, and probe the middle.", correct=True),
                Answer("Run the tap for longer."),
                Answer("Put the hot noodles in the fridge."),
            ),
            why=(
                "Water can cool noodles no further than its own temperature. "
                "A hot heap warms the fridge and all that is in it."
            ),
        ),
        Question(
            prompt="You find a tray of noodles with no time on it. It looks fine. What now?",
            answers=(
                Answer("Smell it, then decide."),
                Answer("Boil it well and serve it."),
                Answer("Throw it out.", correct=True),
            ),
            why=(
                "Nobody knows how long it stood. Some germs leave a poison that boiling does not "
                "take away, and that has no smell."
            ),
        ),
        Question(
            prompt="Guests are slow, and a drained portion begins to stick. What is best?",
            answers=(
                Answer("Rinse it briefly, drain, and serve it at once.", correct=True),
                Answer("Pour oil on it."),
                Answer("Leave it in a bowl of water until they come."),
            ),
            why=(
                "A rinse wets the skin again. In standing water the strands swell, and oil keeps "
                "the stock from clinging. "
                "The limit holds as well: {{safe_room_time}}."
            ),
        ),
        Question(
            prompt="A warmed portion comes back to the kitchen. May you chill it again?",
            answers=(
                Answer("Yes, if it is cooled fast."),
                Answer("No. It is warmed once only.", correct=True),
                Answer("Yes, if nobody touched it."),
            ),
            why=(
                "It left your control, and each round through the warm gives germs more time. "
                "What comes back from a guest is never served again."
            ),
        ),
    ),
    source_note=(
        "Washing, rubbing, the ice dip, draining and the signs are common practice, with no "
        "source. "
        "How long noodles stay good to eat is common practice and differs by kind. "
        "Temperatures and times are those of your region's food-safety set. "
        "Each names its law, code or guide there. "
        "Cooked starch firms in the cold: common knowledge of the food trade. "
        "Poison that heat does not destroy: "
        "FDA, Bad Bug Book, 2nd edition (2012), on Bacillus cereus and Staphylococcus aureus. "
        "Your local authority decides."
    ),
)
