"""Agreement of a house's assessors on each criterion of what they see at the bench."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from assessments.calculations.agreement.intraclass import intraclass_of_ratings
from assessments.calculations.agreement.kappa import (
    FleissKappa,
    Kappa,
    fleiss_kappa,
    weighted_kappa,
)
from assessments.calculations.agreement.reliability import RATINGS, Reliability, ratings_of
from assessments.calculations.agreement.strictness import (
    Difference,
    Rated,
    Strictness,
    rating_difference,
    strictness,
)
from assessments.calculations.multiplicity import holm


@dataclass(frozen=True, slots=True)
class Seen:
    """What one assessor rated of a batch; a criterion not looked at is None or absent."""

    batch: int
    assessor: int
    ratings: Mapping[str, int | None]


@dataclass(frozen=True, slots=True)
class TwoAssessors:
    """Two who rated batches in common, on one criterion.

    Attributes
    ----------
    first, second : int
        Who; the lower number first.
    linear, quadratic : Kappa
        Weighted by the size of a difference and by its square.
    intraclass : Reliability or None
        ICC(2,1) with an interval for ratings; None for a single batch.
    difference : Difference
        First less second.
    p_holm : float
        The difference's probability, corrected for all pairs and criteria that are looked at.
    """

    first: int
    second: int
    linear: Kappa
    quadratic: Kappa
    intraclass: Reliability | None
    difference: Difference
    p_holm: float


@dataclass(frozen=True, slots=True)
class CriterionAgreement:
    """One criterion.

    Attributes
    ----------
    criterion : str
        Its name.
    batches : int
        Rated by more than one.
    pairs : tuple of TwoAssessors
        All who rated at least one batch in common.
    several : FleissKappa or None
        All assessors together, whoever rated which; None without a batch in common.
    assessors : tuple of Strictness
        Everyone against the mean of all.
    """

    criterion: str
    batches: int
    pairs: tuple[TwoAssessors, ...]
    several: FleissKappa | None
    assessors: tuple[Strictness, ...]


def criteria_agreement(
    seen: Sequence[Seen], criteria: Sequence[str], *, categories: int = RATINGS
) -> tuple[CriterionAgreement, ...]:
    """Return how well the assessors of a house agree, criterion by criterion.

    Parameters
    ----------
    seen : sequence of Seen
        All that was seen, in any order; batches that only one has rated are passed over.
    criteria : sequence of str
        Names of the criteria, in the order of the result.
    categories : int
        Ratings there are, at least 2.

    Returns
    -------
    tuple of CriterionAgreement
        One for each criterion, whether or not anything can be told of it.

    Raises
    ------
    ValueError
        For a rating out of range, or an assessor who has rated a criterion of a batch twice.

    Examples
    --------
    >>> seen = [Seen(1, 7, {"hygiene": 2}), Seen(1, 8, {"hygiene": 1}), Seen(2, 7, {"hygiene": 2})]
    >>> result = criteria_agreement(seen, ["hygiene"])[0]
    >>> result.batches, result.pairs[0].difference.mean
    (1, None)
    """
    found = [_criterion(seen, criterion, categories) for criterion in criteria]
    corrected = iter(holm([pair.difference.p for one in found for pair in one.pairs]))
    return tuple(
        replace(one, pairs=tuple(replace(pair, p_holm=next(corrected)) for pair in one.pairs))
        for one in found
    )


def _criterion(seen: Sequence[Seen], criterion: str, categories: int) -> CriterionAgreement:
    by_batch: dict[int, dict[int, int]] = defaultdict(dict)
    for one in seen:
        rating = one.ratings.get(criterion)
        if rating is None:
            continue
        if one.assessor in by_batch[one.batch]:
            raise ValueError(
                f"Assessor {one.assessor} has rated {criterion} of batch {one.batch} twice."
            )
        by_batch[one.batch][one.assessor] = rating
    ratings_of(criterion, [r for batch in by_batch.values() for r in batch.values()], categories)
    comparable = [batch for batch in by_batch.values() if len(batch) > 1]
    in_common: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    counts = np.zeros((len(comparable), categories))
    for row, batch in zip(counts, comparable, strict=True):
        np.add.at(row, list(batch.values()), 1)
        for first, second in combinations(sorted(batch), 2):
            in_common[first, second].append((batch[first], batch[second]))
    return CriterionAgreement(
        criterion=criterion,
        batches=len(comparable),
        pairs=tuple(
            _two(first, second, pairs, categories)
            for (first, second), pairs in sorted(in_common.items())
        ),
        several=fleiss_kappa(counts) if comparable else None,
        assessors=strictness(
            [
                Rated(batch, assessor, rating)
                for batch, given in by_batch.items()
                for assessor, rating in given.items()
            ],
            categories=categories,
        ),
    )


def _two(
    first: int, second: int, pairs: Sequence[tuple[int, int]], categories: int
) -> TwoAssessors:
    a, b = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
    difference = rating_difference(a, b, categories=categories)
    return TwoAssessors(
        first=first,
        second=second,
        linear=weighted_kappa(a, b, categories=categories),
        quadratic=weighted_kappa(a, b, weights="quadratic", categories=categories),
        intraclass=intraclass_of_ratings(a, b, categories=categories) if len(pairs) > 1 else None,
        difference=difference,
        p_holm=difference.p,
    )
