"""What the last few batches of a cook say together: what persists, and whether a change helped."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr

from assessments.calculations.multiplicity import holm
from assessments.calculations.patterns.effects import Effect
from assessments.calculations.patterns.findings import Finding
from assessments.calculations.patterns.null import ALPHA, Floats

FEWEST_BATCHES: Final = 3
SAME_SIGN: Final = 2 / 3
"""Part of the batches that must lean the same way for a habit."""
BASELINE_BATCHES: Final = 3
# Kinds that tell something above 0 only: a hand more even than it need be is no fault.
_ONE_SIDED: Final = ("uneven",)


@dataclass(frozen=True, slots=True)
class Habit:
    """A pattern that the last batches share, though perhaps none of them shows it alone.

    Attributes
    ----------
    part, kind : str
        As in `effects.Effect`.
    value, error : float
        Mean over the batches, each weighed by its inverse variance, and its standard error.
    batches, same_sign : int
        Batches in which it could be measured, and those that lean the way of `value`.
    p : float
        Chance of this in batches without the pattern, over all kinds looked at (Holm).
    """

    part: str
    kind: str
    value: float
    error: float
    batches: int
    same_sign: int
    p: float


@dataclass(frozen=True, slots=True)
class Recurrence:
    """How many of the last batches had a finding of the same part, kind and direction."""

    part: str
    kind: str
    direction: str
    found: int
    batches: int
    latest: bool


@dataclass(frozen=True, slots=True)
class Change:
    """Whether what was tried made a difference, see `change_since`.

    Attributes
    ----------
    before, now : float
        The pattern before (drawn toward 0 for having been picked) and now, both along its
        direction before, so that a value below 0 has turned over.
    reduction, low, high : float
        ``before - now`` and its 95 % interval.
    p : float
        Two-sided probability of a difference this large when nothing has changed.
    verdict : str
        ``'gone'`` (smaller beyond chance, and no longer to be told from none), ``'better'``,
        ``'worse'`` or ``'cannot_tell'``.
    """

    before: float
    now: float
    reduction: float
    low: float
    high: float
    p: float
    verdict: str


def habits(batches: Sequence[Sequence[Effect]], *, alpha: float = ALPHA) -> tuple[Habit, ...]:
    """Return the patterns that the batches share beyond chance, the surest first.

    Parameters
    ----------
    batches : sequence of sequence of Effect
        `BatchFindings.effects` of the last few batches, in any order; five are a good number.
    alpha : float
        Chance that batches without any pattern bring up anything, above 0 and below 1.

    Returns
    -------
    tuple of Habit
        None for kinds measured in fewer than three batches. At least two thirds of the batches
        lean the same way, so that one that goes far does not speak for all.

    Raises
    ------
    ValueError
        For alpha outside its range.

    Notes
    -----
    Sum of normal scores over the root of their number: Stouffer et al. (1949), The American
    Soldier 1, 45. Over kinds by Holm (1979), Scandinavian Journal of Statistics 6, 65-70.
    """
    if not 0 < alpha < 1:
        raise ValueError(f"alpha must be above 0 and below 1, not {alpha}.")
    by_kind: dict[tuple[str, str], list[Effect]] = defaultdict(list)
    for batch in batches:
        for effect in batch:
            by_kind[effect.part, effect.kind].append(effect)
    tested = {name: effects for name, effects in by_kind.items() if len(effects) >= FEWEST_BATCHES}
    chances = {name: _together(name[1], effects) for name, effects in tested.items()}
    found = []
    for name, p in zip(chances, holm(list(chances.values())), strict=True):
        value, error = _mean(tested[name])
        same = sum(effect.value * value > 0 for effect in tested[name])
        if p <= alpha and same >= SAME_SIGN * len(tested[name]) - 1e-9:
            found.append(Habit(*name, value, error, len(tested[name]), same, p))
    return tuple(sorted(found, key=lambda habit: (habit.p, -abs(habit.value / habit.error))))


def recurrences(batches: Sequence[Sequence[Finding]]) -> tuple[Recurrence, ...]:
    """Return which findings came up in the batches, the most frequent first.

    Parameters
    ----------
    batches : sequence of sequence of Finding
        Oldest first; a batch without findings is an empty one.

    Returns
    -------
    tuple of Recurrence
        Each part, kind and direction once; `latest` tells whether the last batch has it.
    """
    counts: dict[tuple[str, str, str], set[int]] = defaultdict(set)
    for i, findings in enumerate(batches):
        for finding in findings:
            counts[finding.part, finding.kind, finding.direction].add(i)
    last = len(batches) - 1
    listed = [
        Recurrence(*name, len(found), len(batches), last in found) for name, found in counts.items()
    ]
    return tuple(sorted(listed, key=lambda r: (-r.found, not r.latest, r.part, r.kind)))


def change_since(
    part: str, kind: str, before: Sequence[Sequence[Effect]], now: Sequence[Effect]
) -> Change | None:
    """Tell whether a pattern became smaller after something was tried against it.

    Parameters
    ----------
    part, kind : str
        Of the finding that was worked on. Of a tilt both directions are taken together.
    before : sequence of sequence of Effect
        Effects of the batches up to the one in which it was found, oldest first; the last three
        that measured it are used.
    now : sequence of Effect
        Effects of the batch after.

    Returns
    -------
    Change or None
        None for kinds without an effect (steps, groups, outliers, neighbours, spots: see
        `recurrences`), and where it was not measured before or now.

    Notes
    -----
    A finding is picked because it was large, and would be smaller the next time by itself. So
    the value before is drawn toward 0 by the positive-part rule of James and Stein (1961),
    Proceedings of the Fourth Berkeley Symposium 1, 361-379: factor max(0, 1 - (error/value)^2);
    and with several batches before, how much they differ beyond their errors (DerSimonian and
    Laird 1986, Controlled Clinical Trials 7, 177-188) counts as uncertainty of now and before.
    """
    kinds = ("tilt_x", "tilt_y") if kind == "tilt" else (kind,)
    pairs = [_line(part, kinds, batch) for batch in before]
    earlier = [pair for pair in pairs if pair is not None][-BASELINE_BATCHES:]
    latest = _line(part, kinds, now)
    if not earlier or latest is None:
        return None
    # Along the direction that the pattern had before.
    mean = np.mean([value for value, _error in earlier], axis=0)
    length = float(np.linalg.norm(mean))
    along = mean / length if length > 0 else np.eye(len(kinds))[0]
    values = np.array([value @ along for value, _error in earlier])
    variances = np.array([_along(error, along) for _value, error in earlier])
    between = _between(values, variances)
    weights = 1 / (variances + between)
    value, variance = float(weights @ values / weights.sum()), float(1 / weights.sum())
    drawn = value * max(0.0, 1 - variance / value**2) if value != 0 else 0.0
    present, own = float(latest[0] @ along), _along(latest[1], along)
    error = math.sqrt(variance + own + between)
    reduction = drawn - present
    p = float(2 * ndtr(-abs(reduction) / error))
    if p > ALPHA:
        verdict = "cannot_tell"
    elif reduction < 0:
        verdict = "worse"
    else:
        verdict = "gone" if abs(present) <= 1.959964 * math.sqrt(own) else "better"
    half = 1.959964 * error
    return Change(drawn, present, reduction, reduction - half, reduction + half, p, verdict)


def _together(kind: str, effects: Sequence[Effect]) -> float:
    z = math.fsum(effect.z for effect in effects) / math.sqrt(len(effects))
    return float(ndtr(-z)) if kind in _ONE_SIDED else float(2 * ndtr(-abs(z)))


def _mean(effects: Sequence[Effect]) -> tuple[float, float]:
    weights = [effect.error**-2 for effect in effects]
    total = math.fsum(weights)
    value = math.fsum(w * effect.value for w, effect in zip(weights, effects, strict=True))
    return value / total, math.sqrt(1 / total)


_Line = tuple[Floats, Floats]


def _line(part: str, kinds: Sequence[str], batch: Sequence[Effect]) -> _Line | None:
    """Return values and standard errors of ``kinds`` in a batch; None unless it has them all."""
    by_kind = {effect.kind: effect for effect in batch if effect.part == part}
    if any(kind not in by_kind for kind in kinds):
        return None
    return (
        np.array([by_kind[kind].value for kind in kinds]),
        np.array([by_kind[kind].error for kind in kinds]),
    )


def _along(errors: Floats, along: Floats) -> float:
    return float(np.square(errors * along).sum())


def _between(y: Floats, v: Floats) -> float:
    """Return the variance of values beyond their own, by DerSimonian and Laird."""
    w = 1 / v
    if y.size < 2:
        return 0.0
    q = float(w @ np.square(y - (w @ y) / w.sum()))
    return max(0.0, (q - (y.size - 1)) / float(w.sum() - np.square(w).sum() / w.sum()))
