"""Trials of the photos: open one, read the caliper, add photos, close it."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.actions.measure_photograph import store_photograph
from assessments.calculations.compact import pack_values
from assessments.calculations.gauge import ENOUGH_STRANDS
from assessments.calculations.trials import verdict
from assessments.models import Event, Instrument, Trial

MOST_PHOTOGRAPHS = 30
"""For one trial: five people with six photos each."""


class TrialClosedError(ValidationError):
    """The trial is closed, so that nothing in it can be changed."""


def open_trial(*, client_key, by, at=None, **fields):
    """Open a trial, now or ``at`` a moment; the same ``client_key`` again gives the same trial.

    Raises ``ValidationError`` for fields that cannot be, and for the key of somebody else's.
    """
    sent_before = Trial.objects.filter(client_key=client_key, made_by=by)
    existing = sent_before.first()
    if existing is not None:
        return existing
    trial = Trial(client_key=client_key, made_by=by, **fields)
    trial.full_clean(exclude=["client_key"])
    try:
        with transaction.atomic():
            trial.save()
            Event.record(Event.Verb.TRIAL_OPENED, actor=by, about=trial, at=at)
    except IntegrityError:
        # The same form, sent twice at the same moment: the other one was a little faster.
        existing = sent_before.first()
        if existing is None:
            raise ValidationError(
                _("This page was used for another trial. Load it again."), code="used"
            ) from None
        return existing
    return trial


@transaction.atomic
def read_caliper(trial, number, widths_mm, *, caliper, by):
    """Keep the first or second (``number``) reading of the caliper.

    ``widths_mm`` has one value for each strand in the order laid, None for a missing one. Returns
    the trial. Raises ``TrialClosedError`` for a closed one, and ``ValidationError`` for a trial of
    repeated photos, for another number of values and where all are missing.
    """
    trial = _hold(trial)
    if not trial.is_comparison:
        raise ValidationError(_("This trial repeats photos: it has no caliper."), code="kind")
    widths_mm = list(widths_mm)
    if len(widths_mm) != trial.strands:
        raise ValidationError(
            _("There are %(count)d strands: give one value for each."),
            params={"count": trial.strands},
            code="count",
        )
    if all(width is None for width in widths_mm):
        raise ValidationError(_("Type at least one width."), code="empty")
    name = {1: "caliper_first", 2: "caliper_second"}[number]
    setattr(trial, name, pack_values(widths_mm))
    trial.caliper, trial.caliper_read_by = caliper, by
    trial.save(update_fields=[name, "caliper", "caliper_read_by"])
    return trial


@transaction.atomic
def add_photograph(trial, data, *, taken_by, client_key, bar_mm=None):
    """Keep a photo of the trial's strands and have it measured, see ``keep_photograph``.

    Raises ``RefusedError`` for a file that is no picture that can be measured,
    ``TrialClosedError`` for a closed trial and ``ValidationError`` when it has photos enough.
    """
    trial = _hold(trial)
    if trial.photographs.exclude(client_key=client_key).count() >= MOST_PHOTOGRAPHS:
        raise ValidationError(
            _("A trial takes %(most)d photos. Remove one that is not needed first."),
            params={"most": MOST_PHOTOGRAPHS},
            code="many",
        )
    return store_photograph(data, client_key=client_key, by=taken_by, trial=trial, bar_mm=bar_mm)


@transaction.atomic
def close_trial(trial, *, by, at=None):
    """Close a trial that shows something: it stays as it is, and the branch's cooks may read it.

    Raises ``ValidationError`` while a photo is still being measured or nothing can be told yet.
    """
    trial = _hold(trial)
    if trial.photographs.under_way().exists():
        raise ValidationError(
            _("A photo is still being measured. Wait for it, or remove it."), code="under_way"
        )
    result, _problems = trial.outcome(trial.photographs.measured().with_left_out())
    if result is None:
        raise ValidationError(
            _("There is no result yet. See what is missing, or discard the trial."), code="empty"
        )
    trial.closed_at = at or timezone.now()
    trial.grade = verdict(result, trial.half_tolerance_mm).grade
    trial.save(update_fields=["closed_at", "grade"])
    Event.record(Event.Verb.TRIAL_CLOSED, actor=by, about=trial, at=trial.closed_at)
    return trial


@transaction.atomic
def discard_trial(trial, *, by):
    """Take an open trial away, with its photos."""
    trial = _hold(trial)
    Event.record(Event.Verb.TRIAL_DISCARDED, actor=by, about=trial, name=trial.name)
    for photograph in trial.photographs.all():
        photograph.delete()
    trial.delete()


@transaction.atomic
def take_over_repeatability(trial, *, by):
    """Enter the caliper's repeatability, as this trial found it, at the instrument; return it.

    Readings from now on are scored with it; what was read before keeps what was known then.
    Raises ``ValidationError`` where the trial does not tell it from strands enough.
    """
    trial = Trial.objects.select_related("standard", "caliper").get(pk=trial.pk)
    result, _problems = trial.outcome(trial.photographs.measured().with_left_out())
    found = getattr(result, "caliper", None)
    if trial.caliper is None or found is None or found.n < ENOUGH_STRANDS:
        raise ValidationError(
            _("Choose the caliper, and read %(count)d strands or more twice with it."),
            params={"count": ENOUGH_STRANDS},
            code="few",
        )
    caliper = Instrument.objects.select_for_update().get(pk=trial.caliper_id)
    before = caliper.repeatability_mm
    caliper.repeatability_mm = Decimal(f"{found.sigma_m:.4f}")
    caliper.save(update_fields=["repeatability_mm"])
    Event.record(
        Event.Verb.REPEATABILITY_SET,
        actor=by,
        about=caliper,
        trial=trial.pk,
        before=None if before is None else str(before),
        after=str(caliper.repeatability_mm),
    )
    return caliper


def _hold(trial):
    """Keep others from changing the trial until the transaction ends; refuse a closed one."""
    held = Trial.objects.select_for_update(of=("self",)).select_related("standard", "caliper")
    trial = held.get(pk=trial.pk)
    if not trial.is_open:
        raise TrialClosedError(
            _("This trial is closed: it stays as it was. Open a new one."), code="closed"
        )
    return trial
