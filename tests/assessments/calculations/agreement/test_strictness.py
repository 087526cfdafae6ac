import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest, kurtosis
from scipy.stats import t as student
from statsmodels.formula.api import ols
from statsmodels.stats.contingency_tables import mcnemar

from assessments.calculations.agreement.strictness import (
    Rated,
    rating_difference,
    strictness,
)
from assessments.calculations.instruments import repeatability


def ratings_of_four(n, seed, *, strict=0.0):
    """Return invented ratings 0, 1, 2 of n batches, each by 2 or 3 of the assessors 0..3."""
    rng = np.random.default_rng(seed)
    ratings = []
    for batch in range(n):
        quality = rng.normal(1.3, 0.8)
        for who in rng.choice(4, rng.integers(2, 4), replace=False):
            seen = quality + rng.normal(0, 0.4) - strict * (who == 3)
            ratings.append(Rated(batch, int(who), float(np.clip(np.round(seen), 0, 2))))
    return ratings


# --- Two ---


def test_mean_and_spread_are_those_of_the_differences():
    rng = np.random.default_rng(9)
    first, second = rng.integers(0, 3, 25).tolist(), rng.integers(0, 3, 25).tolist()
    result = rating_difference(first, second)
    known = repeatability(second, first)
    assert result.mean.value == pytest.approx(known.bias)
    assert result.spread.value == pytest.approx(known.sigma_m * 2**0.5)
    assert result.first_higher + result.equal + result.second_higher == result.n == 25


def test_with_many_pairs_the_interval_comes_to_students():
    rng = np.random.default_rng(1908)
    first = rng.integers(0, 3, 2000)
    second = np.clip(first + rng.integers(-1, 2, 2000), 0, 2)
    result = rating_difference(first.tolist(), second.tolist())
    known = repeatability(second, first)
    assert result.mean.low == pytest.approx(known.bias_low, abs=2e-4)
    assert result.mean.high == pytest.approx(known.bias_high, abs=2e-4)
    # Delta method: variance of the logarithm of a standard deviation (kurtosis - 1) / 4n.
    differences = first - second
    half = 1.96 * ((kurtosis(differences, fisher=False) - 1) / 2000) ** 0.5 / 2
    for limit, sign in ((result.spread.low, -1), (result.spread.high, 1)):
        assert np.log(limit / result.spread.value) == pytest.approx(sign * half, rel=0.05)


@pytest.mark.parametrize(("higher", "lower"), [(0, 0), (1, 0), (5, 0), (3, 9), (6, 6), (2, 14)])
def test_the_sign_test_agrees_with_scipy_and_statsmodels(higher, lower):
    first = [1] * higher + [0] * lower + [1] * 4
    second = [0] * higher + [1] * lower + [1] * 4
    result = rating_difference(first, second)
    assert (result.first_higher, result.second_higher) == (higher, lower)
    expected = binomtest(higher, higher + lower).pvalue if higher + lower else 1.0
    assert result.p == pytest.approx(expected)
    assert result.p == pytest.approx(float(mcnemar([[4, higher], [lower, 0]]).pvalue))


def test_equal_ratings_leave_doubt():
    result = rating_difference([2] * 12, [2] * 12)
    assert (result.mean.value, result.spread.value, result.p) == (0, 0, 1)
    assert -0.3 < result.mean.low < 0 < result.mean.high < 0.3
    assert result.spread.low == 0
    assert result.spread.high > 0.1
    assert result.reason is None


def test_always_a_step_stricter():
    result = rating_difference([1, 0] * 6, [2, 1] * 6)
    assert (result.mean.value, result.second_higher) == (-1, 12)
    assert result.mean.low <= -1 < result.mean.high < -0.5
    assert result.p == pytest.approx(2 * 0.5**12)


def test_one_pair_and_few():
    single = rating_difference([2], [1])
    assert (single.mean, single.spread, single.reason) == (None, None, "few")
    assert rating_difference([2] * 9, [1] * 9).reason == "few"


@given(
    st.lists(st.tuples(st.integers(0, 2), st.integers(0, 2)), min_size=2, max_size=30),
)
def test_turning_it_round_turns_the_sign(pairs):
    first, second = zip(*pairs, strict=True)
    one, other = rating_difference(first, second), rating_difference(second, first)
    assert one.mean.value == pytest.approx(-other.mean.value)
    assert one.mean.low == pytest.approx(-other.mean.high)
    assert one.spread.value == pytest.approx(other.spread.value)
    assert one.p == other.p
    assert one.mean.low <= one.mean.value <= one.mean.high
    assert one.spread.low <= one.spread.value <= one.spread.high


# --- Several ---


def test_effects_agree_with_statsmodels():
    """Ordinary least squares of batch and assessor, assessors summing to 0.

    Our variance has one made-up pair more: 2/3 of squared steps with 1 degree of freedom.
    """
    ratings = ratings_of_four(30, 4)
    frame = pd.DataFrame(
        [(one.batch, one.assessor, one.value) for one in ratings],
        columns=["batch", "who", "value"],
    )
    fit = ols("value ~ C(batch) + C(who, Sum)", frame).fit()
    more = ((fit.ssr + 2 / 3) / (fit.df_resid + 1) / fit.mse_resid) ** 0.5
    result = strictness(ratings)
    for one in result[:3]:
        name = f"C(who, Sum)[S.{one.assessor}]"
        low, high = fit.conf_int().loc[name]
        assert one.effect.value == pytest.approx(fit.params[name])
        assert one.effect.high - one.effect.low == pytest.approx(more * (high - low))
        t = fit.tvalues[name] / more
        assert one.p == pytest.approx(2 * student.sf(abs(t), fit.df_resid))
    assert sum(one.effect.value for one in result) == pytest.approx(0)
    assert {one.group for one in result} == {0}


def test_who_sees_the_poorer_batches_is_not_stricter():
    ratings = []
    for batch in range(40):
        poor = batch % 2
        # 5 and 6 share the poor batches, 5 and 7 the good ones; all rate alike.
        ratings += [Rated(batch, 5, 2 - poor), Rated(batch, 6 if poor else 7, 2 - poor)]
    result = strictness(ratings)
    assert [one.effect.value for one in result] == pytest.approx([0, 0, 0], abs=1e-9)
    assert [one.verdict for one in result] == ["alike"] * 3


def test_the_stricter_one_is_found():
    result = strictness(ratings_of_four(60, 8, strict=0.8))
    assert [one.verdict for one in result if one.assessor == 3] == ["stricter"]
    strict = result[3]
    assert strict.effect.high < 0
    assert strict.p <= strict.p_holm < 0.05


def test_milder_by_a_step_without_any_scatter():
    ratings = [Rated(batch, who, 1 + (who == 9)) for batch in range(12) for who in (8, 9)]
    result = strictness(ratings)
    assert [one.verdict for one in result] == ["stricter", "milder"]
    assert result[1].effect.value == pytest.approx(0.5)
    assert result[1].effect.low < 0.5 < result[1].effect.high


def test_groups_that_share_no_batch_are_kept_apart():
    ratings = [Rated(batch, who, 2) for batch in range(3) for who in (1, 2)]
    ratings += [Rated(batch, who, 0) for batch in range(3, 6) for who in (3, 4)]
    ratings += [Rated(9, 5, 1)]
    result = strictness(ratings)
    assert [(one.assessor, one.group) for one in result] == [
        (1, 0),
        (2, 0),
        (3, 1),
        (4, 1),
        (5, 2),
    ]
    assert (result[4].effect, result[4].p, result[4].n) == (None, None, 0)
    assert {one.verdict for one in result} == {"cannot tell"}


def test_too_few_for_an_interval():
    result = strictness([Rated(1, 1, 2), Rated(1, 2, 0)])
    assert [(one.effect, one.reason) for one in result] == [(None, "few")] * 2
    assert strictness([]) == ()


@pytest.mark.parametrize(
    ("ratings", "categories", "message"),
    [
        ([Rated(1, 1, float("inf"))], 3, "finite"),
        ([Rated(1, 1, 2), Rated(1, 1, 2)], 3, "Assessor 1 has rated batch 1 twice"),
        ([], 1, "At least 2 ratings"),
    ],
)
def test_refuses(ratings, categories, message):
    with pytest.raises(ValueError, match=message):
        strictness(ratings, categories=categories)
