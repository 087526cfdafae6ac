"""What a person has read and answered: the evidence of the modules."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class StepRead(models.Model):
    """A step of a module that a person has seen."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="steps_read"
    )
    module = models.ForeignKey(
        "training.ModulePage", on_delete=models.PROTECT, related_name="steps_read"
    )
    step_id = models.UUIDField()
    read_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        verbose_name = _("step read")
        constraints = [
            models.UniqueConstraint(fields=["person", "module", "step_id"], name="step_read_once")
        ]

    def __str__(self):
        return f"{self.person} · {self.module_id} · {self.step_id}"


class CheckAnswer(models.Model):
    """One answer to a check question; every attempt is kept."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="check_answers"
    )
    module = models.ForeignKey(
        "training.ModulePage", on_delete=models.PROTECT, related_name="check_answers"
    )
    question_id = models.UUIDField()
    choice = models.PositiveSmallIntegerField()
    correct = models.BooleanField()
    answered_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        verbose_name = _("answer to a check question")
        indexes = [models.Index(fields=["person", "module", "question_id"])]

    def __str__(self):
        return f"{self.person} · {self.module_id} · {self.question_id}"


class MissedQuestion(models.Model):
    """A check question that a person has missed, and when it comes back (`training.spacing`).

    Kept once it is learned, then without a day: the head chef sees what was hard.
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="missed_questions"
    )
    module = models.ForeignKey(
        "training.ModulePage", on_delete=models.PROTECT, related_name="missed_questions"
    )
    question_id = models.UUIDField()
    box = models.PositiveSmallIntegerField(default=1)
    due_on = models.DateField(_("comes back on"), null=True)
    asked_on = models.DateField(_("came back last on"), null=True)
    missed_on = models.DateField(_("missed last on"))
    times_missed = models.PositiveSmallIntegerField(default=0)

    class Meta:
        verbose_name = _("missed question")
        constraints = [
            models.UniqueConstraint(
                fields=["person", "module", "question_id"], name="missed_question_once"
            )
        ]
        indexes = [models.Index(fields=["person", "due_on"])]

    def __str__(self):
        return f"{self.person} · {self.module_id} · {self.question_id}"


class ModuleProgress(models.Model):
    """Where a person stands in a module: summary of the rows above, kept for lists and rules."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="module_progress"
    )
    module = models.ForeignKey(
        "training.ModulePage", on_delete=models.PROTECT, related_name="progress"
    )
    steps_read = models.PositiveSmallIntegerField(default=0)
    questions_right = models.PositiveSmallIntegerField(default=0)
    questions_missed = models.PositiveSmallIntegerField(default=0)
    last_step = models.PositiveSmallIntegerField(default=0)
    read_at = models.DateTimeField(_("read to the end at"), null=True)
    answered_at = models.DateTimeField(_("all questions answered at"), null=True)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        verbose_name = _("progress in a module")
        constraints = [
            models.UniqueConstraint(fields=["person", "module"], name="progress_once_per_module")
        ]

    def __str__(self):
        return f"{self.person} · {self.module_id}"

    @property
    def is_done(self):
        return self.read_at is not None and self.answered_at is not None
