"""Sending the weekly digest once a week at most, and switching it off from a mail."""

import logging
from datetime import timedelta

from django.core import signing
from django.db.models import Q

from training.models import Role, User

LEAST_DAYS = 6
"""A week less a day, so that a mail may go out earlier in the day than the one before."""

# A dot, because some mail programs end an address at a colon.
_signer = signing.Signer(salt="assessments.digest", sep=".")
log = logging.getLogger(__name__)


def stop_token(person) -> str:
    """Return what the address in a mail carries, by which this person alone stops the digest."""
    return _signer.sign(str(person.pk))


def person_of(token) -> User | None:
    """Return whose token it is; None where we have not signed it or the person is gone."""
    try:
        return User.objects.filter(pk=_signer.unsign(token)).first()
    except signing.BadSignature:
        return None


def stop(person) -> None:
    """Send ``person`` no digest from now on; said twice, nothing changes."""
    User.objects.filter(pk=person.pk).update(weekly_digest=False)
    person.weekly_digest = False


def due_for_digest(today):
    """Return the people to whom a digest is to be sent, by id."""
    reads = Role.objects.filter(kind__in=[Role.Kind.HEAD_CHEF, Role.Kind.OWNER])
    return (
        User.objects.filter(_due(today), is_active=True, pk__in=reads.values("person"))
        .exclude(email="")
        .order_by("pk")
    )


def send_once(person, message, *, today) -> bool | None:
    """Send ``message`` unless another process has claimed this week's digest of ``person``.

    The week is claimed before the mail is handed over, so that nobody gets two. Where it cannot
    be handed over the claim is given back, and False is returned: the next run tries again. None
    says that there was nothing to claim.
    """
    mine = User.objects.filter(pk=person.pk)
    if not mine.filter(_due(today)).update(digest_sent_on=today):
        return None
    try:
        message.send()
    except OSError:
        # SMTPException is one of them, as is every broken connection.
        log.exception("The digest for person %s could not be sent.", person.pk)
        mine.filter(digest_sent_on=today).update(digest_sent_on=person.digest_sent_on)
        return False
    return True


def _due(today):
    long_ago = Q(digest_sent_on__lte=today - timedelta(days=LEAST_DAYS))
    return Q(weekly_digest=True) & (Q(digest_sent_on__isnull=True) | long_ago)
