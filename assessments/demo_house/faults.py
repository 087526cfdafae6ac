"""The school branch of the demo house: for every pattern that a batch can show, a cook with it.

Each hand is even but for one habit, so that the page of its last batch can be held against what
is wrong with it. All names and figures are invented.
"""

from dataclasses import dataclass, replace

from assessments.demo_house.histories import (
    MEASURED,
    WHEAT,
    Happening,
    History,
    LayOnCard,
    Practise,
    Read,
    Seen,
)
from assessments.demo_house.practice_model import Habit, Hand, Learned


def always(size):
    """Return a quantity that practice does not change."""
    return Learned(size, size)


CALM = Hand(
    within=always(0.35),
    between=always(0.05),
    bias=always(0.0),
    wedges=always(0.0),
    sheet=always(0.30),
    edge=always(0.0),
    middle=always(0.0),
    water_pp=always(0.12),
)


@dataclass(frozen=True, slots=True)
class Faulty:
    """A cook whose batches show one pattern, named as ``calculations.patterns`` names it.

    ``photo`` is the photo of the last batch where only a photo can show the pattern.
    """

    username: str
    first_name: str
    last_name: str
    part: str
    kind: str
    direction: str
    hand: Hand
    photo: str = ""


# Cuts unevenly at first, and within two batches as an even hand.
QUICK_TO_CUT = replace(CALM, within=Learned(0.75, 0.33), rate=1.5)
READS_CUTTING = frozenset({"kelby", "lorrin", "merrit", "nessel", "oswen", "quillan"})


def _with_habit(kind, size, hand=CALM):
    return replace(hand, habit=Habit(kind, size))


FAULTY = (
    Faulty(
        *("anwick", "Anwick", "Sorrelby", "width", "drift", "wider"),
        replace(CALM, drift=always(1.7)),
    ),
    Faulty(
        *("birle", "Birle", "Castrane", "width", "alternation", "even"),
        replace(CALM, alternating=always(1.1)),
    ),
    Faulty(*("corvin", "Corvin", "Dashel", "width", "step", "wider"), _with_habit("step", 1.3)),
    Faulty(
        *("delphy", "Delphy", "Orranby", "width", "neighbours", "alike"),
        replace(CALM, within=always(0.18), habit=Habit("neighbours", 0.7)),
    ),
    Faulty(*("esken", "Esken", "Tarlow", "width", "groups", "apart"), _with_habit("groups", 2.4)),
    Faulty(
        *("fenna", "Fenna", "Wolmark", "width", "outliers", "wide"), _with_habit("outliers", 3.4)
    ),
    Faulty(
        *("garrin", "Garrin", "Ulmsey", "width", "off_target", "above"),
        replace(CALM, bias=always(1.0)),
    ),
    Faulty(
        *("hesper", "Hesper", "Locklade", "width", "uneven", "above"),
        replace(CALM, within=always(1.15)),
    ),
    Faulty(*("ivor", "Ivor", "Pellinan", "taper", "wedge", "last"), CALM, "thick-wheat-wedges"),
    Faulty(
        *("jessa", "Jessa", "Quorley", "taper", "fan", "last"),
        CALM,
        "thick-wheat-every-second-turned",
    ),
    Faulty(
        *("kelby", "Kelby", "Rusthame", "thickness", "tilt", "right"),
        replace(QUICK_TO_CUT, edge=always(2.2)),
    ),
    Faulty(
        *("lorrin", "Lorrin", "Sevenalder", "thickness", "bowl", "thick"),
        replace(QUICK_TO_CUT, middle=always(2.4)),
    ),
    Faulty(
        *("merrit", "Merrit", "Thanlow", "thickness", "ridge_along_rows", "thick"),
        _with_habit("ridge", 2.4, QUICK_TO_CUT),
    ),
    Faulty(
        *("nessel", "Nessel", "Umberlin", "thickness", "saddle", "left_right"),
        _with_habit("saddle", 3.0, QUICK_TO_CUT),
    ),
    Faulty(
        *("oswen", "Oswen", "Varrick", "thickness", "spot", "thick"),
        _with_habit("spot", 3.2, QUICK_TO_CUT),
    ),
    Faulty(
        *("petra", "Petra", "Wexomby", "hydration", "off_recipe", "above"),
        _with_habit("water", 2.2),
    ),
    Faulty(
        *("quillan", "Quillan", "Yarrowin", "salt", "off_recipe", "below"),
        _with_habit("salt", -1.4, QUICK_TO_CUT),
    ),
    Faulty(*("rosk", "Rosk", "Zennerby", "rest", "off_recipe", "below"), _with_habit("rest", 0.5)),
)

# As the first head chef of the branch rates them, and the second, who is the stricter on order:
# handling, order at the bench, hygiene, safety.
RATED_TWICE = (
    ((2, 2, 2, 2), (2, 2, 2, 2)),
    ((2, 1, 2, 2), (2, 1, 2, 2)),
    ((1, 2, 2, 2), (1, 1, 2, 2)),
    ((2, 2, 1, 2), (2, 2, 1, 2)),
    ((1, 1, 2, 1), (1, 0, 2, 1)),
    ((2, 2, 2, 2), (2, 1, 2, 2)),
    ((0, 1, 1, 1), (1, 1, 1, 1)),
    ((2, 2, 2, 2), (2, 2, 2, 2)),
    ((1, 1, 1, 2), (1, 0, 1, 2)),
)


def history_of(number, faulty) -> History:
    """Return a month of practice of a cook of the school branch."""
    story: list[Happening] = [
        Read(28, ("mixing-and-treading",), missed=number % 2),
        Practise(WHEAT, 4, 24, 3, waiting=1),
    ]
    if faulty.username in READS_CUTTING:
        # Between the first batch and the second.
        story.append(Read(20, ("cutting",)))
    if faulty.photo:
        story.append(LayOnCard(WHEAT, photo=faulty.photo, finished=True))
    first, second = RATED_TWICE[number % len(RATED_TWICE)]
    for observer, ratings in ((0, first), (1, second)):
        handling, order, hygiene, safety = ratings
        story.append(
            Seen(
                WHEAT,
                "cutting",
                3,
                handling=handling,
                bench_order=order,
                hygiene=hygiene,
                knife_safety=safety,
                observer=observer,
                of_last_batch=True,
            )
        )
    return History(
        faulty.username,
        since_days=30,
        stations=((WHEAT, MEASURED),),
        hand=faulty.hand,
        story=tuple(story),
    )


FAULTY_HISTORIES = tuple(history_of(number, faulty) for number, faulty in enumerate(FAULTY))
