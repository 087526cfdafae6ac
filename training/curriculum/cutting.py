"""Module: folding the sheet, cutting even strands, portioning and measuring."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Numbers, Question, Step

MODULE = Module(
    slug="folding-and-cutting",
    title="Folding and cutting",
    station_slug="cutting",
    summary=(
        "Fold the sheet without a crease. Then let the guide and the knife set one width, "
        "cut after cut."
    ),
    minutes_to_read=9,
    body=(
        Caution(
            kind="knife",
            text=(
                "The knife is heavy and very sharp. Set the board on a damp cloth, so it cannot "
                "slide. "
                "Keep your fingertips bent and away from the fence. "
                "Carry the knife in its guard, close to your side, blade down and edge to the "
                "back. Never leave it in a sink. "
                "Workplace law and trained advice come first."
            ),
        ),
        Caution(
            kind="allergens",
            text=(
                "Starch, board and knife carry the flour of the last sheet. "
                "Clean them before you change from wheat to buckwheat, or back."
            ),
        ),
        Numbers(names=("width", "thickness", "strands_to_measure", "portion")),
        Step(
            title="Dust both sides",
            drawing="cut-dust",
            drawing_alt=(
                "A sheet from above, dusted all over. One corner is turned over and dusted "
                "below too."
            ),
            do=(
                "Sprinkle starch over the sheet and spread it with your palm. "
                "Turn the sheet and dust the back. Do not miss the edges and corners."
            ),
            look_feel=(
                "The sheet feels dry and silky. Your hand slides and leaves no mark. "
                "Thick white patches are too much."
            ),
        ),
        Caution(
            kind="flour_dust",
            text=(
                "Starch and flour dust harm the lungs. Sprinkle low and gently. "
                "Clean up wet, or with a vacuum made for fine dust. Do not sweep dry."
            ),
        ),
        Step(
            title="Fold in layers",
            drawing="cut-fold",
            drawing_alt=(
                "A sheet folded to and fro, seen from its edge. A ring marks the round, open fold."
            ),
            do=(
                "Fold the sheet to and fro, each layer on the last. "
                "Lay each fold down and leave it round. Do not press it shut. "
                "Line up the edges, so that all layers end together. "
                "The stack must fit under the guide and the knife."
            ),
            look_feel=(
                "The folds are soft loops, with no sharp line. "
                "Layers slide on each other when you push the stack lightly."
            ),
        ),
        Step(
            title="Set guide and knife",
            drawing="cut-guide",
            drawing_alt=(
                "From above: a hand with bent fingers holds the guide board on the folded sheet. "
                "The knife stands at the fence."
            ),
            do=(
                "Before you take up the knife, ask the site which strands to measure. "
                "Lay the guide on the stack, square to the folds. "
                "Put your bent fingers on it, well back from the fence. Press just enough to "
                "hold it. "
                "Set the flat of the blade against the fence. "
                "Trim the uneven end first. "
                "If you cut with your left hand, mirror all of this."
            ),
            look_feel=(
                "Blade and fence touch along the full length. "
                "Your feet stand firm, with one foot back. Your eyes are right above the blade."
            ),
        ),
        Step(
            title="Cut down and slightly forward",
            drawing="cut-down",
            drawing_alt=(
                "The knife from the side above the folded layers. "
                "An arrow points down and a little forward."
            ),
            do=(
                "Drop the blade straight down and a little forward. "
                "Let the weight of the knife do the work. Go right down to the board. "
                "Lift it only as high as the stack."
            ),
            look_feel=(
                "The cut is almost silent, and the last layer parts. "
                "A grinding sound means the dough is dry. A dull drag means it sticks."
            ),
        ),
        Step(
            title="Tilt to move the guide",
            drawing="cut-tilt",
            drawing_alt=(
                "From the end: the knife leans toward the guide and pushes it back by one strand. "
                "Below is a bar in millimetres."
            ),
            do=(
                "Leave the edge on the board after the cut. "
                "Tilt the knife toward the guide, so that the blade pushes the fence. "
                "The guide moves by one strand: {{width}}. "
                "Stand the knife upright again and make the next cut. "
                "Keep one rhythm: cut, tilt, lift."
            ),
            look_feel=(
                "The same tilt gives the same width. Your hand on the guide only rests. "
                "Count under your breath. A steady beat makes steady strands."
            ),
        ),
        Step(
            title="Pick the strands to measure",
            drawing="cut-pick",
            drawing_alt=(
                "A row of strands in the order of cutting. Six of them, here and there in the row, "
                "are pulled out and marked."
            ),
            do=(
                "Keep the strands in the order you cut them. "
                "Take out the ones that the site chose before the first cut: "
                "{{strands_to_measure}}. Lay them flat and straight, in order, and measure them. "
                "Do not swap one for a nicer one. "
                "Throw away strands that lay on the measuring card."
            ),
            look_feel=(
                "First cuts, middle cuts and last cuts are all there. "
                "No strand is pulled or pressed while you measure."
            ),
        ),
        Step(
            title="Loosen and shake off",
            drawing="cut-loosen",
            drawing_alt=(
                "Strands hang over an open hand. Arrows show the shaking, and starch falls below."
            ),
            do=(
                "Slide an open hand under the strands and lift them. "
                "Shake gently, so that the folds open and loose starch falls. "
                "Part any strands that cling."
            ),
            look_feel=(
                "Each strand hangs free in its full length. "
                "Little starch is left, so the pot stays clear for longer."
            ),
        ),
        Step(
            title="Weigh the portions",
            drawing="cut-portion",
            drawing_alt=("A loose portion of strands on a scale, and two more portions on a tray."),
            do=(
                "Weigh each portion: {{portion}}. Lay it on a dusted tray in one loose bundle. "
                "Cover the tray. Cook soon, or chill as local law and the house plan say. "
                "Cook for {{boil_time}}."
            ),
            look_feel="The bundles keep their shape and do not sink into each other.",
        ),
        Caution(
            kind="raw_flour",
            text=(
                "Cut strands are still raw. Keep them away from food that is ready to eat. "
                "Wash your hands when you are done: {{safe_handwash}}."
            ),
        ),
        Caution(
            kind="wet_floor",
            text="Starch on a floor is slick. Wipe up what fell before you walk with the knife.",
        ),
        Fault(
            see="A strand is wide at one end and narrow at the other.",
            tell=(
                "Lay the strand flat. Both its sides are straight, but they drift apart. "
                "A slanted strand has one width, but a crooked end."
            ),
            cause="The guide turned on the stack, so the cuts are not in line.",
            remedy=(
                "Set the guide square to the folds again. Spread your fingers on it. "
                "Push with the whole blade, not with its tip or heel."
            ),
            drawing="fault-wedge-strand",
            drawing_alt=(
                "A guide board turned away from the dashed line, and four strands that get wider "
                "toward one end."
            ),
        ),
        Fault(
            see="The strand is slanted when you look at its end.",
            tell=(
                "From above, the width looks right. From the end, the sides lean. "
                "It will roll over on the board."
            ),
            cause="The knife was not upright when it fell.",
            remedy=(
                "Look along the blade from its tip. Stand it upright after each tilt, then cut. "
                "Move your head right over the blade."
            ),
            drawing="fault-leaning-knife",
            drawing_alt=(
                "A row of strands from their ends, all leaning to the right, beside a leaning "
                "knife."
            ),
        ),
        Fault(
            see="Every second strand is wide.",
            tell=(
                "Wide and narrow change places strand by strand. With a drift, "
                "the width grows slowly in one direction."
            ),
            cause=(
                "The beat limps. You tilt far, then near. "
                "Or the guide springs back after every other cut."
            ),
            remedy=(
                "Slow down and count an even beat. Hold the guide with the same light weight. "
                "Watch the tilt, not the cut."
            ),
            drawing="fault-every-second",
            drawing_alt=(
                "A row of strands from their ends, wide and narrow by turns, above a bar in "
                "millimetres."
            ),
        ),
        Fault(
            see="Strands get wider from the first cut to the last.",
            tell=(
                "Look at the strands in order. Neighbours are almost alike, but first and last "
                "are not."
            ),
            cause="You got faster or tired, and the tilt grew with it.",
            remedy=(
                "Stop every few fingers of width. Check one strand with the caliper. "
                "Set your feet again and go on."
            ),
            drawing="fault-drift",
            drawing_alt=(
                "A row of strands from their ends that get wider from left to right, above a bar "
                "in millimetres."
            ),
        ),
        Fault(
            see="Strands hang together like a comb.",
            tell=(
                "They are joined by uncut dough at one end. "
                "Strands that only stick can be pulled apart whole."
            ),
            cause="The blade did not reach the board along its whole length, or the edge is dull.",
            remedy=(
                "Go down to the board with heel and tip. "
                "Ask for a sharp knife. Check that the board is flat."
            ),
            drawing="fault-joined-strands",
            drawing_alt="Among free strands, four are joined at the top. A ring marks the place.",
        ),
        Fault(
            see="Strands break where the folds were.",
            tell=(
                "The breaks come at equal distances. Breaks here and there mean dry or old dough."
            ),
            cause="The fold was pressed shut, or the sheet was too dry to bend.",
            remedy=(
                "Leave the folds round. Cover the sheet while you prepare the board. "
                "If it still breaks, check the water of the batch."
            ),
            drawing="fault-broken-at-fold",
            drawing_alt=(
                "A strand with a round bend. Below, the same strand has snapped at the bend."
            ),
        ),
        Question(
            prompt="Every second strand is wide. What do you look at first?",
            answers=(
                Answer("The thickness of the sheet."),
                Answer("Your beat and your tilt.", correct=True),
                Answer("The amount of starch."),
            ),
            why="A change strand by strand follows the hand that moves the guide, not the dough.",
        ),
        Question(
            prompt="The cut makes a grinding sound. What does it tell you?",
            answers=(
                Answer("The knife is sharp."),
                Answer("The dough is dry.", correct=True),
                Answer("There is too much water in it."),
            ),
            why="Moist, rested dough parts almost without a sound. Check the water and the cover.",
        ),
        Question(
            prompt="The site chose a strand that looks bad. What do you measure?",
            answers=(
                Answer("The strand beside it."),
                Answer("That strand, as it is.", correct=True),
                Answer("None. I leave it out."),
            ),
            why=(
                "The site picks by chance from the whole cut. "
                "If you swap the bad ones, the reading is no longer about your hand."
            ),
        ),
        Question(
            prompt="Where are the fingertips of the hand on the guide?",
            answers=(
                Answer("Over the fence, to feel the blade."),
                Answer("Bent, and well back from the fence.", correct=True),
                Answer("Flat, with the thumb at the fence."),
            ),
            why="The knife lifts at each cut. A finger at the fence can come under the edge.",
        ),
        Question(
            prompt="All strands break at equal distances. What was wrong?",
            answers=(
                Answer("The folds were pressed shut.", correct=True),
                Answer("The knife was dull."),
                Answer("The guide was crooked."),
            ),
            why=(
                "Equal distances point to the folds. A dull knife joins strands. It does not "
                "break them."
            ),
        ),
        Question(
            prompt="Half the strands are thin and half are thick. Why does it matter in the pot?",
            answers=(
                Answer("The guest sees it. The taste is the same."),
                Answer("They are not done at the same time.", correct=True),
                Answer("The thick ones float too soon."),
            ),
            why="A thick strand needs longer. When it is done, the thin one is already soft.",
        ),
    ),
    source_note=(
        "Folding, guide, tilt, rhythm and the signs are common practice, with no source. "
        "Knife care is common practice, with no source. "
        "Boiling time rises with the area of the cut strand, as a flour merchant states. "
        "The share of evenly cut strands is also what Japanese noodle circles grade by eye. "
        "Flour dust: Health and Safety Executive (UK), COSHH and bakers. "
        "Raw flour: advice of the FDA and CDC."
    ),
)
