"""Who practises which style at which station: entered and ended by a head chef."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.actions.evidence import refresh_practices
from assessments.models import Event, Practice


@transaction.atomic
def enter_practice(cook, *, branch_id, style, station, by):
    """Enter that ``cook`` practises ``style`` at ``station``; one that was ended goes on.

    Batches and decisions of earlier stay with it. Raises ``ValidationError`` when the cook has
    left the house or practises there already.
    """
    if not cook.is_active:
        raise ValidationError(
            _("%(cook)s has left the house."), params={"cook": cook}, code="inactive"
        )
    practice = (
        Practice.objects.select_for_update(no_key=True)
        .filter(person=cook, style=style, station=station)
        .first()
    )
    today = timezone.localdate()
    if practice is None:
        practice = Practice.objects.create(
            person=cook, branch_id=branch_id, style=style, station=station, started_on=today
        )
    elif practice.ended_on is None:
        raise ValidationError(
            _("%(cook)s practises %(style)s at this station already: %(station)s."),
            params={"cook": cook, "style": style, "station": station},
            code="already",
        )
    else:
        Practice.objects.filter(pk=practice.pk).update(
            ended_on=None, started_on=today, branch=branch_id
        )
    refresh_practices(cook, style)
    Event.record(
        Event.Verb.PRACTICE_ENTERED,
        actor=by,
        subject=cook,
        about=practice,
        style=style.name,
        station=station.name,
    )
    practice.refresh_from_db()
    return practice


@transaction.atomic
def end_practice(practice, *, by):
    """Note that the cook no longer practises there; the record and its decisions are kept.

    Ended again, nothing changes.
    """
    practice = (
        Practice.objects.select_for_update(of=("self",), no_key=True)
        .select_related("person", "style", "station")
        .get(pk=practice.pk)
    )
    if practice.ended_on is not None:
        return practice
    practice.ended_on = timezone.localdate()
    practice.save(update_fields=["ended_on"])
    Event.record(
        Event.Verb.PRACTICE_ENDED,
        actor=by,
        subject=practice.person,
        about=practice,
        style=practice.style.name,
        station=practice.station.name,
    )
    return practice
