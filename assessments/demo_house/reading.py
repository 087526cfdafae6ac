"""What the people of the demo house have read and answered."""

from datetime import timedelta

from django.utils import timezone

from assessments.models import Event
from training.models import (
    CheckAnswer,
    MissedQuestion,
    ModulePage,
    ModuleProgress,
    Station,
    StepRead,
)
from training.spacing import after_answer

PAUSE_MIN = 2


def read_modules(bench, person, happening):
    """Write the reading of the modules of some stations; only the first is read in part."""
    at = bench.moment(happening.days_ago, 15)
    missed = happening.missed
    stations = (
        Station.objects.filter(slug__in=happening.stations)
        if happening.stations
        else Station.objects.filter(practices__person=person)
    )
    modules = ModulePage.objects.originals().filter(station__in=stations)
    for module in modules.order_by("station__position", "path"):
        if happening.steps is not None:
            read_steps(person, module, at, module.block_ids("step")[: happening.steps])
            return
        read_to_the_end(person, module, at, missed)
        missed = max(0, missed - len(module.block_ids("question")))
        at += timedelta(minutes=module.minutes_to_read + PAUSE_MIN)


def read_to_the_end(person, module, at, missed):
    """Write a module read and answered, its first ``missed`` questions right at the second try."""
    questions = module.block_ids("question")
    tries = [(question, False) for question in questions[:missed]]
    tries += [(question, True) for question in questions]
    answers = CheckAnswer.objects.bulk_create(
        CheckAnswer(
            person=person,
            module=module,
            question_id=question,
            choice=choice_of(module, question, correct=correct),
            correct=correct,
        )
        for question, correct in tries
    )
    CheckAnswer.objects.filter(pk__in=[row.pk for row in answers]).update(answered_at=at)
    missed_on = timezone.localdate(at)
    MissedQuestion.objects.bulk_create(
        MissedQuestion(
            person=person,
            module=module,
            question_id=question,
            due_on=after_answer(None, correct=False, today=missed_on).due_on,
            missed_on=missed_on,
            times_missed=1,
        )
        for question in questions[:missed]
    )
    read_steps(
        person,
        module,
        at,
        module.block_ids("step"),
        questions_right=len(questions),
        questions_missed=len(questions[:missed]),
        read_at=at,
        answered_at=at,
    )
    Event.record(Event.Verb.MODULE_DONE, actor=person, subject=person, about=module, at=at)


def read_steps(person, module, at, step_ids, **progress):
    """Write the steps that a person has seen, and the summary of the module's reading."""
    reads = StepRead.objects.bulk_create(
        StepRead(person=person, module=module, step_id=step_id) for step_id in step_ids
    )
    # The table stamps its rows with the present when they are made.
    StepRead.objects.filter(pk__in=[row.pk for row in reads]).update(read_at=at)
    ModuleProgress.objects.create(
        person=person,
        module=module,
        steps_read=len(step_ids),
        last_step=len(step_ids),
        **progress,
    )


def choice_of(module, question, *, correct):
    """Return the place of a right or of a wrong answer."""
    answers = module.answers_of(question)
    return next(i for i, answer in enumerate(answers) if bool(answer["correct"]) == correct)
