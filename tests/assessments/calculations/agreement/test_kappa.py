import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats import inter_rater
from statsmodels.stats.proportion import proportion_confint

from assessments.calculations.agreement.kappa import (
    fleiss_kappa,
    kappa_of_table,
    weighted_kappa,
)

PUBLISHED = Path(__file__).parents[1] / "published"
# Cohen (1960, 1968): shares of 200 patients by the diagnoses of two judges.
COHEN = 200 * np.array([[0.44, 0.07, 0.09], [0.05, 0.20, 0.05], [0.01, 0.03, 0.06]])
# Skin condition as two dermatologists saw it: SAS/STAT User's Guide, FREQ procedure.
SKIN = [[10, 4, 1, 0], [5, 10, 12, 2], [2, 4, 12, 5], [0, 2, 6, 13]]


@pytest.fixture(scope="module")
def diagnoses():
    with (PUBLISHED / "agreement_fleiss1971.csv").open(newline="") as file:
        return np.array([[int(row[f"c{i}"]) for i in range(1, 6)] for row in csv.DictReader(file)])


# --- Two assessors: published ---


def test_kappa_meets_cohen_1960():
    """Printed: .492."""
    assert kappa_of_table(COHEN, weights="equal").value == pytest.approx(0.492, abs=5e-4)


@pytest.mark.parametrize(
    ("weights", "printed"),
    [
        ([[0, 1, 3], [1, 0, 6], [3, 6, 0]], 0.348),
        ([[0, 1, 4], [1, 0, 6], [2, 2, 0]], 0.353),
    ],
)
def test_weighted_kappa_meets_cohen_1968(weights, printed):
    """Psychological Bulletin 70, 213-220, as in the manual of R's psych::cohen.kappa."""
    assert kappa_of_table(COHEN, weights=weights).value == pytest.approx(printed, abs=5e-4)


@pytest.mark.parametrize(
    ("table", "weights", "printed", "error"),
    [
        # The printout in the tests of statsmodels.
        ([[0, 4, 1], [0, 8, 0], [0, 1, 5]], "equal", 0.4842, 0.1380),
        ([[0, 4, 1], [0, 8, 0], [0, 1, 5]], "linear", 0.4701, 0.1457),
        # The guide's printout as remembered.
        (SKIN, "equal", 0.3449, 0.0724),
        (SKIN, "linear", 0.5082, 0.0655),
    ],
)
def test_kappa_and_error_meet_a_printout_of_sas(table, weights, printed, error):
    result = kappa_of_table(table, weights=weights)
    assert result.value == pytest.approx(printed, abs=5.1e-5)
    assert result.standard_error == pytest.approx(error, abs=5.1e-5)


@pytest.mark.parametrize(
    ("weights", "option"), [("equal", None), ("linear", "linear"), ("quadratic", "quadratic")]
)
@pytest.mark.parametrize("size", [2, 3, 5])
def test_kappa_and_error_agree_with_statsmodels(weights, option, size):
    table = np.random.default_rng(size).integers(0, 9, (size, size)) + 4 * np.eye(size)
    expected = inter_rater.cohens_kappa(table, wt=option)
    result = kappa_of_table(table, weights=weights)
    assert result.value == pytest.approx(expected.kappa)
    assert result.standard_error == pytest.approx(expected.std_kappa)
    assert result.n == table.sum()


def test_with_many_pairs_the_interval_comes_to_the_usual_one():
    table = 400 * np.array(SKIN)
    expected = inter_rater.cohens_kappa(table, wt="linear")
    result = kappa_of_table(table)
    assert result.low == pytest.approx(expected.kappa_low, abs=3e-4)
    assert result.high == pytest.approx(expected.kappa_upp, abs=3e-4)


def test_share_of_equal_ratings_agrees_with_statsmodels():
    result = weighted_kappa([2] * 17 + [1] * 3, [2] * 20)
    assert result.equal.value == 0.85
    low, high = proportion_confint(17, 20, method="wilson")
    assert (result.equal.low, result.equal.high) == pytest.approx((low, high), abs=1e-6)


# --- Two assessors: what can be told ---


def test_all_alike_and_more_than_one_rating():
    """Ten, forty, 160 equal pairs: kappa is 1, and how sure that is grows with them."""
    lows = []
    for times in (1, 4, 16):
        ratings = [2, 2, 2, 2, 2, 2, 1, 1, 0, 2] * times
        result = weighted_kappa(ratings, ratings)
        assert (result.value, result.high, result.standard_error) == (1, 1, 0)
        lows.append(result.low)
    assert lows[0] < 0.2 < 0.6 < lows[1] < 0.8 < lows[2] < 1


def test_where_none_differ_the_lower_limit_is_the_exact_bound():
    """At most 1 - 0.025^(1/60) of the pairs differ; a third of the steps is due to chance."""
    ratings = [2, 1, 0] * 20
    differing = proportion_confint(0, 60, method="beta", alpha=0.05)[1]
    low = weighted_kappa(ratings, ratings, weights="quadratic").low
    assert low == pytest.approx(1 - differing / (1 / 3))


def test_one_rating_throughout_tells_nothing_of_kappa():
    result = weighted_kappa([2] * 30, [2] * 30)
    assert (result.value, result.low, result.high) == (None, None, None)
    assert (result.reason, result.judge(0.4)) == ("one_rating", "cannot tell")
    assert result.equal.value == 1
    assert result.equal.low == pytest.approx(30 / (30 + 1.96**2), abs=1e-4)


def test_one_of_the_two_always_gives_the_same():
    result = weighted_kappa([2] * 20, [2] * 15 + [1] * 5)
    assert result.value == pytest.approx(0)
    assert result.low < 0 < result.high
    assert result.judge(0.6) == "below"


def test_few_pairs():
    nine, ten = ([2, 1, 0] * 4)[:9], ([2, 1, 0] * 4)[:10]
    assert weighted_kappa(nine, nine).reason == "few"
    assert weighted_kappa(ten, ten).reason is None
    single = weighted_kappa([2], [1])
    assert (single.low, single.high, single.reason) == (None, None, "few")


def test_a_step_weighs_less_than_two_and_less_still_in_square():
    first = [0, 1, 2] * 6
    near = [0, 1, 1] * 6
    far = [0, 1, 0] * 6
    for weights in ("linear", "quadratic"):
        assert (
            weighted_kappa(first, near, weights=weights).value
            > weighted_kappa(first, far, weights=weights).value
        )
    values = [
        weighted_kappa(first, near, weights=weights).value
        for weights in ("equal", "linear", "quadratic")
    ]
    assert values == sorted(values)


pairs = st.lists(st.tuples(st.integers(0, 2), st.integers(0, 2)), min_size=1, max_size=30)


@given(pairs, st.sampled_from(["equal", "linear", "quadratic"]))
def test_who_is_called_first_does_not_matter(given_pairs, weights):
    first, second = zip(*given_pairs, strict=True)
    one = weighted_kappa(first, second, weights=weights)
    other = weighted_kappa(second, first, weights=weights)
    turned = weighted_kappa([2 - x for x in first], [2 - x for x in second], weights=weights)
    for name in ("value", "low", "high"):
        a = getattr(one, name)
        for b in (getattr(other, name), getattr(turned, name)):
            assert (a is None and b is None) or a == pytest.approx(b, abs=1e-9)
    if one.low is not None:
        assert -1 - 1e-9 <= one.low <= one.value <= one.high <= 1


# --- Several assessors ---


def test_fleiss_kappa_meets_the_paper(diagnoses):
    """Psychological Bulletin 76 (1971), 378-382: .430; by diagnosis as recomputed."""
    result = fleiss_kappa(diagnoses)
    assert result.value == pytest.approx(0.430, abs=5e-4)
    assert result.by_category == pytest.approx([0.245, 0.245, 0.520, 0.471, 0.566], abs=5e-4)
    assert (result.n, result.mean_raters) == (30, 6)
    assert result.low < result.value < result.high
    assert result.judge(0.2) == "above"


def test_fleiss_kappa_agrees_with_statsmodels(diagnoses):
    assert fleiss_kappa(diagnoses).value == pytest.approx(inter_rater.fleiss_kappa(diagnoses))
    rng = np.random.default_rng(5)
    for raters in (2, 3, 5):
        counts = rng.multinomial(raters, [0.1, 0.3, 0.6], size=25)
        expected = inter_rater.fleiss_kappa(counts)
        assert fleiss_kappa(counts).value == pytest.approx(expected)


def test_unequal_numbers_of_raters():
    """Fleiss, Levin and Paik (2003), section 18.3: 25 subjects, 2 to 5 ratings each; kappa .54.

    The table as remembered; 81 ratings, 46 of them positive and a sum of 6.30 are those printed.
    """
    raters = np.array([2, 2, 3, 4, 3, 4, 3, 5, 2, 4, 5, 3, 4, 4, 2, 2, 3, 2, 4, 5, 3, 4, 3, 3, 2])
    positive = np.array([2, 0, 2, 3, 3, 1, 0, 0, 0, 4, 5, 3, 4, 3, 0, 2, 1, 1, 1, 4, 2, 0, 0, 3, 2])
    assert (raters.sum(), positive.sum()) == (81, 46)
    assert (positive * (raters - positive) / raters).sum() == pytest.approx(6.30, abs=5e-3)
    result = fleiss_kappa(np.column_stack((positive, raters - positive)))
    assert result.value == pytest.approx(0.54, abs=5e-3)
    assert result.by_category == pytest.approx([result.value] * 2)
    assert result.mean_raters == 3.24


def test_error_of_fleiss_kappa_comes_to_the_jackknife(diagnoses):
    """Fleiss and Davies (1982), American Journal of Epidemiology 115, 841-845."""
    many = np.tile(diagnoses, (6, 1))
    n = len(many)
    left_out = np.array([fleiss_kappa(np.delete(many, i, axis=0)).value for i in range(n)])
    jackknife = ((n - 1) ** 2 / n * left_out.var(ddof=1)) ** 0.5
    assert fleiss_kappa(many).standard_error == pytest.approx(jackknife, rel=0.005)


def test_two_raters_of_fleiss_come_to_the_table_made_even():
    """Scott's pi (1955) is kappa of the table and its mirror together."""
    table = np.array([[4, 2, 1], [3, 6, 2], [0, 3, 12]])
    first = np.repeat(np.repeat(np.arange(3), 3), table.ravel())
    second = np.repeat(np.tile(np.arange(3), 3), table.ravel())
    expected = kappa_of_table(table + table.T, weights="equal")
    assert fleiss_kappa(np.eye(3)[first] + np.eye(3)[second]).value == pytest.approx(expected.value)


def test_several_without_scatter():
    alike = fleiss_kappa([[0, 0, 3], [0, 3, 0]] * 10)
    assert (alike.value, alike.high, alike.standard_error) == (1, 1, 0)
    assert 0.6 < alike.low < 1
    assert alike.by_category == (None, 1, 1)
    one = fleiss_kappa([[0, 0, 3]] * 10)
    assert (one.value, one.low, one.reason) == (None, None, "one_rating")
    single = fleiss_kappa([[1, 1]])
    assert (single.value, single.low, single.standard_error) == (-1, None, None)


# --- Refused ---


@pytest.mark.parametrize(
    ("first", "second", "options", "message"),
    [
        ([1], [1, 2], {}, "pairs, not 1 and 2"),
        ([], [], {}, "At least 1 pair"),
        ([3], [1], {}, "whole numbers from 0 to 2"),
        ([1], [-1], {}, "the second must be whole"),
        ([1.5], [1], {}, "whole numbers"),
        ([float("nan")], [1], {}, "finite"),
        ([None], [1], {}, "finite"),
        (["x"], [1], {}, "must be numbers"),
        ([0], [0], {"categories": 1}, "At least 2 ratings"),
        ([0], [0], {"weights": "cubic"}, "weights must be one of"),
    ],
)
def test_refuses_ratings(first, second, options, message):
    with pytest.raises(ValueError, match=message):
        weighted_kappa(first, second, **options)


@pytest.mark.parametrize(
    ("table", "weights", "message"),
    [
        ([[1, 2, 3], [4, 5, 6]], "linear", "square"),
        ([[0, 0], [0, 0]], "linear", "square, with pairs"),
        ([[1, -1], [0, 1]], "linear", "none below 0"),
        ([[1]], "linear", "square"),
        ([[1, 1], [1, 1]], [[0, 1]], "Weights must fit"),
        ([[1, 1], [1, 1]], [[1, 1], [1, 0]], "Weights must fit"),
        ([[1, 1], [1, 1]], [[0, 0], [0, 0]], "Weights must fit"),
        ([[1, 1], [1, 1]], [[0, -1], [1, 0]], "Weights must fit"),
    ],
)
def test_refuses_tables(table, weights, message):
    with pytest.raises(ValueError, match=message):
        kappa_of_table(table, weights=weights)


@pytest.mark.parametrize(
    ("counts", "message"),
    [
        ([[1, 0]], "at least 2 ratings"),
        ([[3], [2]], "At least 1 batch, 2 ratings"),
        ([[1.5, 0.5]], "whole numbers"),
        ([[3, -1]], "from 0"),
        ([[1, 1], [2]], "equal length"),
        (np.zeros((0, 3)), "At least 1 batch"),
    ],
)
def test_refuses_counts(counts, message):
    with pytest.raises(ValueError, match=message):
        fleiss_kappa(counts)
