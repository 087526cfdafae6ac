"""Open a batch, record what is measured, finish it or give it up."""

import secrets
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.actions.assessors import propose_second_look
from assessments.actions.evidence import refresh_practices
from assessments.actions.score_batch import score_batch
from assessments.calculations.compact import pack_positions, pack_values, summary
from assessments.calculations.dough import SeasonRow, season_row
from assessments.models import (
    Batch,
    Event,
    FoundPattern,
    Instrument,
    ReadingSet,
    Stage,
    Tried,
)
from training.models import HousePolicy, StandardVersion


class BatchClosedError(ValidationError):
    """The batch is finished or given up, so that this can no longer be done with it."""


def season_for(standard, *, month, room_c):
    """Return the season row of ``standard`` for a month or, where known, a room temperature."""
    rows = [
        SeasonRow(
            name=season.name,
            months=season.months,
            room_from_c=None if season.room_from_c is None else float(season.room_from_c),
            hydration_percent=float(season.hydration_percent),
            salt_percent=float(season.salt_percent),
        )
        for season in standard.seasons.all()
    ]
    return season_row(rows, month, None if room_c is None else float(room_c))


def standard_for(style, day):
    """Return the version of ``style`` in force on ``day``; ValidationError when there is none."""
    version = StandardVersion.objects.in_force(day).filter(style=style).first()
    if version is None:
        raise ValidationError(
            _("No house standard of %(style)s is in force on %(day)s. Ask your head chef."),
            params={"style": style, "day": day},
            code="no_standard",
        )
    return version


def plan_stages(batch):
    """Return the stages of ``batch`` in the order of its standard, unsaved."""
    kind = Stage.Kind
    plan = [(kind.WEIGH, 0, None), (kind.MIX, 0, None)]
    for number, work in enumerate(batch.standard.rounds.all(), start=1):
        if work.tread_min:
            plan.append((kind.TREAD, number, work.tread_min))
        if work.rest_min:
            plan.append((kind.REST, number, work.rest_min))
    plan += [
        (kind.ROLL, 0, None),
        (kind.CUT, 0, None),
        (kind.BOIL, 0, batch.standard.boil_time_min),
        (kind.COOL, 0, None),
    ]
    return [
        Stage(batch=batch, kind=name, round=number, planned_min=minutes, position=position)
        for position, (name, number, minutes) in enumerate(plan, start=1)
    ]


def open_batch(
    *, cook, branch, style, portions, room_c, client_key, by, made_on=None, strands_expected=None
):
    """Open a batch with its stages; the same ``client_key`` again gives the same batch.

    Raises ``ValidationError`` when no version of the standard is in force, and for the key of
    somebody else's batch.
    """
    sent_before = Batch.objects.filter(client_key=client_key, cook=cook)
    existing = sent_before.first()
    if existing is not None:
        return existing
    try:
        return _open_batch(
            cook, branch, style, portions, room_c, client_key, by, made_on, strands_expected
        )
    except IntegrityError:
        # The same form, sent twice at the same moment: the other one was a little faster.
        existing = sent_before.first()
        if existing is None:
            raise ValidationError(
                _("This page was used for another batch. Load it again."), code="used"
            ) from None
        return existing


@transaction.atomic
def _open_batch(cook, branch, style, portions, room_c, client_key, by, made_on, strands_expected):
    made_on = made_on or timezone.localdate()
    standard = standard_for(style, made_on)
    season = season_for(standard, month=made_on.month, room_c=room_c)
    batch = Batch(
        cook=cook,
        branch=branch,
        style=style,
        standard=standard,
        client_key=client_key,
        made_on=made_on,
        opened_by=by,
        portions=portions,
        room_c=room_c,
        season_name=season.name,
        hydration_target_percent=round(season.hydration_percent, 2),
        salt_target_percent=round(season.salt_percent, 2),
        strands_expected=strands_expected,
        # Fixed before cutting: choosing strands afterwards defeats every rule.
        strand_seed=secrets.randbelow(2**31),
    )
    batch.full_clean(exclude=["client_key"])
    batch.save()
    Stage.objects.bulk_create(plan_stages(batch))
    Event.record(Event.Verb.BATCH_OPENED, actor=by, subject=cook, about=batch)
    propose_second_look(batch)
    return batch


def reading_set(
    batch, quantity, values, *, by, positions=None, instrument=None, read_at=None, **stated
):
    """Return one quantity of a batch as a row with its summary, unsaved.

    ``stated`` are further fields that the instrument states of these values, in place of what is
    known of it.
    """
    repeatability_mm = None
    if instrument is not None and instrument.repeatability_mm is not None:
        repeatability_mm = float(instrument.repeatability_mm)
    figures = summary(values)
    return ReadingSet(
        batch=batch,
        quantity=quantity,
        unit=ReadingSet.UNITS[quantity],
        instrument=instrument,
        **({"repeatability_mm": repeatability_mm} | stated),
        read_by=by,
        read_at=read_at or timezone.now(),
        positions=pack_positions(list(positions or range(1, len(values) + 1))),
        values=pack_values(values),
        n=figures.n,
        mean=figures.mean,
        sd=None if figures.sd is None or np.isnan(figures.sd) else figures.sd,
        minimum=figures.minimum,
        maximum=figures.maximum,
    )


@dataclass(frozen=True, slots=True)
class Entry:
    """The values of one quantity as a stage's page brought them, in the unit of the quantity."""

    quantity: str
    values: tuple[float, ...]
    positions: tuple[int, ...]
    instrument: Instrument | None = None


@transaction.atomic
def record_readings(
    batch, quantity, values, *, by, positions=None, instrument=None, read_at=None, **stated
):
    """Store the values of one quantity; another set than the current one becomes a correction.

    While the batch is open, typing on is no correction: a set that holds every value of the
    current one, read by the same person with the same instrument, takes its place.

    Parameters
    ----------
    values : sequence of float or None
        In the unit of the quantity (``ReadingSet.UNITS``); at least one is a number.
    positions : sequence of int, optional
        Places from 1; by default 1, 2, 3...
    **stated
        Further fields of the row, as ``reading_set`` takes them.

    Returns the current ``ReadingSet``. Raises ``BatchClosedError`` for a batch given up and
    ``ValidationError`` when there is no value.
    """
    _hold(batch)
    values = [None if value is None else float(value) for value in values]
    if not any(value is not None for value in values):
        raise ValidationError(_("Type at least one value."), code="empty")
    readings, changed = _store(
        batch,
        reading_set(
            batch,
            quantity,
            values,
            by=by,
            positions=positions,
            instrument=instrument,
            read_at=read_at,
            **stated,
        ),
    )
    if changed:
        _bring_up_to_date(batch)
    return readings


@transaction.atomic
def save_stage(stage, entries, *, by, done):
    """Record what the page of a stage brought, and with ``done`` close the stage.

    Raises ``BatchClosedError`` for a batch given up.
    """
    batch = stage.batch
    _hold(batch)
    changes = [
        _store(
            batch,
            reading_set(
                batch,
                entry.quantity,
                entry.values,
                by=by,
                positions=entry.positions,
                instrument=entry.instrument,
            ),
        )
        for entry in entries
    ]
    if any(changed for _readings, changed in changes):
        _bring_up_to_date(batch)
    if done:
        finish_stage(stage)


def _hold(batch):
    """Keep others from changing the batch until the transaction ends; refuse one given up."""
    held = Batch.objects.select_for_update().get(pk=batch.pk)
    batch.state, batch.score_seen_at = held.state, held.score_seen_at
    batch.strands_expected = held.strands_expected
    if batch.state == Batch.State.ABANDONED:
        raise BatchClosedError(_("This batch was given up. Open a new one."), code="closed")


def _store(batch, readings):
    """Return the current set and whether ``readings`` changed it."""
    sets = ReadingSet.objects.filter(batch=batch, quantity=readings.quantity)
    current = sets.current().first()
    same_tool = False
    if current is not None:
        same_values = bytes(current.values) == readings.values
        same_places = bytes(current.positions) == readings.positions
        # Typed values name no software: those of a photo, sent again unchanged, stay the photo's.
        same_software = readings.software in ("", current.software)
        same_tool = same_software and current.instrument_id == readings.instrument_id
        same_rest = not readings.software or current.left_out == readings.left_out
        if same_values and same_places and same_tool and same_rest:
            return current, False
    _refuse_typed_photo(readings)
    if current is not None:
        if batch.is_open and same_tool and _goes_on(current, readings):
            readings.pk, readings.revision = current.pk, current.revision
            readings.save(force_update=True)
            return readings, True
        sets.current().update(is_current=False)
    readings.revision = (sets.aggregate(n=Max("revision"))["n"] or 0) + 1
    readings.after_score = batch.score_seen_at is not None
    readings.save()
    verb = Event.Verb.READINGS_CORRECTED if current else Event.Verb.READINGS_RECORDED
    Event.record(
        verb,
        actor=readings.read_by,
        subject=batch.cook,
        about=batch,
        quantity=readings.quantity,
        n=readings.n,
    )
    return readings, True


def _refuse_typed_photo(readings):
    tool = readings.instrument
    if tool is not None and tool.kind == Instrument.Kind.PHOTO and not readings.software:
        raise ValidationError(
            _("A photo measures by itself. Name the tool that these values were read with."),
            code="photo",
        )


def _goes_on(current, readings):
    """Whether every value of ``current`` is still there, read by the same person."""
    earlier = dict(zip(current.places.tolist(), current.array.tolist(), strict=True))
    now = dict(zip(readings.places.tolist(), readings.array.tolist(), strict=True))
    return current.read_by_id == readings.read_by_id and earlier.items() <= now.items()


def _bring_up_to_date(batch):
    if batch.state == Batch.State.FINISHED:
        score_batch(batch)
        refresh_practices(batch.cook, batch.style)


@transaction.atomic
def expect_strands(batch, total):
    """Fix how many strands the dough gives, and with it which of them are measured.

    Raises ``BatchClosedError`` for a batch that is closed and ``ValidationError`` when widths
    are there already: strands must be chosen before they are measured.
    """
    _hold(batch)
    if batch.strands_expected == total:
        return
    if not batch.is_open:
        raise BatchClosedError(
            _("This batch is finished. The number of strands can no longer be changed."),
            code="closed",
        )
    widths = batch.reading_sets.current().filter(quantity=ReadingSet.Quantity.WIDTH)
    if batch.strands_expected is not None and (widths.exists() or batch.photographs.exists()):
        raise ValidationError(
            _(
                "The number of strands stays at %(total)d: widths are measured already, and the "
                "strands to measure must be chosen before. Leave a strand empty that is not there."
            ),
            params={"total": batch.strands_expected},
            code="fixed",
        )
    batch.strands_expected = total
    batch.save(update_fields=["strands_expected"])


@dataclass(frozen=True, slots=True)
class TriedAnswer:
    """Whether a cook tried what an earlier batch had asked for: a ``Tried.Answer``."""

    earlier_id: int
    answer: str


@transaction.atomic
def finish_batch(batch, *, by, tried=None):
    """Close an open batch, score it and bring the cook's evidence up to date.

    ``tried`` is a ``TriedAnswer`` or None; it is kept once, also where it comes late, for a batch
    that is finished already and otherwise stays as it is. Raises ``BatchClosedError`` for one
    given up and ``ValidationError`` when neither width nor thickness has been measured, or while
    a photo is being measured: widths that come after the score was seen would not count.
    """
    batch = (
        Batch.objects.select_for_update(of=("self",))
        .select_related("cook", "standard", "style")
        .get(pk=batch.pk)
    )
    if batch.state == Batch.State.FINISHED:
        _keep_tried(batch, tried, by=by)
        return batch
    if batch.state == Batch.State.ABANDONED:
        raise BatchClosedError(_("This batch was given up. Open a new one."), code="closed")
    if batch.photographs.under_way().exists():
        raise ValidationError(
            _("A photo is still being measured. Wait until it is done, or remove it."),
            code="measuring",
        )
    lengths = [ReadingSet.Quantity.WIDTH, ReadingSet.Quantity.THICKNESS]
    if not batch.reading_sets.current().filter(quantity__in=lengths).exists():
        raise ValidationError(
            _("Measure the sheet or the strands first: without a reading there is no score."),
            code="unmeasured",
        )
    batch.state = Batch.State.FINISHED
    batch.finished_at = timezone.now()
    batch.save(update_fields=["state", "finished_at"])
    _keep_tried(batch, tried, by=by)
    score_batch(batch)
    refresh_practices(batch.cook, batch.style)
    Event.record(
        Event.Verb.BATCH_FINISHED,
        actor=by,
        subject=batch.cook,
        about=batch,
        score=batch.score.score,
    )
    return batch


def _keep_tried(batch, tried, *, by):
    """Keep the first answer to what another batch of the cook and style still says first."""
    if tried is None:
        return
    asked = (
        FoundPattern.objects.filter(batch=tried.earlier_id, place=0, style=batch.style_id)
        .filter(batch__cook=batch.cook_id)
        .exclude(batch=batch)
        .first()
    )
    if asked is None:
        return
    Tried.objects.get_or_create(
        batch=batch,
        defaults={
            "earlier_id": asked.batch_id,
            "part": asked.part,
            "kind": asked.kind,
            "direction": asked.direction,
            "answer": tried.answer,
            "answered_by": by,
        },
    )


@transaction.atomic
def abandon_batch(batch, *, by):
    """Give an open batch up; it costs points on every part until an assessor excuses it."""
    held = Batch.objects.select_for_update(of=("self",))
    batch = held.select_related("cook", "style").get(pk=batch.pk)
    if batch.state == Batch.State.FINISHED:
        raise BatchClosedError(
            _("This batch is finished and scored. It can no longer be given up."), code="closed"
        )
    if batch.state == Batch.State.ABANDONED:
        return batch
    batch.state = Batch.State.ABANDONED
    batch.abandoned_at = timezone.now()
    batch.save(update_fields=["state", "abandoned_at"])
    refresh_practices(batch.cook, batch.style)
    Event.record(Event.Verb.BATCH_ABANDONED, actor=by, subject=batch.cook, about=batch)
    return batch


def close_stale_batches(*, now=None):
    """Give up every open batch older than the house allows; return how many."""
    now = now or timezone.now()
    limit = now - timedelta(days=HousePolicy.load().abandon_after_days)
    stale = Batch.objects.filter(state=Batch.State.OPEN, opened_at__lt=limit)
    closed = 0
    for batch in stale.iterator():
        abandon_batch(batch, by=None)
        closed += 1
    return closed


def see_score(batch):
    """Note that the cook has seen the score: later changes of readings no longer count."""
    if batch.score_seen_at is None and batch.state == Batch.State.FINISHED:
        Batch.objects.filter(pk=batch.pk, score_seen_at__isnull=True).update(
            score_seen_at=timezone.now()
        )


def start_timer(stage, *, at=None, again=False):
    """Start the timer of a stage, once; a second press changes nothing unless ``again``.

    Raises ``BatchClosedError`` when the batch is no longer open.
    """
    if not stage.batch.is_open:
        raise BatchClosedError(_("This batch is closed: its timers have ended."), code="closed")
    stages = Stage.objects.filter(pk=stage.pk)
    if not again:
        stages = stages.filter(timer_started_at__isnull=True)
    stages.update(timer_started_at=at or timezone.now())
    stage.refresh_from_db(fields=["timer_started_at"])
    return stage


def finish_stage(stage, *, at=None):
    """Note when a stage was done, once."""
    Stage.objects.filter(pk=stage.pk, done_at__isnull=True).update(done_at=at or timezone.now())
    stage.refresh_from_db(fields=["done_at"])
    return stage
