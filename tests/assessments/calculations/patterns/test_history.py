import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from assessments.calculations.patterns.effects import Effect, cut_effects, sheet_effects
from assessments.calculations.patterns.findings import Finding
from assessments.calculations.patterns.history import (
    change_since,
    habits,
    recurrences,
)
from assessments.calculations.patterns.level import Tolerance
from assessments.calculations.patterns.sheet import Sheet, grid_places
from assessments.calculations.patterns.strands import cut_of

TOLERANCE = Tolerance(2.5, 3.0, 3.5)


def effect(value, error=0.1, kind="drift", part="width", df=18):
    return Effect(part, kind, value, error, df)


def finding(kind, direction="wider"):
    return Finding("width", kind, direction, 0.3, "mm", 0.6, (), 0.01, 0.001, 5.0, 5.0)


def test_effects_of_strands_against_statsmodels():
    widths = 3 + 0.1 * np.random.default_rng(1).standard_normal(20)
    effects = cut_effects(cut_of(np.arange(1.0, 21), widths), TOLERANCE, 0.0)
    found = {e.kind: e for e in effects}
    fitted = sm.OLS(widths, sm.add_constant(np.linspace(0, 1, 20))).fit()
    assert (found["drift"].value, found["drift"].error) == pytest.approx(
        (fitted.params[1], fitted.bse[1])
    )
    assert 2 * stats.norm.sf(abs(found["drift"].z)) == pytest.approx(fitted.pvalues[1])
    t = stats.ttest_1samp(widths, 3.0)
    off = found["off_target"]
    assert 2 * stats.t.sf(abs(off.value / off.error), off.df) == pytest.approx(t.pvalue)
    # A fifth of half the tolerance off is none.
    assert (off.negligible, off.z) == (pytest.approx(0.1), 0)


def test_effects_of_a_sheet():
    x, y = grid_places(3, 3, range(9))
    z = 3 + 0.1 * x - 0.2 * y - 0.15 * (x * x + y * y) + 0.01 * np.sin(np.arange(9))
    found = {e.kind: e.value for e in sheet_effects(Sheet(x, y, z), TOLERANCE, 0.0)}
    # Right less left edge, bottom less top edge, middle less corners.
    assert (found["tilt_x"], found["tilt_y"], found["bowl"]) == pytest.approx(
        (0.2, -0.4, 0.3), abs=0.02
    )


def test_habits_are_stouffers_and_holms():
    batches = [
        [effect(0.15), effect(0.02 * (-1) ** i, kind="alternation"), effect(0.1, kind="off_target")]
        for i in range(5)
    ]
    found = {habit.kind: habit for habit in habits(batches, alpha=0.5)}
    t = {"drift": 1.5, "off_target": 1.0}
    expected = {
        kind: stats.combine_pvalues([stats.t.sf(value, 18)] * 5, method="stouffer").pvalue * 2
        for kind, value in t.items()
    }
    assert found["drift"].p == pytest.approx(3 * expected["drift"])
    assert found["off_target"].p == pytest.approx(2 * expected["off_target"])
    assert "alternation" not in found
    drift = found["drift"]
    assert (drift.value, drift.error) == pytest.approx((0.15, 0.1 / 5**0.5))
    assert (drift.batches, drift.same_sign) == (5, 5)


def test_one_batch_does_not_make_a_habit():
    batches = [[effect(value)] for value in (1.2, -0.02, -0.03)]
    assert habits(batches) == ()
    assert habits([[effect(1.0)]] * 2) == ()
    # A hand more even than it need be is no fault.
    assert habits([[effect(-1.0, kind="uneven")]] * 4) == ()
    with pytest.raises(ValueError, match="alpha"):
        habits([], alpha=1)


def test_many_batches_hardly_off_are_no_habit():
    batches = [[Effect("width", "off_target", 0.08, 0.01, 19, 0.1)] for _ in range(20)]
    assert habits(batches) == ()
    batches = [[Effect("width", "off_target", 0.13, 0.02, 19, 0.1)] for _ in range(20)]
    assert [habit.kind for habit in habits(batches)] == ["off_target"]


def test_recurrences():
    batches = [[finding("drift")], [finding("drift"), finding("step")], [], [finding("drift")]]
    first, second = recurrences(batches)
    assert (first.kind, first.found, first.batches, first.latest) == ("drift", 3, 4, True)
    assert (second.kind, second.found, second.latest) == ("step", 1, False)
    assert recurrences([]) == ()


@pytest.mark.parametrize(
    ("before", "now", "verdict"),
    [
        ([0.6], 0.05, "gone"),
        ([-0.6], -0.05, "gone"),
        ([1.2], 0.5, "better"),
        ([0.6], 0.45, "cannot_tell"),
        ([0.6], 1.2, "worse"),
        ([0.6], -0.5, "better"),
        ([0.6, 0.55, 0.62], 0.1, "gone"),
        # A drift that came and went by itself before cannot be told to have gone for a reason.
        ([0.0, 0.9, 0.1], 0.1, "cannot_tell"),
        ([0.05], 0.02, "cannot_tell"),
    ],
)
def test_change_since(before, now, verdict):
    change = change_since("width", "drift", [[effect(b)] for b in before], [effect(now)])
    assert change.verdict == verdict
    assert change.low <= change.reduction <= change.high


def test_value_before_is_drawn_toward_nothing():
    change = change_since("width", "drift", [[effect(0.4)]], [effect(0.4)])
    assert change.before == pytest.approx(0.4 * (1 - (0.1 / 0.4) ** 2))
    assert change.verdict == "cannot_tell"


def test_change_of_a_tilt_counts_both_directions():
    def tilt(x, y):
        return [
            effect(x, part="thickness", kind="tilt_x"),
            effect(y, part="thickness", kind="tilt_y"),
        ]

    change = change_since("thickness", "tilt", [tilt(0.6, 0.8)], tilt(0.0, 0.0))
    assert (change.now, change.verdict) == (0, "gone")
    # The sheet is as steep as before, but across: what was found is gone.
    assert change_since(
        "thickness", "tilt", [tilt(0.6, 0.8)], tilt(-0.8, 0.6)
    ).now == pytest.approx(0, abs=1e-12)


def test_change_that_cannot_be_compared():
    assert change_since("width", "step", [[effect(0.4)]], [effect(0.1)]) is None
    assert change_since("width", "drift", [], [effect(0.1)]) is None
    assert change_since("width", "drift", [[effect(0.4)]], []) is None
