"""Progress in a module: what is read, what is answered, when it is done."""

from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from tests.training import module_bodies
from training.models import CheckAnswer, ModuleProgress, StepRead
from training.reading import (
    module_done,
    record_all_steps,
    record_answer,
    record_steps,
)


@pytest.fixture
def done():
    """What the signal told, as pairs of person and module."""
    told = []

    def listen(sender, *, person, module, **kwargs):
        told.append((person, module))

    module_done.connect(listen)
    yield told
    module_done.disconnect(listen)


def test_steps_are_counted_once(house, module):
    first, second = module.block_ids("step")
    record_steps(house.cook, module, [first])
    progress = record_steps(house.cook, module, [str(first)])
    assert (progress.steps_read, progress.last_step, progress.read_at) == (1, 1, None)
    progress = record_steps(house.cook, module, [second, uuid4(), "not an id"])
    assert (progress.steps_read, progress.last_step) == (2, 2)
    assert progress.read_at is not None
    assert StepRead.objects.count() == 2


def test_every_attempt_is_kept_and_the_first_mistake_remembered(house, module):
    question, _other = module.block_ids("question")
    assert record_answer(house.cook, module, question, 0).correct is False
    assert record_answer(house.cook, module, question, 1).correct is True
    progress = ModuleProgress.objects.get()
    assert (progress.questions_right, progress.questions_missed) == (1, 1)
    assert CheckAnswer.objects.count() == 2
    assert progress.answered_at is None


@pytest.mark.parametrize("choice", [-1, 2])
def test_an_answer_that_is_not_there_is_refused(house, module, choice):
    with pytest.raises(ValidationError):
        record_answer(house.cook, module, module.block_ids("question")[0], choice)
    assert not CheckAnswer.objects.exists()


def test_a_question_that_is_not_there_is_refused(house, module):
    with pytest.raises(ValidationError):
        record_answer(house.cook, module, uuid4(), 0)


def test_done_is_told_once_when_all_is_read_and_right(house, module, done):
    for question in module.block_ids("question"):
        record_answer(house.cook, module, question, 1)
    assert done == []
    record_all_steps(house.cook, module)
    record_all_steps(house.cook, module)
    record_answer(house.cook, module, module.block_ids("question")[0], 0)
    assert done == [(house.cook, module)]
    assert ModuleProgress.objects.get().is_done


def test_done_stays_done_when_the_module_grows(house, module, done):
    record_all_steps(house.cook, module)
    for question in module.block_ids("question"):
        record_answer(house.cook, module, question, 1)
    module.body.append(module_bodies.step("One more"))
    module.save()
    module.refresh_from_db()
    progress = record_steps(house.cook, module, [])
    assert progress.is_done
    assert progress.steps_read == 2
    assert len(done) == 1


def test_a_module_without_questions_is_done_by_reading(house, done):
    module = module_bodies.write_module(house.cutting, body=[module_bodies.step()])
    record_all_steps(house.cook, module)
    assert done == [(house.cook, module)]


def test_people_do_not_share_progress(house, module):
    record_all_steps(house.cook, module)
    assert record_steps(house.other_cook, module, []).steps_read == 0
