"""Keep a photo of strands, measure it in the background, and record the widths it gives.

A photograph waits, is measured, and ends as measured, refused or failed. Its row alone says where
it stands: the queue only says that there may be something to do. A worker takes a photograph by
writing the moment into ``measuring_since``, and what it brings counts only while that moment still
stands there. So a task delivered twice measures once, and a worker that was killed, or is slower
than it may be, holds nobody up and overwrites nothing.
"""

import logging
import math
from datetime import timedelta

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django_tasks import task

from assessments.actions.log_batch import BatchClosedError, record_readings
from assessments.calculations.measuring import measure, pictures
from assessments.calculations.measuring.refusals import Reason, RefusedError
from assessments.models import Batch, Event, Instrument, LeftOutStrand, Photograph, ReadingSet
from assessments.models.photographs import (
    chosen_places,
    lay_out,
    root_mean_square,
)

logger = logging.getLogger(__name__)

State = Photograph.State

MEASURING_LIMIT_S = 120
"""After so long a photograph that is not done is taken for abandoned by its worker."""
MOST_ATTEMPTS = 3
MOST_PHOTOGRAPHS = 12
"""For one batch. The widest strands need some five cards."""
RENDITION_PX = 1600
THUMBNAIL_PX = 320
TYPED_THICKNESS_U_MM = 0.1
"""Standard uncertainty of a thickness that was read with nobody knows what."""


def keep_photograph(batch, data, *, client_key, by, bar_mm=None):
    """Keep a photo of an open batch and put it in the queue; the same key again gives the same one.

    Parameters
    ----------
    data : bytes or UploadedFile
        The file as it came.
    client_key : UUID
        Made by the page, so that an upload can be tried again.
    bar_mm : float, optional
        Length of the printed bar as measured with a ruler.

    Returns the ``Photograph``. Raises ``RefusedError`` for a file that is no picture that can be
    measured, ``BatchClosedError`` for a batch that is closed, and ``ValidationError`` when it is
    not known which strands to measure, when all of them are on photos already, or when the batch
    has photos enough.
    """
    return store_photograph(data, client_key=client_key, by=by, batch=batch, bar_mm=bar_mm)


def store_photograph(data, *, client_key, by, **fields):
    """Keep a photo with these ``fields``, as ``keep_photograph`` does for a batch."""
    sent_before = Photograph.objects.filter(
        client_key=client_key, batch=fields.get("batch"), trial=fields.get("trial")
    )
    existing = sent_before.first()
    if existing is not None:
        return existing
    picture = pictures.without_metadata(data if isinstance(data, bytes) else _read(data))
    photograph = Photograph(
        client_key=client_key,
        taken_by=by,
        size_bytes=len(picture.data),
        width_px=picture.width_px,
        height_px=picture.height_px,
        orientation=picture.orientation,
        focal_35mm=picture.focal_35mm,
        **fields,
    )
    try:
        return _store(photograph, picture)
    except IntegrityError:
        # The same file, sent twice at the same moment: the other one was a little faster.
        existing = sent_before.first()
        if existing is None:
            raise ValidationError(
                _("This page was used for another photo. Load it again."), code="used"
            ) from None
        return existing


def _read(file):
    if file.size > 1e6 * pictures.MAX_FILE_MB:
        raise RefusedError(Reason.FILE_TOO_LARGE, found=file.size / 1e6, limit=pictures.MAX_FILE_MB)
    return file.read()


@transaction.atomic
def _store(photograph, picture):
    batch = _held_open(photograph)
    if batch is not None:
        _check_room(batch)
    field = Photograph._meta.get_field("original")
    photograph.original = field.generate_filename(photograph, f"photo{picture.suffix}")
    photograph.clean_fields(exclude=["original"])
    # First the row: where the key is taken already, no file is written.
    photograph.save(force_insert=True)
    try:
        field.storage.save(photograph.original.name, ContentFile(picture.data))
    except BaseException:
        field.storage.delete(photograph.original.name)
        raise
    _queue(photograph)
    return photograph


def _check_room(batch):
    chosen = chosen_places(batch)
    if not chosen:
        raise ValidationError(
            _("Say first how many strands the dough gives: then it is known which to measure."),
            code="unknown",
        )
    if batch.photographs.count() >= MOST_PHOTOGRAPHS:
        raise ValidationError(
            _("A batch takes %(most)d photos. Remove one that is not needed first."),
            params={"most": MOST_PHOTOGRAPHS},
            code="many",
        )
    if _first_free(_layout(batch)) > len(chosen):
        raise ValidationError(
            _("All strands to measure are on photos already. To take one again, remove it first."),
            code="full",
        )


def _queue(photograph):
    pk = photograph.pk
    transaction.on_commit(lambda: measure_photograph.enqueue(pk))


@task
def measure_photograph(pk):
    """Measure a photograph and record what it gives; does nothing where another worker has it."""
    photograph = _claim(pk)
    if photograph is None:
        return
    try:
        reading = _measure(photograph)
        _settle(
            photograph,
            state=State.MEASURED,
            result=_rounded(reading.as_dict()),
            version=reading.version,
            measured_at=timezone.now(),
        )
    except RefusedError as refusal:
        _settle(
            photograph,
            state=State.REFUSED,
            reason=refusal.reason.value,
            found=refusal.found,
            limit=refusal.limit,
        )
    except Exception:
        logger.exception("Photograph %s could not be measured", pk)
        _settle(photograph, state=State.FAILED)


def _claim(pk):
    """Take the photograph for this worker and return it, or None where there is nothing to do."""
    now = timezone.now()
    abandoned = Q(
        state=State.MEASURING, measuring_since__lt=_limit(now), attempts__lt=MOST_ATTEMPTS
    )
    taken = Photograph.objects.filter(Q(state=State.WAITING) | abandoned, pk=pk).update(
        state=State.MEASURING, measuring_since=now, attempts=F("attempts") + 1
    )
    if not taken:
        return None
    rows = Photograph.objects.select_related("batch__standard", "trial__standard", "taken_by")
    return rows.filter(pk=pk, measuring_since=now).first()


def _limit(now):
    return now - timedelta(seconds=MEASURING_LIMIT_S)


def _still_ours(photograph):
    return Photograph.objects.filter(
        pk=photograph.pk, state=State.MEASURING, measuring_since=photograph.measuring_since
    )


def _measure(photograph):
    with photograph.original.open() as file:
        picture = pictures.open_picture(
            file.read(), orientation=photograph.orientation, focal_35mm=photograph.focal_35mm
        )
    if not photograph.thumbnail:
        _keep_rendition(photograph, picture, "rendition", RENDITION_PX)
        _keep_rendition(photograph, picture, "thumbnail", THUMBNAIL_PX)
    mm, u_mm, assumed = thickness_of(photograph)
    _still_ours(photograph).update(thickness_mm=mm, thickness_u_mm=u_mm, thickness_assumed=assumed)
    return measure.measure_strands(picture, mm, thickness_u_mm=u_mm, bar_mm=photograph.bar_mm)


def _keep_rendition(photograph, picture, column, longest_px):
    """Store a smaller picture under its one name, in place of what a killed worker left."""
    storage = photograph.original.storage
    name = Photograph._meta.get_field(column).generate_filename(photograph, "")
    data = pictures.rendition(picture, longest_px, suffix=".webp")
    storage.delete(name)
    saved = storage.save(name, ContentFile(data))
    if saved != name:
        storage.delete(saved)  # another worker wrote the same a moment ago
    _still_ours(photograph).update(**{column: name})
    if not Photograph.objects.filter(pk=photograph.pk).exists():
        storage.delete(name)  # removed meanwhile


def thickness_of(photograph):
    """Return the thickness to reckon with, its standard uncertainty, and whether it is assumed.

    The mean of the batch's readings, or what was typed for a trial; without either the target of
    the house standard, anywhere within its tolerance (a rectangular distribution, GUM 4.3.7).
    """
    if photograph.trial is not None:
        standard, typed = photograph.trial.standard, photograph.trial.thickness_mm
        if typed is not None:
            return float(typed), TYPED_THICKNESS_U_MM, False
    else:
        standard = photograph.batch.standard
        readings = (
            photograph.batch.reading_sets.current()
            .filter(quantity=ReadingSet.Quantity.THICKNESS)
            .first()
        )
        if readings is not None:
            u_mm = readings.repeatability_mm
            if readings.sd is not None:
                u_mm = math.hypot(readings.sd / math.sqrt(readings.n), u_mm or 0.0)
            return readings.mean, u_mm or TYPED_THICKNESS_U_MM, False
    low, high = standard.thickness_limits_mm
    return float(standard.thickness_target_mm), (high - low) / 2 / math.sqrt(3), True


def _rounded(value):
    """Return plain JSON with numbers of six decimals: more would only weigh."""
    if isinstance(value, float):
        return round(value, 6)
    if isinstance(value, dict):
        return {key: _rounded(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [_rounded(part) for part in value]
    return value


@transaction.atomic
def _settle(photograph, **outcome):
    """Write what became of the photograph, and the widths with it, unless another worker has it."""
    batch = _held(photograph)
    before = [] if batch is None else _layout(batch)
    none = {"reason": "", "found": None, "limit": None}
    if not _still_ours(photograph).update(**(none | outcome)):
        return
    if batch is not None and batch.is_open:
        _follow(batch, photograph, before)
        _bring_up_to_date(batch, by=photograph.taken_by)


def _held(photograph):
    """Return the photograph's batch, kept from others until the transaction ends; None for a trial.

    Always taken before the photograph's own row, so that two never wait for each other.
    """
    return (
        Batch.objects.select_for_update(of=("self",))
        .select_related("standard", "cook")
        .filter(pk=photograph.batch_id)
        .first()
    )


def _held_open(photograph):
    """Return the photograph's batch as ``_held`` does; refuse what is closed."""
    batch = _held(photograph)
    if not (batch or photograph.trial).is_open:
        raise BatchClosedError(
            _("This is finished. Its photos can no longer be changed."), code="closed"
        )
    return batch


def _layout(batch):
    photographs = batch.photographs.measured().with_left_out()
    return lay_out(photographs, len(chosen_places(batch)))


def _first_free(layout):
    """Return the first place among the chosen strands that no photograph covers."""
    free = 1
    for laid in layout:
        if laid.photograph.first_place > free:
            break
        free = max(free, laid.last_place + 1)
    return free


def _follow(batch, photograph, before):
    """Move the photographs that began where this one ended, now that it ends elsewhere."""
    ends = {laid.photograph.pk: laid.last_place for laid in before}
    now = {laid.photograph.pk: laid.last_place for laid in _layout(batch)}
    if photograph.pk not in ends or photograph.pk not in now:
        return
    end, by = ends[photograph.pk], now[photograph.pk] - ends[photograph.pk]
    place = next(
        laid.photograph.first_place for laid in before if laid.photograph.pk == photograph.pk
    )
    for laid in before if by else []:
        later = laid.photograph
        if later.first_place <= place:
            continue
        if later.first_place != end + 1:
            break
        end = laid.last_place
        Photograph.objects.filter(pk=later.pk).update(
            first_place=later.first_place + by,
            missing_places=[missing + by for missing in later.missing_places],
        )


def _bring_up_to_date(batch, *, by):
    """Place what was measured since, and record the widths of all photographs of the batch."""
    for photograph in batch.photographs.all():
        if photograph.is_under_way:
            break  # those after it begin where it will end
        if photograph.state == State.MEASURED and photograph.first_place is None:
            photograph.first_place = _first_free(_layout(batch))
            photograph.save(update_fields=["first_place"])
    _record(batch, by=by)


def _record(batch, *, by):
    """Make the widths of the photographs the batch's current ones.

    A photograph with more strands than places waits until the surplus is left out. Widths that
    were typed after a photo was recorded stay, until another photo is.
    """
    chosen = chosen_places(batch)
    complete = [laid for laid in _layout(batch) if not laid.surplus]
    widths = batch.reading_sets.filter(quantity=ReadingSet.Quantity.WIDTH)
    current = widths.current().first()
    fresh = any(laid.photograph.readings_id is None for laid in complete)
    if current is not None and not current.software and not fresh:
        return
    strands = {
        chosen[laid.places[strand["number"]] - 1]: strand
        for laid in complete
        for strand in laid.counted
    }
    readings = None
    if strands:
        readings = record_readings(
            batch,
            ReadingSet.Quantity.WIDTH,
            [strands[place]["width_mm"] for place in sorted(strands)],
            by=by,
            positions=sorted(strands),
            instrument=photo_instrument(),
            repeatability_mm=root_mean_square(strands.values(), "random_mm"),
            uncertainty_mm=root_mean_square(strands.values(), "u_mm"),
            software=max(laid.photograph.version for laid in complete),
            left_out=sum(len(laid.measured) - len(laid.counted) for laid in complete),
        )
    elif current is not None and current.software:
        _fall_back(widths)
    recorded = [laid.photograph.pk for laid in complete] if readings else []
    batch.photographs.filter(pk__in=recorded).update(readings=readings)
    batch.photographs.exclude(pk__in=recorded).update(readings=None)


def _fall_back(widths):
    """Make the last widths that were typed current again, now that no photo is left."""
    widths.current().update(is_current=False)
    typed = widths.filter(software="").order_by("-revision").values_list("pk", flat=True).first()
    widths.filter(pk=typed).update(is_current=True)


def photo_instrument():
    """Return the house's instrument for widths from photos, made at the first photo."""
    instrument, _made = Instrument.objects.order_by("pk").get_or_create(
        kind=Instrument.Kind.PHOTO, defaults={"name": gettext_noop("photo on the measuring card")}
    )
    return instrument


@transaction.atomic
def queue_again(photograph):
    """Measure a photograph anew: one that failed, or with another thickness than before.

    Raises ``BatchClosedError`` when the batch is closed, and ``ValidationError`` for one with
    strands left out, whose numbers could then mean others.
    """
    _held_open(photograph)
    if photograph.left_out.active().exists():
        raise ValidationError(
            _("Take back the strands that are left out first: they may get other numbers."),
            code="left_out",
        )
    now = timezone.now()
    busy = Q(state=State.MEASURING, measuring_since__gte=_limit(now))
    again = Photograph.objects.filter(pk=photograph.pk).exclude(busy)
    if again.update(state=State.WAITING, queued_at=now, attempts=0):
        _queue(photograph)
    photograph.refresh_from_db()


def pick_up_stale(photograph, *, now=None):
    """Put a photograph back in the queue whose worker, or whose place in the queue, was lost.

    For a page that shows its progress; of several that ask at once, one does it. After
    ``MOST_ATTEMPTS`` the photograph is failed: something in it kills the worker.
    """
    now = now or timezone.now()
    this = Photograph.objects.filter(pk=photograph.pk)
    lost = this.filter(state=State.WAITING, queued_at__lt=_limit(now))
    abandoned = this.filter(state=State.MEASURING, measuring_since__lt=_limit(now))
    waits = {"state": State.WAITING, "queued_at": now}
    if lost.update(**waits) or abandoned.filter(attempts__lt=MOST_ATTEMPTS).update(**waits):
        _queue(photograph)
    elif abandoned.update(state=State.FAILED):
        logger.error("Photograph %s was given up after %s attempts", photograph.pk, MOST_ATTEMPTS)
    photograph.refresh_from_db()


@transaction.atomic
def leave_out(photograph, number, reason, *, by):
    """Leave a strand of a measured photograph out; another reason takes the place of the first.

    Raises ``BatchClosedError`` when the batch is closed, and ``ValidationError`` for a strand
    that is not on the photograph or a reason that is not on the list.
    """
    batch = _held_open(photograph)
    photograph.refresh_from_db()
    if number not in {strand["number"] for strand in photograph.strands}:
        raise ValidationError(_("There is no such strand on this photo."), code="no_strand")
    if reason not in LeftOutStrand.Reason.values:
        raise ValidationError(_("Choose one of the reasons."), code="no_reason")
    now = photograph.left_out.active().filter(number=number)
    if now.filter(reason=reason).exists():
        return
    before = [] if batch is None else _layout(batch)
    now.update(taken_back_at=timezone.now())
    LeftOutStrand.objects.create(photograph=photograph, number=number, reason=reason, by=by)
    _changed(batch, photograph, before, by=by)


@transaction.atomic
def take_back(photograph, number, *, by):
    """Let a strand count again that was left out; raises ``BatchClosedError`` as ``leave_out``."""
    batch = _held_open(photograph)
    before = [] if batch is None else _layout(batch)
    left_out = photograph.left_out.active().filter(number=number)
    if left_out.update(taken_back_at=timezone.now()):
        _changed(batch, photograph, before, by=by)


@transaction.atomic
def say_missing(photograph, places, *, by, first_place=None):
    """Say which of the chosen strands, counted from 1, are not on a measured photograph.

    ``first_place`` says with which of them the photograph begins, where that is another than
    found. Raises ``BatchClosedError`` when the batch is closed, and ``ValidationError`` for a
    place that is none or lies before the first.
    """
    batch = _held_open(photograph)
    photograph.refresh_from_db()
    first = first_place or photograph.first_place or 1
    places = sorted(set(places))
    n_chosen = 0 if batch is None else len(chosen_places(batch))
    if not all(first <= place <= n_chosen for place in [first, *places]):
        raise ValidationError(
            _("Name strands from the %(first)d. to the %(last)d. of those to measure."),
            params={"first": first, "last": n_chosen},
            code="no_place",
        )
    before = _layout(batch)
    photograph.missing_places, moved = places, first != photograph.first_place
    photograph.first_place = first
    photograph.save(update_fields=["missing_places", "first_place"])
    # Where it was put elsewhere by hand, the others stay where they are.
    _changed(batch, photograph, [] if moved else before, by=by)


def _changed(batch, photograph, before, *, by):
    if batch is not None:
        _follow(batch, photograph, before)
        _bring_up_to_date(batch, by=by)


@transaction.atomic
def remove_photograph(photograph, *, by):
    """Remove a wrong photo of an open batch, with its files; the widths fall back to the rest.

    Stays on record as an event. Raises ``BatchClosedError`` when the batch is closed.
    """
    batch = _held_open(photograph)
    Event.record(
        Event.Verb.PHOTO_REMOVED,
        actor=by,
        subject=batch and batch.cook,
        about=batch or photograph.trial,
        state=photograph.state,
        strands=len(photograph.strands),
        left_out=photograph.left_out.active().count(),
    )
    photograph.delete()
    if batch is not None:
        _bring_up_to_date(batch, by=by)
