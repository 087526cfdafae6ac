"""The level of a set of readings: off its target, uneven, both or neither."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from assessments.calculations.patterns.null import Floats, Test, compare
from assessments.calculations.patterns.shape import ShapeNull
from assessments.calculations.scoring import share_in_tolerance

FEWEST_FOR_LEVEL: Final = 5
NEGLIGIBLE: Final = 0.2
"""Part of half the tolerance by which a batch may be off without being called off target."""
EVEN_Z: Final = 1.959964
"""An even hand has 95 of 100 strands within the tolerance when its mean is on target."""
NO_SPREAD: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What the house standard allows, mm: inclusive limits and the target between them.

    Raises
    ------
    ValueError
        Unless ``low <= target <= high``, ``low < high`` and all are finite.
    """

    low_mm: float
    target_mm: float
    high_mm: float

    def __post_init__(self) -> None:
        if not (
            -math.inf < self.low_mm <= self.target_mm <= self.high_mm < math.inf
            and self.low_mm < self.high_mm
        ):
            raise ValueError(
                "The target must lie between finite limits, not "
                f"{self.low_mm}, {self.target_mm}, {self.high_mm}."
            )

    def allows(self, value_mm: float) -> bool:
        """Whether a reading lies within the limits, as the plain count of the score takes it."""
        return self.low_mm - 1e-9 <= value_mm <= self.high_mm + 1e-9

    @property
    def half_mm(self) -> float:
        """Half the width of the tolerance."""
        return (self.high_mm - self.low_mm) / 2

    @property
    def even_sd_mm(self) -> float:
        """Largest standard deviation of a hand that is called even, see `EVEN_Z`."""
        return self.half_mm / EVEN_Z


@dataclass(frozen=True, slots=True)
class Level:
    """Bias against spread of one part of a batch.

    Attributes
    ----------
    off_mm, sd_mm : float
        Mean less target, and standard deviation with the instrument's own taken off.
    even_sd_mm : float
        Largest standard deviation that counts as even.
    share, share_on_target, share_even : float
        Share within tolerance 0..1: as it is; with the mean on target and the same spread; with
        the same mean and no more spread than an even hand's.
    off_target, uneven : bool
        Whether each is beyond chance, over all tests made on the batch.
    """

    off_mm: float
    sd_mm: float
    even_sd_mm: float
    share: float
    share_on_target: float
    share_even: float
    off_target: bool
    uneven: bool


def level_tests(
    part: str,
    values_mm: Floats,
    rest_mm: Floats,
    rank: int,
    tolerance: Tolerance,
    sigma_m: float,
    null: ShapeNull,
) -> list[Test]:
    """Return the tests of mean and spread.

    Parameters
    ----------
    part : str
    values_mm, rest_mm : ndarray, shape (n,)
        Readings, and what is left of them after mean and patterns are taken out.
    rank : int
        Numbers that were fitted, the mean among them, below n.
    tolerance : Tolerance
    sigma_m : float
        Repeatability of one reading, mm.
    null : ShapeNull

    Returns
    -------
    list of Test
        ``off_target``: how far the mean lies beyond a negligible distance from its target, in
        standard errors (Student's t at the edge of what is negligible, so that a batch closer to
        its target raises fewer false alarms). ``uneven``: the variance over that of an even hand
        and the instrument (chi-square at the edge of even).
    """
    n = values_mm.size
    variance = float(rest_mm @ rest_mm) / (n - rank)
    beyond = abs(float(values_mm.mean()) - tolerance.target_mm) - NEGLIGIBLE * tolerance.half_mm
    error = math.sqrt(variance / n)
    off = beyond / error if error > NO_SPREAD else math.copysign(math.inf, beyond)
    allowed = tolerance.even_sd_mm**2 + sigma_m**2
    return [
        compare(f"{part}.off_target", off, null.mean_t),
        compare(f"{part}.uneven", variance / allowed, null.variance),
    ]


def level_of(
    values_mm: Floats, tolerance: Tolerance, sigma_m: float, *, off_target: bool, uneven: bool
) -> Level:
    """Set bias against spread, see `Level`, for at least five readings."""
    off = float(values_mm.mean()) - tolerance.target_mm
    sd = math.sqrt(max(0.0, float(values_mm.var(ddof=1)) - sigma_m**2))

    def share(values: Floats) -> float:
        result = share_in_tolerance(
            values.tolist(), tolerance.low_mm, tolerance.high_mm, sigma_m
        ).share
        return 0.0 if result is None else result

    return Level(
        off_mm=off,
        sd_mm=sd,
        even_sd_mm=tolerance.even_sd_mm,
        share=share(values_mm),
        share_on_target=share(values_mm - off),
        share_even=share(calmed(values_mm, tolerance, sigma_m)),
        off_target=off_target,
        uneven=uneven,
    )


def calmed(values_mm: Floats, tolerance: Tolerance, sigma_m: float) -> Floats:
    """Return the readings with no more spread than an even hand and the instrument make."""
    sd = float(np.std(values_mm, ddof=1))
    allowed = math.hypot(tolerance.even_sd_mm, sigma_m)
    mean = values_mm.mean()
    calm: Floats = mean + (values_mm - mean) * min(1.0, allowed / max(sd, NO_SPREAD))
    return calm
