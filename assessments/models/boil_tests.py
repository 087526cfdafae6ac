"""Boil tests of the house: when a strand of a known section was done."""

import uuid
from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from training.models import Style


class BoilTestQuerySet(models.QuerySet):
    """Boil tests as the pages ask for them."""

    def counted(self):
        """Leave out those that were taken back."""
        return self.filter(removed_at__isnull=True)


class BoilTest(models.Model):
    """One strand taken from the pot at the minute at which it was done to its middle."""

    style = models.ForeignKey(
        Style, verbose_name=_("style"), on_delete=models.PROTECT, related_name="boil_tests"
    )
    width_mm = models.DecimalField(
        _("width of the strand, mm"),
        max_digits=5,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.3")), MaxValueValidator(99)],
    )
    thickness_mm = models.DecimalField(
        _("thickness of the strand, mm"),
        max_digits=5,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.3")), MaxValueValidator(99)],
    )
    done_at_min = models.DecimalField(
        _("done after, minutes"),
        max_digits=5,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(120)],
        help_text=_("When the hard core in the middle of a strand bitten or cut through is gone."),
    )
    tested_on = models.DateField(_("tested on"))
    note = models.CharField(_("note"), max_length=200, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("recorded by"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    recorded_at = models.DateTimeField(default=timezone.now)
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)
    request_key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)

    objects = BoilTestQuerySet.as_manager()

    class Meta:
        ordering = ["-tested_on", "-pk"]
        verbose_name = _("boil test")
        verbose_name_plural = _("boil tests")
        constraints = [
            models.CheckConstraint(
                name="boil_test_positive",
                condition=Q(width_mm__gt=0, thickness_mm__gt=0, done_at_min__gt=0),
                violation_error_message=_("Width, thickness and minutes must be above zero."),
            )
        ]
        indexes = [models.Index(fields=["style", "-tested_on"])]

    def __str__(self):
        return f"{self.style} · {self.width_mm} x {self.thickness_mm} mm"
