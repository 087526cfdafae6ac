"""One batch with its result: score, parts, readings, and what it adds to the evidence."""

from dataclasses import dataclass
from datetime import date

from django.db.models import BooleanField, ExpressionWrapper, F, OuterRef, Subquery
from django.template.defaultfilters import floatformat
from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.instruments import measurement_check
from assessments.calculations.requirements import DEFAULT_RULE, signoff_state
from assessments.models import Batch, NotCounted, Part, Practice, ReadingSet, Stage, Tried
from assessments.models.evidence import (
    evidence_run,
    judged_batches,
    since,
    turning_points_of,
)
from assessments.summaries.assessors import unrated_by
from assessments.summaries.batch_photographs import (
    ResultPhotographs,
    result_columns,
    result_photographs,
)
from assessments.summaries.lessons import (
    Lesson,
    change_says,
    lesson_says,
    lessons_of,
    try_next,
    untested_says,
)
from assessments.summaries.patterns import last_said, tried_in
from assessments.summaries.photographs import coarse_note, left_out_note
from assessments.summaries.progress import progress_line
from assessments.summaries.sentence import PartBalance, part_balances

LENGTHS = (Part.WIDTH, Part.THICKNESS)
# Where a cook corrects the readings of a part.
STAGE_OF_PART = {
    Part.WIDTH: Stage.Kind.CUT,
    Part.THICKNESS: Stage.Kind.ROLL,
    Part.HYDRATION: Stage.Kind.WEIGH,
}


@dataclass(frozen=True, slots=True)
class Strands:
    """Widths in mm at their places in the cut, from 1 to ``total``, with the tolerance."""

    places: tuple[int, ...]
    widths_mm: tuple[float, ...]
    total: int
    target_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """Thickness in mm at the points of the sheet, row by row along it; None is not measured."""

    rows: int
    columns: int
    thicknesses_mm: tuple[float | None, ...]
    target_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True)
class Water:
    """Water of a dough in percent of flour and starch, with the season's tolerance."""

    percent: float
    target_percent: float
    low_percent: float
    high_percent: float


@dataclass(frozen=True, slots=True)
class MeasuredPart:
    """One part of a batch as the result page shows it; shares are 0..100."""

    part: str
    label: str
    share: float | None
    notes: tuple[str, ...]
    low: float | None = None
    high: float | None = None
    n: int = 0
    n_in: int = 0
    mean_mm: float | None = None
    sd_mm: float | None = None


@dataclass(frozen=True, slots=True)
class PartStep:
    """What a batch is worth for one part, and the balance before and after it."""

    before: PartBalance
    after: PartBalance
    points: str


@dataclass(frozen=True, slots=True)
class EvidenceStep:
    """What a batch did to the evidence at the stations that share it.

    ``line`` says how far it is from there, as of today; empty where there is nothing to say.
    """

    stations: tuple[str, ...]
    practice: Practice | None
    line: str
    parts: tuple[PartStep, ...]
    only_loses: bool
    is_newest: bool


@dataclass(frozen=True, slots=True)
class Readings:
    """One set of readings, for the list behind the result."""

    quantity: str
    values: str
    unit: str
    instrument: str
    read_by: str
    read_at: object
    revision: int
    after_score: bool


@dataclass(frozen=True, slots=True)
class LastTime:
    """What the batch before asked for, and what came of it; ``answer`` is empty for none given.

    ``is_compared`` tells whether ``came_of_it`` names sizes.
    """

    day: date
    says: str
    try_next: str
    answer: str
    came_of_it: str
    is_compared: bool


@dataclass(frozen=True, slots=True)
class ToChange:
    """What the patterns of a batch say to change: ``lessons`` has the first to say first.

    ``untested`` says what could not be looked for.
    """

    lessons: tuple[Lesson, ...]
    sheet_kinds: tuple[str, ...]
    untested: tuple[str, ...]
    last_time: LastTime | None

    @property
    def first(self):
        return self.lessons[0] if self.lessons else None

    @property
    def others(self):
        return self.lessons[1:]


@dataclass(frozen=True, slots=True)
class BatchResult:
    """Everything the result page shows of one batch.

    ``to_change`` is None where no pattern could be looked for. ``corrections`` are the parts whose
    readings the reader may correct, each with the position of its stage.
    """

    batch: Batch
    score: float | None
    meaning: str
    weakest: str
    at_least: bool
    parts: tuple[MeasuredPart, ...]
    strands: Strands | None
    sheet: Sheet | None
    water: Water | None
    to_change: ToChange | None
    evidence: tuple[EvidenceStep, ...]
    readings: tuple[Readings, ...]
    corrections: tuple[tuple[str, int], ...]
    photographs: ResultPhotographs

    @property
    def no_score_notes(self):
        """Why there is no score: what keeps each length, which it cannot do without."""
        return tuple(
            (part.label, part.notes[0])
            for part in self.parts
            if part.part in LENGTHS and part.notes
        )


def result_batches(viewer):
    """Load batches, in one query, with what ``batch_result`` needs of each and ``viewer`` sees.

    ``is_blind`` ones the viewer, if an assessor of the cook, has to rate before seeing the score;
    ``next_waiting`` is the id of the batch that has waited longest for the viewer.
    """
    waiting = Batch.objects.waiting_for(viewer).oldest_first()
    stages = Stage.objects.filter(batch=OuterRef("pk")).order_by()
    return (
        Batch.objects.for_log()
        .select_related("review__reviewer", "tried")
        .annotate(
            is_blind=ExpressionWrapper(unrated_by(viewer), output_field=BooleanField()),
            next_waiting=Subquery(waiting.values("pk")[:1]),
            **result_columns(),
            **{
                _position_of(kind): Subquery(stages.filter(kind=kind).values("position")[:1])
                for kind in STAGE_OF_PART.values()
            },
        )
    )


def batch_result(batch, *, may_correct):
    """Return the ``BatchResult`` of a batch loaded by ``result_batches``."""
    batch.standard.style = batch.style  # the page names the standard by its style
    sets = {
        row.quantity: row
        for row in batch.reading_sets.current()
        .select_related("instrument", "read_by")
        .order_by("quantity")
    }
    score = getattr(batch, "score", None)
    return BatchResult(
        batch=batch,
        score=score and score.score,
        meaning=_meaning(score),
        weakest=str(score.get_limiting_display()) if score else "",
        at_least=bool(score and score.complete),
        parts=_parts(batch, score, sets) if score else (),
        strands=strands_of(batch, sets.get(ReadingSet.Quantity.WIDTH)),
        sheet=_sheet(batch, sets.get(ReadingSet.Quantity.THICKNESS)),
        water=_water(batch, score),
        to_change=_to_change(batch),
        evidence=_evidence(batch),
        readings=tuple(
            _readings(sets[quantity]) for quantity in ReadingSet.Quantity if quantity in sets
        ),
        corrections=_corrections(batch) if may_correct and score else (),
        photographs=result_photographs(batch),
    )


def _meaning(score):
    if score is None or score.score is None:
        return ""
    patterns = {
        Part.WIDTH: _(
            "Of 100 strands cut this way, about %(score)s would be within the house tolerance."
        ),
        Part.THICKNESS: _(
            "Of 100 points of a sheet rolled this way, about %(score)s would be within the house "
            "tolerance."
        ),
        Part.HYDRATION: _(
            "The chance that the water in this dough is within the house tolerance is about "
            "%(score)s in 100."
        ),
    }
    return patterns[score.limiting] % {"score": floatformat(score.score, 0)}


def _corrections(batch):
    places = ((part, getattr(batch, _position_of(kind))) for part, kind in STAGE_OF_PART.items())
    return tuple((str(part.label), place) for part, place in places if place is not None)


def _position_of(kind):
    return f"{kind.value}_position"


def _to_change(batch):
    """Return what the patterns of a batch say; None where none could be looked for."""
    lately = last_said(batch.cook_id, batch.style_id, before=batch)
    if not lately or lately[-1].batch_id != batch.pk:
        return None
    said, tried = lately[-1], tried_in(batch, lately=lately)
    return ToChange(
        lessons=lessons_of(said.findings),
        sheet_kinds=said.sheet_kinds,
        untested=untested_says(said.untested),
        last_time=None if tried is None else _last_time(tried),
    )


def _last_time(tried):
    finding = tried.finding
    return LastTime(
        day=tried.earlier_on,
        says=lesson_says(finding),
        try_next=try_next(finding.part, finding.kind, finding.direction),
        answer=str(Tried.Answer(tried.answer).label) if tried.answer else "",
        came_of_it=change_says(
            finding,
            tried.change,
            found_again=tried.is_found_again,
            was_tried=tried.answer in (Tried.Answer.YES, Tried.Answer.PARTLY),
        ),
        is_compared=tried.change is not None,
    )


def _parts(batch, score, sets):
    lengths = tuple(_length(part, batch, score, sets.get(part)) for part in LENGTHS)
    return (*lengths, _hydration(score))


def _length(part, batch, score, readings):
    n = getattr(score, f"{part}_n")
    limits_mm = getattr(batch.standard, f"{part}_limits_mm")
    notes = _length_notes(n, readings, limits_mm)
    return MeasuredPart(
        part=part.value,
        label=str(part.label),
        share=_of_100(getattr(score, f"{part}_share")),
        notes=(*notes, *_not_counted(getattr(score, f"{part}_not_counted"))),
        low=_of_100(getattr(score, f"{part}_low")),
        high=_of_100(getattr(score, f"{part}_high")),
        n=n,
        n_in=getattr(score, f"{part}_n_in"),
        mean_mm=readings and readings.mean,
        sd_mm=readings and readings.sd,
    )


def _hydration(score):
    share = score.hydration_share
    notes = () if share is not None else (_("Flour and water were not both weighed."),)
    return MeasuredPart(
        part=Part.HYDRATION.value,
        label=str(Part.HYDRATION.label),
        share=_of_100(share),
        notes=(*notes, *_not_counted(score.hydration_not_counted)),
    )


def _of_100(share):
    return None if share is None else 100 * share


def _not_counted(reason):
    # What an instrument that is too coarse means is said with its grade.
    if reason in ("", NotCounted.TOO_COARSE):
        return ()
    why = NotCounted(reason).label
    return (_("This part earns and costs nothing: %(why)s.") % {"why": why},)


def _length_notes(n, readings, limits_mm):
    """Say what stands between the readings and a share that can be trusted, gravest first."""
    if readings is None:
        return [_("Not measured.")]
    return [
        *_count_notes(n),
        *_instrument_notes(readings, limits_mm),
        *filter(None, [left_out_note(readings.left_out, readings.left_out + readings.n)]),
    ]


def _count_notes(n):
    if n < DEFAULT_RULE.minimum_readings:
        yield (
            ngettext(
                "%(n)d reading is too few to tell a share: it takes five at least.",
                "%(n)d readings are too few to tell a share: it takes five at least.",
                n,
            )
            % {"n": n}
        )
    elif n < DEFAULT_RULE.earning_readings:
        yield _("%(n)d readings are too few to earn points: it takes eight at least.") % {"n": n}


def _instrument_notes(readings, limits_mm):
    if readings.instrument_id is None:
        yield _("No instrument was named. The readings are taken as exact here.")
    elif readings.repeatability_mm is None:
        yield _(
            "Nobody has measured how well the instrument repeats a reading. It is taken as exact "
            "here, so that the true share may be higher."
        )
    if readings.repeatability_mm is None:
        return
    low_mm, high_mm = limits_mm
    half_mm = (high_mm - low_mm) / 2
    check = measurement_check(readings.repeatability_mm, half_mm, readings.sd)
    if readings.software:
        yield from filter(None, [coarse_note(readings.graded_mm, half_mm)])
    elif check.grade == "too coarse":
        yield _(
            "The instrument is too coarse for this tolerance: the readings are kept, but no share "
            "can be told from them, and they earn and cost nothing. Use a finer one."
        )
    elif check.grade == "coarse":
        yield (
            ngettext(
                "The instrument is coarse for this tolerance. The mean of %(n)d reading of each "
                "strand or point would be good.",
                "The instrument is coarse for this tolerance. The mean of %(n)d readings of each "
                "strand or point would be good.",
                check.repeats_for_good,
            )
            % {"n": check.repeats_for_good}
        )
    if check.variance_share is not None and check.variance_share > 0.5:
        yield _("The instrument, not the hand, makes most of this spread.")


def strands_of(batch, readings):
    """Return the ``Strands`` of a set of widths; None where there is none."""
    if readings is None:
        return None
    pairs = [
        (int(place), float(width))
        for place, width in zip(readings.places, readings.array, strict=True)
        if width == width  # NaN, a missing reading, equals nothing
    ]
    pairs.sort()
    places = tuple(place for place, _width in pairs)
    low_mm, high_mm = batch.standard.width_limits_mm
    return Strands(
        places=places,
        widths_mm=tuple(width for _place, width in pairs),
        total=max(batch.strands_expected or 0, places[-1]),
        target_mm=float(batch.standard.width_target_mm),
        low_mm=low_mm,
        high_mm=high_mm,
    )


def _sheet(batch, readings):
    if readings is None:
        return None
    standard = batch.standard
    values = {
        int(place): float(value)
        for place, value in zip(readings.places, readings.array, strict=True)
        if value == value
    }
    columns = standard.thickness_columns
    # Readings beyond the grid, as a file may bring them, lie in further rows.
    rows = max(standard.thickness_rows, -(-max(values) // columns))
    low_mm, high_mm = standard.thickness_limits_mm
    return Sheet(
        rows=rows,
        columns=columns,
        thicknesses_mm=tuple(values.get(place) for place in range(1, rows * columns + 1)),
        target_mm=float(standard.thickness_target_mm),
        low_mm=low_mm,
        high_mm=high_mm,
    )


def _water(batch, score):
    if score is None or score.hydration_percent is None:
        return None
    target = float(batch.hydration_target_percent)
    return Water(
        percent=score.hydration_percent,
        target_percent=target,
        low_percent=target - float(batch.standard.hydration_tolerance_minus_pp),
        high_percent=target + float(batch.standard.hydration_tolerance_plus_pp),
    )


def _evidence(batch):
    """Return one step for each way in which this batch counts: stations mostly share theirs."""
    # With the sign-offs of each, so that both take one query.
    rows = list(
        Practice.objects.filter(
            person=batch.cook_id,
            style=batch.style_id,
            ended_on__isnull=True,
            station__measured=True,
        )
        .select_related("station", "sign_off")
        .annotate(
            signed_at=F("sign_offs__decided_at"),
            lacked=F("sign_offs__missing"),
            taken_back_at=F("sign_offs__withdrawal__withdrawn_at"),
        )
        .order_by("station__position", "pk", "sign_offs__decided_at")
    )
    began_anew = turning_points_of(
        (row.pk, row.signed_at, row.lacked, row.taken_back_at) for row in rows if row.signed_at
    )
    by_run = {}
    for practice in {row.pk: row for row in rows}.values():
        by_run.setdefault(evidence_run(*began_anew[practice.pk]), []).append(practice)
    judged = judged_batches(batch.cook_id, [batch.style_id])[batch.style_id]
    steps = (
        _evidence_step(batch, judged, run, sharing)
        for run, sharing in (by_run or {evidence_run(None, None): []}).items()
    )
    return tuple(step for step in steps if step is not None)


def _evidence_step(batch, judged, run, practices):
    """Return what the batch did to the balances of one run; None where it lies before it."""
    rows = since(judged, run.after)
    place = next((index for index, row in enumerate(rows) if row.pk == batch.pk), None)
    if place is None:
        return None
    history = [row.evidence for row in rows[: place + 1]]
    before = part_balances(signoff_state(history[:-1], rule=run.rule))
    after = part_balances(signoff_state(history, rule=run.rule))
    this = history[-1]
    same_day = sum(1 for row in history if row.day == this.day and not row.abandoned)
    return EvidenceStep(
        stations=tuple(str(practice.station) for practice in practices),
        practice=practices[0] if practices else None,
        line=progress_line(practices[0]) if practices else "",
        parts=tuple(
            PartStep(before=then, after=now, points=_points(this, now.part))
            for then, now in zip(before, after, strict=True)
        ),
        only_loses=not this.abandoned and same_day > run.rule.earning_batches_a_day,
        is_newest=place == len(rows) - 1,
    )


def _points(row, part):
    """Say what a batch alone is worth for a part, in whole points."""
    points = DEFAULT_RULE.abandoned_points if row.abandoned else row.points[part]
    if points is None:
        return _("does not count")
    whole = round(points)
    if whole == 0:
        return _("no points")
    sign = "+" if whole > 0 else "−"
    return ngettext("%(sign)s%(points)d point", "%(sign)s%(points)d points", abs(whole)) % {
        "sign": sign,
        "points": abs(whole),
    }


def _instrument(row):
    """Name the instrument, with what it states itself of these values."""
    if not row.software:
        return str(row.instrument or "")
    return _("%(instrument)s, version %(version)s, standard uncertainty %(u)s mm") % {
        "instrument": row.instrument,
        "version": row.software,
        "u": number_format(row.uncertainty_mm, decimal_pos=3),
    }


def _readings(row):
    decimals = 2 if row.unit == "mm" else 1
    return Readings(
        quantity=capfirst(row.get_quantity_display()),
        values=" · ".join(
            "–" if value != value else floatformat(value, decimals) for value in row.array
        ),
        unit=row.unit,
        instrument=_instrument(row),
        read_by=str(row.read_by),
        read_at=row.read_at,
        revision=row.revision,
        after_score=row.after_score,
    )
