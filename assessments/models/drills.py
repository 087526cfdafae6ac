"""Drills: short practice of one thing, which counts as practice and never as evidence."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.calculations.compact import unpack_positions, unpack_values
from assessments.models.readings import Instrument
from training.models import Branch, StandardVersion, Style


class Drill(models.Model):
    """Twenty strands only, or one sheet only: measured, looked at, forgotten by the sign-off.

    Values and positions are kept as in a ``ReadingSet``.
    """

    class Kind(models.TextChoices):
        STRANDS = "strands", _("strands only")
        SHEET = "sheet", _("one sheet only")

    cook = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("cook"),
        on_delete=models.PROTECT,
        related_name="drills",
    )
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="+")
    style = models.ForeignKey(
        Style, verbose_name=_("style"), on_delete=models.PROTECT, related_name="+"
    )
    standard = models.ForeignKey(
        StandardVersion,
        verbose_name=_("house standard"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    kind = models.CharField(_("drill"), max_length=7, choices=Kind.choices)
    done_at = models.DateTimeField(_("done at"), default=timezone.now)
    instrument = models.ForeignKey(
        Instrument,
        verbose_name=_("instrument"),
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    repeatability_mm = models.FloatField(null=True)
    positions = models.BinaryField()
    values = models.BinaryField()
    n = models.PositiveIntegerField(_("number of values"))
    n_in = models.PositiveIntegerField(_("within the tolerance"))
    mean = models.FloatField(_("mean"))
    sd = models.FloatField(_("spread"), null=True)
    share = models.FloatField(null=True)
    note = models.CharField(_("your own note"), max_length=500, blank=True)
    client_key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)

    class Meta:
        ordering = ["-done_at", "-pk"]
        verbose_name = _("drill")
        verbose_name_plural = _("drills")
        constraints = [
            models.CheckConstraint(name="drill_not_empty", condition=Q(n__gt=0)),
            models.CheckConstraint(
                name="drill_share_in_range",
                condition=Q(share__isnull=True) | Q(share__range=(0, 1)),
            ),
        ]
        indexes = [models.Index(fields=["cook", "style", "-done_at"])]

    def __str__(self):
        return f"{self.cook} · {self.get_kind_display()} · {self.done_at:%Y-%m-%d}"

    @property
    def array(self):
        """The values in mm as float64, missing ones as NaN, in the order of ``places``."""
        return unpack_values(bytes(self.values))

    @property
    def places(self):
        """Positions from 1, one for each value."""
        return unpack_positions(bytes(self.positions))
