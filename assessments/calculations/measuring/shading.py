"""How bright the walls and rounded edges of strands are, told by the shadows that they throw."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from assessments.calculations.measuring.camera import Floats
from assessments.calculations.measuring.field import Dough, View
from assessments.calculations.measuring.tracks import STATION_MM, Track, by_station

WALLS: Final = (-0.1, 0.05, 0.2, 0.35, 0.55, 0.75, 0.95, 1.15, 1.4, 1.7, 2.1)
WALL: Final = {"shadow": (0.12, 0.15), "sky": (0.35, 0.35), "lamp": (1.1, 0.5)}
"""Light of a wall as a part of its top's, and its standard deviation, where nothing else is known:
in its own shadow, under an even sky (of which a wall sees half, less beside a neighbour), and
turned to the lamp that throws a shadow on the other side."""
WALL_USUAL: Final = 0.06
"""Rise of the misfit that one standard deviation from the usual is worth."""
WALL_DOUBT: Final = 0.05
"""Rise of the misfit that makes a value clearly less likely."""
WALL_KNOWN_SD: Final = 0.12
UNEVEN: Final = 0.13
"""Difference of the card's light on both sides of strands from which on one lies in shadow. Two
lamps throw shadows on both sides and light both walls: much like a sky."""
OPEN: Final = 3.5
"""Gap beside a strand, in thicknesses, from which on no neighbour's shadow reaches its foot."""
SHADED: Final = {"shadow": 0.6, "sky": 0.12, "lamp": 0.0}
TURNED: Final = {"shadow": 0.35, "sky": 0.12, "lamp": 0.0}
"""Part of the rounding's radius by which a rim against the card, and a top's edge toward its own
wall, seem to lie inside: the outermost part of a rounded edge is turned from the light."""


@dataclass(frozen=True, slots=True)
class Shadows:
    """Light of the open card close beside strands, over that of card far from any.

    `low` and `high` are the sides against and along the view's second axis; NaN where no strand
    has open card on that side.
    """

    low: float
    high: float

    def lit(self, high_side: bool) -> str:
        """Return how walls on one side are lit: ``'shadow'``, ``'lamp'`` or ``'sky'``."""
        here, there = (self.high, self.low) if high_side else (self.low, self.high)
        if here < there - UNEVEN:
            return "shadow"
        return "lamp" if here > there + UNEVEN else "sky"


def shadows_beside(tracks: list[Track], view: View, dough: Dough, thickness_mm: float) -> Shadows:
    """Look for the shadows that strands throw on the card: they tell from where the light comes."""
    per_station = max(1, round(STATION_MM * view.along_per_mm))
    # Blue over red is what the card itself sends back: a lamp's glance adds the same to both.
    blue = by_station(
        (view.light[..., 2] - view.light[..., 0]) * (1 - dough.dough) * view.inside, per_station
    )
    bare = by_station(1 - dough.dough, per_station)
    open_card = blue[(bare > 0.95) & (blue > 0)]
    if not len(open_card):
        return Shadows(np.nan, np.nan)
    usual = float(np.quantile(open_card, 0.8))
    found: dict[bool, list[float]] = {False: [], True: []}
    near, far = 0.7 * thickness_mm, 1.3 * thickness_mm
    for track in tracks:
        columns = (np.array(track.at) * view.along_per_mm / per_station).astype(int)
        sides = ((False, track.low, track.gap_low), (True, track.high, track.gap_high))
        for high_side, edges, gaps in sides:
            wide = np.flatnonzero(np.array(gaps) >= OPEN * thickness_mm)[::2]
            for place in wide.tolist():
                away = (near, far) if high_side else (-far, -near)
                first, last = (round((edges[place] + x) * view.across_per_mm) for x in away)
                strip = slice(max(first, 0), last), min(columns[place], bare.shape[1] - 1)
                if first >= 0 and bare[strip].size and bare[strip].min() > 0.95:
                    found[high_side].append(float(blue[strip].mean()))
    low, high = (
        float(np.median(found[side])) / usual if len(found[side]) >= 8 else np.nan
        for side in (False, True)
    )
    return Shadows(low, high)


def wall_light(misfit: Callable[[Floats], Floats], usual: float, sd: float) -> tuple[float, float]:
    """Return how bright walls are, as a part of their tops, and the standard deviation of that.

    A wall of half a pixel leaves two answers that fit about equally well, nearly as dark as the
    card or nearly as bright as the top. The usual light of a wall then decides between them, and
    what is left of the other answer goes into the uncertainty.
    """
    values = np.array(WALLS)
    costs = misfit(values)
    costs = costs / costs.min() * (1 + WALL_USUAL * ((values - usual) / sd) ** 2)
    fine = np.linspace(values[0], values[-1], 96)
    cost = np.interp(fine, values, costs)
    lowest = int(costs.argmin())
    if 0 < lowest < len(values) - 1:
        bend, slope, _level = np.polyfit(
            values[lowest - 1 : lowest + 2] - values[lowest], costs[lowest - 1 : lowest + 2], 2
        )
        best = values[lowest] - slope / (2 * bend)
    else:
        best = values[lowest]
    weight = np.exp(-(cost - cost.min()) / WALL_DOUBT)
    unsure = np.sqrt((weight * (fine - best) ** 2).sum() / weight.sum())
    return float(best), max(WALL_KNOWN_SD, float(unsure))
