"""What one sees when something went wrong, in words, from the flour to the bowl."""

from django.utils.translation import gettext_lazy as _

SIGNS = {
    "dough-sticky": _("The dough sticks"),
    "dough-dry": _("The dough is dry, or falls apart"),
    "dough-lumps": _("Lumps, grains or streaks in the dough"),
    "dough-tight": _("The dough springs back, or is stiff"),
    "dough-soft": _("The dough is too soft or too weak"),
    "dough-grey": _("The dough is grey, dark or has specks"),
    "air": _("Air, blisters or an open seam"),
    "cracks": _("Cracks, or the skin tears"),
    "thick-places": _("A thick edge, middle or side"),
    "crease": _("A crease or a fold line"),
    "uneven-width": _("Strands of uneven width, or crooked"),
    "strands-stick": _("Strands stick together"),
    "strands-break": _("Strands break, or are short"),
    "pot-break": _("Strands break in the pot"),
    "boils-over": _("The pot boils over"),
    "hard-core": _("A hard core"),
    "soft": _("Soft, swollen or slimy noodles"),
    "wrong-heat": _("Lukewarm, or not cold enough"),
    "weak-or-salty": _("The soup is weak or too salty"),
    "stock-off": _("The stock is cloudy, bitter or slimy"),
    "smell": _("It smells or tastes wrong"),
    "bowl-untidy": _("The bowl is untidy, a topping is soggy"),
    "readings": _("Weights or readings do not agree"),
    "knife": _("The knife slips, drags or has spots"),
    "tools": _("Board or pin: creeping, warped, sticky"),
    "unsafe": _("Mixed up, dirty, lost or left warm"),
    "judging": _("Marks and noodles do not agree"),
}
LIKELY = {
    "often": _("a usual cause"),
    "sometimes": _("it happens"),
    "seldom": _("a rare cause"),
}
