"""Module: the cook, the bench, the knife and the allergens before any flour is out."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Question, Step

MODULE = Module(
    slug="before-you-start",
    title="Before you start",
    station_slug="mixing-and-treading",
    summary=(
        "Clean hands, a firm bench and a sharp knife come first. So does knowing what can make a "
        "guest ill."
    ),
    minutes_to_read=10,
    body=(
        Caution(
            kind="allergens",
            text=(
                "A trace of flour can send a guest to hospital. Never guess what is in a dish. "
                "Read the house's allergen list, and ask the head chef if you are in doubt. "
                "Local food-safety law and licensed advice come first."
            ),
        ),
        Step(
            title="Dress for the bench",
            drawing="start-dress",
            drawing_alt=(
                "A clean apron and a cap hang on a rail. A watch and a ring lie in a dish."
            ),
            do=(
                "Change into clean work clothes. Cover or tie back your hair, and any beard. "
                "Take off your watch, rings and bracelets. Ask whether the law lets you keep "
                "a plain ring. "
                "Keep nails short, with no varnish. "
                "Take your apron off when you leave the kitchen."
            ),
            look_feel=(
                "Nothing on you can fall into the bowl. Your wrists are bare. "
                "Your shoes grip the floor and cover your toes."
            ),
        ),
        Step(
            title="Wash your hands",
            drawing="start-hands",
            drawing_alt="Two hands covered in soap rub each other under a running tap.",
            do=(
                "Wet your hands and take soap. Rub palms, backs, thumbs and wrists. "
                "Rub between the fingers and under the nails. "
                "Keep at it: {{safe_handwash}}. "
                "Rinse, then dry with a clean towel that is used once. "
                "Wash again after the toilet and after each break. "
                "Wash after waste, raw egg or another flour. "
                "Wash after you touch your face or your phone."
            ),
            look_feel=(
                "Soap gets everywhere, thumbs too. Your hands are quite dry when you touch flour. "
                "Damp hands pick up paste and carry it on."
            ),
        ),
        Step(
            title="Cover each cut",
            drawing="start-cuts",
            drawing_alt=(
                "A hand with a plaster on one finger, ringed. Beside it is a hand in a glove."
            ),
            do=(
                "Look at both hands, front and back. "
                "Clean a cut and cover it with a bright, waterproof plaster. "
                "Pull a glove over it. Change the glove when it tears or when you change work. "
                "Show the head chef a cut that is red, hot or weeping. Do not work with food then."
            ),
            look_feel=(
                "The plaster sits tight and its colour is not found in food. "
                "You know how many you wear, so you can count them at the end."
            ),
        ),
        Step(
            title="Say when you are ill",
            drawing="start-ill",
            drawing_alt=(
                "A phone is calling from inside a house. Across a dashed line an apron hangs "
                "unused on its hook."
            ),
            do=(
                "Call in before your shift if you vomit or have loose stools. "
                "Call for fever with a sore throat, or yellow skin or eyes, as well. "
                "If it starts at work, stop, tell the head chef and go home. "
                "After vomiting or loose stools, stay away: {{safe_ill_away}}. "
                "With that fever or yellow skin or eyes, stay away until a doctor clears you, as "
                "local law says. "
                "The law or your doctor may ask for longer."
            ),
            look_feel=(
                "You feel well and have for long enough. "
                "Feeling better is not the test. You can still carry the germ."
            ),
        ),
        Step(
            title="Make the board firm",
            drawing="start-bench",
            drawing_alt=(
                "A flat hand pushes a board to and fro. The board stays put on a cloth, whose edge "
                "is ringed."
            ),
            do=(
                "Wipe the bench clean and dry it. Lay a damp cloth flat, with no fold. "
                "Set the board on it and push it hard, both ways. "
                "Press each corner. Check that the floor at your feet is dry."
            ),
            look_feel=(
                "The board does not slide or rock, even when you lean on it. "
                "Your elbows hang loose above the work."
            ),
        ),
        Step(
            title="Lay out the tools",
            drawing="start-tools",
            drawing_alt=(
                "A bench from above: pin, guide board, knife, scraper, brush and cloth. "
                "Each lies in its own place, inside a dashed line."
            ),
            do=(
                "Lay out pin, guide board, knife, scraper, brush and cloth before you begin. "
                "Give the knife its own place, with its edge away from you and nothing on top. "
                "Look over each tool for cracks, chips, old dough and loose parts. "
                "Take away all that you do not need."
            ),
            look_feel=(
                "You can reach each tool without a step. You can name what belongs on the bench. "
                "Then a lost piece is missed at once."
            ),
        ),
        Step(
            title="Sheathe and carry the knife",
            drawing="start-carry",
            drawing_alt=("A wide knife with its edge down. Arrows push a guard up over the edge."),
            do=(
                "Put the guard on before you carry the knife. "
                "Hold it close to your side, blade down and edge to the back. "
                "Say “knife” as you pass. "
                "Never hand it over. Lay it down and let the other person pick it up. "
                "If it falls, step back and let it fall. "
                "Never leave it in a sink, or under a cloth."
            ),
            look_feel=(
                "The guard holds when you turn the knife over. "
                "The knife is in your hand, in its guard or in its rack, and nowhere else."
            ),
        ),
        Caution(
            kind="knife",
            text=(
                "The noodle knife is long, heavy and sharp. "
                "Use it only after you have been shown how. "
                "Press a clean cloth on a cut and hold it up. Get help if it does not stop. "
                "Throw away food with blood on it. Workplace law comes first."
            ),
        ),
        Step(
            title="Keep the edge sharp",
            drawing="start-sharpen",
            drawing_alt=(
                "From its end, a blade leans low over a whetstone on a cloth. Arrows show the "
                "stroke. An inset shows the small burr at the edge."
            ),
            do=(
                "Test the edge on a sheet of paper, never on your skin. "
                "If it is dull, ask for someone who is trained. Learn it from them. "
                "Set the wet stone on a damp cloth. Lay the blade on its ground side and hold one "
                "low angle. "
                "Stroke the whole edge, heel to tip, until a fine burr forms. "
                "Turn the blade and take the burr off with light strokes. Wash and dry it."
            ),
            look_feel=(
                "The burr is a faint hook along the whole edge. "
                "Feel for it from the back toward the edge and off it, never along it. "
                "A sharp knife falls through paper and leaves a clean line."
            ),
        ),
        Caution(
            kind="wet_floor",
            text=(
                "A wet stone drips. Sharpen away from the walkway and wipe up the grey water. "
                "It is as slick as oil."
            ),
        ),
        Step(
            title="Know what can make a guest ill",
            drawing="start-allergens",
            drawing_alt=(
                "Six signs: an ear of wheat, buckwheat grains, an egg, a fish, a pod of soy beans, "
                "sesame seeds."
            ),
            do=(
                "Learn these six first: wheat, buckwheat, egg, fish, soy and sesame. "
                "The house's allergen list may name more. "
                "Look for each in the dough, the dusting starch, the stock, the sauce and the "
                "toppings. "
                "Soy sauce has soy and most often wheat. Noodle stock is most often made with "
                "fish. "
                "Treat buckwheat as a danger, even where no law lists it. "
                "Pass a guest's question on. Do not answer it alone."
            ),
            look_feel=(
                "You can point to the allergen list of each dish from where you stand. "
                "You never say “a little will not hurt”."
            ),
        ),
        Step(
            title="Keep wheat and buckwheat apart",
            drawing="start-apart",
            drawing_alt=(
                "Two tubs, one with an ear of wheat and one with a grain of buckwheat. "
                "A dashed line parts them, and each has its own scoop."
            ),
            do=(
                "Give each flour its own tub, scoop, bowl, brush and cloth, marked with its sign. "
                "Work with one flour at a time. Put the other away, with its lid on. "
                "Before you change, clear the bench and wipe it wet. Then wash the tools and your "
                "hands. "
                "Change the apron. Let light fall on the bench, low from the side. "
                "Look along it before you go on."
            ),
            look_feel=(
                "No streak shows on the bench, and none on your sleeves. "
                "You still tell the guest the truth: dust from one flour may reach the other."
            ),
        ),
        Caution(
            kind="flour_dust",
            text=(
                "Flour in the air harms your lungs and lands on other food. "
                "Do not sweep dry or shake out aprons. "
                "Wipe wet, or use a vacuum made for fine dust."
            ),
        ),
        Fault(
            see="The board creeps as you press.",
            tell=(
                "The cloth moves with it, or the board slides on the cloth. "
                "A board that tips at one corner is not flat. That is a fault of the board."
            ),
            cause="The cloth is dry, soaked or folded. Or there is flour under it.",
            remedy=(
                "Stop and put the knife down. Wipe the bench, wring the cloth out and lay it flat."
            ),
        ),
        Fault(
            see="Light shows under the pin when it lies on the board.",
            tell=(
                "Turn the pin halfway. If the gap turns with it, the pin is bent. "
                "If the gap stays where it was, the board is hollow."
            ),
            cause="The pin was left wet, lay against a wall, or stood near heat.",
            remedy=("Do not use it for a measured batch. Take another pin and tell the head chef."),
            drawing="start-fault-pin",
            drawing_alt=(
                "A bent pin lies on a board. A ring marks the gap, and an arrow shows the turn."
            ),
        ),
        Fault(
            see="The knife slips on the dough, and layers stick to each other after the cut.",
            tell=(
                "It tears paper too, so the edge is dull. "
                "If it cuts paper well, look at the dough. It may be wet or dusted too thin."
            ),
            cause="The edge is worn, or it hit the stone at a new angle each time.",
            remedy=(
                "Ask for another knife. Have this one set right before the next sheet. "
                "Do not just push harder."
            ),
        ),
        Fault(
            see="The new edge catches on paper on one side only.",
            tell=(
                "You feel a hook on one face and none on the other. "
                "A chip catches at one spot. A burr catches all along."
            ),
            cause="The burr was not taken off after the last strokes.",
            remedy=(
                "Lay the blade flat on the stone. "
                "Draw it lightly toward its back, so that the edge trails. "
                "Wash it, so that no grit gets into food."
            ),
        ),
        Fault(
            see="Your plaster is gone at the end of the batch.",
            tell=(
                "Count the plasters and look in the glove first. "
                "If it is not there, take it that it is in the food."
            ),
            cause="It was wet or loose, or there was no glove over it.",
            remedy=(
                "Stop. Keep all food from this bench back and tell the head chef. "
                "If it is not found, throw the batch away. Cover the cut anew."
            ),
        ),
        Fault(
            see="White streaks lie on the grey buckwheat flour.",
            tell=(
                "They smear like fine chalk and do not sparkle. "
                "But your eye is no safe test, for some buckwheat flour is white too. "
                "Treat each white streak as wheat."
            ),
            cause="One scoop went into both tubs. Or wheat was tipped out nearby.",
            remedy=(
                "Close the tub and mark it. Tell the head chef. Do not use it for a guest who must "
                "avoid wheat."
            ),
        ),
        Question(
            prompt="A guest who must avoid wheat orders buckwheat noodles. What do you say?",
            answers=(
                Answer("Buckwheat is no wheat, so the dish is safe."),
                Answer("I ask the head chef and check the list of that dish.", correct=True),
                Answer("I pick out the wheat noodles and serve the rest."),
            ),
            why=(
                "Wheat may be in the blend, the dusting starch, the soy sauce and the boiling "
                "water. "
                "Only the list for that dish can tell."
            ),
        ),
        Question(
            prompt="You were sick last night. This morning you feel fine. What now?",
            answers=(
                Answer("I go in and wash my hands more often."),
                Answer("I go in, but only roll and cut."),
                Answer("I call and stay away until the time is over.", correct=True),
            ),
            why=(
                "You can pass the germ on after you feel well. "
                "The time in your region: {{safe_ill_away}}. Your local authority decides."
            ),
        ),
        Question(
            prompt="The knife begins to slip on the folds. What is the safe choice?",
            answers=(
                Answer("Stop and have it sharpened.", correct=True),
                Answer("Press harder, since the sheet must be done."),
                Answer("Put more starch on the blade."),
            ),
            why=(
                "A dull edge needs force, and force makes it jump. "
                "It also crushes the strands, so your widths get worse."
            ),
        ),
        Question(
            prompt="The next batch is buckwheat. The bench looks clean after wheat. What is next?",
            answers=(
                Answer("Start, since dust will not show in the dough."),
                Answer("Brush the bench off with a dry brush."),
                Answer("Wipe it wet, change tools and apron, and wash my hands.", correct=True),
            ),
            why=(
                "Wheat dust is pale and easy to miss. It also sits on sleeves, brushes and hands."
            ),
        ),
        Question(
            prompt="You wear gloves. When do your hands need washing?",
            answers=(
                Answer("Before I put gloves on, and each time I change them.", correct=True),
                Answer("Not at all, as the gloves are clean."),
                Answer("Only if a glove tears."),
            ),
            why=(
                "Hands touch the outside of a glove as you put it on. "
                "Inside, warm skin sweats, and a small hole lets it out."
            ),
        ),
        Question(
            prompt="A colleague lifts the knife and holds its grip out to you. What do you do?",
            answers=(
                Answer("Take it quickly, so that nobody waits."),
                Answer("Ask for it to be laid down, then pick it up.", correct=True),
                Answer("Take it by the back of the blade."),
            ),
            why="Two hands on one knife pull two ways. Laid down, it has one owner at a time.",
        ),
        Question(
            prompt="A gap shows under the pin. You turn the pin, and the gap turns with it. Why?",
            answers=(
                Answer("The board is hollow."),
                Answer("The bench is not level."),
                Answer("The pin is bent.", correct=True),
            ),
            why=(
                "What turns with the pin belongs to the pin. "
                "A bent pin rolls one side thin, and your hands get the blame."
            ),
        ),
    ),
    source_note=(
        "Hand washing, illness: the figures of your region below. "
        "Clean clothes, hair, rings, cuts, yellow skin, and fever with a sore throat: "
        "US Food Code 2022, chapter 2. "
        "In the EU it is Regulation (EC) 852/2004, Annex II, chapter VIII. "
        "Allergens in the EU and UK: Regulation (EU) 1169/2011, Annex II. "
        "In the US it is the list of nine major allergens. "
        "In Japan it is the Food Labelling Standard, where buckwheat must be named. "
        "Clean and look before a tool changes food: Regulation (EU) 2021/382. "
        "Flour dust: Health and Safety Executive (UK), COSHH and bakers. "
        "Board, layout, knife care, sharpening and the pin test are common practice, with no "
        "source. "
        "Your local authority decides."
    ),
)
