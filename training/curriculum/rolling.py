"""Module: from a ball to an even sheet, and measuring it."""

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
    slug="rolling-to-an-even-sheet",
    title="Rolling to an even sheet",
    station_slug="rolling",
    summary=(
        "Turn a round ball into a square sheet of one thickness. "
        "Thin and thick parts cook at different times, so the pin must leave none."
    ),
    minutes_to_read=8,
    body=(
        Caution(
            kind="allergens",
            text=(
                "Pin, bench and dust carry wheat or buckwheat. Clean them before you change flour. "
                "Local food-safety law and licensed advice come first."
            ),
        ),
        Numbers(names=("thickness", "thickness_points", "rests")),
        Step(
            title="Press the ball flat",
            drawing="roll-press",
            drawing_alt=(
                "A flat hand presses a ball into a thick disc. A dashed line shows the ball before."
            ),
            do=(
                "Dust the bench thinly. Set the rested ball on its seam. "
                "Press with your palm from the middle out, turning as you go. "
                "Leave the rim a little thicker for now."
            ),
            look_feel=(
                "The disc is round and does not draw back. If it draws back, cover it and let "
                "it rest."
            ),
        ),
        Timer(label="Short rest, covered", source="rest"),
        Caution(
            kind="flour_dust",
            text=(
                "Flour dust can cause asthma. Sprinkle low and gently. Do not throw dust in the "
                "air. "
                "Clean up with a damp cloth or a vacuum made for fine dust, not a dry brush."
            ),
        ),
        Step(
            title="Roll from the centre",
            drawing="roll-centre",
            drawing_alt=(
                "Two hands on a pin over a round of dough, seen from above. "
                "Arrows point from the centre to the far and the near edge."
            ),
            do=(
                "Lay the pin across the middle. Rest both palms on it, equally far from its ends. "
                "Roll away from you and stop before the edge. Then roll from the middle toward "
                "you. "
                "Press down with the same weight left and right."
            ),
            look_feel=(
                "The pin runs level and leaves no ridge. "
                "Both hands feel the same push from the dough."
            ),
        ),
        Step(
            title="Dust, turn, roll again",
            drawing="roll-turn",
            drawing_alt=(
                "A dusted round of dough. A mark at the top moves a quarter turn to the right."
            ),
            do=(
                "Dust lightly and spread it with your palm. Turn the sheet by the same angle "
                "each time. "
                "Roll from the centre again. Go on until it has turned once round."
            ),
            look_feel=(
                "The sheet slides freely on the bench. It stays round. "
                "An egg shape tells you where you pressed too much."
            ),
        ),
        Step(
            title="Draw out the corners",
            drawing="roll-corners",
            drawing_alt=(
                "A round of dough with one corner drawn out, inside a dashed square. "
                "The pin lies across, and an arrow points to the corner."
            ),
            do=(
                "Lay the pin across the middle and roll toward one corner only. "
                "Ease off as you come near the tip. "
                "Turn the sheet and draw out the next corner, until you have four."
            ),
            look_feel=(
                "The circle becomes a square with straight sides. "
                "Corners and middle feel alike between your fingertips."
            ),
        ),
        Step(
            title="Wind it on the pin",
            drawing="roll-wind",
            drawing_alt=(
                "A pin seen from its end, with the sheet wound round it and its tail on the bench."
            ),
            do=(
                "Dust the sheet. Lay the pin on the near edge and wind the sheet on without "
                "pulling. "
                "Roll the wound pin forward with both palms, with short, even strokes. "
                "Count the strokes, so that each turn gets the same."
            ),
            look_feel=(
                "The layers lie close and do not stick. "
                "Listen: the pin beats the bench with one dull, even sound."
            ),
        ),
        Step(
            title="Unroll at a right angle",
            drawing="roll-unroll",
            drawing_alt=(
                "A wound pin was turned by a quarter, from the dashed place. "
                "The sheet unrolls toward the reader."
            ),
            do=(
                "Swing the wound pin round by a quarter turn, flat on the bench. "
                "Then unroll the sheet. "
                "What lay along the bench now lies across it. "
                "Wind and roll again from this side. Change the side each time."
            ),
            look_feel=(
                "The sheet grows the same amount both ways. The sides are straight. "
                "No crease runs across it."
            ),
        ),
        Step(
            title="Check corners, edges and middle",
            drawing="roll-points",
            drawing_alt=(
                "A square sheet with nine points in a grid. "
                "Rings mark a corner, an edge and the middle."
            ),
            do=(
                "Lay the sheet flat. Pinch it lightly at the corners, the edges and the middle. "
                "Go round in the same order each time. "
                "Roll only the thick places, away from the thin ones."
            ),
            look_feel=(
                "Your thumb and finger feel no step from point to point. "
                "Held to the light, the sheet shows no dark patch."
            ),
        ),
        Step(
            title="Measure with the caliper",
            drawing="roll-caliper",
            drawing_alt=(
                "Caliper jaws close lightly on the edge of a sheet, above a bar in millimetres."
            ),
            do=(
                "Wipe the jaws clean and close them. The display must read zero. "
                "Measure all the points the site shows: {{thickness_points}}. "
                "Close the jaws until they just touch. Do not squeeze. "
                "The house wants {{thickness}}."
            ),
            look_feel=(
                "The jaws hold the sheet, and it still slides out. "
                "No mark stays on the dough. If it does, you pressed."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=(
                "Tools that touched raw dough carry germs. "
                "Clean caliper and pin, and wash your hands: {{safe_handwash}}."
            ),
        ),
        Fault(
            see="The rim is thicker than the rest.",
            tell=(
                "All edge points read high, and the middle is right. "
                "When one side alone is high, your hands pressed unevenly."
            ),
            cause="You stopped each stroke too far from the edge.",
            remedy=(
                "Roll the last part of each stroke out to the rim with light weight. "
                "Do this on all four sides."
            ),
            drawing="fault-thick-edge",
            drawing_alt=(
                "A cut through a sheet. Its left edge rises above the dashed line of even "
                "thickness."
            ),
        ),
        Fault(
            see="The middle is thick, and the edges are thin.",
            tell="The middle point reads highest, and the numbers fall to all sides.",
            cause="You pressed hardest at the end of the stroke, or started off the centre.",
            remedy=(
                "Start each stroke in the middle. Ease off as you come near the edge. "
                "Wind it up once more and roll from both sides."
            ),
            drawing="fault-thick-middle",
            drawing_alt=(
                "A cut through a sheet that is highest in the middle and falls to both edges."
            ),
        ),
        Fault(
            see="One side is thick, and the other is thin.",
            tell=(
                "The numbers change step by step from one side to the other. "
                "A thick rim would be high on both sides."
            ),
            cause="One hand is heavier, or you stand at an angle to the bench.",
            remedy=(
                "Stand square to the bench. Set your hands equally far from the ends. "
                "Turn the sheet half round and roll the thick side."
            ),
            drawing="fault-one-side-thick",
            drawing_alt=(
                "A cut through a sheet that falls in a straight line from the left to the right."
            ),
        ),
        Fault(
            see="The edge splits into cracks.",
            tell=(
                "Short cracks all round mean dry dough. "
                "Cracks on one side only mean that this side lay open to the air."
            ),
            cause="The dough is short of water, or its edge has dried.",
            remedy=(
                "Press the cracks together and cover the sheet. Work faster and dust less. "
                "Check the water of this batch on the bench sheet."
            ),
            drawing="fault-cracked-edge",
            drawing_alt="A sheet from above. Its lower edge is split, and a ring marks one crack.",
        ),
        Fault(
            see="A crease or a fold line stays in the sheet.",
            tell=(
                "The line is a step you can feel. A streak of dust looks alike but can be wiped "
                "off."
            ),
            cause="The sheet slid on the pin, or it was wound over a fold.",
            remedy=(
                "Unroll it, lift the crease and smooth it with your palm. "
                "Dust that place and wind it again with no slack."
            ),
            drawing="fault-creased-sheet",
            drawing_alt="A sheet from above with one long wavy crease and one short one.",
        ),
        Question(
            prompt="All four edges read thick. The middle is right. What do you change?",
            answers=(
                Answer("Press harder in the middle."),
                Answer("Carry the strokes out to the rim with light weight.", correct=True),
                Answer("Put more weight on your left hand."),
            ),
            why="The middle is right, so leave it. The strokes ended too soon on every side.",
        ),
        Question(
            prompt=(
                "The left side is thick and the right side thin, in even steps. What is the cause?"
            ),
            answers=(
                Answer("The dough is too dry."),
                Answer("Uneven weight of the hands, or a crooked stand.", correct=True),
                Answer("The strokes stop too early."),
            ),
            why=(
                "A steady slope across the sheet comes from the pin being tilted, not from the "
                "dough."
            ),
        ),
        Question(
            prompt="The disc draws back each time you roll it. What is best?",
            answers=(
                Answer("Press harder."),
                Answer("Cover it and let it rest.", correct=True),
                Answer("Dust it more."),
            ),
            why="Tight dough stores your push and gives it back. Rest lets it go.",
        ),
        Question(
            prompt="Why turn the sheet by a quarter each time you unroll it?",
            answers=(
                Answer("So that it grows the same both ways.", correct=True),
                Answer("So that it does not stick."),
                Answer("So that it gets longer."),
            ),
            why="The pin stretches the sheet mostly along its way. The turn shares this out.",
        ),
        Question(
            prompt="The caliper leaves a mark on the sheet. What about the reading?",
            answers=(
                Answer("It is good. The jaws were well closed."),
                Answer("It is too low. Measure beside the mark with less force.", correct=True),
                Answer("It is too high."),
            ),
            why="Soft dough gives way. Jaws that squeeze it read less than the true thickness.",
        ),
        Question(
            prompt="You measured four points in the middle. All are right. Is the sheet even?",
            answers=(
                Answer("Yes. All points are right."),
                Answer("I do not know yet. Corners and edges are missing.", correct=True),
                Answer("Yes, if it looks square."),
            ),
            why="Most faults of the pin sit at corners and edges. Measure where the site shows.",
        ),
    ),
    source_note=(
        "Rolling, turning, winding and the signs are common practice, with no source. "
        "Thickness counts so much because boiling time rises with the size of the strand. "
        "A flour merchant puts it in step with the area of the cut strand. "
        "Flour dust: Health and Safety Executive (UK), COSHH and bakers. "
        "Raw flour: advice of the FDA and CDC."
    ),
)
