import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm
from statsmodels.stats.proportion import proportion_confint

from assessments.calculations.scoring import (
    BatchScore,
    batch_score,
    cook_score,
    hydration_share,
    share_in_tolerance,
    wilson_interval,
)

PUBLISHED = Path(__file__).parent / "published"

WIDTHS_MM = [
    3.1, 2.9, 3.0, 3.3, 2.7, 3.2, 2.8, 3.4, 3.0, 3.1,
    2.6, 3.0, 3.2, 2.9, 3.1, 3.0, 2.8, 3.3, 3.5, 3.7,
]  # fmt: skip
THICKNESS_MM = [3.0, 3.1, 2.9, 3.2, 3.3, 3.0, 2.8, 3.1, 2.9]

readings = st.lists(st.integers(1500, 4500).map(lambda um: um / 1000), min_size=5, max_size=40)


def smoothed_share_by_mixture(values, lo, hi, sigma_m):
    """The definition spelt out with numpy's percentiles and scipy's normal distribution."""
    x = np.asarray(values, dtype=float)
    s = x.std(ddof=1)
    v = s**2 * (1 - min(0.5, sigma_m**2 / s**2))
    q1, q3 = np.percentile(x, [25, 75])
    q = (q3 - q1) / 1.349
    w = min(s, q) if q > 1e-9 else s
    h = min(0.9 * w * len(x) ** (-1 / 5), math.sqrt(v))
    y = x.mean() + math.sqrt(max(0, v - h**2)) / s * (x - x.mean())
    upper = 1 if hi is None else norm.cdf(hi, loc=y, scale=h)
    lower = 0 if lo is None else norm.cdf(lo, loc=y, scale=h)
    return float(np.mean(upper - lower))


def published(name):
    with (PUBLISHED / name).open(newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    "row", published("wilson.csv"), ids=lambda row: f"{row['within']}/{row['n']}"
)
def test_wilson_interval_meets_published_limits(row):
    n = int(row["n"])
    z = norm.ppf((1 + float(row["confidence"])) / 2)
    low, high = wilson_interval(int(row["within"]) / n, n, z)
    assert low == pytest.approx(float(row["low"]), abs=1e-6)
    assert high == pytest.approx(float(row["high"]), abs=1e-6)


@given(st.integers(1, 500), st.floats(0, 1), st.floats(0.01, 0.5))
def test_wilson_interval_agrees_with_statsmodels(n, share, alpha):
    expected = proportion_confint(share * n, n, alpha=alpha, method="wilson")
    result = wilson_interval(share, n, norm.ppf(1 - alpha / 2))
    assert result == pytest.approx(tuple(np.clip(expected, 0, 1)), abs=1e-9)


@pytest.mark.parametrize(
    ("share", "n", "z", "message"),
    [
        (-0.1, 20, 1.28, "share"),
        (1.1, 20, 1.28, "share"),
        (math.nan, 20, 1.28, "share"),
        (0.5, 0, 1.28, "n must"),
        (0.5, 20, 0, "z must"),
    ],
)
def test_wilson_interval_refuses(share, n, z, message):
    with pytest.raises(ValueError, match=message):
        wilson_interval(share, n, z)


def test_share_of_the_worked_width_example():
    result = share_in_tolerance(WIDTHS_MM, lo=2.5, hi=3.5, sigma_m=0.07)
    assert (result.n, result.n_in, result.status) == (20, 19, "ok")
    assert result.mean == pytest.approx(3.08, abs=1e-9)
    assert result.sd == pytest.approx(0.272609225, abs=1e-9)
    assert result.sd_adj == pytest.approx(0.263468764, abs=1e-9)
    assert result.share == pytest.approx(0.928812583, abs=1e-9)
    assert result.low == pytest.approx(0.840026736, abs=1e-9)
    assert result.high == pytest.approx(0.970077196, abs=1e-9)


def test_share_of_the_worked_width_example_with_a_perfect_tool():
    assert share_in_tolerance(WIDTHS_MM, 2.5, 3.5).share == pytest.approx(0.921038435, abs=1e-9)


def test_share_of_the_worked_thickness_example():
    result = share_in_tolerance(THICKNESS_MM, lo=2.6, hi=3.4, sigma_m=0.07)
    assert result.mean == pytest.approx(3.033333333, abs=1e-9)
    assert result.sd == pytest.approx(0.158113883, abs=1e-9)
    assert result.sd_adj == pytest.approx(0.141774469, abs=1e-9)
    assert result.share == pytest.approx(0.997417581, abs=1e-9)
    assert result.low == pytest.approx(0.880156254, abs=1e-9)
    assert result.high == pytest.approx(0.999950771, abs=1e-9)


@given(
    readings.filter(lambda values: max(values) - min(values) > 1e-3),
    st.sampled_from([(2.5, 3.5), (None, 3.5), (2.5, None)]),
    st.floats(0, 1),
)
def test_share_is_the_mixture_of_normal_kernels(values, limits, sigma_m):
    result = share_in_tolerance(values, *limits, sigma_m=sigma_m)
    expected = smoothed_share_by_mixture(values, *limits, sigma_m)
    assert result.share == pytest.approx(expected, abs=1e-9)


@given(readings, st.floats(0, 0.5))
def test_share_lies_in_its_interval_and_both_between_none_and_all(values, sigma_m):
    result = share_in_tolerance(values, 2.5, 3.5, sigma_m)
    assert 0 <= result.low <= result.share + 1e-12
    assert result.share - 1e-12 <= result.high <= 1


@given(readings.flatmap(lambda values: st.tuples(st.just(values), st.permutations(values))))
def test_share_does_not_depend_on_the_order_of_reading(pair):
    assert share_in_tolerance(pair[0], 2.5, 3.5, 0.07) == share_in_tolerance(
        pair[1], 2.5, 3.5, 0.07
    )


@given(readings, st.floats(0.01, 1), st.floats(0, 0.5), st.floats(0, 0.3))
def test_a_wider_tolerance_never_lowers_the_share(values, half, more, sigma_m):
    narrow = share_in_tolerance(values, 3 - half, 3 + half, sigma_m)
    wide = share_in_tolerance(values, 3 - half - more, 3 + half + more, sigma_m)
    assert wide.share >= narrow.share - 1e-12


@given(readings)
def test_the_two_one_sided_shares_leave_the_two_sided_share(values):
    both = share_in_tolerance(values, 2.5, 3.5)
    low = share_in_tolerance(values, lo=2.5)
    high = share_in_tolerance(values, hi=3.5)
    if both.sd > 1e-9:
        assert both.share == pytest.approx(low.share + high.share - 1, abs=1e-9)


@pytest.mark.parametrize(
    ("values", "mean", "sd_known"),
    [([], None, False), ([3.0], 3.0, False), ([3.0, 3.2], 3.1, True), ([3.0] * 4, 3.0, True)],
)
def test_too_few_readings_give_no_share(values, mean, sd_known):
    result = share_in_tolerance(values, 2.5, 3.5)
    assert result.status == "too_few"
    assert (result.n, result.n_in) == (len(values), len(values))
    assert result.mean == (None if mean is None else pytest.approx(mean))
    assert (result.sd is not None) == (result.sd_adj is not None) == sd_known
    assert (result.share, result.low, result.high) == (None, None, None)


def test_five_readings_are_enough():
    assert share_in_tolerance([2.9, 3.0, 3.1, 3.0, 3.2], 2.5, 3.5).status == "ok"


def test_missing_readings_are_dropped():
    with_gaps = [None, *WIDTHS_MM[:7], None, *WIDTHS_MM[7:], None]
    assert share_in_tolerance(with_gaps, 2.5, 3.5) == share_in_tolerance(WIDTHS_MM, 2.5, 3.5)


@pytest.mark.parametrize(("reading", "share"), [(3.0, 1), (3.5, 1), (2.5, 1), (3.51, 0), (2.49, 0)])
def test_readings_without_spread_are_all_in_or_all_out(reading, share):
    result = share_in_tolerance([reading] * 6, 2.5, 3.5, sigma_m=0.07)
    assert (result.share, result.sd_adj) == (share, 0)
    assert result.n_in == 6 * share


def test_limits_are_inclusive_in_the_plain_count():
    assert share_in_tolerance([2.5, 3.5, 3.5 + 1e-10, 2.499, 3.501], 2.5, 3.5).n_in == 3


def test_readings_mostly_alike_fall_back_on_the_standard_deviation():
    values = [3.0] * 9 + [3.4]  # quartiles coincide
    expected = smoothed_share_by_mixture(values, 2.5, 3.5, 0)
    assert share_in_tolerance(values, 2.5, 3.5).share == pytest.approx(expected, abs=1e-12)


def test_the_instrument_takes_at_most_half_of_the_variance():
    result = share_in_tolerance(WIDTHS_MM, 2.5, 3.5, sigma_m=5)
    assert result.sd_adj == pytest.approx(result.sd / math.sqrt(2))


@pytest.mark.parametrize(
    ("values", "lo", "hi", "sigma_m", "message"),
    [
        ([3.0, math.nan], 2.5, 3.5, 0, "finite"),
        ([3.0, math.inf], 2.5, 3.5, 0, "finite"),
        ([3.0], None, None, 0, "limit"),
        ([3.0], 3.5, 2.5, 0, "below"),
        ([3.0], 3.0, 3.0, 0, "below"),
        ([3.0], math.nan, 3.5, 0, "lo must be"),
        ([3.0], 2.5, math.inf, 0, "hi must be"),
        ([3.0], 2.5, 3.5, -0.01, "sigma_m"),
        ([3.0], 2.5, 3.5, math.nan, "sigma_m"),
        ([], 3.5, 2.5, 0, "below"),
    ],
)
def test_share_refuses(values, lo, hi, sigma_m, message):
    with pytest.raises(ValueError, match=message):
        share_in_tolerance(values, lo, hi, sigma_m)


def test_hydration_share_of_the_worked_example():
    assert hydration_share(46.3, 46, 1, 1) == pytest.approx(0.990177328, abs=1e-9)


@given(st.floats(30, 60), st.floats(0.2, 3), st.floats(0.2, 3), st.floats(0.05, 1))
def test_hydration_share_is_a_normal_probability(actual, tol_minus, tol_plus, sigma_h):
    true_water = norm(loc=actual, scale=sigma_h)
    expected = true_water.cdf(46 + tol_plus) - true_water.cdf(46 - tol_minus)
    result = hydration_share(actual, 46, tol_minus, tol_plus, sigma_h)
    assert result == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((46, 46, 0, 1), "tol_minus"),
        ((46, 46, 1, -1), "tol_plus"),
        ((46, 46, 1, 1, 0), "sigma_h"),
        ((math.nan, 46, 1, 1), "actual"),
        ((46, math.inf, 1, 1), "target"),
    ],
)
def test_hydration_share_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        hydration_share(*arguments)


@pytest.mark.parametrize(
    ("shares", "expected"),
    [
        ((0.928812583, 0.997417581, 0.990177328), (92.8812583, "width", True)),
        ((0.99, 0.80, 0.90), (80, "thickness", True)),
        ((0.99, 0.98, 0.5), (50, "hydration", True)),
        ((0.9, 0.9, 0.9), (90, "width", True)),
        ((1.0, 0.9, 0.9), (90, "thickness", True)),
        ((None, 0.9, 0.8), (80, "hydration", False)),
        ((0.9, None, None), (90, "width", False)),
        ((0.0, None, 1.0), (0, "width", False)),
        ((None, None, 0.9), (None, None, False)),
        ((None, None, None), (None, None, False)),
    ],
)
def test_batch_score_is_the_weakest_part(shares, expected):
    result = batch_score(*shares)
    assert (result.limiting, result.complete) == expected[1:]
    assert result.score == (None if expected[0] is None else pytest.approx(expected[0]))


def test_batch_score_of_the_worked_example():
    result = batch_score(
        share_in_tolerance(WIDTHS_MM, 2.5, 3.5, 0.07).share,
        share_in_tolerance(THICKNESS_MM, 2.6, 3.4, 0.07).share,
        hydration_share(46.3, 46, 1, 1),
    )
    assert result == BatchScore(pytest.approx(92.881258287, abs=1e-6), "width", True)


@pytest.mark.parametrize("share", [-0.01, 1.01, math.nan])
def test_batch_score_refuses_what_is_no_share(share):
    with pytest.raises(ValueError, match="thickness"):
        batch_score(0.9, share)


def batches(**columns):
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def test_cook_score_averages_the_last_values_present():
    practice = batches(
        width=[0.1, 0.5, 0.9, None, 0.9, 0.9, 0.8],
        thickness=[None, None, None, None, 0.9, 1.0, 0.95],
        hydration=[None, None, None, None, None, 1.0, 1.0],
    )
    result = cook_score(practice)
    assert result.parts == {
        "width": pytest.approx(80),  # the oldest value has left the window of five
        "thickness": pytest.approx(95),
        "hydration": None,  # two values are not enough
    }
    assert (result.score, result.limiting) == (pytest.approx(80), "width")


def test_cook_score_with_a_wider_window():
    practice = batches(width=[0.2, *[0.9] * 5], thickness=[None] * 6, hydration=[None] * 6)
    assert cook_score(practice).score == pytest.approx(90)
    assert cook_score(practice, window=6).score == pytest.approx(100 * (0.2 + 4.5) / 6)


@pytest.mark.parametrize(
    "practice",
    [
        [],
        [{"width": 0.9, "thickness": 0.9, "hydration": 0.9}] * 2,
        [{"hydration": 0.9}] * 5,
    ],
)
def test_cook_score_needs_three_values_of_a_hand(practice):
    result = cook_score(practice)
    assert (result.score, result.limiting) == (None, None)


def test_cook_score_names_the_first_of_equal_parts():
    assert cook_score([{"width": 0.9, "thickness": 0.9, "hydration": 0.9}] * 3).limiting == "width"


def test_cook_score_refuses():
    with pytest.raises(ValueError, match="window"):
        cook_score([], window=2)
    with pytest.raises(ValueError, match="width"):
        cook_score([{"width": 90.0}])
