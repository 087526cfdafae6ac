"""The stations of a noodle house in the order of work, and what is learned first at each.

Modules refer to a station by its short name. Within a station they are learned in this order: what
is to be read before practising there, what is required before a sign-off, and the rest.
"""

from dataclasses import dataclass

from django.utils.translation import gettext_noop

EVERYWHERE = "before-you-start"


@dataclass(frozen=True, slots=True)
class StationName:
    """A station; ``read_first`` are the modules to read before practising there.

    ``measured``: judged on measured batches. ``practised``: held by cooks, and no mere group of
    modules.
    """

    slug: str
    name: str
    measured: bool
    read_first: tuple[str, ...] = ()
    practised: bool = True


STATIONS = (
    StationName(
        "mixing-and-treading",
        gettext_noop("mixing and treading"),
        measured=True,
        read_first=(EVERYWHERE, "mixing-in-the-water"),
    ),
    StationName(
        "rolling",
        gettext_noop("rolling"),
        measured=True,
        read_first=(EVERYWHERE, "rolling-to-an-even-sheet"),
    ),
    StationName(
        "cutting",
        gettext_noop("cutting"),
        measured=True,
        read_first=(EVERYWHERE, "folding-and-cutting"),
    ),
    StationName(
        "boiling",
        gettext_noop("boiling"),
        measured=False,
        read_first=(EVERYWHERE, "boiling-the-noodles"),
    ),
    StationName(
        "stock", gettext_noop("stock"), measured=False, read_first=(EVERYWHERE, "making-stock")
    ),
    StationName(
        "serving",
        gettext_noop("serving"),
        measured=False,
        read_first=(EVERYWHERE, "serving-the-bowl"),
    ),
    StationName("head-chef", gettext_noop("for head chefs"), measured=False, practised=False),
)

# Read when there is time, or when the house makes them: a sign-off does not ask for these.
NOT_REQUIRED = frozenset(
    {"mixing-buckwheat", "alkaline-noodles", "ribbon-noodles", "all-buckwheat-without-wheat"}
)
