"""The house: branches, stations, styles, who is what, and the house's own settings."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from wagtail.admin.panels import FieldPanel, MultiFieldPanel
from wagtail.contrib.settings.models import BaseGenericSetting, register_setting
from wagtail.search import index

from training.food_safety import Region
from training.groups import sync_groups
from training.names import told


class Branch(index.Indexed, models.Model):
    """A place of the house, open or about to open."""

    name = models.CharField(_("name"), max_length=80, unique=True)
    slug = models.SlugField(_("short name for addresses"), unique=True)
    opens_on = models.DateField(
        _("opens on"),
        null=True,
        blank=True,
        help_text=_("Leave empty for a branch that is open; give the day for one to come."),
    )

    search_fields = [index.AutocompleteField("name"), index.SearchField("name")]

    class Meta:
        ordering = ["name"]
        verbose_name = _("branch")
        verbose_name_plural = _("branches")

    def __str__(self):
        return self.name


class StationQuerySet(models.QuerySet):
    """Places at the bench, and groups of modules that are none."""

    def practised(self):
        """Return the stations that cooks practise and are signed off for."""
        return self.filter(practised=True)


class Station(models.Model):
    """A place at the bench that one person holds alone."""

    name = models.CharField(_("name"), max_length=60, unique=True)
    slug = models.SlugField(_("short name for addresses"), unique=True)
    position = models.PositiveSmallIntegerField(
        _("place in the order of work"), default=0, help_text=_("Lower comes first.")
    )
    measured = models.BooleanField(
        _("judged on measured batches"),
        default=True,
        help_text=_(
            "Mixing, rolling and cutting show in the strands. Boiling, stock and serving are "
            "judged by modules and observations alone."
        ),
    )
    practised = models.BooleanField(
        _("held by cooks"),
        default=True,
        help_text=_(
            "Switch this off for a group of modules that is no place at the bench, such as those "
            "for head chefs: nobody practises or is signed off there."
        ),
    )
    read_first = models.ManyToManyField(
        "training.ModulePage",
        verbose_name=_("modules to read before practising here"),
        blank=True,
        related_name="read_first_at",
        help_text=_(
            "They may belong to other stations, such as knives and allergens. Then follow the "
            "modules that are required before a sign-off, and then the others, each in the order "
            "of the list of modules."
        ),
    )

    objects = StationQuerySet.as_manager()

    class Meta:
        ordering = ["position", "name"]
        verbose_name = _("station")
        verbose_name_plural = _("stations")

    def __str__(self):
        return told(self.name)


class Style(models.Model):
    """A kind of noodle."""

    name = models.CharField(_("name"), max_length=60, unique=True)
    slug = models.SlugField(_("short name for addresses"), unique=True)
    position = models.PositiveSmallIntegerField(
        _("place in lists"), default=0, help_text=_("Lower comes first.")
    )

    class Meta:
        ordering = ["position", "name"]
        verbose_name = _("style")
        verbose_name_plural = _("styles")

    def __str__(self):
        return told(self.name)


class Role(models.Model):
    """What a person is in the house; head chefs and trainees are so in one branch."""

    class Kind(models.TextChoices):
        TRAINEE = "trainee", _("trainee")
        HEAD_CHEF = "head_chef", _("head chef")
        OWNER = "owner", _("owner")
        EDITOR = "editor", _("editor")

    BRANCH_KINDS = (Kind.TRAINEE, Kind.HEAD_CHEF)

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("person"),
        on_delete=models.CASCADE,
        related_name="roles",
    )
    kind = models.CharField(_("role"), max_length=10, choices=Kind.choices)
    branch = models.ForeignKey(
        Branch,
        verbose_name=_("branch"),
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="roles",
        help_text=_("For trainees and head chefs. Owners and editors work for the whole house."),
    )
    since = models.DateField(_("since"))

    class Meta:
        ordering = ["person", "kind"]
        verbose_name = _("role")
        verbose_name_plural = _("roles")
        constraints = [
            models.CheckConstraint(
                name="role_branch_where_needed",
                condition=Q(kind__in=["trainee", "head_chef"], branch__isnull=False)
                | Q(kind__in=["owner", "editor"], branch__isnull=True),
                violation_error_message=_(
                    "Choose a branch for a trainee or a head chef, and none for an owner or editor."
                ),
            ),
            models.UniqueConstraint(
                fields=["person", "kind", "branch"],
                name="role_once_per_branch",
                violation_error_message=_("This person has this role in this branch already."),
            ),
            models.UniqueConstraint(
                fields=["person", "kind"],
                condition=Q(branch__isnull=True),
                name="role_once_per_house",
                violation_error_message=_("This person has this role already."),
            ),
        ]

    def __str__(self):
        if self.branch_id:
            return f"{self.get_kind_display()} · {self.branch}"
        return str(self.get_kind_display())

    def save(self, *args, **kwargs):
        super().save(*args, **kwargs)
        sync_groups([self.person_id])

    def delete(self, *args, **kwargs):
        deleted = super().delete(*args, **kwargs)
        sync_groups([self.person_id])
        return deleted


@register_setting(icon="cog")
class HousePolicy(BaseGenericSetting):
    """What the house decides: whose food-safety figures hold, and about evidence and renewal.

    For the latter see "what the score means" in the README.
    """

    observations_needed = models.PositiveSmallIntegerField(
        _("observations before a sign-off"),
        default=2,
        validators=[MinValueValidator(1), MaxValueValidator(20)],
        help_text=_("Each by a head chef, with every safety and hygiene point met."),
    )
    observation_recent_days = models.PositiveSmallIntegerField(
        _("one of them within the last days"),
        default=14,
        validators=[MinValueValidator(1), MaxValueValidator(365)],
    )
    renewal_days = models.PositiveSmallIntegerField(
        _("a sign-off falls due for renewal after days"),
        default=365,
        validators=[MinValueValidator(30), MaxValueValidator(1095)],
    )
    abandon_after_days = models.PositiveSmallIntegerField(
        _("an open batch counts as given up after days"),
        default=2,
        validators=[MinValueValidator(1), MaxValueValidator(30)],
        help_text=_("A batch that is opened and never measured costs points: see the README."),
    )
    only_chosen_strands = models.BooleanField(
        _("count only strands that the site chose"),
        default=False,
        help_text=_(
            "With this on, widths from a file, whose strands somebody picked, earn and cost "
            "nothing. Picking the best strands makes any score look good."
        ),
    )
    recent_practice_days = models.PositiveSmallIntegerField(
        _("a sign-off falls due for renewal without a batch after days"),
        default=60,
        validators=[MinValueValidator(7), MaxValueValidator(730)],
        help_text=_("A hand that rests forgets: slowly at first, and in half a year much of it."),
    )
    blind_review = models.BooleanField(
        _("assessors rate a batch before they see its score and name"),
        default=False,
        help_text=_(
            "A head chef then looks at the strands, says how even they are, and only then sees "
            "whose batch it is and what it scored."
        ),
    )
    second_look_percent = models.PositiveSmallIntegerField(
        _("batches that two assessors observe, of 100"),
        default=10,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
        help_text=_("Proposed at random where a branch has two head chefs; 0 proposes none."),
    )
    food_safety_region = models.CharField(
        _("food-safety figures of"),
        max_length=8,
        choices=Region.choices,
        default=Region.US,
        help_text=_(
            "Temperatures and times in the modules come from here. "
            "Your local authority decides: where it asks for more, follow it."
        ),
    )

    panels = [
        MultiFieldPanel([FieldPanel("food_safety_region")], heading=_("Food safety")),
        MultiFieldPanel(
            [
                FieldPanel("observations_needed"),
                FieldPanel("observation_recent_days"),
                FieldPanel("renewal_days"),
                FieldPanel("recent_practice_days"),
            ],
            heading=_("Sign-off"),
        ),
        MultiFieldPanel(
            [FieldPanel("blind_review"), FieldPanel("second_look_percent")],
            heading=_("Assessors"),
        ),
        MultiFieldPanel(
            [FieldPanel("abandon_after_days"), FieldPanel("only_chosen_strands")],
            heading=_("Batches"),
        ),
    ]

    class Meta:
        verbose_name = _("house rules")
        constraints = [
            models.CheckConstraint(
                name="policy_positive",
                condition=Q(
                    observations_needed__gt=0,
                    observation_recent_days__gt=0,
                    renewal_days__gt=F("observation_recent_days"),
                    abandon_after_days__gt=0,
                    recent_practice_days__gt=0,
                    second_look_percent__lte=100,
                ),
                violation_error_message=_(
                    "A sign-off must last longer than an observation stays recent."
                ),
            )
        ]
