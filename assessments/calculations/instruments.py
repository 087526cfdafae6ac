"""Whether a tool can see the difference that matters, and which strands it is to measure."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import gammaincinv, stdtrit

GOOD_RATIO: Final = 0.15
COARSE_RATIO: Final = 0.30
_RATIO_SLACK: Final = 1e-9


@dataclass(frozen=True, slots=True)
class MeasurementCheck:
    """Verdict on an instrument for one tolerance, see `measurement_check`.

    Attributes
    ----------
    ratio : float
        Repeatability over half the tolerance.
    grade : str
        ``'good'``, ``'coarse'`` or ``'too coarse'``.
    repeats_for_good : int
        Readings a strand whose mean would be graded good, at least 1.
    variance_share : float or None
        Part of the observed variance, 0..1, that the instrument makes.
    """

    ratio: float
    grade: str
    repeats_for_good: int
    variance_share: float | None


@dataclass(frozen=True, slots=True)
class Repeatability:
    """Agreement of two readings of the same strands, in their unit, see `repeatability`.

    Attributes
    ----------
    bias, bias_low, bias_high : float
        Mean of second less first reading, and its 95 % interval.
    sigma_m, sigma_upper : float
        Standard deviation of one reading, and its one-sided 95 % upper bound.
    limits : tuple of float
        95 % limits of agreement of the differences.
    n : int
        Pairs.
    """

    bias: float
    bias_low: float
    bias_high: float
    sigma_m: float
    sigma_upper: float
    limits: tuple[float, float]
    n: int


def measurement_check(
    sigma_m: float, half_tolerance: float, sd: float | None = None
) -> MeasurementCheck:
    """Grade an instrument's repeatability against a tolerance.

    Parameters
    ----------
    sigma_m : float
        Standard deviation of one reading, mm, 0 or more.
    half_tolerance : float
        Half the width of the tolerance band, mm, above 0.
    sd : float, optional
        Standard deviation of the batch's readings, mm, 0 or more.

    Returns
    -------
    MeasurementCheck
        Good up to a ratio of 0.15, coarse up to 0.30 (both inclusive), else too coarse.
        `variance_share` is None without `sd`; for readings without any spread it is 1 when the
        instrument has some, else 0.

    Raises
    ------
    ValueError
        For an argument that is not finite or outside its range.

    Notes
    -----
    House limits, set by the error that they leave in the share of a batch of 20 strands.

    Examples
    --------
    >>> measurement_check(0.07, 0.25).grade, measurement_check(0.07, 0.25).repeats_for_good
    ('coarse', 4)
    """
    if not (sigma_m >= 0 and math.isfinite(sigma_m)):
        raise ValueError(f"sigma_m must be 0 or more, not {sigma_m}.")
    if not (half_tolerance > 0 and math.isfinite(half_tolerance)):
        raise ValueError(f"half_tolerance must be above 0, not {half_tolerance}.")
    if sd is not None and not (sd >= 0 and math.isfinite(sd)):
        raise ValueError(f"sd must be 0 or more, not {sd}.")
    ratio = sigma_m / half_tolerance
    if ratio <= GOOD_RATIO + _RATIO_SLACK:
        grade = "good"
    elif ratio <= COARSE_RATIO + _RATIO_SLACK:
        grade = "coarse"
    else:
        grade = "too coarse"
    repeats = max(1, math.ceil((ratio / GOOD_RATIO) ** 2 - 1e-6))
    return MeasurementCheck(ratio, grade, repeats, _variance_share(sigma_m, sd))


def repeatability(first: Sequence[float], second: Sequence[float]) -> Repeatability:
    """Compare two readings of the same strands, by one person twice, two people or two tools.

    Parameters
    ----------
    first, second : sequence of float, shape (n,)
        Readings in the same order and unit, at least 2 pairs; 20 or more are advised.

    Returns
    -------
    Repeatability
        Identical readings give zeros. A bias whose interval leaves out 0 must be corrected at
        the tool.

    Raises
    ------
    ValueError
        For unequal lengths, fewer than 2 pairs, or a reading that is not finite.

    Notes
    -----
    Limits of agreement: Bland and Altman (1986), Lancet 327, 307-310. One reading's standard
    deviation is that of the differences over sqrt(2); its bound by the chi-square distribution.

    Examples
    --------
    >>> result = repeatability([3.0, 3.1, 2.9, 3.2], [3.1, 3.1, 2.8, 3.2])
    >>> round(result.sigma_m, 4), result.n
    (0.0577, 4)
    """
    if len(first) != len(second):
        raise ValueError(f"Readings must come in pairs, not {len(first)} and {len(second)}.")
    n = len(first)
    if n < 2:
        raise ValueError("At least 2 pairs of readings are needed.")
    differences = np.subtract(
        np.asarray(second, dtype=np.float64), np.asarray(first, dtype=np.float64)
    )
    if not np.isfinite(differences).all():
        raise ValueError("Every reading must be a finite number.")
    bias, sd = float(differences.mean()), float(differences.std(ddof=1))
    half_width = float(stdtrit(n - 1, 0.975)) * sd / math.sqrt(n)
    sigma_m = sd / math.sqrt(2)
    chi2_low = 2 * float(gammaincinv((n - 1) / 2, 0.05))
    return Repeatability(
        bias=bias,
        bias_low=bias - half_width,
        bias_high=bias + half_width,
        sigma_m=sigma_m,
        sigma_upper=sigma_m * math.sqrt((n - 1) / chi2_low),
        limits=(bias - 1.96 * sd, bias + 1.96 * sd),
        n=n,
    )


def choose_strands(total: int, n: int, seed: int) -> list[int]:
    """Choose the strands to be measured: one at random from each of n equal stretches of the cut.

    Parameters
    ----------
    total : int
        Strands cut, at least 1.
    n : int
        Strands to measure, at least 1.
    seed : int
        0 or more, fixed when the batch is opened, before cutting.

    Returns
    -------
    list of int
        Positions from 1 in cutting order, rising, no strand twice; all of them when ``n >= total``.

    Raises
    ------
    ValueError
        For `total` or `n` below 1, or a seed that is no whole number from 0.

    Notes
    -----
    Stratified sampling with one draw from each stratum (Cochran 1977, Sampling Techniques, 3rd
    ed., 8.5). Where a stretch ends within a strand, two stretches may draw that strand; the
    later one then takes the next, which always lies in its stretch too.

    Examples
    --------
    >>> choose_strands(total=3, n=20, seed=1)
    [1, 2, 3]
    >>> len(choose_strands(total=60, n=20, seed=1))
    20
    """
    if total < 1 or n < 1:
        raise ValueError(f"total and n must be at least 1, not {total} and {n}.")
    if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
        raise ValueError(f"seed must be a whole number from 0, not {seed!r}.")
    if n >= total:
        return list(range(1, total + 1))
    positions: list[int] = []
    previous = 0
    for i, u in enumerate(np.random.default_rng(seed).random(n)):
        start, end = i * total / n, (i + 1) * total / n
        previous = max(previous + 1, min(total, math.floor(start + u * (end - start)) + 1))
        positions.append(previous)
    return positions


def _variance_share(sigma_m: float, sd: float | None) -> float | None:
    if sd is None:
        return None
    if sigma_m < sd:
        return (sigma_m / sd) ** 2
    return 1.0 if sigma_m > 0 else 0.0
