"""Module for the head chef: looking, saying, reading the evidence, choosing limits, deciding."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Numbers, Question, Step

MODULE = Module(
    slug="judging-fairly",
    title="For the head chef: judging fairly",
    station_slug="head-chef",
    summary=(
        "Look first, say one thing, and decide by the same signs for all. "
        "The site measures. You decide."
    ),
    minutes_to_read=9,
    body=(
        Caution(
            kind="knife",
            text=(
                "You stand close to people with knives and boiling water. Stay out of their way, "
                "where you can still step in. "
                "Stop the work at once when someone could get hurt. Workplace law comes first."
            ),
        ),
        Numbers(names=("width", "thickness")),
        Step(
            title="Watch before you speak",
            drawing="chef-watch",
            drawing_alt=(
                "An open eye above the bench. Dashed lines run from it to the knife and to the "
                "folded sheet, and a sand glass stands by."
            ),
            do=(
                "Watch one whole batch from start to end. Do not help and do not correct. "
                "Only danger is a reason to step in. "
                "Write down what the hands did, not what you think of the cook."
            ),
            look_feel=(
                "Your notes name things that anyone could have seen: the knife leaned at each cut. "
                "Words such as careless or gifted are not in them."
            ),
        ),
        Step(
            title="Look at the same things in everyone",
            drawing="chef-same",
            drawing_alt=(
                "Two clipboards with the same four rows: dough, bench, water, knife. Each row has "
                "three circles, one of them filled."
            ),
            do=(
                "Rate the same four points each time. They are handling, order, hygiene, and "
                "safety with knife and heat. "
                "Judge each point alone. Met means that you would leave the cook alone with it. "
                "Do not rate handling or order if you did not see it. "
                "Hygiene and safety you must look at."
            ),
            look_feel=(
                "For each mark you can name what you saw. "
                "A friend and a newcomer with the same hands get the same marks."
            ),
        ),
        Step(
            title="Compare your eye with another",
            drawing="chef-apart",
            drawing_alt=(
                "One batch above, two clipboards below with a dashed line between them. Rings mark "
                "a row in which the marks differ."
            ),
            do=(
                "Now and then let two head chefs watch the same batch. "
                "Each rates it alone. Only then lay the sheets side by side. "
                "Where you differ, talk about what you saw. Agree on what met looks like."
            ),
            look_feel=(
                "Most marks are alike. Where they are not, both of you can say why. "
                "Next time you are closer."
            ),
        ),
        Step(
            title="Say one thing, at the bench",
            drawing="chef-say",
            drawing_alt=(
                "A sheet on the bench with a thick edge in a ring. A speech bubble shows the cure: "
                "a pin that rolls out to the edge."
            ),
            do=(
                "Speak soon after the batch, at the bench, and not before guests. "
                "Ask first: what would you change? Then name one thing that you saw. "
                "Say what it does in the pot, and show the step that mends it. "
                "End with what to keep."
            ),
            look_feel=(
                "The cook can say in their own words what to try next. "
                "You see it in the next batch. If not, your words were not clear."
            ),
        ),
        Step(
            title="Read the batches, then the number",
            drawing="chef-evidence",
            drawing_alt=(
                "A tablet with a band and dots for five batches. One dot of the first batch lies "
                "outside, in a ring. Below are two bars, partly filled."
            ),
            do=(
                "Look at the batches one by one, then at the balance of evidence of each part. "
                "Look for tools that were too coarse and for strands left out. "
                "Look for readings changed after the score. "
                "See which questions were missed. "
                "If you cannot tell, ask for one more batch."
            ),
            look_feel=(
                "You know the weakest part: width, thickness or water. "
                "You know if it was one bad day or is a habit."
            ),
        ),
        Step(
            title="Choose limits that good hands can keep",
            drawing="chef-tolerance",
            drawing_alt=(
                "A heap of widths, high in the middle, with a dashed limit on each side that can "
                "move both ways. Below, thin to thick strands above a bar in millimetres."
            ),
            do=(
                "The tolerance is how far a strand may be off. It belongs to the house. "
                "Measure batches of your best hands first. Nearly all of their strands should lie "
                "within it. "
                "Boil the thinnest and the thickest that you allow, in one pot. Would you serve "
                "them? "
                "Before you publish, see how past batches would have scored."
            ),
            look_feel=(
                "The limits are as wide as the pot allows and no wider. "
                "Some unevenness stays. It is the charm of the hand."
            ),
        ),
        Step(
            title="Decide, and answer for it",
            drawing="chef-sign",
            drawing_alt=(
                "Three full bars on the left of a dashed line. On the right a pen signs a sheet of "
                "paper."
            ),
            do=(
                "The site counts. It never decides. Full evidence is not yet a sign-off. "
                "Sign when the evidence is full and you have seen safe hands yourself. "
                "And you would leave this cook alone on a full evening. "
                "If one of these is missing, wait, and say which. "
                "Nobody can sign themselves off."
            ),
            look_feel=(
                "You can give your reason in one sentence. You would give the same one for any "
                "other cook."
            ),
        ),
        Caution(
            kind="allergens",
            text=(
                "Who holds a station must know what is in each bowl. Ask before you sign. "
                "A score or a sign-off speaks of even work and safe hands. "
                "It is no food-safety licence. What local law asks for comes on top."
            ),
        ),
        Fault(
            see="All your marks are alike, sheet after sheet.",
            tell=(
                "The readings differ, but your marks do not. "
                "If the cook is truly even, the readings are even too."
            ),
            cause="One strong point, a kind heart or a short evening has coloured them all.",
            remedy=(
                "Rate one point at a time, with one thing seen for each. "
                "Leave handling or order empty if you did not see it."
            ),
            drawing="chef-fault-alike",
            drawing_alt=(
                "Two clipboards on which the same circle is filled in every row. A frame runs "
                "round each filled column."
            ),
        ),
        Fault(
            see="Your best cook fails the tolerance.",
            tell=(
                "If all good hands fail, the limits or the tool are at fault. "
                "If one of them fails, look at that hand."
            ),
            cause="The limits were wished for, not measured.",
            remedy=(
                "Check the tool with a known piece. Measure your best hands. "
                "Publish a new version with limits they can keep. Old batches keep theirs."
            ),
            drawing="chef-fault-tight",
            drawing_alt=(
                "A heap of widths between two limits that stand too close. Rings mark the many "
                "widths outside on both sides."
            ),
        ),
        Fault(
            see="The cook gets worse after you spoke.",
            tell=(
                "A short dip is a cook who tries something new. "
                "If it lasts, the advice was wrong or there was too much of it."
            ),
            cause="You named several things at once, or a sign that the cook cannot see.",
            remedy="Take back all but one. Show it with your own hands, then watch again.",
        ),
        Fault(
            see="Two head chefs judge the same cook in different ways.",
            tell=(
                "If they differ on one point, its words are not clear. "
                "If they differ on all, one of them is stricter."
            ),
            cause="They never looked at the same batch and talked about it.",
            remedy=(
                "Rate one batch, each alone, then compare. Write down what met looks like, with an "
                "example."
            ),
        ),
        Fault(
            see="The numbers are good, but you would not leave the cook alone.",
            tell=(
                "Try to name what you saw. If you can, it is an observation. "
                "If you cannot, it is only a feeling, so look again."
            ),
            cause="No caliper reads order, clean hands or calm in a full house.",
            remedy=(
                "Do not sign. Tell the cook what you still need to see. Watch again, in service."
            ),
        ),
        Fault(
            see="A cook who was signed off slips back.",
            tell=(
                "Look at several batches, and check tool and flour. "
                "One poor batch can happen to anyone."
            ),
            cause="Habits fade without practice, or the standard has changed.",
            remedy=(
                "Speak with the cook and agree on practice. If guests or people are at risk, "
                "withdraw the sign-off and give the reason."
            ),
        ),
        Question(
            prompt="The evidence is full. The cook asks why no sign-off came. What do you say?",
            answers=(
                Answer("The site will do it tonight."),
                Answer("The batches speak for you. Now I watch, and then I decide.", correct=True),
                Answer("You need a higher score."),
            ),
            why=(
                "Full evidence says that enough was measured. What you see with your own eyes "
                "comes on top. A person decides."
            ),
        ),
        Question(
            prompt="A new branch opens tomorrow. The cook for it is nearly there. What now?",
            answers=(
                Answer("Sign. It is only a matter of days."),
                Answer("Lower the tolerance for that branch."),
                Answer("Do not sign. Send someone who holds the station.", correct=True),
            ),
            why=(
                "A date is no evidence. Guests of the new branch have a right to the same hands. "
                "The readiness board shows who can go."
            ),
        ),
        Question(
            prompt="The strands are perfect, but a knife lies in the sink. How do you rate safety?",
            answers=(
                Answer("Not met, and I say so at once.", correct=True),
                Answer("Met. The work was very good."),
                Answer("I leave it out this time."),
            ),
            why=(
                "Each point is judged alone. Good strands do not make a hidden blade safe. "
                "Danger is named on the spot."
            ),
        ),
        Question(
            prompt="Which sentence helps the cook most?",
            answers=(
                Answer("Good work, but take more care."),
                Answer("From the middle on the knife leaned. Look along the blade.", correct=True),
                Answer("Rolling is not your strong side."),
            ),
            why="It names what was seen and what to do. The others leave the cook to guess.",
        ),
        Question(
            prompt="On one day the scores of all cooks fall. Where do you look first?",
            answers=(
                Answer("At the cooks. They were careless."),
                Answer("At the tolerance. It is too tight."),
                Answer("At tool, flour and room.", correct=True),
            ),
            why="What strikes all at once has one cause. Hands do not fail together on one day.",
        ),
        Question(
            prompt="The power failed, and a cook had to give up a batch. What is fair?",
            answers=(
                Answer("Leave it as given up. Rules are rules."),
                Answer("Excuse it, and write down the reason.", correct=True),
                Answer("Type in readings that seem right."),
            ),
            why=(
                "A batch that is given up costs points, so that nobody drops poor ones. "
                "A power cut says nothing about the hand. The reason shows that."
            ),
        ),
        Question(
            prompt="You came in when the cook began to cut. How do you rate the handling of dough?",
            answers=(
                Answer("I leave what I did not see, and say so.", correct=True),
                Answer("Met. The sheet looks good."),
                Answer("I ask the cook how it went."),
            ),
            why="A mark for what you did not see is a guess. Come back for a whole batch.",
        ),
    ),
    source_note=(
        "How to watch, speak and compare marks is common practice of trainers, with no source. "
        "Rating apart and comparing afterwards is how studies of agreement between judges are "
        "made. "
        "That limits come from measured work is common practice of quality control, with no "
        "source. "
        "What thin and thick strands do in the pot: a flour merchant states that boiling time "
        "rises with area. "
        "Observations, renewal and limits are settings of the house. "
        "The rule for evidence is explained on the page of results."
    ),
)
