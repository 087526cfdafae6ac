"""How the measuring card is made and used, in pictures: for its page and for its print."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True, slots=True)
class Step:
    """One picture of the how-to; ``description`` tells what ``drawing`` shows."""

    drawing: str
    description: Promise
    title: Promise
    text: Promise


@dataclass(frozen=True, slots=True)
class Part:
    """Steps that belong together, the first of them counted as number ``start``."""

    title: Promise
    start: int
    steps: tuple[Step, ...]


PARTS = (
    Part(
        _("A new card"),
        1,
        (
            Step(
                "card-print",
                _("A printer lets out the card at its full size."),
                _("Print it at 100 %"),
                _(
                    "Page 1 of the PDF, in colour, on matt paper. Choose “actual size”, not “fit "
                    "to page”. A narrow white rim does no harm."
                ),
            ),
            Step(
                "card-check",
                _("A ruler lies along the card's bar; its ends meet 0 and 10 cm."),
                _("Check the bar with a ruler"),
                _(
                    "100 mm from the middle of one end mark to the middle of the other, to half a "
                    "millimetre. If not, print again."
                ),
            ),
            Step(
                "card-laminate",
                _("The card runs between two films through the rollers of a laminator."),
                _("Laminate it matt"),
                _(
                    "Glossy film mirrors the lamps. Leave a sealed rim of film all round, so that "
                    "it can be wiped."
                ),
            ),
            Step(
                "card-wipe",
                _("A hand wipes the card with a cloth."),
                _("Wipe it clean and dry"),
                _(
                    "Before and after use, as you clean your tools; above all before a dough with "
                    "other allergens."
                ),
            ),
        ),
    ),
    Part(
        _("Each photo"),
        5,
        (
            Step(
                "card-lay",
                _(
                    "Strands lie upright on the card, beginning at the marker at the top left; the "
                    "next one is laid to their right. The bar is at the bottom."
                ),
                _("Lay the chosen strands"),
                _(
                    "The bar towards you. Begin at the marker at the top left: side by side, in "
                    "the order of the cut, none touching another."
                ),
            ),
            Step(
                "card-above",
                _("A hand holds a phone level above the middle of the card."),
                _("Straight from above"),
                _(
                    "Hold the phone level, 30 to 40 cm above the middle. No flash, and no "
                    "shadow of your own on the card."
                ),
            ),
            Step(
                "card-view",
                _("The phone shows the card with a ring around each of its four markers."),
                _("All four markers in view"),
                _(
                    "Whole and not covered. Take one photo, sharp, with the card filling most of "
                    "it."
                ),
            ),
            Step(
                "card-apart",
                _("Strands slide off the card into a bin; the portions stand apart."),
                _("Do not serve these strands"),
                _(
                    "Put what lay on the card into the bin. Ink and film are not made to touch "
                    "food: keep the card away from all that is served."
                ),
            ),
        ),
    ),
)

CAUTION = _(
    "Raw flour is not safe to eat, and what clings to the card carries the dough's allergens. Wash "
    "your hands with soap afterwards, and clean the card before the next dough. Local food-safety "
    "law and the house's own plan come first."
)
