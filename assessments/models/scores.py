"""What a batch is worth, as computed when it was finished or rescored."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from assessments.calculations.requirements import RULE_VERSION
from assessments.calculations.scoring import FORMULA_VERSION
from assessments.models.batches import Batch


class Part(models.TextChoices):
    """The three parts that are judged, in the order in which ties are broken."""

    WIDTH = "width", _("width")
    THICKNESS = "thickness", _("thickness")
    HYDRATION = "hydration", _("water")


class NotCounted(models.TextChoices):
    """Why a part of a batch neither earns nor costs points."""

    TOO_COARSE = "too_coarse", _("the instrument is too coarse for this tolerance")
    LEFT_OUT = "left_out", _("more than a tenth of the strands measured were left out")
    NOT_CHOSEN = "not_chosen", _("the strands were not chosen by the site")
    CHANGED = "changed", _("readings were changed after the score was seen")


class Score(models.Model):
    """Shares, score and evidence points of one batch."""

    batch = models.OneToOneField(Batch, on_delete=models.CASCADE, related_name="score")
    score = models.FloatField(_("consistency score"), null=True)
    limiting = models.CharField(_("weakest part"), max_length=9, choices=Part.choices, blank=True)
    complete = models.BooleanField(_("all three parts measured"), default=False)

    width_share = models.FloatField(null=True)
    width_low = models.FloatField(null=True)
    width_high = models.FloatField(null=True)
    width_n = models.PositiveIntegerField(default=0)
    width_n_in = models.PositiveIntegerField(default=0)
    width_points = models.FloatField(null=True)
    width_not_counted = models.CharField(max_length=10, choices=NotCounted.choices, blank=True)

    thickness_share = models.FloatField(null=True)
    thickness_low = models.FloatField(null=True)
    thickness_high = models.FloatField(null=True)
    thickness_n = models.PositiveIntegerField(default=0)
    thickness_n_in = models.PositiveIntegerField(default=0)
    thickness_points = models.FloatField(null=True)
    thickness_not_counted = models.CharField(max_length=10, choices=NotCounted.choices, blank=True)

    hydration_percent = models.FloatField(_("water in the dough, percent"), null=True)
    hydration_share = models.FloatField(null=True)
    hydration_points = models.FloatField(null=True)
    hydration_not_counted = models.CharField(max_length=10, choices=NotCounted.choices, blank=True)

    formula_version = models.CharField(max_length=20, default=FORMULA_VERSION)
    rule_version = models.CharField(max_length=20, default=RULE_VERSION)
    scored_at = models.DateTimeField(_("scored at"))

    class Meta:
        verbose_name = _("score")
        verbose_name_plural = _("scores")
        constraints = [
            models.CheckConstraint(
                name="score_in_range",
                condition=Q(score__isnull=True) | Q(score__gte=0, score__lte=100),
            ),
            models.CheckConstraint(
                name="share_in_range",
                condition=(Q(width_share__isnull=True) | Q(width_share__range=(0, 1)))
                & (Q(thickness_share__isnull=True) | Q(thickness_share__range=(0, 1)))
                & (Q(hydration_share__isnull=True) | Q(hydration_share__range=(0, 1))),
            ),
        ]
        indexes = [models.Index(fields=["formula_version", "rule_version", "batch"])]

    def __str__(self):
        return f"{self.batch_id}: {self.score}"
