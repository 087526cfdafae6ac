"""Measured values: one compact row per batch and quantity, with its summary beside it."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce, Greatest
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.calculations.compact import unpack_positions, unpack_values
from assessments.models.batches import Batch
from training.names import told


class Instrument(models.Model):
    """A tool that reads values, with what is known of its repeatability."""

    class Kind(models.TextChoices):
        CALIPER = "caliper", _("caliper")
        RULER = "ruler", _("ruler")
        SCALE = "scale", _("scale")
        THERMOMETER = "thermometer", _("thermometer")
        PHOTO = "photo", _("photo")
        OTHER = "other", _("other")

    name = models.CharField(_("name"), max_length=60, unique=True)
    kind = models.CharField(_("kind"), max_length=11, choices=Kind.choices, default=Kind.CALIPER)
    repeatability_mm = models.DecimalField(
        _("repeatability, mm"),
        max_digits=6,
        decimal_places=4,
        null=True,
        blank=True,
        help_text=_(
            "Standard deviation of one reading: measure 20 strands twice and take the spread of "
            "the differences, divided by the square root of two. Empty where nobody has measured "
            "it; the score then takes it as nothing and says so."
        ),
    )
    is_active = models.BooleanField(_("in use"), default=True)

    class Meta:
        ordering = ["name"]
        verbose_name = _("instrument")
        verbose_name_plural = _("instruments")
        constraints = [
            models.CheckConstraint(
                name="instrument_repeatability_not_negative",
                condition=Q(repeatability_mm__isnull=True) | Q(repeatability_mm__gte=0),
                violation_error_message=_("A repeatability cannot be below zero."),
            )
        ]

    def __str__(self):
        return told(self.name)


class ReadingSetQuerySet(models.QuerySet):
    """Readings as the pages ask for them."""

    def current(self):
        """Leave out what a later correction replaced."""
        return self.filter(is_current=True)

    def graded(self):
        """Add ``graded``, the row's ``graded_mm``."""
        # Of two values of which one is missing, one database knows a greatest and another none.
        return self.annotate(
            graded=Coalesce(
                Greatest("repeatability_mm", "uncertainty_mm"),
                "repeatability_mm",
                "uncertainty_mm",
            )
        )


class ReadingSet(models.Model):
    """All values of one quantity read in one go from one batch.

    A correction is a new row with the next revision; the earlier one stays and is no longer
    current. ``values`` holds thousandths of the unit as little-endian 32-bit integers, so that
    3.46 mm comes back as 3.46; ``positions`` holds the place of each (order across the cut, or
    the point of the sheet, row by row) as 16-bit integers.
    """

    class Quantity(models.TextChoices):
        WIDTH = "width", _("strand width")
        THICKNESS = "thickness", _("sheet thickness")
        FLOUR = "flour", _("flour and starch weighed")
        WATER = "water", _("water weighed")
        SALT = "salt", _("salt weighed")
        ROOM_TEMPERATURE = "room", _("room temperature")
        WATER_TEMPERATURE = "water_t", _("water temperature")
        DOUGH_TEMPERATURE = "dough_t", _("dough temperature")
        BOIL_TIME = "boil", _("boil time")

    UNITS = {
        Quantity.WIDTH: "mm",
        Quantity.THICKNESS: "mm",
        Quantity.FLOUR: "g",
        Quantity.WATER: "g",
        Quantity.SALT: "g",
        Quantity.ROOM_TEMPERATURE: "°C",
        Quantity.WATER_TEMPERATURE: "°C",
        Quantity.DOUGH_TEMPERATURE: "°C",
        Quantity.BOIL_TIME: "min",
    }

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="reading_sets")
    quantity = models.CharField(_("quantity"), max_length=9, choices=Quantity.choices)
    unit = models.CharField(_("unit"), max_length=4)
    instrument = models.ForeignKey(
        Instrument,
        verbose_name=_("instrument"),
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    repeatability_mm = models.FloatField(
        _("repeatability, mm"),
        null=True,
        help_text=_("The instrument's, as known when the values were read."),
    )
    uncertainty_mm = models.FloatField(
        _("standard uncertainty, mm"),
        null=True,
        help_text=_(
            "Of one value, with all that shifts them together; where the instrument states it."
        ),
    )
    software = models.CharField(
        _("version of the measuring software"), max_length=20, blank=True, editable=False
    )
    left_out = models.PositiveSmallIntegerField(
        _("strands left out"),
        default=0,
        editable=False,
        help_text=_("Strands that were measured too, and that the cook left out."),
    )
    read_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("read by"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    read_at = models.DateTimeField(_("read at"), default=timezone.now)
    revision = models.PositiveSmallIntegerField(_("revision"), default=1)
    is_current = models.BooleanField(default=True)
    after_score = models.BooleanField(
        _("changed after the score was seen"), default=False, editable=False
    )
    positions = models.BinaryField()
    values = models.BinaryField()
    n = models.PositiveIntegerField(_("number of values"))
    mean = models.FloatField(_("mean"))
    sd = models.FloatField(_("spread"), null=True)
    minimum = models.FloatField(_("smallest"))
    maximum = models.FloatField(_("largest"))

    objects = ReadingSetQuerySet.as_manager()

    class Meta:
        ordering = ["batch", "quantity", "revision"]
        verbose_name = _("readings")
        verbose_name_plural = _("readings")
        constraints = [
            models.UniqueConstraint(
                fields=["batch", "quantity", "revision"], name="readings_revision_once"
            ),
            models.UniqueConstraint(
                fields=["batch", "quantity"],
                condition=Q(is_current=True),
                name="readings_one_current",
            ),
            models.CheckConstraint(
                name="readings_not_empty", condition=Q(n__gt=0, minimum__lte=models.F("maximum"))
            ),
            models.CheckConstraint(
                name="readings_positive",
                condition=Q(quantity__in=["room", "water_t", "dough_t", "salt", "water"])
                | Q(minimum__gt=0),
                violation_error_message=_("A width, thickness or weight must be above zero."),
            ),
        ]

    def __str__(self):
        return f"{self.get_quantity_display()} · {self.batch_id} · {self.revision}"

    @property
    def array(self):
        """The values as float64, missing ones as NaN, in the order of ``places``."""
        return unpack_values(bytes(self.values))

    @property
    def graded_mm(self):
        """What the instrument is graded by: the larger of repeatability and uncertainty.

        None where neither is known.
        """
        known = [mm for mm in (self.repeatability_mm, self.uncertainty_mm) if mm is not None]
        return max(known, default=None)

    @property
    def spoils_evidence(self):
        """Whether more than a tenth of what was measured is left out: these were picked."""
        return 10 * self.left_out > self.n + self.left_out

    @property
    def places(self):
        """Positions from 1, one for each value."""
        return unpack_positions(bytes(self.positions))
