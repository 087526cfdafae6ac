"""The intervals for ratings 0, 1, 2 hold what they promise; the benchmark does more of it."""

import numpy as np
import pytest

from assessments.benchmark.agreement import KITCHENS, called_stricter, coverage, covered, table_of
from assessments.calculations.agreement.kappa import EXTRA_PAIRS, kappa_of_table

RUNS = 500


@pytest.mark.parametrize("kitchen", KITCHENS)
def test_the_intervals_cover_what_they_promise(kitchen):
    """Of 500 with 20 batches at least 91 in 100; the standard deviation of a share is 1.0."""
    row = covered(kitchen, 20, RUNS, np.random.default_rng(20))
    for share in (row.linear, row.quadratic, row.fleiss, row.icc, row.mean, row.spread):
        assert share >= 0.91
    assert row.wald < row.linear


def test_the_extra_pair_is_what_makes_few_pairs_hold():
    row = covered("usual", 10, RUNS, np.random.default_rng(10))
    assert EXTRA_PAIRS == 1
    assert row.linear > 0.93
    assert row.wald < 0.85


def test_hardly_anybody_is_called_stricter_who_is_not():
    rng = np.random.default_rng(30)
    assert called_stricter(30, 200, 0.0, rng) <= 0.08
    assert called_stricter(60, 100, 1.0, rng) > 0.9


def test_the_table_has_the_shares_of_the_kitchen():
    table = table_of((0.1, 0.2, 0.7), 0.8, 0.0)
    assert table.sum(axis=0) == pytest.approx([0.1, 0.2, 0.7], abs=1e-6)
    assert table == pytest.approx(table.T, abs=1e-6)
    apart = table_of((0.1, 0.2, 0.7), 0.0, 0.0)
    assert kappa_of_table(1000 * apart).value == pytest.approx(0, abs=1e-6)
    strict = table_of((0.1, 0.2, 0.7), 0.8, 0.6)
    assert strict.sum(axis=0)[2] < 0.5


def test_every_kitchen_and_size_is_made():
    steps = []
    rows = coverage(2, advance=lambda: steps.append(1))
    assert len(rows) == len(steps) == 3 * len(KITCHENS)
    assert [row.n for row in rows[:3]] == [10, 20, 40]
