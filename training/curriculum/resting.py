"""Module: what a rest does, how to keep the dough meanwhile, and how to tell when it is over."""

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
    slug="resting-the-dough",
    title="Resting the dough",
    station_slug="mixing-and-treading",
    summary=(
        "Rest is work that the dough does by itself. Cover it, keep it mild, and let the dent "
        "say when it is done."
    ),
    minutes_to_read=8,
    body=(
        Caution(
            kind="allergens",
            text=(
                "Mark each box with its flour. A lid or a cloth that lay on wheat must not go on "
                "buckwheat. Wash it first. "
                "Local food-safety law and your authority come first."
            ),
        ),
        Numbers(names=("rests", "dough_temperature")),
        Step(
            title="Let water and strands settle",
            drawing="rest-inside",
            drawing_alt=(
                "Two views into dough, before and after a rest. Grains with dry cores turn wet "
                "all through, and jagged strands turn into soft waves."
            ),
            do=(
                "Press a piece of the fresh mass between two fingers. Do so again after the rest. "
                "Two things have changed. Water has moved from the wet outside of each grain to "
                "its dry core. "
                "And the springy net that wheat makes, the gluten, has let go of its pull."
            ),
            look_feel=(
                "Fresh dough feels rough, with firm grains in it. "
                "Rested dough is smooth and gives way, though nobody added water."
            ),
        ),
        Step(
            title="Cover it with no gap",
            drawing="rest-cover",
            drawing_alt=(
                "A dough box cut open. Film lies close on the ball of dough, and arrows show the "
                "lid coming down."
            ),
            do=(
                "Lay clean film right on the skin, down to the sides. Then close the lid or the "
                "bag. "
                "Do it the moment your hands leave the dough. "
                "A cloth alone must be damp, and it must stay so to the end."
            ),
            look_feel=(
                "The skin stays moist and keeps its shine. Slide a fingertip over it: nothing "
                "catches. No drops run down the film."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=(
                "Dough at rest is still raw. Keep it covered and apart from food that is ready to "
                "eat. Do not taste it. Wash your hands: {{safe_handwash}}."
            ),
        ),
        Step(
            title="Take its temperature",
            drawing="rest-probe",
            drawing_alt=(
                "A probe reaches into a ball of dough. Dashed lines cross at the middle, where a "
                "ring marks the point of the probe."
            ),
            do=(
                "Wipe the probe clean and push it to the middle. Wait until the display stands "
                "still. "
                "Write down the heat of the dough and of the room. "
                "The house wants {{dough_temperature}}."
            ),
            look_feel=(
                "The skin tells you about the room. The middle tells you about the dough. "
                "Cold dough is as firm as clay. Warm dough is slack and clings to your hand."
            ),
        ),
        Step(
            title="Find a calm, mild place",
            drawing="rest-place",
            drawing_alt=(
                "A covered dough box on a bench. Arrows show that it keeps its distance from a "
                "sunny window and from a steaming pot."
            ),
            do=(
                "Keep the box away from sun, stove, open door and cold wall. "
                "Set it on wood or on a folded cloth, not on steel or stone. "
                "Use the same place each day."
            ),
            look_feel=(
                "Touch the box on all sides. No side is warmer than the next. "
                "Later the probe reads nearly the same as at the start."
            ),
        ),
        Step(
            title="Mark each batch and its time",
            drawing="rest-line",
            drawing_alt=(
                "Three dough boxes in a row, with one, two and three dots. The sand glass of the "
                "first has run out, and an arrow takes it away."
            ),
            do=(
                "Write the batch, the flour and the time on the box. Start the timer. "
                "Rest: {{rests}}. "
                "Set the boxes in a row and take the oldest first."
            ),
            look_feel=(
                "Anyone at the bench can say which dough is next. Nobody has to ask you first."
            ),
        ),
        Timer(label="Rest, covered", source="rest"),
        Step(
            title="Ask the dough, not the clock",
            drawing="rest-dent",
            drawing_alt=(
                "Three blocks of dough, each with a dent pressed into it. The first is flat again, "
                "the ringed one is coming back, the last stays deep."
            ),
            do=(
                "When the timer ends, press one clean fingertip into the dough and watch. "
                "Let the dent decide, and log the true time. "
                "If it is tight, cover it and test again soon. If it is ready, go on at once."
            ),
            look_feel=(
                "It jumps back at once: tight. It comes back slowly, almost all the way: ready. "
                "It stays, and the dough is soft: slack. It stays, and the dough is hard: cold."
            ),
        ),
        Step(
            title="Hold it cold only by plan",
            drawing="rest-cold",
            drawing_alt=(
                "A bag of dough lies at the bottom of a fridge, below other boxes. An arrow takes "
                "it to the bench, where it waits in its bag beside a sand glass."
            ),
            do=(
                "Cold slows the dough, but does not stop it. Chill it only as the house plan "
                "says. Keep cold: {{safe_cold_holding}}. "
                "Store it below food that is ready to eat. "
                "On the bench, leave the bag of plain dough shut until the dough has warmed up. "
                "The house wants {{dough_temperature}}. Roll dough with egg straight from the cold."
            ),
            look_feel=(
                "The bag is dry outside when you open it. The middle is as soft as the rim. "
                "The dough smells of grain, not sour."
            ),
        ),
        Caution(
            kind="warm_food",
            text=(
                "Dough with egg must not stand warm. Rest it in the cold: {{safe_cold_holding}}. "
                "Plain dough spoils too, only later. The house plan says how long it may wait. "
                "When in doubt, bin it. "
                "Your local authority decides."
            ),
        ),
        Fault(
            see="The time is over, but the dent still jumps back.",
            tell=(
                "The dough is smooth and warm enough. Cold dough is stiff too, but its dent "
                "hardly moves."
            ),
            cause="It was worked hard just before the rest. Strong flour needs longer as well.",
            remedy="Cover it again and do not touch it. Test it now and then. Log the whole time.",
        ),
        Fault(
            see="The dough lies flat, and the dent stays.",
            tell=(
                "It was firm when it went in. A wet dough was soft from the start. "
                "A cold one keeps its dent too, but it is hard."
            ),
            cause="It rested too long, or its place was too warm.",
            remedy=(
                "Fold the rim to the middle once and let it rest briefly in a cooler place. "
                "If it stays slack, keep it for practice. Next time test sooner."
            ),
            drawing="rest-fault-flat",
            drawing_alt=(
                "A low, wide piece of dough with a deep dent. A dashed line above shows the ball "
                "that it was."
            ),
        ),
        Fault(
            see="The rim is soft, but the core is hard.",
            tell=(
                "Read the probe in the core. If it reads low, the dough is only cold. "
                "If not, cut it: the core looks dry and pale."
            ),
            cause="The mass was thick, and water has not yet reached its core.",
            remedy=(
                "Press it into a flat cake, cover it and give it more time. "
                "Next time let it rest flat from the start."
            ),
            drawing="rest-fault-core",
            drawing_alt=(
                "A ball of dough cut through. Its core is pale and cracked, and arrows point to it "
                "from the soft rim."
            ),
        ),
        Fault(
            see="Drops stand on the skin, and it sticks.",
            tell="Only the skin is wet. In a wet dough the inside sticks as well.",
            cause="The cloth dripped, or a cold dough was opened in a warm room.",
            remedy=(
                "Dab it with a clean, dry cloth and wait until the skin is dull. "
                "Do not hide it under flour. Next time wring the cloth and leave the bag shut."
            ),
        ),
        Fault(
            see="The dough is grey with dark specks, or it smells sour.",
            tell=(
                "Bran specks are there from the start and stay as they are. "
                "These grow while the dough lies."
            ),
            cause="It is old, or it stood too warm.",
            remedy="Bin it. Then check the mark on the box and the fridge. Tell the head chef.",
        ),
        Question(
            prompt="It is a cold day. The timer has ended, and the dent hardly moves. What first?",
            answers=(
                Answer("Roll it. The time is over."),
                Answer("Read the probe in the middle.", correct=True),
                Answer("Work in a little water."),
            ),
            why="A dent that hardly moves points to cold. Look at the heat before time and water.",
        ),
        Question(
            prompt="The dent comes back slowly, and the timer still runs. What do you do?",
            answers=(
                Answer("Go on, and log the time it took.", correct=True),
                Answer("Wait until the timer has ended."),
                Answer("Knead it a little to fill the time."),
            ),
            why=(
                "The dent shows this dough today. Past the right point it only gets slack. "
                "The log tells the house that its time is long for a warm day."
            ),
        ),
        Question(
            prompt="You find a box with no mark. The dough feels just right. Do you use it?",
            answers=(
                Answer("Yes. The feel is what counts."),
                Answer("Yes, but last."),
                Answer("No. I ask, and if nobody knows it, I bin it.", correct=True),
            ),
            why=(
                "With no mark you know neither its flour nor its age. The wrong flour can make a "
                "guest very ill."
            ),
        ),
        Question(
            prompt="A plain dough comes from the fridge. When do you open the bag?",
            answers=(
                Answer("At once, so that it warms up sooner."),
                Answer("When the dough is as warm as the house wants it.", correct=True),
                Answer("It makes no difference."),
            ),
            why=(
                "Water from the air settles on cold dough, as on a cold glass. The skin sticks. "
                "Dough with egg may not wait: roll it straight from the cold."
            ),
        ),
        Question(
            prompt="One of two boxes stands close to the stove. What do you expect?",
            answers=(
                Answer("It is ready sooner, and on one side first.", correct=True),
                Answer("Both are ready at the same time."),
                Answer("It needs longer than the other."),
            ),
            why=(
                "Warm dough lets go sooner. With heat from one side, half of it is slack while "
                "the other half is tight."
            ),
        ),
        Question(
            prompt="Egg dough stood on the warm bench all through service. What now?",
            answers=(
                Answer("Chill it fast and use it tomorrow."),
                Answer("Use it at once, while it is still good."),
                Answer("Bin it and say so.", correct=True),
            ),
            why=(
                "Germs grow in the warm, and cold does not undo it. "
                "Dough with egg belongs in the cold: {{safe_cold_holding}}. "
                "Your local authority decides."
            ),
        ),
    ),
    source_note=(
        "What a rest does to water and gluten is common knowledge of bakers. "
        "The dent test, the cover, the place and the signs are common practice, with no source. "
        "How long to rest is the house's own number. "
        "For one regional wheat noodle, Japan's label code for fresh noodles asks two hours or "
        "more. "
        "Raw flour: advice of the FDA and CDC. "
        "Cold and hand washing: the figures of your region below. "
        "Your local authority decides."
    ),
)
