"""One chance of a false alarm for all tests made on one batch.

Every test brings its statistic and what that statistic is in many even, random batches: the same
readings in another order, or normal readings of the same number. Row b of all tests together is
one such batch, so that the smallest probability of a row says how remarkable the most remarkable
thing in an even batch is. That distribution limits the false alarms of the batch as a whole, and
takes into account that many of the tests resemble each other.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

DRAWS: Final = 1999
"""Random batches that the real one is compared with; with it they are 2000."""

ALPHA: Final = 0.05
"""Chance that anything at all is found in an even, random batch."""

# Statistics of the same readings in another order may differ by rounding where they are equal.
_DECIMALS: Final = 10
_SEED: Final = 20260


@dataclass(frozen=True, slots=True, eq=False)
class Test:
    """One test on a batch.

    Attributes
    ----------
    name : str
        Part and kind, ``'width.drift'``; each name once in a batch.
    chances : ndarray, shape (1 + draws,)
        Which part of the batch itself and the random ones together has a statistic at least as
        large: first for the batch itself, then for each random one.
    """

    # Not a class of tests, whatever its name looks like to a collector of tests.
    __test__ = False

    name: str
    chances: Floats


@dataclass(frozen=True, slots=True)
class Chance:
    """Probability of a statistic this large: for the test alone, and over all tests made."""

    alone: float
    joint: float


def compare(name: str, observed: float, draws: Floats) -> Test:
    """Return a test: large values of its statistic speak against an even batch.

    Parameters
    ----------
    name : str
    observed : float
        Statistic of the batch; infinity is allowed.
    draws : ndarray, shape (draws,)
        Statistic in each of the random batches.

    Raises
    ------
    ValueError
        For a statistic that is no number.

    Notes
    -----
    The batch itself counts as one of the draws (Phipson and Smyth 2010, Statistical Applications
    in Genetics and Molecular Biology 9, 39), so that the level is kept exactly with any number.
    """
    pooled = np.round(np.append(observed, draws), _DECIMALS)
    if np.isnan(pooled).any():
        raise ValueError(f"Every statistic of {name} must be a number.")
    order = np.argsort(pooled)
    ordered = pooled[order]
    # Of equal ones all count as at least as large.
    below = np.arange(pooled.size)
    below[1:][ordered[1:] == ordered[:-1]] = 0
    chances = np.empty(pooled.size)
    chances[order] = (pooled.size - np.maximum.accumulate(below)) / pooled.size
    return Test(name, chances)


def joint_chances(tests: Sequence[Test]) -> dict[str, Chance]:
    """Return for each test its probability over all tests made on the batch.

    Parameters
    ----------
    tests : sequence of Test
        All with the same number of draws, row by row of the same random batch.

    Returns
    -------
    dict
        By name. No probability is below 1 / (draws + 1). ``joint`` is never below ``alone``.

    Raises
    ------
    ValueError
        For a name that comes twice, or draws of unequal number.

    Notes
    -----
    Step-down minimum of probabilities: Westfall and Young (1993), Resampling-Based Multiple
    Testing, algorithm 2.8; Ge, Dudoit and Speed (2003), Test 12, 1-77, box 4.

    Examples
    --------
    >>> draws = np.arange(99.0)
    >>> joint_chances([compare("a", 98.5, draws), compare("b", 49.5, draws)])["b"]
    Chance(alone=0.5, joint=0.5)
    """
    if not tests:
        return {}
    names = [test.name for test in tests]
    if len(set(names)) < len(names):
        raise ValueError(f"Each test must have its own name, not {names}.")
    if len({test.chances.size for test in tests}) > 1:
        raise ValueError("All tests must have the same number of draws.")
    chances = np.stack([test.chances for test in tests])
    order = np.argsort(chances[:, 0], kind="stable")
    # From the least remarkable test on: the smallest of it and of all less remarkable ones.
    smallest = np.minimum.accumulate(chances[order[::-1]], axis=0)[::-1]
    joint = np.maximum.accumulate((smallest <= chances[order, :1]).mean(axis=1))
    return {
        names[i]: Chance(float(chances[i, 0]), float(p)) for i, p in zip(order, joint, strict=True)
    }


@lru_cache(maxsize=16)
def orders(n: int, stream: int) -> NDArray[np.int16]:
    """Return the orders in which ``n`` readings are put: shape (DRAWS, n), the same every time.

    ``stream`` keeps apart what must not be shuffled alike, such as widths and thicknesses.
    """
    rng = np.random.default_rng([_SEED, stream, n])
    return rng.permuted(np.tile(np.arange(n, dtype=np.int16), (DRAWS, 1)), axis=1)


@lru_cache(maxsize=16)
def normals(n: int, stream: int) -> NDArray[np.float32]:
    """Return standard normal readings, shape (DRAWS, n), the same every time."""
    rng = np.random.default_rng([_SEED, stream, n])
    return rng.standard_normal((DRAWS, n), dtype=np.float32)


@lru_cache(maxsize=16)
def signs(n: int, stream: int) -> NDArray[np.int8]:
    """Return signs at random, shape (DRAWS, n), the same every time."""
    rng = np.random.default_rng([_SEED, stream, n])
    return (2 * rng.integers(0, 2, (DRAWS, n), dtype=np.int8) - 1).astype(np.int8)
