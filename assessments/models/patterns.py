"""What a batch says beyond its score: the patterns found in it, kept with it."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.models.batches import Batch
from training.models import Branch, Style


class BatchPatterns(models.Model):
    """All that was computed of one batch's patterns, written anew when it is scored again.

    ``effects`` are the sizes of every pattern, found or not, to compare batches by;
    ``untested`` says what could not be tested and why.
    """

    batch = models.OneToOneField(Batch, on_delete=models.CASCADE, related_name="patterns")
    effects = models.JSONField(default=list)
    untested = models.JSONField(default=list)
    sheet_kinds = models.JSONField(default=list)
    version = models.CharField(max_length=20)
    computed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        verbose_name = _("patterns of a batch")
        verbose_name_plural = _("patterns of batches")
        indexes = [models.Index(fields=["version", "batch"])]

    def __str__(self):
        return f"{self.batch_id} · {self.version}"


class FoundPattern(models.Model):
    """One pattern found in a batch; the one to say first has place 0.

    Part, kind, direction and places are those of ``calculations.patterns.findings.Finding``.
    """

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="found")
    place = models.PositiveSmallIntegerField()
    # Beside the batch's own, so that a house is counted from this table alone.
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="+")
    style = models.ForeignKey(Style, on_delete=models.PROTECT, related_name="+")
    made_on = models.DateField()
    part = models.CharField(max_length=9)
    kind = models.CharField(max_length=20)
    direction = models.CharField(max_length=12)
    size = models.FloatField()
    unit = models.CharField(max_length=6)
    of_tolerance = models.FloatField()
    places = models.JSONField(default=list)
    p = models.FloatField(null=True)
    p_alone = models.FloatField(null=True)
    part_points = models.FloatField()
    score_points = models.FloatField()

    class Meta:
        ordering = ["batch", "place"]
        verbose_name = _("pattern found")
        verbose_name_plural = _("patterns found")
        constraints = [
            models.UniqueConstraint(fields=["batch", "place"], name="found_place_once"),
            models.CheckConstraint(name="found_size_not_negative", condition=Q(size__gte=0)),
        ]
        indexes = [
            models.Index(fields=["made_on", "branch", "part", "kind"], name="found_in_house"),
        ]

    def __str__(self):
        return f"{self.batch_id} · {self.part} · {self.kind}"


class Tried(models.Model):
    """Whether a cook tried, in this batch, what an earlier one had asked for."""

    class Answer(models.TextChoices):
        YES = "yes", _("yes")
        PARTLY = "partly", _("partly")
        NO = "no", _("no")

    batch = models.OneToOneField(Batch, on_delete=models.CASCADE, related_name="tried")
    earlier = models.ForeignKey(
        Batch,
        verbose_name=_("the batch that asked for it"),
        on_delete=models.CASCADE,
        related_name="+",
    )
    part = models.CharField(max_length=9)
    kind = models.CharField(max_length=20)
    direction = models.CharField(max_length=12)
    answer = models.CharField(_("tried"), max_length=6, choices=Answer.choices)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    answered_at = models.DateTimeField(default=timezone.now)

    class Meta:
        verbose_name = _("what was tried")
        verbose_name_plural = _("what was tried")
        constraints = [
            models.CheckConstraint(
                name="tried_after_another", condition=~Q(batch=models.F("earlier"))
            )
        ]

    def __str__(self):
        return f"{self.batch_id} · {self.kind} · {self.answer}"
