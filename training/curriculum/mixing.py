"""Module: from flour and brine to even crumbs and one rested mass."""

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
    slug="mixing-in-the-water",
    title="Mixing in the water",
    station_slug="mixing-and-treading",
    summary=(
        "Bring the water to every grain of flour before you press. "
        "What the bowl misses, the pin and the knife cannot mend."
    ),
    minutes_to_read=8,
    body=(
        Caution(
            kind="allergens",
            text=(
                "Wheat and buckwheat can make guests very ill, even as dust. "
                "Keep bowls, scoops and cloths for each flour apart. "
                "Clean the bench before you change flour. "
                "Local food-safety law and licensed advice come first."
            ),
        ),
        Caution(
            kind="lifting",
            text=(
                "A full sack is heavy. Ask a second person, or scoop it into a tub where it "
                "stands. "
                "Bend your knees and keep the load close. Workplace law comes first."
            ),
        ),
        Numbers(names=("flour_blend", "hydration", "salt", "brine")),
        Step(
            title="Weigh each part alone",
            drawing="mix-weigh",
            drawing_alt=(
                "A bowl of flour on a bench scale, with a glass of water and a dish of salt "
                "beside it."
            ),
            do=(
                "Set the scale on a firm, level spot. Put the bowl on it and set it to zero. "
                "Weigh the flours and blend them dry by hand: {{flour_blend}}. "
                "Weigh the water in its own glass, and the salt in its own dish. "
                "Keep the starch for dusting apart."
            ),
            look_feel=(
                "The display comes to rest before you read it. "
                "The blend has one colour, with no streaks. "
                "Check each weight against the bench sheet and say it aloud."
            ),
        ),
        Caution(
            kind="flour_dust",
            text=(
                "Flour dust can cause asthma. Tip and sprinkle flour gently, close to the bowl. "
                "Wipe with a damp cloth, or use a vacuum made for fine dust. "
                "Do not sweep dry or blow flour away."
            ),
        ),
        Step(
            title="Make the brine for the season",
            drawing="mix-brine",
            drawing_alt=(
                "Salt falls into a glass of water and is stirred. Then the brine stands clear "
                "beside a sand glass."
            ),
            do=(
                "Read the water for this season and this room on the bench sheet: {{hydration}}. "
                "Tip in the salt and stir until no grain is left. "
                "Let the brine stand until it is clear and as cool as the room."
            ),
            look_feel=(
                "Look through the glass from the side. You see no grains and no cloud. "
                "Drag the spoon over the floor of the glass. Nothing scratches."
            ),
        ),
        Caution(
            kind="wet_floor",
            text="Wipe up spilled brine at once. Wet flour on a floor is as slick as soap.",
        ),
        Step(
            title="Pour in three parts",
            drawing="mix-pour",
            drawing_alt=(
                "A jug with marks on its wall pours brine into a bowl of flour. "
                "An arrow shows the stirring."
            ),
            do=(
                "Pour the first third in a ring over all the flour. Mix at once. "
                "Pour the second third where the flour is still dry. Mix again. "
                "Sprinkle the last third slowly, and stop to look as you go. "
                "By the end, use all of the water you weighed."
            ),
            look_feel=(
                "After the first third you see fine flakes. After the second you see small crumbs. "
                "Water never stands in a pool."
            ),
        ),
        Step(
            title="Stir with an open claw",
            drawing="mix-claw",
            drawing_alt=(
                "A hand with spread fingers circles in a bowl of crumbs, seen from above."
            ),
            do=(
                "Spread your fingers and bend them like a rake. "
                "Draw wide circles, right down to the floor of the bowl. "
                "Turn the bowl with your other hand. Do not squeeze yet."
            ),
            look_feel=(
                "Your fingers stay almost clean. You feel loose crumbs run between them. "
                "When a wet lump forms, break it with your fingertips."
            ),
        ),
        Step(
            title="Rub between your palms",
            drawing="mix-rub",
            drawing_alt=(
                "Two flat hands slide past each other above a bowl, and fine crumbs fall from them."
            ),
            do=(
                "Lift flour from the bottom with both hands. "
                "Slide your palms past each other and let the crumbs fall. "
                "Work round the bowl and bring the dry flour up each time."
            ),
            look_feel=(
                "Big wet crumbs break down. Dry flour takes up their water. "
                "The heap turns from white to pale cream and smells of grain."
            ),
        ),
        Step(
            title="Read the crumbs",
            drawing="mix-crumbs",
            drawing_alt=(
                "A bowl of crumbs from above. An inset shows that all of them are about one size."
            ),
            do=(
                "Stop and look before you press. Part the heap down to the floor of the bowl. "
                "If the bottom is dry, lift and rub again."
            ),
            look_feel=(
                "All crumbs are moist and near one size, from the top to the bottom. "
                "No white flour is left, and nothing smears."
            ),
        ),
        Step(
            title="Press a lump, then gather",
            drawing="mix-lump",
            drawing_alt=(
                "A fist squeezes crumbs. Beside it lies the lump, with the marks of the fingers."
            ),
            do=(
                "Squeeze one handful hard, once. Open your hand, then break the lump in two. "
                "When the lump is right, press all the crumbs into one mass. "
                "Wipe the bowl clean with the dough itself."
            ),
            look_feel=(
                "The lump holds and shows your fingers. It breaks with a short, rough edge. "
                "Your palm stays dry. The mass is still rough, and that is right."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=(
                "Raw flour is not treated to kill germs. Do not taste the dough. "
                "Wash your hands: {{safe_handwash}}. Rinse and dry them."
            ),
        ),
        Step(
            title="Cover and rest",
            drawing="mix-rest",
            drawing_alt="A bowl under a damp cloth, with a sand glass beside it.",
            do=(
                "Cover the mass at once with a damp cloth or a lid. "
                "Start the timer and leave the dough alone. Rest: {{rests}}."
            ),
            look_feel=(
                "After the rest the mass is softer, with no added water. "
                "The colour is even. The skin is moist, not crusty."
            ),
        ),
        Timer(label="First rest, covered", source="rest"),
        Step(
            title="Buckwheat is different",
            drawing="mix-buckwheat",
            drawing_alt=(
                "Three bowls in a row: fine crumbs, then beads, then one mass with arrows "
                "from the rim to the middle."
            ),
            do=(
                "Work fast, for buckwheat dries and loses its scent. "
                "Give most of the water early and spread it with light fingertips. "
                "Keep the grains moving until they grow into beads. "
                "When the beads join, gather and press them smooth. "
                "Close the folds to a point so that no air stays inside. "
                "Do not tread it. Roll it soon."
            ),
            look_feel=(
                "The flour takes up water through your hands, not by force. "
                "Beads begin to shine and cling together. The mass feels like a soft earlobe."
            ),
        ),
        Fault(
            see="White flour stays at the bottom of the bowl.",
            tell=(
                "The crumbs on top are moist and good. Only the floor is dry. "
                "With too little water, the top crumbs are dry as well."
            ),
            cause="Your fingers did not reach the floor of the bowl.",
            remedy=(
                "Lift from the bottom and rub again before you think of water. "
                "Add none until you have done so."
            ),
            drawing="fault-dry-flour",
            drawing_alt=(
                "A bowl with crumbs at the top and a field of dry flour below. "
                "An inset shows loose flour with dry crumbs."
            ),
        ),
        Fault(
            see="The mass is a sticky paste that pulls threads from your fingers.",
            tell=(
                "It sticks everywhere. If only some lumps stick and others are dry, "
                "the water was not spread."
            ),
            cause=(
                "There is too much water, or the flour was weighed short. "
                "Or you squeezed before the water had spread."
            ),
            remedy=(
                "Do not hide it with a handful of flour. Check the weights first. "
                "Log what happened, and weigh a new batch."
            ),
            drawing="fault-paste",
            drawing_alt=(
                "A smear of dough in a bowl. An inset shows dough that stretches up to two fingers."
            ),
        ),
        Fault(
            see="Big wet lumps lie beside dry, fine crumbs.",
            tell=(
                "A lump is wet, and the crumbs beside it are dry. "
                "Some lumps hide dry flour in the middle. In a paste, all parts are wet. "
                "In a dry mix, no part is."
            ),
            cause="The water went in at one spot, or too fast.",
            remedy=(
                "Break the lumps with your fingertips and rub them into the dry part. "
                "Next time pour in a ring, and mix after each third."
            ),
        ),
        Fault(
            see="The lump falls apart when you open your hand.",
            tell=(
                "No white flour is left, so the mixing is good. "
                "All the crumbs feel the same: sandy and dry."
            ),
            cause="Water is short for this flour, this room or this season.",
            remedy=(
                "Check the weights against the bench sheet. If they are right, wet your fingertips "
                "and flick in drops. Weigh what you add and log it."
            ),
        ),
        Fault(
            see="You feel grains in the dough, and damp spots form as it rests.",
            tell=(
                "The grains are hard and vanish between wet fingers. "
                "Dry flour is soft and rolls into balls."
            ),
            cause="The salt was not fully dissolved.",
            remedy=(
                "The batch cannot be saved for guests. Use it for practice and say so in the log. "
                "Next time look through the glass before you pour."
            ),
        ),
        Question(
            prompt="The top crumbs are moist. White flour lies on the floor of the bowl. What now?",
            answers=(
                Answer("Add a little water to the white flour."),
                Answer("Lift from the bottom and rub again.", correct=True),
                Answer("Press the mass together. The rest will mend it."),
            ),
            why=(
                "The right water is in the bowl already. It is just not spread. "
                "More water makes the good crumbs too wet."
            ),
        ),
        Question(
            prompt="The lump holds, but your palm is wet and smeared. What does that tell you?",
            answers=(
                Answer("The dough is right."),
                Answer("The dough is too wet, or the water is not spread.", correct=True),
                Answer("The dough needs more salt."),
            ),
            why=(
                "A good lump holds and leaves the palm dry. Check if all crumbs are wet or only "
                "some."
            ),
        ),
        Question(
            prompt="Today is humid and warm. Where do you find out how much water to use?",
            answers=(
                Answer("I use what felt right last week."),
                Answer("I take the value for season and room from the bench sheet.", correct=True),
                Answer("I pour until it feels soft."),
            ),
            why=(
                "Flour and air change with the season. The house standard says how much to change, "
                "so that each branch changes the same way."
            ),
        ),
        Question(
            prompt="Why is the brine left to stand until it is clear?",
            answers=(
                Answer("Grains would stay in the dough as hard, salty spots.", correct=True),
                Answer("Clear brine has less salt in it."),
                Answer("It is only for looks."),
            ),
            why=(
                "Salt that is still a grain cannot reach all the flour. It draws water to one spot."
            ),
        ),
        Question(
            prompt="You mix buckwheat and the phone rings. What do you do?",
            answers=(
                Answer("Cover the bowl and take the call."),
                Answer("Go on until the mass is closed.", correct=True),
                Answer("Add water so that it cannot dry."),
            ),
            why=(
                "Buckwheat dries while it is still in beads. Once the mass is closed, it can "
                "wait briefly."
            ),
        ),
        Question(
            prompt="A cook tastes raw dough to check the salt. Is that right?",
            answers=(
                Answer("Yes, a small piece is safe."),
                Answer("No. Raw flour can carry germs.", correct=True),
                Answer("Yes, if the salt is high."),
            ),
            why="Raw flour is not treated to kill germs. Check the salt by weight, not by tongue.",
        ),
    ),
    source_note=(
        "The way to mix, the lump test and the signs are common practice, with no source. "
        "Hydration is water by weight of flour, as bakers reckon it. Salt is not counted in it. "
        "Some mills count the whole brine, so their number is higher. "
        "Flour dust: Health and Safety Executive (UK), COSHH and bakers. "
        "Raw flour: advice of the FDA and CDC. "
        "Lists of allergens differ by country, and buckwheat is on some lists only."
    ),
)
