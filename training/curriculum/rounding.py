"""Module: pressing out the air, folding the edge to the middle, sealing, tightening."""

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
    slug="rounding-the-dough",
    title="Rounding the dough",
    station_slug="mixing-and-treading",
    summary=(
        "Turn a rough piece into a tight ball with no air in it. "
        "What is round and even now rolls out round and even."
    ),
    minutes_to_read=8,
    body=(
        Caution(
            kind="allergens",
            text=(
                "A ball of wheat and a ball of buckwheat look alike once they are covered. "
                "Clean bench and hands between the two, and mark each ball. "
                "Local food-safety law and your authority come first."
            ),
        ),
        Numbers(names=("dough_temperature", "rests")),
        Step(
            title="Press out the air",
            drawing="round-press",
            drawing_alt=(
                "A flat hand presses a thick cake of dough. Bubbles lie inside, and arrows show "
                "the air leaving at both rims."
            ),
            do=(
                "Set the rested piece on a clean, dry bench. Use no flour here. "
                "Press from the middle out with your flat hand, and push the air to the rim. "
                "Prick a bubble that will not move with a clean skewer, and press it flat. "
                "Put the skewer back in its place. Never use loose pins."
            ),
            look_feel=(
                "The cake has one thickness. Small bubbles burst at the rim. "
                "Your palm finds no hollow spot."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=(
                "The dough is raw. Wash your hands before and after: {{safe_handwash}}. "
                "Keep it away from food that is ready to eat."
            ),
        ),
        Step(
            title="Fold the edge to the middle",
            drawing="round-fold",
            drawing_alt=(
                "A round of dough from above. One piece of its rim is folded in, and its tip lies "
                "on the middle."
            ),
            do=(
                "Take a piece of the rim between thumb and fingers. "
                "Stretch it a little and lay it on the middle. Press it down with your fingertips. "
                "Keep the side you fold onto free of dust."
            ),
            look_feel=(
                "The fold reaches the middle and sticks at once. "
                "The skin below is drawn smooth and does not tear."
            ),
        ),
        Step(
            title="Turn and fold all the way round",
            drawing="round-turn",
            drawing_alt=(
                "Dough from above, twice. The left has a pair of folds and an arrow for the turn. "
                "The right is folded all round, with a ring where the folds meet."
            ),
            do=(
                "Turn the dough by the width of your hand. Lay the next fold a little over the "
                "last. "
                "Go on until you are back at the first one. Take the same amount each time."
            ),
            look_feel=(
                "All folds meet in one point. With each of them the piece stands higher and "
                "rounder."
            ),
        ),
        Step(
            title="Press with the heel of your hand",
            drawing="round-heel",
            drawing_alt=(
                "A hand from above with its heel on the folds. One arrow shows the push forward, "
                "another the turn of the dough."
            ),
            do=(
                "Press the middle down and a little forward with the heel of your hand. "
                "Turn the dough, draw the rim in and press again. "
                "Keep your wrist straight and let your weight work. If it hurts, change hands."
            ),
            look_feel=(
                "The folds melt into each other. The dough pushes back more with each turn. "
                "Stop before the skin tears."
            ),
        ),
        Step(
            title="Seal the seam",
            drawing="round-seal",
            drawing_alt=(
                "Dough gathered at the top like a purse. Arrows show the neck pinched from both "
                "sides and twisted."
            ),
            do=(
                "Gather the rest of the rim to one point. Pinch it and give it a small twist. "
                "Press the tip flat. Where the dough is dry, use one damp fingertip."
            ),
            look_feel=(
                "The seam is one small knot with no gap. It stays shut when you let go of it."
            ),
        ),
        Step(
            title="Draw the skin tight",
            drawing="round-tighten",
            drawing_alt=(
                "A ball, seam down, moves along the bench from its dashed place. Arrows show the "
                "skin drawn down on both sides."
            ),
            do=(
                "Turn the ball over onto its seam. Cup both hands behind it. "
                "Draw it toward you on the bare bench, turn it a little, and draw again. "
                "The bench holds the seam while the skin comes down."
            ),
            look_feel=(
                "The ball is round from all sides and stands up by itself. "
                "The skin is smooth and tight. The seam sits below, in the middle."
            ),
        ),
        Step(
            title="Check seam and core",
            drawing="round-check",
            drawing_alt=(
                "A ball turned up, with a ring round its closed seam. An arrow leads to the ball "
                "set down on it, smooth on top."
            ),
            do=(
                "Lift the ball and look at the seam. Press it gently all round with your "
                "fingertips. "
                "If you find air, prick it with the skewer, press it out and close the place. "
                "Now and then cut a practice ball in half and look inside."
            ),
            look_feel=(
                "The seam is shut. All sides feel the same. "
                "The cut face is even, with no hole and no streak."
            ),
        ),
        Caution(
            kind="knife",
            text=(
                "Cut a ball on a board that cannot slide, never in your hand. "
                "Hold it from above with bent fingers. "
                "Lay the knife down flat when you look at the cut."
            ),
        ),
        Step(
            title="Cover it on its seam",
            drawing="round-cover",
            drawing_alt=(
                "A ball rests on its seam under an upturned bowl, with a sand glass beside it."
            ),
            do=(
                "Set the ball on its seam and cover it at once. Let it rest: {{rests}}. "
                "Start to roll when the dent comes back slowly."
            ),
            look_feel=(
                "The ball sinks a little and stays round. It does not lean. Its skin stays moist."
            ),
        ),
        Timer(label="Rest of the ball, covered", source="rest"),
        Fault(
            see="The seam opens again.",
            tell=(
                "The gap follows the folds, on the underside. "
                "A tear in the skin is on top, and its edges are ragged."
            ),
            cause="There was dust between the folds, or their edges had dried.",
            remedy=(
                "Brush out the dust and wet the gap with a fingertip. Pinch, twist and press it. "
                "Then let the ball rest on it."
            ),
            drawing="round-fault-open",
            drawing_alt=(
                "The underside of a ball. The folds gape in the middle like a star, inside a ring."
            ),
        ),
        Fault(
            see="The sheet blisters, or the cut ball has a hole.",
            tell=(
                "A hole with smooth walls between two folds is trapped air. "
                "Fine bubbles all through mean that the dough is too old and warm."
            ),
            cause="Air was folded in, because the piece was not pressed flat first.",
            remedy=(
                "Prick it from the side with a clean skewer, press the air out and round the "
                "piece again. "
                "Bin it if it smells sour."
            ),
            drawing="round-fault-air",
            drawing_alt=(
                "A ball of dough cut through, with a flat hole between the folds inside a ring."
            ),
        ),
        Fault(
            see="The ball leans and rolls out to an egg shape.",
            tell=(
                "Its seam is off the middle. If ball and seam are right, look at your rolling "
                "instead."
            ),
            cause="The folds were not equal, or you drew it from one side only.",
            remedy=(
                "Turn the seam up and fold the long side in once more. "
                "Set it down and draw the seam back to the middle."
            ),
            drawing="round-fault-side",
            drawing_alt=(
                "A ball that leans to the right, beside the dashed line of a round one. A ring "
                "marks the seam far off the middle."
            ),
        ),
        Fault(
            see="The skin tears on top.",
            tell=(
                "The tear came while you drew it tight, and it is moist inside. "
                "A dry crust has a net of fine cracks."
            ),
            cause="You went on past the point, or the dough had no rest before.",
            remedy=(
                "Stop, cover it and let it rest. Then fold the tear inside and close the ball with "
                "less pull."
            ),
        ),
        Fault(
            see="The folds slide open like pages.",
            tell=(
                "They feel dusty or dry. In tight dough they stick at first and then pull apart."
            ),
            cause="Flour or a dry skin lies between them.",
            remedy=(
                "Brush it off, wipe the place with a damp cloth and wait a moment. "
                "Fold again on a bare bench."
            ),
        ),
        Question(
            prompt="You rounded on a floured bench, and the seam will not close. Why?",
            answers=(
                Answer("The dough is too wet."),
                Answer("Flour lies between the folds.", correct=True),
                Answer("You made too few folds."),
            ),
            why="Dough sticks to moist dough, not to dust. Round on a bare bench.",
        ),
        Question(
            prompt="The ball is tight, and small tears show on top. What now?",
            answers=(
                Answer("One more turn, to smooth it."),
                Answer("Wet the top and go on."),
                Answer("Cover it and let it rest.", correct=True),
            ),
            why="The skin has no more to give. Each turn tears it further. Rest lets it go.",
        ),
        Question(
            prompt="Before the first fold you feel a bubble. What do you do?",
            answers=(
                Answer("Press it out to the rim, or prick it.", correct=True),
                Answer("Fold it in. The pin will press it out."),
                Answer("Leave it. It goes away as it rests."),
            ),
            why="Air that is folded in stays. The pin only spreads it, and the sheet blisters.",
        ),
        Question(
            prompt="A ball leans to one side. You roll it as always. What will the sheet be like?",
            answers=(
                Answer("Egg-shaped, and thicker on one side.", correct=True),
                Answer("Round, but with a torn rim."),
                Answer("As always. The pin evens it out."),
            ),
            why="The pin spreads what lies there. More dough on one side stays more on that side.",
        ),
        Question(
            prompt="Why does the ball rest on its seam?",
            answers=(
                Answer("So that the seam dries and gets hard."),
                Answer("Its own weight keeps the seam shut and moist.", correct=True),
                Answer("So that the top can rise."),
            ),
            why="On top the seam would dry and open. Below, the ball presses on it all the time.",
        ),
        Question(
            prompt="The cut face of a practice ball shows a white streak along a fold. Your step?",
            answers=(
                Answer("Press harder with the pin later."),
                Answer("Add water at the next mixing."),
                Answer("Fold with no dust on the bench.", correct=True),
            ),
            why=(
                "A streak along a fold is flour from the bench. "
                "Dry flour from the bowl shows as spots all over."
            ),
        ),
    ),
    source_note=(
        "Pressing, folding, sealing, tightening and the signs are common practice, with no "
        "source. "
        "Rest and dough heat are the house's own numbers. "
        "Knife care: common practice, with no source. "
        "Raw flour: advice of the FDA and CDC. "
        "Hand washing: the figure of your region below. Your local authority decides."
    ),
)
