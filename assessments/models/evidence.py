"""Which batches speak for a cook at a station, from when on and under which rule."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from assessments.calculations.requirements import DEFAULT_RULE, RENEWAL_RULE, SignOffRule
from assessments.calculations.standing import Missing
from assessments.models.batches import Batch
from assessments.models.sign_offs import SignOff


@dataclass(frozen=True, slots=True)
class EvidenceRun:
    """From which moment (None: the first batch) batches count, and under which rule."""

    after: datetime | None
    rule: SignOffRule


def evidence_run(withdrawn_at, earned_at) -> EvidenceRun:
    """Return which batches speak for a cook at a station now.

    A withdrawal starts the evidence anew. So does a sign-off, for its renewal, with a balance to
    begin with; one that was given without the measured evidence does not.
    """
    if earned_at is not None and (withdrawn_at is None or earned_at > withdrawn_at):
        return EvidenceRun(after=earned_at, rule=RENEWAL_RULE)
    return EvidenceRun(after=withdrawn_at, rule=DEFAULT_RULE)


def evidence_batches(cook_id, style_id, *, after=None):
    """Return the cook's batches of a style as ``signoff_state`` reads them, oldest first.

    Leaves out batches still open, batches whose giving up was excused, and, with ``after``,
    batches opened before that moment or made before its day.
    """
    batches = Batch.objects.filter(cook=cook_id, style=style_id)
    if after is not None:
        # A file read in today may hold batches of long ago.
        batches = batches.filter(opened_at__gt=after, made_on__gte=timezone.localdate(after))
    return batches.evidence()


def turning_points(cook_id):
    """Return when the evidence of ``cook_id`` began anew, by practice id.

    Each is a pair: the last withdrawal, and the last sign-off that the measured evidence earned,
    either of them None.
    """
    points = defaultdict(lambda: (None, None))
    rows = (
        SignOff.objects.filter(cook=cook_id)
        .order_by("decided_at")
        .values_list("practice_id", "decided_at", "missing", "withdrawal__withdrawn_at")
    )
    for practice_id, decided_at, missing, withdrawn_at in rows:
        last_withdrawn_at, earned_at = points[practice_id]
        if Missing.MEASURED not in missing:
            earned_at = decided_at
        points[practice_id] = (withdrawn_at or last_withdrawn_at, earned_at)
    return points
