"""Who is stricter, and by how much."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import bdtr, stdtr, stdtrit

from assessments.calculations.agreement.kappa import EXTRA_PAIRS
from assessments.calculations.agreement.reliability import (
    ENOUGH_PAIRS,
    FEW,
    RATINGS,
    pair_table,
)
from assessments.calculations.gauge import Estimate
from assessments.calculations.multiplicity import holm

_ALPHA: Final = 0.05


@dataclass(frozen=True, slots=True)
class Difference:
    """How the ratings of one differ from those of another, see `rating_difference`.

    Attributes
    ----------
    mean : Estimate or None
        Mean of the first's less the second's, in steps of the rating: below 0 where the first is
        stricter. None for a single pair.
    spread : Estimate or None
        Standard deviation of the differences: what is left when the mean is taken off. None for
        a single pair.
    first_higher, equal, second_higher : int
        Batches by who gave the higher rating.
    p : float
        Probability of so uneven a division of the batches they differ in, or a more uneven one,
        where neither is stricter; 1 where they never differ.
    n : int
        Batches.
    reason : str or None
        ``'few'``: fewer than 10 batches.
    """

    mean: Estimate | None
    spread: Estimate | None
    first_higher: int
    equal: int
    second_higher: int
    p: float
    n: int
    reason: str | None


@dataclass(frozen=True, slots=True)
class Rated:
    """One rating: whose, of which batch; `value` in steps of the rating."""

    batch: int
    assessor: int
    value: float


@dataclass(frozen=True, slots=True)
class Strictness:
    """One assessor against the mean of all that can be compared, see `strictness`.

    Attributes
    ----------
    assessor : int
        Who.
    group : int
        From 0. Assessors of different groups share no batch, not even through others, and cannot
        be compared.
    effect : Estimate or None
        How much higher this assessor rates the same batch than the group's assessors on average,
        in steps: below 0 is stricter. None where there are too few ratings for an interval.
    p, p_holm : float or None
        Probability of such an effect, or a larger one, where there is none; the second corrected
        for all assessors that are looked at. None where it cannot be told.
    n : int
        Batches in common with another.
    reason : str or None
        ``'few'``: fewer than 10 batches in common, or hardly more batches than assessors.
    """

    assessor: int
    group: int
    effect: Estimate | None
    p: float | None
    p_holm: float | None
    n: int
    reason: str | None

    @property
    def verdict(self) -> str:
        """'stricter', 'milder', 'alike' (as far as can be told) or 'cannot tell'."""
        if self.reason is not None or self.effect is None or self.p_holm is None:
            return "cannot tell"
        if self.p_holm >= _ALPHA:
            return "alike"
        return "stricter" if self.effect.value < 0 else "milder"


def rating_difference(
    first: Sequence[int], second: Sequence[int], *, categories: int = RATINGS
) -> Difference:
    """Return who of two rates the same batches lower, and by how much.

    Parameters
    ----------
    first, second : sequence of int, shape (n,)
        Ratings in the same order, 0 to ``categories - 1``, at least 1 pair.
    categories : int
        Ratings there are, at least 2.

    Returns
    -------
    Difference
        The intervals have a width even where all differences are equal.

    Raises
    ------
    ValueError
        For unequal lengths, no pair, or a rating out of range.

    Notes
    -----
    Mean and standard deviation (with n - 1) of the differences. Their 95 % intervals come from the
    pairs and one more, spread evenly over all combinations (as in `kappa.kappa_of_table`): for
    the mean with Student's t (n - 1), for the standard deviation on the scale of its logarithm
    with the kurtosis found (Bonett 2006, Computational Statistics and Data Analysis 50, 775-782,
    without the corrections for small n). House definition; coverage is in the benchmark. ``p`` is
    that of the exact sign test (McNemar's for two ratings): Conover (1999), Practical
    Nonparametric Statistics, 3rd ed., 3.4.

    Examples
    --------
    >>> result = rating_difference([1, 1, 2, 0, 1], [2, 1, 2, 1, 2])
    >>> result.mean.value, result.second_higher, result.p
    (-0.6, 3, 0.25)
    """
    table = pair_table(first, second, categories)
    n = int(table.sum())
    steps = np.subtract.outer(np.arange(categories), np.arange(categories)).astype(np.float64)
    first_higher = int(table[steps > 0].sum())
    second_higher = int(table[steps < 0].sum())
    differing = first_higher + second_higher
    # The sum of two equal tails, which for an even division meet in the middle.
    p = min(1.0, 2 * float(bdtr(min(first_higher, second_higher), differing, 0.5)))
    mean: Estimate | None = None
    spread: Estimate | None = None
    if n >= 2:
        mean, spread = _moments(table, steps, n)
    return Difference(
        mean=mean,
        spread=spread,
        first_higher=first_higher,
        equal=n - differing,
        second_higher=second_higher,
        p=p if differing else 1.0,
        n=n,
        reason=FEW if n < ENOUGH_PAIRS else None,
    )


def strictness(ratings: Sequence[Rated], *, categories: int = RATINGS) -> tuple[Strictness, ...]:
    """Compare all assessors by the batches that more than one of them has rated.

    Parameters
    ----------
    ratings : sequence of Rated
        In any order; a batch that only one has rated tells nothing and is passed over.
    categories : int
        Ratings there are, at least 2, one step apart.

    Returns
    -------
    tuple of Strictness
        By group and assessor; everyone who rated anything.

    Raises
    ------
    ValueError
        For a value that is not finite, two ratings of a batch by the same assessor, or fewer than
        2 categories.

    Notes
    -----
    Least squares of batch plus assessor (Searle 1971, Linear Models, chapter 7), solved within
    batches, so that nobody seems strict who was sent to the poorer batches; the effects of a group
    add up to 0. Intervals by Student's t, p corrected by Holm's method. Into the variance of the
    residuals goes one pair more, as in `kappa.kappa_of_table`: its expected square is
    (categories^2 - 1)/12, with 1 degree of freedom; so that an interval has a width where one is
    always a step below the other.

    Examples
    --------
    >>> marks = [Rated(batch, who, 2.0 - (who == 7)) for batch in range(3) for who in (5, 7)]
    >>> [(one.assessor, round(one.effect.value, 3)) for one in strictness(marks)]
    [(5, 0.5), (7, -0.5)]
    """
    if categories < 2:
        raise ValueError(f"At least 2 ratings must be possible, not {categories}.")
    by_batch: dict[int, dict[int, float]] = defaultdict(dict)
    for one in ratings:
        if not math.isfinite(one.value):
            raise ValueError(f"Every rating must be a finite number, not {one.value}.")
        if one.assessor in by_batch[one.batch]:
            raise ValueError(f"Assessor {one.assessor} has rated batch {one.batch} twice.")
        by_batch[one.batch][one.assessor] = one.value
    people = sorted({one.assessor for one in ratings})
    place = {person: i for i, person in enumerate(people)}
    links = np.zeros((len(people), len(people)))
    sums = np.zeros(len(people))
    common = np.zeros(len(people), dtype=np.int64)
    comparable = [batch for batch in by_batch.values() if len(batch) > 1]
    for batch in comparable:
        at = [place[person] for person in batch]
        values = np.array(list(batch.values()))
        links[np.ix_(at, at)] -= 1 / len(at)
        links[at, at] += 1
        sums[at] += values - values.mean()
        common[at] += 1
    inverse = np.asarray(np.linalg.pinv(links, hermitian=True), dtype=np.float64)
    effects = inverse @ sums
    groups = _groups(links)
    squares, df = _residual(comparable, place, effects, groups)
    variance = (squares + EXTRA_PAIRS * (categories**2 - 1) / 12) / (df + EXTRA_PAIRS)
    found = [
        _one(person, i, groups[i], effects, inverse, int(common[i]), variance, df)
        for i, person in enumerate(people)
    ]
    corrected = iter(holm([one.p for one in found if one.p is not None]))
    with_holm = [one if one.p is None else replace(one, p_holm=next(corrected)) for one in found]
    return tuple(sorted(with_holm, key=lambda one: (one.group, one.assessor)))


def _moments(
    table: NDArray[np.float64], steps: NDArray[np.float64], n: int
) -> tuple[Estimate, Estimate]:
    mean = float((table * steps).sum()) / n
    sd = math.sqrt(max(0.0, float((table * (steps - mean) ** 2).sum())) / (n - 1))
    total = n + EXTRA_PAIRS
    p = (table + EXTRA_PAIRS / table.size) / total
    centre = float((p * steps).sum())
    second, fourth = (float((p * (steps - centre) ** power).sum()) for power in (2, 4))
    t = float(stdtrit(n - 1, 0.975))
    half_width = t * math.sqrt(second / total)
    # Variance of the logarithm of a standard deviation, by its fourth moment.
    half_log = t * math.sqrt(max(0.0, fourth / second**2 - 1) / total) / 2
    filled = math.sqrt(second * total / n)
    return (
        Estimate(mean, min(mean, centre - half_width), max(mean, centre + half_width)),
        Estimate(sd, min(sd, filled * math.exp(-half_log)), max(sd, filled * math.exp(half_log))),
    )


def _groups(links: NDArray[np.float64]) -> list[int]:
    """Return the group of each assessor: all who can be reached over batches in common."""
    groups = [-1] * len(links)
    count = 0
    for start in range(len(links)):
        if groups[start] >= 0:
            continue
        waiting = [start]
        while waiting:
            i = waiting.pop()
            if groups[i] < 0:
                groups[i] = count
                waiting += [int(j) for j in np.flatnonzero(links[i]) if groups[j] < 0]
        count += 1
    return groups


def _residual(
    comparable: list[dict[int, float]],
    place: dict[int, int],
    effects: NDArray[np.float64],
    groups: list[int],
) -> tuple[float, int]:
    """Return squares and degrees of freedom of what batch and assessor leave unexplained."""
    squares = 0.0
    df = 0
    compared: set[int] = set()
    for batch in comparable:
        at = [place[person] for person in batch]
        values = np.array(list(batch.values()))
        rest = values - effects[at]
        squares += float(((rest - rest.mean()) ** 2).sum())
        df += len(at) - 1
        compared.update(at)
    df -= len(compared) - len({groups[i] for i in compared})
    return squares, df


def _one(
    person: int,
    i: int,
    group: int,
    effects: NDArray[np.float64],
    inverse: NDArray[np.float64],
    n: int,
    variance: float,
    df: int,
) -> Strictness:
    if n == 0 or df < 1:
        return Strictness(person, group, None, None, None, n, FEW)
    value = float(effects[i])
    error = math.sqrt(variance * float(inverse[i, i]))
    half_width = float(stdtrit(df, 0.975)) * error
    p = 2 * float(stdtr(df, -abs(value) / error))
    reason = FEW if n < ENOUGH_PAIRS else None
    effect = Estimate(value, value - half_width, value + half_width)
    return Strictness(person, group, effect, p, None, n, reason)
