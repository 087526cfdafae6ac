"""Batches that wait for a head chef's look."""

from dataclasses import dataclass
from datetime import date

from assessments.models import Batch, Practice, ReadingSet, Review
from assessments.summaries.evidence import PartCell, part_cells
from assessments.summaries.photographs import LeftOut, left_out_of
from training.models import StandardVersion

PAGE_SIZE = 25
# Counting stops here: a number beyond it changes nothing for the one who looks.
COUNTED_AT_MOST = 500


@dataclass(frozen=True, slots=True)
class WaitingLine:
    """One waiting batch."""

    pk: int
    cook: str
    style: str
    day: date
    is_abandoned: bool
    score: float | None
    limiting: str


@dataclass(frozen=True, slots=True)
class WaitingPage:
    """One page of the batches that wait, oldest first; ``count`` stops at its limit."""

    lines: tuple[WaitingLine, ...]
    count: int
    number: int
    has_next: bool

    @property
    def is_counted_out(self):
        """Whether more wait than were counted."""
        return self.count >= COUNTED_AT_MOST

    @property
    def next_number(self):
        return self.number + 1

    @property
    def previous_number(self):
        return self.number - 1


def waiting_page(head_chef, number=1):
    """Return page ``number`` (from 1) of the batches that wait for ``head_chef``."""
    waiting = Batch.objects.waiting_for(head_chef)
    start = (number - 1) * PAGE_SIZE
    rows = list(
        waiting.select_related("cook", "style", "score").oldest_first()[
            start : start + PAGE_SIZE + 1
        ]
    )
    return WaitingPage(
        lines=tuple(waiting_line(batch) for batch in rows[:PAGE_SIZE]),
        count=waiting[:COUNTED_AT_MOST].count(),
        number=number,
        has_next=len(rows) > PAGE_SIZE,
    )


def waiting_line(batch):
    """Return a waiting batch as a line of the list."""
    score = getattr(batch, "score", None)
    return WaitingLine(
        pk=batch.pk,
        cook=str(batch.cook),
        style=str(batch.style),
        day=batch.made_on,
        is_abandoned=batch.state == Batch.State.ABANDONED,
        score=score.score if score else None,
        limiting=score.get_limiting_display() if score else "",
    )


def next_waiting(head_chef):
    """Return the id of the batch that has waited longest for ``head_chef``, or None."""
    return Batch.objects.waiting_for(head_chef).oldest_first().values_list("pk", flat=True).first()


@dataclass(frozen=True, slots=True)
class ReviewPage:
    """One batch as a head chef judges it: the result in short, and what was decided, if anything.

    ``practices`` are the cook's stations in this style, for adding an observation. ``photos`` are
    the ids of the photos that widths were measured on.
    """

    batch: Batch
    standard: StandardVersion
    score: float | None
    limiting: str
    parts: tuple[PartCell, ...]
    review: Review | None
    practices: tuple[Practice, ...]
    photos: tuple[int, ...]
    left_out: LeftOut | None

    @property
    def is_abandoned(self):
        return self.batch.state == Batch.State.ABANDONED


def review_page(batch):
    """Return the ``ReviewPage`` of a batch loaded by ``reviewable``."""
    score = getattr(batch, "score", None)
    lengths = (
        batch.reading_sets.current()
        .graded()
        .filter(quantity__in=[ReadingSet.Quantity.WIDTH, ReadingSet.Quantity.THICKNESS])
        .values_list("quantity", "graded", "left_out")
    )
    graded_mm = {quantity: mm for quantity, mm, _left_out in lengths}
    left_out = sum(left_out for _quantity, _mm, left_out in lengths)
    return ReviewPage(
        batch=batch,
        standard=batch.standard,
        score=score.score if score else None,
        limiting=score.get_limiting_display() if score else "",
        parts=part_cells(batch.standard, score, graded_mm, left_out) if score else (),
        review=getattr(batch, "review", None),
        practices=tuple(
            Practice.objects.filter(
                person=batch.cook_id, style=batch.style_id, ended_on__isnull=True
            )
            .select_related("station")
            .order_by("station__position", "station__name")
        ),
        photos=tuple(batch.photographs.measured().values_list("pk", flat=True)),
        left_out=left_out_of([batch]).get(batch.pk),
    )


def reviewable():
    """Return the closed batches with all that a ``ReviewPage`` shows."""
    return Batch.objects.exclude(state=Batch.State.OPEN).select_related(
        "cook", "style", "standard", "score", "review__reviewer"
    )
