"""How the cooks of the demo house practise: a stated model from which every reading is drawn.

All lengths are drawn in *tolerances* (1 is the distance from target to limit) and then turned
into the style's millimetres, water in percentage points. With ``j`` the running number of the
batch, from 1, a hand has learned by the power law

    spread(j) = plateau + (first - plateau) j ** -rate

for each spread (strands within a batch, means between batches, points of a sheet, water) and
each habit (the mean off target, a sheet thick at one edge, a drift from the first cut to the
last, every second strand wide, a share of strands left wedge-shaped, which read wide). Beside
these a hand may have one `Habit` that does not wear off. That practice follows a power law down
to a plateau is the usual form (Newell and Rosenbloom 1981, from memory); the figures are invented
and say nothing about real cooks.

Each batch has random numbers of its own, seeded by cook, style and number, so that the same batch
gives the same readings whatever else is in the house, on any day and machine.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

SEED = 4081
WEDGE_READS_WIDER = 1.1
WAVES = 2.5
LENGTH_STEP_MM = 0.01


@dataclass(frozen=True, slots=True)
class Learned:
    """A quantity that falls from its first value to a plateau, both in tolerances or shares."""

    first: float
    plateau: float = 0.0

    def at(self, number: int, rate: float) -> float:
        """Return the value at batch ``number`` (from 1); ValueError below 1."""
        if number < 1:
            raise ValueError(f"number must be at least 1, not {number}.")
        return float(self.plateau + (self.first - self.plateau) * float(number) ** -rate)


@dataclass(frozen=True, slots=True)
class Habit:
    """A fault that every batch of a hand shows alike, learned or not.

    Attributes
    ----------
    kind : str
        ``'step'`` (wider from the middle of the cut on), ``'neighbours'`` (width swells and
        shrinks in slow waves), ``'groups'`` (half of the strands wider), ``'outliers'`` (one
        strand in eight far too wide); ``'ridge'`` (thick along the middle), ``'saddle'``,
        ``'spot'`` (one point thick); ``'water'``, ``'salt'`` and ``'rest'``.
    size : float
        Tolerances; percentage points for water and salt; for a rest its share of what is planned.
    """

    kind: str
    size: float


@dataclass(frozen=True, slots=True)
class Hand:
    """One cook's hand: spreads and habits, in tolerances; ``rate`` is the exponent of practice.

    Attributes
    ----------
    within : Learned
        Standard deviation of the strands of one batch.
    between : Learned
        Standard deviation of batch means around the bias, of widths and of thicknesses.
    bias : Learned
        Mean width off its target, signed.
    wedges : Learned
        Share 0..1 of strands cut wedge-shaped.
    drift : Learned
        How much wider the last strand is cut than the first.
    alternating : Learned
        How much wider every second strand is.
    sheet : Learned
        Standard deviation of the points of a sheet.
    edge : Learned
        How much thicker one edge of the sheet is than the other.
    middle : Learned
        How much thicker the middle of the sheet is than its corners.
    water_pp : Learned
        Standard deviation of the water, percentage points.
    habit : Habit or None
        What does not wear off.
    """

    within: Learned = Learned(0.75, 0.34)
    between: Learned = Learned(0.45, 0.10)
    bias: Learned = Learned(0.35)
    wedges: Learned = Learned(0.06)
    drift: Learned = Learned(0.0)
    alternating: Learned = Learned(0.0)
    sheet: Learned = Learned(0.70, 0.28)
    edge: Learned = Learned(0.35)
    middle: Learned = Learned(0.25)
    water_pp: Learned = Learned(0.8, 0.18)
    rate: float = 0.6
    habit: Habit | None = None


@dataclass(frozen=True, slots=True)
class Target:
    """What a batch is made for: lengths in mm, the grid's rows and columns, strands in all."""

    width_mm: float
    width_tolerance_mm: float
    thickness_mm: float
    thickness_tolerance_mm: float
    rows: int
    columns: int
    boil_min: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """One batch as drawn.

    Attributes
    ----------
    widths_mm : tuple of float
        One for each strand of ``positions``, in that order.
    grid_mm : tuple of float
        Thickness row by row.
    water_off_pp, salt_off_pp : float
        Water and salt in the dough less their targets, percentage points.
    rest_share : float
        How long the dough rested, as a share of what was planned.
    room_c, dough_c : float
        Temperatures.
    boil_min : float
        Time in the pot.
    handling_min : int
        Minutes of work beside the planned rests.
    """

    widths_mm: tuple[float, ...]
    grid_mm: tuple[float, ...]
    water_off_pp: float
    salt_off_pp: float
    rest_share: float
    room_c: float
    dough_c: float
    boil_min: float
    handling_min: int


def batch_rng(cook: str, style: str, number: int) -> np.random.Generator:
    """Return the random numbers of one batch, the same for the same arguments."""
    words = f"{cook}/{style}".encode()
    return np.random.default_rng([SEED, number, *words])


def strand_seed(cook: str, style: str, number: int) -> int:
    """Return the seed by which the strands to measure are chosen, below 2**31."""
    return int(batch_rng(cook, style, number).integers(2**31))


def draw_batch(
    hand: Hand,
    target: Target,
    *,
    number: int,
    positions: list[int],
    strands: int,
    width_sd_mm: float,
    thickness_sd_mm: float,
    rng: np.random.Generator,
) -> Drawn:
    """Return the readings of batch ``number`` of a hand.

    Parameters
    ----------
    hand : Hand
    target : Target
    number : int
        Running number of the batch for this cook and style, from 1.
    positions : list of int
        Strands that are measured, from 1, in cutting order.
    strands : int
        Strands cut in all, at least the last of ``positions``.
    width_sd_mm, thickness_sd_mm : float
        Repeatability of the instruments, mm, added to what was cut.
    rng : numpy.random.Generator

    Raises
    ------
    ValueError
        For a number below 1, no position, or a position beyond ``strands``.
    """
    if not positions or min(positions) < 1 or max(positions) > strands:
        raise ValueError(f"positions must lie from 1 to {strands}, and there must be some.")

    def now(quantity: Learned) -> float:
        return quantity.at(number, hand.rate)

    places = np.asarray(positions)
    along_cut = (places - 1) / max(1, strands - 1) - 0.5
    every_second = np.where(places % 2 == 0, 0.5, -0.5)
    wedge = rng.random(places.size) < now(hand.wedges)
    widths = (
        now(hand.bias)
        + rng.normal(0, now(hand.between))
        + rng.normal(0, now(hand.within), places.size)
        + now(hand.drift) * along_cut
        + now(hand.alternating) * every_second
        + WEDGE_READS_WIDER * wedge
    )
    grid = _sheet(hand, target, number, rng)
    habit = hand.habit or Habit("", 0.0)
    widths = widths + _in_the_cut(habit, places, strands, rng)
    grid = grid + _in_the_sheet(habit, target)
    room_c = round(float(rng.normal(21.5, 2.4)), 1)
    return Drawn(
        widths_mm=_read(target.width_mm + target.width_tolerance_mm * widths, width_sd_mm, rng),
        grid_mm=_read(
            target.thickness_mm + target.thickness_tolerance_mm * grid, thickness_sd_mm, rng
        ),
        water_off_pp=float(rng.normal(0, now(hand.water_pp)))
        + (habit.size if habit.kind == "water" else 0.0),
        salt_off_pp=habit.size if habit.kind == "salt" else 0.0,
        rest_share=habit.size if habit.kind == "rest" else 1.0,
        room_c=room_c,
        dough_c=round(25 + 0.3 * (room_c - 21.5) + float(rng.normal(0, 0.6)), 1),
        boil_min=round(target.boil_min + float(rng.normal(0, 0.15)), 1),
        handling_min=round(95 * float(number) ** -0.12 + float(rng.uniform(-6, 6))),
    )


def _in_the_cut(
    habit: Habit,
    places: NDArray[np.int64],
    strands: int,
    rng: np.random.Generator,
) -> NDArray[np.float64]:
    """Return what a habit adds to the widths of strands in cutting order, in tolerances."""
    n = places.size
    match habit.kind:
        case "step":
            return habit.size * np.where(places > strands / 2, 0.5, -0.5)
        case "groups":
            return habit.size * np.where(rng.permutation(n) < n // 2, 0.5, -0.5)
        case "outliers":
            return habit.size * np.where(rng.permutation(n) < max(1, n // 8), 1.0, 0.0)
        case "neighbours":
            return habit.size * np.sin(2 * np.pi * WAVES * places / strands)
    return np.zeros(n)


def _in_the_sheet(habit: Habit, target: Target) -> NDArray[np.float64]:
    """Return what a habit adds to the thickness of the grid row by row, in tolerances."""
    along, across = np.meshgrid(_line(target.rows), _line(target.columns), indexing="ij")
    shape = {
        "ridge": -4 * along**2,
        "saddle": 2 * (across**2 - along**2),
        "spot": (along == along.min()) & (across == across.max()),
    }.get(habit.kind, np.zeros(along.shape))
    return np.asarray(habit.size * (shape - np.mean(shape)), dtype=np.float64).ravel()


def _line(points: int) -> NDArray[np.float64]:
    """Return where the points of a row or column lie, from -0.5 to 0.5."""
    return np.linspace(-0.5, 0.5, points) if points > 1 else np.zeros(1)


def _sheet(
    hand: Hand, target: Target, number: int, rng: np.random.Generator
) -> NDArray[np.float64]:
    """Return the thickness of the grid row by row, in tolerances off target."""
    across, along = _line(target.columns), _line(target.rows)
    rate = hand.rate
    bulge = 0.5 - 2 * (along[:, None] ** 2 + across[None, :] ** 2)
    grid = (
        rng.normal(0, hand.between.at(number, rate))
        + hand.edge.at(number, rate) * across[None, :]
        + hand.middle.at(number, rate) * bulge
        + rng.normal(0, hand.sheet.at(number, rate), (target.rows, target.columns))
    )
    return grid.ravel()


def _read(
    lengths_mm: NDArray[np.float64], sd_mm: float, rng: np.random.Generator
) -> tuple[float, ...]:
    """Return what the instrument shows, in its steps and never below one step."""
    shown = lengths_mm + rng.normal(0, sd_mm, lengths_mm.size)
    steps = np.maximum(1, np.round(shown / LENGTH_STEP_MM))
    return tuple(round(float(step) * LENGTH_STEP_MM, 2) for step in steps)
