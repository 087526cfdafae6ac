"""Record what a person reads and answers, and keep the progress in a module up to date."""

from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.dispatch import Signal
from django.utils import timezone
from django.utils.translation import gettext as _

from training.again import note_answer
from training.models import CheckAnswer, ModulePage, ModuleProgress, StepRead

module_done = Signal()
"""Sent once when a person has read a module to the end and answered every question right.

Arguments: ``person`` and ``module``. The only way in which this app speaks to the one above it.
"""


def record_steps(person, module, step_ids) -> ModuleProgress:
    """Note that ``person`` has seen these steps; ids that the module does not have are left out.

    The module may be in any language, here and below: what is recorded counts for all of them.
    """
    wanted = {str(step_id) for step_id in step_ids}
    known = module.block_ids("step")
    seen = [step_id for step_id in known if str(step_id) in wanted]
    StepRead.objects.bulk_create(
        [
            StepRead(person=person, module_id=module.original_id, step_id=step_id)
            for step_id in seen
        ],
        ignore_conflicts=True,
    )
    last_step = known.index(seen[-1]) + 1 if seen else None
    return refresh_progress(person, module, last_step=last_step)


def record_all_steps(person, module) -> ModuleProgress:
    """Note that ``person`` has read every step of ``module``."""
    return record_steps(person, module, module.block_ids("step"))


@transaction.atomic
def record_answer(person, module, question_id: UUID, choice: int) -> CheckAnswer:
    """Keep one answer (the place of the chosen one, from 0) and say whether it is right.

    Raises ``ValidationError`` when the module has no such question or answer.
    """
    answers = module.answers_of(question_id)
    if not 0 <= choice < len(answers):
        raise ValidationError(
            _("This question has changed. Open the module again."), code="unknown_answer"
        )
    answer = CheckAnswer.objects.create(
        person=person,
        module_id=module.original_id,
        question_id=question_id,
        choice=choice,
        correct=bool(answers[choice]["correct"]),
    )
    note_answer(person, module.original_id, question_id, correct=answer.correct)
    refresh_progress(person, module)
    return answer


@transaction.atomic
def refresh_progress(person, module, *, last_step=None) -> ModuleProgress:
    """Count anew what is read and answered; what was once done stays done."""
    steps, questions = set(module.block_ids("step")), set(module.block_ids("question"))
    progress, _created = ModuleProgress.objects.select_for_update().get_or_create(
        person=person, module_id=module.original_id
    )
    was_done = progress.is_done
    mine = {"person": person, "module": module.original_id}
    read = StepRead.objects.filter(**mine, step_id__in=steps)
    answers = set(
        CheckAnswer.objects.filter(**mine, question_id__in=questions).values_list(
            "question_id", "correct"
        )
    )
    progress.steps_read = read.count()
    progress.questions_right = sum(correct for _question, correct in answers)
    progress.questions_missed = sum(not correct for _question, correct in answers)
    progress.last_step = last_step or progress.last_step
    if progress.steps_read == len(steps):
        progress.read_at = progress.read_at or timezone.now()
    if progress.questions_right == len(questions):
        progress.answered_at = progress.answered_at or timezone.now()
    progress.save()
    if progress.is_done and not was_done:
        module_done.send(sender=ModulePage, person=person, module=module.original)
    return progress
