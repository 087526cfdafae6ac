"""Whether the readings, in whatever order, fall into two groups or have a few gross outliers."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from scipy.special import stdtr

from assessments.calculations.patterns.linear import left_over
from assessments.calculations.patterns.null import Floats, normals

FEWEST_FOR_GROUPS: Final = 12
FEWEST_FOR_OUTLIERS: Final = 8
_SMALLEST_TAIL: Final = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class ShapeNull:
    """Random batches of normal readings and their statistics, each of shape (draws,).

    Attributes
    ----------
    rest : ndarray, shape (draws, n)
        The random batches, less their mean and the patterns already found.
    split, outliers : ndarray
        See `best_split` and `outlier_evidence`.
    mean_t, variance : ndarray
        Student's t of the mean against 0, and the variance (1 in the long run).
    """

    rest: Floats
    split: Floats
    outliers: Floats
    mean_t: Floats
    variance: Floats


def smallest_group(n: int) -> int:
    """Return how many readings a group needs at least: a sixth, and no fewer than three."""
    return max(3, n // 6)


def most_outliers(n: int) -> int:
    """Return how many readings of ``n`` are looked at as outliers: a tenth, from 1 to 4."""
    return max(1, min(4, n // 10))


def best_split(rows: Floats, fewest: int) -> tuple[Floats, Floats]:
    """Return how well two groups describe each row, and where they part.

    Parameters
    ----------
    rows : ndarray, shape (draws, n)
        Readings in rising order.
    fewest : int
        Readings that each group has at least.

    Returns
    -------
    tuple of ndarray, each of shape (draws,)
        The largest part of the sum of squares that lies between two groups, 0..1, and the number
        of readings in the lower group.

    Notes
    -----
    Engelman and Hartigan (1969), Journal of the American Statistical Association 64, 1647-1648:
    the likelihood ratio of two normal groups of equal variance. For many readings of one normal
    distribution it tends to 2/pi (Hartigan 1978, Annals of Statistics 6, 117-131).
    """
    n = rows.shape[1]
    deviations = rows - rows.mean(axis=1, keepdims=True)
    below = np.cumsum(deviations, axis=1)[:, fewest - 1 : n - fewest]
    k = np.arange(fewest, n - fewest + 1)
    between = below**2 * n / (k * (n - k))
    at = np.argmax(between, axis=1)
    best = np.take_along_axis(between, at[:, None], axis=1)[:, 0]
    total = np.square(deviations).sum(axis=1)
    return best / total, (at + fewest).astype(np.float64)


def studentised_extremes(rows: Floats, most: int) -> tuple[Floats, Floats]:
    """Return the deviations of the most extreme readings, each after the ones before are gone.

    Parameters
    ----------
    rows : ndarray, shape (draws, n)
    most : int
        Readings to take away, below n - 2.

    Returns
    -------
    tuple of ndarray, each of shape (most, draws)
        Largest deviation from the mean in standard deviations, and which reading it is.

    Notes
    -----
    Generalised extreme studentised deviates: Rosner (1983), Technometrics 25, 165-172.
    """
    draws, n = rows.shape
    left = np.ones_like(rows, dtype=bool)
    # Small numbers, so that the sums of squares keep their digits.
    x = rows - rows.mean(axis=1, keepdims=True)
    total, squares = x.sum(axis=1), np.square(x).sum(axis=1)
    deviations, places = np.empty((most, draws)), np.empty((most, draws))
    every = np.arange(draws)
    for j in range(most):
        m = n - j
        mean = total / m
        variance = np.maximum(squares - m * mean**2, 0) / (m - 1)
        away = np.where(left, np.abs(x - mean[:, None]), -1)
        at = np.argmax(away, axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            deviations[j] = np.nan_to_num(away[every, at] / np.sqrt(variance), posinf=0.0)
        places[j] = at
        left[every, at] = False
        total, squares = total - x[every, at], squares - x[every, at] ** 2
    return deviations, places


def outlier_evidence(rows: Floats, most: int) -> tuple[Floats, Floats]:
    """Return how strongly each row speaks for outliers, and for how many.

    Parameters
    ----------
    rows : ndarray, shape (draws, n)
    most : int
        Outliers to look for at most.

    Returns
    -------
    tuple of ndarray, each of shape (draws,)
        Minus the logarithm of Grubbs's probability of the most remarkable of Rosner's deviates,
        and the number of outliers that it stands for.

    Notes
    -----
    Grubbs (1950), Annals of Mathematical Statistics 21, 27-58: a deviate R of m readings has
    t = sqrt(m (m - 2) R^2 / ((m - 1)^2 - m R^2)) with m - 2 degrees of freedom, times 2 m chances.
    The probability serves to weigh one deviate against the next only; what it means is told by
    the random batches.
    """
    n = rows.shape[1]
    deviations, _places = studentised_extremes(rows, most)
    evidence = np.empty_like(deviations)
    for j, deviation in enumerate(deviations):
        m = n - j
        room = np.maximum((m - 1) ** 2 - m * deviation**2, 1e-12)
        t = np.sqrt(m * (m - 2) / room) * deviation
        tail = np.maximum(2 * m * stdtr(m - 2, -t), _SMALLEST_TAIL)
        evidence[j] = -np.log(tail)
    return evidence.max(axis=0), evidence.argmax(axis=0) + 1.0


def shape_null(spanned: Floats, stream: int) -> ShapeNull:
    """Return the statistics of random batches from which the patterns ``spanned`` are taken out.

    ``spanned`` (n, k) is an orthonormal basis with the constant, k below n, see `linear.basis`.
    """
    n, k = spanned.shape
    if k == 1:
        return _plain_null(n, stream)
    return _null_of(left_over(normals(n, stream).astype(np.float64), spanned), n, k, stream)


@lru_cache(maxsize=16)
def _plain_null(n: int, stream: int) -> ShapeNull:
    rows = normals(n, stream).astype(np.float64)
    return _null_of(rows - rows.mean(axis=1, keepdims=True), n, 1, stream)


def _null_of(rest: Floats, n: int, k: int, stream: int) -> ShapeNull:
    variance = np.square(rest).sum(axis=1) / (n - k)
    mean = normals(n, stream).astype(np.float64).mean(axis=1)
    nothing = np.zeros(rest.shape[0])
    return ShapeNull(
        rest=rest,
        split=best_split(np.sort(rest, axis=1), smallest_group(n))[0]
        if n >= FEWEST_FOR_GROUPS
        else nothing,
        outliers=outlier_evidence(rest, most_outliers(n))[0]
        if n >= FEWEST_FOR_OUTLIERS
        else nothing,
        mean_t=mean * np.sqrt(n / variance),
        variance=variance,
    )
