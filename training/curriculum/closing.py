"""Module: dough and flour put away, tools and bench cleaned, the day written down."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Question, Step

MODULE = Module(
    slug="closing-the-bench",
    title="Closing the bench",
    station_slug="mixing-and-treading",
    summary=(
        "Leave the bench so that the next cook can start with clean tools, safe dough and a true "
        "record."
    ),
    minutes_to_read=8,
    body=(
        Caution(
            kind="knife",
            text=(
                "Tired hands get cut. Clean and put away the knife yourself, before the rest. "
                "Do not leave it in a sink, under a cloth or on a pile. Workplace law comes first."
            ),
        ),
        Caution(
            kind="allergens",
            text=(
                "Clean wheat tools and buckwheat tools one after the other, each with its own "
                "cloth. Change the water in between. "
                "Local food-safety law and licensed advice come first."
            ),
        ),
        Step(
            title="Put the dough away first",
            drawing="close-dough",
            drawing_alt=(
                "A wrapped ball of dough with a tag, on the shelf of a cold store. "
                "A thermometer hangs beside it."
            ),
            do=(
                "Wrap what is left tight, in clean film made for food. "
                "Write style, batch, day and time on a tag, with your name. "
                "Put it in the cold: {{safe_cold_holding}}. "
                "Keep it as long as the house plan says. "
                "For chilled food your region says: {{safe_keep_days}}. "
                "The shorter time counts. "
                "Set raw dough below food that is ready to eat. "
                "Throw out what stood warm too long. Cold does not make it good again."
            ),
            look_feel=(
                "The film lies close, with no pocket of air. "
                "Another cook can read the tag and knows what to use first."
            ),
        ),
        Caution(
            kind="warm_food",
            text=(
                "Dough with egg and cut noodles do not wait on the bench while you clean. "
                "Put them in the cold first: {{safe_cold_holding}}. "
                "Chill hot stock at once, as the module “Making stock” shows. "
                "Your local authority decides."
            ),
        ),
        Step(
            title="Close and store the flour",
            drawing="close-flour",
            drawing_alt=(
                "Two closed flour tubs and a new sack stand on a low rack, off the floor. "
                "An arrow runs from new to old."
            ),
            do=(
                "Put each lid on, with its scoop clean and dry. "
                "Keep flour off the floor and off the wall, dry, cool and away from strong smells. "
                "Set new stock behind old. Empty and clean a tub before you refill it. "
                "Store wheat and buckwheat in places of their own, never one above the other. "
                "Keep buckwheat cold, dark and well closed, for it goes stale soon. "
                "Throw away used dusting starch that dough has touched."
            ),
            look_feel=(
                "The lids click or sit tight. No trail of flour leads to a tub. "
                "The oldest lot is in front, and its label faces you."
            ),
        ),
        Caution(
            kind="lifting",
            text=(
                "Do not carry a full tub alone. Roll it, or take a second person. "
                "Bend your knees and look where you step."
            ),
        ),
        Step(
            title="Wipe down the pin",
            drawing="close-pin",
            drawing_alt=(
                "A hand draws a cloth along a rolling pin. Arrows show the way, from end to end."
            ),
            do=(
                "Scrape dough off with a plastic edge, along the grain. "
                "Wipe the pin with a damp cloth, from end to end. Then wipe it with a dry one. "
                "Do not soak it, and keep it out of the machine. "
                "Let it dry in the air. Lay it flat or hang it by its end, away from heat."
            ),
            look_feel=(
                "Your dry palm slides along it and meets no rough or sticky spot. It has no smell."
            ),
        ),
        Step(
            title="Wash and stand up the board",
            drawing="close-board",
            drawing_alt=(
                "A board stands on edge in a rack and drips. Arrows show air on both sides."
            ),
            do=(
                "Scrape the board. Scrub both faces with hot water and soap, and rinse. "
                "Use the house's sanitiser, for as long as its label says. "
                "Stand the board on edge, so that air reaches both faces, and let it dry. "
                "Wipe it only if the label allows it, with a clean cloth. "
                "Wash the guide board in the same way."
            ),
            look_feel=(
                "The faces dry at the same pace and look alike. "
                "In light from low at the side, you see no film of starch in the cuts."
            ),
        ),
        Step(
            title="Clean the knife",
            drawing="close-knife",
            drawing_alt=(
                "A knife lies flat on a board with its edge away. A hand with a cloth wipes from "
                "the back out past the edge."
            ),
            do=(
                "Lay the knife flat, edge away from you. "
                "Wipe from the back out over the edge with a thick, folded cloth. "
                "Turn it and do the other face. Never wipe along the edge. "
                "Wash it by hand with soap, rinse it, and dry it at once. "
                "Oil a carbon blade thinly with food-grade oil, if it rests for long. "
                "Put on the guard and hang it in its rack."
            ),
            look_feel=(
                "The blade is dry right up to the grip. The grip is dry too. "
                "Nothing white is left where blade and grip meet."
            ),
        ),
        Step(
            title="Sort out film and socks",
            drawing="close-film",
            drawing_alt=(
                "Film hangs from a line with light behind it. A ring marks a hole. "
                "Film for single use lies in the bin."
            ),
            do=(
                "Throw away film made for one use. "
                "Wash a strong bag on both sides, rinse it and hang it up. "
                "Hold it to the light when it is dry. Throw it away if you find a hole. "
                "Put treading socks, cloths and aprons in the wash, wheat and buckwheat apart."
            ),
            look_feel=(
                "The film is clear, dry and whole, and feels smooth on both sides. "
                "If a piece is missing, keep the dough back and look for it."
            ),
        ),
        Step(
            title="Clear bench and floor",
            drawing="close-bench",
            drawing_alt=(
                "A bench from above. A scraper gathers crumbs. An arrow winds to and fro from the "
                "back to the front, beside a cloth."
            ),
            do=(
                "Scrape up dry bits and bin them. Keep dough out of the drain. "
                "Wash, rinse and sanitise the bench, from the clean end to the dirty end. "
                "Wipe in lanes that overlap. Turn the cloth for each lane. "
                "Work from high to low, with the floor last. "
                "Take flour up with a vacuum made for fine dust or a damp mop."
            ),
            look_feel=(
                "Let light fall low from the side and look along the bench. It shows no streak. "
                "Your dry palm comes away clean. The floor does not slip."
            ),
        ),
        Caution(
            kind="chemicals",
            text=(
                "Set out the sign before you mop. Carry nothing sharp or hot across a wet floor. "
                "Wear gloves and goggles where the label of a cleaner asks for them. "
                "Never mix two cleaners."
            ),
        ),
        Step(
            title="Write down the day",
            drawing="close-records",
            drawing_alt=(
                "A thermometer beside a clipboard. Four lines are ticked. A ring marks the one "
                "that is still open, next to a pencil."
            ),
            do=(
                "Log each batch, the bad ones too. Note the lots you opened. "
                "Read the cold store yourself and write what it shows, with the time. "
                "Note what broke, what runs short and what is due for sharpening. "
                "Write down what went wrong and what you did. Then sign."
            ),
            look_feel=(
                "A cook who was not here could take over from your notes. "
                "Each figure was read, not guessed."
            ),
        ),
        Fault(
            see="The pin is sticky or furry in spots.",
            tell=(
                "Sticky spots come off with a damp cloth, for they are old dough. "
                "Fur stays. It is wood that swelled and rose. Dark dots that smell are mould."
            ),
            cause="The pin was put away damp, or lay in water.",
            remedy=(
                "Clean and dry it in the air. Have fur smoothed with fine paper and wiped. "
                "Take a mouldy or cracked pin out of use."
            ),
        ),
        Fault(
            see="The board rocks in the morning.",
            tell=(
                "Both ends stand up and the middle touches, or the other way round. "
                "If it rocks only on one spot of the bench, look at the bench."
            ),
            cause="It dried flat on its back, so one face dried before the other.",
            remedy=(
                "Damp the hollow face and stand the board on edge until it is even. "
                "If it stays bent, do not cut on it."
            ),
            drawing="close-fault-board",
            drawing_alt=(
                "A bent board touches the bench in its middle only. Rings mark both raised ends."
            ),
        ),
        Fault(
            see="The blade has spots.",
            tell=(
                "Orange dust that comes off on a cloth is rust. "
                "A smooth grey or blue veil on carbon steel is normal, and protects it."
            ),
            cause="It was left wet or salty, if only for a short time.",
            remedy=(
                "Rub rust off with a fine rust rubber, from the back out. Wash, dry and oil it. "
                "Show pits in the edge to the head chef."
            ),
        ),
        Fault(
            see="Yesterday's dough looks grey.",
            tell=(
                "An even grey with a clean smell comes with age. "
                "A sour smell, slime, gas or coloured spots mean it has spoiled."
            ),
            cause="Dough darkens as it stands, faster in air or in the warm. Germs spoil it.",
            remedy=(
                "Throw spoiled dough out, tag and all. "
                "Ask about grey dough, and do not serve it on your own. "
                "Check the film and the cold store."
            ),
        ),
        Fault(
            see="Lumps, threads or beetles show in the flour.",
            tell=(
                "Lumps that crumble dry came from damp. "
                "Fine threads, or flour that stirs, mean insects."
            ),
            cause="A lid was left off, or new flour was tipped on old.",
            remedy=(
                "Close the tub, take it out of the store and mark it. Tell the head chef. "
                "Empty and wash the shelf. Check each tub near it."
            ),
        ),
        Question(
            prompt="The line for the cold store was left empty this noon. What do you write?",
            answers=(
                Answer("The same as in the morning. It never changes."),
                Answer("What it shows now, with the time. Noon stays empty.", correct=True),
                Answer("A likely figure, so that the sheet is full."),
            ),
            why=(
                "A guessed figure hides the very day that the cold store failed. "
                "An empty line is honest, and shows what to do better."
            ),
        ),
        Question(
            prompt="The dough went into the cold late, after hours on a warm bench. What now?",
            answers=(
                Answer("It is cold now, so it is fine."),
                Answer("Boil it for longer tomorrow."),
                Answer("Tell the head chef. Past the limit, it goes in the bin.", correct=True),
            ),
            why=(
                "Some germs leave poisons that heat does not undo. "
                "Dough belongs in the cold: {{safe_cold_holding}}. "
                "The house plan says how long it may stand out. Your local authority decides."
            ),
        ),
        Question(
            prompt="A washed board must dry over night. Where does it go?",
            answers=(
                Answer("On edge, with air on both sides.", correct=True),
                Answer("Flat on the bench, on a dry cloth."),
                Answer("Against the warm oven, to be quick."),
            ),
            why=(
                "If one face dries first it shrinks, and the board bends. "
                "A bent board leaves strands joined at the foot."
            ),
        ),
        Question(
            prompt="Some old flour is left in the tub, and a new sack is here. What do you do?",
            answers=(
                Answer("Tip the new flour on top and mix."),
                Answer("Use up the old, clean the tub, then fill it.", correct=True),
                Answer("Throw the old flour away."),
            ),
            why=(
                "Old flour under new is never used up, and it feeds insects. "
                "Two lots in one tub also spoil the record."
            ),
        ),
        Question(
            prompt="A corner of the treading film is torn off, and you cannot find it. What now?",
            answers=(
                Answer("Keep the dough back and tell the head chef.", correct=True),
                Answer("Go on. It would show when the sheet is rolled."),
                Answer("Throw the film away and say nothing."),
            ),
            why=(
                "Clear film is hard to see in dough and can choke a guest. "
                "Dough that may hold it must not be served."
            ),
        ),
        Question(
            prompt="You are late and the pin is wet. What is the best short way?",
            answers=(
                Answer("Put it in its cover and dry it tomorrow."),
                Answer("Lay it on the stove for a while."),
                Answer("Wipe it dry and leave it in the air.", correct=True),
            ),
            why="Closed in, it grows mould. On heat, it bends. Air and time cost you no work.",
        ),
    ),
    source_note=(
        "Cold and keeping: the figures of your region below. "
        "Wiping, drying, knife care, storing flour and the signs are common practice, with no "
        "source. "
        "Off the floor, cleaning and sanitising: US Food Code 2022, chapters 3 and 4. "
        "In the EU it is Regulation (EC) 852/2004, Annex II, chapters V and IX. "
        "Clean and look before a tool changes food: Regulation (EU) 2021/382. "
        "Vacuum or wet cleaning of flour: Health and Safety Executive (UK), COSHH and bakers. "
        "Sanitiser: the maker's label decides how strong and how long. "
        "Your local authority decides."
    ),
)
