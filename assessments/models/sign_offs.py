"""Practice at a station, what head chefs saw, and the recorded decisions."""

import uuid

from django.conf import settings
from django.core.validators import MaxLengthValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.calculations.standing import Missing, Standing, standing
from assessments.models.batches import Batch
from assessments.models.kept import Kept
from training.models import Branch, StandardVersion, Station, Style


class PracticeQuerySet(models.QuerySet):
    """Practices as the pages ask for them."""

    def with_names(self):
        """Load what a mark shows, without the frozen evidence of a sign-off, which is long."""
        return self.select_related("person", "style", "station", "branch", "sign_off").defer(
            "sign_off__evidence"
        )

    def for_board(self):
        """Load the practices that go on, as a board or list shows them, in one query."""
        return self.filter(ended_on__isnull=True, person__is_active=True).with_names()


class Practice(models.Model):
    """A cook who practises a style at a station, with the evidence so far in short.

    The short form is written by ``actions.evidence.refresh_practice`` after each batch,
    observation, module and decision, so that boards read it without the history.
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("cook"),
        on_delete=models.PROTECT,
        related_name="practices",
    )
    branch = models.ForeignKey(
        Branch, verbose_name=_("branch"), on_delete=models.PROTECT, related_name="practices"
    )
    style = models.ForeignKey(
        Style, verbose_name=_("style"), on_delete=models.PROTECT, related_name="practices"
    )
    station = models.ForeignKey(
        Station, verbose_name=_("station"), on_delete=models.PROTECT, related_name="practices"
    )
    started_on = models.DateField(_("since"))
    ended_on = models.DateField(_("until"), null=True, blank=True)

    counted = models.PositiveIntegerField(_("batches counted"), default=0)
    width_balance = models.FloatField(default=0)
    thickness_balance = models.FloatField(default=0)
    hydration_balance = models.FloatField(default=0)
    width_shown = models.BooleanField(default=False)
    thickness_shown = models.BooleanField(default=False)
    hydration_shown = models.BooleanField(default=False)
    evidence_complete = models.BooleanField(_("measured evidence complete"), default=False)
    more_like_last = models.PositiveIntegerField(null=True)
    limiting = models.CharField(max_length=9, blank=True)
    last_batch_on = models.DateField(_("last batch on"), null=True)
    warning = models.FloatField(
        default=0, help_text=_("Of the chart of batches since the sign-off, 0 to 100.")
    )
    alarm_on = models.DateField(
        null=True, help_text=_("Day of the batch at which the chart asked for a renewal.")
    )
    stuck_part = models.CharField(max_length=9, blank=True)
    stuck_batches = models.PositiveSmallIntegerField(default=0)
    forecast_status = models.CharField(max_length=12, blank=True)
    forecast_low = models.PositiveSmallIntegerField(null=True)
    forecast_median = models.PositiveSmallIntegerField(null=True)
    forecast_high = models.PositiveSmallIntegerField(null=True)
    modules_required = models.PositiveSmallIntegerField(default=0)
    modules_done = models.PositiveSmallIntegerField(default=0)
    observations_met = models.PositiveSmallIntegerField(default=0)
    last_met_on = models.DateField(null=True)
    sign_off = models.ForeignKey(
        "assessments.SignOff",
        verbose_name=_("latest sign-off"),
        on_delete=models.PROTECT,
        null=True,
        editable=False,
        related_name="+",
    )
    withdrawn_at = models.DateTimeField(null=True, editable=False)

    objects = PracticeQuerySet.as_manager()

    class Meta:
        ordering = ["person", "style", "station"]
        verbose_name = _("practice at a station")
        verbose_name_plural = _("practice at stations")
        constraints = [
            models.UniqueConstraint(
                fields=["person", "style", "station"],
                name="practice_once",
                violation_error_message=_(
                    "This cook practises this style at this station already."
                ),
            ),
            models.CheckConstraint(
                name="practice_ends_after_start",
                condition=Q(ended_on__isnull=True) | Q(ended_on__gte=F("started_on")),
                violation_error_message=_("The end cannot lie before the beginning."),
            ),
        ]
        indexes = [models.Index(fields=["branch", "station"])]

    def __str__(self):
        return f"{self.person} · {self.style} · {self.station}"

    @property
    def holds(self):
        """Whether a sign-off holds: none was withdrawn since."""
        return self.sign_off_id is not None and self.withdrawn_at is None

    @property
    def earned(self):
        """Whether a sign-off holds that the measured evidence earned: the next one renews it."""
        return self.holds and Missing.MEASURED not in self.sign_off.missing

    def standing(self, *, today, policy) -> Standing:
        """Return the state on ``today`` and what is missing, from the row alone."""
        decision = self.sign_off if self.holds else None
        return standing(
            today=today,
            measured=self.station.measured,
            counted=self.counted,
            evidence_complete=self.evidence_complete,
            modules_required=self.modules_required,
            modules_done=self.modules_done,
            observations_met=self.observations_met,
            observations_needed=policy.observations_needed,
            last_met_on=self.last_met_on,
            recent_days=policy.observation_recent_days,
            signed_on=timezone.localdate(decision.decided_at) if decision else None,
            due_on=decision.due_on if decision else None,
            last_batch_on=self.last_batch_on,
            recent_practice_days=policy.recent_practice_days,
            alarm_on=self.alarm_on,
            warning=self.warning,
            withdrawn=self.withdrawn_at is not None,
        )


class Observation(Kept):
    """What a head chef saw at the bench that no instrument reads. Never changed afterwards."""

    class Rating(models.IntegerChoices):
        NOT_MET = 0, _("not met")
        NEARLY = 1, _("nearly")
        MET = 2, _("met")

    CRITERIA = ("handling", "bench_order", "hygiene", "knife_safety")
    SAFETY_CRITERIA = ("hygiene", "knife_safety")

    practice = models.ForeignKey(
        Practice, verbose_name=_("practice"), on_delete=models.PROTECT, related_name="observations"
    )
    batch = models.ForeignKey(
        Batch,
        verbose_name=_("batch"),
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="observations",
    )
    cook = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="observations_of"
    )
    observer = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="observations_by"
    )
    observed_on = models.DateField(_("seen on"))
    recorded_at = models.DateTimeField(default=timezone.now)
    handling = models.PositiveSmallIntegerField(
        _("handling of dough and tools"), choices=Rating.choices, null=True, blank=True
    )
    bench_order = models.PositiveSmallIntegerField(
        _("order at the bench"), choices=Rating.choices, null=True, blank=True
    )
    hygiene = models.PositiveSmallIntegerField(_("hygiene"), choices=Rating.choices)
    knife_safety = models.PositiveSmallIntegerField(
        _("safety with knife and heat"), choices=Rating.choices
    )
    note = models.TextField(_("what you saw"), blank=True, validators=[MaxLengthValidator(2000)])
    request_key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)

    class Meta:
        ordering = ["-observed_on", "-pk"]
        verbose_name = _("observation")
        verbose_name_plural = _("observations")
        constraints = [
            models.CheckConstraint(
                name="observation_not_of_oneself",
                condition=~Q(cook=F("observer")),
                violation_error_message=_("Nobody can observe themselves: ask another head chef."),
            ),
            models.CheckConstraint(
                name="observation_ratings",
                condition=Q(hygiene__lte=2, knife_safety__lte=2)
                & (Q(handling__isnull=True) | Q(handling__lte=2))
                & (Q(bench_order__isnull=True) | Q(bench_order__lte=2)),
            ),
        ]

    def __str__(self):
        return f"{self.cook} · {self.observed_on}"

    @property
    def safety_met(self):
        return all(getattr(self, name) == self.Rating.MET for name in self.SAFETY_CRITERIA)

    def counts_after(self, withdrawn_at):
        """Return whether this was both seen and written down after a withdrawal, if any."""
        return withdrawn_at is None or (
            self.recorded_at > withdrawn_at and self.observed_on >= timezone.localdate(withdrawn_at)
        )


class Review(Kept):
    """A head chef's look at one finished or given-up batch."""

    class Decision(models.TextChoices):
        AGREED = "agreed", _("agreed")
        ANOTHER = "another", _("another batch, please")
        EXCUSED = "excused", _("giving up excused")

    batch = models.OneToOneField(Batch, on_delete=models.PROTECT, related_name="review")
    reviewer = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="reviews"
    )
    decision = models.CharField(_("decision"), max_length=7, choices=Decision.choices)
    note = models.TextField(
        _("a word to the cook"), blank=True, validators=[MaxLengthValidator(1000)]
    )
    decided_at = models.DateTimeField(default=timezone.now)

    class Meta:
        verbose_name = _("look at a batch")
        verbose_name_plural = _("looks at batches")
        constraints = [
            models.CheckConstraint(
                name="review_says_why",
                condition=Q(decision="agreed") | ~Q(note=""),
                violation_error_message=_("Say why, so that the cook knows what to change."),
            )
        ]

    def __str__(self):
        return f"{self.batch_id} · {self.decision}"


class SignOff(Kept):
    """The decision that a cook may hold a station for a style alone. Never changed afterwards.

    ``evidence`` is frozen as it stood: see ``actions.sign_off.frozen_evidence`` for its fields.
    """

    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="sign_offs")
    cook = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("cook"),
        on_delete=models.PROTECT,
        related_name="sign_offs",
    )
    style = models.ForeignKey(Style, on_delete=models.PROTECT, related_name="+")
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="+")
    standard = models.ForeignKey(
        StandardVersion, on_delete=models.PROTECT, related_name="sign_offs"
    )
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("signed by"),
        on_delete=models.PROTECT,
        related_name="sign_offs_given",
    )
    decided_at = models.DateTimeField(_("signed at"), default=timezone.now)
    due_on = models.DateField(_("renewal due on"))
    is_override = models.BooleanField(_("signed without the full evidence"), default=False)
    override_reason = models.TextField(_("reason for signing without it"), blank=True)
    missing = models.JSONField(
        default=list, blank=True, help_text=_("Codes of what was missing, if anything.")
    )
    evidence = models.JSONField()
    evidence_sha256 = models.CharField(max_length=64)
    request_key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)

    class Meta:
        ordering = ["-decided_at"]
        verbose_name = _("sign-off")
        verbose_name_plural = _("sign-offs")
        constraints = [
            models.CheckConstraint(
                name="sign_off_not_of_oneself",
                condition=~Q(cook=F("decided_by")),
                violation_error_message=_("Nobody can sign off themselves: ask another head chef."),
            ),
            models.CheckConstraint(
                name="sign_off_override_says_why",
                condition=Q(is_override=False, override_reason="")
                | (Q(is_override=True) & ~Q(override_reason="")),
                violation_error_message=_("Say why you sign without the full evidence."),
            ),
        ]

    def __str__(self):
        return f"{self.cook} · {self.style} · {self.station}"


class Withdrawal(Kept):
    """The decision that a sign-off no longer holds. Never changed afterwards."""

    sign_off = models.OneToOneField(SignOff, on_delete=models.PROTECT, related_name="withdrawal")
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    withdrawn_at = models.DateTimeField(default=timezone.now)
    reason = models.TextField(_("reason"), validators=[MaxLengthValidator(2000)])

    class Meta:
        verbose_name = _("withdrawal")
        verbose_name_plural = _("withdrawals")
        constraints = [
            models.CheckConstraint(
                name="withdrawal_says_why",
                condition=~Q(reason=""),
                violation_error_message=_("Say why: the cook and the owner read it."),
            )
        ]

    def __str__(self):
        return f"{self.sign_off_id} · {self.withdrawn_at:%Y-%m-%d}"
