"""What is said of two who judge the same batches, in words."""

import pytest

from assessments.calculations.agreement.kappa import weighted_kappa
from assessments.calculations.agreement.strictness import rating_difference
from assessments.summaries.assessors import agree_words, coefficient, estimate, stricter_words

# Invented.
MIXED = [2, 2, 1, 0, 2, 1, 2, 2, 0, 1, 2, 1, 2, 0]
OTHERS = [2, 1, 1, 2, 0, 2, 1, 0, 2, 2, 1, 0, 0, 2]
NEAR = [2, 2, 1, 1, 2, 2, 1, 2, 0, 1, 2, 0, 2, 2]


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        (MIXED * 3, MIXED * 3, "A and B agree closely (kappa 1.00, "),
        (MIXED * 2, OTHERS * 2, "A and B often differ (kappa −0.47, −0.64 to −0.21)."),
        (MIXED, MIXED, "A and B agree; how closely cannot be told yet (kappa 1.00, 0.45 to 1.00)."),
        (MIXED, NEAR, "A and B: cannot tell whether they agree beyond chance (kappa "),
        (
            [2] * 12,
            [2] * 12,
            "A and B: cannot tell: both gave all 12 batches one and the same rating.",
        ),
        (MIXED[:4], MIXED[:4], "A and B: cannot tell yet: 4 batches, it takes 10."),
        (MIXED[:1], MIXED[:1], "A and B: cannot tell yet: 1 batch, it takes 10."),
    ],
)
def test_agreement_is_said_as_far_as_the_interval_goes(first, second, words):
    found = agree_words(weighted_kappa(first, second), "A and B")
    assert found.startswith(words)


@pytest.mark.parametrize(
    ("first", "second", "p", "words"),
    [
        ([0] * 12, [1] * 12, 0.001, "Isbel is stricter by about 1.0 steps."),
        ([1] * 12, [0] * 12, 0.001, "The measurement is stricter by about 1.0 steps."),
        (MIXED, NEAR, 0.6, "Neither is stricter, as far as can be told."),
        ([0] * 4, [1] * 4, 0.001, ""),
    ],
)
def test_who_is_stricter_is_said_only_beyond_chance(first, second, p, words):
    difference = rating_difference(first, second)
    assert stricter_words(difference, p, "Isbel", "the measurement") == words


def test_what_is_not_defined_is_a_dash():
    assert coefficient(weighted_kappa([2] * 12, [2] * 12)) == "–"
    assert coefficient(weighted_kappa([2], [1])) == "0.00"
    assert estimate(None) == "–"
