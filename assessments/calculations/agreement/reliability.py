"""What every measure of agreement between assessors has in common."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

RATINGS: Final = 3
"""Ratings of a criterion: 0 not met, 1 nearly, 2 met."""
ENOUGH_PAIRS: Final = 10
"""Batches that two or more have rated, below which nothing is said of their agreement."""

FEW: Final = "few"
ONE_RATING: Final = "one_rating"
NO_SCATTER: Final = "no_scatter"

Judgement = Literal["above", "below", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reliability:
    """A coefficient of agreement: 1 where all agree, 0 where they agree as chance would have it.

    Attributes
    ----------
    value : float or None
        None where it is not defined.
    low, high : float or None
        Two-sided 95 % interval; None where there is none.
    n : int
        Batches that are compared.
    reason : str or None
        Why little or nothing can be told: ``'one_rating'``: all ratings are the same, so that
        nothing shows whether a different batch would have been rated differently;
        ``'no_scatter'``: the interval would have no width, which so few whole numbers cannot
        prove; ``'few'``: fewer than 10 batches.
    """

    value: float | None
    low: float | None
    high: float | None
    n: int
    reason: str | None = None

    def judge(self, level: float) -> Judgement:
        """Return whether the coefficient lies above or below a level beyond the interval's doubt.

        Parameters
        ----------
        level : float
            What the house asks for, for example 0.6.

        Returns
        -------
        {'above', 'below', 'cannot tell'}
            The last wherever there is a reason, and where the level lies within the interval.

        Examples
        --------
        >>> Reliability(value=0.8, low=0.65, high=0.9, n=40).judge(0.6)
        'above'
        """
        if self.reason is not None or self.low is None or self.high is None:
            return "cannot tell"
        if self.low >= level:
            return "above"
        return "below" if self.high < level else "cannot tell"


def ratings_of(name: str, values: Sequence[int], categories: int) -> NDArray[np.int64]:
    """Return ratings as whole numbers.

    Parameters
    ----------
    name : str
        What the message of an error calls them.
    values : sequence of int, shape (n,)
        Each from 0 to ``categories - 1``.
    categories : int
        Ratings there are, at least 2.

    Returns
    -------
    ndarray of int, shape (n,)

    Raises
    ------
    ValueError
        For anything else.
    """
    if categories < 2:
        raise ValueError(f"At least 2 ratings must be possible, not {categories}.")
    array = finite(name, values, 1)
    whole = array.astype(np.int64)
    if (whole != array).any() or (whole < 0).any() or (whole >= categories).any():
        raise ValueError(f"Ratings of {name} must be whole numbers from 0 to {categories - 1}.")
    return whole


def pair_table(first: Sequence[int], second: Sequence[int], categories: int) -> NDArray[np.float64]:
    """Count how often each rating of the first comes with each of the second.

    Parameters
    ----------
    first, second : sequence of int, shape (n,)
        Ratings of the same batches in the same order, 0 to ``categories - 1``.
    categories : int
        Ratings there are, at least 2.

    Returns
    -------
    ndarray of float, shape (categories, categories)
        Rows: the first's rating; columns: the second's.

    Raises
    ------
    ValueError
        For unequal lengths, no pair, or a rating out of range.
    """
    rows, columns = (
        ratings_of(name, values, categories)
        for name, values in (("the first", first), ("the second", second))
    )
    if len(rows) != len(columns):
        raise ValueError(f"Ratings must come in pairs, not {len(rows)} and {len(columns)}.")
    if not len(rows):
        raise ValueError("At least 1 pair of ratings is needed.")
    table = np.zeros((categories, categories))
    np.add.at(table, (rows, columns), 1)
    return table


def finite(name: str, values: ArrayLike, dimensions: int) -> NDArray[np.float64]:
    """Return the values as finite numbers.

    Parameters
    ----------
    name : str
        What the message of an error calls them.
    values : array_like of float
        As many dimensions as said.
    dimensions : int
        1 or 2.

    Returns
    -------
    ndarray of float

    Raises
    ------
    ValueError
        For rows of unequal length, another number of dimensions, or a number that is not finite.
    """
    try:
        array = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise ValueError(f"Ratings of {name} must be numbers in rows of equal length.") from error
    if array.size == 0 and dimensions == 1:
        return array.reshape(0)
    if array.ndim != dimensions:
        raise ValueError(f"Ratings of {name} need {dimensions} dimensions, not {array.ndim}.")
    if not np.isfinite(array).all():
        raise ValueError(f"Ratings of {name} must be finite numbers.")
    return array
