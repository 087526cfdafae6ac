"""House standards: for each style, dated versions; a published version is never changed."""

from decimal import Decimal

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy
from modelcluster.fields import ParentalKey
from modelcluster.models import ClusterableModel
from wagtail.models import Orderable, PreviewableMixin

from training.models.house import Style
from training.numbers import LABELS, numbers_of


class PublishedVersionError(Exception):
    """A published version of a house standard was about to be changed."""


def positive(*, places, most, **options):
    """Return a decimal field for a quantity above zero and at most ``most``."""
    smallest = Decimal(1).scaleb(-places)
    return models.DecimalField(
        max_digits=len(str(most)) + places,
        decimal_places=places,
        validators=[MinValueValidator(smallest), MaxValueValidator(most)],
        **options,
    )


class StandardVersionQuerySet(models.QuerySet):
    """Versions as the pages ask for them."""

    def published(self):
        return self.filter(published_at__isnull=False)

    def in_force(self, day):
        """Return, for every style, the version in force on ``day``."""
        return self.filter(pk=in_force_pk(day)).select_related("style")

    def with_state(self, day):
        """Annotate ``in_force_pk``, the version of the same style in force on ``day``."""
        return self.annotate(in_force_pk=in_force_pk(day))

    def with_recipe(self):
        """Load flours, seasons, rounds and other ingredients in one query each."""
        return self.prefetch_related("flours", "seasons", "rounds", "others")


def in_force_pk(day):
    """Return, for a query on versions, the key of the one of the same style in force on ``day``."""
    newest = (
        StandardVersion.objects.published()
        .filter(style=models.OuterRef("style"), in_force_from__lte=day)
        .order_by("-in_force_from")
    )
    return models.Subquery(newest.values("pk")[:1])


class StandardVersion(PreviewableMixin, ClusterableModel):
    """One dated version of the house standard of a style.

    A draft becomes the version in force on ``in_force_from`` once it is published, until a later
    published version's day. Batches keep the version that they were made under.
    """

    style = models.ForeignKey(
        Style, verbose_name=_("style"), on_delete=models.PROTECT, related_name="versions"
    )
    number = models.PositiveSmallIntegerField(_("version"), editable=False)
    in_force_from = models.DateField(
        _("in force from"),
        null=True,
        blank=True,
        help_text=_("The day from which batches are made under this version."),
    )
    published_at = models.DateTimeField(_("published at"), null=True, editable=False)
    published_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("published by"),
        on_delete=models.PROTECT,
        null=True,
        editable=False,
        related_name="+",
    )
    change_note = models.TextField(
        _("what changes and why"),
        blank=True,
        help_text=_("Cooks read this when the new version comes into force."),
    )

    width_target_mm = positive(places=2, most=99, verbose_name=_("strand width, mm"))
    width_tolerance_minus_mm = positive(places=2, most=20, verbose_name=_("may be narrower by, mm"))
    width_tolerance_plus_mm = positive(places=2, most=20, verbose_name=_("may be wider by, mm"))
    thickness_target_mm = positive(places=2, most=99, verbose_name=_("sheet thickness, mm"))
    thickness_tolerance_minus_mm = positive(
        places=2, most=20, verbose_name=_("may be thinner by, mm")
    )
    thickness_tolerance_plus_mm = positive(
        places=2, most=20, verbose_name=_("may be thicker by, mm")
    )
    hydration_tolerance_minus_pp = positive(
        places=2, most=20, verbose_name=_("water may be lower by, percentage points")
    )
    hydration_tolerance_plus_pp = positive(
        places=2, most=20, verbose_name=_("water may be higher by, percentage points")
    )
    strands_to_measure = models.PositiveSmallIntegerField(
        _("strands to measure"),
        default=20,
        validators=[MinValueValidator(5), MaxValueValidator(200)],
        help_text=_("Fewer than 8 can never earn points; 20 is a good number."),
    )
    thickness_rows = models.PositiveSmallIntegerField(
        _("thickness points along the sheet"),
        default=3,
        validators=[MinValueValidator(1), MaxValueValidator(9)],
    )
    thickness_columns = models.PositiveSmallIntegerField(
        _("thickness points across the sheet"),
        default=3,
        validators=[MinValueValidator(1), MaxValueValidator(9)],
    )
    portion_g = positive(places=0, most=2000, verbose_name=_("dough for one portion, g"))
    allowance_percent = models.DecimalField(
        _("allowance for trimmings, percent"),
        max_digits=4,
        decimal_places=1,
        default=Decimal("5.0"),
        validators=[MinValueValidator(0), MaxValueValidator(50)],
    )
    dough_temperature_c = models.DecimalField(
        _("wanted dough temperature, °C"),
        max_digits=4,
        decimal_places=1,
        default=Decimal("25.0"),
        validators=[MinValueValidator(5), MaxValueValidator(40)],
    )
    friction_c = models.DecimalField(
        _("warming by the hands while mixing, °C"),
        max_digits=4,
        decimal_places=1,
        default=Decimal("4.0"),
        validators=[MinValueValidator(0), MaxValueValidator(20)],
    )
    boil_time_min = positive(places=1, most=60, verbose_name=_("boil time, minutes"))
    ready_share = models.DecimalField(
        _("share of a ready cook"),
        max_digits=4,
        decimal_places=3,
        default=Decimal("0.950"),
        validators=[MinValueValidator(Decimal("0.5")), MaxValueValidator(Decimal("0.999"))],
        help_text=_("0.95 is the tested setting: 95 of 100 strands within the tolerance."),
    )
    not_ready_share = models.DecimalField(
        _("share of a cook who is not ready"),
        max_digits=4,
        decimal_places=3,
        default=Decimal("0.800"),
        validators=[MinValueValidator(Decimal("0.3")), MaxValueValidator(Decimal("0.99"))],
        help_text=_("0.80 is the tested setting."),
    )

    TESTED_SHARES = (Decimal("0.950"), Decimal("0.800"))
    QUANTITIES = (
        "width_target_mm",
        "width_tolerance_minus_mm",
        "width_tolerance_plus_mm",
        "thickness_target_mm",
        "thickness_tolerance_minus_mm",
        "thickness_tolerance_plus_mm",
        "hydration_tolerance_minus_pp",
        "hydration_tolerance_plus_pp",
        "portion_g",
        "boil_time_min",
    )

    objects = StandardVersionQuerySet.as_manager()

    class Meta:
        ordering = ["style", "-number"]
        verbose_name = _("house standard")
        verbose_name_plural = _("house standards")
        constraints = [
            models.UniqueConstraint(
                fields=["style", "number"],
                name="standard_number_once",
                violation_error_message=_("This style has a version of this number already."),
            ),
            models.UniqueConstraint(
                fields=["style", "in_force_from"],
                condition=Q(published_at__isnull=False),
                name="standard_one_in_force",
                violation_error_message=_(
                    "A version of this style is already published for that day: "
                    "only one can be in force. Choose another day."
                ),
            ),
            models.UniqueConstraint(
                fields=["style"],
                condition=Q(published_at__isnull=True),
                name="standard_one_draft",
                violation_error_message=_(
                    "This style has a draft already: change that one, or delete it."
                ),
            ),
            models.CheckConstraint(
                name="standard_published_has_day",
                condition=Q(published_at__isnull=True)
                | Q(in_force_from__isnull=False, published_by__isnull=False),
                violation_error_message=_("Say from which day the version is in force."),
            ),
            models.CheckConstraint(
                name="standard_positive",
                condition=Q(
                    width_target_mm__gt=0,
                    width_tolerance_minus_mm__gt=0,
                    width_tolerance_plus_mm__gt=0,
                    thickness_target_mm__gt=0,
                    thickness_tolerance_minus_mm__gt=0,
                    thickness_tolerance_plus_mm__gt=0,
                    hydration_tolerance_minus_pp__gt=0,
                    hydration_tolerance_plus_pp__gt=0,
                    portion_g__gt=0,
                    boil_time_min__gt=0,
                    strands_to_measure__gte=5,
                    thickness_rows__gte=1,
                    thickness_columns__gte=1,
                ),
                violation_error_message=_("Widths, tolerances and weights must be above zero."),
            ),
            models.CheckConstraint(
                name="standard_limits_above_zero",
                condition=Q(width_tolerance_minus_mm__lt=F("width_target_mm"))
                & Q(thickness_tolerance_minus_mm__lt=F("thickness_target_mm")),
                violation_error_message=_("A tolerance must be smaller than what it belongs to."),
            ),
            models.CheckConstraint(
                name="standard_shares_in_order",
                condition=Q(not_ready_share__lt=F("ready_share")),
                violation_error_message=_(
                    "A cook who is not ready must have a smaller share than one who is."
                ),
            ),
        ]

    def __str__(self):
        return f"{self.style} · {self.number}"

    def save(self, *args, **kwargs):
        if self.pk and type(self).objects.published().filter(pk=self.pk).exists():
            raise PublishedVersionError(
                f"Version {self.number} of {self.style} is published and is never changed. "
                "Make a new version from it."
            )
        if not self.number:
            newest = type(self).objects.filter(style_id=self.style_id)
            self.number = (newest.aggregate(n=models.Max("number"))["n"] or 0) + 1
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        if self.is_published:
            raise PublishedVersionError(
                "A published version is kept for the batches made under it."
            )
        return super().delete(*args, **kwargs)

    def get_preview_template(self, request, mode_name):
        return "training/standard_preview.html"

    def get_preview_context(self, request, mode_name):
        numbers = numbers_of(self, month=timezone.localdate().month)
        return {"version": self, "standard": {"numbers": numbers}, "names": list(LABELS)}

    @property
    def is_published(self):
        return self.published_at is not None

    def state_on(self, day):
        """Return the state in words; reads ``in_force_pk`` of ``with_state``."""
        if not self.is_published:
            return _("draft")
        if self.in_force_from > day:
            return _("to come")
        return _("in force") if self.in_force_pk == self.pk else _("past")

    @property
    def width_limits_mm(self):
        """Lowest and highest width within tolerance, as floats."""
        return (
            float(self.width_target_mm - self.width_tolerance_minus_mm),
            float(self.width_target_mm + self.width_tolerance_plus_mm),
        )

    @property
    def thickness_limits_mm(self):
        """Lowest and highest thickness within tolerance, as floats."""
        return (
            float(self.thickness_target_mm - self.thickness_tolerance_minus_mm),
            float(self.thickness_target_mm + self.thickness_tolerance_plus_mm),
        )

    @property
    def thickness_points(self):
        return self.thickness_rows * self.thickness_columns

    @property
    def uses_tested_setting(self):
        """Whether the stated error rates of the sign-off rule hold for this version."""
        return (self.ready_share, self.not_ready_share) == self.TESTED_SHARES


class Flour(Orderable):
    """A flour or starch of a version, as a share of all flour and starch."""

    class Kind(models.TextChoices):
        FLOUR = "flour", _("flour")
        STARCH = "starch", _("starch")

    standard = ParentalKey(StandardVersion, on_delete=models.CASCADE, related_name="flours")
    name = models.CharField(_("name"), max_length=60)
    kind = models.CharField(_("kind"), max_length=6, choices=Kind.choices, default=Kind.FLOUR)
    percent = positive(places=1, most=100, verbose_name=_("percent of all flour and starch"))
    allergens = models.CharField(
        _("allergens"), max_length=80, blank=True, help_text=_("For example: wheat, buckwheat.")
    )

    class Meta(Orderable.Meta):
        verbose_name = _("flour or starch")
        verbose_name_plural = _("flours and starches")
        constraints = [
            models.CheckConstraint(
                name="flour_percent_range",
                condition=Q(percent__gt=0, percent__lte=100),
                violation_error_message=_("A share lies above 0 and at most at 100 percent."),
            )
        ]

    def __str__(self):
        return self.name


class OtherIngredient(Orderable):
    """Anything else in the dough (alkali, egg), in percent of flour and starch."""

    standard = ParentalKey(StandardVersion, on_delete=models.CASCADE, related_name="others")
    name = models.CharField(_("name"), max_length=60)
    percent = positive(places=2, most=100, verbose_name=_("percent of flour and starch"))
    allergens = models.CharField(_("allergens"), max_length=80, blank=True)

    class Meta(Orderable.Meta):
        verbose_name = _("other ingredient")
        verbose_name_plural = _("other ingredients")
        constraints = [
            models.CheckConstraint(
                name="other_percent_positive",
                condition=Q(percent__gt=0),
                violation_error_message=_("A share must be above 0 percent."),
            )
        ]

    def __str__(self):
        return self.name


MONTHS = [
    (1, _("January")),
    (2, _("February")),
    (3, _("March")),
    (4, _("April")),
    (5, pgettext_lazy("month", "May")),
    (6, _("June")),
    (7, _("July")),
    (8, _("August")),
    (9, _("September")),
    (10, _("October")),
    (11, _("November")),
    (12, _("December")),
]


class Season(Orderable):
    """The water and salt of one season: by room temperature where known, else by month."""

    standard = ParentalKey(StandardVersion, on_delete=models.CASCADE, related_name="seasons")
    name = models.CharField(_("season"), max_length=40)
    from_month = models.PositiveSmallIntegerField(_("from"), choices=MONTHS)
    to_month = models.PositiveSmallIntegerField(_("to"), choices=MONTHS)
    room_from_c = models.DecimalField(
        _("from a room temperature of, °C"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        help_text=_("A measured room temperature decides before the month does."),
        validators=[MinValueValidator(-20), MaxValueValidator(50)],
    )
    hydration_percent = positive(
        places=1,
        most=100,
        verbose_name=_("water, percent of flour and starch"),
        help_text=_("Water alone, without the salt in it."),
    )
    salt_percent = models.DecimalField(
        _("salt, percent of flour and starch"),
        max_digits=4,
        decimal_places=2,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(20)],
    )

    class Meta(Orderable.Meta):
        verbose_name = _("season")
        verbose_name_plural = _("water by season")
        constraints = [
            models.CheckConstraint(
                name="season_ranges",
                condition=Q(
                    hydration_percent__gt=0,
                    hydration_percent__lte=100,
                    salt_percent__gte=0,
                    from_month__range=(1, 12),
                    to_month__range=(1, 12),
                ),
                violation_error_message=_(
                    "Water lies above 0 and at most at 100 percent; salt is not below 0."
                ),
            )
        ]

    def __str__(self):
        return self.name

    @property
    def months(self):
        """The months of the season; one that runs over the turn of the year is understood."""
        span = (self.to_month - self.from_month) % 12
        return frozenset((self.from_month - 1 + step) % 12 + 1 for step in range(span + 1))


class Round(Orderable):
    """One round of treading or kneading with the rest that follows it."""

    standard = ParentalKey(StandardVersion, on_delete=models.CASCADE, related_name="rounds")
    tread_min = models.PositiveSmallIntegerField(
        _("treading or kneading, minutes"), default=0, validators=[MaxValueValidator(120)]
    )
    rest_min = models.PositiveSmallIntegerField(
        _("rest, minutes"), default=0, validators=[MaxValueValidator(2880)]
    )

    class Meta(Orderable.Meta):
        verbose_name = _("round")
        verbose_name_plural = _("treading and rests")
        constraints = [
            models.CheckConstraint(
                name="round_has_time",
                condition=Q(tread_min__gt=0) | Q(rest_min__gt=0),
                violation_error_message=_("Give minutes of treading, of rest, or of both."),
            )
        ]

    def __str__(self):
        return f"{self.tread_min} + {self.rest_min} min"


def check_recipe(flour_percents, seasons):
    """Refuse a recipe that cannot be weighed.

    Raises ``ValidationError`` when the flours do not add up to 100 percent or a month has no, or
    more than one, season.
    """
    check_flours(flour_percents)
    check_seasons(seasons)


def check_flours(flour_percents):
    """Raise ``ValidationError`` unless the shares add up to 100 percent."""
    total = sum(flour_percents, Decimal(0))
    if total != 100:
        raise ValidationError(
            _("Flours and starches add up to %(total)s percent. They must add up to 100."),
            params={"total": total},
            code="flours",
        )


def check_seasons(seasons):
    """Raise ``ValidationError`` unless every month has exactly one season."""
    covered = [month for season in seasons for month in season.months]
    if len(covered) != 12 or len(set(covered)) != 12:
        raise ValidationError(
            _("Every month needs exactly one season. Look at where the seasons begin and end."),
            code="seasons",
        )


def publish_version(version, *, by, at=None):
    """Put a draft into force from its day, now or ``at``; afterwards it cannot be changed.

    Raises ``ValidationError`` when the recipe is not whole, the day is missing, or another
    version holds that day. Batches already made keep the version they were made under.
    """
    if version.is_published:
        raise ValidationError(_("This version is published already."), code="published")
    if version.in_force_from is None:
        raise ValidationError(
            {"in_force_from": _("Say from which day the version is in force.")}, code="day"
        )
    check_recipe([flour.percent for flour in version.flours.all()], list(version.seasons.all()))
    version.published_at = at or timezone.now()
    version.published_by = by
    version.full_clean()
    version.save(update_fields=["published_at", "published_by"])
    return version


def draft_from(version):
    """Return the draft of the style of ``version``: the one there is, or a copy of ``version``."""
    draft = StandardVersion.objects.filter(style=version.style_id, published_at=None).first()
    if draft is None:
        draft, _children = version.copy_cluster(
            exclude_fields=["number", "in_force_from", "published_at", "published_by"]
        )
        draft.change_note = ""
        draft.save()
    return draft
