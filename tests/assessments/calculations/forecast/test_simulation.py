"""The stated properties of forecast and chart, on fewer learners than the benchmark takes."""

import numpy as np
import pytest

from assessments.benchmark.forecasts import (
    HORIZON,
    SURPRISING,
    check_forecasts,
    check_stuck,
    simulate_learner,
    simulate_learners,
)
from assessments.benchmark.monitoring_chart import EXPECTED, check_chart
from assessments.calculations.monitoring import FALSE_ALARM_BATCHES


@pytest.fixture(scope="module")
def learners():
    return simulate_learners(150, seed=9)


def test_forecasts_hold_what_they_promise(learners):
    rows = check_forecasts(learners)
    assert sum(row.told["cannot tell"] for row in rows) / len(rows) < 0.1
    for row in rows:
        assert row.kept >= 0.84
        assert row.foretold == pytest.approx(row.found, abs=0.13)
        # As good as knowing how many of all will be complete, or better.
        assert row.brier < row.found * (1 - row.found) + 0.01
    # Neither early nor late on the whole, and better with more batches.
    assert 0.4 < np.mean([row.by_median for row in rows]) < 0.6
    assert rows[-1].brier < 0.18
    assert rows[-1].covered >= 0.75
    assert abs(rows[-1].error_batches) <= 2


def test_who_stands_still_is_found(learners):
    first, second, _ = check_stuck(learners)
    assert first.wrong <= 0.12
    assert first.found >= 0.4
    assert second.found >= 0.75


def test_simulated_learners_learn():
    rng = np.random.default_rng(3)
    for kind in ("power", "exponential", *SURPRISING):
        learner = simulate_learner(kind, rng, 30)
        for part, true in learner.true.items():
            assert (np.diff(true) >= -1e-12).all()
            # Measured shares scatter about the true ones.
            assert np.mean(learner.shares[part] - true) == pytest.approx(0, abs=0.06)
    with pytest.raises(ValueError, match="Unknown kind"):
        simulate_learner("magic", rng, 5)


def test_complete_after_is_when_both_parts_are_shown(learners):
    done = [learner for learner in learners if learner.complete_after is not None]
    assert 0.4 < len(done) / len(learners) < 0.8
    for learner in done[:20]:
        state = learner.states[learner.complete_after - 1]
        assert all(state.shown[part] for part in ("width", "thickness"))
        assert learner.complete_after <= 15 + HORIZON


def test_the_chart_runs_as_long_as_stated():
    rows = {row.true_share: row for row in check_chart(500)}
    assert set(rows) == set(EXPECTED)
    for share, row in rows.items():
        least, most = row.batches
        if share <= 0.90:
            assert (least, most) == pytest.approx(row.expected, rel=0.3, abs=1)
        else:
            # The stated runs were cut off at 400 batches, these are not.
            assert least >= 0.65 * row.expected[0]
            assert most >= row.expected[1]
    assert rows[0.95].batches[0] == pytest.approx(FALSE_ALARM_BATCHES, rel=0.35)
    assert rows[0.80].chance[0] > 0.99
