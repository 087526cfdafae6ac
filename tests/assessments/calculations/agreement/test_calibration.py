import numpy as np
import pytest
from scipy.stats import binomtest

from assessments.calculations.agreement.calibration import BlindRating, Level, calibration
from assessments.calculations.agreement.kappa import weighted_kappa
from assessments.calculations.agreement.strictness import rating_difference

# An invented set: 18 pieces, six of each rating.
REFERENCE = {piece: piece % 3 for piece in range(18)}


def rated(assessor, change=lambda rating, piece: rating, *, pieces=REFERENCE, blind=True):
    return [
        BlindRating(assessor, piece, min(2, max(0, change(REFERENCE[piece], piece))), blind)
        for piece in pieces
    ]


def test_bias_spread_and_kappa_are_those_against_the_reference():
    given = np.random.default_rng(2).integers(0, 3, 18).tolist()
    one = calibration(rated(1, lambda _rating, piece: given[piece]), REFERENCE)[0]
    truth = list(REFERENCE.values())
    assert one.difference == rating_difference(given, truth)
    assert one.kappa == weighted_kappa(given, truth)
    assert one.difference.mean.value == pytest.approx(np.mean(np.subtract(given, truth)))
    assert one.difference.spread.value == pytest.approx(np.std(np.subtract(given, truth), ddof=1))


def test_stricter_milder_and_alike():
    results = calibration(
        [
            *rated(3, lambda rating, _piece: rating - 1),
            *rated(1),
            *rated(2, lambda rating, _piece: rating + 1),
            *rated(4, lambda rating, piece: rating + (1 if piece == 3 else 0)),
        ],
        REFERENCE,
    )
    assert [one.assessor for one in results] == [1, 2, 3, 4]
    assert [one.verdict for one in results] == ["alike", "milder", "stricter", "alike"]
    assert results[2].difference.mean.value == pytest.approx(-2 / 3)
    assert results[0].kappa.value == 1
    assert results[0].difference.mean.low < 0 < results[0].difference.mean.high


def test_probabilities_are_corrected_for_all_assessors():
    few_lower = rated(1, lambda rating, piece: rating - (piece < 9 and rating > 0))
    alone = calibration(few_lower, REFERENCE)[0]
    assert alone.difference.p == pytest.approx(binomtest(6, 6).pvalue)
    assert (alone.p_holm, alone.verdict) == (alone.difference.p, "stricter")
    among = calibration([*few_lower, *rated(2), *rated(3)], REFERENCE)[0]
    assert among.p_holm == pytest.approx(3 * alone.p_holm)
    assert among.verdict == "alike"


def test_a_bias_at_one_end_shows_in_the_levels():
    one = calibration(rated(1, lambda rating, _piece: 1 if rating == 2 else rating), REFERENCE)[0]
    assert one.levels == (Level(0, 0, 6), Level(1, 1, 6), Level(2, 1, 6))


def test_what_was_not_blind_does_not_count():
    half = [piece for piece in REFERENCE if piece < 9]
    rest = [piece for piece in REFERENCE if 9 <= piece < 15]
    shown = rated(1, lambda _rating, _piece: 0, pieces=rest, blind=False)
    one = calibration([*rated(1, pieces=half), *shown], REFERENCE)[0]
    assert (one.difference.n, one.not_blind, one.missing) == (9, 6, 3)
    assert one.difference.mean.value == 0
    assert (one.difference.reason, one.verdict) == ("few", "cannot tell")


def test_nothing_rated_blind():
    one = calibration(rated(1, blind=False), REFERENCE)[0]
    assert (one.difference, one.kappa, one.levels, one.p_holm) == (None, None, (), None)
    assert (one.not_blind, one.missing, one.verdict) == (18, 0, "cannot tell")
    assert calibration([], REFERENCE) == ()


@pytest.mark.parametrize(
    ("ratings", "reference", "message"),
    [
        ([BlindRating(1, 5, 2)], {1: 2}, "Piece 5 has no reference"),
        ([BlindRating(1, 1, 2)] * 2, {1: 2}, "Assessor 1 has rated piece 1 twice"),
        ([BlindRating(1, 1, 3)], {1: 2}, "whole numbers from 0 to 2"),
        ([], {1: 3}, "the reference must be whole numbers from 0 to 2"),
    ],
)
def test_refuses(ratings, reference, message):
    with pytest.raises(ValueError, match=message):
        calibration(ratings, reference)
