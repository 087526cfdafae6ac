"""Opening, recording, finishing and giving up: what is kept, and what is refused."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.utils import timezone

from assessments.actions import log_batch
from assessments.actions.log_batch import (
    BatchClosedError,
    Entry,
    abandon_batch,
    close_stale_batches,
    expect_strands,
    finish_batch,
    finish_stage,
    open_batch,
    record_readings,
    save_stage,
    start_timer,
)
from assessments.models import Batch, Event, ReadingSet, Stage
from tests import factories
from training.models import Season, StandardVersion

Quantity = ReadingSet.Quantity


@pytest.fixture
def batch(house):
    return factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)


def opened(house, **changes):
    wanted = {
        "cook": house.cook,
        "branch": house.branch,
        "style": house.style,
        "portions": 10,
        "room_c": None,
        "client_key": uuid.uuid4(),
        "by": house.cook,
    }
    return open_batch(**(wanted | changes))


def widths(batch):
    return ReadingSet.objects.filter(batch=batch, quantity=Quantity.WIDTH)


def test_a_batch_opens_with_the_stages_of_its_standard(house):
    batch = opened(house)
    assert batch.standard == house.standard
    assert [(stage.kind, stage.round) for stage in batch.stages.all()] == [
        ("weigh", 0),
        ("mix", 0),
        ("tread", 1),
        ("rest", 1),
        ("tread", 2),
        ("rest", 2),
        ("roll", 0),
        ("cut", 0),
        ("boil", 0),
        ("cool", 0),
    ]
    assert batch.hydration_target_percent == 46
    assert Event.objects.filter(verb="batch_opened", object_id=batch.pk).count() == 1


def test_the_room_decides_the_season_before_the_month_does(house):
    draft = factories.StandardFactory(
        style=house.style, in_force_from=factories.days_ago(1), recipe=False
    )
    draft.seasons.all().delete()
    for name, first, last, room_c, water in (("cool", 1, 12, 5, 48), ("hot", 1, 1, 26, 44)):
        Season.objects.create(
            standard=draft,
            name=name,
            from_month=first,
            to_month=last,
            room_from_c=room_c,
            hydration_percent=water,
            salt_percent=5,
        )
    StandardVersion.objects.filter(pk=draft.pk).update(
        published_at=timezone.now(), published_by=house.owner
    )
    assert opened(house, room_c=28).season_name == "hot"
    assert opened(house, room_c=12).hydration_target_percent == 48


def test_a_form_sent_twice_opens_one_batch(house):
    key = uuid.uuid4()
    assert opened(house, client_key=key) == opened(house, client_key=key, portions=30)
    assert Batch.objects.count() == 1


def test_a_form_sent_twice_at_the_same_moment_opens_one_batch(house, monkeypatch):
    the_other = log_batch._open_batch

    def a_little_late(*wanted):
        the_other(*wanted)
        raise IntegrityError

    monkeypatch.setattr(log_batch, "_open_batch", a_little_late)
    batch = opened(house)
    assert Batch.objects.get() == batch


def test_without_a_standard_in_force_no_batch_opens(house):
    with pytest.raises(ValidationError, match="No house standard"):
        opened(house, style=factories.StyleFactory())


def test_the_strands_to_measure_are_fixed_when_the_batch_opens(house, monkeypatch):
    monkeypatch.setattr("secrets.randbelow", lambda most: most - 1)
    assert opened(house).strand_seed == 2**31 - 1


def test_typing_on_is_no_correction(batch):
    first = record_readings(batch, Quantity.WIDTH, [3.1, 3.2], by=batch.cook, positions=[3, 7])
    second = record_readings(
        batch, Quantity.WIDTH, [3.1, 3.2, 3.3], by=batch.cook, positions=[3, 7, 12]
    )
    assert (second.pk, second.revision, second.n) == (first.pk, 1, 3)
    assert widths(batch).count() == 1
    assert Event.objects.filter(object_id=batch.pk, verb="readings_recorded").count() == 1


@pytest.mark.parametrize(
    ("values", "positions"),
    [
        pytest.param([3.4, 3.2], [3, 7], id="another value"),
        pytest.param([3.2], [7], id="a value less"),
        pytest.param([3.1, 3.2], [3, 8], id="another strand"),
    ],
)
def test_a_changed_value_is_a_correction_and_the_earlier_one_stays(batch, values, positions):
    record_readings(batch, Quantity.WIDTH, [3.1, 3.2], by=batch.cook, positions=[3, 7])
    corrected = record_readings(batch, Quantity.WIDTH, values, by=batch.cook, positions=positions)
    assert corrected.revision == 2
    earlier = widths(batch).get(revision=1)
    assert not earlier.is_current
    assert earlier.array.tolist() == [3.1, 3.2]
    assert Event.objects.filter(object_id=batch.pk, verb="readings_corrected").count() == 1


def test_the_same_values_again_change_nothing(batch):
    once = record_readings(batch, Quantity.WIDTH, [3.1, 3.2], by=batch.cook)
    again = record_readings(batch, Quantity.WIDTH, [3.1, 3.2], by=batch.cook)
    assert again == once
    assert widths(batch).count() == 1


def test_another_instrument_is_a_correction(batch):
    record_readings(batch, Quantity.WIDTH, [3.1], by=batch.cook)
    caliper = factories.InstrumentFactory()
    again = record_readings(batch, Quantity.WIDTH, [3.1], by=batch.cook, instrument=caliper)
    assert (again.revision, again.repeatability_mm) == (2, 0.07)


def test_nothing_is_no_reading(batch):
    with pytest.raises(ValidationError, match="at least one value"):
        record_readings(batch, Quantity.WIDTH, [None, None], by=batch.cook)


def test_save_stage_records_all_quantities_and_closes_the_stage(batch):
    stage = batch.stages.get(kind="weigh")
    entries = [
        Entry(Quantity.FLOUR, (1000.0,), (1,)),
        Entry(Quantity.WATER, (460.0,), (1,)),
    ]
    save_stage(stage, entries, by=batch.cook, done=True)
    stage.refresh_from_db()
    assert stage.done_at is not None
    assert batch.reading_sets.current().count() == 2


def test_finishing_scores_and_a_second_time_changes_nothing(batch):
    record_readings(batch, Quantity.WIDTH, factories.GOOD_WIDTHS_MM, by=batch.cook)
    finished = finish_batch(batch, by=batch.cook)
    again = finish_batch(batch, by=batch.cook)
    assert again.finished_at == finished.finished_at
    assert finished.score.score > 90
    assert Event.objects.filter(object_id=batch.pk, verb="batch_finished").count() == 1


def test_a_batch_without_a_length_cannot_be_finished(batch):
    record_readings(batch, Quantity.FLOUR, [1000], by=batch.cook)
    with pytest.raises(ValidationError, match="Measure the sheet or the strands first"):
        finish_batch(batch, by=batch.cook)


def test_readings_changed_after_the_score_was_seen_earn_nothing(house):
    batch = factories.finished_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    log_batch.see_score(batch)
    record_readings(batch, Quantity.WIDTH, [3.2] * 20, by=batch.cook)
    batch.score.refresh_from_db()
    assert batch.score.width_points is None
    assert batch.score.width_not_counted == "changed"
    assert batch.score.thickness_points > 0


def test_readings_changed_before_the_score_was_seen_are_scored_anew(house):
    batch = factories.finished_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    record_readings(batch, Quantity.WIDTH, [3.2] * 20, by=batch.cook)
    batch.score.refresh_from_db()
    assert batch.score.width_share == 1
    assert batch.score.width_points == pytest.approx(20)


def test_a_given_up_batch_takes_nothing_more(batch):
    abandon_batch(batch, by=batch.cook)
    assert abandon_batch(batch, by=batch.cook).state == Batch.State.ABANDONED
    with pytest.raises(BatchClosedError, match="given up"):
        record_readings(batch, Quantity.WIDTH, [3.2], by=batch.cook)
    with pytest.raises(BatchClosedError, match="given up"):
        finish_batch(batch, by=batch.cook)
    with pytest.raises(BatchClosedError, match="given up"):
        save_stage(batch.stages.get(kind="cool"), [], by=batch.cook, done=True)


def test_a_finished_batch_cannot_be_given_up(house):
    batch = factories.finished_batch(cook=house.cook, standard=house.standard)
    with pytest.raises(BatchClosedError, match="finished and scored"):
        abandon_batch(batch, by=batch.cook)


def test_open_batches_are_given_up_after_the_days_that_the_house_allows(batch, house):
    fresh = factories.BatchFactory(cook=house.cook, standard=house.standard)
    Batch.objects.filter(pk=batch.pk).update(opened_at=timezone.now() - timedelta(days=2, hours=1))
    assert close_stale_batches() == 1
    batch.refresh_from_db()
    fresh.refresh_from_db()
    assert (batch.state, fresh.state) == ("abandoned", "open")


def test_the_number_of_strands_is_fixed_once_widths_are_there(batch):
    Batch.objects.filter(pk=batch.pk).update(strands_expected=None)
    batch.refresh_from_db()
    expect_strands(batch, 60)
    expect_strands(batch, 50)
    record_readings(batch, Quantity.WIDTH, [3.2], by=batch.cook)
    expect_strands(batch, 50)
    with pytest.raises(ValidationError, match="stays at 50"):
        expect_strands(batch, 60)
    batch.refresh_from_db()
    assert batch.strands_expected == 50


def test_a_finished_batch_keeps_its_number_of_strands(house):
    batch = factories.finished_batch(cook=house.cook, standard=house.standard, widths_mm=[])
    with pytest.raises(BatchClosedError, match="finished"):
        expect_strands(batch, 12)


def test_a_timer_starts_once_unless_it_is_started_anew(batch):
    stage = batch.stages.get(kind="rest")
    at = datetime(2026, 3, 1, 8, tzinfo=UTC)
    start_timer(stage, at=at)
    start_timer(stage, at=at + timedelta(minutes=5))
    assert stage.timer_started_at == at
    start_timer(stage, at=at + timedelta(minutes=5), again=True)
    assert Stage.objects.get(pk=stage.pk).timer_started_at == at + timedelta(minutes=5)


def test_a_closed_batch_has_no_timers(batch):
    stage = batch.stages.get(kind="rest")
    stage.batch = abandon_batch(batch, by=batch.cook)
    with pytest.raises(BatchClosedError, match="timers have ended"):
        start_timer(stage)


def test_a_stage_is_done_once(batch):
    stage = batch.stages.get(kind="cool")
    at = datetime(2026, 3, 1, 8, tzinfo=UTC)
    finish_stage(stage, at=at)
    assert finish_stage(stage, at=at + timedelta(hours=1)).done_at == at
