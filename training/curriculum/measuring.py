"""Module: caliper and card, which strands and points to measure, and logging them."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Numbers, Question, Step

MODULE = Module(
    slug="measuring-sheet-and-strands",
    title="Measuring sheet and strands",
    station_slug="cutting",
    summary=(
        "Let the tool say how even the work is. Chance picks the strands, before the cut, so "
        "that nobody can pick the good ones."
    ),
    minutes_to_read=10,
    body=(
        Caution(
            kind="allergens",
            text=(
                "Caliper, card and cloth carry the flour of the last dough. "
                "Clean them before the next one. "
                "Local food-safety law and your authority come first."
            ),
        ),
        Numbers(names=("thickness", "thickness_points", "width", "strands_to_measure")),
        Step(
            title="Set the tool to zero",
            drawing="measure-zero",
            drawing_alt=(
                "A caliper with closed jaws, a ring at their tips. Beside it the jaws close on a "
                "block of known size, above a bar in millimetres."
            ),
            do=(
                "Wipe both jaws, close them and set the display to zero. "
                "Then measure a piece of known size, such as a gauge block. "
                "Do this before each batch. In the log, choose the tool that you use."
            ),
            look_feel=(
                "Between the closed jaws you see no light. The block reads its known size. "
                "If it does not, take another tool and tell the head chef."
            ),
        ),
        Step(
            title="Stay on the points of the sheet",
            drawing="measure-points",
            drawing_alt=(
                "A sheet from above with nine points, and arrows in the order of measuring. A "
                "phone shows nine fields in the same places, four of them filled."
            ),
            do=(
                "Lay the sheet flat, its far edge as on the phone. "
                "Go from field to field: {{thickness_points}}. "
                "Stay on each point, also where it looks bad. "
                "Some points lie too far in for the jaws. Use a deep gauge, or a short slit where "
                "a cut will come."
            ),
            look_feel=(
                "Each field has its place on the sheet. Corners, edges and middle are all there. "
                "The house wants {{thickness}}."
            ),
        ),
        Step(
            title="Touch, do not squeeze",
            drawing="measure-touch",
            drawing_alt=(
                "Two pairs of jaws on a sheet. The left pair just touches it. The right pair bites "
                "into it, inside a ring, above a bar in millimetres."
            ),
            do=(
                "Close the jaws slowly until they just touch. Read the display. "
                "Open them before you pull away. "
                "If you are not sure, read once more beside the first place."
            ),
            look_feel=(
                "The dough still slides between the jaws, and no dent stays. "
                "Readings side by side are close to each other."
            ),
        ),
        Step(
            title="Ask which strands before you cut",
            drawing="measure-ask",
            drawing_alt=(
                "A folded sheet on a board, not cut yet, with the knife raised. A phone beside it "
                "shows a list, and an arrow leads from it to the sheet."
            ),
            do=(
                "Open the cutting stage before the first cut. "
                "Type about how many strands the sheet will give. "
                "The site parts the cut into equal stretches. From each it picks one strand by "
                "chance. It names them now: {{strands_to_measure}}."
            ),
            look_feel=(
                "The list is on the phone, and the knife has not moved. "
                "Now nobody can favour the good ones, not even you."
            ),
        ),
        Caution(
            kind="knife",
            text=(
                "Lay the knife down flat, at the back of the board, before you take up the phone. "
                "Measure with the knife out of reach. Workplace law comes first."
            ),
        ),
        Step(
            title="Count, and lay them aside",
            drawing="cut-pick",
            drawing_alt=(
                "A long row of strands under an arrow from the first cut to the last. The named "
                "ones are drawn out below the row, each with a small ring."
            ),
            do=(
                "Count from the first cut. Lay each named strand aside, in the order of the list. "
                "Is one of them broken or lost? Leave its place empty. "
                "Never put its neighbour there."
            ),
            look_feel=(
                "First, middle and last cuts are all there. Good ones and bad ones lie side by "
                "side, as chance took them."
            ),
        ),
        Step(
            title="Measure across, at a right angle",
            drawing="measure-strand",
            drawing_alt=(
                "Two jaws meet a strand from left and right, square to it, above a bar in "
                "millimetres."
            ),
            do=(
                "Lay the strand straight, and do not pull it. "
                "Close the jaws square across it, halfway along. "
                "Width is what the knife made. Thickness is what the pin made. "
                "Measure the width. The house wants {{width}}."
            ),
            look_feel=(
                "Both jaws lie flat along the sides. The strand is neither bent nor bitten."
            ),
        ),
        Step(
            title="Or lay them on the card",
            drawing="card-lay",
            drawing_alt=(
                "Strands lie side by side on the measuring card, from the ringed marker at the top "
                "left. Arrows show the order and the next strand."
            ),
            do=(
                "Take a clean, dry measuring card, its bar toward you. "
                "Start beside the marker at the top left. Lay the strands in the order of the "
                "list, with a gap between them. "
                "Shake off loose starch first."
            ),
            look_feel=(
                "No strand touches its neighbour or hides a marker. Each lies flat and is not "
                "stretched."
            ),
        ),
        Step(
            title="Photograph from straight above",
            drawing="card-above",
            drawing_alt=(
                "A phone held level over the middle of the card. Dashed lines show that it sees "
                "the whole card."
            ),
            do=(
                "Hold the phone level over the middle. Get all markers into view. "
                "Use no flash, and keep your shadow off the card. "
                "What does not fit goes on a second photo. "
                "If the site refuses a photo, it says why."
            ),
            look_feel=(
                "On the screen the card has four right angles. "
                "The sides of the strands are sharp, from end to end."
            ),
        ),
        Step(
            title="Log what you read",
            drawing="measure-log",
            drawing_alt=(
                "A caliper joined by a cable to a tablet with twelve fields. Six are filled, and a "
                "ring marks the next one."
            ),
            do=(
                "Put each reading into its own field, just as the display shows it. "
                "Do not round it and do not make it nicer. "
                "Look once for a slip of the finger. Then save."
            ),
            look_feel=(
                "As many fields are filled as strands lie there. "
                "One reading far from the rest was checked at the strand, not wiped out."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=(
                "Strands that lay on the card go into the bin. Ink and film are not made to touch "
                "food. "
                "Clean caliper and card, and wash your hands: {{safe_handwash}}."
            ),
        ),
        Fault(
            see="All readings are low, and dents stay in the dough.",
            tell=(
                "Close the jaws more lightly, and the reading goes up. "
                "With a wrong zero, a hard block reads wrong as well."
            ),
            cause="You squeezed.",
            remedy="Measure anew beside the dents. Stop at the first touch and read.",
        ),
        Fault(
            see="Readings at one place of a strand jump about.",
            tell=(
                "Rock the jaws a little, and the number changes. "
                "If it changes only as you move along the strand, the strand is wider at one end."
            ),
            cause="The jaws were not square to the strand.",
            remedy=(
                "Lay the strand straight. Rock the jaws gently and take the smallest reading "
                "without force."
            ),
            drawing="measure-fault-tilt",
            drawing_alt=(
                "Two jaws close on a strand at a slant. A ring marks the place, above a bar in "
                "millimetres."
            ),
        ),
        Fault(
            see="The site refuses the photo or finds too few strands.",
            tell=(
                "Read the message. Strands that touch show up as one. "
                "A hidden marker or a blurred photo is named."
            ),
            cause="Strands touched or crossed, or something lay on a marker.",
            remedy="Part the strands, clear the markers, wipe the lens and take it again.",
            drawing="measure-fault-touching",
            drawing_alt=(
                "The measuring card with three rings: strands that touch, strands that cross, and "
                "a scrap of dough on a marker."
            ),
        ),
        Fault(
            see="All readings are off by the same amount.",
            tell=(
                "A piece of known size is off by as much. If only soft dough reads low, you "
                "squeezed."
            ),
            cause="The zero has moved, the jaws are dirty, or the card has the wrong size.",
            remedy=(
                "Wipe the jaws and set the zero. Check the bar of the card with a ruler. "
                "Then measure the batch again."
            ),
        ),
        Fault(
            see="The readings look better than the noodles.",
            tell=(
                "Look at the strands nobody measured. If they are worse, the choice was not left "
                "to chance."
            ),
            cause="Strands were swapped, or picked after the cut.",
            remedy=(
                "Say so in the note to the batch. Next time ask before you cut, and measure what "
                "is named."
            ),
        ),
        Question(
            prompt="A strand on the list broke. What do you measure in its place?",
            answers=(
                Answer("The one beside it."),
                Answer("Nothing. Its place stays empty.", correct=True),
                Answer("The best one that is left."),
            ),
            why=(
                "A swap lets your eye choose. One gap costs little. Many small choices spoil the "
                "whole reading."
            ),
        ),
        Question(
            prompt="You forgot to ask before you cut. The strands still lie in order. What now?",
            answers=(
                Answer("Let the site choose now, and say so in the note.", correct=True),
                Answer("Take the first ones. They are the easiest."),
                Answer("Take every third one."),
            ),
            why=(
                "The site still picks by chance. The note is fair to whoever reads the batch. "
                "Next time ask first."
            ),
        ),
        Question(
            prompt="One strand reads far wider than the rest. What do you do?",
            answers=(
                Answer("Leave it out. It is a mistake."),
                Answer("Type a number closer to the others."),
                Answer("Measure it again and keep what you read.", correct=True),
            ),
            why="It may be a slip, or a true wide strand. The second look tells. A guess does not.",
        ),
        Question(
            prompt="The first strands of the cut are at hand. Why not measure just these?",
            answers=(
                Answer("The hand changes along the cut.", correct=True),
                Answer("The first ones are always the worst."),
                Answer("They dry too fast."),
            ),
            why="Drift shows only when first, middle and last cuts are all among the readings.",
        ),
        Question(
            prompt="The bar of your card is shorter than it should be. What does a photo do?",
            answers=(
                Answer("All widths come out too small."),
                Answer("All widths come out too large.", correct=True),
                Answer("It makes no difference."),
            ),
            why=(
                "The site takes the card for full size. Beside a small card, the strands look "
                "large. Print a new one."
            ),
        ),
        Question(
            prompt="Readings at one point of the sheet differ a lot. Which one do you type?",
            answers=(
                Answer("The one closer to the target."),
                Answer("The first one, always."),
                Answer("None yet. I read again, with a light touch.", correct=True),
            ),
            why="If readings do not agree, the tool or the touch is at fault. Find that first.",
        ),
    ),
    source_note=(
        "Zero, light touch, square jaws and the smallest reading are common practice with "
        "calipers, with no source. "
        "A slit for the jaws is a makeshift, with no source. "
        "Choice by chance from equal stretches is stratified random sampling, as handbooks of "
        "statistics teach it. "
        "Points and strands are the house's own numbers. "
        "The card's bar is the site's own measure. "
        "Raw flour: advice of the FDA and CDC. "
        "Hand washing: the figure of your region below. Your local authority decides."
    ),
)
