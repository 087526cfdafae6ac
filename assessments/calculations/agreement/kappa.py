"""Kappa: agreement of ratings beyond what chance alone would bring about."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

from assessments.calculations.agreement.reliability import (
    ENOUGH_PAIRS,
    FEW,
    ONE_RATING,
    RATINGS,
    Reliability,
    finite,
    pair_table,
)
from assessments.calculations.gauge import Estimate
from assessments.calculations.scoring import wilson_interval

WEIGHTS: Final = ("equal", "linear", "quadratic")
Z_95: Final = 1.959964
EXTRA_PAIRS: Final = 1.0
"""Made-up pairs, spread evenly over all combinations, that keep an interval from having no width.

With one of them the intervals hold closest to 95 % for 10 to 40 pairs of ratings like a house's,
see `assessments.benchmark.agreement`.
"""
# Rounding of a table of proportions.
_TINY: Final = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Kappa(Reliability):
    """Agreement of two assessors, see `weighted_kappa`.

    Attributes
    ----------
    standard_error : float or None
        Of Fleiss, Cohen and Everitt for many pairs, without the extra pair; the interval does not
        use it.
    equal : Estimate
        Share of the batches with equal ratings, 0..1, with Wilson's interval; it can be told
        where kappa cannot, and belongs beside it: where nearly all is rated alike, kappa is low
        though the two hardly ever differ.
    """

    standard_error: float | None
    equal: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class FleissKappa(Reliability):
    """Agreement of several assessors, see `fleiss_kappa`.

    Attributes
    ----------
    standard_error : float or None
        By linearisation, without the extra pair; the interval does not use it.
    by_category : tuple of float or None, length of the categories
        Agreement on each rating against all others; None for a rating that nobody or everybody
        gave.
    mean_raters : float
        Ratings of a batch on average.
    """

    standard_error: float | None
    by_category: tuple[float | None, ...]
    mean_raters: float


def weighted_kappa(
    first: Sequence[int],
    second: Sequence[int],
    *,
    weights: str = "linear",
    categories: int = RATINGS,
) -> Kappa:
    """Return the weighted kappa of two assessors who rated the same batches.

    Parameters
    ----------
    first, second : sequence of int, shape (n,)
        Ratings in the same order, 0 to ``categories - 1``, at least 1 pair.
    weights : {'linear', 'quadratic', 'equal'}
        How grave a difference is: by its size, by its square, or any like any other.
    categories : int
        Ratings there are, at least 2.

    Returns
    -------
    Kappa
        None where both gave one and the same rating throughout; ``'few'`` below 10 pairs.

    Raises
    ------
    ValueError
        For unequal lengths, no pair, a rating out of range, or unknown weights.

    Notes
    -----
    See `kappa_of_table`.

    Examples
    --------
    >>> kappa = weighted_kappa([2, 2, 1, 2, 0, 1, 2, 2, 1, 2], [2, 2, 1, 1, 0, 1, 2, 2, 2, 2])
    >>> round(kappa.value, 3), round(kappa.low, 2), round(kappa.high, 2)
    (0.697, -0.1, 0.92)
    """
    return kappa_of_table(pair_table(first, second, categories), weights=weights)


def kappa_of_table(table: ArrayLike, *, weights: str | ArrayLike = "linear") -> Kappa:
    """Return the weighted kappa of a table of pairs.

    Parameters
    ----------
    table : array_like of float, shape (c, c)
        Pairs by the first's rating (rows) and the second's (columns); none below 0.
    weights : {'linear', 'quadratic', 'equal'} or array_like of float, shape (c, c)
        How grave each disagreement is, 0 or more, 0 on the diagonal; the scale does not matter.

    Returns
    -------
    Kappa
        None where no disagreement is to be expected.

    Raises
    ------
    ValueError
        For a table that is not square, is empty or has a number below 0, or weights that do not
        fit it.

    Notes
    -----
    ``1 - sum(v p) / sum(v r c)`` with weights v, shares p and their margins r and c: Cohen (1968),
    Psychological Bulletin 70, 213-220. Standard error: Fleiss, Cohen and Everitt (1969),
    Psychological Bulletin 72, 323-327. Their interval is far too narrow for few pairs and has no
    width where all agree. Here one pair more, spread evenly over all cells as Agresti and Min
    (2005), Statistics in Medicine 24, 729-740, do for matched proportions, goes into the table;
    kappa and standard error of that are taken through Fisher's z with Student's t (n - 1), and the
    interval is drawn out to the kappa without it. Where no two ratings differ, the lower limit is
    at least what the exact bound on the share of differing pairs leaves (Clopper and Pearson
    1934, Biometrika 26, 404-413), each counted as the gravest. House definition; its coverage is
    in the benchmark.

    Examples
    --------
    >>> round(kappa_of_table([[0, 4, 1], [0, 8, 0], [0, 1, 5]]).value, 4)
    0.4701
    """
    counts = finite("both", table, 2)
    c = len(counts)
    if counts.shape != (c, c) or c < 2 or (counts < 0).any() or not counts.sum() > 0:
        raise ValueError("The table must be square, with pairs in it and none below 0.")
    v = _disagreements(weights, c)
    pairs = float(counts.sum())
    n = round(pairs)
    value, error, chance = _kappa(counts / pairs, v, pairs)
    agreed = float(np.trace(counts)) / pairs
    low: float | None = None
    high: float | None = None
    reason = FEW if n < ENOUGH_PAIRS else None
    if value is None:
        reason = ONE_RATING
    elif n >= 2:
        filled = counts + EXTRA_PAIRS / c**2
        total = pairs + EXTRA_PAIRS
        low, high = _limits(value, chance, n, *_kappa(filled / total, v, total)[:2])
    return Kappa(
        value=value,
        low=low,
        high=high,
        n=n,
        reason=reason,
        standard_error=error,
        equal=Estimate(agreed, *wilson_interval(agreed, pairs, Z_95)),
    )


def fleiss_kappa(counts: ArrayLike) -> FleissKappa:
    """Return Fleiss' kappa: agreement of several assessors, whoever they are.

    Parameters
    ----------
    counts : array_like of float, shape (n, c)
        How many gave each rating, a row for each batch; at least 2 ratings in each row, not
        necessarily equally many.

    Returns
    -------
    FleissKappa
        None where all ratings are the same; ``'few'`` below 10 batches.

    Raises
    ------
    ValueError
        For no batch, fewer than 2 categories, a number below 0 or not whole, or a batch with
        fewer than 2 ratings.

    Notes
    -----
    Fleiss (1971), Psychological Bulletin 76, 378-382; for unequal numbers of ratings Fleiss, Levin
    and Paik (2003), Statistical Methods for Rates and Proportions, 3rd ed., section 18.3. Standard
    error by linearisation over batches (as in Gwet 2008, British Journal of Mathematical and
    Statistical Psychology 61, 29-48). The interval is made as in `kappa_of_table`, with one batch
    rated by two people spread evenly over all pairs of ratings.

    Examples
    --------
    >>> round(fleiss_kappa([[0, 0, 3], [1, 2, 0], [0, 3, 0], [2, 1, 0], [0, 0, 3]]).value, 3)
    0.583
    """
    x = finite("all batches", counts, 2)
    n, c = x.shape
    if n < 1 or c < 2 or (x < 0).any() or (x != np.round(x)).any():
        raise ValueError("At least 1 batch, 2 ratings and whole numbers from 0 are needed.")
    if (x.sum(axis=1) < 2).any():
        raise ValueError("Every batch needs at least 2 ratings.")
    value, error, chance = _fleiss(x, np.ones(n))
    low: float | None = None
    high: float | None = None
    reason = FEW if n < ENOUGH_PAIRS else None
    if value is None:
        reason = ONE_RATING
    elif n >= 2:
        # All ordered pairs of ratings, as a batch that two have rated.
        one = np.eye(c)
        extra = (one[:, None] + one[None, :]).reshape(c * c, c)
        weights = np.concatenate((np.ones(n), np.full(c * c, EXTRA_PAIRS / c**2)))
        low, high = _limits(value, chance, n, *_fleiss(np.concatenate((x, extra)), weights)[:2])
    return FleissKappa(
        value=value,
        low=low,
        high=high,
        n=n,
        reason=reason,
        standard_error=error if n >= 2 else None,
        by_category=_by_category(x),
        mean_raters=float(x.sum()) / n,
    )


def _disagreements(weights: str | ArrayLike, c: int) -> NDArray[np.float64]:
    steps = np.abs(np.subtract.outer(np.arange(c), np.arange(c))).astype(np.float64)
    if isinstance(weights, str):
        if weights not in WEIGHTS:
            raise ValueError(f"weights must be one of {', '.join(WEIGHTS)}, not {weights!r}.")
        if weights == "quadratic":
            return (steps / (c - 1)) ** 2
        return steps / (c - 1) if weights == "linear" else (steps > 0).astype(np.float64)
    v = finite("the weights", weights, 2)
    if v.shape != (c, c) or (v < 0).any() or np.diag(v).any() or not v.any():
        raise ValueError("Weights must fit the table, be 0 or more, and 0 on the diagonal only.")
    return v / float(v.max())


def _kappa(
    p: NDArray[np.float64], v: NDArray[np.float64], pairs: float
) -> tuple[float | None, float | None, float]:
    """Return kappa, its standard error and the disagreement that chance would bring about.

    ``p``: shares; ``v``: how grave each disagreement is, up to 1.
    """
    rows, columns = p.sum(axis=1), p.sum(axis=0)
    expected = float(rows @ v @ columns)
    if expected < _TINY:
        return None, None, expected
    kappa = 1 - float((v * p).sum()) / expected
    # The paper's formula, with 1 - v for its weights of agreement.
    w = 1 - v
    spread = w - ((w @ columns)[:, None] + rows @ w) * (1 - kappa)
    chance = 1 - expected
    variance = float((p * spread**2).sum()) - (kappa - chance * (1 - kappa)) ** 2
    return kappa, math.sqrt(max(0.0, variance) / pairs) / expected, expected


def _fleiss(
    x: NDArray[np.float64], weights: NDArray[np.float64]
) -> tuple[float | None, float | None, float]:
    """Return kappa, its standard error and the disagreement that chance would bring about.

    ``weights`` say how many batches each row stands for.
    """
    raters = x.sum(axis=1)
    differing = raters - (x**2).sum(axis=1) / raters
    all_ratings = float(weights @ raters)
    shares = weights @ x / all_ratings
    expected = 1 - float(shares @ shares)
    free = float(weights @ (raters - 1))
    if expected < _TINY:
        return None, None, expected
    ratio = float(weights @ differing) / (free * expected)
    expected_moves = -2 * (x - np.outer(raters, shares)) @ shares / all_ratings
    moves = ratio * ((raters - 1) / free + expected_moves / expected)
    moves -= differing / (free * expected)
    batches = float(weights.sum())
    error = math.sqrt(float(weights @ moves**2) * batches / (batches - 1)) if batches > 1 else 0.0
    return 1 - ratio, error, expected


def _by_category(x: NDArray[np.float64]) -> tuple[float | None, ...]:
    raters = x.sum(axis=1)
    shares = x.sum(axis=0) / raters.sum()
    found = (x * (raters[:, None] - x) / raters[:, None]).sum(axis=0)
    expected = (raters - 1).sum() * shares * (1 - shares)
    return tuple(
        1 - float(f) / float(e) if e > _TINY else None for f, e in zip(found, expected, strict=True)
    )


def _limits(
    value: float, chance: float, n: int, filled: float | None, error: float | None
) -> tuple[float, float] | tuple[None, None]:
    """Return the interval of ``value`` from kappa and standard error with the extra pair."""
    if filled is None or error is None or not -1 < filled < 1:
        return None, None
    half_width = float(stdtrit(n - 1, 0.975)) * error / (1 - filled**2)
    z = math.atanh(filled)
    low, high = math.tanh(z - half_width), math.tanh(z + half_width)
    if value == 1:
        # The upper limit of a share of which none was seen among n.
        low = max(low, 1 - (1 - 0.025 ** (1 / n)) / chance)
    return min(value, low), max(value, high)
