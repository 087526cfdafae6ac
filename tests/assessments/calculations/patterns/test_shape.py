import csv
import math
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from assessments.calculations.patterns.linear import basis
from assessments.calculations.patterns.shape import (
    best_split,
    most_outliers,
    outlier_evidence,
    shape_null,
    smallest_group,
    studentised_extremes,
)

PUBLISHED = Path(__file__).parent.parent / "published"


def rosner():
    with (PUBLISHED / "rosner_1983.csv").open(newline="") as file:
        return np.array([float(row["value"]) for row in csv.DictReader(file)])


def test_deviates_meet_rosners_example():
    """NIST/SEMATECH e-Handbook 1.3.5.17.3: ten deviates, of which three are outliers."""
    deviates, places = studentised_extremes(rosner()[None, :], 10)
    printed = [3.118, 2.942, 3.179, 2.810, 2.815, 2.848, 2.279, 2.310, 2.101, 2.067]
    assert deviates[:, 0] == pytest.approx(printed, abs=0.0015)
    assert sorted(rosner()[places[:3, 0].astype(int)]) == [5.34, 5.42, 6.01]
    # The third is the most remarkable of them, as the handbook finds.
    assert outlier_evidence(rosner()[None, :], 10)[1][0] == 3


def test_evidence_is_grubbs_probability():
    """Critical value for n = 20, 5 % two-sided: 2.709 (Grubbs and Beck 1972, Technometrics 14)."""
    spread = np.tile([-1.0, 1.0], 10)
    low, high = 1.0, 20.0
    for _ in range(60):
        middle = (low + high) / 2
        x = np.append(spread[:-1], middle)
        deviate = studentised_extremes(x[None, :], 1)[0][0, 0]
        low, high = (middle, high) if deviate < 2.709 else (low, middle)
    evidence, _count = outlier_evidence(x[None, :], 1)
    assert math.exp(-evidence[0]) == pytest.approx(0.05, abs=0.0005)


def test_best_split_against_every_split():
    rng = np.random.default_rng(1)
    x = np.sort(np.append(rng.normal(0, 1, 9), rng.normal(4, 1, 8)))
    part, lower = best_split(x[None, :], 3)
    total = ((x - x.mean()) ** 2).sum()
    within = [((x[:k] - x[:k].mean()) ** 2).sum() + ((x[k:] - x[k:].mean()) ** 2).sum()
              for k in range(3, 15)]  # fmt: skip
    assert part[0] == pytest.approx(1 - min(within) / total)
    assert lower[0] == 3 + int(np.argmin(within))


def test_split_of_one_normal_group_tends_to_two_over_pi():
    """Hartigan (1978), Annals of Statistics 6, 117-131."""
    x = stats.norm.ppf((np.arange(20000) + 0.5) / 20000)
    assert best_split(x[None, :], 3)[0][0] == pytest.approx(2 / math.pi, abs=0.001)


def test_null_has_the_distributions_it_claims():
    null = shape_null(basis(np.empty((20, 0))), 3)
    assert stats.kstest(null.mean_t, stats.t(19).cdf).pvalue > 0.001
    assert stats.kstest(19 * null.variance, stats.chi2(19).cdf).pvalue > 0.001
    one, _count = outlier_evidence(null.rest, 1)
    assert np.mean(one >= -math.log(0.05)) == pytest.approx(0.05, abs=0.015)
    line = np.linspace(0, 1, 20)
    fitted = shape_null(basis(line[:, None]), 3)
    assert np.abs(fitted.rest @ line).max() < 1e-5
    assert stats.kstest(18 * fitted.variance, stats.chi2(18).cdf).pvalue > 0.001


def test_numbers_of_groups_and_outliers():
    assert [smallest_group(n) for n in (12, 20, 40)] == [3, 3, 6]
    assert [most_outliers(n) for n in (8, 20, 40, 90)] == [1, 2, 4, 4]


def test_readings_without_spread_have_no_outlier():
    deviates, _places = studentised_extremes(np.full((1, 10), 3.0), 1)
    assert deviates[0, 0] == 0
