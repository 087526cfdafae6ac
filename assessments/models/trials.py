"""Trials by which a house finds out how far its photos can be trusted."""

import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.calculations.compact import unpack_values
from assessments.calculations.trials import PhotoWidths, compare, repeat
from assessments.models.readings import Instrument
from training.models import Branch, StandardVersion

MOST_STRANDS = 100


def photo_widths(photograph) -> PhotoWidths:
    """Return what a measured photograph, loaded ``with_left_out``, says of its strands.

    What was left out as none of the strands laid has no place among them; any other strand that
    was left out keeps its place, without a width.
    """
    left_out = {row.number: row for row in photograph.left_out_now}
    strands = [
        strand
        for strand in photograph.strands
        if strand["number"] not in left_out or left_out[strand["number"]].reason != "not_chosen"
    ]

    def values(name):
        return tuple(
            None if strand["number"] in left_out else strand[f"{name}_mm"] for strand in strands
        )

    return PhotoWidths(
        person=photograph.taken_by_id,
        widths_mm=values("width"),
        u_mm=values("u"),
        random_mm=values("random"),
    )


class TrialQuerySet(models.QuerySet):
    """Trials as the pages ask for them."""

    def readable_by(self, person):
        """Return all for an owner; else those of headed branches, and closed ones at home."""
        if person.is_owner:
            return self
        return self.filter(
            Q(branch__in=person.headed_branch_ids)
            | Q(branch__in=person.home_branch_ids, closed_at__isnull=False)
        )

    def with_names(self):
        """Load what a list or page shows, in one query."""
        return self.select_related("branch", "standard__style", "made_by", "caliper")


class Trial(models.Model):
    """The same strands measured more than once.

    To compare, the strands are read by caliper, once or twice, and photographed; a second photo
    goes on where the first ended. To repeat, one layout is photographed several times by one or
    several people. ``caliper_first`` and ``caliper_second`` hold thousandths of a millimetre, as
    in ``calculations.compact``, one for each strand in the order laid; missing ones as missing.
    """

    class Kind(models.TextChoices):
        COMPARE = "compare", _("photo against caliper")
        REPEAT = "repeat", _("one layout, several photos")

    kind = models.CharField(_("kind"), max_length=7, choices=Kind.choices)
    name = models.CharField(_("name"), max_length=60)
    branch = models.ForeignKey(
        Branch, verbose_name=_("branch"), on_delete=models.PROTECT, related_name="+"
    )
    standard = models.ForeignKey(
        StandardVersion,
        verbose_name=_("house standard"),
        on_delete=models.PROTECT,
        related_name="+",
        help_text=_("Its tolerance decides whether the photo is fine enough."),
    )
    client_key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("made by"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    made_on = models.DateField(_("made on"), default=timezone.localdate)
    strands = models.PositiveSmallIntegerField(
        _("strands laid"), validators=[MinValueValidator(2), MaxValueValidator(MOST_STRANDS)]
    )
    thickness_mm = models.DecimalField(
        _("thickness of the strands, mm"),
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text=_("Empty where nobody measured it: then the style's target is taken."),
    )
    note = models.TextField(_("note"), blank=True, max_length=2000)
    caliper = models.ForeignKey(
        Instrument,
        verbose_name=_("caliper"),
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    caliper_read_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("read by"),
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    caliper_first = models.BinaryField(default=bytes, editable=False)
    caliper_second = models.BinaryField(default=bytes, editable=False)
    closed_at = models.DateTimeField(_("closed at"), null=True, blank=True)
    grade = models.CharField(
        _("verdict"),
        max_length=10,
        blank=True,
        editable=False,
        help_text=_("As it was when the trial was closed; lists show it without the photos."),
    )

    objects = TrialQuerySet.as_manager()

    class Meta:
        ordering = ["-made_on", "-pk"]
        verbose_name = _("trial")
        verbose_name_plural = _("trials")
        constraints = [
            models.CheckConstraint(
                name="trial_strands", condition=Q(strands__gte=2, strands__lte=MOST_STRANDS)
            ),
            models.CheckConstraint(
                name="trial_thickness_positive",
                condition=Q(thickness_mm__isnull=True) | Q(thickness_mm__gt=0),
                violation_error_message=_("A thickness must be above zero."),
            ),
        ]
        indexes = [models.Index(fields=["branch", "-made_on"])]

    def __str__(self):
        return self.name

    @property
    def is_open(self):
        return self.closed_at is None

    @property
    def is_comparison(self):
        return self.kind == self.Kind.COMPARE

    @property
    def first_mm(self):
        """The caliper's first reading of each strand, missing ones as NaN; empty before it."""
        return unpack_values(bytes(self.caliper_first))

    @property
    def second_mm(self):
        """The caliper's second reading of each strand, missing ones as NaN; empty before it."""
        return unpack_values(bytes(self.caliper_second))

    @property
    def half_tolerance_mm(self):
        low, high = self.standard.width_limits_mm
        return (high - low) / 2

    def outcome(self, photographs):
        """Return what these measured photographs, loaded ``with_left_out``, show.

        A ``Comparison`` or a ``Repeats``, or None, with the problems that stand in the way.
        """
        widths = [photo_widths(photograph) for photograph in photographs]
        if not self.is_comparison:
            return repeat(widths, self.strands, 2 * self.half_tolerance_mm)
        known = self.caliper.repeatability_mm if self.caliper else None
        return compare(
            widths,
            self.strands,
            self.first_mm,
            self.second_mm,
            None if known is None else float(known),
        )
