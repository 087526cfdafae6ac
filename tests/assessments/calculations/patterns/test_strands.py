import csv
import math
from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats
from statsmodels.sandbox.stats.runs import runstest_1samp

from assessments.calculations.patterns.level import Tolerance
from assessments.calculations.patterns.null import joint_chances
from assessments.calculations.patterns.shape import shape_null
from assessments.calculations.patterns.strands import (
    cut_of,
    cut_patterns,
    cut_tests,
    lag_correlation,
    runs_z,
    take_from_cut,
    taper_tests,
)

PUBLISHED = Path(__file__).parent.parent / "published"
ANY = Tolerance(-1e6, 0, 1e6)


def values(name):
    with (PUBLISHED / f"strd_{name}.csv").open(newline="") as file:
        return np.array([float(row["y"]) for row in csv.DictReader(file)])


def chances_of(cut):
    tests, untested = cut_tests(cut, shape_null(cut.spanned, 3))
    return joint_chances(tests), untested


def cut_of_widths(widths):
    return cut_of(np.arange(1.0, len(widths) + 1), np.asarray(widths, dtype=float))


@pytest.mark.parametrize(
    ("name", "certified"),
    [
        ("mavro", 0.937989183438248),
        ("michelso", 0.535199668621283),
        ("lew", -0.307304800605679),
    ],
)
def test_lag_correlation_meets_certified_values(name, certified):
    """NIST Statistical Reference Datasets, univariate: lag-1 autocorrelation."""
    assert lag_correlation(values(name)) == pytest.approx(certified, abs=1e-9)


def test_runs_meet_the_handbook():
    """NIST/SEMATECH e-Handbook 1.3.5.13: beam deflections (LEW), Z = 2.6938."""
    y = values("lew")
    z = runs_z(y[None, :], np.median(y)[None, None])[0]
    assert z == pytest.approx(2.6938, abs=0.00005)
    assert z == pytest.approx(runstest_1samp(y, cutoff="median", correction=False)[0])
    assert runs_z(np.ones((1, 5)), np.ones((1, 1)))[0] == 0


def test_step_in_the_flow_of_the_nile():
    """Cobb (1978), Biometrika 65, 243-251: after 1898; 1098 before and 850 after."""
    years = sm.datasets.nile.load_pandas().data
    cut = cut_of(years.year.to_numpy(float), years.volume.to_numpy(float))
    chances, _untested = chances_of(cut)
    assert chances["width.step"].alone == 1 / 2000
    found = take_from_cut(cut, {"step", "drift"}, ANY)
    (pattern,) = cut_patterns(found)
    assert (pattern.kind, pattern.direction, pattern.places) == ("step", "narrower", (1898, 1899))
    before, after = years.volume[years.year <= 1898], years.volume[years.year > 1898]
    assert pattern.size_mm == pytest.approx(before.mean() - after.mean())


def test_orders_agree_with_scipy():
    """Drift and alternation against scipy's permutation test and straight line."""
    rng = np.random.default_rng(6)
    y = rng.standard_normal(20) + np.linspace(0, 1.2, 20)
    chances, _untested = chances_of(cut_of_widths(y))
    line = stats.linregress(np.arange(20), y)
    assert chances["width.drift"].alone == pytest.approx(line.pvalue, abs=0.015)
    permuted = stats.permutation_test(
        (y[::2], y[1::2]), lambda a, b: abs(a.mean() - b.mean()), n_resamples=4000,
        alternative="greater", rng=np.random.default_rng(7),
    )  # fmt: skip
    assert chances["width.alternation"].alone == pytest.approx(permuted.pvalue, abs=0.03)


def test_wedge_meets_fishers_test_of_darwins_maize():
    """Fisher (1935), The Design of Experiments, section 21: 863 of 32768 at one side, 1726 at both.

    15 differences of cross- and self-fertilised plants in eighths of an inch.
    """
    differences = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48]
    tests, _untested = taper_tests(np.arange(1.0, 16), np.array(differences, dtype=float))
    chance = joint_chances(tests)["taper.wedge"].alone
    # Of 1999 signs at random: standard error 0.005.
    assert chance == pytest.approx(2 * 863 / 32768, abs=0.015)


def test_fan_and_wedge_together():
    positions = np.arange(1.0, 21)
    taper = 0.1 + 0.2 * (positions % 2 - 0.5) + 0.02 * np.sin(7 * positions)
    both = joint_chances(taper_tests(positions, taper)[0])
    assert both["taper.fan"].joint <= 0.01
    left = joint_chances(taper_tests(positions, taper, ("wedge",))[0])
    assert set(left) == {"taper.fan"}
    assert taper_tests(positions, taper, ("wedge", "fan"))[0] == []
    assert taper_tests(positions[::2], taper[::2])[1] == {"wedge": "too_few", "fan": "too_few"}
    assert taper_tests(2 * positions, taper)[1] == {"fan": "one_sided"}
    assert taper_tests(positions, 0 * taper)[1] == {"wedge": "no_spread", "fan": "no_spread"}


@pytest.mark.parametrize(
    ("kinds", "widths", "direction", "size"),
    [
        ({"drift", "step"}, np.linspace(3.3, 2.7, 20), "narrower", 0.6),
        ({"alternation", "neighbours"}, 3 + 0.3 * (np.arange(20) % 2), "even", 0.3),
        ({"step", "drift"}, np.repeat([2.9, 3.2], [8, 12]), "wider", 0.3),
        ({"groups"}, np.repeat([2.9, 3.3, 2.9, 3.3], 5), "apart", 0.4),
        ({"neighbours"}, 3 + 0.1 * np.sin(np.arange(20)), "alike", None),
    ],
)
def test_patterns_in_the_order_of_cutting(kinds, widths, direction, size):
    found = take_from_cut(cut_of_widths(widths), kinds, ANY)
    (pattern,) = cut_patterns(found)
    assert pattern.direction == direction
    if size is not None:
        assert pattern.size_mm == pytest.approx(size)
        assert np.ptp(pattern.put_right_mm) == pytest.approx(0, abs=1e-9)


def test_outliers_are_named_only_outside_the_tolerance():
    widths = 3 + 0.1 * np.sin(np.arange(20))
    widths[[4, 11]] = 4.0, 3.9
    cut = cut_of_widths(widths)
    assert chances_of(cut)[0]["width.outliers"].joint < 0.02
    found = take_from_cut(cut, {"outliers"}, Tolerance(2.5, 3, 3.5))
    (pattern,) = cut_patterns(found)
    assert (pattern.direction, sorted(pattern.places)) == ("wide", [5.0, 12.0])
    assert take_from_cut(cut, {"outliers"}, ANY) is None


def test_what_cannot_be_tested_is_named():
    assert set(chances_of(cut_of_widths([3, 3.1, 3, 3.2, 3.1]))[1].values()) == {"too_few"}
    assert set(chances_of(cut_of_widths([3.0] * 20))[1].values()) == {"no_spread"}
    odd = cut_of(np.arange(1.0, 41, 2), 3 + 0.1 * np.sin(np.arange(20.0)))
    assert chances_of(odd)[1] == {"alternation": "one_sided"}


def test_nothing_significant_takes_nothing():
    assert take_from_cut(cut_of_widths(np.arange(20.0)), set(), ANY) is None
    assert math.isclose(lag_correlation(np.ones(5)), 0)
