"""What each cook of the demo house did, in the order in which it happened.

Days are counted back from the day on which the house is built, so that "recent" stays recent;
the readings come from the practice model and do not depend on that day.
"""

from dataclasses import dataclass

from assessments.demo_house.practice_model import Hand, Learned

MEASURED = ("mixing-and-treading", "rolling", "cutting")
WHEAT, BUCKWHEAT, RIBBON, ALKALINE = (
    "thick-wheat",
    "thin-buckwheat",
    "flat-ribbon",
    "thin-alkaline",
)


@dataclass(frozen=True, slots=True)
class Read:
    """Read the modules of stations, of all that the cook practises at where none is named.

    ``steps`` limits the first one's reading, None reads to the end.
    """

    days_ago: int
    stations: tuple[str, ...] = ()
    steps: int | None = None
    missed: int = 0


@dataclass(frozen=True, slots=True)
class Practise:
    """Make batches, spread evenly over the days; the last ``waiting`` are not looked at yet."""

    style: str
    batches: int
    first_day: int
    last_day: int
    waiting: int = 0
    width_tool: str = "bench caliper"


@dataclass(frozen=True, slots=True)
class GiveUp:
    """Open a batch and give it up; ``word`` is what the head chef said to it, if already."""

    style: str
    days_ago: int
    word: str = ""
    excused: bool = False


@dataclass(frozen=True, slots=True)
class KeepOpen:
    """Open a batch that is in its first rest now."""

    style: str
    rest_started_min_ago: int = 12


@dataclass(frozen=True, slots=True)
class LayOnCard:
    """Open a batch that is cut, its strands measured from a photo; it may wait to be finished."""

    style: str
    cut_min_ago: int = 20
    photo: str = "thick-wheat-twenty-strands"
    finished: bool = False


@dataclass(frozen=True, slots=True)
class Seen:
    """A head chef's observation; ratings 0 not met, 1 nearly, 2 met.

    ``observer`` counts the head chefs of the branch.
    """

    style: str
    station: str
    days_ago: int
    note: str = ""
    handling: int = 2
    bench_order: int = 2
    hygiene: int = 2
    knife_safety: int = 2
    observer: int = 0
    of_last_batch: bool = False


@dataclass(frozen=True, slots=True)
class Sign:
    """Sign-offs for one style; ``override`` is the reason where evidence is missing."""

    style: str
    stations: tuple[str, ...]
    days_ago: int
    override: str = ""


@dataclass(frozen=True, slots=True)
class Withdraw:
    """A sign-off withdrawn."""

    style: str
    station: str
    days_ago: int
    reason: str


Happening = Read | Practise | GiveUp | KeepOpen | LayOnCard | Seen | Sign | Withdraw


@dataclass(frozen=True, slots=True)
class History:
    """One cook: since when, which stations for which style, with which hand, what happened."""

    username: str
    since_days: int
    stations: tuple[tuple[str, tuple[str, ...]], ...]
    hand: Hand
    story: tuple[Happening, ...] = ()


QUICK = Hand(
    within=Learned(0.62, 0.30),
    between=Learned(0.35, 0.08),
    bias=Learned(0.25),
    wedges=Learned(0.03),
    sheet=Learned(0.60, 0.24),
    edge=Learned(0.25),
    middle=Learned(0.20),
    water_pp=Learned(0.6, 0.16),
    rate=0.75,
)
WEDGES = Hand(
    within=Learned(0.70, 0.40),
    between=Learned(0.40, 0.14),
    bias=Learned(0.45),
    wedges=Learned(0.30, 0.05),
    edge=Learned(0.9, 0.2),
    water_pp=Learned(0.9, 0.25),
    rate=0.45,
)
DRIFTING = Hand(
    within=Learned(0.60, 0.34),
    between=Learned(0.40, 0.15),
    bias=Learned(-0.30),
    wedges=Learned(0.04),
    drift=Learned(1.9, 0.9),
    rate=0.5,
)
EVERY_SECOND = Hand(
    within=Learned(0.65, 0.32),
    between=Learned(0.35, 0.10),
    wedges=Learned(0.02),
    alternating=Learned(1.3, 0.1),
    middle=Learned(0.8, 0.1),
    water_pp=Learned(0.7, 0.16),
    rate=0.7,
)
UNEVEN_SHEET = Hand(
    within=Learned(0.66, 0.36),
    between=Learned(0.42, 0.14),
    wedges=Learned(0.05),
    sheet=Learned(0.75, 0.42),
    edge=Learned(1.7, 0.6),
    water_pp=Learned(1.0, 0.26),
    rate=0.45,
)


def _seen_twice(style: str, stations: tuple[str, ...], days_ago: int) -> tuple[Seen, ...]:
    """Return two good observations at each station, the second a few days after the first."""
    notes = (
        "Calm hands, the sheet never left dry. Knife put down flat each time.",
        "Bench wiped between doughs, flours kept apart. No remarks.",
    )
    return tuple(
        Seen(style, station, days_ago + 5 * (1 - turn), notes[turn])
        for station in stations
        for turn in (0, 1)
    )


HISTORIES = (
    History(
        "tamsa",
        since_days=3,
        stations=((WHEAT, ("mixing-and-treading", "cutting", "serving")),),
        hand=Hand(),
        story=(Read(1, ("mixing-and-treading",), steps=2),),
    ),
    History(
        "joric",
        since_days=44,
        stations=((WHEAT, MEASURED),),
        hand=WEDGES,
        story=(
            Read(42, ("mixing-and-treading",), missed=1),
            Practise(WHEAT, 5, 34, 24),
            GiveUp(WHEAT, 21),
            Read(19, ("cutting",), steps=4),
            Seen(WHEAT, "cutting", 15, "Blade leans to the left at the end of a fold.", handling=1),
            Practise(WHEAT, 6, 17, 2, waiting=2),
            LayOnCard(WHEAT),
            KeepOpen(WHEAT),
        ),
    ),
    History(
        "lune",
        since_days=75,
        stations=((WHEAT, (*MEASURED, "boiling")),),
        hand=QUICK,
        story=(
            Read(70, missed=2),
            Practise(WHEAT, 12, 60, 24),
            Seen(WHEAT, "rolling", 20, "Turns the sheet by a quarter each time. Good."),
            Practise(WHEAT, 8, 22, 1, waiting=3),
            Seen(WHEAT, "cutting", 9, "Guide hand curled, blade upright. Even pace."),
            Seen(WHEAT, "cutting", 4, "Kept the board dry. Nothing to add."),
        ),
    ),
    History(
        "edda",
        since_days=345,
        stations=(
            (WHEAT, (*MEASURED, "boiling", "serving")),
            (BUCKWHEAT, ("mixing-and-treading", "cutting")),
        ),
        hand=QUICK,
        story=(
            Read(340, missed=1),
            Practise(WHEAT, 18, 330, 262),
            *_seen_twice(WHEAT, MEASURED, 252),
            Sign(WHEAT, MEASURED, 250),
            Practise(WHEAT, 4, 240, 212),
            *_seen_twice(WHEAT, ("boiling", "serving"), 205),
            Sign(WHEAT, ("boiling", "serving"), 203),
            Practise(WHEAT, 6, 195, 20),
            Practise(BUCKWHEAT, 9, 38, 3, waiting=1),
            Seen(BUCKWHEAT, "cutting", 7, "Lets the weight of the knife do it."),
        ),
    ),
    History(
        "bramo",
        since_days=500,
        stations=((BUCKWHEAT, (*MEASURED, "boiling")), (WHEAT, ("serving", "stock"))),
        hand=QUICK,
        story=(
            Read(495),
            Practise(BUCKWHEAT, 20, 470, 392),
            *_seen_twice(BUCKWHEAT, MEASURED, 383),
            Sign(BUCKWHEAT, ("cutting",), 380),
            Practise(BUCKWHEAT, 12, 370, 190),
            *_seen_twice(BUCKWHEAT, ("mixing-and-treading", "rolling", "boiling"), 182),
            Sign(BUCKWHEAT, ("mixing-and-treading", "rolling", "boiling"), 180),
            *_seen_twice(WHEAT, ("serving", "stock"), 152),
            Sign(WHEAT, ("serving", "stock"), 150),
            Practise(BUCKWHEAT, 9, 150, 26),
        ),
    ),
    History(
        "cila",
        since_days=320,
        stations=((WHEAT, (*MEASURED, "boiling")),),
        hand=QUICK,
        story=(
            Read(310, missed=2),
            Practise(WHEAT, 16, 300, 226),
            *_seen_twice(WHEAT, MEASURED, 215),
            Sign(WHEAT, MEASURED, 212),
            Practise(WHEAT, 5, 190, 70),
            Seen(
                WHEAT,
                "cutting",
                47,
                "Knife left in the sink under water, twice this week.",
                knife_safety=0,
            ),
            Withdraw(
                WHEAT,
                "cutting",
                45,
                "Knife left in the sink again after two warnings. Cuts with me until it is habit.",
            ),
            Practise(WHEAT, 4, 35, 5, waiting=1),
            Seen(WHEAT, "cutting", 6, "Knife wiped and racked each time today."),
        ),
    ),
    History(
        "wenna",
        since_days=150,
        stations=((RIBBON, MEASURED), (WHEAT, ("boiling",))),
        hand=DRIFTING,
        story=(
            Read(148, missed=3),
            Practise(RIBBON, 3, 140, 132, width_tool="bench ruler"),
            Practise(RIBBON, 15, 125, 50),
            Seen(RIBBON, "cutting", 40, "Hurries in the last third of the fold.", handling=1),
            Practise(RIBBON, 9, 44, 4, waiting=2),
            *_seen_twice(WHEAT, ("boiling",), 62),
            Sign(WHEAT, ("boiling",), 60),
        ),
    ),
    History(
        "pio",
        since_days=70,
        stations=((WHEAT, MEASURED), (RIBBON, ("rolling",))),
        hand=UNEVEN_SHEET,
        story=(
            Read(66, missed=1),
            Practise(WHEAT, 12, 56, 16),
            Seen(WHEAT, "cutting", 14, "Steady with the knife. The sheet is the weak point."),
            Sign(
                WHEAT,
                ("cutting",),
                12,
                "Two cooks are away until next month and Pio has cut beside me for three weeks. "
                "I check every first portion. To be signed again when the evidence is there.",
            ),
            Practise(WHEAT, 5, 11, 3, waiting=1),
            Practise(RIBBON, 7, 30, 6),
        ),
    ),
    History(
        "kefan",
        since_days=130,
        stations=((ALKALINE, MEASURED),),
        hand=UNEVEN_SHEET,
        story=(
            Read(126),
            Practise(ALKALINE, 8, 120, 84),
            GiveUp(ALKALINE, 80, "A torn sheet is measured too: it shows where it tore."),
            GiveUp(
                ALKALINE,
                71,
                "The bench scale failed in the middle of weighing. Nobody's fault.",
                excused=True,
            ),
            Practise(ALKALINE, 12, 66, 20),
            GiveUp(ALKALINE, 16),
            Seen(ALKALINE, "rolling", 13, "Presses harder on the right. Bench order good."),
            Practise(ALKALINE, 6, 12, 2, waiting=2),
        ),
    ),
    History(
        "yarra",
        since_days=430,
        stations=(
            (WHEAT, (*MEASURED, "serving")),
            (ALKALINE, (*MEASURED, "boiling", "stock")),
        ),
        hand=QUICK,
        story=(
            Read(425),
            Practise(WHEAT, 18, 410, 330),
            *_seen_twice(WHEAT, MEASURED, 322),
            Sign(WHEAT, MEASURED, 320),
            *_seen_twice(WHEAT, ("serving",), 302),
            Sign(WHEAT, ("serving",), 300),
            Practise(WHEAT, 9, 290, 40),
            Practise(ALKALINE, 20, 160, 66),
            *_seen_twice(ALKALINE, (*MEASURED, "boiling", "stock"), 58),
            Sign(ALKALINE, ("mixing-and-treading", "cutting", "boiling", "stock"), 55),
            Practise(ALKALINE, 7, 50, 9),
        ),
    ),
    History(
        "nialle",
        since_days=110,
        stations=((WHEAT, (*MEASURED, "boiling", "stock", "serving")),),
        hand=EVERY_SECOND,
        story=(
            Read(105, missed=1),
            Practise(WHEAT, 14, 96, 52),
            *_seen_twice(WHEAT, ("boiling", "serving"), 42),
            Sign(WHEAT, ("boiling",), 40),
            Practise(WHEAT, 10, 38, 2, waiting=2),
            Seen(WHEAT, "cutting", 11, "The knife rocks less. Strands lie parallel."),
            Seen(WHEAT, "mixing-and-treading", 11, "Crumbs even before pressing."),
            Seen(WHEAT, "mixing-and-treading", 4, "Film clean, feet covered, rests kept."),
        ),
    ),
)
