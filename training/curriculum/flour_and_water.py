"""Module: what flour, starch, salt and water do, and how each is weighed."""

from training.curriculum.blocks import Answer, Caution, Fault, Module, Numbers, Question, Step

MODULE = Module(
    slug="flour-starch-water-and-salt",
    title="Flour, starch, water, salt",
    station_slug="mixing-and-treading",
    summary=(
        "Few things go into the bowl, and each has a will of its own. "
        "Know it, weigh it, and write down what changed."
    ),
    minutes_to_read=9,
    body=(
        Caution(
            kind="allergens",
            text=(
                "Wheat and buckwheat can make guests very ill, even as dust. "
                "A starch can come from wheat as well, so read its label. "
                "Keep each in its own tub with its own scoop. "
                "Local food-safety law and licensed advice come first."
            ),
        ),
        Numbers(names=("flour_blend", "hydration", "salt", "brine", "dough_temperature")),
        Step(
            title="Know the two grains",
            drawing="flour-grains",
            drawing_alt=(
                "On the left, an ear of wheat above dough that stretches. "
                "On the right, buckwheat grains above dough that snaps."
            ),
            do=(
                "Take a pinch of each flour. Wet it, knead it and pull it apart. "
                "Wheat holds together through gluten, a net that forms when water meets its "
                "protein. "
                "Buckwheat has no gluten. Fine grinding and quick hands must hold it. "
                "Many houses add wheat as a binder, called tsunagi. "
                "Noodles of eight parts buckwheat to two of wheat are called nihachi. "
                "With buckwheat alone they are called juwari."
            ),
            look_feel=(
                "Wheat dough stretches and draws back. Buckwheat dough feels like damp clay and "
                "breaks short. "
                "White flour from the core of buckwheat is mild. Darker flour smells stronger."
            ),
        ),
        Caution(
            kind="raw_flour",
            text=(
                "Flour is raw. It may carry germs. Do not taste it, not even a pinch. "
                "Wash your hands after this test: {{safe_handwash}}."
            ),
        ),
        Step(
            title="Read the protein",
            drawing="flour-strength",
            drawing_alt=(
                "Three strips of dough, pulled. The first tears short, the second stretches, and "
                "the third draws back."
            ),
            do=(
                "Read the protein on the label. It tells how strong the flour is. "
                "Weak flour is for cakes. Strong flour is for bread. "
                "Thick white noodles want a flour between the two. "
                "Alkaline noodles want more. "
                "Do not swap one for the other, even if both say wheat flour."
            ),
            look_feel=(
                "A weak dough tears short. A strong one fights the pin and draws back. "
                "The right one stretches, and stays where you put it."
            ),
        ),
        Step(
            title="Open a new sack",
            drawing="flour-sack",
            drawing_alt=(
                "An upright flour sack. An arrow leads from its label to a clipboard. "
                "A dish holds a sample."
            ),
            do=(
                "Write down mill, lot, date and protein before the first scoop. "
                "Look at a sample and smell it. "
                "Make a small batch from the new sack before you use it for guests. "
                "Log it as the first batch of that lot."
            ),
            look_feel=(
                "The sample runs through your fingers, with no lumps. It smells sweet and dry. "
                "A sour, oily or dusty smell sends the sack back."
            ),
        ),
        Caution(
            kind="lifting",
            text=(
                "A sack is heavy and sags. Lift it in pairs, or bring a cart to it. "
                "Bend your knees and keep it close. Workplace law comes first."
            ),
        ),
        Step(
            title="Blend in the starch",
            drawing="flour-starch",
            drawing_alt=(
                "A dish of starch and a dish of flour. An arrow leads to a close view: a net of "
                "dough round grains of starch."
            ),
            do=(
                "Weigh each part of the blend: {{flour_blend}}. "
                "Mix flour and starch dry, until no streak shows. Only then add water. "
                "Starch makes the bite springy and smooth, but it builds no net. "
                "So do not add more than the blend says. "
                "Dusting starch, called uchiko, is weighed apart. It is no part of the dough."
            ),
            look_feel=(
                "The blend has one colour. Starch squeaks between your fingers. Flour does not. "
                "After the mix you cannot find a squeaky spot."
            ),
        ),
        Caution(
            kind="flour_dust",
            text=(
                "Flour and starch dust harm the lungs, and a cloud of it can explode. "
                "Pour low and slowly, and keep away from flames. "
                "Clean up wet or with a vacuum made for fine dust, never with a dry brush."
            ),
        ),
        Step(
            title="Trust the scale, then test it",
            drawing="flour-weigh",
            drawing_alt=(
                "A test weight stands on a bench scale, whose display is ringed. "
                "A small spirit level lies beside it."
            ),
            do=(
                "Set the scale level on a hard bench, out of wind. Switch it on early. "
                "Set it to zero. Put the test weight on the middle, then on each corner. "
                "Set it to zero again with the empty bowl on it. "
                "Weigh salt and other small things on the fine scale."
            ),
            look_feel=(
                "The test weight reads the same in each place. "
                "When you take all off, zero comes back. "
                "If not, do not weigh. Tell the head chef."
            ),
        ),
        Step(
            title="Make brine by weight",
            drawing="flour-cups",
            drawing_alt=(
                "A balance with two equal cups. The one with coarse salt is up. "
                "The one with fine salt is down."
            ),
            do=(
                "Weigh the salt and the water, each alone. Never measure them by the cup. "
                "Take the numbers from the house standard: {{brine}}. "
                "Ask which share is meant. Salt to water and salt to brine are not the same. "
                "Stir until the brine is clear. Write on the jar what is in it and when it was "
                "made. "
                "Where the house has a brine float, use it as a second check."
            ),
            look_feel=(
                "Brine weighs as much as its water and its salt together. "
                "Weigh the full jar to check, and take off the jar's own weight. "
                "If it does not add up, make it anew."
            ),
        ),
        Caution(
            kind="wet_floor",
            text="Wipe up spilled brine at once. It is slick, and it eats into metal.",
        ),
        Step(
            title="Set the water for season and room",
            drawing="flour-season",
            drawing_alt=(
                "Under a sun stand a jug with little water and a heap of salt. "
                "Under a snowflake stand more water and less salt."
            ),
            do=(
                "Read the room thermometer first. Then find the line for it on the bench sheet. "
                "Today's water is {{hydration}}, and today's salt is {{salt}}. "
                "In heat, salted wheat dough gets more salt and less water, so that it stays "
                "firm. "
                "In the cold it is the other way round. "
                "Buckwheat follows its own line. Damp air wets flour, so it may need less water. "
                "Change one thing at a time, and log it."
            ),
            look_feel=(
                "You can say which line you used, and why. "
                "The dough feels the same in your hand all year. The numbers change, not the feel."
            ),
        ),
        Step(
            title="Choose the water's temperature",
            drawing="flour-temperature",
            drawing_alt=(
                "A room thermometer, flour with a probe in it, and a ringed jug of water. "
                "An arrow leads to dough with a probe."
            ),
            do=(
                "The dough should end at {{dough_temperature}}. Measure the flour and the room. "
                "Take the target three times. Take off flour, room and the heat of your hands. "
                "What is left is the water. "
                "So if the room is a degree warmer, make the water a degree cooler. "
                "Probe the dough when it is mixed. Write down how far off you were."
            ),
            look_feel=(
                "The mixed dough feels neither cold nor warm. "
                "If you miss on the same side each day, your share for the hands is wrong."
            ),
        ),
        Fault(
            see="The dough stays weak and tears, however long you work it.",
            tell=(
                "Rest and more rounds do not help. If they do help, it was only worked too little. "
                "If it tears at dry spots alone, the water was not spread."
            ),
            cause="The flour is too weak, or there is too much starch in the blend.",
            remedy=(
                "Check the label and the blend sheet. Log the batch as it is. "
                "Weigh a new one from the right sack."
            ),
        ),
        Fault(
            see="The dough draws back after every stroke of the pin.",
            tell=(
                "A full rest changes little, so the flour is strong. "
                "If a longer rest cures it, it was only tight."
            ),
            cause="The flour has more protein than the house's. It may be a sack for bread.",
            remedy=(
                "Look at the label. Rest this batch longer and log it as off the standard. "
                "Mark the sack, so that nobody else takes it."
            ),
        ),
        Fault(
            see="The same recipe is too soft today.",
            tell=(
                "Probe it. If it is warm, the heat made it soft. "
                "If it is not, the flour was damp, or a weight was wrong."
            ),
            cause="The room is warmer, the air is damp, or a new sack holds more water.",
            remedy=(
                "Weigh all again before you change a number. Use the line for this room. "
                "Tell the head chef if a whole lot is damp, so that the standard can change."
            ),
        ),
        Fault(
            see="The float in the brine stands too high.",
            tell=(
                "First check that the brine is clear and as cool as the room. "
                "If it still stands high, there is too much salt. A float that sinks low tells of "
                "too little."
            ),
            cause="A share of salt to water was read as salt to brine, or a cup was used.",
            remedy=(
                "Make it anew by weight. Do not thin it by eye. "
                "Write both shares on the jar, with their names."
            ),
            drawing="flour-fault-brine",
            drawing_alt=(
                "Two glasses of brine. In one the float sinks in. "
                "In the other it stands high, ringed at the surface."
            ),
        ),
        Fault(
            see="Two weighings of one bowl do not agree.",
            tell=(
                "Press a corner of the scale. If it rocks, it stands badly. "
                "If it stands firm and drifts, look for wind, a low battery or a leaning bowl."
            ),
            cause="A foot stands on a cloth, or something touches the plate.",
            remedy=(
                "Clear the bench under it, level it and set it to zero. Use the test weight. "
                "Weigh again what you weighed before."
            ),
            drawing="flour-fault-scale",
            drawing_alt=(
                "A scale with a bowl of flour tilts, with one foot on a cloth. "
                "A ring marks the foot."
            ),
        ),
        Question(
            prompt="The blend asks for noodle flour, and only bread flour is left. What now?",
            answers=(
                Answer("Use it and add more water."),
                Answer("Tell the head chef. Do not swap it on your own.", correct=True),
                Answer("Use it and add more starch."),
            ),
            why=(
                "Bread flour has more protein. The dough fights the pin and the bite turns tough. "
                "Your measured batch would then tell about the flour, not about you."
            ),
        ),
        Question(
            prompt="You weigh salt as a tenth of the water. Is a tenth of the brine salt?",
            answers=(
                Answer("Yes, it is the same thing."),
                Answer("No. It is more than a tenth."),
                Answer("No. It is less than a tenth.", correct=True),
            ),
            why=(
                "Brine is water and salt together, so it weighs more than the water. "
                "The same salt is a smaller share of it."
            ),
        ),
        Question(
            prompt="An old saying gives brine in cups of water to a cup of salt. Why not use it?",
            answers=(
                Answer(
                    "A cup of today's fine salt weighs more, so it is too strong.", correct=True
                ),
                Answer("Cups cannot be washed well enough."),
                Answer("Salt no longer dissolves as it did."),
            ),
            why=(
                "A cup measures room, not weight. Fine salt packs tight. "
                "By that saying, summer brine would be so salty that grains may stay at the bottom."
            ),
        ),
        Question(
            prompt="The room is warmer than yesterday. The flour stood in it all night. The water?",
            answers=(
                Answer("As warm as yesterday, since the target is the same."),
                Answer("Cooler by more than the room has changed.", correct=True),
                Answer("Warmer, to match the room."),
            ),
            why=(
                "Both room and flour are warmer, and each takes its part off the water. "
                "So the water must be cooler by both together."
            ),
        ),
        Question(
            prompt="A new sack gives a softer dough with the same weights. What do you do first?",
            answers=(
                Answer("Change the water for good."),
                Answer("Add flour until it feels right."),
                Answer("Check weights and temperature, then log it with the lot.", correct=True),
            ),
            why=(
                "One soft dough has many causes. When lot and weights are in the log, "
                "the head chef can see whether it was the flour."
            ),
        ),
        Question(
            prompt="More starch makes the noodle smoother. Why not add a good deal more?",
            answers=(
                Answer("It builds no net, so the sheet tears and strands break.", correct=True),
                Answer("It is only there to keep strands apart."),
                Answer("It makes the dough too salty."),
            ),
            why=(
                "Gluten holds the dough and starch fills it. With too much filling, the net gives "
                "way in the sheet or in the pot."
            ),
        ),
    ),
    source_note=(
        "Noodle flours and their protein: Nagao and others 1977, Crosbie and others 1990. "
        "Both are cited in a handbook of food science. "
        "Shares of buckwheat in the names are common practice. "
        "Stronger brine in summer and weaker in winter: published by flour mills of Kagawa, Japan. "
        "Four published pages give the saying in cups. "
        "In Japanese it is dosan kanroku. A mill and a shop have weighed it. "
        "Water taken as three times the target, less flour, room and hands, is a rule of bakers. "
        "The finger tests, the sample batch and the test of the scale are common practice, "
        "with no source. "
        "Flour dust: Health and Safety Executive (UK), COSHH and bakers. "
        "That a cloud of flour can explode: the same authority's HSG103, on dusts that burn. "
        "Raw flour: advice of the FDA and CDC. Hand washing: the figure of your region below. "
        "Your local authority decides."
    ),
)
