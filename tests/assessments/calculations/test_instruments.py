import csv
import math
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, ttest_rel

from assessments.calculations.instruments import (
    choose_strands,
    measurement_check,
    repeatability,
)

PUBLISHED = Path(__file__).parent / "published"


def published(name):
    with (PUBLISHED / name).open(newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    ("sigma_m", "half_tolerance", "ratio", "grade", "repeats"),
    [
        (0.07, 0.5, 0.14, "good", 1),
        (0.07, 0.25, 0.28, "coarse", 4),
        (0.10, 0.25, 0.40, "too coarse", 8),
        (0.0, 0.5, 0.0, "good", 1),
        (0.075, 0.5, 0.15, "good", 1),
        (0.15, 0.5, 0.30, "coarse", 4),
        (3 * 0.05, 1.0, 0.15, "good", 1),  # 0.15000000000000002
        (3 * 0.1, 1.0, 0.30, "coarse", 4),
        (0.0675, 0.15, 0.45, "too coarse", 9),
        (0.1501, 0.5, 0.3002, "too coarse", 5),
    ],
)
def test_measurement_check(sigma_m, half_tolerance, ratio, grade, repeats):
    result = measurement_check(sigma_m, half_tolerance)
    assert result.ratio == pytest.approx(ratio)
    assert (result.grade, result.repeats_for_good) == (grade, repeats)
    assert result.variance_share is None


@given(st.floats(0, 1), st.floats(0.05, 1))
def test_the_advised_repeats_are_enough_and_no_more(sigma_m, half_tolerance):
    repeats = measurement_check(sigma_m, half_tolerance).repeats_for_good
    # Averaging k readings divides their standard deviation by sqrt(k).
    assert sigma_m / math.sqrt(repeats) / half_tolerance <= 0.15 + 1e-6
    if repeats > 1:
        assert sigma_m / math.sqrt(repeats - 1) / half_tolerance > 0.15 - 1e-6


@pytest.mark.parametrize(
    ("sigma_m", "sd", "share"),
    [(0.07, 0.14, 0.25), (0.07, 0.07, 1), (0.07, 0.05, 1), (0.07, 0, 1), (0, 0, 0), (0, 0.1, 0)],
)
def test_variance_share(sigma_m, sd, share):
    assert measurement_check(sigma_m, 0.5, sd).variance_share == pytest.approx(share)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((-0.1, 0.5), "sigma_m"),
        ((math.nan, 0.5), "sigma_m"),
        ((0.1, 0), "half_tolerance"),
        ((0.1, math.inf), "half_tolerance"),
        ((0.1, 0.5, -1), "sd must"),
    ],
)
def test_measurement_check_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        measurement_check(*arguments)


def test_repeatability_meets_bland_and_altman():
    rows = published("bland_altman_1986.csv")
    wright = [float(row["wright"]) for row in rows]
    mini = [float(row["mini"]) for row in rows]
    result = repeatability(mini, wright)
    assert result.n == 17
    # Printed in the paper: mean difference -2.1, its interval -22.0 to 17.8, SD 38.8.
    assert result.bias == pytest.approx(-2.1, abs=0.05)
    assert (result.bias_low, result.bias_high) == pytest.approx((-22.0, 17.8), abs=0.1)
    assert result.sigma_m * math.sqrt(2) == pytest.approx(38.8, abs=0.05)
    # The paper rounds 1.96 to 2 for its limits, -79.7 and 75.5.
    sd = (result.limits[1] - result.limits[0]) / 2 / 1.96
    assert (result.bias - 2 * sd, result.bias + 2 * sd) == pytest.approx((-79.7, 75.5), abs=0.1)


def test_repeatability_of_a_gauge_study_agrees_with_its_analysis_of_variance():
    # With two trials, the within-part mean square is that of the paired differences over 2 once
    # the mean difference is taken out.
    rows = [row for row in published("grr_10x3x3.csv") if row["appraiser"] == "A"]
    trials = {
        trial: np.array([float(row["value"]) for row in rows if row["trial"] == trial])
        for trial in ("1", "2")
    }
    table = np.column_stack([trials["1"], trials["2"]])
    residual = table - table.mean(axis=1, keepdims=True) - table.mean(axis=0) + table.mean()
    mean_square = (residual**2).sum() / (len(table) - 1)
    result = repeatability(trials["1"], trials["2"])
    assert result.sigma_m == pytest.approx(math.sqrt(mean_square))


@given(
    st.lists(
        st.tuples(st.integers(1000, 5000), st.integers(-300, 300)), min_size=2, max_size=40
    ).filter(lambda rows: len({second for _, second in rows}) > 1)
)
def test_repeatability_agrees_with_scipy(rows):
    first = [um / 1000 for um, _ in rows]
    second = [(um + off) / 1000 for um, off in rows]
    result = repeatability(first, second)
    interval = ttest_rel(second, first).confidence_interval(0.95)
    assert (result.bias_low, result.bias_high) == pytest.approx(tuple(interval), abs=1e-9)
    n = len(rows)
    factor = math.sqrt((n - 1) / chi2.ppf(0.05, n - 1))
    assert result.sigma_upper == pytest.approx(result.sigma_m * factor)


@pytest.mark.parametrize(("pairs", "factor"), [(5, 2.37), (10, 1.65), (20, 1.37), (30, 1.28)])
def test_upper_bound_of_repeatability(pairs, factor):
    result = repeatability([3.0] * pairs, [3.0 + 0.1 * (i % 2) for i in range(pairs)])
    assert result.sigma_upper / result.sigma_m == pytest.approx(factor, abs=0.005)


def test_identical_readings_repeat_perfectly():
    result = repeatability([3.0, 3.1], [3.0, 3.1])
    assert (result.bias, result.bias_low, result.bias_high) == (0, 0, 0)
    assert (result.sigma_m, result.sigma_upper, result.limits) == (0, 0, (0, 0))


@pytest.mark.parametrize(
    ("first", "second", "message"),
    [
        ([3.0, 3.1], [3.0], "pairs, not 2 and 1"),
        ([3.0], [3.0], "At least 2"),
        ([], [], "At least 2"),
        ([3.0, math.nan], [3.0, 3.1], "finite"),
    ],
)
def test_repeatability_refuses(first, second, message):
    with pytest.raises(ValueError, match=message):
        repeatability(first, second)


plans = st.integers(1, 300).flatmap(lambda total: st.tuples(st.just(total), st.integers(1, total)))


@given(plans, st.integers(0, 2**32))
def test_one_strand_is_chosen_from_each_stretch(plan, seed):
    total, n = plan
    positions = choose_strands(total, n, seed)
    assert len(positions) == n
    assert positions == sorted(set(positions))
    for i, position in enumerate(positions):
        # Strand p lies from p - 1 to p; it must overlap its stretch of the cut.
        assert Fraction(i * total, n) < position
        assert position - 1 < Fraction((i + 1) * total, n)
    assert positions[-1] <= total


@given(plans.filter(lambda plan: plan[0] % plan[1] == 0), st.integers(0, 2**32))
def test_stretches_of_whole_strands_follow_the_random_numbers(plan, seed):
    total, n = plan
    length = total // n
    draws = np.random.default_rng(seed).random(n)
    expected = [i * length + math.floor(u * length + 1e-9) + 1 for i, u in enumerate(draws)]
    if length == 1:
        expected = list(range(1, total + 1))
    assert choose_strands(total, n, seed) == expected


def test_every_strand_is_equally_likely():
    chosen = [choose_strands(10, 5, seed) for seed in range(4000)]
    counts = np.bincount(np.concatenate(chosen), minlength=11)[1:]
    # Each is drawn with chance 1/2: standard deviation 31.6 of 2000.
    assert abs(counts - 2000).max() < 5 * 31.6


def test_the_choice_is_fixed_by_its_seed():
    assert choose_strands(60, 20, 7) == choose_strands(60, 20, 7)
    assert choose_strands(60, 20, 7) != choose_strands(60, 20, 8)


@pytest.mark.parametrize(("total", "n"), [(1, 1), (5, 5), (5, 20)])
def test_few_strands_are_all_measured(total, n):
    assert choose_strands(total, n, 0) == list(range(1, total + 1))


@pytest.mark.parametrize(
    ("total", "n", "seed", "message"),
    [
        (0, 5, 0, "at least 1"),
        (5, 0, 0, "at least 1"),
        (5, 2, -1, "seed"),
        (5, 2, None, "seed"),
        (5, 2, True, "seed"),
    ],
)
def test_choose_strands_refuses(total, n, seed, message):
    with pytest.raises(ValueError, match=message):
        choose_strands(total, n, seed)
