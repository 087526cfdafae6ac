"""How much something has changed over several people, and whether more than over others."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit


@dataclass(frozen=True, slots=True)
class MeanChange:
    """A mean with its 95 % interval.

    Attributes
    ----------
    mean, low, high : float
    n : int
        Values that went in; of a difference those of both sides.
    """

    mean: float
    low: float
    high: float
    n: int

    @property
    def verdict(self) -> str:
        """``'smaller'`` or ``'larger'`` beyond chance, else ``'cannot_tell'``."""
        if self.high < 0:
            return "smaller"
        return "larger" if self.low > 0 else "cannot_tell"


def mean_change(changes: Sequence[float]) -> MeanChange | None:
    """Return the mean of what changed, one value for each person.

    Parameters
    ----------
    changes : sequence of float
        After less before.

    Returns
    -------
    MeanChange or None
        None for fewer than two.

    Raises
    ------
    ValueError
        For a value that is not finite.

    Notes
    -----
    Student (1908), Biometrika 6, 1-25: n - 1 degrees of freedom.

    Examples
    --------
    >>> change = mean_change([-0.3, -0.1, -0.2, 0.0])
    >>> print(f"{change.mean:.2f} {change.low:.2f} {change.high:.2f}")
    -0.15 -0.36 0.06
    """
    values = _finite(changes)
    if values.size < 2:
        return None
    mean, error = float(values.mean()), math.sqrt(_variance_of_mean(values))
    half = float(stdtrit(values.size - 1, 0.975)) * error
    return MeanChange(mean, mean - half, mean + half, values.size)


def change_beyond(changes: Sequence[float], others: Sequence[float]) -> MeanChange | None:
    """Return by how much `changes` differ on average from the `others`, of other people.

    Parameters
    ----------
    changes, others : sequence of float
        After less before, one value for each person.

    Returns
    -------
    MeanChange or None
        None for fewer than two on either side.

    Raises
    ------
    ValueError
        For a value that is not finite.

    Notes
    -----
    Welch (1947), Biometrika 34, 28-35: the two sides need not scatter alike.

    Examples
    --------
    >>> beyond = change_beyond([-0.3, -0.1, -0.2, 0.0], [0.0, -0.1, 0.1])
    >>> print(f"{beyond.mean:.2f} {beyond.verdict}")
    -0.15 cannot_tell
    """
    sides = [_finite(changes), _finite(others)]
    if min(side.size for side in sides) < 2:
        return None
    mean = float(sides[0].mean() - sides[1].mean())
    variances = [_variance_of_mean(side) for side in sides]
    variance = math.fsum(variances)
    n = sum(side.size for side in sides)
    if variance == 0:
        return MeanChange(mean, mean, mean, n)
    df = variance**2 / math.fsum(
        part**2 / (side.size - 1) for part, side in zip(variances, sides, strict=True)
    )
    half = float(stdtrit(df, 0.975)) * math.sqrt(variance)
    return MeanChange(mean, mean - half, mean + half, n)


def _finite(changes: Sequence[float]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    values = np.fromiter(changes, dtype=np.float64)
    if not np.isfinite(values).all():
        raise ValueError("Every change must be a finite number.")
    return values


def _variance_of_mean(values: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    return float(values.var(ddof=1)) / values.size
