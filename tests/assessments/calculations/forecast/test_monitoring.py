import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtri
from scipy.stats import betabinom

from assessments.calculations.monitoring import (
    Currency,
    monitor_points,
    monitor_state,
    run_length,
)

# Equally likely values of a standard normal distribution.
NORMAL = ndtri((np.arange(100_000) + 0.5) / 100_000)


@given(st.integers(5, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_points_agree_with_the_beta_binomial_distribution(counts):
    within, n = counts
    # Mean p and intraclass correlation 0.05 are the parameters 19 p and 19 (1 - p).
    ratio = betabinom.logpmf(within, n, 15.2, 3.8) - betabinom.logpmf(within, n, 18.05, 0.95)
    expected = 100 * min(ratio, 1.8) / 3
    assert monitor_points(within / n, n) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(("share", "n"), [(None, 20), (0.1, 4), (0.1, 0)])
def test_batches_that_say_nothing(share, n):
    assert monitor_points(share, n) == 0


@given(st.floats(0, 1), st.integers(0, 200))
def test_one_batch_is_never_an_alarm(share, n):
    assert monitor_points(share, n) <= 60
    assert monitor_state([monitor_points(share, n)], 0, 0).alarm_at is None


@pytest.mark.parametrize(
    ("points", "last", "signoff", "state", "warning", "alarm_at"),
    [
        ([], 0, 0, "current", 0, None),
        ([-30, -30, 49], 60, 365, "current", 49, None),
        ([-30, 50], 60, 365, "watch", 50, None),
        ([60, 40], 0, 0, "renewal due: evenness", 100, 1),
        ([60, 39.9999999], 0, 0, "renewal due: evenness", 99.9999999, 1),
        ([60, 60, -60, -60, -60], 0, 0, "renewal due: evenness", 100, 1),
        ([60, -20, 59.9], 0, 0, "watch", 99.9, None),
        ([60], 61, 366, "renewal due: no recent batch", 60, None),
        ([60], 60, 366, "renewal due: date", 60, None),
        ([60, 60], 61, 366, "renewal due: evenness", 100, 1),
    ],
)
def test_states(points, last, signoff, state, warning, alarm_at):
    result = monitor_state(points, last, signoff)
    assert result.state == state
    assert result.warning == pytest.approx(warning, abs=1e-9)
    assert result.alarm_at == alarm_at
    assert len(result.path) == (len(points) if alarm_at is None else alarm_at + 1)
    assert result.state.renewal_due == state.startswith("renewal")


def test_the_house_decides_on_its_days():
    assert monitor_state([], 31, 5, recent_days=30).state is Currency.NO_RECENT_BATCH
    assert monitor_state([], 5, 200, renewal_days=180).state is Currency.DATE


def test_the_warning_never_falls_below_nothing():
    assert monitor_state([-500, 20, -500, 30], 0, 0).path == (0, 20, 0, 30)


# Mean run length of a one-sided cumulative sum of normal values less k, alarm at h.
@pytest.mark.parametrize(
    ("k", "h", "shift", "mean", "tolerance"),
    [
        # Brook and Evans (1972), Biometrika 59, 539-549, section 4.3.
        (0.5, 3, 0.0, 117.59, 0.1),
        (0.5, 3, 1.5, 3.75, 0.005),
        # Lucas and Crosier (1982), Technometrics 24, 199-205, table 1: two-sided, of which the
        # other side plays no part from a shift of 1 on.
        (0.5, 4, 1.0, 8.38, 0.01),
        (0.5, 4, 1.5, 4.75, 0.01),
        (0.5, 4, 2.0, 3.34, 0.01),
        (0.5, 4, 3.0, 2.19, 0.01),
        # Two-sided in control, 168: one side runs twice as long.
        (0.5, 4, 0.0, 336, 1.5),
        # Vance (1986), Journal of Quality Technology 18, 189-193, table 1.
        (0, 10, -0.25, 2071.51, 3),
        (0, 10, -0.125, 400.28, 0.4),
        (0, 10, 0.0, 124.66, 0.1),
        (0, 10, 0.25, 36.71, 0.03),
        (0, 10, 1.0, 10.75, 0.01),
        # Waldmann (1986), Technometrics 28, 61-67, tables 1, 3 and 5.
        (0.5, 3, -0.5, 1963, 15),
        (0.5, 3, 0.5, 17.35, 0.02),
    ],
)
def test_run_length_of_published_charts(k, h, shift, mean, tolerance):
    points = (NORMAL + shift - k) * 100 / h
    assert run_length(points).mean == pytest.approx(mean, abs=tolerance)


def test_run_length_of_the_chart_itself():
    # The chart run over drawn points, against the chain.
    rng = np.random.default_rng(8)
    points = np.minimum(-4 + 30 * NORMAL, 60)
    runs = [monitor_state(rng.choice(points, 400), 0, 0).alarm_at + 1 for _ in range(1500)]
    found = run_length(points, (5, 20))
    error = np.std(runs) / math.sqrt(len(runs))
    assert found.mean == pytest.approx(np.mean(runs), abs=3 * error)
    for chance, within in zip(found.chance_within, (5, 20), strict=True):
        assert chance == pytest.approx(np.mean(np.array(runs) <= within), abs=0.04)


def test_run_length_by_hand():
    # Two batches of 60 points; a coin that gives all or nothing.
    assert run_length([60], (1, 2)).mean == pytest.approx(2)
    assert run_length([60], (1, 2)).chance_within == pytest.approx((0, 1))
    coin = run_length([100, -100], (1, 3))
    assert coin.mean == pytest.approx(2)
    assert coin.chance_within == pytest.approx((0.5, 0.875))


def test_no_alarm_without_a_bad_batch():
    assert run_length([-20, -5, 0], (50,)) == run_length([-1.0], (50,))
    assert run_length([-1.0]).mean == math.inf


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: monitor_points(1.01, 20), "share"),
        (lambda: monitor_points(math.nan, 20), "share"),
        (lambda: monitor_points(0.9, -1), "n must"),
        (lambda: monitor_state([1, math.nan], 0, 0), "batch 2"),
        (lambda: monitor_state([], -1, 0), "Days"),
        (lambda: monitor_state([], 0, -1), "Days"),
        (lambda: run_length([]), "At least one"),
        (lambda: run_length([math.inf]), "finite"),
        (lambda: run_length([1], (0,)), "every number"),
        (lambda: run_length([1], states=9), "states"),
    ],
)
def test_refusals(call, message):
    with pytest.raises(ValueError, match=message):
        call()
