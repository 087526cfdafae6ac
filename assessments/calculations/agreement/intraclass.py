"""Intraclass correlation: how much of what ratings differ by is due to what was rated."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import fdtri

from assessments.calculations.agreement.kappa import weighted_kappa
from assessments.calculations.agreement.reliability import (
    ENOUGH_PAIRS,
    FEW,
    NO_SCATTER,
    ONE_RATING,
    RATINGS,
    Reliability,
    finite,
)

_TAIL: Final = 0.975
# Of the squares of the ratings themselves: what deviations of equal ratings may come to.
_ROUNDING: Final = 1e-28
_TINY: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Intraclass:
    """The six forms, see `intraclass`.

    Attributes
    ----------
    one_way, one_way_mean : Reliability
        ICC(1,1) and ICC(1,k): every batch rated by other people; their order means nothing.
    agreement, agreement_mean : Reliability
        ICC(2,1) and ICC(2,k): the same people rate every batch and stand for all who might; a
        stricter assessor lowers it.
    consistency, consistency_mean : Reliability
        ICC(3,1) and ICC(3,k): these people and no others, strictness left out.
    between, within, assessors, residual : float
        Mean squares: batches (BMS), within batches (WMS), assessors (JMS), residual (EMS).
    raters : int
        k, ratings of each batch.

    Notes
    -----
    The forms with ``_mean`` are those of the mean of all k ratings of a batch.
    """

    one_way: Reliability
    agreement: Reliability
    consistency: Reliability
    one_way_mean: Reliability
    agreement_mean: Reliability
    consistency_mean: Reliability
    between: float
    within: float
    assessors: float
    residual: float
    raters: int


def intraclass(ratings: ArrayLike) -> Intraclass:
    """Return the six intraclass correlations of ratings with their 95 % intervals.

    Parameters
    ----------
    ratings : array_like of float, shape (n, k)
        A row for each batch, a column for each assessor; at least 2 of both, none missing.

    Returns
    -------
    Intraclass
        A form is None where all ratings are alike or its denominator is not above 0; it can be
        negative. Without scatter (all agree, or all batches were rated alike on average) there is
        a value and no interval.

    Raises
    ------
    ValueError
        For fewer than 2 batches or assessors, a missing rating or one that is not finite.

    Notes
    -----
    Forms and intervals of Shrout and Fleiss (1979), Psychological Bulletin 86, 420-428; the
    interval of ICC(2,1) is that of Fleiss and Shrout (1978), Psychometrika 43, 259-262, and
    ICC(2,k) takes its limits through the formula of Spearman and Brown. They hold for normal
    ratings. For 0, 1, 2 of which most are 2 they are too narrow (the benchmark finds 56 to 95 in
    100 that hold): use `intraclass_of_ratings` there.

    Examples
    --------
    >>> result = intraclass([[2, 2], [1, 1], [2, 1], [0, 0], [2, 2]])
    >>> round(result.agreement.value, 3)
    0.867
    """
    y = finite("all batches", ratings, 2)
    n, k = y.shape
    if n < 2 or k < 2:
        raise ValueError(f"At least 2 batches and 2 assessors are needed, not {n} and {k}.")
    of_batch = y.mean(axis=1, keepdims=True)
    of_assessor = y.mean(axis=0, keepdims=True)
    grand = y.mean()
    ss_within = _squares(y - of_batch, y)
    ss_assessors = n * _squares(of_assessor - grand, y)
    ss_residual = _squares(y - of_batch - of_assessor + grand, y)
    bms = k * _squares(of_batch - grand, y) / (n - 1)
    wms = ss_within / (n * (k - 1))
    jms = ss_assessors / (k - 1)
    ems = ss_residual / ((n - 1) * (k - 1))
    one_way, one_way_mean = _ratio_forms(bms, wms, n, k, n * (k - 1))
    consistency, consistency_mean = _ratio_forms(bms, ems, n, k, (n - 1) * (k - 1))
    agreement, agreement_mean = _absolute_forms(bms, jms, ems, n, k)
    return Intraclass(
        one_way=one_way,
        agreement=agreement,
        consistency=consistency,
        one_way_mean=one_way_mean,
        agreement_mean=agreement_mean,
        consistency_mean=consistency_mean,
        between=bms,
        within=wms,
        assessors=jms,
        residual=ems,
        raters=k,
    )


def intraclass_of_ratings(
    first: Sequence[int], second: Sequence[int], *, categories: int = RATINGS
) -> Reliability:
    """Return ICC(2,1) of two assessors' ratings with an interval that suits few, uneven ratings.

    Parameters
    ----------
    first, second : sequence of int, shape (n,)
        Ratings in the same order, 0 to ``categories - 1``, at least 2 pairs.
    categories : int
        Ratings there are, at least 2.

    Returns
    -------
    Reliability
        None where all ratings are alike; ``'few'`` below 10 pairs.

    Raises
    ------
    ValueError
        For unequal lengths, fewer than 2 pairs, or a rating out of range.

    Notes
    -----
    ICC(2,1) as in `intraclass`. For many pairs it equals kappa with quadratic weights (Fleiss and
    Cohen 1973, Educational and Psychological Measurement 33, 613-619), so its interval is kappa's,
    drawn out to the ICC.

    Examples
    --------
    >>> icc = intraclass_of_ratings([2, 1, 2, 0, 2], [2, 1, 1, 0, 2])
    >>> round(icc.value, 3), icc.reason
    (0.867, 'few')
    """
    kappa = weighted_kappa(first, second, weights="quadratic", categories=categories)
    form = intraclass(np.column_stack((first, second))).agreement
    if form.value is None or kappa.low is None or kappa.high is None:
        return Reliability(value=None, low=None, high=None, n=kappa.n, reason=ONE_RATING)
    return Reliability(
        value=form.value,
        low=min(form.value, kappa.low),
        high=max(form.value, kappa.high),
        n=kappa.n,
        reason=kappa.reason,
    )


def _ratio_forms(
    bms: float, noise: float, n: int, k: int, df: int
) -> tuple[Reliability, Reliability]:
    """Return forms 1 and 3 for one rating and for the mean: exact by the F distribution."""
    single = _quotient(bms - noise, bms + (k - 1) * noise, bms + noise)
    mean = _quotient(bms - noise, bms, bms + noise)
    if bms == 0 or noise == 0:
        return _form(single, None, n), _form(mean, None, n)
    f = bms / noise
    low = f / float(fdtri(n - 1, df, _TAIL))
    high = f * float(fdtri(df, n - 1, _TAIL))
    return (
        _form(single, ((low - 1) / (low + k - 1), (high - 1) / (high + k - 1)), n),
        _form(mean, (1 - 1 / low, 1 - 1 / high), n),
    )


def _absolute_forms(
    bms: float, jms: float, ems: float, n: int, k: int
) -> tuple[Reliability, Reliability]:
    """Return form 2 for one rating and for the mean: by Satterthwaite's degrees of freedom."""
    scale = bms + jms + ems
    rho = _quotient(bms - ems, bms + (k - 1) * ems + k * (jms - ems) / n, scale)
    mean = _quotient(bms - ems, bms + (jms - ems) / n, scale)
    if rho is None or bms == 0 or ems == 0:
        return _form(rho, None, n), _form(mean, None, n)
    f_assessors = jms / ems
    own = n * (1 + (k - 1) * rho) - k * rho
    df = (
        (k - 1)
        * (n - 1)
        * (k * rho * f_assessors + own) ** 2
        / ((n - 1) * (k * rho * f_assessors) ** 2 + own**2)
    )
    upper_f, lower_f = float(fdtri(n - 1, df, _TAIL)), float(fdtri(df, n - 1, _TAIL))
    others = k * jms + (k * n - k - n) * ems
    low = _quotient(n * (bms - upper_f * ems), upper_f * others + n * bms, scale)
    high = _quotient(n * (lower_f * bms - ems), others + n * lower_f * bms, scale)
    if low is None or high is None:
        return _form(rho, None, n), _form(mean, None, n)
    mean_low, mean_high = (_quotient(k * one, 1 + (k - 1) * one, 1) for one in (low, high))
    mean_limits = None if mean_low is None or mean_high is None else (mean_low, mean_high)
    return _form(rho, (low, high), n), _form(mean, mean_limits, n)


def _form(value: float | None, limits: tuple[float, float] | None, n: int) -> Reliability:
    reason = FEW if n < ENOUGH_PAIRS else None
    if value is None:
        return Reliability(value=None, low=None, high=None, n=n, reason=ONE_RATING)
    if limits is None:
        return Reliability(value=value, low=None, high=None, n=n, reason=NO_SCATTER)
    return Reliability(value=value, low=limits[0], high=limits[1], n=n, reason=reason)


def _quotient(numerator: float, denominator: float, scale: float) -> float | None:
    """Return the quotient; None where the denominator is not above 0 by more than rounding."""
    return numerator / denominator if denominator > _TINY * scale else None


def _squares(deviations: NDArray[np.float64], values: NDArray[np.float64]) -> float:
    """Return the sum of squares, 0 where it is no more than the rounding of ``values``."""
    squares = float((deviations**2).sum())
    return squares if squares > _ROUNDING * float((values**2).sum()) else 0.0
