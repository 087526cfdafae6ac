"""Module, shorter: mixing buckwheat, from the water to a ball closed at its point."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Numbers, Question, Step

MODULE = Module(
    slug="mixing-buckwheat",
    title="Mixing buckwheat",
    station_slug="mixing-and-treading",
    summary=(
        "Buckwheat has no gluten of its own. Well spread water and light, quick hands must hold "
        "it together."
    ),
    minutes_to_read=7,
    body=(
        Caution(
            kind="allergens",
            text=(
                "Buckwheat can make a guest very ill, even as dust. Use bowls, sieves and cloths "
                "of its own. "
                "Work apart from wheat noodles that are sold as free of buckwheat. "
                "Most blends hold wheat too, so name both to guests. "
                "Local food-safety law comes first."
            ),
        ),
        Numbers(names=("flour_blend", "hydration")),
        Step(
            title="Sift the flours together",
            drawing="buck-sift",
            drawing_alt=(
                "A sieve moves to and fro above a wide bowl, and flour falls from it like mist."
            ),
            do=(
                "Weigh by the bench sheet: {{flour_blend}}. "
                "Sift the flours together into a wide bowl, and mix them with dry fingertips. "
                "Weigh the water and set it within reach: {{hydration}}. "
                "From the first drop on you cannot stop."
            ),
            look_feel=(
                "The flour has one colour, with no streak and no lump. "
                "It is cool and runs like fine sand."
            ),
        ),
        Caution(
            kind="flour_dust",
            text=(
                "Flour dust can cause asthma, and buckwheat dust can set off an allergy. "
                "Sift low and gently. Wipe up damp. Do not sweep dry."
            ),
        ),
        Step(
            title="Pour most of the water in a ring",
            drawing="buck-ring",
            drawing_alt=(
                "A bowl of flour from above. Water lies on it as a ring, and an arrow follows the "
                "ring round."
            ),
            do=(
                "Pour more than half of the water in a ring, not on one spot. "
                "Toss flour over it at once with open fingers. "
                "Work from the rim to the middle and up from the floor of the bowl. Do not press. "
                "The trade calls it mizumawashi, turning in the water."
            ),
            look_feel=(
                "You see no puddle and no white spot. The bowl is full of damp, fine crumbs. "
                "The scent of grain rises."
            ),
        ),
        Step(
            title="Grow the grains to beads",
            drawing="buck-beads",
            drawing_alt=(
                "Four stages from left to right: sand, rice, beans, small lumps. The drops of "
                "water between them get smaller each time."
            ),
            do=(
                "Sprinkle in the rest of the water, less each time. "
                "Keep all grains moving in wide circles with light hands. "
                "Give the last drops from wet fingertips. Stop when the grains join by themselves. "
                "Log the water that you really used."
            ),
            look_feel=(
                "Grains grow from sand to rice, and from rice to beans. They darken and shine. "
                "Press one: it is as soft as an earlobe."
            ),
        ),
        Step(
            title="Gather and press it smooth",
            drawing="buck-gather",
            drawing_alt=(
                "Lumps along the rim of a bowl from above. Arrows lead them to one mass in the "
                "middle."
            ),
            do=(
                "Sweep the beads to the middle and press them into one mass. This is kukuri, "
                "binding. "
                "Wipe the bowl with it, so that no crumb dries. "
                "Push with the heels of both hands, fold it back and turn it a little. "
                "Do not tread it, and do not leave it to rest."
            ),
            look_feel=(
                "The bowl is clean. The skin turns from rough to silky. "
                "No crack opens at the rim when you press."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=(
                "Raw flour is not treated to kill germs. Do not taste the dough. "
                "Wash your hands: {{safe_handwash}}."
            ),
        ),
        Step(
            title="Fold the rim in like petals",
            drawing="buck-petals",
            drawing_alt=(
                "A ball from above with many small folds round the middle, like the petals of a "
                "flower. Arrows show the fold and the turn."
            ),
            do=(
                "Push a small piece of the rim to the middle with one hand. "
                "Turn the ball with the other. "
                "Make many small folds, all alike, toward one point. "
                "They look like a flower, hence the name kikuneri, chrysanthemum kneading."
            ),
            look_feel=(
                "The folds lie side by side and end in one point. The other side is smooth and "
                "round like a dome."
            ),
        ),
        Step(
            title="Roll to a point, then flatten",
            drawing="buck-cone",
            drawing_alt=(
                "A cone of dough turns round its tip. Beside it the cone, now dashed, is pressed "
                "down to a flat disc."
            ),
            do=(
                "Roll the folded end between your palms until it is a cone. "
                "Air leaves at the tip as it closes. This is hesodashi, bringing out the navel. "
                "Stand the cone up and press the tip straight down to a disc. "
                "Cover it and roll it soon."
            ),
            look_feel=(
                "The cone is smooth up to its tip, with no slit. "
                "The disc is even, and its rim shows no crack."
            ),
        ),
        Fault(
            see="The rim cracks when you press.",
            tell=(
                "Cracks all round at once mean too little water. "
                "If they come only after it lay open, the skin has dried."
            ),
            cause="Water is short, or the dough lay bare while you did something else.",
            remedy=(
                "Wet your fingertips and press the drops in. Fold, press and look again. "
                "Log what you add. Next time do not stop."
            ),
            drawing="buck-fault-cracks",
            drawing_alt="A disc of dough from above with short, sharp cracks all along its rim.",
        ),
        Fault(
            see="Lumps are wet outside and white inside.",
            tell=(
                "Break one open: dry flour falls out. When water is short, all grains are dry, "
                "with no wet lump."
            ),
            cause="You pressed too early, or the water hit one spot.",
            remedy=(
                "Break the lumps and rub them with your fingertips. Mix them with the dry part. "
                "Add no water until you have done so."
            ),
            drawing="buck-fault-core",
            drawing_alt=(
                "A lump of dough broken in two. In the middle of each half lies a core of dry "
                "flour."
            ),
        ),
        Fault(
            see="The mass sticks to hands and bowl.",
            tell=("It shines wet and sags. If only the skin clings, your hands are too warm."),
            cause="The last water came too fast.",
            remedy=(
                "You cannot take it out again. Do not add flour by feel, for that changes the "
                "blend. "
                "Keep the batch for practice and log it. Cool your hands in water and dry them."
            ),
        ),
        Fault(
            see="The grains stay like sand and do not join.",
            tell="All of them feel alike, dry and light. In a lumpy mix, some are wet.",
            cause="Water is short for this flour, or the room is dry.",
            remedy=(
                "Sprinkle a few drops, turn all of it and look. Do so again until the grains "
                "shine. Weigh what is left in the jug."
            ),
        ),
        Fault(
            see="The sheet splits from its middle.",
            tell="The split starts at the tip of the cone. Dry cracks start at the rim.",
            cause="The tip was not closed, and air stayed inside.",
            remedy=(
                "Fold the piece again and roll the point shut. Use one damp fingertip on the slit."
            ),
        ),
        Question(
            prompt="The grains shine and join, and some water is left. What do you do?",
            answers=(
                Answer("Pour it in. The bench sheet says so."),
                Answer("Stop, and log the water that you used.", correct=True),
                Answer("Pour it in and add flour."),
            ),
            why=(
                "Once the grains join, more water makes a paste. What you log tells the house "
                "how this flour drinks."
            ),
        ),
        Question(
            prompt="A lump is wet outside and white inside. What does it need?",
            answers=(
                Answer("More water on top."),
                Answer("A longer rest."),
                Answer("To be broken and rubbed apart.", correct=True),
            ),
            why="The water is there, only in the wrong place. A rest dries the outside first.",
        ),
        Question(
            prompt="The bench is taken, and your ball is closed. What now?",
            answers=(
                Answer("Cover it tightly and roll it as soon as you can.", correct=True),
                Answer("Let it rest long, as wheat dough does."),
                Answer("Knead it until the bench is free."),
            ),
            why="There is little or no gluten that could relax. Buckwheat dough only dries.",
        ),
        Question(
            prompt="A guest asks if your buckwheat noodles are free of wheat. What do you say?",
            answers=(
                Answer("Yes. They are made of buckwheat."),
                Answer("I look at the blend and ask who is in charge.", correct=True),
                Answer("Yes. There is only a little in it."),
            ),
            why=(
                "Many blends hold wheat, and so may pin, bench and dust. A guess can harm a guest."
            ),
        ),
        Question(
            prompt="Why is the folded end rolled to a point?",
            answers=(
                Answer("It looks good."),
                Answer("The dough gets warmer and softer."),
                Answer("Air leaves at the tip, and the folds close.", correct=True),
            ),
            why="Air between the folds would split the sheet under the pin.",
        ),
    ),
    source_note=(
        "The order of work, its names and the signs are common practice of the buckwheat trade, "
        "with no source. "
        "Blend and water are the house's own numbers. "
        "Shops name some 40 to 50 % of the flour, more in summer than in winter. "
        "Flour dust: Health and Safety Executive (UK), COSHH and bakers. "
        "Raw flour: advice of the FDA and CDC. "
        "Buckwheat is on Japan's list of allergens, but not on those of the EU, UK and US. "
        "Hand washing: the figure of your region below. Your local authority decides."
    ),
)
