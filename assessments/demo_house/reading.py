"""What the people of the demo house have read and answered."""

from datetime import timedelta

from assessments.models import Event
from training.models import CheckAnswer, ModulePage, ModuleProgress, StepRead

PAUSE_MIN = 2


def read_modules(bench, person, happening):
    """Write the reading of the modules of some stations; only the first is read in part."""
    at = bench.moment(happening.days_ago, 15)
    missed = happening.missed
    modules = ModulePage.objects.live().filter(station__slug__in=happening.stations)
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
