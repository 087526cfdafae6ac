"""Module: alkaline noodles, from the alkali water to thin, waved strands."""

from training.curriculum.blocks import (
    Answer,
    Caution,
    Fault,
    Module,
    Numbers,
    Question,
    Step,
    Timer,
)

MODULE = Module(
    slug="alkaline-noodles",
    title="Alkaline noodles",
    station_slug="mixing-and-treading",
    summary=(
        "A little alkali makes dough firm, yellow and springy. "
        "Handle it with care, mix with little water, and give the dough time."
    ),
    minutes_to_read=8,
    body=(
        Caution(
            kind="chemicals",
            text=(
                "The alkali for noodles, kansui, harms eyes and skin. Wear goggles and gloves. "
                "Use only food-grade alkali sold for noodles. Never use drain cleaner or lye. "
                "In the eye: rinse at once for many minutes under clean running water. "
                "Then get medical help. On the skin: rinse it off with much water. "
                "If it is swallowed: rinse the mouth and get medical help. "
                "Do not make the person vomit. "
                "Label and safety sheet say more, so keep them at hand. "
                "Workplace law and the safety sheet come first."
            ),
        ),
        Caution(
            kind="allergens",
            text=(
                "This dough holds wheat, and often egg. Egg powder may be in the flour blend too. "
                "Read the label and tell the guest. "
                "Clean bench and tools before you change dough. Local food law comes first."
            ),
        ),
        Numbers(names=("flour_blend", "hydration", "salt", "rests", "thickness", "width")),
        Step(
            title="Put on goggles, then weigh",
            drawing="alkaline-weigh",
            drawing_alt=(
                "A closed tub with a label, and a dish of powder on a bench scale. Above lie "
                "goggles and a pair of gloves."
            ),
            do=(
                "Put on goggles and dry gloves. Read the label on the tub aloud. "
                "Weigh the powdered kansui in a dry dish of its own, on a fine scale. "
                "Take the weight from the bench sheet. Do not guess and do not round up. "
                "Close the tub at once and put it back on its own shelf."
            ),
            look_feel=(
                "The powder is dry and runs. A second cook has read the scale too. "
                "Lumps mean that damp got in, so the weight would be wrong. "
                "Do not use it, and ask the head chef."
            ),
        ),
        Step(
            title="Stir alkali into the water",
            drawing="alkaline-dissolve",
            drawing_alt=(
                "Powder falls from a dish into a glass of water and is stirred. Then the clear "
                "water stands in a jug beside a sand glass."
            ),
            do=(
                "Have the cold water in the glass first: {{hydration}}. "
                "Tip the alkali into the water, never water onto alkali. "
                "Stir until it is gone. Then stir in the salt: {{salt}}. "
                "Pour it into a jug and let it cool, for it may have warmed up. "
                "Mark the jug, so that nobody drinks it."
            ),
            look_feel=(
                "The water is clear, with no grain on the floor of the glass. "
                "The glass may feel warm. "
                "If your fingers feel slippery inside a glove, it leaks. "
                "Stop, take it off and rinse your hand well. Put on new gloves."
            ),
        ),
        Step(
            title="Mix to fine, dry crumbs",
            drawing="alkaline-crumbs",
            drawing_alt=(
                "Fine crumbs in a bowl from above, with arrows round it. A round inset shows the "
                "crumbs larger: small and apart."
            ),
            do=(
                "Keep your gloves on. Sprinkle the water over the flour in thirds. "
                "Stir fast with open fingers and rub the crumbs between your palms. "
                "This dough takes little water, so it stays in crumbs. Do not add more."
            ),
            look_feel=(
                "The crumbs are small, even and pale yellow, like coarse meal. "
                "Squeeze some. They hold, and break clean again. No white flour is left."
            ),
        ),
        Step(
            title="Rest the crumbs, then press",
            drawing="alkaline-rest",
            drawing_alt=(
                "Crumbs in a closed bag beside a sand glass. Then a pin presses them into a flat "
                "block inside a bag."
            ),
            do=(
                "Close the crumbs in a bag and rest them: {{rests}}. "
                "Then press them into a block inside the bag, with a heavy pin or your weight. "
                "Use your feet only where local rules allow it. "
                "Fold the block once and press again, until it holds. Rest it once more."
            ),
            look_feel=(
                "After the rest the crumbs are moist all through and more yellow. "
                "The block is stiff, and its edge no longer crumbles. "
                "The smell is like egg or wet stone, even with no egg in it."
            ),
        ),
        Timer(label="Rest, covered", source="rest"),
        Step(
            title="Roll firm dough in stages",
            drawing="alkaline-roll",
            drawing_alt=(
                "Four stages from the side. A pin presses a thick slab, and the slab gets thinner. "
                "Then it is folded in two and rested, and a pin rolls it thin."
            ),
            do=(
                "Roll a little, fold the slab in two and roll again, until it is smooth. "
                "Cover it and let it rest. Then roll it thin in several stages. "
                "Lean in with your weight and use short strokes. "
                "When it pulls back, rest it again. The house wants {{thickness}}."
            ),
            look_feel=(
                "The sheet is smooth and tough, like thin leather. "
                "Its edge is straight, with no fringe of cracks."
            ),
        ),
        Step(
            title="Cut thin, then wave by hand",
            drawing="alkaline-cut",
            drawing_alt=(
                "A knife beside a guide cuts thin strands from a folded sheet, above a bar in "
                "millimetres. Beside it, arrows press strands into waves."
            ),
            do=(
                "Dust with starch, fold the sheet and cut it: {{width}}. "
                "Loosen the strands and weigh the portions: {{portion}}. "
                "For waves, dust a portion and squeeze it softly, then shake it open. "
                "Rest the portions in a covered tray, chilled: {{safe_cold_holding}}. "
                "Boil them for {{boil_time}}, in a pot of their own or after all others."
            ),
            look_feel=(
                "The knife meets firm dough and the cut faces shine. "
                "A waved strand stays waved and does not break."
            ),
        ),
        Caution(
            kind="knife",
            text=(
                "Firm dough needs more force, and a knife that slips is worse. "
                "Use a sharp knife. Keep your fingertips bent and away from the fence. "
                "Workplace rules come first."
            ),
        ),
        Caution(
            kind="boiling_water",
            text=(
                "Alkali in the pot makes foam, and the pot boils over easily. "
                "Fill it less and change the water often. Stand back when you drop the noodles."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=(
                "The dough is raw. Do not taste it. "
                "Take off the gloves and wash your hands: {{safe_handwash}}."
            ),
        ),
        Fault(
            see="The sheet has brown or bright yellow specks.",
            tell=(
                "Each speck has a stained rim. Bran specks are there too, but have no rim. "
                "They are spread evenly."
            ),
            cause="Grains of alkali were not dissolved before the water went in.",
            remedy=(
                "Throw the batch away. A grain of alkali can burn the mouth. "
                "Next time, stir until the glass is clear and look from the side."
            ),
            drawing="alkaline-fault-specks",
            drawing_alt=(
                "A sheet from above with five dark specks. Each has a stained rim, and a ring "
                "marks one of them."
            ),
        ),
        Fault(
            see="The dough will not hold together.",
            tell=(
                "Squeeze the crumbs. If they fall apart and show white flour, mixing is to blame. "
                "If they are all moist, they only lack rest."
            ),
            cause="The water did not reach all the flour, or the crumbs did not rest.",
            remedy=(
                "Put the crumbs back in the bag and rest them. Press once more. "
                "Do not pour in water, as it makes wet spots."
            ),
        ),
        Fault(
            see="The sheet is grey or has turned dark.",
            tell=(
                "A grey skin on the outside only comes from air and time. "
                "Grey all through comes from the flour."
            ),
            cause="The dough stood open or too long, or the flour is too dark for this noodle.",
            remedy=(
                "Wrap it tight and keep it cold. Use dough and strands soon. "
                "Ask the head chef about the flour."
            ),
        ),
        Fault(
            see="The noodles smell of soap and taste harsh.",
            tell=(
                "A soft smell is normal and fades in the boil. "
                "A harsh taste that stays is not. Slippery water points to an old pot."
            ),
            cause="Too much alkali was weighed, or the boiling water is full of it.",
            remedy=(
                "Do not serve them. Check the weight with the bench sheet. "
                "Change the water in the pot."
            ),
        ),
        Fault(
            see="The edge of the sheet breaks up while you roll.",
            tell=(
                "A fringe all round means that it was rolled too soon. "
                "A split on one side means that this side was dry."
            ),
            cause="The firm dough had too little rest, or you took too much in one stage.",
            remedy=(
                "Fold the broken edge in, cover the sheet and rest it. "
                "Then go on in smaller stages."
            ),
        ),
        Question(
            prompt="A new cook is about to pour water onto a dish of alkali. What do you say?",
            answers=(
                Answer("That is fine, if you stir."),
                Answer("Stop. Alkali goes into the water, with goggles on.", correct=True),
                Answer("That is fine, if the water is hot."),
            ),
            why=(
                "Water on a heap of alkali can heat up and splash into the eyes. "
                "Spread in much water, it stays calm."
            ),
        ),
        Question(
            prompt="The crumbs look too dry to become a dough. What is best?",
            answers=(
                Answer("Rest them in a closed bag, then press.", correct=True),
                Answer("Add water until they form a ball."),
                Answer("Add a little more alkali."),
            ),
            why=(
                "This dough holds little water on purpose. "
                "Time spreads it through every crumb, and weight does the rest."
            ),
        ),
        Question(
            prompt="The tub of alkali is empty. Another white powder says “soda”. May you use it?",
            answers=(
                Answer("Yes, half as much."),
                Answer("Yes, all sodas are alike."),
                Answer("No. I ask the head chef and make no batch until then.", correct=True),
            ),
            why=(
                "Some sodas are weak, and one can burn you badly. "
                "Only the one on the bench sheet, of food grade, goes into food."
            ),
        ),
        Question(
            prompt="Wheat, buckwheat and alkaline noodles share one boiler. What goes last?",
            answers=(
                Answer("The alkaline noodles.", correct=True),
                Answer("The wheat noodles."),
                Answer("It makes no difference."),
            ),
            why=(
                "Alkali builds up in the water. It turns the next noodles yellow and harsh. "
                "Buckwheat should have its own pot in any case."
            ),
        ),
        Question(
            prompt="The dough is yellow, but the recipe has no egg. What has happened?",
            answers=(
                Answer("Someone put in egg."),
                Answer("The alkali turned a pigment in the flour yellow.", correct=True),
                Answer("The flour is old."),
            ),
            why=(
                "Flour holds pale pigments that turn yellow in alkali. "
                "Colour tells you nothing about egg. Only the recipe and the label do."
            ),
        ),
        Question(
            prompt="You see one brown speck with a yellow rim in the sheet. What do you do?",
            answers=(
                Answer("I cut it out and use the rest."),
                Answer("I roll it in. The boil will wash it out."),
                Answer("I throw the batch away and tell the head chef.", correct=True),
            ),
            why="Where one grain stayed whole, others did too, and you cannot see them all.",
        ),
    ),
    source_note=(
        "Low water, rest, rolling in stages and waving by hand are common practice, with no "
        "source. "
        "Ramen makers call dough low in water below 30 % and high from 40 % of the flour on. "
        "The house value is on the bench sheet. "
        "In Japan a fresh noodle sold as “Chinese noodle” must hold kansui, by its trade code. "
        "Alkaline noodles last in one boiler: a kitchen dealer's advice. "
        "What alkali does to dough and colour, and how to handle it: common knowledge, from "
        "memory. The safety sheet of your product comes first. "
        "Cold and hands: the food-safety set of your region. Your local authority decides."
    ),
)
