"""Calibration sets: the pieces, what an assessor has yet to rate, and how the ratings agree."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta

from django.core.paginator import Page, Paginator
from django.db.models import Count, Exists, OuterRef, Prefetch, Q
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from assessments.calculations.agreement.calibration import BlindRating, calibration
from assessments.calculations.agreement.reliability import ENOUGH_PAIRS
from assessments.models import (
    Batch,
    CalibrationPiece,
    CalibrationRating,
    CalibrationSet,
    Observation,
    Photograph,
)
from assessments.models.assessors import CRITERIA
from assessments.summaries.assessors import (
    agree_words,
    both,
    coefficient,
    criterion_name,
    estimate,
    figure,
)
from training.access import can_rate_pieces, can_read_ratings
from training.models import User

PAGE_SIZE = 25
CHOICE_DAYS = 90
MOST_CHOICES = 24
MOST_PHOTOS = 4


@dataclass(frozen=True, slots=True)
class CalibrationLine:
    """One set of the list; ``state`` is a word for where it stands for the reader."""

    pk: int
    title: str
    made_by: str
    pieces: int
    state: str


@dataclass(frozen=True, slots=True)
class CalibrationList:
    """One page of the sets that a person may open, newest first."""

    lines: tuple[CalibrationLine, ...]
    page: Page


def visible_sets(viewer):
    """Return the sets that ``viewer`` may open: the own ones, and those that were opened."""
    sets = CalibrationSet.objects.select_related("made_by")
    if viewer.is_owner:
        return sets
    return sets.filter(Q(made_by=viewer) | Q(opened_at__isnull=False))


def calibration_list(viewer, number=1) -> CalibrationList:
    """Return page ``number`` of the sets that ``viewer`` may open."""
    sets = visible_sets(viewer).annotate(
        n_pieces=Count("pieces", distinct=True),
        n_own=Count("pieces", filter=Q(pieces__batch__cook=viewer.pk), distinct=True),
        n_rated=Count(
            "pieces__ratings", filter=Q(pieces__ratings__assessor=viewer.pk), distinct=True
        ),
    )
    page = Paginator(sets.order_by("-made_at", "-pk"), PAGE_SIZE).get_page(number)
    return CalibrationList(
        lines=tuple(
            CalibrationLine(
                pk=one.pk,
                title=one.title,
                made_by=str(one.made_by),
                pieces=one.n_pieces,
                state=_state_of(one, viewer),
            )
            for one in page
        ),
        page=page,
    )


def _state_of(one, viewer):
    if one.opened_at is None:
        return _("draft")
    if one.closed_at is not None:
        return _("closed")
    if not can_rate_pieces(viewer, one.made_by_id):
        return pgettext("calibration set", "open")
    left = one.n_pieces - one.n_own - one.n_rated
    if not left:
        return _("rated")
    return ngettext("%(count)d to rate", "%(count)d to rate", left) % {"count": left}


@dataclass(frozen=True, slots=True)
class PieceLine:
    """One piece of a set as its maker sees it; ``reference`` are criterion and rating."""

    position: int
    batch_id: int
    photo: int | None
    seen: str
    reference: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """A batch with photos that can become a piece."""

    batch: Batch
    photo: int


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One assessor against the reference on one criterion, in words and in figures.

    ``levels`` are reference rating, mean of the assessor's ratings, and pieces.
    """

    criterion: str
    verdict: str
    agree: str
    n: int
    kappa: str
    bias: str
    scatter: str
    levels: tuple[tuple[str, str, int], ...]


@dataclass(frozen=True, slots=True)
class AssessorResult:
    """One assessor's results on all criteria, and pieces that are not rated yet."""

    person: str
    is_own: bool
    rated: int
    missing: int
    lines: tuple[ResultLine, ...]


@dataclass(frozen=True, slots=True)
class CalibrationPage:
    """A set as one person may see it.

    ``next_position`` is the piece to rate next, None where there is none for this person;
    ``pieces``, with the reference, only for those who may read it.
    """

    calibration_set: CalibrationSet
    is_maker: bool
    may_manage: bool
    to_rate: int
    rated: int
    next_position: int | None
    n_pieces: int
    pieces: tuple[PieceLine, ...]
    results: tuple[AssessorResult, ...]

    @property
    def is_draft(self):
        return self.calibration_set.opened_at is None

    @property
    def next_place(self):
        """The place of a piece that is added."""
        return self.n_pieces + 1

    @property
    def is_closed(self):
        return self.calibration_set.closed_at is not None

    @property
    def enough(self):
        """How many pieces a verdict takes."""
        return ENOUGH_PAIRS

    @property
    def is_small(self):
        """Whether the set has too few pieces for a verdict."""
        return self.n_pieces < ENOUGH_PAIRS


def pieces_of(calibration_set):
    """Return the pieces of a set in order, with batch, cook and measured photos, in two queries."""
    photos = Photograph.objects.measured().only("pk", "batch").order_by("pk")
    return list(
        calibration_set.pieces.select_related("batch__cook", "batch__style")
        .prefetch_related(Prefetch("batch__photographs", photos, to_attr="measured_photos"))
        .order_by("position")
    )


def to_rate_by(viewer, calibration_set, pieces):
    """Return the pieces that ``viewer`` is to rate; none of those that they cooked themselves."""
    if calibration_set.opened_at is None or calibration_set.closed_at is not None:
        return []
    if not can_rate_pieces(viewer, calibration_set.made_by_id):
        return []
    return [piece for piece in pieces if piece.batch.cook_id != viewer.pk]


def calibration_page(calibration_set, viewer) -> CalibrationPage:
    """Return the ``CalibrationPage`` of a set that ``viewer`` may open."""
    pieces = pieces_of(calibration_set)
    ratings = list(
        CalibrationRating.objects.filter(piece__calibration_set=calibration_set)
        .select_related("assessor")
        .order_by("assessor__first_name", "assessor__last_name", "assessor", "piece__position")
    )
    own = {rating.piece_id for rating in ratings if rating.assessor_id == viewer.pk}
    left = [piece for piece in to_rate_by(viewer, calibration_set, pieces) if piece.pk not in own]
    # Who has yet to rate is kept from what others said, the owner too.
    reads_all = can_read_ratings(viewer, calibration_set.made_by_id) and not left
    shown = ratings if reads_all else [one for one in ratings if one.assessor_id == viewer.pk]
    return CalibrationPage(
        calibration_set=calibration_set,
        is_maker=viewer.pk == calibration_set.made_by_id,
        may_manage=can_read_ratings(viewer, calibration_set.made_by_id),
        to_rate=len(left),
        rated=len(own),
        next_position=left[0].position if left else None,
        n_pieces=len(pieces),
        pieces=tuple(_piece_line(piece) for piece in pieces) if reads_all else (),
        results=() if left else _results(pieces, shown, viewer),
    )


def _piece_line(piece):
    photos = piece.batch.measured_photos
    return PieceLine(
        position=piece.position,
        batch_id=piece.batch_id,
        photo=photos[0].pk if photos else None,
        seen=piece.seen,
        reference=tuple(
            (criterion_name(name), str(getattr(piece, f"get_{name}_display")()))
            for name in piece.criteria
        ),
    )


def _results(pieces, ratings, viewer):
    """Return one result for each assessor in ``ratings``, in their order."""
    people = {rating.assessor_id: rating.assessor for rating in ratings}
    lines = defaultdict(list)
    for name in CRITERIA:
        reference = {
            piece.pk: getattr(piece, name) for piece in pieces if getattr(piece, name) is not None
        }
        given = [
            BlindRating(rating.assessor_id, rating.piece_id, getattr(rating, name))
            for rating in ratings
            if rating.piece_id in reference and getattr(rating, name) is not None
        ]
        for found in calibration(given, reference):
            lines[found.assessor].append(_result_line(name, found))
    counts = defaultdict(int)
    for rating in ratings:
        counts[rating.assessor_id] += 1
    return tuple(
        AssessorResult(
            person=str(person),
            is_own=pk == viewer.pk,
            rated=counts[pk],
            missing=sum(piece.batch.cook_id != pk for piece in pieces) - counts[pk],
            lines=tuple(lines[pk]),
        )
        for pk, person in people.items()
    )


def _result_line(name, found):
    return ResultLine(
        criterion=criterion_name(name),
        verdict=_verdict_words(found),
        agree=agree_words(found.kappa, both(_("Rating"), _("reference"))),
        n=found.difference.n,
        kappa=coefficient(found.kappa),
        bias=estimate(found.difference.mean),
        scatter=estimate(found.difference.spread),
        levels=tuple(
            (
                str(Observation.Rating(level.reference).label),
                figure(level.mean, 1),
                level.n,
            )
            for level in found.levels
        ),
    )


def _verdict_words(found):
    verdict = found.verdict
    if verdict == "cannot tell":
        return ngettext(
            "Cannot tell yet: %(count)d piece, it takes %(enough)d.",
            "Cannot tell yet: %(count)d pieces, it takes %(enough)d.",
            found.difference.n,
        ) % {"count": found.difference.n, "enough": ENOUGH_PAIRS}
    if verdict == "alike":
        return _("Neither stricter nor milder than the reference, as far as can be told.")
    by = figure(abs(found.difference.mean.value), 1)
    if verdict == "stricter":
        return _("Stricter than the reference by about %(by)s steps.") % {"by": by}
    return _("Milder than the reference by about %(by)s steps.") % {"by": by}


def choices_for(calibration_set, maker) -> tuple[Choice, ...]:
    """Return the newest batches with photos that ``maker`` may add to the set, in two queries."""
    photos = Photograph.objects.measured().only("pk", "batch").order_by("pk")
    batches = (
        choosable(maker)
        .exclude(pk__in=calibration_set.pieces.values("batch"))
        .select_related("cook", "style")
        .prefetch_related(Prefetch("photographs", photos, to_attr="measured_photos"))
        .newest_first()[:MOST_CHOICES]
    )
    return tuple(Choice(batch, batch.measured_photos[0].pk) for batch in batches)


def choosable(maker):
    """Return the finished batches of the last weeks with photos that ``maker`` may show."""
    cooks = User.objects.cooks_of(maker.headed_branch_ids).exclude(pk=maker.pk)
    measured = Photograph.objects.measured().filter(batch=OuterRef("pk"))
    return Batch.objects.finished().filter(
        Exists(measured),
        made_on__gt=timezone.localdate() - timedelta(days=CHOICE_DAYS),
        cook__in=cooks.order_by().values("pk"),
    )


@dataclass(frozen=True, slots=True)
class PiecePage:
    """One piece as an assessor rates it: nothing of whose it is, what it scored or was called."""

    calibration_set: CalibrationSet
    piece: CalibrationPiece
    photos: tuple[int, ...]
    number: int
    total: int


def piece_page(calibration_set, piece, viewer) -> PiecePage:
    """Return the ``PiecePage`` of a piece; ``number`` counts the pieces that ``viewer`` rates."""
    mine = calibration_set.pieces.exclude(batch__cook=viewer)
    return PiecePage(
        calibration_set=calibration_set,
        piece=piece,
        photos=photos_of(piece.batch_id),
        number=mine.filter(position__lte=piece.position).count(),
        total=mine.count(),
    )


def photos_of(batch_id) -> tuple[int, ...]:
    """Return the ids of a batch's first measured photos."""
    photos = Photograph.objects.measured().filter(batch=batch_id).order_by("pk")
    return tuple(photos.values_list("pk", flat=True)[:MOST_PHOTOS])


def next_to_rate(calibration_set, viewer):
    """Return the place of the first piece that ``viewer`` has yet to rate, or None."""
    done = CalibrationRating.objects.filter(piece=OuterRef("pk"), assessor=viewer.pk)
    return (
        calibration_set.pieces.exclude(Exists(done))
        .exclude(batch__cook=viewer)
        .order_by("position")
        .values_list("position", flat=True)
        .first()
    )


def is_on_open_set(viewer, photograph) -> bool:
    """Return whether a photo belongs to a piece that ``viewer`` is asked to rate now."""
    if not viewer.is_head_chef or photograph.batch_id is None:
        return False
    pieces = CalibrationPiece.objects.filter(
        batch=photograph.batch_id,
        calibration_set__opened_at__isnull=False,
        calibration_set__closed_at__isnull=True,
    )
    makers = pieces.values_list("calibration_set__made_by", flat=True)
    return any(can_rate_pieces(viewer, maker) for maker in makers)
