"""A batch in the pot."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from assessments.calculations.pot import (
    TOLERANCE,
    BoilTest,
    Shares,
    boil,
    calibrate,
    correct,
    done_times,
    expected_time,
)

SQUARE = calibrate(3.0, 3.0, 12)


def sides(*minutes):
    """Sides of square sections that are done after these minutes."""
    return [3 * math.sqrt(one / 12) for one in minutes]


def test_an_even_batch_is_done_when_the_house_says():
    result = boil(SQUARE, [3.0] * 8, 3.0)
    assert result.at == Shares(under=0, done=8, over=0)
    assert result.best_min == pytest.approx(12)
    assert (result.best_from_min, result.best_until_min) == pytest.approx((10.2, 13.8))
    assert (result.at_min, result.tolerance) == (12, TOLERANCE)


def test_what_is_under_and_over_by_hand():
    """15 % of their own times: the limits are 9.35 to 12.65, 10.2 to 13.8, and so on."""
    minutes = sides(9, 10.4, 10.5, 12, 14, 14.2)
    result = boil(SQUARE, minutes, minutes)
    # At 12: 9 and 10.4 are over (10.35 and 11.96), 14.2 is under (12.07).
    assert result.at == Shares(under=1, done=3, over=2)
    assert (result.at.under_share, result.at.done_share, result.at.over_share) == pytest.approx(
        (1 / 6, 1 / 2, 1 / 3)
    )
    assert [strand.state for strand in result.strands] == [
        "over", "over", "done", "done", "done", "under",
    ]  # fmt: skip
    # From 11.9, where 14 comes in, to 11.96, where 10.4 goes out, four are done.
    assert result.best == Shares(under=1, done=4, over=1)
    assert (result.best_from_min, result.best_until_min) == pytest.approx((11.9, 11.96))
    first = result.strands[0]
    assert (first.from_min, first.done_min, first.until_min) == pytest.approx((7.65, 9, 10.35))


def test_a_batch_that_is_wide_throughout_needs_longer_and_is_then_all_done():
    result = boil(SQUARE, [3.5, 3.6, 3.5, 3.4, 3.6], 3.3)
    assert result.at.under_share > 0.5
    assert result.best.done_share == 1
    assert 14 < result.best_min < 16


def test_two_groups_cannot_both_be_done():
    """One boil time serves one group only; the larger one wins."""
    thin, thick = sides(9, 14)
    widths = [thin] * 4 + [thick] * 6
    result = boil(SQUARE, widths, widths)
    assert result.best == Shares(under=0, done=6, over=4)
    # As near to the thin ones as the thick ones let it.
    assert result.best_min == pytest.approx(14 * 0.85)
    assert boil(SQUARE, widths, widths, at_min=10).at == Shares(under=6, done=4, over=0)


def test_of_equally_good_times_the_one_nearest_to_all_strands_is_best():
    three = sides(6, 6, 12, 18, 18)
    result = boil(SQUARE, three, three)
    assert result.best.done == 2
    # 10.7 is the geometric mean: 15.3, where those of 18 come in, is nearer than 6.9.
    assert result.best_min == pytest.approx(18 * 0.85)


@given(
    st.lists(st.tuples(st.integers(150, 600), st.integers(150, 600)), min_size=1, max_size=40),
    st.integers(3, 40),
)
def test_no_time_is_better_than_the_best(rows, percent):
    widths, thicknesses = np.array(rows).T / 100
    result = boil(SQUARE, widths, thicknesses, tolerance=percent / 100)
    starts = np.array([strand.from_min for strand in result.strands])
    ends = np.array([strand.until_min for strand in result.strands])
    edges = np.sort(np.concatenate([starts, ends]))
    for at in np.concatenate([edges, (edges[1:] + edges[:-1]) / 2]):
        within = np.count_nonzero((starts <= at + 1e-9) & (at - 1e-9 <= ends))
        assert within <= result.best.done
    for at in (result.best_from_min, result.best_min, result.best_until_min):
        again = boil(SQUARE, widths, thicknesses, at_min=at, tolerance=percent / 100)
        assert again.at.done == result.best.done
        assert again.best_min == result.best_min
    assert result.best_from_min <= result.best_min <= result.best_until_min


@given(st.permutations(list(enumerate([2.6, 2.8, 2.9, 3.0, 3.3, 3.7]))))
def test_strands_know_their_places_and_come_in_order(numbered):
    widths = [width for _place, width in numbered]
    result = boil(SQUARE, widths, 3.0)
    assert [strand.width_mm for strand in result.strands] == [2.6, 2.8, 2.9, 3.0, 3.3, 3.7]
    assert [widths[strand.place] for strand in result.strands] == sorted(widths)
    done = [strand.done_min for strand in result.strands]
    assert done == done_times(SQUARE, sorted(widths), 3.0).tolist()
    states = [strand.state for strand in result.strands]
    assert states.count("done") == result.at.done
    assert states.count("under") == result.at.under


@pytest.mark.parametrize(
    ("section", "beyond"),
    [
        ((3.0, 3.0), False),
        ((5.9, 5.9), False),
        ((6.1, 6.1), True),
        ((1.55, 1.55), False),
        ((1.45, 1.45), True),
        ((5.9, 3.0), False),
        ((6.1, 3.0), True),
        ((3.0, 1.4), True),
    ],
)
def test_strands_too_far_from_the_standard_are_marked(section, beyond):
    """Half to twice the size, and half to twice as flat."""
    (strand,) = boil(SQUARE, *section).strands
    assert strand.beyond is beyond


def test_a_section_turned_on_its_side_is_of_the_same_shape():
    (strand,) = boil(calibrate(6.0, 2.0, 8), 2.0, 6.0).strands
    assert not strand.beyond
    assert strand.done_min == pytest.approx(8)


def test_tests_of_the_house_reach_the_batch():
    tests = [BoilTest(3.0, 3.0, 14.0)] * 40
    pot = correct(SQUARE, tests)
    result = boil(pot, [2.9, 3.0, 3.1], 3.0)
    # The house still boils for its set 12 minutes.
    assert result.at_min == 12
    assert result.best_min == pytest.approx(pot.standard_time_min.value, rel=0.01)
    assert expected_time(pot, 3.0, 3.0).value == pytest.approx(pot.standard_time_min.value)


def test_more_unevenness_leaves_fewer_strands_done():
    """Where both sides scatter by s of themselves, the time does by about sqrt(2) s.

    The share done is then that of the normal distribution.
    """
    rng = np.random.default_rng(8)
    for sd in (0.05, 0.10):
        limits = -np.log([1 + TOLERANCE, 1 - TOLERANCE])
        expected = np.diff(norm.cdf(limits, scale=math.sqrt(2) * sd))
        widths, thicknesses = 3.0 * np.exp(rng.normal(0, sd, (2, 4000)))
        share = boil(SQUARE, widths, thicknesses).at.done_share
        assert share == pytest.approx(expected, abs=0.03)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (([], 3.0), "At least one strand"),
        (([3.0], 3.0, 0), "at_min"),
        (([3.0], 3.0, math.nan), "at_min"),
        (([3.0], 3.0, 12, 0), "tolerance"),
        (([3.0], 3.0, 12, 1.0), "below 1"),
        (([3.0, -1.0], 3.0), "widths_mm"),
        (([3.0, 3.1, 3.2], [3.0, 3.1]), "do not go"),
    ],
)
def test_boil_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        boil(SQUARE, *arguments)
