"""Module: all-buckwheat noodles made apart from wheat."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Numbers, Question, Step

MODULE = Module(
    slug="all-buckwheat-without-wheat",
    title="All buckwheat, without wheat",
    station_slug="mixing-and-treading",
    summary=(
        "Keep wheat out from sack to bowl. Bind pure buckwheat with hot water, close it fast, "
        "roll it short and cook it at once."
    ),
    minutes_to_read=8,
    body=(
        Caution(
            kind="allergens",
            text=(
                "Do not promise “gluten-free” in a kitchen that also works wheat. "
                "Flour dust hangs in the air for hours. Such a claim needs local rules, a written "
                "plan and tests of the finished dish. "
                "Buckwheat itself can make a guest very ill. Tell every guest. "
                "Local law and your local authority decide."
            ),
        ),
        Numbers(names=("hydration", "thickness", "width", "portion", "boil_time")),
        Step(
            title="Set up a bench of its own",
            drawing="gluten-free-bench",
            drawing_alt=(
                "A wall parts two benches. On the left is a dusty sack. On the right a closed box "
                "with a mark carries a pin, a bowl and a brush."
            ),
            do=(
                "Work in a room of its own, or first thing in the day, before any wheat is opened. "
                "Put on clean clothes and wash your hands: {{safe_handwash}}. "
                "Wheat dust of the evening before may lie all about, so wipe shelves and bench "
                "wet first. Use only the marked set: bowl, pin, board, knife, sieve, "
                "cloth. "
                "It stays in a closed box. Wood that met wheat cannot be made clean, so it stays "
                "out."
            ),
            look_feel=(
                "A wet finger drawn over bench, shelf and scale picks up no white. "
                "Every tool in your hand carries the mark."
            ),
        ),
        Step(
            title="Check the flour and everything else",
            drawing="gluten-free-flour",
            drawing_alt=(
                "A closed sack with a label. A round inset shows the lines of the label larger. "
                "Beside it stands a closed tub with a mark."
            ),
            do=(
                "Read the label of each sack. Many mills grind wheat too. "
                "Ask the mill for its test of this lot and keep the paper. "
                "Fill the flour into the marked, closed tub. Its scoop stays inside. "
                "Check the dusting flour, the soy sauce and the stock too. Most soy sauce holds "
                "wheat."
            ),
            look_feel=(
                "You can show a paper for each thing that goes into the bowl. "
                "If one is missing, that thing stays out."
            ),
        ),
        Caution(
            kind="flour_dust",
            text=(
                "Buckwheat dust can set off asthma and bad allergies in cooks. "
                "Tip it slowly and wipe up wet. Stop and get help if you wheeze or itch. "
                "Workplace law comes first."
            ),
        ),
        Step(
            title="Hot water first, then cool",
            drawing="gluten-free-water",
            drawing_alt=(
                "A steaming jug pours hot water into the middle of a bowl of flour. Chopsticks "
                "stir it, and an arrow shows the way."
            ),
            do=(
                "Weigh all the water: {{hydration}}. "
                "Heat the part that the recipe says and pour it, boiling, into the middle. "
                "Stir fast with chopsticks, not with your hand. "
                "Then sprinkle in the cool rest and go on with open fingers, until beads form."
            ),
            look_feel=(
                "The hot part turns to a sticky paste. That paste is the glue of this dough. "
                "The beads are moist and dark, and no pale flour is left."
            ),
        ),
        Caution(
            kind="boiling_water",
            text=(
                "Hot paste sticks to the skin and goes on burning. "
                "Stir with a tool until it is only warm. "
                "For a burn: {{safe_burn_cooling}}. Workplace law comes first."
            ),
        ),
        Step(
            title="Gather and close the ball",
            drawing="gluten-free-close",
            drawing_alt=(
                "Beads in a bowl become a lump with pleats pressed to the middle. Then it is "
                "turned into a smooth cone."
            ),
            do=(
                "Gather the beads and press them into one lump while it is warm. "
                "Knead it firmly, always from the rim to the middle, until the skin is smooth. "
                "Roll it on its side to a cone, so that the pleats meet in the tip. "
                "Press the tip down into a flat ball. Do not let it wait."
            ),
            look_feel=(
                "The skin shines and has no crack. "
                "Press the rim. It gives like soft clay and does not split."
            ),
        ),
        Step(
            title="Roll it short and thicker",
            drawing="gluten-free-roll",
            drawing_alt=(
                "A small round of dough under a pin. A wide dashed circle round it shows how large "
                "a wheat sheet would be. A ring marks a crack at the edge."
            ),
            do=(
                "Take a small ball. Press it flat from the middle and keep the rim whole. "
                "Roll with short, light strokes and turn it often. "
                "Close each crack at once with a damp finger. "
                "Do not wind it tight on the pin and do not stretch it. The house wants "
                "{{thickness}}."
            ),
            look_feel=(
                "The sheet slides and keeps its shape. It never pulls back. "
                "When you lift it, it breaks, so move it on the pin or on a board."
            ),
        ),
        Step(
            title="Cut short, cook at once",
            drawing="gluten-free-cut",
            drawing_alt=(
                "A marked knife above a sheet that is folded in three layers only. Beside it are "
                "short strands between two dashed lines."
            ),
            do=(
                "Dust with buckwheat from the marked tub. Fold in few layers, with round folds. "
                "Cut straight down: {{width}}. Weigh the portions: {{portion}}. "
                "Cook them at once in a marked pot of fresh water, for {{boil_time}}. "
                "Do not stir until they rise. Cool and serve them with marked tools only."
            ),
            look_feel=(
                "Strands are short, and break at a sharp bend. That is the nature of this dough. "
                "In the pot they rise whole, and the water stays free of bits."
            ),
        ),
        Caution(
            kind="knife",
            text=(
                "Soft dough asks for no force. Let the blade fall. "
                "Keep your fingertips bent and away from the fence. Workplace law comes first."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=("Buckwheat flour is raw too. Do not taste the dough. Wash your hands after it."),
        ),
        Fault(
            see="The strands break into short bits in the pot.",
            tell=(
                "Bits with clean ends broke on the board or at a fold. "
                "Bits with frayed ends fell apart in the water."
            ),
            cause="The flour was not bound: too little hot paste, or water that was not hot.",
            remedy=(
                "Pour the hot part at a full boil and stir at once. "
                "Use fresh flour, and do not stir the pot before they rise."
            ),
        ),
        Fault(
            see="The rim cracks while you roll.",
            tell=(
                "Short cracks all round mean a dry dough. "
                "One deep split runs along an old pleat that was not closed."
            ),
            cause="The ball was not closed, or it waited in dry air.",
            remedy=(
                "Press the crack shut with a damp finger. Cover the ball. "
                "Close the cone fully next time."
            ),
        ),
        Fault(
            see="The dough is a sticky paste all over.",
            tell=(
                "It smears on your palm and has no beads in it. "
                "A few sticky spots only mean that the hot water was not spread."
            ),
            cause="All of the water was hot, or it was too much.",
            remedy=(
                "It will not cut well. Cover it and keep it cold for dumplings: "
                "{{safe_cold_holding}}. "
                "Use it within the time of the house plan, with the marked tools. "
                "Next time heat only the part that the recipe says."
            ),
        ),
        Fault(
            see="The marked pot or basket was used for wheat.",
            tell=(
                "The water is white and thick, or a wheat strand sticks in the mesh. "
                "Clear water proves nothing. Ask who used it."
            ),
            cause="The set was not put away, or someone was in a hurry.",
            remedy=(
                "Stop. Do not serve this dish to a guest who must avoid wheat. Tell the head chef. "
                "Wash what is smooth, and replace mesh and wood. "
                "The set stays out of use until the head chef decides."
            ),
            drawing="gluten-free-pot",
            drawing_alt=(
                "How it should be: a pot of boiling noodles with a mark on its handle. "
                "The basket beside it has the same mark."
            ),
        ),
        Question(
            prompt=(
                "A guest with coeliac disease asks if the noodles are gluten-free. "
                "You also make wheat noodles here. What do you say?"
            ),
            answers=(
                Answer("Yes, they are all buckwheat."),
                Answer(
                    "I cannot promise it, as we work wheat here. I ask the head chef.",
                    correct=True,
                ),
                Answer("Yes, if I wash the bench now."),
            ),
            why=(
                "All buckwheat tells what is in the recipe, not what fell into it. "
                "Only a plan and tests by local rules allow the promise."
            ),
        ),
        Question(
            prompt="Your own wooden pin has been washed well. May it go into the marked set?",
            answers=(
                Answer("Yes, if it is dry."),
                Answer("Yes, if it was oiled."),
                Answer("No. Wheat stays in the grain of the wood.", correct=True),
            ),
            why="You cannot wash out the cracks of old wood. The set has a pin of its own.",
        ),
        Question(
            prompt="The flour has no wheat in it. What else in the bowl can carry wheat?",
            answers=(
                Answer("Soy sauce in the dip, and the cooking water.", correct=True),
                Answer("Nothing else."),
                Answer("Only the chopsticks."),
            ),
            why=(
                "Most soy sauce is brewed with wheat. A shared pot carries it too. "
                "Follow each thing to the guest."
            ),
        ),
        Question(
            prompt="Why is part of the water poured in at the boil?",
            answers=(
                Answer("It kills the germs in the flour."),
                Answer("It makes a paste that binds the flour.", correct=True),
                Answer("It keeps the dough warm for rolling."),
            ),
            why=(
                "Buckwheat has no gluten. Its starch swells in hot water and holds the rest. "
                "It is not heated enough to be safe raw."
            ),
        ),
        Question(
            prompt="The ball is closed, and a large order of wheat noodles comes in. What now?",
            answers=(
                Answer("I make the wheat noodles on the next bench and come back."),
                Answer("I cover the ball and wait until the dust has settled."),
                Answer("I finish and put the set away before wheat is opened.", correct=True),
            ),
            why=(
                "Open wheat puts dust on your dough and sleeves. "
                "This dough cannot wait either, for it cracks when it dries."
            ),
        ),
        Question(
            prompt=(
                "A guest with an allergy to buckwheat hears “no wheat” and is glad. What do you do?"
            ),
            answers=(
                Answer("I say clearly that it is all buckwheat.", correct=True),
                Answer("I serve it. It has no wheat."),
                Answer("I rinse the noodles twice."),
            ),
            why=(
                "Buckwheat can stop the breath of a guest with this allergy. "
                "Free of one thing does not mean safe."
            ),
        ),
    ),
    source_note=(
        "Hot water, closing the ball, rolling short and the signs are common practice, with no "
        "source. That flour dust hangs in the air for hours is from memory. "
        "“Gluten-free” means 20 mg of gluten per kg at most in EU and UK law (Regulation "
        "828/2014). In the US it means less than that (21 CFR 101.91). "
        "Rules differ by country, so ask your local authority before you claim anything. "
        "Buckwheat must be named by law in Japan. It is not on the EU, UK or US lists. "
        "Lists change, so look at the one in force. Hands, cold and burns: "
        "the food-safety set of your region."
    ),
)
