"""Module: boiling in plenty of water, and telling when the strands are done."""

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
    slug="boiling-the-noodles",
    title="Boiling the noodles",
    station_slug="boiling",
    summary=(
        "Give the strands plenty of water and keep it at a full boil. "
        "Then trust the cut strand, not the clock alone."
    ),
    minutes_to_read=9,
    body=(
        Caution(
            kind="boiling_water",
            text=(
                "Boiling water and steam burn in a moment. Keep your face and arms out of the "
                "steam. "
                "Turn handles inward. Say “hot, behind you” before you move. "
                "Cool a burn at once: {{safe_burn_cooling}}. "
                "Get help when it is deep or large, or on a face, hand or foot. "
                "Workplace law and trained first aid come first."
            ),
        ),
        Caution(
            kind="allergens",
            text=(
                "The water keeps flour from every noodle that was in it. "
                "Noodles from that pot are not free of wheat or buckwheat. "
                "Use a pot, basket and sticks of their own, and say so at the pass. "
                "If you cannot, tell the guest so. Local food law comes first."
            ),
        ),
        Numbers(names=("portion", "boil_time", "width", "thickness")),
        Step(
            title="Match the load to the pot",
            drawing="boil-load",
            drawing_alt=(
                "One loose portion on a scale beside a wide pot of water. "
                "Above them, one small block of noodle stands against ten blocks of water."
            ),
            do=(
                "Weigh what goes in at one time. One portion is {{portion}}. "
                "The water should weigh at least ten times as much. More is better. "
                "Cook in two loads when the pot is too small. "
                "Fill it no higher than the mark, so that it has room to boil."
            ),
            look_feel=(
                "The strands can swim in all parts of the pot. "
                "You can stir without lifting the whole load."
            ),
        ),
        Caution(
            kind="lifting",
            text=(
                "Never carry a pot of hot water alone. Fill it and drain it where it stands. "
                "Let it cool before you move it."
            ),
        ),
        Step(
            title="Wait for a full boil",
            drawing="boil-full",
            drawing_alt=(
                "Two pots on a flame. The first is still, with a few beads at the bottom. "
                "The second is full of large bubbles and steams hard."
            ),
            do=(
                "Heat the water with the lid on. Take the lid off away from you, far edge first. "
                "Wait until the whole surface rolls. "
                "Add no salt. Salted strands are meant to lose theirs to the water."
            ),
            look_feel=(
                "Large bubbles break all over, not just at the rim. "
                "You cannot stir them away. Small beads at the bottom are too early."
            ),
        ),
        Step(
            title="Drop the strands in loose",
            drawing="boil-drop",
            drawing_alt=(
                "A tray tilts over a boiling pot. Loose strands slide off and fall in apart from "
                "each other."
            ),
            do=(
                "Shake off loose starch away from the pot. "
                "Hold the tray low over the water and close to it. "
                "Let the strands slide in along the far side, a few at a time. "
                "Start the timer when the last one is in."
            ),
            look_feel=(
                "They sink one by one, and nothing splashes. "
                "The boil dies down for a moment. A clump that lands whole stays a clump."
            ),
        ),
        Timer(label="Boil, from the last strand in", source="boil"),
        Step(
            title="Stir once from the bottom",
            drawing="boil-stir",
            drawing_alt=(
                "A pot cut open. Long sticks reach down to strands on the floor. "
                "Arrows show the strands lifted up and turned once."
            ),
            do=(
                "Take long sticks. Go down to the floor of the pot and lift. "
                "Do it within the first moments, before the strands can stick. "
                "Go round once, then take your hands away. "
                "Thin buckwheat breaks when it is stirred. Just part it."
            ),
            look_feel=(
                "Nothing drags on the floor of the pot. "
                "Thick strands soon rise, and from then on the boil moves them for you."
            ),
        ),
        Step(
            title="Keep the boil alive",
            drawing="boil-keep",
            drawing_alt=(
                "A pot at the boil on a flame, with a timer. Arrows rise in the middle and turn "
                "outward, and strands move with them."
            ),
            do=(
                "Use full heat until the water rolls again. "
                "Then turn it down just so far that the foam stays in the pot. "
                "If foam climbs, lower the heat. "
                "A splash of cold water, called sashimizu, also stops it. "
                "Use it only when you must, for it stops the boil as well."
            ),
            look_feel=(
                "Strands rise in the middle and sink at the wall. "
                "If they lie still, there is too little heat. If they whip about, they will tear."
            ),
        ),
        Step(
            title="Skim, and renew the water",
            drawing="boil-skim",
            drawing_alt=(
                "A ladle lifts foam from the surface of a pot. A jug pours fresh water in on the "
                "other side."
            ),
            do=(
                "Lift off thick foam with a ladle. "
                "Top up with hot water, never with so much that the boil stops. "
                "Change the water as soon as it turns thick. Let it cool before you pour it out. "
                "Hot water scalds: drain it only by a valve with a closed pipe, with nobody near. "
                "Boil alkaline noodles last, for they change the water."
            ),
            look_feel=(
                "Good water is cloudy but runs off the ladle like water. "
                "Tired water falls in a slow string, smells of paste and boils over."
            ),
        ),
        Caution(
            kind="wet_floor",
            text=(
                "Water and starch make the floor slick in front of the pot. "
                "Wipe it between loads. Wear shoes that grip and cover the foot."
            ),
        ),
        Step(
            title="Cut one strand and look",
            drawing="boil-test",
            drawing_alt=(
                "Sticks hold a strand, with a line where it is cut. Three cut ends show a large "
                "white core, a small one and none. Below is a bar in millimetres."
            ),
            do=(
                "The house time is {{boil_time}}. Start to test a little before it. "
                "Take the thickest strand you can find. Cool it in cold water and cut it across. "
                "Look at the cut end, then bite it. Test a second strand."
            ),
            look_feel=(
                "A white core is raw starch. A pin point is nearly there. "
                "When the end has one colour and springs back in your teeth, it is done."
            ),
        ),
        Step(
            title="Know thick from thin",
            drawing="boil-sizes",
            drawing_alt=(
                "Two square cut ends. The small one has one sand glass below it. The one twice as "
                "wide and as thick has four."
            ),
            do=(
                "Look at the width of today's cut: {{width}}. "
                "A strand twice as wide and twice as thick needs about four times as long. "
                "So a small step in size is a large step in time. "
                "Boil thick and thin kinds apart. Judge a mixed cut by its thickest strands."
            ),
            look_feel=(
                "Thin strands go from done to soft in a few breaths. "
                "Thick ones wait for you, but their core takes its time."
            ),
        ),
        Step(
            title="Lift them all at once",
            drawing="boil-lift",
            drawing_alt=(
                "A deep basket of strands rises from the pot and drips. "
                "Steam drifts to the side away from its handle."
            ),
            do=(
                "Have the cold water or the warm bowl ready first. "
                "Use a deep basket, called a tebo, or a wide scoop. "
                "Lift the whole load in one go, and let it drip over the pot. "
                "Tip it away from your body. Keep your sleeves clear of the rim."
            ),
            look_feel=(
                "The basket is heavy, then light as the water runs out. "
                "The strands shine and hang loose. They go on cooking until they are cooled."
            ),
        ),
        Fault(
            see="Strands stick together in a clump.",
            tell=(
                "The clump is raw where the strands touch, and you can peel it apart. "
                "Strands that are joined at one end only were never cut through."
            ),
            cause=(
                "They fell in as one bundle, or the water was not at a full boil. "
                "Or the load was too large."
            ),
            remedy=(
                "Part them with sticks at once. A clump that has set is lost. Take it out. "
                "Next time shake them loose, and cook less in one load."
            ),
            drawing="boil-clump",
            drawing_alt=(
                "A pot of still water. A ring marks strands that lie side by side in one thick "
                "bundle."
            ),
        ),
        Fault(
            see="Strands break in the pot.",
            tell=(
                "Short bits float, with rough ends. "
                "If they were whole in the tray, it is the pot. "
                "If the bits are all of one length, they broke at the folds."
            ),
            cause=(
                "Too much stirring, or a boil that is too wild. "
                "Or the dough was dry, or the buckwheat was not bound well."
            ),
            remedy=(
                "Stir once and then leave them. Turn the heat down a little. "
                "If they still break, look back at the mixing of this batch."
            ),
            drawing="boil-broken",
            drawing_alt=(
                "Above, one long strand with its length marked. Below, a boiling pot full of "
                "short pieces."
            ),
        ),
        Fault(
            see="The outside is soft and the core is hard.",
            tell=(
                "The cut end has a white core, but the skin comes off in your teeth. "
                "A strand that is only short of time has a firm skin too."
            ),
            cause=(
                "The water did not boil for part of the time, so the skin soaked. "
                "Or a cold load stopped the boil."
            ),
            remedy=(
                "This load cannot be saved by more time. "
                "Cook a smaller one, in more water, at full heat. "
                "Time it from the last strand in, and watch for the boil to come back."
            ),
        ),
        Fault(
            see="Some strands are soft while others have a core.",
            tell=(
                "Lay a soft and a hard one side by side. One is clearly thicker. "
                "If they are alike, one lay in a clump."
            ),
            cause="The sheet or the cut was uneven, so the strands need different times.",
            remedy=(
                "Serve by the head chef's word only. Measure the batch again. "
                "Work on even thickness first, then on an even cut."
            ),
        ),
        Fault(
            see="The surface is rough and slimy, and the pot boils over.",
            tell=(
                "The water falls from the ladle in a string. "
                "If the water is clear and they are slimy, look at the washing."
            ),
            cause="The water is full of starch, from many loads or from strands with much dust.",
            remedy=(
                "Lower the heat and skim. Change the water before the next load. "
                "Shake off the starch better."
            ),
            drawing="boil-over",
            drawing_alt=(
                "Foam swells out of a pot and runs down its wall. "
                "An arrow turns the knob of the flame down."
            ),
        ),
        Question(
            prompt="Six orders come in at once. The pot holds water for three. What do you do?",
            answers=(
                Answer("Cook all six and stir well."),
                Answer("Cook three, let it boil again, then cook three.", correct=True),
                Answer("Cook all six for a little longer."),
            ),
            why=(
                "A large load stops the boil. The skins soak before the core is done, "
                "and more time makes that worse. Two good loads are faster than one bad one."
            ),
        ),
        Question(
            prompt=(
                "The timer has run out. The cut end still has a white point. What do you trust?"
            ),
            answers=(
                Answer("The cut end. I test again in a moment.", correct=True),
                Answer("The timer. I lift them now."),
                Answer("The colour of the water."),
            ),
            why=(
                "The time is set for strands on target. Today's strands may be a little thicker. "
                "The core tells what these ones need."
            ),
        ),
        Question(
            prompt="Foam climbs to the rim. What is the first thing to do?",
            answers=(
                Answer("Put the lid on."),
                Answer("Pour in a jug of cold water."),
                Answer("Turn the heat down a little.", correct=True),
            ),
            why=(
                "Less heat stops the foam and keeps the boil. "
                "Much cold water stops the boil, and a lid makes the foam rise faster."
            ),
        ),
        Question(
            prompt="A new cut is a little thicker than usual. How do you plan the boil?",
            answers=(
                Answer("The same time. A little does not matter."),
                Answer("A little longer, and I test early and often.", correct=True),
                Answer("A hotter flame for the same time."),
            ),
            why=(
                "Time rises with the area of the cut end, so it rises faster than the width. "
                "Water at the boil gets no hotter, whatever the flame."
            ),
        ),
        Question(
            prompt="A guest must not eat wheat. Can you cook pure buckwheat in the wheat pot?",
            answers=(
                Answer("Yes, if I skim it first."),
                Answer("Yes, if it boils hard. Heat takes care of it."),
                Answer("No. It needs clean water and tools of its own.", correct=True),
            ),
            why=(
                "Boiling does not take allergens away. "
                "The water holds flour from the loads before. Tell the guest what you cannot do."
            ),
        ),
        Question(
            prompt="The strands lie still on the floor of the pot. What do you do first?",
            answers=(
                Answer("Lift them with the sticks and raise the heat.", correct=True),
                Answer("Stir fast until they are done."),
                Answer("Leave them. They will float by and by."),
            ),
            why=(
                "Strands that lie still stick to the floor and to each other. "
                "One lift frees them, and the boil does the rest. Fast stirring tears them."
            ),
        ),
    ),
    source_note=(
        "Ten times the water, by weight, is common practice. Two makers of thick wheat noodles "
        "state it, and call more ideal. "
        "Four times as long for twice the size follows from the area of the cut end. "
        "A flour merchant states that rule. A published table for dried noodles has the same "
        "form. "
        "Alkaline noodles last: a dealer in kitchen equipment. "
        "Stirring, skimming and the signs of a done strand are common practice, with no source. "
        "Pots and tools for allergens, lifting, and shoes are common practice. "
        "First aid for burns: the figure and its source are with the house's food-safety set. "
        "Your local authority decides."
    ),
)
