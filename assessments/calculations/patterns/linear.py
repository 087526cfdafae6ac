"""Patterns that are straight sums of columns: taken out one after the other, and tested."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from assessments.calculations.patterns.null import Floats

# A column of which less than this part is left, after the patterns already found are taken out,
# could be told from them by a few readings only.
DISTINCT: Final = 0.3
_ROUNDING: Final = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class Pattern:
    """One pattern found in a set of readings.

    Attributes
    ----------
    kind, direction : str
        Codes, see `findings.Finding`.
    size_mm : float
        How much it makes, 0 or more.
    places : tuple of float
        Where, see `findings.Finding`.
    put_right_mm : ndarray
        The readings as they would be without it.
    """

    kind: str
    direction: str
    size_mm: float
    places: tuple[float, ...]
    put_right_mm: Floats


def basis(columns: Floats) -> Floats:
    """Return orthonormal columns that span 1 and ``columns`` (n, k); shape (n, rank)."""
    n = columns.shape[0]
    if n == 0:
        return np.empty((0, 0))
    left, sizes, _right = np.linalg.svd(np.column_stack([np.ones(n), columns]), full_matrices=False)
    return np.asarray(left[:, sizes > _ROUNDING * float(sizes[0])], dtype=np.float64)


def left_over(rows: Floats, spanned: Floats) -> Floats:
    """Return ``rows`` (..., n) less their part within ``spanned`` (n, k), an orthonormal basis."""
    rest: Floats = rows - (rows @ spanned) @ spanned.T
    return rest


def directions(columns: Floats, spanned: Floats) -> Floats | None:
    """Return an orthonormal basis of what ``columns`` (n, d) add to ``spanned``; shape (n, d).

    None where one of them adds too little to be told apart (`DISTINCT` of its spread), or the
    columns cannot be told from each other.
    """
    centred = columns - columns.mean(axis=0)
    before = np.square(centred).sum(axis=0)
    rest = left_over(centred.T, spanned).T
    after = np.square(rest).sum(axis=0)
    if (before <= _ROUNDING).any() or (after < DISTINCT * before).any():
        return None
    scaled = rest / np.sqrt(after)
    left, sizes, _right = np.linalg.svd(scaled, full_matrices=False)
    # Of two columns of length 1 the smaller singular value is sqrt(1 - |correlation|).
    if sizes[-1] ** 2 < DISTINCT:
        return None
    return np.asarray(left, dtype=np.float64)


def distinct_columns(columns: Floats, spanned: Floats) -> tuple[Floats, NDArray[np.intp]]:
    """Return as unit directions, each alone, those of ``columns`` (n, m) that are distinct.

    As `directions` for one column at a time. The second array tells which columns they are.
    """
    centred = columns - columns.mean(axis=0)
    before = np.square(centred).sum(axis=0)
    rest = left_over(centred.T, spanned).T
    after = np.square(rest).sum(axis=0)
    kept = np.flatnonzero((before > _ROUNDING) & (after >= DISTINCT * before))
    return rest[:, kept] / np.sqrt(after[kept]), kept


def explained(rows: Floats, unit: Floats) -> Floats:
    """Return which part of the squares of ``rows`` (..., n) lies along ``unit`` (n, d)."""
    part: Floats = np.square(rows @ unit).sum(axis=-1) / np.square(rows).sum(axis=-1)
    return part


def information(explained_part: float, n: int, parameters: int) -> float:
    """Return Schwarz's criterion, less its constant: the smaller, the better the description.

    Schwarz (1978), Annals of Statistics 6, 461-464, for least squares: n ln(RSS) + k ln(n).
    """
    return n * math.log(max(1e-12, 1 - explained_part)) + parameters * math.log(n)


def coefficients(values: Floats, columns: Floats) -> Floats:
    """Return the least-squares coefficients of ``columns`` (n, k) beside a constant; shape (k,)."""
    design = np.column_stack([np.ones(values.size), columns])
    return np.asarray(np.linalg.lstsq(design, values, rcond=None)[0][1:], dtype=np.float64)
