"""The photos of a batch as the pages around them show them."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Aggregate, Count, OuterRef, Subquery, TextField
from django.utils.translation import gettext as _

from assessments.models import LeftOutStrand, Photograph, ReadingSet
from assessments.models.photographs import lay_out
from assessments.summaries.photographs import refusal_of


@dataclass(frozen=True, slots=True)
class PhotographLine:
    """One photo in a list: where it stands, and the strands in the cut that lie on it."""

    photograph: Photograph
    number: int
    problem: str
    cut_numbers: tuple[int, ...]
    n_widths: int
    surplus: int


@dataclass(frozen=True, slots=True)
class CutPhotographs:
    """The photos of a batch, and what is still to be photographed.

    ``free`` are the numbers in the cut of the chosen strands that are on no photo; ``readings``
    are the batch's widths where they came from these photos, else None.
    """

    lines: tuple[PhotographLine, ...]
    free: tuple[int, ...]
    readings: ReadingSet | None
    has_typed: bool

    @property
    def is_under_way(self):
        """Whether a photo is still being measured."""
        return any(line.photograph.is_under_way for line in self.lines)


@dataclass(frozen=True, slots=True)
class ResultPhotographs:
    """The measured photos behind a result, by id, and why strands on them were left out."""

    ids: tuple[int, ...]
    reasons: tuple[str, ...]


def cut_photographs(batch, chosen, widths) -> CutPhotographs:
    """Return the photos of ``batch`` in two queries; ``widths`` is its current set, or None."""
    photographs = list(batch.photographs.with_left_out())
    measured = [photo for photo in photographs if photo.state == Photograph.State.MEASURED]
    layout = {laid.photograph.pk: laid for laid in lay_out(measured, len(chosen))}
    taken = set()
    for laid in layout.values():
        taken.update(laid.places.values(), laid.photograph.missing_places)
    return CutPhotographs(
        lines=tuple(
            _line(photograph, number, layout.get(photograph.pk), chosen)
            for number, photograph in enumerate(photographs, start=1)
        ),
        free=tuple(strand for place, strand in enumerate(chosen, start=1) if place not in taken),
        readings=widths if widths is not None and widths.software else None,
        has_typed=widths is not None and not widths.software,
    )


def _line(photograph, number, laid, chosen):
    problem = refusal_of(photograph)
    surplus = frozenset() if laid is None else laid.surplus
    places = (
        []
        if laid is None
        else [place for strand, place in laid.places.items() if strand not in surplus]
    )
    return PhotographLine(
        photograph=photograph,
        number=number,
        problem="" if problem is None else problem.title,
        cut_numbers=tuple(chosen[place - 1] for place in sorted(places)),
        n_widths=0 if laid is None else len(laid.counted),
        surplus=len(surplus),
    )


def result_photographs(batch) -> ResultPhotographs:
    """Return the measured photos of a batch loaded with ``result_columns``, in the order sent."""
    ids = batch.photograph_ids
    return ResultPhotographs(
        ids=tuple(sorted(int(pk) for pk in ids.split(","))) if ids else (),
        reasons=reasons_of(batch),
    )


class _Ids(Aggregate):
    """The ids of a group as one text, with commas between them."""

    function = "GROUP_CONCAT"
    output_field = TextField()

    def as_postgresql(self, compiler, connection, **context):
        template = "STRING_AGG(%(expressions)s::text, ',')"
        return self.as_sql(compiler, connection, template=template, **context)


def result_columns() -> dict[str, Subquery]:
    """Return ``photograph_columns`` and, for the same query, the ids of all measured photos."""
    photographs = Photograph.objects.measured().filter(batch=OuterRef("pk")).order_by()
    ids = photographs.values("batch").annotate(ids=_Ids("pk")).values("ids")
    return {**photograph_columns(), "photograph_ids": Subquery(ids)}


def photograph_columns() -> dict[str, Subquery]:
    """Return, for a query of batches, each one's first measured photo and, for each reason, how
    many strands were left out."""
    photographs = Photograph.objects.measured().filter(batch=OuterRef("pk"))
    left_out = LeftOutStrand.objects.active().filter(photograph__batch=OuterRef("pk"))
    return {
        "first_photograph": Subquery(photographs.order_by("uploaded_at", "pk").values("pk")[:1]),
        **{
            _column(reason): Subquery(
                left_out.filter(reason=reason)
                .order_by()
                .values("photograph__batch")
                .annotate(n=Count("pk"))
                .values("n")
            )
            for reason in LeftOutStrand.Reason
        },
    }


def reasons_of(batch) -> tuple[str, ...]:
    """Return the reasons given on the photos of a batch loaded with ``photograph_columns``."""
    counts = {reason: getattr(batch, _column(reason)) for reason in LeftOutStrand.Reason}
    return reasons_in_words({reason: n for reason, n in counts.items() if n})


def _column(reason):
    return f"left_out_{reason.value}"


def reasons_in_words(counts: Mapping[str, int]) -> tuple[str, ...]:
    """Say how often each reason was given, the most frequent first."""
    return tuple(
        _("%(reason)s: %(n)d") % {"reason": LeftOutStrand.Reason(reason).label, "n": n}
        for reason, n in sorted(counts.items(), key=lambda count: (-count[1], count[0]))
    )
