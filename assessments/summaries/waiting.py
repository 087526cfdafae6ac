"""Batches that wait for a head chef's look."""

from dataclasses import dataclass
from datetime import date

from django.db.models import BooleanField, ExpressionWrapper, OuterRef, Subquery

from assessments.models import Batch, BlindLook, Observation, Practice, ReadingSet, Review
from assessments.summaries.assessors import LookLine, look_lines, unrated_by
from assessments.summaries.batch import Strands, strands_of
from assessments.summaries.evidence import PartCell, part_cells
from assessments.summaries.lessons import lesson_says
from assessments.summaries.patterns import finding_of
from assessments.summaries.photographs import LeftOut, left_out_of
from training.models import StandardVersion

PAGE_SIZE = 25
# Counting stops here: a number beyond it changes nothing for the one who looks.
COUNTED_AT_MOST = 500


@dataclass(frozen=True, slots=True)
class WaitingLine:
    """One waiting batch; ``is_blind`` one is rated before name and score are shown."""

    pk: int
    is_blind: bool
    cook: str
    style: str
    day: date
    is_abandoned: bool
    score: float | None
    limiting: str


@dataclass(frozen=True, slots=True)
class WaitingPage:
    """One page of the batches that wait, oldest first; ``count`` stops at its limit.

    ``looks`` are those that two are to see; they stand on the first page.
    """

    looks: tuple[LookLine, ...]
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
        waiting.select_related("cook", "style", "score")
        .annotate(is_blind=ExpressionWrapper(unrated_by(head_chef), output_field=BooleanField()))
        .oldest_first()[start : start + PAGE_SIZE + 1]
    )
    return WaitingPage(
        looks=look_lines(head_chef) if number == 1 else (),
        lines=tuple(waiting_line(batch) for batch in rows[:PAGE_SIZE]),
        count=waiting[:COUNTED_AT_MOST].count(),
        number=number,
        has_next=len(rows) > PAGE_SIZE,
    )


def waiting_line(batch):
    """Return a waiting batch as a line of the list, without name and score where it is blind."""
    score = None if batch.is_blind else getattr(batch, "score", None)
    return WaitingLine(
        pk=batch.pk,
        is_blind=batch.is_blind,
        cook="" if batch.is_blind else str(batch.cook),
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
    the ids of the photos that widths were measured on. ``by_eye`` is how even the reader called
    the strands before seeing the score, empty where nobody asked. ``found`` are the patterns of
    the batch in words, the one to mend first at the start.
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
    by_eye: str
    found: tuple[str, ...]

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
    findings = [finding_of(row) for row in batch.found.all()]
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
        by_eye="" if batch.by_eye is None else str(Observation.Rating(batch.by_eye).label),
        found=tuple(lesson_says(finding, beside=findings) for finding in findings),
    )


@dataclass(frozen=True, slots=True)
class BlindPage:
    """The strands of a batch, without saying whose they are or what they scored."""

    style: str
    strands: Strands
    photos: tuple[int, ...]


def blind_page(batch):
    """Return the ``BlindPage`` of a batch loaded by ``reviewable``; its widths are measured."""
    widths = batch.reading_sets.current().get(quantity=ReadingSet.Quantity.WIDTH)
    return BlindPage(
        style=str(batch.style),
        strands=strands_of(batch, widths),
        photos=tuple(batch.photographs.measured().values_list("pk", flat=True)),
    )


def reviewable(viewer):
    """Return the closed batches with all that a ``ReviewPage`` of ``viewer`` shows.

    One that ``is_blind`` has to be rated before anything of it is shown.
    """
    own_look = BlindLook.objects.filter(batch=OuterRef("pk"), assessor=viewer.pk)
    return (
        Batch.objects.exclude(state=Batch.State.OPEN)
        .select_related("cook", "style", "standard", "score", "review__reviewer")
        .annotate(
            is_blind=ExpressionWrapper(unrated_by(viewer), output_field=BooleanField()),
            by_eye=Subquery(own_look.values("evenness")),
        )
    )
