"""Readings as a few bytes, and back without loss."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

MISSING: Final = -(2**31)
_LARGEST: Final = 2**31 - 1
_THOUSANDTHS: Final = 1000.0
_LARGEST_POSITION: Final = 2**16 - 1


@dataclass(frozen=True, slots=True)
class Summary:
    """Count, mean, standard deviation (n - 1), smallest and largest of readings."""

    n: int
    mean: float | None
    sd: float | None
    minimum: float | None
    maximum: float | None


def pack_values(values: Sequence[float | None]) -> bytes:
    """Pack readings into four bytes each.

    Parameters
    ----------
    values : sequence of float or None, shape (n,)
        Readings, kept to a thousandth of their unit (mm to micrometres); None is a missing one.

    Returns
    -------
    bytes
        4 n bytes: little-endian 32-bit integers, thousandths of the unit, -2**31 for missing.

    Raises
    ------
    ValueError
        For a reading that is not finite or beyond 2147483.647 either way.

    Notes
    -----
    House format; numbers with up to three decimals come back exactly.

    Examples
    --------
    >>> pack_values([1.5, None]).hex()
    'dc05000000000080'
    """
    packed = np.full(len(values), MISSING, dtype="<i4")
    for i, value in enumerate(values):
        if value is None:
            continue
        if not math.isfinite(value):
            raise ValueError(f"Reading {i + 1} must be a finite number, not {value}.")
        thousandths = round(value * 1000)
        if abs(thousandths) > _LARGEST:
            raise ValueError(f"Reading {i + 1} is too large to be stored: {value}.")
        packed[i] = thousandths
    return packed.tobytes()


def unpack_values(data: bytes) -> NDArray[np.float64]:
    """Return readings that were packed by `pack_values`.

    Parameters
    ----------
    data : bytes
        4 n bytes (bytearray and memoryview too).

    Returns
    -------
    ndarray of float64, shape (n,)
        Readings in their unit, NaN for a missing one; writable.

    Raises
    ------
    ValueError
        For a length that is no multiple of four.

    Notes
    -----
    House format, see `pack_values`.

    Examples
    --------
    >>> unpack_values(pack_values([3.07, None]))
    array([3.07,  nan])
    """
    if len(data) % 4:
        raise ValueError(f"Packed readings take four bytes each; {len(data)} bytes were given.")
    thousandths = np.frombuffer(data, dtype="<i4")
    values = thousandths / _THOUSANDTHS
    values[thousandths == MISSING] = np.nan
    return values


def pack_positions(positions: Sequence[int]) -> bytes:
    """Pack positions (strands in cutting order, points of the grid) into two bytes each.

    Parameters
    ----------
    positions : sequence of int, shape (n,)
        Whole numbers 0..65535.

    Returns
    -------
    bytes
        2 n bytes: little-endian 16-bit unsigned integers.

    Raises
    ------
    ValueError
        For a position that is no whole number or outside its range.

    Notes
    -----
    House format.

    Examples
    --------
    >>> pack_positions([1, 258]).hex()
    '01000201'
    """
    for position in positions:
        whole = isinstance(position, (int, np.integer)) and not isinstance(position, bool)
        if not (whole and 0 <= position <= _LARGEST_POSITION):
            raise ValueError(f"A position must be from 0 to {_LARGEST_POSITION}, not {position!r}.")
    return np.array(positions, dtype="<u2").tobytes()


def unpack_positions(data: bytes) -> NDArray[np.int64]:
    """Return positions that were packed by `pack_positions`.

    Parameters
    ----------
    data : bytes
        2 n bytes (bytearray and memoryview too).

    Returns
    -------
    ndarray of int64, shape (n,)
        Positions, writable.

    Raises
    ------
    ValueError
        For an odd length.

    Notes
    -----
    House format, see `pack_positions`.

    Examples
    --------
    >>> unpack_positions(pack_positions([4, 1])).tolist()
    [4, 1]
    """
    if len(data) % 2:
        raise ValueError(f"Packed positions take two bytes each; {len(data)} bytes were given.")
    return np.frombuffer(data, dtype="<u2").astype(np.int64)


def summary(values: Iterable[float | None]) -> Summary:
    """Return count, mean, standard deviation and range of readings.

    Parameters
    ----------
    values : iterable of float or None
        Readings; None and NaN are missing ones and are left out.

    Returns
    -------
    Summary
        In the unit of the readings. Without any reading all but `n` is None; with one, `sd` is.

    Raises
    ------
    ValueError
        For an infinite reading.

    Notes
    -----
    Two passes with exact sums (`math.fsum`), the second corrected for the rounding of the mean:
    Chan, Golub and LeVeque (1983), The American Statistician 37, 242-247, eq. 1.7.

    Examples
    --------
    >>> summary([3, 5, None, 4])
    Summary(n=3, mean=4.0, sd=1.0, minimum=3.0, maximum=5.0)
    """
    present = [float(v) for v in values if v is not None and not math.isnan(v)]
    if not all(math.isfinite(v) for v in present):
        raise ValueError("Every reading must be a finite number.")
    n = len(present)
    if n == 0:
        return Summary(0, None, None, None, None)
    mean = math.fsum(present) / n
    sd = None
    if n > 1:
        deviations = [v - mean for v in present]
        squares = math.fsum(d * d for d in deviations) - math.fsum(deviations) ** 2 / n
        sd = math.sqrt(max(0.0, squares) / (n - 1))
    return Summary(n, mean, sd, min(present), max(present))
