"""The append-only log of what happened: who, what, when, about whom."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.models.kept import Kept


class Event(Kept):
    """One thing that happened."""

    class Verb(models.TextChoices):
        BATCH_OPENED = "batch_opened", _("opened a batch")
        BATCH_FINISHED = "batch_finished", _("finished a batch")
        BATCH_ABANDONED = "batch_abandoned", _("gave up a batch")
        READINGS_RECORDED = "readings_recorded", _("recorded readings")
        READINGS_CORRECTED = "readings_corrected", _("corrected readings")
        READINGS_IMPORTED = "readings_imported", _("imported readings")
        PHOTO_REMOVED = "photo_removed", _("removed a photo of strands")
        BATCH_REVIEWED = "batch_reviewed", _("looked at a batch")
        BATCH_RESCORED = "batch_rescored", _("scored a batch again")
        OBSERVED = "observed", _("observed a cook")
        SIGNED_OFF = "signed_off", _("signed off")
        SIGN_OFF_REFUSED = "sign_off_refused", _("was refused a sign-off")
        WITHDRAWN = "withdrawn", _("withdrew a sign-off")
        STANDARD_PUBLISHED = "standard_published", _("published a house standard")
        PRACTICE_ENTERED = "practice_entered", _("entered a practice")
        PRACTICE_ENDED = "practice_ended", _("ended a practice")
        MODULE_DONE = "module_done", _("finished a module")
        TRIAL_OPENED = "trial_opened", _("opened a trial of the photos")
        TRIAL_CLOSED = "trial_closed", _("closed a trial of the photos")
        TRIAL_DISCARDED = "trial_discarded", _("discarded a trial of the photos")
        BOIL_TEST_RECORDED = "boil_test_recorded", _("recorded a boil test")
        BOIL_TEST_REMOVED = "boil_test_removed", _("took back a boil test")
        DRILL_DONE = "drill_done", _("did a drill")
        SECOND_LOOK_PROPOSED = "second_look_proposed", _("proposed a second look")
        RATED_BLIND = "rated_blind", _("rated a batch before seeing its score")
        CALIBRATION_OPENED = "calibration_opened", _("opened a calibration set")
        CALIBRATION_RATED = "calibration_rated", _("rated a piece of a calibration set")
        CALIBRATION_CLOSED = "calibration_closed", _("closed a calibration set")
        REPEATABILITY_SET = "repeatability_set", _("took over a measured repeatability")

    at = models.DateTimeField(_("when"), default=timezone.now)
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("who"),
        on_delete=models.PROTECT,
        null=True,
        related_name="+",
        help_text=_("Empty where the site itself did it."),
    )
    verb = models.CharField(_("what"), max_length=20, choices=Verb.choices)
    subject = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        verbose_name=_("about whom"),
        on_delete=models.PROTECT,
        null=True,
        related_name="+",
    )
    object_type = models.CharField(max_length=40, blank=True)
    object_id = models.BigIntegerField(null=True)
    data = models.JSONField(default=dict)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name = _("event")
        verbose_name_plural = _("events")
        indexes = [
            models.Index(fields=["subject", "-at"]),
            models.Index(fields=["object_type", "object_id"]),
            models.Index(fields=["actor", "verb", "-at"]),
        ]

    def __str__(self):
        return f"{self.at:%Y-%m-%d %H:%M} {self.verb}"

    @classmethod
    def record(cls, verb, *, actor, subject=None, about=None, at=None, **data):
        """Write one event; ``about`` is the row it concerns, ``at`` the moment unless it is now."""
        return cls.objects.create(
            at=at or timezone.now(),
            verb=verb,
            actor=actor,
            subject=subject,
            object_type=about._meta.model_name if about is not None else "",
            object_id=about.pk if about is not None else None,
            data=data,
        )
