"""What a draft would change, counted without changing anything, and publishing it."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from assessments.actions import publish_standard as publishing
from assessments.actions.publish_standard import publish_standard, weigh_change
from assessments.models import Event, Score
from tests import factories
from training.models import StandardVersion, Style
from training.models.standards import draft_from


@pytest.fixture
def draft(house):
    return draft_from(house.standard)


def change(draft, **fields):
    for name, value in fields.items():
        setattr(draft, name, Decimal(value))
    draft.save()
    return draft


def batch(house, **fields):
    made = {"cook": house.cook, "branch": house.branch, "standard": house.standard}
    return factories.finished_batch(**made | fields)


def test_same_numbers_change_nothing(house, draft):
    batch(house)
    result = weigh_change(draft)
    assert (result.batches, result.changed, result.parts, result.biggest) == (1, 0, 0, ())


def test_narrower_tolerance_lowers_a_score_and_nothing_is_stored(house, draft):
    uneven = [2.8, 3.6] * 10
    made = batch(house, widths_mm=uneven)
    stored = Score.objects.values().get()
    change(draft, width_tolerance_minus_mm="0.20", width_tolerance_plus_mm="0.20")
    result = weigh_change(draft)
    assert (result.changed, result.up, result.down, result.parts) == (1, 0, 1, 1)
    one = result.biggest[0]
    assert (one.batch, one.before) == (made, stored["score"])
    assert one.difference == one.after - one.before < 0
    assert Score.objects.values().get() == stored


def test_wider_tolerance_raises_a_score(house, draft):
    batch(house, widths_mm=[2.6, 3.8] * 10)
    change(draft, width_tolerance_minus_mm="0.90", width_tolerance_plus_mm="0.90")
    result = weigh_change(draft)
    assert (result.up, result.down) == (1, 0)


def test_water_is_compared_by_its_tolerance_only(house, draft):
    batch(house, water_g=465)
    season = draft.seasons.get()
    season.hydration_percent = 60
    season.save()
    assert weigh_change(draft).changed == 0
    change(draft, hydration_tolerance_plus_pp="0.10")
    assert weigh_change(draft).parts == 1


def test_only_this_style_and_the_last_90_days(house, draft):
    today = timezone.localdate()
    batch(house, made_on=today - timedelta(days=89))
    batch(house, made_on=today - timedelta(days=90))
    factories.finished_batch(standard=factories.StandardFactory())
    factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    assert weigh_change(draft).batches == 1


def test_at_most_so_many_batches_and_it_says_so(house, draft, monkeypatch):
    monkeypatch.setattr(publishing, "MOST_BATCHES", 2)
    newest = [batch(house) for _n in range(3)][1:]
    change(draft, width_tolerance_minus_mm="0.01", width_tolerance_plus_mm="0.01")
    result = weigh_change(draft)
    assert (result.batches, result.left_out) == (2, True)
    assert {one.batch.pk for one in result.biggest} == {one.pk for one in newest}


def test_same_queries_for_one_and_for_ten_batches(house, draft, django_assert_num_queries):
    batch(house)
    with django_assert_num_queries(3):
        weigh_change(draft)
    for _n in range(9):
        batch(house)
    with django_assert_num_queries(3):
        assert weigh_change(draft).batches == 10


def test_publishing_writes_it_down(house, draft):
    today = timezone.localdate()
    version = publish_standard(draft, in_force_from=today, by=house.editor)
    assert StandardVersion.objects.in_force(today).get(style=house.style) == version
    event = Event.objects.get(verb=Event.Verb.STANDARD_PUBLISHED)
    assert (event.actor, event.object_id, event.data["number"]) == (house.editor, version.pk, 2)


def test_first_version_of_a_style_may_begin_in_the_past(house):
    style = Style.objects.create(name="new", slug="new")
    draft = factories.StandardFactory(style=style, recipe=False, in_force_from=None)
    day = timezone.localdate() - timedelta(days=30)
    assert publish_standard(draft, in_force_from=day, by=house.owner).in_force_from == day


@pytest.mark.parametrize("days", [-1, -400])
def test_later_versions_do_not_begin_in_the_past(house, draft, days):
    day = timezone.localdate() + timedelta(days=days)
    with pytest.raises(ValidationError) as caught:
        publish_standard(draft, in_force_from=day, by=house.editor)
    assert set(caught.value.message_dict) == {"in_force_from"}
    assert not Event.objects.filter(verb=Event.Verb.STANDARD_PUBLISHED).exists()


def test_a_recipe_that_is_not_whole_is_not_published(house, draft):
    draft.flours.all().delete()
    draft.save()
    with pytest.raises(ValidationError):
        publish_standard(draft, in_force_from=timezone.localdate(), by=house.editor)
    assert StandardVersion.objects.get(pk=draft.pk).in_force_from is None


def test_one_version_for_a_day(house, draft):
    today = timezone.localdate()
    publish_standard(draft, in_force_from=today, by=house.editor)
    with pytest.raises(ValidationError, match="already published for that day"):
        publish_standard(draft_from(house.standard), in_force_from=today, by=house.editor)
