"""Size of every pattern that a batch can show, found or not, so that batches can be compared."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtri, stdtr

from assessments.calculations.patterns.level import (
    FEWEST_FOR_LEVEL,
    NEGLIGIBLE,
    NO_SPREAD,
    Tolerance,
)
from assessments.calculations.patterns.linear import basis, directions
from assessments.calculations.patterns.null import Floats
from assessments.calculations.patterns.sheet import Sheet
from assessments.calculations.patterns.strands import FEWEST_FOR_ORDER, FEWEST_FOR_WEDGE, Cut

# What a probability too small for a float is taken for.
_LARGEST_Z: Final = 8.0


@dataclass(frozen=True, slots=True)
class Effect:
    """One pattern of one batch as a number with its standard error.

    Attributes
    ----------
    part, kind : str
        As in a finding; a tilt is two effects, ``'tilt_x'`` and ``'tilt_y'`` (right less left
        edge, bottom less top edge). ``'uneven'`` is the logarithm of the standard deviation over
        that of an even hand; all others are 0 where there is no such pattern.
    value, error : float
        In the unit of the finding; the standard error is above 0.
    df : float
        Degrees of freedom of the standard error, infinite where it is known.
    negligible : float
        Values up to this, in either direction, count as none.
    """

    part: str
    kind: str
    value: float
    error: float
    df: float
    negligible: float = 0.0

    @property
    def z(self) -> float:
        """Standard normal score of what is beyond negligible, by the probability of its t."""
        beyond = math.copysign(max(0.0, abs(self.value) - self.negligible), self.value)
        t = beyond / self.error
        if math.isinf(self.df):
            return t
        tail = float(stdtr(self.df, -abs(t)))
        return math.copysign(min(_LARGEST_Z, -float(ndtri(max(tail, 1e-300)))), t)


def cut_effects(cut: Cut, tolerance: Tolerance, sigma_m: float) -> list[Effect]:
    """Return drift (last less first), alternation (odd less even), off target and uneven."""
    effects = []
    p = cut.positions
    if p.size >= FEWEST_FOR_ORDER:
        drift = (p - p[0]) / (p[-1] - p[0])
        for kind, column in (("drift", drift), ("alternation", p % 2)):
            effects += _slope("width", kind, column, cut.widths_mm, np.empty((p.size, 0)))
    return effects + _level("width", cut.widths_mm, tolerance, sigma_m)


def sheet_effects(sheet: Sheet, tolerance: Tolerance, sigma_m: float) -> list[Effect]:
    """Return tilt by both edges, bowl (middle less corners), off target and uneven."""
    effects = []
    x, y, z = sheet.x, sheet.y, sheet.thickness_mm
    if z.size >= FEWEST_FOR_ORDER:
        none = np.empty((z.size, 0))
        effects += _slope("thickness", "tilt_x", x / 2, z, none)
        effects += _slope("thickness", "tilt_y", y / 2, z, none)
        if np.ptp(x * x) > 0 and np.ptp(y * y) > 0:
            plane = np.column_stack([x, y])
            effects += _slope("thickness", "bowl", -(x * x + y * y) / 2, z, plane)
    return effects + _level("thickness", z, tolerance, sigma_m)


def taper_effects(taper_mm: Floats) -> list[Effect]:
    """Return the mean taper of the strands, last end less first."""
    n = taper_mm.size
    error = float(taper_mm.std(ddof=1)) / math.sqrt(n) if n >= FEWEST_FOR_WEDGE else 0.0
    if error <= NO_SPREAD:
        return []
    return [Effect("taper", "wedge", float(taper_mm.mean()), error, n - 1)]


def _slope(part: str, kind: str, column: Floats, values_mm: Floats, beside: Floats) -> list[Effect]:
    """Return the coefficient of ``column``, fitted with a constant and the columns ``beside``."""
    spanned = basis(beside)
    if directions(column[:, None], spanned) is None:
        return []
    design = np.column_stack([np.ones(column.size), beside, column])
    solved, _squares, rank, _sizes = np.linalg.lstsq(design, values_mm, rcond=None)
    rest = values_mm - design @ solved
    df = column.size - int(rank)
    if df < 1:
        return []
    variance = float(rest @ rest) / df * float(np.linalg.inv(design.T @ design)[-1, -1])
    error = math.sqrt(variance)
    return [Effect(part, kind, float(solved[-1]), error, df)] if error > NO_SPREAD else []


def _level(part: str, values_mm: Floats, tolerance: Tolerance, sigma_m: float) -> list[Effect]:
    n = values_mm.size
    if n < FEWEST_FOR_LEVEL or float(np.ptp(values_mm)) <= NO_SPREAD:
        return []
    sd = float(values_mm.std(ddof=1))
    off = float(values_mm.mean()) - tolerance.target_mm
    even = math.hypot(tolerance.even_sd_mm, sigma_m)
    return [
        Effect(part, "off_target", off, sd / math.sqrt(n), n - 1, NEGLIGIBLE * tolerance.half_mm),
        # Standard error of ln s: Kendall and Stuart, The Advanced Theory of Statistics, 10.
        Effect(part, "uneven", math.log(sd / even), 1 / math.sqrt(2 * (n - 1)), math.inf),
    ]
