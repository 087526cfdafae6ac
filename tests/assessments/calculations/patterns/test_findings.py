import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assessments.calculations.patterns.findings import (
    RecipeReading,
    SheetReadings,
    StrandReadings,
    find_patterns,
)
from assessments.calculations.patterns.level import Tolerance
from assessments.calculations.scoring import batch_score, share_in_tolerance

TOLERANCE = Tolerance(2.5, 3.0, 3.5)
# Twenty normal scores in an order without any pattern.
EVEN = 0.12 * np.array(
    [0.3, -1.1, 0.6, 0.1, -0.4, 1.6, -0.7, -0.2, 0.9, -1.4,
     0.5, 0.0, -0.9, 1.2, -0.1, -0.5, 0.7, -1.8, 0.2, 0.8],
)  # fmt: skip


def strands(widths, **more):
    n = len(widths)
    return StrandReadings(
        positions=range(1, n + 1), widths_mm=list(widths), tolerance=TOLERANCE, **more
    )


def sheet(thickness, rows=3, columns=3):
    return SheetReadings(
        rows=rows, columns=columns, thickness_mm=list(thickness), tolerance=Tolerance(2.6, 3, 3.4)
    )


def water(actual, sigma=0.3):
    return RecipeReading(
        part="hydration", actual=actual, target=46, tol_minus=1, tol_plus=1, sigma=sigma
    )


def test_an_even_batch_says_nothing():
    result = find_patterns(strands(3 + EVEN), sheet(3 + EVEN[:9]), [water(46.1)])
    assert result.findings == ()
    assert (result.width.off_target, result.width.uneven) == (False, False)
    assert result.tests == 7 + 2 + 7 + 2 + 1


def test_even_but_wide_throughout():
    result = find_patterns(strands(3.3 + EVEN))
    (finding,) = result.findings
    assert (finding.kind, finding.direction, finding.unit) == ("off_target", "above", "mm")
    assert finding.size == pytest.approx(0.3 + EVEN.mean())
    assert finding.of_tolerance == pytest.approx(2 * finding.size)
    assert (result.width.off_target, result.width.uneven) == (True, False)
    assert result.width.share_on_target > 0.99 > result.width.share


def test_right_on_average_but_uneven():
    result = find_patterns(strands(3 + 5 * EVEN))
    assert [finding.kind for finding in result.findings] == ["uneven"]
    assert (result.width.off_target, result.width.uneven) == (False, True)
    assert result.width.share_even > result.width.share + 0.2
    assert result.findings[0].part_points > 20


def test_what_costs_the_score_most_comes_first():
    """The weakest part is the score: a fault of a better part costs it nothing."""
    x = np.tile([-1.0, 0, 1], 3)
    widths = 3.25 + 1.5 * EVEN
    tilted = 3 + 0.02 * np.sin(np.arange(9)) + 0.25 * x
    result = find_patterns(strands(widths), sheet(tilted), [water(47.3)])
    assert [(f.part, f.kind) for f in result.findings] == [
        ("hydration", "off_recipe"), ("width", "off_target"), ("thickness", "tilt"),
    ]  # fmt: skip
    first, second, third = result.findings
    shares = [
        share_in_tolerance(widths.tolist(), 2.5, 3.5).share,
        share_in_tolerance(tilted.tolist(), 2.6, 3.4).share,
    ]
    score = batch_score(*shares, 1 - first.part_points / 100).score
    better = batch_score(*shares, 1.0).score
    assert first.score_points == pytest.approx(better - score)
    assert second.score_points == third.score_points == 0
    assert third.direction == "right"


def test_several_patterns_in_one_batch():
    n = np.arange(20)
    widths = 3 + EVEN / 3 + 0.3 * np.linspace(-1, 1, 20) + 0.2 * (n % 2)
    widths[7] = 4.4
    ends = [(w + 0.1, w - 0.1 + 0.02 * math.sin(i)) for i, w in enumerate(widths)]
    result = find_patterns(strands(widths, ends_mm=ends))
    found = {finding.kind: finding for finding in result.findings}
    assert set(found) == {"outliers", "drift", "alternation", "wedge"}
    assert found["outliers"].places == (8.0,)
    assert found["drift"].size == pytest.approx(0.6, abs=0.1)
    assert (found["alternation"].direction, found["wedge"].direction) == ("even", "first")
    assert all(f.p <= 0.05 and f.p_alone <= f.p for f in result.findings)


def test_recipe_that_is_exact_needs_no_chance():
    rest = RecipeReading(part="rest", actual=20, target=30, tol_minus=5, tol_plus=60)
    salt = RecipeReading(part="salt", actual=0, target=3, tol_minus=0.5, tol_plus=0.5, sigma=0.1)
    result = find_patterns(recipe=[rest, salt, water(46.4)])
    found = {finding.part: finding for finding in result.findings}
    assert set(found) == {"rest", "salt"}
    assert (found["rest"].p, found["rest"].size, found["rest"].unit) == (None, 10, "min")
    assert (found["salt"].direction, found["salt"].of_tolerance) == ("below", 6)


def test_missing_readings():
    widths = (3 + EVEN).tolist()
    gaps = [None if i % 7 == 3 else w for i, w in enumerate(widths)]
    thickness = [None, *(3 + EVEN[1:9]).tolist()]
    result = find_patterns(strands(gaps), sheet(thickness))
    assert result.findings == ()
    few = find_patterns(strands([3.0, 3.1, None]), sheet([3.0] + 8 * [None]))
    assert {(u.part, u.kind, u.reason) for u in few.untested} == {
        ("width", "all", "too_few"), ("thickness", "all", "too_few"),
    }  # fmt: skip
    assert (few.width, few.thickness, few.tests, few.effects) == (None, None, 0, ())
    assert find_patterns().findings == ()
    assert find_patterns(strands([None]), sheet([None] * 9)).findings == ()


def test_so_much_is_found_that_nothing_is_left_to_test(monkeypatch):
    monkeypatch.setattr("assessments.calculations.patterns.findings.LEAST_LEFT", 6)
    x, y = np.tile([-1.0, 0, 1], 3), np.repeat([-1.0, 0, 1], 3)
    noise = 0.002 * np.sin(np.arange(9))
    result = find_patterns(sheet=sheet(3 + 0.2 * x - 0.3 * y * y + noise))
    # A tilt and a ridge take three readings beside the mean, and leave five.
    assert set(result.sheet_kinds) == {"tilt", "ridge_along_rows"}
    assert "off_target" not in {finding.kind for finding in result.findings}


def test_readings_all_alike():
    result = find_patterns(strands([3.3] * 20), sheet([3.0] * 9))
    assert [finding.kind for finding in result.findings] == ["off_target"]
    assert {u.reason for u in result.untested} == {"no_spread"}


@settings(max_examples=15)
@given(
    st.lists(st.integers(20, 40).map(lambda w: w / 10), min_size=1, max_size=24),
    st.lists(st.one_of(st.none(), st.integers(25, 35).map(lambda t: t / 10)),
             min_size=12, max_size=12),
    st.floats(40, 52),
)  # fmt: skip
def test_any_batch_gives_sound_findings(widths, thickness, actual):
    readings = (strands(widths), sheet(thickness, 3, 4), [water(actual)])
    result = find_patterns(*readings)
    assert result == find_patterns(*readings)
    points = [(f.score_points, f.part_points) for f in result.findings]
    assert points == sorted(points, reverse=True)
    for finding in result.findings:
        assert 0 < finding.p_alone <= finding.p <= 0.05
        assert finding.size >= 0
        assert math.isfinite(finding.of_tolerance)


def test_the_order_of_typing_does_not_matter():
    widths = 3 + EVEN + np.linspace(-0.3, 0.3, 20)
    turned = StrandReadings(
        positions=range(20, 0, -1), widths_mm=widths[::-1].tolist(), tolerance=TOLERANCE
    )
    assert find_patterns(turned) == find_patterns(strands(widths.tolist()))


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"strands": strands([3.0, math.nan])}, "finite"),
        ({"strands": StrandReadings(positions=[1], widths_mm=[], tolerance=TOLERANCE)}, "widths"),
        ({"strands": StrandReadings(positions=[1, 1], widths_mm=[3, 3], tolerance=TOLERANCE)},
         "each once"),
        ({"strands": strands([3.0], sigma_m=-1)}, "0 or more"),
        ({"strands": strands([3.0], ends_mm=[])}, "pairs of ends"),
        ({"sheet": sheet([3.0])}, "9 points"),
        ({"recipe": [water(46), water(46)]}, "once"),
        ({"recipe": [RecipeReading(part="egg", actual=1, target=1, tol_minus=1, tol_plus=1)]},
         "egg"),
        ({"recipe": [RecipeReading(part="rest", actual=1, target=1, tol_minus=0, tol_plus=1)]},
         "above 0"),
        ({"alpha": 0}, "alpha"),
    ],
)  # fmt: skip
def test_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        find_patterns(**arguments)


@pytest.mark.parametrize("limits", [(3, 2, 4), (3, 3, 3), (2, 3, math.inf), (math.nan, 3, 4)])
def test_tolerance_refuses(limits):
    with pytest.raises(ValueError, match="between finite limits"):
        Tolerance(*limits)
