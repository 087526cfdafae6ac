"""Module: treading in rounds, resting, and reading the dough."""

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
    slug="treading-and-resting",
    title="Treading and resting",
    station_slug="mixing-and-treading",
    summary=(
        "Work the dough with slow weight, then let it rest, in rounds. "
        "Weight makes it strong. Rest makes it willing."
    ),
    minutes_to_read=8,
    body=(
        Caution(
            kind="feet_and_film",
            text=(
                "Ask your local food authority before you tread dough for guests. "
                "Follow its rules and the law of your place. If it says no, press by hand or "
                "machine. "
                "The foot never touches dough or bench. "
                "Use whole, clean film made for food, and fresh socks for this job alone."
            ),
        ),
        Caution(
            kind="allergens",
            text=(
                "Wheat dough stays in this area. Keep the film, socks and mat away from "
                "buckwheat work."
            ),
        ),
        Numbers(names=("treading_rounds", "rests", "dough_temperature")),
        Step(
            title="Wrap the dough",
            drawing="tread-film",
            drawing_alt=(
                "Dough lies on clean film. An arrow shows the other half of the film folding "
                "over it."
            ),
            do=(
                "Clean a dry, flat area and lay down the mat. "
                "Lay the rested mass in the middle of strong film or a bag made for food. "
                "Fold the film over with room on all sides. Press out the air and close it."
            ),
            look_feel=(
                "The film is whole, with no hole or loose edge. "
                "The dough can spread and still has film all round it."
            ),
        ),
        Caution(
            kind="wet_floor",
            text=(
                "Film slides on a wet floor. Tread on a dry mat that grips. "
                "Hold on to a rail or the bench."
            ),
        ),
        Step(
            title="Step from the middle out",
            drawing="tread-middle",
            drawing_alt=(
                "A foot in a sock presses the wrapped dough from the side view. "
                "Arrows in the dough point outward."
            ),
            do=(
                "Wash your hands, then pull on fresh socks at the mat. "
                "Put one heel in the middle of the dough. Shift your weight onto it slowly. "
                "Move half a heel outward and step again. Walk in small steps to the edge."
            ),
            look_feel=(
                "The dough gives way slowly under the heel. "
                "You feel firm spots. Stay on them a little longer."
            ),
        ),
        Timer(label="Tread one round", source="tread"),
        Step(
            title="Turn and tread again",
            drawing="tread-turn",
            drawing_alt=(
                "Dough in film from above, with two feet in the middle. Arrows point to all "
                "four sides. "
                "One more shows the film turning."
            ),
            do=(
                "Step off. Turn the film a quarter. Tread from the middle out once more. "
                "Go on until you have done all four sides. "
                "Give the edge the same weight as the middle."
            ),
            look_feel=(
                "The slab is flat and near one thickness. The rim does not stand up as a wall."
            ),
        ),
        Step(
            title="Fold in three",
            drawing="tread-fold",
            drawing_alt=(
                "A flat slab in side view with two fold lines. Below, it is folded in three layers "
                "and turned."
            ),
            do=(
                "Your hands touched socks and rail, so wash them again. Then open the film. "
                "Fold the slab in three, or roll it up. "
                "Turn it a quarter and close the film. This is the end of one round. "
                "Do the rounds of the house: {{treading_rounds}}."
            ),
            look_feel=(
                "Each fold lies flat, with no air inside. With each round the skin gets smoother. "
                "Stop when the skin starts to tear."
            ),
        ),
        Step(
            title="Or press by hand",
            drawing="tread-hand",
            drawing_alt="Two hands push an oval of dough away over the bench, seen from above.",
            do=(
                "Use this way when feet are not allowed, or the batch is small. "
                "Lock your elbows and lean in with the heels of both hands. "
                "Push the dough away, fold it back and turn it a quarter. "
                "Let your weight work, not your arms."
            ),
            look_feel=(
                "The dough rolls under your palms and does not rip. "
                "Your shoulders stay low. If your wrists hurt, stop and let another cook take over."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=(
                "Wash your hands before and after you touch dough: {{safe_handwash}}. "
                "Do not taste it raw."
            ),
        ),
        Step(
            title="Rest it covered",
            drawing="tread-rest",
            drawing_alt="A ball of dough in a closed bag, with a sand glass beside it.",
            do=(
                "Close the dough in its bag, so that no air dries the skin. "
                "Measure its heat with a clean probe. The house wants {{dough_temperature}}. "
                "Start the timer. Rest: {{rests}}."
            ),
            look_feel=(
                "At the start the dough is tight and pushes back. "
                "Later it sinks a little and its skin shines."
            ),
        ),
        Timer(label="Rest between rounds", source="rest"),
        Step(
            title="Press a dent and watch",
            drawing="tread-dent",
            drawing_alt=(
                "A finger presses a dent into dough. After a while the dent has come back "
                "most of the way."
            ),
            do=(
                "Press one clean fingertip into the dough, one joint deep. "
                "Take it away and watch. Decide by what you see, not by the clock alone."
            ),
            look_feel=(
                "Slow return, almost all the way: it is ready. "
                "Quick return: it is tight and needs rest. "
                "No return: it is slack, too warm or too wet."
            ),
        ),
        Step(
            title="Close it into a ball",
            drawing="tread-ball",
            drawing_alt=(
                "A round of dough from above. Its pleats run to the middle, and arrows point "
                "inward."
            ),
            do=(
                "Fold the rim to the middle, piece by piece, all the way round. "
                "Press the pleats shut. Turn the ball over and set it on its seam. "
                "Cover it for the last rest."
            ),
            look_feel=(
                "The top is round, tight and smooth like skin. The seam below is closed. "
                "A cut through the ball shows no streak and no hole."
            ),
        ),
        Timer(label="Last rest before rolling", source="rest"),
        Fault(
            see="The skin tears while you tread or fold.",
            tell=(
                "The tear is deep and its inside is moist. "
                "A dry crust has a net of fine cracks instead."
            ),
            cause="The dough is tight, and you pressed on without a rest.",
            remedy=(
                "Stop. Fold the tear inside, cover the dough and give it a rest. "
                "Then go on with less weight."
            ),
            drawing="fault-torn-skin",
            drawing_alt="A ball of dough with one deep tear at the top and two small ones.",
        ),
        Fault(
            see="A dry crust with fine cracks lies on the dough.",
            tell=(
                "Flakes lift off, and the dough below is soft. "
                "A dry mix is hard all the way through."
            ),
            cause="Air reached the dough while it rested.",
            remedy=(
                "Take off the hard flakes. Lay a damp cloth on the ball until the skin is soft. "
                "Next time close the bag."
            ),
            drawing="fault-dry-rim",
            drawing_alt="A ball of dough whose top has a net of cracks and two lifted flakes.",
        ),
        Fault(
            see="The dough springs back and will not stay flat.",
            tell=(
                "It is smooth and warm enough, yet the dent jumps back at once. "
                "Cold dough is stiff too, but its dent hardly moves."
            ),
            cause="It was worked long and rested too little.",
            remedy="Cover it and rest it again. Do the dent test before you go on.",
            drawing="fault-tight-dough",
            drawing_alt=(
                "A small round of dough inside a larger dashed circle. Arrows show it drawing back."
            ),
        ),
        Fault(
            see="The dough is stiff, though the mix was right.",
            tell=(
                "The probe shows less than the house wants. "
                "A dry dough is stiff at the right heat as well, and its edge cracks."
            ),
            cause="The flour, the water or the room was cold.",
            remedy=(
                "Give it time in a warmer place, well wrapped. Add no water. "
                "Next time set the water by the bench sheet."
            ),
            drawing="fault-cold-dough",
            drawing_alt="A probe thermometer reaches the middle of a ball of dough.",
        ),
        Fault(
            see="The cut dough shows streaks and pockets of air.",
            tell=("Streaks run along the folds. Spots of white flour come from the bowl instead."),
            cause="There was dust on the folds, or air was closed in.",
            remedy=(
                "Tread one more round from the middle out, and push the air to the rim. "
                "Fold without dust."
            ),
        ),
        Question(
            prompt="You take your finger away, and the dent jumps back at once. What now?",
            answers=(
                Answer("Tread one more round."),
                Answer("Cover it and let it rest.", correct=True),
                Answer("Start to roll. It is strong."),
            ),
            why=(
                "A quick return means the dough is tight. Only rest loosens it. More treading "
                "tears it."
            ),
        ),
        Question(
            prompt="The timer has run out, but the dent still comes back fast. What counts?",
            answers=(
                Answer("The timer. Go on."),
                Answer("The dent. Rest a little more and log the time.", correct=True),
                Answer("Neither. Add some water."),
            ),
            why=(
                "The time is a guide for a usual room. The dent shows this dough today. "
                "The log helps the house to mend its numbers."
            ),
        ),
        Question(
            prompt="Where does the first step of each round go?",
            answers=(
                Answer("On the rim, then inward."),
                Answer("In the middle, then outward.", correct=True),
                Answer("Anywhere, if all of it is flat at the end."),
            ),
            why=(
                "From the middle, air and thick dough move out to the rim. From the rim, they "
                "are trapped."
            ),
        ),
        Question(
            prompt="You find a small hole in the film. What do you do?",
            answers=(
                Answer("Tread beside the hole."),
                Answer("Stop, throw the film away and check the dough.", correct=True),
                Answer("Put tape on the hole."),
            ),
            why=(
                "Only whole film keeps the foot away from food. Dough that may have been touched "
                "is not for guests."
            ),
        ),
        Question(
            prompt="A new branch wants to tread by foot. What comes first?",
            answers=(
                Answer("Ask the local food authority.", correct=True),
                Answer("Buy the film and start."),
                Answer("Do it as the old branch does."),
            ),
            why=(
                "Rules differ from place to place. Pressing by hand or machine gives good dough "
                "as well."
            ),
        ),
        Question(
            prompt="Stiff dough, right weights, smooth skin. The probe reads low. What is wrong?",
            answers=(
                Answer("Too little water."),
                Answer("The dough is cold.", correct=True),
                Answer("Too many rounds."),
            ),
            why=(
                "Cold dough is stiff even with the right water. Warm it slowly before you judge it."
            ),
        ),
    ),
    source_note=(
        "Treading, folding, the dent test and the signs are common practice, with no source. "
        "A city health office in Japan is said to have accepted it in 2018, in clean conditions. "
        "Other places may not allow it, so ask first. "
        "Film, socks and a clean area apart: common practice, with no source. "
        "Raw flour: advice of the FDA and CDC."
    ),
)
