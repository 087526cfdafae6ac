"""The last batches of a cook in a style, each with the balances that it left behind."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from assessments.calculations.requirements import DEFAULT_RULE, signoff_state
from assessments.models import Part, Score
from assessments.models.evidence import evidence_batches

LAST_BATCHES = 30


@dataclass(frozen=True, slots=True)
class HistoryPoint:
    """One batch of the history.

    ``shares`` are 0..1 or None, ``intervals`` their 80 % intervals where there are any,
    ``balances`` 0..100 and ``shown`` as they stood after the batch; all by part.
    """

    batch_id: int
    day: date
    abandoned: bool
    score: float | None
    limiting: str
    shares: Mapping[str, float | None]
    intervals: Mapping[str, tuple[float, float]]
    balances: Mapping[str, float]
    shown: Mapping[str, bool]


def batch_history(cook_id, style_id, *, after=None, rule=DEFAULT_RULE, limit=LAST_BATCHES):
    """Return the last ``limit`` batches as ``HistoryPoint``, oldest first, in two queries.

    ``after`` and ``rule`` are those of the cook's ``EvidenceRun``: the balances begin there.
    """
    batches = evidence_batches(cook_id, style_id, after=after)
    first = max(0, len(batches) - limit)
    scores = Score.objects.in_bulk([pk for pk, _row in batches[first:]], field_name="batch_id")
    evidence = [row for _pk, row in batches]
    return tuple(
        _point(pk, row, scores.get(pk), signoff_state(evidence[: index + 1], rule=rule))
        for index, (pk, row) in enumerate(batches[first:], start=first)
    )


def _point(batch_id, row, score, state):
    shares = {part: getattr(score, f"{part}_share", None) for part in Part.values}
    return HistoryPoint(
        batch_id=batch_id,
        day=row.day,
        abandoned=row.abandoned,
        score=score and score.score,
        limiting=score.limiting if score else "",
        shares=shares,
        intervals={
            part.value: (getattr(score, f"{part}_low"), getattr(score, f"{part}_high"))
            for part in (Part.WIDTH, Part.THICKNESS)
            if shares[part] is not None
        },
        balances=state.balances,
        shown=state.shown,
    )
