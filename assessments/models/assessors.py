"""Whether those who judge agree: second looks, calibration sets, ratings given blind."""

import uuid

from django.conf import settings
from django.core.validators import MaxLengthValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.models.batches import Batch
from assessments.models.kept import Kept
from assessments.models.sign_offs import Observation

CRITERIA = ("evenness", *Observation.CRITERIA)
"""What a piece of a calibration set is rated on: by eye, and by what was seen at the bench."""


def rating(label, **options):
    """Return the field of one criterion: not met, nearly, met."""
    return models.PositiveSmallIntegerField(label, choices=Observation.Rating.choices, **options)


class SecondLook(models.Model):
    """A batch that two assessors observe, each without seeing what the other wrote.

    The site proposes it at random when the batch is opened. It is done when both have added an
    observation of the batch.
    """

    batch = models.OneToOneField(Batch, on_delete=models.CASCADE, related_name="second_look")
    first = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("first assessor"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    second = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("second assessor"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    proposed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-proposed_at"]
        verbose_name = _("second look")
        verbose_name_plural = _("second looks")
        constraints = [
            models.CheckConstraint(
                name="second_look_by_two",
                condition=~Q(first=F("second")),
                violation_error_message=_("A second look needs a second person."),
            )
        ]

    def __str__(self):
        return f"{self.batch_id} · {self.first} · {self.second}"


class CalibrationSet(models.Model):
    """Reference batches of a head chef that every assessor rates blind."""

    title = models.CharField(_("title"), max_length=80)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("made by"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    made_at = models.DateTimeField(default=timezone.now)
    opened_at = models.DateTimeField(
        _("opened for rating at"),
        null=True,
        blank=True,
        help_text=_("From then on pieces and reference ratings stay as they are."),
    )
    closed_at = models.DateTimeField(_("closed at"), null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
        verbose_name = _("calibration set")
        verbose_name_plural = _("calibration sets")
        constraints = [
            models.CheckConstraint(
                name="calibration_closed_after_opened",
                condition=Q(closed_at__isnull=True) | Q(opened_at__isnull=False),
            )
        ]

    def __str__(self):
        return self.title


class Ratings(models.Model):
    """How a piece is rated; what cannot be told of it is left out."""

    evenness = rating(_("evenness of the strands"))
    handling = rating(_("handling of dough and tools"), null=True, blank=True)
    bench_order = rating(_("order at the bench"), null=True, blank=True)
    hygiene = rating(_("hygiene"), null=True, blank=True)
    knife_safety = rating(_("safety with knife and heat"), null=True, blank=True)

    class Meta:
        abstract = True


class CalibrationPiece(Ratings):
    """One batch of a set: its photos, what was seen, and how its maker rated it."""

    calibration_set = models.ForeignKey(
        CalibrationSet, on_delete=models.CASCADE, related_name="pieces"
    )
    position = models.PositiveSmallIntegerField(_("place"))
    batch = models.ForeignKey(
        Batch, verbose_name=_("batch"), on_delete=models.PROTECT, related_name="+"
    )
    seen = models.TextField(
        _("what was seen"),
        blank=True,
        validators=[MaxLengthValidator(2000)],
        help_text=_(
            "What happened at the bench, without a verdict and without a name: the assessors "
            "judge it themselves."
        ),
    )

    class Meta:
        ordering = ["calibration_set", "position"]
        verbose_name = _("piece of a calibration set")
        verbose_name_plural = _("pieces of calibration sets")
        constraints = [
            models.UniqueConstraint(
                fields=["calibration_set", "position"], name="piece_place_once"
            ),
            models.UniqueConstraint(
                fields=["calibration_set", "batch"],
                name="piece_batch_once",
                violation_error_message=_("This batch is in the set already."),
            ),
        ]

    def __str__(self):
        return f"{self.calibration_set} · {self.position}"

    @property
    def criteria(self):
        """Names of the criteria that have a reference rating."""
        return tuple(name for name in CRITERIA if getattr(self, name) is not None)


class CalibrationRating(Kept, Ratings):
    """How one assessor rated one piece, before seeing the reference. Never changed afterwards."""

    piece = models.ForeignKey(CalibrationPiece, on_delete=models.PROTECT, related_name="ratings")
    assessor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="calibration_ratings"
    )
    rated_at = models.DateTimeField(default=timezone.now)
    request_key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)

    class Meta:
        ordering = ["piece", "assessor"]
        verbose_name = _("rating of a calibration piece")
        verbose_name_plural = _("ratings of calibration pieces")
        constraints = [
            models.UniqueConstraint(
                fields=["piece", "assessor"],
                name="calibration_rated_once",
                violation_error_message=_("You have rated this piece already."),
            )
        ]

    def __str__(self):
        return f"{self.piece_id} · {self.assessor_id}"


class BlindLook(Kept):
    """How even a batch looked to its assessor before score and name were shown."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="blind_looks")
    assessor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="blind_looks"
    )
    evenness = rating(_("evenness of the strands"))
    rated_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-rated_at"]
        verbose_name = _("blind look")
        verbose_name_plural = _("blind looks")
        constraints = [
            models.UniqueConstraint(fields=["batch", "assessor"], name="blind_look_once")
        ]

    def __str__(self):
        return f"{self.batch_id} · {self.assessor_id}"
