"""Keep a drill: practice of one thing, which earns nothing and costs nothing."""

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.calculations.compact import pack_positions, pack_values
from assessments.calculations.instruments import measurement_check
from assessments.calculations.scoring import MINIMUM_READINGS, share_in_tolerance
from assessments.models import Drill, Event, Practice

FEWEST_VALUES = MINIMUM_READINGS


def keep_drill(
    cook, standard, kind, values_mm, *, client_key, by, instrument=None, note="", at=None
) -> Drill:
    """Keep a drill, now or ``at`` a moment; the same ``client_key`` again gives the same drill.

    ``values_mm`` gives a value in mm for each place, from 1: strands in the order of cutting, or
    points of the sheet row by row. An instrument that is too coarse for the tolerance leaves no
    share, as in a batch. Raises ``ValidationError`` for too few values, for a style that the cook
    does not practise, and for a key that came with other values before.
    """
    if len(values_mm) < FEWEST_VALUES:
        raise ValidationError(
            _("Type %(count)d values or more: fewer tell nothing."),
            params={"count": FEWEST_VALUES},
            code="few",
        )
    places = sorted(values_mm)
    drill = Drill(
        cook=cook,
        branch_id=_branch_id(cook, standard),
        style_id=standard.style_id,
        standard=standard,
        kind=kind,
        done_at=at or timezone.now(),
        instrument=instrument,
        repeatability_mm=_repeatability_mm(instrument),
        positions=pack_positions(places),
        values=pack_values([values_mm[place] for place in places]),
        note=note,
        client_key=client_key,
    )
    _count(drill)
    try:
        with transaction.atomic():
            drill.save()
            Event.record(
                Event.Verb.DRILL_DONE, actor=by, subject=cook, about=drill, at=drill.done_at
            )
    except IntegrityError:
        return _kept_before(drill)
    return drill


def _branch_id(cook, standard):
    practices = Practice.objects.filter(
        person=cook, style=standard.style_id, ended_on__isnull=True
    ).order_by("started_on", "pk")
    branch_id = practices.values_list("branch_id", flat=True).first()
    if branch_id is None:
        raise ValidationError(
            _("You do not practise %(style)s. Ask your head chef."),
            params={"style": standard.style},
            code="style",
        )
    return branch_id


def _repeatability_mm(instrument):
    known = instrument is not None and instrument.repeatability_mm is not None
    return float(instrument.repeatability_mm) if known else None


def _count(drill):
    """Write count, mean, spread and share beside the values, by the same rule as in a batch."""
    low_mm, high_mm = (
        drill.standard.width_limits_mm
        if drill.kind == Drill.Kind.STRANDS
        else drill.standard.thickness_limits_mm
    )
    sigma_m = drill.repeatability_mm or 0.0
    result = share_in_tolerance(drill.array, low_mm, high_mm, sigma_m)
    drill.n, drill.n_in, drill.mean, drill.sd = result.n, result.n_in, result.mean, result.sd
    if measurement_check(sigma_m, (high_mm - low_mm) / 2).grade != "too coarse":
        drill.share = result.share


def _kept_before(drill):
    """Return the drill that this page saved already, if it holds the same values."""
    same = {"kind": drill.kind, "positions": drill.positions, "values": drill.values}
    kept = Drill.objects.filter(client_key=drill.client_key, cook=drill.cook_id, **same).first()
    if kept is None:
        raise ValidationError(
            _("This page has saved a drill already. Save again to keep these values as another."),
            code="used",
        )
    return kept
