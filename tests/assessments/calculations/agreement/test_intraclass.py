import csv
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.formula.api import ols
from statsmodels.stats.anova import anova_lm

from assessments.calculations.agreement.intraclass import intraclass, intraclass_of_ratings
from assessments.calculations.agreement.kappa import weighted_kappa

PUBLISHED = Path(__file__).parents[1] / "published"
FORMS = (
    "one_way",
    "agreement",
    "consistency",
    "one_way_mean",
    "agreement_mean",
    "consistency_mean",
)


@pytest.fixture(scope="module")
def six_targets():
    with (PUBLISHED / "agreement_shrout_fleiss1979.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    return np.array([[float(row[judge]) for judge in ("j1", "j2", "j3", "j4")] for row in rows])


def limits(form):
    return form.low, form.high


# --- Published ---


def test_forms_meet_shrout_and_fleiss(six_targets):
    """Psychological Bulletin 86 (1979), 420-428: .17 .29 .71 .44 .62 .91, and the mean squares."""
    result = intraclass(six_targets)
    found = [getattr(result, form).value for form in FORMS]
    assert found == pytest.approx([0.17, 0.29, 0.71, 0.44, 0.62, 0.91], abs=0.0051)
    squares = (result.between, result.within, result.assessors, result.residual)
    assert squares == pytest.approx([11.24, 6.26, 32.49, 1.02], abs=0.005)
    assert result.raters == 4
    assert result.agreement.n == 6


def test_intervals_meet_those_of_another_program(six_targets):
    """What R's psych::ICC prints for the same ratings (3 and 2 significant digits)."""
    printed = {
        "one_way": (-0.133, 0.72),
        "agreement": (0.019, 0.76),
        "consistency": (0.342, 0.95),
        "one_way_mean": (-0.884, 0.91),
        "agreement_mean": (0.071, 0.93),
        "consistency_mean": (0.676, 0.99),
    }
    result = intraclass(six_targets)
    for form, (low, high) in printed.items():
        assert getattr(result, form).low == pytest.approx(low, abs=0.00051)
        assert getattr(result, form).high == pytest.approx(high, abs=0.0051)


def test_mean_squares_agree_with_statsmodels():
    y = np.random.default_rng(6).normal(size=(12, 3)) + np.arange(12)[:, None] / 5
    frame = pd.DataFrame(
        {"y": y.ravel(), "batch": np.repeat(np.arange(12), 3), "who": np.tile(np.arange(3), 12)}
    )
    lines = anova_lm(ols("y ~ C(batch) + C(who)", frame).fit())["mean_sq"]
    within = anova_lm(ols("y ~ C(batch)", frame).fit())["mean_sq"]
    result = intraclass(y)
    found = (result.between, result.assessors, result.residual, result.within)
    expected = (lines["C(batch)"], lines["C(who)"], lines["Residual"], within["Residual"])
    assert found == pytest.approx(expected)


def test_the_intervals_cover_what_they_promise():
    """In 1500 made-up comparisons of 12 batches by 3 assessors; the standard deviation is 0.6."""
    rng = np.random.default_rng(1978)
    truth = {"consistency": 2 / 3, "agreement": 2 / 3.3, "consistency_mean": 6 / 7}
    inside = dict.fromkeys(truth, 0)
    for _run in range(1500):
        y = (
            rng.normal(0, 2**0.5, (12, 1))
            + rng.normal(0, 0.3**0.5, (1, 3))
            + rng.normal(0, 1, (12, 3))
        )
        result = intraclass(y)
        for form, value in truth.items():
            one = getattr(result, form)
            inside[form] += one.low <= value <= one.high
    for share in inside.values():
        assert share / 15 == pytest.approx(95, abs=2)


# --- Forms ---


def test_a_stricter_assessor_lowers_agreement_and_not_consistency():
    y = np.random.default_rng(3).normal(size=(15, 2)) + 2 * np.arange(15)[:, None]
    shifted = intraclass(y + np.array([0, 8]))
    plain = intraclass(y)
    assert shifted.consistency.value == pytest.approx(plain.consistency.value)
    assert shifted.agreement.value < plain.agreement.value - 0.1
    assert shifted.one_way.value < shifted.agreement.value


@given(st.lists(st.tuples(*[st.integers(0, 2)] * 3), min_size=2, max_size=20))
def test_unit_and_order_do_not_matter(rows):
    result = intraclass(rows)
    other = intraclass([[5 - 3 * x for x in row[::-1]] for row in reversed(rows)])
    for form in FORMS:
        one, two = getattr(result, form), getattr(other, form)
        assert one.reason == two.reason
        for name in ("value", "low", "high"):
            a, b = getattr(one, name), getattr(two, name)
            assert (a is None) == (b is None)
            if a is not None and a < -1:
                # Means of raters have no lowest value, and far down only the reciprocal is exact.
                a, b = 1 / a, 1 / b
            assert a is None or a == pytest.approx(b, rel=1e-9, abs=1e-9)
        if one.low is not None:
            assert one.low <= one.value <= one.high


@pytest.mark.parametrize(
    ("rows", "values", "reason"),
    [
        # All ratings are the same.
        ([[2, 2]] * 12, (None, None, None), "one_rating"),
        # All agree: a value, and no interval of no width.
        ([[2, 2], [0, 0], [1, 1]] * 4, (1, 1, 1), "no_scatter"),
        # The second is always a step stricter: consistency is whole, agreement is not.
        ([[2, 1], [1, 0]] * 6, (None, None, 1), "no_scatter"),
        # The batches are all alike on average.
        ([[2, 0], [0, 2]] * 6, (-1, None, -1), "no_scatter"),
    ],
)
def test_ratings_without_scatter(rows, values, reason):
    result = intraclass(rows)
    forms = (result.one_way, result.agreement, result.consistency)
    for form, value in zip(forms, values, strict=True):
        assert value is None or form.value == pytest.approx(value)
    assert result.consistency.reason == reason
    assert limits(result.consistency) == (None, None)
    assert result.consistency.judge(0.5) == "cannot tell"


def test_rounding_is_no_scatter():
    y = 0.1 * np.arange(12)[:, None] + np.array([0.1, 0.2, 0.3])
    assert intraclass(y).consistency.reason == "no_scatter"


def test_few_batches_have_numbers_and_no_judgement(six_targets):
    result = intraclass(six_targets).consistency_mean
    assert result.low > 0.6
    assert (result.reason, result.judge(0.6)) == ("few", "cannot tell")
    assert intraclass(np.tile(six_targets, (2, 1))).consistency_mean.judge(0.6) == "above"


# --- Ratings ---


def test_icc_of_ratings_comes_to_quadratic_kappa():
    """Fleiss and Cohen (1973): equal but for terms in 1/n."""
    rng = np.random.default_rng(1973)
    first = rng.integers(0, 3, 3000)
    second = np.clip(first + rng.integers(-1, 2, 3000), 0, 2)
    icc = intraclass_of_ratings(first.tolist(), second.tolist())
    kappa = weighted_kappa(first.tolist(), second.tolist(), weights="quadratic")
    assert icc.value == pytest.approx(kappa.value, abs=1e-3)
    assert limits(icc) == pytest.approx(limits(kappa), abs=1e-3)


def test_icc_of_ratings_has_an_interval_where_all_agree():
    icc = intraclass_of_ratings([2, 0, 1] * 5, [2, 0, 1] * 5)
    assert icc.value == 1
    assert 0.3 < icc.low < 0.6
    assert icc.high == 1
    assert intraclass_of_ratings([2] * 15, [2] * 15).reason == "one_rating"


# --- Refused ---


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ([[1, 2]], "At least 2 batches and 2 assessors"),
        ([[1], [2]], "At least 2 batches and 2 assessors"),
        ([[1, 2], [1]], "equal length"),
        ([[1, 2], [1, float("nan")]], "finite"),
        ([[1, None], [1, 2]], "finite"),
        ([1, 2], "2 dimensions, not 1"),
    ],
)
def test_refuses(rows, message):
    with pytest.raises(ValueError, match=message):
        intraclass(rows)
