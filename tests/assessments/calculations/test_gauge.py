import csv
import math
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress, nct
from statsmodels.formula.api import ols
from statsmodels.stats.anova import anova_lm

from assessments.calculations.gauge import agreement, gauge_study, sd_of_one

PUBLISHED = Path(__file__).parent / "published"


def published(name):
    with (PUBLISHED / name).open(newline="") as file:
        return list(csv.DictReader(file))


def flow_meters():
    rows = published("bland_altman_1986.csv")
    return [float(row["wright"]) for row in rows], [float(row["mini"]) for row in rows]


@pytest.fixture(scope="module")
def manual():
    """Ten parts, three people, three trials: the example of the reference manual (see README)."""
    rows = published("grr_10x3x3.csv")
    assert [row["part"] for row in rows[:10]] == ["1"] * 9 + ["2"]
    return np.array([float(row["value"]) for row in rows]).reshape(10, 3, 3)


def lines_of(lines):
    return {line.source: line for line in lines}


# --- Two methods ---


def test_agreement_meets_bland_and_altman():
    """Lancet 327 (1986), 307-310: mean difference -2.1, its interval, SD 38.8, and the limits."""
    wright, mini = flow_meters()
    result = agreement(wright, mini)
    assert result.n == 17
    assert result.bias.value == pytest.approx(-2.1, abs=0.05)
    assert (result.bias.low, result.bias.high) == pytest.approx((-22.0, 17.8), abs=0.1)
    assert result.sd == pytest.approx(38.8, abs=0.05)
    assert not result.bias.leaves_out_zero
    # The paper rounds 1.96 to 2: -79.7 and 75.5.
    assert result.lower.value == pytest.approx(-79.7 + 0.04 * 38.8, abs=0.1)
    assert result.upper.value == pytest.approx(75.5 - 0.04 * 38.8, abs=0.1)


def test_intervals_of_the_limits_against_the_papers_approximation():
    """Printed there, as remembered: -114.3 to -45.1 and 40.9 to 110.1, by sqrt(3 s^2 / n).

    That approximation is even on both sides. The exact interval is drawn outwards, for the
    standard deviation of 17 differences may be much too small but not much too large.
    """
    wright, mini = flow_meters()
    result = agreement(wright, mini)
    assert result.upper.low == pytest.approx(40.9, abs=13)
    assert result.upper.high == pytest.approx(110.1, abs=16)
    assert result.upper.high - result.upper.low == pytest.approx(110.1 - 40.9, rel=0.05)
    above, below = (
        result.upper.high - result.upper.value,
        result.upper.value - result.upper.low,
    )
    assert above > 1.3 * below
    assert result.lower.value - result.lower.low == pytest.approx(above)
    assert result.lower.high - result.lower.value == pytest.approx(below)


@pytest.mark.parametrize("n", [2, 5, 20, 60])
def test_intervals_of_the_limits_agree_with_scipy(n):
    differences = np.random.default_rng(n).normal(0.02, 0.05, n)
    result = agreement(3 + differences, [3.0] * n)
    near, far = nct.ppf([0.025, 0.975], n - 1, 1.96 * math.sqrt(n)) / math.sqrt(n)
    sd = differences.std(ddof=1)
    assert result.upper.low == pytest.approx(differences.mean() + near * sd)
    assert result.upper.high == pytest.approx(differences.mean() + far * sd)


def test_with_many_strands_the_intervals_come_to_those_of_the_paper():
    n = 2000
    differences = np.random.default_rng(5).normal(0.0, 0.05, n)
    result = agreement(3 + differences, [3.0] * n)
    # Bland and Altman (1999): variance of a limit s^2 (1/n + 1.96^2 / (2 (n - 1))).
    half = 1.96 * result.sd * math.sqrt(1 / n + 1.96**2 / (2 * (n - 1)))
    assert result.upper.high - result.upper.value == pytest.approx(half, rel=0.03)
    assert result.upper.value - result.upper.low == pytest.approx(half, rel=0.03)


def test_the_intervals_cover_what_they_promise():
    """In 3000 made-up comparisons of 12 strands the true numbers lie inside in 95 of 100."""
    rng = np.random.default_rng(1986)
    inside = np.zeros(3)
    for _n in range(3000):
        result = agreement(3.0 + rng.normal(0.03, 0.05, 12), [3.0] * 12)
        for place, (estimate, truth) in enumerate(
            (
                (result.bias, 0.03),
                (result.lower, 0.03 - 1.96 * 0.05),
                (result.upper, 0.03 + 1.96 * 0.05),
            )
        ):
            inside[place] += estimate.low <= truth <= estimate.high
    # Standard deviation of such a share: 0.4 of 100.
    assert inside / 30 == pytest.approx([95, 95, 95], abs=1.6)


readings = st.lists(
    st.tuples(st.integers(1000, 5000), st.integers(-300, 300)), min_size=3, max_size=40
)


@given(readings.filter(lambda rows: len({2 * um + off for um, off in rows}) > 1))
def test_the_trend_agrees_with_scipy(rows):
    caliper = np.array([um / 1000 for um, _off in rows])
    photo = caliper + np.array([off / 1000 for _um, off in rows])
    result = agreement(photo, caliper)
    line = linregress((photo + caliper) / 2, photo - caliper)
    assert result.trend.value == pytest.approx(line.slope, abs=1e-9)
    assert (result.trend.low + result.trend.high) / 2 == pytest.approx(line.slope, abs=1e-9)
    # Where all differences are the same, or in one line, scipy's figures are made of rounding.
    if len({off for _um, off in rows}) > 1 and abs(line.rvalue) < 0.9999:
        assert result.trend_p == pytest.approx(line.pvalue, abs=1e-9)


def test_a_method_that_reads_the_wide_ones_too_wide():
    caliper = [2.0, 2.5, 3.0, 3.5, 4.0, 4.5]
    photo = [1.05 * width + off for width, off in zip(caliper, [0.01, -0.01] * 3, strict=True)]
    result = agreement(photo, caliper)
    assert result.trend.value == pytest.approx(0.05, abs=0.01)
    assert result.trend.leaves_out_zero
    assert result.trend_p < 0.01


def test_identical_readings_agree_perfectly():
    result = agreement([3.03, 3.1, 3.3], [3.03, 3.1, 3.3])
    assert (result.bias.value, result.sd, result.lower.low, result.upper.high) == (0, 0, 0, 0)
    assert (result.trend.value, result.trend_p) == (0, 1)
    assert not result.bias.leaves_out_zero


def test_a_constant_offset_is_all_bias():
    result = agreement([3.08, 3.15, 3.35], [3.03, 3.1, 3.3])
    assert result.bias.value == pytest.approx(0.05)
    assert result.bias.leaves_out_zero
    assert result.sd == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("photo", "caliper"), [([3.1, 3.0], [3.0, 3.1]), ([3.1, 2.9, 3.1], [2.9, 3.1, 2.9])]
)
def test_no_trend_where_there_can_be_none(photo, caliper):
    """Two strands make a line of any two points; strands all alike have no wide and narrow."""
    result = agreement(photo, caliper)
    assert (result.trend, result.trend_p) == (None, None)


@pytest.mark.parametrize(
    ("photo", "caliper", "message"),
    [
        ([3.0, 3.1], [3.0], "pairs"),
        ([3.0], [3.0], "At least 2"),
        ([3.0, math.nan, 3.1], [3.0, 3.1, 3.1], "finite"),
    ],
)
def test_agreement_refuses(photo, caliper, message):
    with pytest.raises(ValueError, match=message):
        agreement(photo, caliper)


def test_the_scatter_of_one_method_is_found_in_made_up_readings():
    rng = np.random.default_rng(7)
    width = rng.normal(3.0, 0.2, 20_000)
    photo, caliper = (
        width + rng.normal(0, 0.03, width.size),
        width + rng.normal(0, 0.07, width.size),
    )
    assert sd_of_one(agreement(photo, caliper).sd, 0.07) == pytest.approx(0.03, abs=0.002)
    assert sd_of_one(0.05, 0.08) == 0


@pytest.mark.parametrize(
    ("arguments", "message"), [((-0.1, 0), "sd_of_differences"), ((0.1, math.nan), "sd_of_other")]
)
def test_sd_of_one_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        sd_of_one(*arguments)


# --- Gauge study ---


def test_the_analysis_of_the_manuals_example(manual):
    """Sums of squares, mean squares and F as printed for the manual's data.

    Another copy of these values differs for appraiser C: the sums of squares tell them apart.
    """
    lines = lines_of(gauge_study(manual).lines)
    assert {name: line.df for name, line in lines.items()} == {
        "part": 9,
        "appraiser": 2,
        "interaction": 18,
        "repeatability": 60,
        "total": 89,
    }
    squares = {name: line.ss for name, line in lines.items()}
    assert squares == pytest.approx(
        {
            "part": 88.3619,
            "appraiser": 3.1673,
            "interaction": 0.3590,
            "repeatability": 2.7589,
            "total": 94.6471,
        },
        abs=5e-5,
    )
    mean_squares = [line.ms for name, line in lines.items() if name != "total"]
    assert mean_squares == pytest.approx([9.81799, 1.58363, 0.01994, 0.04598], abs=5e-6)
    assert lines["part"].f == pytest.approx(492.291, abs=5e-4)
    assert lines["appraiser"].f == pytest.approx(79.406, abs=5e-4)
    assert lines["interaction"].f == pytest.approx(0.4337, abs=5e-5)
    assert lines["interaction"].p == pytest.approx(0.9741, abs=5e-5)
    assert (lines["total"].ms, lines["repeatability"].f) == (None, None)


def test_the_components_of_the_manuals_example_with_the_interaction_pooled(manual):
    """Printed: EV 0.199933, AV 0.226838, GRR 0.302373, PV 1.042327, TV 1.085."""
    study = gauge_study(manual)
    assert lines_of(study.pooled_lines)["repeatability"].df == 78
    parts = [study.repeatability, study.reproducibility, study.grr, study.part, study.total]
    assert [one.variance for one in parts] == pytest.approx(
        [0.039973, 0.051455, 0.091429, 1.086447, 1.177875], abs=5e-7
    )
    assert [one.sd for one in parts[:4]] == pytest.approx(
        [0.199933, 0.226838, 0.302373, 1.042327],
        abs=2e-6,  # printed GRR is one off in its last place
    )
    assert study.total.sd == pytest.approx(1.085, abs=5e-4)
    assert [one.contribution_percent for one in parts] == pytest.approx(
        [3.39, 4.37, 7.76, 92.24, 100], abs=0.005
    )
    assert [one.study_percent for one in parts] == pytest.approx(
        [18.42, 20.90, 27.86, 96.04, 100], abs=0.005
    )
    assert study.interaction.variance == 0
    assert (study.parts, study.appraisers, study.trials) == (10, 3, 3)


def test_distinct_categories_are_cut_off_not_rounded(manual):
    """The manual prints 4 on one page and about 5 on another.

    Analysis of variance gives 4.86, average and range 5.09; ours is the first, cut off.
    """
    assert gauge_study(manual).distinct_categories == 4
    study = gauge_study(manual)
    assert 1.41 * study.part.sd / study.grr.sd == pytest.approx(4.8605, abs=5e-5)


def test_the_components_with_the_interaction_kept(manual):
    """Its estimate falls below 0 and counts as 0; EV 0.214435 is printed."""
    study = gauge_study(manual, pool_alpha=1)
    assert study.pooled_lines == ()
    assert study.repeatability.sd == pytest.approx(0.214435, abs=1e-6)
    assert study.appraiser.sd == pytest.approx(0.228304, abs=1e-6)
    assert study.interaction.variance == 0
    assert study.grr.sd == pytest.approx(0.313217, abs=1e-6)
    assert study.grr.study_percent == pytest.approx(28.75, abs=0.005)
    assert 1.41 * study.part.sd / study.grr.sd == pytest.approx(4.697, abs=5e-4)


def test_percent_of_the_tolerance_takes_six_standard_deviations(manual):
    study = gauge_study(manual, tolerance_mm=4.0)
    # 6 x 0.302373 / 4, from the printed GRR.
    assert study.grr.tolerance_percent == pytest.approx(45.356, abs=1e-3)
    assert gauge_study(manual).grr.tolerance_percent is None


def table_of(y):
    places = np.indices(y.shape).reshape(3, -1)
    return pd.DataFrame({"width": y.ravel(), "part": places[0], "person": places[1]})


@pytest.mark.parametrize(("shape", "seed"), [((10, 3, 3), 1), ((20, 2, 2), 2), ((5, 4, 2), 3)])
def test_sums_of_squares_agree_with_statsmodels(shape, seed):
    rng = np.random.default_rng(seed)
    parts, people, _trials = shape
    y = (
        rng.normal(3, 0.2, (parts, 1, 1))
        + rng.normal(0, 0.03, (1, people, 1))
        + rng.normal(0, 0.04, (parts, people, 1))
        + rng.normal(0, 0.03, shape)
    )
    study = gauge_study(y, pool_alpha=0.05)
    whole = anova_lm(ols("width ~ C(part) * C(person)", table_of(y)).fit(), typ=2)
    lines = lines_of(study.lines)
    for ours, theirs in (
        ("part", "C(part)"),
        ("appraiser", "C(person)"),
        ("interaction", "C(part):C(person)"),
        ("repeatability", "Residual"),
    ):
        assert lines[ours].ss == pytest.approx(whole.loc[theirs, "sum_sq"], rel=1e-7)
        assert lines[ours].df == whole.loc[theirs, "df"]
    assert lines["interaction"].f == pytest.approx(whole.loc["C(part):C(person)", "F"])
    assert lines["interaction"].p == pytest.approx(whole.loc["C(part):C(person)", "PR(>F)"])
    assert (study.pooled_lines == ()) == (lines["interaction"].p <= 0.05)
    if study.pooled_lines:
        additive = anova_lm(ols("width ~ C(part) + C(person)", table_of(y)).fit(), typ=2)
        pooled = lines_of(study.pooled_lines)
        assert pooled["appraiser"].p == pytest.approx(additive.loc["C(person)", "PR(>F)"])
        assert pooled["part"].f == pytest.approx(additive.loc["C(part)", "F"])


def test_an_interaction_that_is_there_is_kept():
    rng = np.random.default_rng(11)
    y = 3 + rng.normal(0, 0.1, (15, 3, 1)) + rng.normal(0, 0.01, (15, 3, 3))
    study = gauge_study(y)
    assert study.pooled_lines == ()
    assert study.interaction.sd == pytest.approx(0.1, rel=0.25)
    assert study.reproducibility.variance == pytest.approx(
        study.appraiser.variance + study.interaction.variance
    )
    assert study.grr.variance == pytest.approx(
        study.repeatability.variance + study.reproducibility.variance
    )


def test_one_person_gives_repeatability_only():
    """One-way: checked against statsmodels and against the paired differences."""
    rng = np.random.default_rng(12)
    y = rng.normal(3, 0.2, (20, 1, 1)) + rng.normal(0, 0.04, (20, 1, 2))
    study = gauge_study(y, tolerance_mm=1.0)
    table = anova_lm(ols("width ~ C(part)", table_of(y)).fit())
    lines = lines_of(study.lines)
    assert set(lines) == {"part", "repeatability", "total"}
    assert lines["part"].f == pytest.approx(table.loc["C(part)", "F"])
    assert lines["part"].p == pytest.approx(table.loc["C(part)", "PR(>F)"])
    assert study.repeatability.variance == pytest.approx(table.loc["Residual", "mean_sq"])
    # Two trials: the mean of the squared differences over 2.
    differences = y[:, 0, 1] - y[:, 0, 0]
    assert study.repeatability.variance == pytest.approx((differences**2).mean() / 2)
    assert (study.appraiser, study.interaction, study.reproducibility) == (None, None, None)
    assert study.grr == study.repeatability
    assert study.pooled_lines == ()


def test_the_estimates_are_right_in_the_mean():
    """Made-up studies: the components come out as they were put in."""
    rng = np.random.default_rng(13)
    found = []
    for _n in range(400):
        y = (
            rng.normal(0, 0.3, (12, 1, 1))
            + rng.normal(0, 0.1, (1, 5, 1))
            + rng.normal(0, 0.08, (12, 5, 1))
            + rng.normal(0, 0.05, (12, 5, 2))
        )
        study = gauge_study(y, pool_alpha=1)
        found.append(
            [
                study.part.variance,
                study.appraiser.variance,
                study.interaction.variance,
                study.repeatability.variance,
            ]
        )
    assert np.mean(found, axis=0) == pytest.approx([0.09, 0.01, 0.0064, 0.0025], rel=0.1)


studies = st.tuples(st.integers(2, 6), st.integers(1, 4), st.integers(2, 4)).flatmap(
    lambda shape: st.tuples(
        st.just(shape),
        st.lists(st.integers(1000, 5000), min_size=math.prod(shape), max_size=math.prod(shape)),
    )
)


@given(studies)
def test_the_parts_of_the_variation_add_up(made):
    shape, micrometres = made
    study = gauge_study(np.array(micrometres).reshape(shape) / 1000)
    for lines in filter(None, (study.lines, study.pooled_lines)):
        *parts, total = lines
        assert math.fsum(line.ss for line in parts) == pytest.approx(total.ss, abs=1e-9)
        assert sum(line.df for line in parts) == total.df
    assert study.grr.variance + study.part.variance == pytest.approx(study.total.variance)
    if study.total.variance:
        assert study.grr.contribution_percent + study.part.contribution_percent == pytest.approx(
            100
        )


@given(studies)
def test_neither_unit_nor_zero_of_the_scale_matters(made):
    shape, micrometres = made
    y = np.array(micrometres).reshape(shape)
    first, second = gauge_study(y / 1000), gauge_study(y / 10 + 7)
    assert second.total.sd == pytest.approx(100 * first.total.sd, abs=1e-9)
    assert second.grr.sd == pytest.approx(100 * first.grr.sd, abs=1e-9)


@pytest.mark.parametrize("people", [1, 3])
def test_readings_without_any_difference(people):
    study = gauge_study(np.full((4, people, 2), 3.1), tolerance_mm=1.0)
    assert (study.total.sd, study.grr.tolerance_percent) == (0, 0)
    assert (study.grr.study_percent, study.distinct_categories) == (None, None)
    assert all(line.f is None for line in study.lines)


def test_readings_that_repeat_to_the_last_digit():
    y = np.array([[[3.1, 3.1], [3.1, 3.1]], [[3.3, 3.3], [3.3, 3.3]], [[2.9, 2.9], [2.9, 2.9]]])
    study = gauge_study(y)
    assert (study.grr.sd, study.distinct_categories) == (0, None)
    assert study.part.contribution_percent == pytest.approx(100)
    y[0, 0] += 0.2
    kept = gauge_study(y)
    assert kept.pooled_lines == ()
    assert kept.interaction.sd > 0


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ([[3.0, 3.1], [3.1, 3.2]], "3 dimensions"),
        ([[[3.0, 3.1]]], "At least 2 parts"),
        ([[[3.0]], [[3.1]]], "2 trials"),
        (np.zeros((3, 0, 2)), "1 appraiser"),
        ([[[3.0, 3.1], [3.0]], [[3.1, 3.2], [3.0]]], "not balanced"),
        ([[[3.0, None]], [[3.1, 3.2]]], "not balanced"),
        ([[[3.0, math.nan]], [[3.1, 3.2]]], "not balanced"),
        ([[[3.0, math.inf]], [[3.1, 3.2]]], "not balanced"),
    ],
)
def test_gauge_study_refuses(values, message):
    with pytest.raises(ValueError, match=message):
        gauge_study(values)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"tolerance_mm": 0}, "tolerance_mm"),
        ({"tolerance_mm": math.inf}, "tolerance_mm"),
        ({"pool_alpha": 1.1}, "pool_alpha"),
        ({"pool_alpha": math.nan}, "pool_alpha"),
    ],
)
def test_gauge_study_refuses_options(manual, options, message):
    with pytest.raises(ValueError, match=message):
        gauge_study(manual, **options)
