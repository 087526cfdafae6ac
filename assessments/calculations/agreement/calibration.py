"""Calibration sets: the same pieces rated by every assessor, blind, against a reference."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from assessments.calculations.agreement.kappa import Kappa, weighted_kappa
from assessments.calculations.agreement.reliability import RATINGS, ratings_of
from assessments.calculations.agreement.strictness import Difference, rating_difference
from assessments.calculations.multiplicity import holm

_ALPHA: Final = 0.05


@dataclass(frozen=True, slots=True)
class BlindRating:
    """One rating of a piece of the set.

    Attributes
    ----------
    assessor, piece : int
        Who, and which piece of the set.
    rating : int
        From 0.
    blind : bool
        Whether it was given before the reference and the ratings of others were shown.
    """

    assessor: int
    piece: int
    rating: int
    blind: bool = True


@dataclass(frozen=True, slots=True)
class Level:
    """How an assessor rates the pieces of one reference rating; `mean` in steps."""

    reference: int
    mean: float
    n: int


@dataclass(frozen=True, slots=True)
class AssessorCalibration:
    """One assessor against the reference, see `calibration`.

    Attributes
    ----------
    assessor : int
        Who.
    difference : Difference or None
        The assessor's ratings (first) less the reference (second): ``mean`` is the bias, below 0
        where stricter; ``spread`` is how much the ratings scatter about it. None for nothing
        rated blind.
    kappa : Kappa or None
        Weighted linearly, against the reference.
    levels : tuple of Level
        By reference rating, lowest first: a bias may lie at one end only.
    p_holm : float or None
        The sign test's probability, corrected for all assessors of the set.
    missing, not_blind : int
        Pieces of the set that were not rated, and ratings that do not count because they were
        not blind.
    """

    assessor: int
    difference: Difference | None
    kappa: Kappa | None
    levels: tuple[Level, ...]
    p_holm: float | None
    missing: int
    not_blind: int

    @property
    def verdict(self) -> str:
        """'stricter', 'milder', 'alike' (as far as can be told) or 'cannot tell'."""
        if self.difference is None or self.difference.reason or self.p_holm is None:
            return "cannot tell"
        if self.p_holm >= _ALPHA:
            return "alike"
        higher = self.difference.first_higher > self.difference.second_higher
        return "milder" if higher else "stricter"


def calibration(
    ratings: Sequence[BlindRating],
    reference: Mapping[int, int],
    *,
    categories: int = RATINGS,
) -> tuple[AssessorCalibration, ...]:
    """Compare every assessor's blind ratings of a set of pieces with the reference.

    Parameters
    ----------
    ratings : sequence of BlindRating
        In any order.
    reference : mapping of int to int
        Reference rating of each piece, 0 to ``categories - 1``.
    categories : int
        Ratings there are, at least 2.

    Returns
    -------
    tuple of AssessorCalibration
        By assessor. Fewer than 10 pieces give numbers and no verdict.

    Raises
    ------
    ValueError
        For a piece without a reference, a second rating of a piece by the same assessor, or a
        rating out of range.

    Notes
    -----
    See `strictness.rating_difference` and `kappa.kappa_of_table`; the reference counts as free of
    error.

    Examples
    --------
    >>> marks = [BlindRating(7, piece, 1) for piece in range(4)]
    >>> calibration(marks, {0: 0, 1: 1, 2: 2, 3: 2})[0].difference.mean.value
    -0.25
    """
    ratings_of("the reference", list(reference.values()), categories)
    counted: dict[int, dict[int, int]] = defaultdict(dict)
    not_blind: dict[int, int] = defaultdict(int)
    given: set[tuple[int, int]] = set()
    for one in ratings:
        if one.piece not in reference:
            raise ValueError(f"Piece {one.piece} has no reference.")
        if (one.assessor, one.piece) in given:
            raise ValueError(f"Assessor {one.assessor} has rated piece {one.piece} twice.")
        given.add((one.assessor, one.piece))
        if one.blind:
            counted[one.assessor][one.piece] = one.rating
        else:
            not_blind[one.assessor] += 1
    people = sorted({one.assessor for one in ratings})
    differences = [
        rating_difference(
            list(counted[person].values()),
            [reference[piece] for piece in counted[person]],
            categories=categories,
        )
        if counted[person]
        else None
        for person in people
    ]
    corrected = iter(holm([one.p for one in differences if one is not None]))
    return tuple(
        AssessorCalibration(
            assessor=person,
            difference=difference,
            kappa=weighted_kappa(
                list(counted[person].values()),
                [reference[piece] for piece in counted[person]],
                categories=categories,
            )
            if counted[person]
            else None,
            levels=_levels(counted[person], reference),
            p_holm=None if difference is None else next(corrected),
            missing=len(reference) - len(counted[person]) - not_blind[person],
            not_blind=not_blind[person],
        )
        for person, difference in zip(people, differences, strict=True)
    )


def _levels(rated: Mapping[int, int], reference: Mapping[int, int]) -> tuple[Level, ...]:
    at_level: dict[int, list[int]] = defaultdict(list)
    for piece, rating in rated.items():
        at_level[reference[piece]].append(rating)
    return tuple(
        Level(level, sum(given) / len(given), len(given))
        for level, given in sorted(at_level.items())
    )
