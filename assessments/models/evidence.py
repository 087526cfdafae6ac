"""Which batches speak for a cook at a station, from when on and under which rule."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.utils import timezone

from assessments.calculations.forecast import HANDS, PartHistory, WaterHistory
from assessments.calculations.monitoring import MonitorState, monitor_points, monitor_state
from assessments.calculations.requirements import (
    DEFAULT_RULE,
    RENEWAL_RULE,
    EvidenceBatch,
    SignOffRule,
)
from assessments.calculations.scoring import PARTS
from assessments.calculations.standing import Missing
from assessments.models.batches import Batch
from assessments.models.sign_offs import SignOff

_POINTS = [f"{part}_points" for part in PARTS]
_SHARES = [f"{part}_share" for part in HANDS]
_READINGS = [f"{part}_n" for part in HANDS]


@dataclass(frozen=True, slots=True)
class EvidenceRun:
    """From which moment (None: the first batch) batches count, and under which rule."""

    after: datetime | None
    rule: SignOffRule


@dataclass(frozen=True, slots=True)
class JudgedBatch:
    """A batch as balances, forecast and monitoring read it.

    ``shares`` (0..1) and ``readings`` are those of width and thickness where they count;
    ``p_ready`` and ``p_not`` are of the batch's own standard.
    """

    pk: int
    style_id: int
    opened_at: datetime
    day: date
    evidence: EvidenceBatch
    shares: Mapping[str, float]
    readings: Mapping[str, int]
    p_ready: float
    p_not: float

    @property
    def counts(self) -> bool:
        """Whether it was measured, not given up."""
        return not self.evidence.abandoned

    def of_standard(self, rule: SignOffRule) -> SignOffRule:
        """Return ``rule`` with the shares of the batch's standard."""
        return replace(rule, p_ready=self.p_ready, p_not=self.p_not)


def judged_batch(batch) -> JudgedBatch:
    """Return a closed ``Batch`` with its standard, and its score if any, as a ``JudgedBatch``."""
    score = getattr(batch, "score", None)
    return _judged(
        batch.pk,
        batch.style_id,
        batch.opened_at,
        batch.made_on,
        batch.state,
        batch.standard.ready_share,
        batch.standard.not_ready_share,
        *(getattr(score, name, None) for name in (*_POINTS, *_SHARES, *_READINGS)),
    )


def judged_batches(cook_id, style_ids) -> dict[int, list[JudgedBatch]]:
    """Return the judged batches of a cook by style id, oldest first, in one query."""
    rows = (
        Batch.objects.filter(cook=cook_id, style__in=style_ids)
        .judged()
        .values_list(
            "pk",
            "style_id",
            "opened_at",
            "made_on",
            "state",
            "standard__ready_share",
            "standard__not_ready_share",
            *(f"score__{name}" for name in (*_POINTS, *_SHARES, *_READINGS)),
        )
    )
    by_style = defaultdict(list)
    for row in rows:
        batch = _judged(*row)
        by_style[batch.style_id].append(batch)
    return by_style


def _judged(pk, style_id, opened_at, made_on, state, p_ready, p_not, *of_score) -> JudgedBatch:
    points, shares, readings = of_score[:3], of_score[3:5], of_score[5:]
    earned = dict(zip(PARTS, points, strict=True))
    # What is too coarse, or was changed, speaks neither for nor against the hand.
    counted = [
        (part, share, n)
        for part, share, n in zip(HANDS, shares, readings, strict=True)
        if share is not None and earned[part] is not None
    ]
    return JudgedBatch(
        pk=pk,
        style_id=style_id,
        opened_at=opened_at,
        day=made_on,
        evidence=EvidenceBatch(
            day=made_on, abandoned=state == Batch.State.ABANDONED, points=earned
        ),
        shares={part: share for part, share, _n in counted},
        readings={part: n for part, _share, n in counted},
        p_ready=float(p_ready),
        p_not=float(p_not),
    )


def since(batches: Iterable[JudgedBatch], after) -> list[JudgedBatch]:
    """Leave out what was opened before ``after`` or made before its day; all without a moment."""
    if after is None:
        return list(batches)
    day = timezone.localdate(after)
    return [batch for batch in batches if batch.opened_at > after and batch.day >= day]


def part_histories(
    batches: Sequence[JudgedBatch],
    balances: Mapping[str, float],
    shown: Mapping[str, bool],
    *,
    last_number: int | None = None,
) -> tuple[dict[str, PartHistory], WaterHistory]:
    """Return the batches of a run, oldest first, as ``forecast``, ``fan`` and ``stuck`` read them.

    Batches are numbered from the beginning of the run: after a withdrawal the learning, too, is
    taken to start anew. ``last_number`` is that of the last one where the first are left out.
    """
    counted = [batch for batch in batches if batch.counts]
    first = (len(counted) if last_number is None else last_number) - len(counted) + 1
    features = {}
    for part in HANDS:
        numbered = [(n, batch) for n, batch in enumerate(counted, first) if part in batch.shares]
        features[part] = PartHistory(
            index=[n for n, _batch in numbered],
            share=[batch.shares[part] for _n, batch in numbered],
            n=[batch.readings[part] for _n, batch in numbered],
            balance=balances[part],
            shown=shown[part],
        )
    water = [batch.evidence.points["hydration"] for batch in counted]
    return features, WaterHistory(
        points=[points for points in water if points is not None],
        balance=balances["hydration"],
        shown=shown["hydration"],
    )


def evenness_since(batches: Sequence[JudgedBatch]) -> dict[str, MonitorState]:
    """Run the chart of each part over the counted batches since a sign-off, oldest first.

    Places in the charts are those in ``batches``, which must hold no batch given up.
    """
    return {
        part: monitor_state(
            [
                monitor_points(
                    batch.shares.get(part),
                    batch.readings.get(part, 0),
                    rule=batch.of_standard(DEFAULT_RULE),
                )
                for batch in batches
            ],
            0,
            0,
        )
        for part in HANDS
    }


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
    return turning_points_of(
        SignOff.objects.filter(cook=cook_id)
        .order_by("decided_at")
        .values_list("practice_id", "decided_at", "missing", "withdrawal__withdrawn_at")
    )


def turning_points_of(rows):
    """Return the same from rows of practice id, moment, missing codes and withdrawal, in order."""
    points = defaultdict(lambda: (None, None))
    for practice_id, decided_at, missing, withdrawn_at in rows:
        last_withdrawn_at, earned_at = points[practice_id]
        if Missing.MEASURED not in missing:
            earned_at = decided_at
        points[practice_id] = (withdrawn_at or last_withdrawn_at, earned_at)
    return points
