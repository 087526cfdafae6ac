"""What batches said of their patterns, as kept with them, and what came of trying to mend one."""

from dataclasses import dataclass
from datetime import date
from math import inf

from django.db.models import Q, Subquery

from assessments.calculations.patterns.effects import Effect
from assessments.calculations.patterns.findings import Finding, Untested
from assessments.calculations.patterns.history import Change, change_since
from assessments.models import Batch, FoundPattern

LATELY = 5
COMPARED_ONLY = ("salt", "rest")
"""Parts whose uncertainty is assumed: good enough to compare two batches, not to claim a habit."""


@dataclass(frozen=True, slots=True)
class Said:
    """What one batch said, see ``calculations.patterns.findings.BatchFindings``.

    ``is_seen`` tells whether the cook has opened the result. ``untested`` may name ``'too_coarse'``
    as a reason: the instrument is too coarse for the tolerance. ``compared`` are the effects of
    salt and rest, apart from the others: see ``COMPARED_ONLY``.
    """

    batch_id: int
    made_on: date
    findings: tuple[Finding, ...]
    effects: tuple[Effect, ...]
    untested: tuple[Untested, ...]
    sheet_kinds: tuple[str, ...]
    is_seen: bool = True
    compared: tuple[Effect, ...] = ()

    @property
    def sizes(self) -> tuple[Effect, ...]:
        """All effects by which this batch can be compared with another."""
        return (*self.effects, *self.compared)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a cook was asked to mend, and the batch that asked for it."""

    earlier: Batch
    finding: Finding


@dataclass(frozen=True, slots=True)
class TriedResult:
    """What an earlier batch asked for, whether it was tried, and whether it helped.

    ``answer`` is a ``Tried.Answer`` or ""; ``change`` is None where sizes cannot be compared,
    and ``is_found_again`` then tells the most that can be told.
    """

    finding: Finding
    earlier_on: date
    answer: str
    change: Change | None
    is_found_again: bool


def said_of(batch) -> Said | None:
    """Return what ``batch`` said; None before it is scored and where nothing could be looked at.

    Takes at most two queries, none with ``patterns`` and ``found`` loaded.
    """
    kept = getattr(batch, "patterns", None)
    if kept is None:
        return None
    sizes = [_effect(**effect) for effect in kept.effects]
    said = Said(
        batch_id=batch.pk,
        made_on=batch.made_on,
        findings=tuple(finding_of(row) for row in batch.found.all()),
        effects=tuple(one for one in sizes if one.part not in COMPARED_ONLY),
        untested=tuple(Untested(**reason) for reason in kept.untested),
        sheet_kinds=tuple(kept.sheet_kinds),
        is_seen=batch.score_seen_at is not None,
        compared=tuple(one for one in sizes if one.part in COMPARED_ONLY),
    )
    return said if said.findings or said.sizes or said.untested else None


def last_said(cook_id, style_id, *, before=None, limit=LATELY) -> list[Said]:
    """Return what the last finished batches of a cook in a style said, oldest first.

    With ``before``, a batch, only it and the batches before it; batches in which nothing could be
    looked at are left out. Two queries.
    """
    batches = Batch.objects.finished().filter(cook=cook_id, style=style_id)
    if before is not None:
        batches = batches.filter(Q(pk=before.pk) | _earlier_than(before))
    newest = (
        batches.filter(patterns__isnull=False)
        .select_related("patterns")
        .prefetch_related("found")
        .newest_first()[:limit]
    )
    said = [said_of(batch) for batch in newest]
    return [one for one in reversed(said) if one is not None]


def asked_for(batch) -> Asked | None:
    """Return what the cook's last finished batch of the style, before this one, said first.

    None where it found nothing, and where the cook has not opened its result: what was never read
    was never asked, and a pattern told before the score is seen would let readings be corrected
    for points. One query.
    """
    last = (
        Batch.objects.finished()
        .filter(_earlier_than(batch), cook=batch.cook_id, style=batch.style_id)
        .newest_first()
    )
    first = (
        FoundPattern.objects.filter(
            batch=Subquery(last.values("pk")[:1]), place=0, batch__score_seen_at__isnull=False
        )
        .select_related("batch")
        .first()
    )
    return None if first is None else Asked(first.batch, finding_of(first))


def tried_in(batch, *, lately=None) -> TriedResult | None:
    """Return what an earlier batch asked for, and what became of it in this finished one.

    None where nothing was asked for, or this batch cannot tell of it: what was not measured is not
    gone. ``lately`` is ``last_said(cook, style, before=batch)`` where it is at hand; then, with
    ``tried`` loaded, no query is made.
    """
    lately = last_said(batch.cook_id, batch.style_id, before=batch) if lately is None else lately
    if not lately or lately[-1].batch_id != batch.pk:
        return None
    *before, now = lately
    tried = getattr(batch, "tried", None)
    asked = _asked(before, tried)
    if asked is None:
        return None
    earlier, finding = asked
    if finding.part not in {one.part for one in (*now.sizes, *now.findings)}:
        return None
    up_to = before[: before.index(earlier) + 1]
    return TriedResult(
        finding=finding,
        earlier_on=earlier.made_on,
        answer="" if tried is None else tried.answer,
        change=change_since(finding.part, finding.kind, [said.sizes for said in up_to], now.sizes),
        is_found_again=any(_is_same(finding, found) for found in now.findings),
    )


def _asked(before, tried) -> tuple[Said, Finding] | None:
    """Return which of the batches before asked for what: by the answer, else the last one."""
    if tried is None:
        said = before[-1] if before else None
        return (said, said.findings[0]) if said and said.is_seen and said.findings else None
    for said in before:
        for finding in said.findings:
            if said.batch_id == tried.earlier_id and _is_same(tried, finding):
                return said, finding
    return None


def finding_of(row) -> Finding:
    """Return the finding that a ``FoundPattern`` keeps."""
    return Finding(
        part=row.part,
        kind=row.kind,
        direction=row.direction,
        size=row.size,
        unit=row.unit,
        of_tolerance=row.of_tolerance,
        places=tuple(row.places),
        p=row.p,
        p_alone=row.p_alone,
        part_points=row.part_points,
        score_points=row.score_points,
    )


def _effect(*, df, **numbers):
    # JSON knows no infinity: None are degrees of freedom without end.
    return Effect(df=inf if df is None else df, **numbers)


def _is_same(one, other):
    """Whether two are of one part, kind and direction; strands far off both ways are of either."""
    directions = {one.direction, other.direction}
    is_same_way = len(directions) == 1 or "both" in directions
    return is_same_way and (one.part, one.kind) == (other.part, other.kind)


def _earlier_than(batch):
    """Select batches before ``batch`` in the order of the log."""
    same_day = Q(made_on=batch.made_on)
    return (
        Q(made_on__lt=batch.made_on)
        | same_day & Q(opened_at__lt=batch.opened_at)
        | same_day & Q(opened_at=batch.opened_at, pk__lt=batch.pk)
    )
