"""What share of a cook's strands lies within the house tolerance, and the score made of it."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

FORMULA_VERSION: Final = "1"
"""Stored beside each score; changed whenever a formula in this module changes."""

PARTS: Final = ("width", "thickness", "hydration")
"""The parts of a score, in the order in which ties are named."""

MINIMUM_READINGS: Final = 5
INTERVAL_Z: Final = 1.2816
INTERVAL_READINGS_FACTOR: Final = 1.4
_LIMIT_SLACK: Final = 1e-9
_NO_SPREAD: Final = 1e-9


@dataclass(frozen=True, slots=True)
class ToleranceShare:
    """Share of all strands within the limits, estimated from the readings of one batch.

    Attributes
    ----------
    n, n_in : int
        Readings, and readings within the limits (the plain count, to be shown as ``n_in`` of
        ``n``; it may differ from `share`).
    mean, sd : float or None
        Mean and standard deviation (n - 1) in mm. None without readings; `sd` also for one.
    sd_adj : float or None
        Standard deviation in mm after the instrument's own spread is taken off.
    share, low, high : float or None
        Share 0..1 and its 80 % interval. None for fewer than five readings.
    status : str
        ``'ok'`` or ``'too_few'``.
    """

    n: int
    n_in: int
    mean: float | None
    sd: float | None
    sd_adj: float | None
    share: float | None
    low: float | None
    high: float | None
    status: str


@dataclass(frozen=True, slots=True)
class BatchScore:
    """Score of one batch: 100 times its weakest hand, see `batch_score`."""

    score: float | None
    limiting: str | None
    complete: bool


@dataclass(frozen=True, slots=True)
class CookScore:
    """Score of a cook over the last batches, see `cook_score`; `parts` are 0..100 or None."""

    score: float | None
    limiting: str | None
    parts: dict[str, float | None]


def wilson_interval(share: float, n: float, z: float) -> tuple[float, float]:
    """Return the Wilson score interval of a proportion.

    Parameters
    ----------
    share : float
        Observed proportion, 0..1.
    n : float
        Number of observations, above 0; need not be whole.
    z : float
        Standard normal quantile of the wanted two-sided confidence (1.2816 for 80 %).

    Returns
    -------
    tuple of float
        Lower and upper limit, kept within 0..1.

    Raises
    ------
    ValueError
        For a share outside 0..1, or n or z not above 0.

    Notes
    -----
    Wilson, E. B. (1927), Journal of the American Statistical Association 22, 209-212.

    Examples
    --------
    >>> low, high = wilson_interval(81 / 263, 263, 1.959964)
    >>> print(f"{low:.4f} {high:.4f}")
    0.2553 0.3662
    """
    _require_share("share", share)
    if not (n > 0 and math.isfinite(n)):
        raise ValueError(f"n must be above 0, not {n}.")
    if not (z > 0 and math.isfinite(z)):
        raise ValueError(f"z must be above 0, not {z}.")
    z2_over_n = z * z / n
    centre = (share + z2_over_n / 2) / (1 + z2_over_n)
    half_width = z / (1 + z2_over_n) * math.sqrt(share * (1 - share) / n + z2_over_n / (4 * n))
    return max(0.0, centre - half_width), min(1.0, centre + half_width)


def share_in_tolerance(
    values: Iterable[float | None],
    lo: float | None = None,
    hi: float | None = None,
    sigma_m: float = 0.0,
) -> ToleranceShare:
    """Estimate how many of all strands cut this way lie within the house tolerance.

    Every reading is spread out by a normal kernel, so that a strand close to a limit counts in
    part; readings are first drawn toward their mean so that the smoothed variance equals the
    observed one less the instrument's.

    Parameters
    ----------
    values : iterable of float or None, shape (n,)
        Readings in mm, one for each strand or grid point; None is a missing reading and is
        dropped. The order does not matter.
    lo, hi : float or None
        Inclusive limits in mm; one of them may be None (one-sided tolerance).
    sigma_m : float
        Standard deviation of the instrument's repeatability for one reading, mm, 0 or more.
        When each value is the mean of k readings, divide it by sqrt(k) beforehand.

    Returns
    -------
    ToleranceShare
        With no reading every number but the counts is None; with one reading only the mean is
        given; with fewer than five, `share`, `low` and `high` are None and the status is
        ``'too_few'``. Readings without any spread give a share of 1 or 0.

    Raises
    ------
    ValueError
        For a reading or limit that is not finite, no limit at all, ``lo >= hi``, or a negative
        `sigma_m`.

    Notes
    -----
    Kernel width 0.9 min(s, IQR/1.349) n^(-1/5): Silverman (1986), Density Estimation, eq. 3.31.
    Variance-corrected smoothing: Silverman and Young (1987), Biometrika 74, 469-479. Percentiles
    by linear interpolation: Hyndman and Fan (1996), The American Statistician 50, type 7.
    Interval: `wilson_interval` with 1.4 n readings, as the smoothed count is as sharp as a plain
    count of 1.4 n.

    Examples
    --------
    >>> widths_mm = [3.1, 2.9, 3.0, 3.3, 2.7, 3.2, 2.8, 3.4, 3.0, 3.1]
    >>> result = share_in_tolerance(widths_mm, lo=2.5, hi=3.5, sigma_m=0.07)
    >>> result.n_in, round(result.share, 3)
    (10, 0.992)
    """
    _check_limits(lo, hi)
    if not (sigma_m >= 0 and math.isfinite(sigma_m)):
        raise ValueError(f"sigma_m must be 0 or more, not {sigma_m}.")
    # Sorted, so that the result does not depend on the order of reading, to the last digit.
    x = np.sort(np.array([value for value in values if value is not None], dtype=np.float64))
    if not np.isfinite(x).all():
        raise ValueError("Every reading must be a finite number; leave a missing one out.")
    n = x.size
    below = math.inf if hi is None else hi + _LIMIT_SLACK
    above = -math.inf if lo is None else lo - _LIMIT_SLACK
    n_in = int(np.count_nonzero((x >= above) & (x <= below)))
    status = "ok" if n >= MINIMUM_READINGS else "too_few"
    if n == 0:
        return ToleranceShare(0, 0, None, None, None, None, None, None, status)
    mean = float(x.sum()) / n
    if n == 1:
        return ToleranceShare(1, n_in, mean, None, None, None, None, None, status)
    deviations = x - mean
    sd = math.sqrt(float(deviations @ deviations) / (n - 1))
    if sd <= _NO_SPREAD:
        sd_adj = 0.0
        share = 1.0 if above <= mean <= below else 0.0
    else:
        variance = sd * sd * (1 - min(0.5, (sigma_m / sd) ** 2))
        sd_adj = math.sqrt(variance)
        kernel = min(0.9 * _robust_spread(x, sd) * n**-0.2, sd_adj)
        drawn = mean + math.sqrt(max(0.0, variance - kernel * kernel)) / sd * deviations
        share = _smoothed_share(drawn, kernel, lo, hi)
    if n < MINIMUM_READINGS:
        return ToleranceShare(n, n_in, mean, sd, sd_adj, None, None, None, status)
    low, high = wilson_interval(share, INTERVAL_READINGS_FACTOR * n, INTERVAL_Z)
    return ToleranceShare(n, n_in, mean, sd, sd_adj, share, low, high, status)


def hydration_share(
    actual: float, target: float, tol_minus: float, tol_plus: float, sigma_h: float = 0.3
) -> float:
    """Return the chance that a dough truly was within the limits for its water.

    Parameters
    ----------
    actual, target : float
        Water as percent of flour plus starch.
    tol_minus, tol_plus : float
        How far below and above the target is within tolerance, percentage points, above 0.
    sigma_h : float
        Standard uncertainty of `actual` from weighing and flour moisture, percentage points,
        above 0.

    Returns
    -------
    float
        Share 0..1.

    Raises
    ------
    ValueError
        For a number that is not finite, or a tolerance or `sigma_h` not above 0.

    Notes
    -----
    Normal distribution of the true value around the weighed one (JCGM 106:2012, conformance
    probability, 7.2).

    Examples
    --------
    >>> round(hydration_share(46.3, 46, 1, 1), 6)
    0.990177
    """
    _require_finite(actual=actual, target=target)
    _require_positive(tol_minus=tol_minus, tol_plus=tol_plus, sigma_h=sigma_h)
    off = actual - target
    return float(ndtr((tol_plus - off) / sigma_h) - ndtr((-tol_minus - off) / sigma_h))


def batch_score(
    width: float | None = None, thickness: float | None = None, hydration: float | None = None
) -> BatchScore:
    """Return the score of one batch: 100 times its smallest share, and the part it comes from.

    Parameters
    ----------
    width, thickness, hydration : float or None
        Shares 0..1; None where a part was not measured.

    Returns
    -------
    BatchScore
        `score` 0..100; `limiting` names the smallest part (ties: width, thickness, hydration in
        that order); `complete` tells whether all three were measured. With neither width nor
        thickness there is no score.

    Raises
    ------
    ValueError
        For a share outside 0..1.

    Notes
    -----
    House definition: no weights; the weakest part is the score.

    Examples
    --------
    >>> batch_score(width=0.75, thickness=0.99, hydration=0.97)
    BatchScore(score=75.0, limiting='width', complete=True)
    """
    shares = {"width": width, "thickness": thickness, "hydration": hydration}
    for part, share in shares.items():
        if share is not None:
            _require_share(part, share)
    score, limiting = _weakest({part: _percent(share) for part, share in shares.items()})
    complete = all(share is not None for share in shares.values())
    return BatchScore(score, limiting, complete)


def cook_score(batches: Sequence[Mapping[str, float | None]], window: int = 5) -> CookScore:
    """Return a cook's score over the last batches: the weakest of the parts' means.

    Parameters
    ----------
    batches : sequence of mapping
        Oldest first, with the keys ``width``, ``thickness`` and ``hydration``: share 0..1 or
        None. A missing key counts as None.
    window : int
        How many of the last values of each part are averaged, at least 3.

    Returns
    -------
    CookScore
        Each part is 100 times the mean of its last `window` values present, None for fewer than
        three. The score is the smallest part, None when both width and thickness are.

    Raises
    ------
    ValueError
        For a share outside 0..1 or a window under 3.

    Notes
    -----
    House definition, as for `batch_score`. The smallest of several noisy means reads a little
    low: say "at least about".

    Examples
    --------
    >>> practice = [{"width": 0.9, "thickness": 1.0, "hydration": None}] * 3
    >>> cook_score(practice).parts
    {'width': 90.0, 'thickness': 100.0, 'hydration': None}
    """
    if window < 3:
        raise ValueError(f"window must be at least 3, not {window}.")
    parts: dict[str, float | None] = {}
    for part in PARTS:
        present = [share for batch in batches if (share := batch.get(part)) is not None]
        for share in present:
            _require_share(part, share)
        last = present[-window:]
        parts[part] = 100 * math.fsum(last) / len(last) if len(last) >= 3 else None
    score, limiting = _weakest(parts)
    return CookScore(score, limiting, parts)


def _check_limits(lo: float | None, hi: float | None) -> None:
    if lo is None and hi is None:
        raise ValueError("At least one limit is needed.")
    for name, limit in (("lo", lo), ("hi", hi)):
        if limit is not None and not math.isfinite(limit):
            raise ValueError(f"{name} must be a finite number; use None for no limit.")
    if lo is not None and hi is not None and lo >= hi:
        raise ValueError(f"lo must be below hi, not {lo} and {hi}.")


def _robust_spread(ordered: NDArray[np.float64], sd: float) -> float:
    """Return min(sd, interquartile range / 1.349) of ordered readings, percentiles of type 7."""
    quarter, rest = divmod((ordered.size - 1) * 0.25, 1)
    upper, upper_rest = divmod((ordered.size - 1) * 0.75, 1)
    i, j, last = int(quarter), int(upper), ordered.size - 1
    q1 = ordered[i] + rest * (ordered[min(i + 1, last)] - ordered[i])
    q3 = ordered[j] + upper_rest * (ordered[min(j + 1, last)] - ordered[j])
    spread = float(q3 - q1) / 1.349
    return sd if spread <= _NO_SPREAD else min(sd, spread)


def _smoothed_share(
    centres: NDArray[np.float64], kernel: float, lo: float | None, hi: float | None
) -> float:
    below_hi = 1.0 if hi is None else ndtr((hi - centres) / kernel)
    below_lo = 0.0 if lo is None else ndtr((lo - centres) / kernel)
    return min(1.0, max(0.0, float(np.mean(below_hi - below_lo))))


def _percent(share: float | None) -> float | None:
    return None if share is None else 100 * share


def _weakest(parts: Mapping[str, float | None]) -> tuple[float | None, str | None]:
    if parts["width"] is None and parts["thickness"] is None:
        return None, None
    present = [(value, part) for part in PARTS if (value := parts[part]) is not None]
    return min(present, key=lambda item: item[0])


def _require_share(name: str, share: float) -> None:
    if not 0 <= share <= 1:
        raise ValueError(f"{name} must be a share from 0 to 1, not {share}.")


def _require_finite(**numbers: float) -> None:
    for name, number in numbers.items():
        if not math.isfinite(number):
            raise ValueError(f"{name} must be a finite number, not {number}.")


def _require_positive(**numbers: float) -> None:
    for name, number in numbers.items():
        if not (number > 0 and math.isfinite(number)):
            raise ValueError(f"{name} must be above 0, not {number}.")
