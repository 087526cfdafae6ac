"""Whether sign-offs are current, in words: why a renewal is due, and when one draws near."""

import math
from datetime import datetime, time, timedelta

from django.db.models import Q
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.monitoring import WATCH, Currency
from assessments.calculations.standing import State

NEAR_DAYS = 14
NEAR_SHARE = 0.75
"""Of the house's days without a batch: 45 of 60."""

HOLDS = Q(sign_off__isnull=False, withdrawn_at__isnull=True)


def due_conditions(today, policy) -> tuple[tuple[Q, Currency], ...]:
    """Return the reasons for a renewal as conditions on a practice; the first that holds.

    A test compares every case with ``Practice.standing``.
    """
    return (
        (HOLDS & Q(station__measured=True, alarm_on__isnull=False), Currency.EVENNESS),
        (_idle(today, policy.recent_practice_days + 1), Currency.NO_RECENT_BATCH),
        (HOLDS & Q(sign_off__due_on__lte=today), Currency.DATE),
    )


def due_condition(today, policy) -> Q:
    """Return the condition on a practice that its renewal is due."""
    return _any(condition for condition, _reason in due_conditions(today, policy))


def near_condition(today, policy) -> Q:
    """Return the condition on a practice that its renewal draws near, or is due."""
    return _any(
        (
            HOLDS & Q(station__measured=True, warning__gte=WATCH),
            _idle(today, near_idle_days(policy)),
            HOLDS & Q(sign_off__due_on__lte=today + timedelta(days=NEAR_DAYS)),
        )
    )


def _idle(today, days) -> Q:
    """Return the condition that neither a batch nor the sign-off is less than ``days`` old."""
    last = today - timedelta(days=days)
    tomorrow = timezone.make_aware(datetime.combine(last + timedelta(days=1), time.min))
    no_batch = Q(last_batch_on__isnull=True) | Q(last_batch_on__lte=last)
    return HOLDS & no_batch & Q(station__measured=True, sign_off__decided_at__lt=tomorrow)


def _any(conditions) -> Q:
    either = Q()
    for condition in conditions:
        either |= condition
    return either


def near_idle_days(policy) -> int:
    """Return after how many days without a batch a renewal draws near."""
    return math.ceil(NEAR_SHARE * policy.recent_practice_days)


def due_words(due_for, policy) -> str:
    """Say in a few words, behind the word for the state, why a renewal is due; nothing for None."""
    if due_for == Currency.EVENNESS:
        return _("evenness slipped")
    if due_for == Currency.NO_RECENT_BATCH:
        text = ngettext(
            "no batch for %(count)d day",
            "no batch for %(count)d days",
            policy.recent_practice_days,
        )
        return text % {"count": policy.recent_practice_days}
    return _("the date has passed") if due_for == Currency.DATE else ""


def nudge(practice, standing, *, today, policy, own=True) -> str:
    """Say that the renewal of a sign-off is due or draws near, and why; nothing otherwise.

    With ``own`` the sentence speaks to the cook, else about one.
    """
    if standing.due_for:
        return _due_sentence(practice, standing.due_for, policy, own)
    if standing.state != State.SIGNED_OFF:
        return ""
    return " ".join(_near_sentences(practice, today, policy, own))


def _due_sentence(practice, due_for, policy, own):
    if due_for == Currency.EVENNESS:
        if own:
            return _("Renewal is due: your batches became less even. Speak to your head chef.")
        return _("Renewal is due: the batches since the sign-off became less even.")
    if due_for == Currency.NO_RECENT_BATCH:
        days = policy.recent_practice_days
        text = ngettext(
            "Renewal is due: no batch for more than %(count)d day.",
            "Renewal is due: no batch for more than %(count)d days.",
            days,
        ) % {"count": days}
        return " ".join([text, _("Make one, and speak to your head chef.")]) if own else text
    pattern = _("Renewal was due on %(day)s: speak to your head chef.")
    if not own:
        pattern = _("Renewal was due on %(day)s.")
    return pattern % {"day": date_format(practice.sign_off.due_on)}


def _near_sentences(practice, today, policy, own):
    if practice.station.measured and practice.warning >= WATCH:
        pattern = _(
            "The last batches were less even: the warning stands at %(warning)d of 100. "
            "At 100 renewal falls due."
        )
        if own:
            pattern = _(
                "Your last batches were less even: the warning stands at %(warning)d of 100. "
                "At 100 renewal falls due."
            )
        yield pattern % {"warning": practice.warning}
    signed_on = timezone.localdate(practice.sign_off.decided_at)
    idle = (today - max(signed_on, practice.last_batch_on or signed_on)).days
    if practice.station.measured and idle >= near_idle_days(policy):
        yield ngettext(
            "No batch for %(count)d day. Renewal falls due after %(limit)d.",
            "No batch for %(count)d days. Renewal falls due after %(limit)d.",
            idle,
        ) % {"count": idle, "limit": policy.recent_practice_days}
    left = (practice.sign_off.due_on - today).days
    if left <= NEAR_DAYS:
        yield ngettext(
            "Renewal falls due on %(day)s, in %(count)d day.",
            "Renewal falls due on %(day)s, in %(count)d days.",
            left,
        ) % {"count": left, "day": date_format(practice.sign_off.due_on)}
