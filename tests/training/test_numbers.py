"""Numbers of the house standard as cooks read them."""

from datetime import date
from decimal import Decimal

import pytest

from tests import factories
from training.curriculum.blocks import STANDARD_KEYS
from training.models import Season, StandardVersion
from training.numbers import LABELS, fill, minutes, numbers_of, plain, unknown_keys
from training.summaries import shown_standard


def test_every_key_of_the_curriculum_has_a_number():
    assert set(LABELS) == set(STANDARD_KEYS)


@pytest.mark.parametrize(
    ("value", "shown"),
    [(Decimal("3.20"), "3.2"), (Decimal("150"), "150"), (Decimal("0.50"), "0.5"), (46, "46")],
)
def test_plain_drops_zeros_that_say_nothing(value, shown):
    assert plain(value) == shown


@pytest.mark.parametrize(
    ("length", "shown"),
    [(1, "1 minute"), (Decimal("1.5"), "1.5 minutes"), (Decimal("12.0"), "12 minutes")],
)
def test_minutes_in_words(length, shown):
    assert minutes(length) == shown


def test_numbers_of_a_standard(house):
    numbers = numbers_of(house.standard, month=1)
    assert {key: number.text for key, number in numbers.items()} == {
        "hydration": "46 % of the flour",
        "salt": "5 % of the flour",
        # Salt to water is 5/46; mass fraction, by its definition, is salt to salt and water: 5/51.
        "brine": "109 g salt to 1000 g water, that is 9.8 % salt in the brine",
        "flour_blend": "100 % plain wheat flour",
        "dough_temperature": "25 °C",
        "treading_rounds": "2 rounds of 5 minutes",
        "rests": "30 minutes",
        "thickness": "3 mm (2.6 to 3.4 mm)",
        "width": "3.2 mm (2.7 to 3.7 mm)",
        "strands_to_measure": "20 strands",
        "thickness_points": "9 points (3 along, 3 across)",
        "portion": "150 g",
        "boil_time": "12 minutes",
    }


@pytest.fixture
def seasons(house):
    """A draft with a winter over the turn of the year and a salt-free summer."""
    draft = factories.StandardFactory(style=house.style, recipe=False, in_force_from=None)
    draft.seasons.all().delete()
    for order, row in enumerate(
        [
            {"name": "summer", "from_month": 4, "to_month": 10, "hydration_percent": 44},
            {"name": "winter", "from_month": 11, "to_month": 3, "hydration_percent": 47},
        ]
    ):
        Season.objects.create(standard=draft, sort_order=order, **row)
    return StandardVersion.objects.get(pk=draft.pk)


@pytest.mark.parametrize(
    ("month", "names"), [(1, ["winter", "summer"]), (7, ["summer", "winter"]), (11, ["winter"])]
)
def test_season_of_the_month_comes_first(seasons, month, names):
    rows = numbers_of(seasons, month=month)["hydration"].rows
    assert [row.label.split(" ")[0] for row in rows][: len(names)] == names
    assert [row.is_today for row in rows] == [True, False]


def test_a_brine_without_salt_is_none(seasons):
    assert numbers_of(seasons, month=7)["brine"].text == "no salt"


def test_fill_escapes_text_and_keeps_unknown_places_readable(house):
    numbers = numbers_of(house.standard, month=1)
    text = fill("<b>Cut</b> {{ width }} and {{nothing}}", numbers)
    assert text == (
        '&lt;b&gt;Cut&lt;/b&gt; <strong class="number">3.2 mm (2.7 to 3.7 mm)</strong> and '
        '<strong class="number">see the bench sheet</strong>'
    )


def test_unknown_keys():
    assert unknown_keys("{{width}} {{ breadth }} {{}}") == ["breadth", ""]


def test_style_shown_is_asked_for_then_practised_then_first(house):
    first = factories.StandardFactory(style=factories.StyleFactory(name="a", position=0))
    factories.StandardFactory(style=factories.StyleFactory(name="b", position=9))
    type(house.style).objects.filter(pk=house.style.pk).update(position=5)
    assert shown_standard(house.cook).version == house.standard
    assert shown_standard(house.chef).version == first
    assert shown_standard(house.chef, house.style.slug).version == house.standard
    assert shown_standard(house.chef, "no-such-style").version == first
    assert [one.name for one in shown_standard(house.cook).choices] == ["a", "thick wheat", "b"]


def test_no_standard_in_force(db):
    shown = shown_standard(None)
    assert (shown.version, shown.choices, shown.minutes("rest")) == (None, (), ())


def test_version_to_come_is_not_shown(house):
    factories.StandardFactory(style=house.style, in_force_from=date(2999, 1, 1))
    assert shown_standard(house.cook).version == house.standard


@pytest.mark.parametrize(("source", "lengths"), [("rest", (30,)), ("tread", (5,)), ("boil", (12,))])
def test_timer_lengths_once_where_rounds_are_alike(house, source, lengths):
    assert shown_standard(house.cook).minutes(source) == lengths
