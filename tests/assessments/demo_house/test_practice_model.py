"""The readings of the demo follow the model that is stated. All figures here are invented."""

import math

import numpy as np
import pytest

from assessments.demo_house.practice_model import (
    Hand,
    Learned,
    Target,
    batch_rng,
    draw_batch,
    strand_seed,
)

TARGET = Target(
    width_mm=3.2,
    width_tolerance_mm=0.5,
    thickness_mm=3.0,
    thickness_tolerance_mm=0.4,
    rows=3,
    columns=5,
    boil_min=12,
)
NOTHING = Learned(0.0)
STEADY = Hand(
    within=NOTHING,
    between=NOTHING,
    bias=NOTHING,
    wedges=NOTHING,
    sheet=NOTHING,
    edge=NOTHING,
    middle=NOTHING,
    water_pp=NOTHING,
)


def with_habit(**habits):
    fields = {name: getattr(STEADY, name) for name in STEADY.__dataclass_fields__}
    return Hand(**{**fields, **habits})


def drawn(hand, *, number=1, strands=20, rng=None, sd_mm=0.0):
    return draw_batch(
        hand,
        TARGET,
        number=number,
        positions=list(range(1, strands + 1)),
        strands=strands,
        width_sd_mm=sd_mm,
        thickness_sd_mm=sd_mm,
        rng=rng or batch_rng("somebody", "thick-wheat", number),
    )


def test_a_hand_without_spread_or_habits_is_on_target():
    batch = drawn(STEADY)
    assert set(batch.widths_mm) == {3.2}
    assert set(batch.grid_mm) == {3.0}
    assert batch.water_off_pp == 0


def test_practice_falls_by_a_power_law_to_its_plateau():
    spread = Learned(0.9, 0.3)
    assert spread.at(1, 0.5) == pytest.approx(0.9)
    assert spread.at(4, 0.5) == pytest.approx(0.6)
    assert spread.at(10**9, 0.5) == pytest.approx(0.3, abs=1e-4)


def test_batches_are_counted_from_one():
    with pytest.raises(ValueError, match="at least 1"):
        Learned(1.0).at(0, 0.5)


@pytest.mark.parametrize("number", [1, 40])
def test_spread_of_strands_and_of_batches_is_the_stated_one(number):
    hand = with_habit(within=Learned(0.8, 0.3), between=Learned(0.5, 0.1))
    rng = np.random.default_rng(1)
    widths = np.array([drawn(hand, number=number, rng=rng).widths_mm for _ in range(2000)])
    in_tolerances = (widths - TARGET.width_mm) / TARGET.width_tolerance_mm
    within = math.sqrt(in_tolerances.var(axis=1, ddof=1).mean())
    assert within == pytest.approx(hand.within.at(number, hand.rate), rel=0.03)
    # The variance of batch means holds a twentieth of the strands' variance too.
    between = hand.between.at(number, hand.rate)
    means = math.sqrt(between**2 + within**2 / 20)
    assert in_tolerances.mean(axis=1).std(ddof=1) == pytest.approx(means, rel=0.06)


def test_a_drift_goes_from_the_first_cut_to_the_last():
    widths = drawn(with_habit(drift=Learned(1.0))).widths_mm
    assert widths[-1] - widths[0] == pytest.approx(0.5, abs=0.011)
    assert list(widths) == sorted(widths)


def test_every_second_strand_is_wider():
    widths = np.array(drawn(with_habit(alternating=Learned(0.8))).widths_mm)
    assert widths[1::2] - widths[::2] == pytest.approx(0.4, abs=1e-9)


def test_one_edge_of_the_sheet_is_thicker():
    grid = np.reshape(drawn(with_habit(edge=Learned(1.0))).grid_mm, (3, 5))
    assert grid[:, -1] - grid[:, 0] == pytest.approx(0.4, abs=1e-9)
    assert (grid == grid[0]).all()


def test_the_middle_of_the_sheet_is_thicker_than_its_corners():
    grid = np.reshape(drawn(with_habit(middle=Learned(0.5))).grid_mm, (3, 5))
    assert grid.max() == grid[1, 2]
    assert grid[0, 0] == grid[0, 4] == grid[2, 0] == grid[2, 4] == grid.min()


def test_wedges_read_wide_and_are_as_many_as_stated():
    widths = np.array(drawn(with_habit(wedges=Learned(0.25)), strands=4000).widths_mm)
    assert np.mean(widths > 3.7) == pytest.approx(0.25, abs=0.03)
    assert set(widths) == {3.2, 3.75}


def test_the_instrument_adds_its_own_spread():
    widths = np.array(drawn(STEADY, strands=4000, sd_mm=0.25).widths_mm)
    assert widths.std(ddof=1) == pytest.approx(0.25, rel=0.05)


def test_a_batch_is_the_same_whenever_it_is_drawn():
    first = drawn(Hand(), number=7)
    drawn(Hand(), number=8)
    assert drawn(Hand(), number=7) == first
    assert strand_seed("somebody", "thick-wheat", 7) == strand_seed("somebody", "thick-wheat", 7)


@pytest.mark.parametrize("other", [("somebody", "flat-ribbon"), ("somebody else", "thick-wheat")])
def test_another_cook_or_style_draws_other_numbers(other):
    assert strand_seed(*other, 7) != strand_seed("somebody", "thick-wheat", 7)


@pytest.mark.parametrize("positions", [[], [0], [1, 21]])
def test_strands_beyond_the_cut_are_refused(positions):
    with pytest.raises(ValueError, match="from 1 to 20"):
        draw_batch(
            Hand(),
            TARGET,
            number=1,
            positions=positions,
            strands=20,
            width_sd_mm=0,
            thickness_sd_mm=0,
            rng=np.random.default_rng(1),
        )
