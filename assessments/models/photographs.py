"""Photographs of strands on the measuring card, and the strands that were left out."""

import math
import secrets
import uuid
from dataclasses import dataclass
from itertools import count
from pathlib import PurePosixPath

from django.conf import settings
from django.core.files.storage import storages
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models, transaction
from django.db.models import Q
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.calculations.instruments import choose_strands
from assessments.models.batches import Batch
from assessments.models.readings import ReadingSet
from assessments.models.trials import Trial

LEAST_BAR_MM, MOST_BAR_MM = 90, 110
"""No printer is further off: beyond them something else was measured than the bar."""


def photograph_storage():
    """Return where photographs lie: apart from the uploads that everybody in the house sees."""
    return storages["photographs"]


def original_name(_photograph, filename):
    """Return a name that tells nothing and cannot be guessed; only the suffix is kept."""
    name = secrets.token_hex(16)
    return f"{name[:2]}/{name}{PurePosixPath(filename).suffix}"


def rendition_name(photograph, _filename=""):
    """Return the name of the picture for the photograph's page, see ``_beside``."""
    return _beside(photograph.original.name, "page")


def thumbnail_name(photograph, _filename=""):
    """Return the name of the picture for lists, see ``_beside``."""
    return _beside(photograph.original.name, "list")


def _beside(name, use):
    """Return a name that follows from the original's.

    A second attempt thus writes over what a killed worker left, and deleting finds all.
    """
    original = PurePosixPath(name)
    return f"{original.parent}/{original.stem}-{use}.webp"


def chosen_places(batch) -> list[int]:
    """Return which strands of the cut are to be measured, in cutting order; none before it is
    known how many there are."""
    if batch.strands_expected is None:
        return []
    return choose_strands(
        batch.strands_expected, batch.standard.strands_to_measure, batch.strand_seed
    )


class PhotographQuerySet(models.QuerySet):
    """Photographs as the pages ask for them."""

    def under_way(self):
        """Leave out those that have come to an end, good or bad."""
        return self.filter(state__in=[Photograph.State.WAITING, Photograph.State.MEASURING])

    def measured(self):
        return self.filter(state=Photograph.State.MEASURED)

    def with_left_out(self):
        """Load the strands left out at present as ``left_out_now``, in one query more."""
        return self.prefetch_related(
            models.Prefetch(
                "left_out",
                LeftOutStrand.objects.active().select_related("by"),
                to_attr="left_out_now",
            )
        )


class Photograph(models.Model):
    """One photo of strands on the card, with what measuring it gave.

    ``result`` is a ``PhotoReading`` as plain JSON; it stays as it was measured. What the cook
    says about it is kept beside it: strands left out in rows of their own, strands that are not
    on the card in ``missing_places``.
    """

    class State(models.TextChoices):
        WAITING = "waiting", _("waiting")
        MEASURING = "measuring", _("being measured")
        MEASURED = "measured", _("measured")
        REFUSED = "refused", _("refused")
        FAILED = "failed", _("failed")

    batch = models.ForeignKey(
        Batch,
        verbose_name=_("batch"),
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="photographs",
    )
    trial = models.ForeignKey(
        Trial,
        verbose_name=_("trial"),
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="photographs",
    )
    client_key = models.UUIDField(
        default=uuid.uuid4,
        unique=True,
        editable=False,
        help_text=_("Made by the page, so that a photo sent twice is kept once."),
    )
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("taken by"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    uploaded_at = models.DateTimeField(_("uploaded at"), default=timezone.now)

    original = models.FileField(
        _("original"), storage=photograph_storage, upload_to=original_name, max_length=120
    )
    rendition = models.FileField(
        _("picture for its page"),
        storage=photograph_storage,
        upload_to=rendition_name,
        max_length=120,
        blank=True,
    )
    thumbnail = models.FileField(
        _("picture for lists"),
        storage=photograph_storage,
        upload_to=thumbnail_name,
        max_length=120,
        blank=True,
    )
    size_bytes = models.PositiveIntegerField(_("size of the original, bytes"))
    width_px = models.PositiveIntegerField(_("width of the upright picture, pixels"))
    height_px = models.PositiveIntegerField(_("height of the upright picture, pixels"))
    orientation = models.PositiveSmallIntegerField(
        _("orientation"),
        default=1,
        help_text=_("The file's EXIF orientation, 1 to 8; the stored file has none."),
    )
    focal_35mm = models.FloatField(
        _("focal length on 35 mm film, mm"),
        null=True,
        blank=True,
        help_text=_("From the file's EXIF; the stored file has none."),
    )
    bar_mm = models.FloatField(
        _("length of the printed bar, mm"),
        null=True,
        blank=True,
        validators=[MinValueValidator(LEAST_BAR_MM), MaxValueValidator(MOST_BAR_MM)],
        help_text=_("As measured with a ruler; empty where nobody has."),
    )

    state = models.CharField(_("state"), max_length=9, choices=State.choices, default=State.WAITING)
    queued_at = models.DateTimeField(_("put in the queue at"), default=timezone.now)
    measuring_since = models.DateTimeField(_("being measured since"), null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(_("attempts"), default=0)
    reason = models.CharField(
        _("reason of the refusal"),
        max_length=20,
        blank=True,
        help_text=_("A code of calculations.measuring.refusals.Reason."),
    )
    found = models.FloatField(_("found"), null=True, blank=True)
    limit = models.FloatField(_("limit"), null=True, blank=True)

    thickness_mm = models.FloatField(_("thickness reckoned with, mm"), null=True, blank=True)
    thickness_u_mm = models.FloatField(_("its standard uncertainty, mm"), null=True, blank=True)
    thickness_assumed = models.BooleanField(
        _("thickness taken from the house standard"), default=False
    )
    result = models.JSONField(_("result"), null=True, blank=True)
    version = models.CharField(_("version of the method"), max_length=20, blank=True)
    measured_at = models.DateTimeField(_("measured at"), null=True, blank=True)

    first_place = models.PositiveSmallIntegerField(
        _("first place"),
        null=True,
        blank=True,
        help_text=_("Which of the chosen strands, from 1, is the first on this photo."),
    )
    missing_places = models.JSONField(
        _("missing places"),
        default=list,
        blank=True,
        help_text=_("Which of the chosen strands, from 1, are not on this photo."),
    )
    readings = models.ForeignKey(
        ReadingSet,
        verbose_name=_("readings"),
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="photographs",
        help_text=_("The set that its widths went into; empty while they are not recorded."),
    )

    objects = PhotographQuerySet.as_manager()

    class Meta:
        ordering = ["uploaded_at", "pk"]
        verbose_name = _("photograph")
        verbose_name_plural = _("photographs")
        constraints = [
            models.CheckConstraint(
                name="photograph_has_owner",
                condition=Q(batch__isnull=False, trial__isnull=True)
                | Q(batch__isnull=True, trial__isnull=False),
            ),
            models.CheckConstraint(
                name="photograph_measured_has_result",
                condition=~Q(state="measured") | Q(result__isnull=False),
            ),
            models.CheckConstraint(
                name="photograph_measuring_has_time",
                condition=~Q(state="measuring") | Q(measuring_since__isnull=False),
            ),
            models.CheckConstraint(
                name="photograph_refused_has_reason",
                condition=~Q(state="refused") | ~Q(reason=""),
            ),
        ]

    def __str__(self):
        return f"{self.batch_id} · {self.uploaded_at:%Y-%m-%d %H:%M}"

    @property
    def is_under_way(self):
        return self.state in (self.State.WAITING, self.State.MEASURING)

    @property
    def strands(self):
        """The strands found, as the dicts of ``PhotoReading.as_dict()``, in their order."""
        return self.result["strands"] if self.result else []


class LeftOutQuerySet(models.QuerySet):
    """Left-out strands as the pages ask for them."""

    def active(self):
        """Leave out what was taken back."""
        return self.filter(taken_back_at__isnull=True)


class LeftOutStrand(models.Model):
    """A strand of a photograph that the cook does not let count, and why."""

    class Reason(models.TextChoices):
        TORN = "torn", _("torn")
        STUCK = "stuck", _("stuck to another")
        OFF_FIELD = "off_field", _("lies outside the field")
        NOT_CHOSEN = "not_chosen", _("not one of the chosen")
        WRONG_EDGE = "wrong_edge", _("its edge was found wrong")

    photograph = models.ForeignKey(Photograph, on_delete=models.CASCADE, related_name="left_out")
    number = models.PositiveSmallIntegerField(
        _("strand"), help_text=_("The number that measuring gave it, from 1.")
    )
    reason = models.CharField(_("reason"), max_length=10, choices=Reason.choices)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("left out by"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    at = models.DateTimeField(_("left out at"), default=timezone.now)
    taken_back_at = models.DateTimeField(_("taken back at"), null=True, blank=True)

    objects = LeftOutQuerySet.as_manager()

    class Meta:
        ordering = ["photograph", "number", "at"]
        verbose_name = _("strand left out")
        verbose_name_plural = _("strands left out")
        constraints = [
            models.UniqueConstraint(
                fields=["photograph", "number"],
                condition=Q(taken_back_at__isnull=True),
                name="left_out_once",
            )
        ]

    def __str__(self):
        return f"{self.photograph_id} · {self.number} · {self.get_reason_display()}"


@dataclass(frozen=True, slots=True)
class Laid:
    """Which of the chosen strands, counted from 1, each strand of a photograph is.

    ``places`` maps the number of a strand to its place among the chosen; a strand left out as
    not one of them has none. ``surplus`` holds the numbers of those for which no place is left.
    """

    photograph: Photograph
    left_out: dict[int, LeftOutStrand]
    places: dict[int, int]
    last_place: int
    surplus: frozenset[int]

    @property
    def measured(self):
        """The strands with a width, those left out too."""
        return [strand for strand in self.photograph.strands if strand["width_mm"] is not None]

    @property
    def counted(self):
        """The strands whose widths count."""
        return [strand for strand in self.measured if strand["number"] not in self.left_out]


def lay_out(photographs, n_chosen) -> list[Laid]:
    """Lay the strands of measured photographs, loaded ``with_left_out``, on the chosen places.

    A photograph ends at the latest where the next one begins, the last one with the last of the
    ``n_chosen`` strands. Photographs without a first place are left out.
    """
    row = sorted(
        (photo for photo in photographs if photo.first_place is not None),
        key=lambda photo: photo.first_place,
    )
    ends = [*(photo.first_place - 1 for photo in row[1:]), n_chosen]
    return [_lay(photo, end) for photo, end in zip(row, ends, strict=False)]


def _lay(photograph, end):
    left_out = {row.number: row for row in photograph.left_out_now}
    missing = set(photograph.missing_places)
    free = (place for place in count(photograph.first_place) if place not in missing)
    places = {
        strand["number"]: next(free)
        for strand in photograph.strands
        if strand["number"] not in left_out
        or left_out[strand["number"]].reason != LeftOutStrand.Reason.NOT_CHOSEN
    }
    return Laid(
        photograph=photograph,
        left_out=left_out,
        places=places,
        last_place=max([photograph.first_place - 1, *missing, *places.values()]),
        surplus=frozenset(number for number, place in places.items() if place > end),
    )


def root_mean_square(strands, part):
    """Return the root mean square of ``u_mm`` or ``random_mm`` of strands with a width."""
    return math.sqrt(math.fsum(strand[part] ** 2 for strand in strands) / len(strands))


@receiver(post_delete, sender=Photograph, dispatch_uid="delete_files_of_photograph")
def delete_files(instance, **_kwargs):
    """Delete the files of a photograph whose row is gone, once that is certain."""
    if not instance.original:
        return
    storage = instance.original.storage
    # By name, not by column: a worker may have written the smaller ones and been killed.
    names = [instance.original.name, rendition_name(instance), thumbnail_name(instance)]
    transaction.on_commit(lambda: [storage.delete(name) for name in names])
