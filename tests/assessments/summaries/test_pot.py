"""A batch in the pot, by sums of our own, and what boil tests change."""

import math
from datetime import timedelta
from decimal import Decimal
from types import SimpleNamespace

import numpy as np
import pytest
from django.utils import timezone
from scipy.optimize import brentq

from assessments.calculations.pot import calibrate
from assessments.models import BoilTest
from assessments.summaries.batch import Sheet, Strands
from assessments.summaries.pot import NEWEST, boil_tests_page, clock, house_pot, pot_of
from tests import factories

STANDARD = SimpleNamespace(
    width_target_mm=Decimal("3.20"),
    thickness_target_mm=Decimal("3.00"),
    boil_time_min=Decimal("12.0"),
)
# Invented: twenty strands of an uneven hand, and a sheet that is thick at its right edge.
WIDTHS_MM = (3.1, 3.3, 2.6, 3.0, 3.7, 3.2, 3.1, 2.7, 3.6, 2.5, 3.2, 3.9, 3.0, 3.3, 2.9, 3.5)
WIDTHS_MM = (*WIDTHS_MM, 2.8, 3.4, 3.1, 4.0)
GRID_MM = (2.8, 3.0, 3.3, 2.9, None, 3.4, 2.7, 3.2, 3.5)


def strands_of(widths_mm=WIDTHS_MM, total=60):
    step = total // len(widths_mm)
    places = tuple(range(1, step * len(widths_mm) + 1, step))
    return Strands(places, tuple(widths_mm), total, 3.2, 2.7, 3.7)


def sheet_of(values=GRID_MM, columns=3):
    return Sheet(len(values) // columns, columns, tuple(values), 3.0, 2.6, 3.4)


@pytest.fixture
def batch(house):
    return SimpleNamespace(style_id=house.style.pk, standard=house.standard)


def boil_test(width_mm=3.2, thickness_mm=3.0, done_at_min=12.0):
    return BoilTest(
        width_mm=Decimal(str(width_mm)),
        thickness_mm=Decimal(str(thickness_mm)),
        done_at_min=Decimal(str(done_at_min)),
    )


def lacking(fourier):
    """What the middle of a slab lacks: the series for long times with many terms, one by one."""
    return (
        4
        / math.pi
        * math.fsum(
            (-1) ** n / (2 * n + 1) * math.exp(-(((2 * n + 1) * math.pi) ** 2) * fourier)
            for n in range(200)
        )
    )


def minutes(width_mm, thickness_mm):
    """When a section is done, where 3.2 x 3.0 mm takes 12 minutes at 0.03 mm2 a minute."""

    def dry(soaked, width, thickness):
        return lacking(soaked / width**2) * lacking(soaked / thickness**2)

    wanted = dry(0.03 * 12, 3.2, 3.0)
    soaked = brentq(lambda s: dry(s, width_mm, thickness_mm) - wanted, 0.01, 20, xtol=1e-12)
    return soaked / 0.03


def test_the_shares_are_those_of_a_sum_of_our_own(batch, django_assert_num_queries):
    with django_assert_num_queries(1):
        pot = pot_of(batch, strands_of(), sheet_of())
    # Columns of the sheet: 2.8, 3.1 and 3.4 mm, at the first, middle and last of 60 strands.
    thick = np.interp([place - 0.5 for place in range(1, 61, 3)], [0, 30, 60], [2.8, 3.1, 3.4])
    done = np.array([minutes(*one) for one in zip(WIDTHS_MM, thick, strict=True)])

    def shares(at):
        under, over = (at < 0.85 * done).sum(), (at > 1.15 * done).sum()
        return under, len(done) - under - over, over

    assert (pot.at.under, pot.at.done, pot.at.over) == shares(12)
    assert pot.at.under > 0
    assert pot.at.over > 0
    most = max(shares(second / 60)[1] for second in range(60, 1800))
    assert (pot.best.under, pot.best.done, pot.best.over) == shares(pot.best_min)
    assert pot.best.done == most
    assert pot.first.done_min == pytest.approx(done.min())
    assert pot.last.done_min == pytest.approx(done.max())
    assert pot.places == tuple(1 + 3 * int(place) for place in np.argsort(done, kind="stable"))
    assert pot.thickness_from == "strand"
    assert (pot.tests, pot.contradict, pot.beyond) == (0, False, 0)


@pytest.mark.parametrize(
    ("sheet", "thickness_mm", "thickness_from"),
    [
        (None, 3.0, "standard"),
        (sheet_of([None] * 9), 3.0, "standard"),
        (sheet_of([0.0] * 9), 3.0, "standard"),
        (sheet_of([2.6, None, None, 2.8, None, None]), 2.7, "mean"),
        (sheet_of([2.6, 2.8], columns=1), 2.7, "mean"),
    ],
)
def test_where_the_sheet_says_no_more_one_thickness_stands_for_all(
    batch, sheet, thickness_mm, thickness_from
):
    pot = pot_of(batch, strands_of([3.2, 0.0, 3.4]), sheet)
    assert (pot.thickness_mm, pot.thickness_from) == (pytest.approx(thickness_mm), thickness_from)
    # A width of zero is no strand.
    assert [strand.done_min for strand in pot.boil.strands] == pytest.approx(
        [minutes(3.2, thickness_mm), minutes(3.4, thickness_mm)]
    )


def test_nothing_is_said_without_strands(batch, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert pot_of(batch, None, sheet_of()) is None
        assert pot_of(batch, strands_of([0.0]), None) is None


def test_the_boil_tests_of_the_style_move_the_times(batch, house):
    for _n in range(4):
        factories.BoilTestFactory(style=house.style, done_at_min=Decimal("13.2"))
    factories.BoilTestFactory(done_at_min=Decimal(9))
    factories.BoilTestFactory(style=house.style, done_at_min=Decimal(9), removed_at=timezone.now())
    pot = pot_of(batch, strands_of([3.2, 3.6]), None)
    # Four tests weigh as much as the house's own time: half of what they are off, on logarithms.
    assert [strand.done_min for strand in pot.boil.strands] == pytest.approx(
        [12 * 1.1**0.5, minutes(3.6, 3.0) * 1.1**0.5]
    )
    assert pot.tests == 4
    assert pot.boil.at_min == 12


def test_only_the_newest_tests_count(batch, house):
    for n in range(NEWEST + 3):
        factories.BoilTestFactory(
            style=house.style,
            tested_on=timezone.localdate() - timedelta(days=n),
            done_at_min=Decimal(12 if n < NEWEST else 30),
        )
    pot = pot_of(batch, strands_of([3.2]), None)
    assert pot.tests == NEWEST
    assert pot.first.done_min == pytest.approx(12)
    assert boil_tests_page(house.style.slug).has_older


def test_a_test_of_another_time_is_left_out():
    """The boil time of the standard was changed since: the test is over three times off."""
    slip, good = boil_test(done_at_min=40), boil_test(done_at_min=13.2)
    house = house_pot(STANDARD, [slip, good])
    assert [test.done_at_min for test in house.used] == [good.done_at_min]
    assert [test.done_at_min for test in house.unused] == [slip.done_at_min]
    assert house.pot.standard_time_min.value == pytest.approx(12 * 1.1 ** (1 / 5))


def test_tests_that_contradict_each_other_change_nothing():
    """Thick strands done before thin ones, again and again."""
    tests = [boil_test(2.4, 2.2, 14), boil_test(4.4, 4.0, 10)] * 10
    house = house_pot(STANDARD, tests)
    assert house.contradict
    assert house.used == ()
    assert len(house.unused) == 20
    assert house.pot == calibrate(3.2, 3.0, 12)


def test_the_page_holds_each_test_against_the_model(house):
    for done_at_min in ("12.6", "12.9"):
        factories.BoilTestFactory(style=house.style, done_at_min=Decimal(done_at_min))
    page = boil_tests_page(None)
    expected = 12 * ((12.6 / 12) * (12.9 / 12)) ** (1 / 6)
    assert page.factor.value == pytest.approx(expected / 12)
    assert [line.expected_min for line in page.lines] == pytest.approx([expected] * 2)
    assert [line.difference for line in page.lines] == ["5 % longer", "3 % longer"]
    assert page.double.value == pytest.approx(4)
    assert not page.asks_for_another_time


def test_many_tests_ask_for_another_boil_time(house):
    for n in range(12):
        factories.BoilTestFactory(style=house.style, done_at_min=Decimal(15 + n % 2))
    assert boil_tests_page("thick-wheat").asks_for_another_time


def test_words_for_an_even_batch(batch):
    pot = pot_of(batch, strands_of([3.2] * 5), None)
    assert pot.at_house_time == "At 12:00 min all 5 strands are just right."
    assert pot.at_best_time == ""


def test_words_for_a_batch_that_is_thick_throughout(batch):
    pot = pot_of(batch, strands_of([4.0, 4.1, 4.2]), sheet_of([3.4] * 9))
    assert pot.at_house_time == ("At 12:00 min no strand is just right. 3 still have a hard core.")
    assert pot.at_best_time.endswith("min would suit this batch better: then all are just right.")
    # The roundest time of all that are as good.
    assert pot.best_min * 2 == round(pot.best_min * 2)


def test_words_for_a_batch_of_two_kinds(batch):
    pot = pot_of(batch, strands_of([2.3, 2.3, 4.4, 4.4, 4.4]), sheet_of([3.0] * 9))
    over = "2 are too soft."
    assert pot.at.done < 5
    assert pot.at_best_time.startswith(clock(pot.best_min))
    assert f"Then 3 of 5 are just right. {over}" in pot.at_best_time


def test_where_no_other_time_is_better_it_says_so(batch):
    pot = pot_of(batch, strands_of([3.2, 3.2, 3.2, 2.0]), None)
    assert pot.at_house_time == ("At 12:00 min about 3 of 4 strands are just right. 1 is too soft.")
    assert pot.at_best_time == "No other time suits this batch better."


@pytest.mark.parametrize(
    ("minutes", "shown"),
    [(12, "12:00"), (6.8333, "6:50"), (0.1, "0:06"), (9.9999, "10:00"), (Decimal("8.50"), "8:30")],
)
def test_minutes_as_a_timer_shows_them(minutes, shown):
    assert clock(minutes) == shown
