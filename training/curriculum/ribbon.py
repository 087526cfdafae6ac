"""Module: ribbon noodles, rolled thin and cut wide."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Numbers, Question, Step

MODULE = Module(
    slug="ribbon-noodles",
    title="Ribbon noodles",
    station_slug="cutting",
    summary=(
        "Flat noodles show every fault of the sheet. "
        "Roll thin and even, dust well, cut wide, and keep the faces apart."
    ),
    minutes_to_read=7,
    body=(
        Caution(
            kind="knife",
            text=(
                "Wide cuts tempt you to lift the knife high. Keep it low. "
                "Keep your fingertips bent and away from the fence. "
                "Set the board on a damp cloth. Workplace law comes first."
            ),
        ),
        Caution(
            kind="allergens",
            text=(
                "Ribbons hold wheat, and some houses add egg. "
                "Clean board, pin and knife before you change dough. Local food law comes first."
            ),
        ),
        Numbers(names=("thickness", "thickness_points", "width", "portion", "boil_time")),
        Step(
            title="Roll it thin and very even",
            drawing="ribbon-shape",
            drawing_alt=(
                "The cut end of a square strand and of a thin, wide ribbon, each seen from above "
                "too. An arrow points at the height. Below is a bar in millimetres."
            ),
            do=(
                "Start with a rested ball and roll it as for strands. Then go on, thinner. "
                "Wind it on the pin and change the side each time. "
                "Measure all the points that the site shows: {{thickness_points}}. "
                "The house wants {{thickness}}."
            ),
            look_feel=(
                "Lift a corner. Light from a lamp shows through without dark patches. "
                "The sheet drapes over your hand like cloth and does not stretch."
            ),
        ),
        Step(
            title="Dust and fold it loosely",
            drawing="ribbon-fold",
            drawing_alt=(
                "A thin sheet folded to and fro, seen from its edge. Dust lies between the layers, "
                "and a ring marks a round, open fold."
            ),
            do=(
                "Dust both sides, edges too. Use more starch than for strands. "
                "Fold in a few wide layers and dust each layer again. "
                "Leave the folds round. Do not press the stack."
            ),
            look_feel=(
                "The layers slide when you push them. "
                "Lift the edge of the stack with a fingertip. The layers part by themselves."
            ),
        ),
        Caution(
            kind="flour_dust",
            text=(
                "More starch means more dust in the air, and dust harms the lungs. "
                "Sprinkle it low. Wipe up wet, or use a vacuum made for fine dust. "
                "Workplace law comes first."
            ),
        ),
        Step(
            title="Cut wide, in one drop",
            drawing="ribbon-cut",
            drawing_alt=(
                "From above: guide board and knife on a folded sheet. Two wide ribbons are cut, "
                "and an arrow moves the guide on. Below is a bar in millimetres."
            ),
            do=(
                "Set the guide square to the folds and trim the end. "
                "One tilt is too small for a ribbon. Move the guide by hand: {{width}}. "
                "Use a cut strip of card as a gauge, and set it against the fence each time. "
                "Drop the blade straight down, heel and tip together."
            ),
            look_feel=(
                "The blade lands with one soft knock. "
                "Both edges of the ribbon are straight. They run side by side to the end."
            ),
        ),
        Step(
            title="Open and hang each ribbon",
            drawing="ribbon-hang",
            drawing_alt=(
                "Five ribbons hang over a pin, apart from each other. Arrows show a light shake, "
                "and starch falls below."
            ),
            do=(
                "Open every ribbon at once, one by one, while the folds are still soft. "
                "Hang it over a clean pin and shake off the starch. "
                "Lay the portions in loose coils on a dusted tray: {{portion}}. "
                "Cover them. Cook soon, or chill them: {{safe_cold_holding}}."
            ),
            look_feel=(
                "Ribbons hang straight and do not touch. "
                "Their faces are dry and silky. A shiny face will stick."
            ),
        ),
        Step(
            title="Measure across the ribbon",
            drawing="ribbon-measure",
            drawing_alt=(
                "A caliper closes on the two edges of a flat ribbon, at the last of three marked "
                "places. An arrow shows the way. Below is a bar in millimetres."
            ),
            do=(
                "Lay the ribbons that the site chose flat and straight. Do not pull. "
                "Close the caliper on both edges, square to the ribbon. "
                "When you use a photo, lay down as many as fit on the card. "
                "Take a second photo for the rest."
            ),
            look_feel=(
                "The jaws touch both edges and leave no dent. "
                "Three places along one ribbon read the same. If not, the guide stood askew."
            ),
        ),
        Step(
            title="Boil them spread out",
            drawing="ribbon-boil",
            drawing_alt=(
                "Wide ribbons float apart in a pot at a full boil. Long chopsticks move among "
                "them, and an arrow shows the way."
            ),
            do=(
                "Use plenty of water at a full boil. Drop the ribbons in one by one. "
                "Move them apart with chopsticks at once, and again when they rise. "
                "Boil them for {{boil_time}}. Lift them with a wide basket, so that none fold."
            ),
            look_feel=(
                "Each ribbon waves by itself in the pot. "
                "Bite one across. Edge and middle are alike, with no white line."
            ),
        ),
        Caution(
            kind="boiling_water",
            text=(
                "Drop ribbons in from low down and away from you. A falling ribbon splashes. "
                "For a burn: {{safe_burn_cooling}}. Workplace law comes first."
            ),
        ),
        Fault(
            see="Ribbons stick face to face.",
            tell=(
                "Two lie on each other with their edges a little apart. "
                "An uncut pair has one edge, and no line between."
            ),
            cause="Too little starch, or they lay folded for too long.",
            remedy=(
                "Peel them apart at once with dusted fingers. A pair that tears is not served. "
                "Next time dust each layer and open each ribbon right after the cut."
            ),
            drawing="ribbon-fault-stuck",
            drawing_alt=(
                "Six ribbons from above. Two lie stuck on each other, their edges a little apart, "
                "and a ring marks them."
            ),
        ),
        Fault(
            see="Every ribbon has a crease at the same place.",
            tell=(
                "The lines come at equal distances and stay after the boil. "
                "A wave in one ribbon only comes from the tray."
            ),
            cause="The folds were pressed, or the stack waited before it was cut.",
            remedy=(
                "Fold loosely and cut at once. Smooth a soft crease with your palm. "
                "A hard one will break, so cut it out."
            ),
        ),
        Fault(
            see="The edges are ruffled.",
            tell=(
                "The middle lies flat, but the edges wave like a frill. "
                "When the whole ribbon waves, it has only dried unevenly."
            ),
            cause="The blade dragged, or the sheet is thinner at its rim.",
            remedy=(
                "Drop the blade and do not draw it. Ask for a sharp knife. "
                "Check the edge points of the sheet."
            ),
        ),
        Fault(
            see="Some ribbons are wide, some narrow.",
            tell=(
                "Lay them side by side in order. Wide and narrow at random means no gauge. "
                "A slow change means that the gauge slipped."
            ),
            cause="The guide was moved by eye.",
            remedy=(
                "Set the gauge against the fence for every cut. "
                "Measure one ribbon after a few cuts, then go on."
            ),
        ),
        Fault(
            see="A ribbon is soft at the edge and hard in the middle.",
            tell=(
                "Bite across. A white line in the middle is raw. "
                "When whole ribbons differ, the sheet was uneven."
            ),
            cause="The middle of the sheet is thicker, or ribbons lay on each other in the pot.",
            remedy=(
                "Stir at the start. Measure the middle of the sheet and roll it down to match."
            ),
        ),
        Question(
            prompt="You roll ribbons as thick as your strands, to save time. What is the result?",
            answers=(
                Answer("They cook faster, as they are wide."),
                Answer("They are heavy and cook too slowly for the rush.", correct=True),
                Answer("Only the look changes."),
            ),
            why=(
                "Water comes in from the two faces. Their distance sets the time, "
                "and width hardly counts."
            ),
        ),
        Question(
            prompt="The ribbons are cut. The phone rings. What must be done first?",
            answers=(
                Answer("Cover the stack of folded ribbons."),
                Answer("Weigh the portions."),
                Answer("Open the ribbons and hang them.", correct=True),
            ),
            why="Folded ribbons crease and stick within a short time. Once open, they can wait.",
        ),
        Question(
            prompt="Why do you not set the width of a ribbon by tilting the knife?",
            answers=(
                Answer("The tilt for so wide a step leans the blade too far.", correct=True),
                Answer("Tilting makes the knife blunt."),
                Answer("The guide is too heavy."),
            ),
            why=(
                "A far tilt lifts the heel and turns the guide. "
                "A gauge against the fence gives the same step each time."
            ),
        ),
        Question(
            prompt="One ribbon reads wide at one end and narrow at the other. What was wrong?",
            answers=(
                Answer("The guide was not square to the folds.", correct=True),
                Answer("The sheet was too thin."),
                Answer("There was too much starch."),
            ),
            why="Straight edges that drift apart come from two cuts that are not side by side.",
        ),
        Question(
            prompt="The measuring card holds only some of the chosen ribbons. What do you do?",
            answers=(
                Answer("I lay them on top of each other."),
                Answer("I measure those that fit and leave out the rest."),
                Answer("I take a second photo, in the same order.", correct=True),
            ),
            why=(
                "The site chose them at random, so that the number is fair. "
                "Leaving some out would show the nicer ones."
            ),
        ),
    ),
    source_note=(
        "Dusting, gauge, hanging and the signs are common practice, with no source. "
        "In Japan a dried noodle is called flat from 4.5 mm wide and below 2.0 mm thick. "
        "That is the Food Labelling Standard, for dried noodles. Fresh ones have no size rule. "
        "The house value is on the bench sheet. "
        "Thickness sets the time of a wide ribbon, as water comes in slowly from its faces. "
        "A flour merchant states that the uptake of water is the slow part. "
        "Flour dust: Health and Safety Executive (UK), COSHH and bakers. "
        "Cold and burns: the food-safety set of your region. Your local authority decides."
    ),
)
