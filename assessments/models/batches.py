"""Practice batches and their stages."""

import uuid

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.calculations.requirements import EvidenceBatch
from assessments.calculations.scoring import PARTS
from training.models import Branch, StandardVersion, Style


class BatchQuerySet(models.QuerySet):
    """Batches as the pages ask for them."""

    def finished(self):
        return self.filter(state=Batch.State.FINISHED)

    def for_log(self):
        """Load what a list of batches shows, in one query."""
        return self.select_related("style", "standard", "score", "cook", "branch")

    def oldest_first(self):
        return self.order_by("made_on", "opened_at", "pk")

    def judged(self):
        """Leave out open batches and those whose giving up was excused; oldest first."""
        return (
            self.exclude(state=Batch.State.OPEN).exclude(review__decision="excused").oldest_first()
        )

    def evidence(self):
        """Return id and ``EvidenceBatch`` of each judged batch, oldest first, in one query."""
        rows = self.judged().values_list(
            "pk", "made_on", "state", *(f"score__{part}_points" for part in PARTS)
        )
        return [
            (
                pk,
                EvidenceBatch(
                    day=made_on,
                    abandoned=state == Batch.State.ABANDONED,
                    points=dict(zip(PARTS, points, strict=True)),
                ),
            )
            for pk, made_on, state, *points in rows
        ]

    def newest_first(self):
        return self.order_by("-made_on", "-opened_at", "-pk")

    def waiting_for(self, head_chef):
        """Return the finished and given-up batches that ``head_chef`` has yet to look at.

        A cook's batches wait where the cook practises now, wherever they were made.
        """
        cooks = get_user_model().objects.cooks_of(head_chef.headed_branch_ids)
        return self.filter(
            state__in=[Batch.State.FINISHED, Batch.State.ABANDONED],
            reviewed_at__isnull=True,
            cook__in=cooks.exclude(pk=head_chef.pk).order_by().values("pk"),
        )


class Batch(models.Model):
    """One dough by one cook, from weighing to boiling."""

    class State(models.TextChoices):
        OPEN = "open", _("open")
        FINISHED = "finished", _("finished")
        ABANDONED = "abandoned", _("given up")

    cook = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("cook"),
        on_delete=models.PROTECT,
        related_name="batches",
    )
    branch = models.ForeignKey(
        Branch, verbose_name=_("branch"), on_delete=models.PROTECT, related_name="batches"
    )
    style = models.ForeignKey(
        Style, verbose_name=_("style"), on_delete=models.PROTECT, related_name="batches"
    )
    standard = models.ForeignKey(
        StandardVersion,
        verbose_name=_("house standard"),
        on_delete=models.PROTECT,
        related_name="batches",
    )
    reference = models.CharField(
        _("name of the batch"),
        max_length=60,
        blank=True,
        help_text=_("From an imported file; empty for batches logged here."),
    )
    client_key = models.UUIDField(
        default=uuid.uuid4,
        unique=True,
        editable=False,
        help_text=_("Made by the page, so that a form sent twice opens one batch."),
    )
    state = models.CharField(_("state"), max_length=9, choices=State.choices, default=State.OPEN)
    made_on = models.DateField(_("made on"))
    opened_at = models.DateTimeField(_("opened at"), default=timezone.now)
    opened_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("opened by"),
        on_delete=models.PROTECT,
        related_name="+",
    )
    finished_at = models.DateTimeField(_("finished at"), null=True, blank=True)
    abandoned_at = models.DateTimeField(_("given up at"), null=True, blank=True)
    score_seen_at = models.DateTimeField(_("score seen at"), null=True, blank=True)
    reviewed_at = models.DateTimeField(_("looked at by a head chef at"), null=True, blank=True)

    portions = models.PositiveSmallIntegerField(
        _("portions"), default=10, validators=[MinValueValidator(1), MaxValueValidator(500)]
    )
    room_c = models.DecimalField(
        _("room temperature, °C"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-5), MaxValueValidator(50)],
    )
    season_name = models.CharField(_("season"), max_length=40, blank=True)
    hydration_target_percent = models.DecimalField(
        _("wanted water, percent"), max_digits=5, decimal_places=2
    )
    salt_target_percent = models.DecimalField(
        _("wanted salt, percent"), max_digits=5, decimal_places=2, default=0
    )
    strands_expected = models.PositiveSmallIntegerField(
        _("strands cut in all"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(5000)],
        help_text=_("About how many strands this dough will give; asked before cutting."),
    )
    strand_seed = models.PositiveIntegerField(
        editable=False,
        default=0,
        help_text=_("Fixes, before cutting, which strands are measured."),
    )
    strands_chosen_here = models.BooleanField(
        _("strands chosen by the site"), default=True, editable=False
    )
    note = models.TextField(_("your own note"), blank=True, max_length=2000)

    objects = BatchQuerySet.as_manager()

    class Meta:
        ordering = ["-made_on", "-opened_at", "-pk"]
        verbose_name = _("batch")
        verbose_name_plural = _("batches")
        constraints = [
            models.UniqueConstraint(
                fields=["cook", "reference"],
                condition=~Q(reference=""),
                name="batch_reference_once",
                violation_error_message=_("This cook has a batch of this name already."),
            ),
            models.CheckConstraint(
                name="batch_state_has_time",
                condition=Q(state="open", finished_at__isnull=True, abandoned_at__isnull=True)
                | Q(state="finished", finished_at__isnull=False, abandoned_at__isnull=True)
                | Q(state="abandoned", finished_at__isnull=True, abandoned_at__isnull=False),
            ),
            models.CheckConstraint(
                name="batch_amounts_positive",
                condition=Q(portions__gt=0)
                & Q(hydration_target_percent__gt=0)
                & (Q(strands_expected__isnull=True) | Q(strands_expected__gt=0)),
                violation_error_message=_("Portions and strands must be above zero."),
            ),
        ]
        indexes = [
            models.Index(fields=["cook", "style", "made_on"]),
            models.Index(
                fields=["cook", "made_on"],
                name="batch_waiting",
                condition=Q(state__in=["finished", "abandoned"], reviewed_at__isnull=True),
            ),
            models.Index(fields=["standard", "made_on"]),
        ]

    def __str__(self):
        return self.reference or f"{self.style} · {self.made_on:%Y-%m-%d}"

    @property
    def is_open(self):
        return self.state == self.State.OPEN


class Stage(models.Model):
    """One stage of a batch, with its timer by wall clock."""

    class Kind(models.TextChoices):
        WEIGH = "weigh", _("weigh")
        MIX = "mix", _("mix")
        TREAD = "tread", _("tread or knead")
        REST = "rest", _("rest")
        ROLL = "roll", _("roll")
        CUT = "cut", _("cut")
        BOIL = "boil", _("boil")
        COOL = "cool", _("cool")

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="stages")
    kind = models.CharField(_("stage"), max_length=5, choices=Kind.choices)
    position = models.PositiveSmallIntegerField(_("place in the order of work"))
    round = models.PositiveSmallIntegerField(
        _("round"), default=0, help_text=_("0 where a stage happens once.")
    )
    planned_min = models.DecimalField(
        _("planned minutes"), max_digits=6, decimal_places=1, null=True, blank=True
    )
    timer_started_at = models.DateTimeField(_("timer started at"), null=True, blank=True)
    done_at = models.DateTimeField(_("done at"), null=True, blank=True)

    class Meta:
        ordering = ["batch", "position"]
        verbose_name = _("stage")
        verbose_name_plural = _("stages")
        constraints = [
            models.UniqueConstraint(fields=["batch", "position"], name="stage_place_once"),
            models.UniqueConstraint(fields=["batch", "kind", "round"], name="stage_once_a_round"),
        ]

    def __str__(self):
        return f"{self.get_kind_display()} {self.round or ''}".strip()
