"""Missed questions come back after days, at most five a day; the head chef sees which they were."""

from datetime import timedelta
from uuid import uuid4

import time_machine
from django.urls import reverse
from django.utils import timezone

from assessments.summaries.evidence import module_lines
from tests import factories
from tests.training import module_bodies
from training.again import again_today, due_today
from training.models import CheckAnswer, MissedQuestion, ModuleProgress
from training.reading import record_all_steps, record_answer

WRONG, RIGHT = 0, 1
PAGE = "questions_again"


def in_days(days):
    return time_machine.travel(timezone.now() + timedelta(days=days), tick=False)


def count_due(person):
    """Return what the expression says within a query."""
    return type(person).objects.annotate(due=due_today(person)).get(pk=person.pk).due


def many(house, count):
    """Return a module with ``count`` questions, all missed and due today."""
    body = [module_bodies.step(), *(module_bodies.question(f"Number {n}?") for n in range(count))]
    module = module_bodies.write_module(house.cutting, body=body, slug="many")
    for question in module.block_ids("question"):
        factories.missed_question(house.cook, module, question)
    return module


def send(client, module, question, choice=None):
    sent = {"again": "yes"} | ({} if choice is None else {"choice": choice})
    return client.post(reverse("answer_question", args=[module.pk, question]), sent)


def test_a_missed_question_comes_back_the_next_day_and_not_before(house, module):
    question, other = module.block_ids("question")
    record_answer(house.cook, module, question, WRONG)
    record_answer(house.cook, module, question, RIGHT)
    record_answer(house.cook, module, other, RIGHT)
    assert again_today(house.cook).lines == ()
    assert again_today(house.cook).later == 1
    with in_days(1):
        lines = again_today(house.cook).lines
        assert [line.item.block.id for line in lines] == [str(question)]
        assert count_due(house.cook) == 1


def test_right_on_its_day_it_stays_away_longer(house, module):
    question, _other = module.block_ids("question")
    record_answer(house.cook, module, question, WRONG)
    with in_days(1):
        record_answer(house.cook, module, question, RIGHT)
    row = MissedQuestion.objects.get()
    assert (row.box, row.due_on) == (2, timezone.localdate() + timedelta(days=3))
    assert (row.times_missed, row.missed_on) == (1, timezone.localdate())


def test_missed_again_it_begins_anew_and_is_counted(house, module):
    question, _other = module.block_ids("question")
    factories.missed_question(house.cook, module, question, box=4)
    record_answer(house.cook, module, question, WRONG)
    row = MissedQuestion.objects.get()
    assert (row.box, row.times_missed) == (1, 2)
    assert row.due_on == timezone.localdate() + timedelta(days=1)


def test_a_learned_question_is_kept_without_a_day(house, module):
    question, _other = module.block_ids("question")
    factories.missed_question(house.cook, module, question, box=5)
    record_answer(house.cook, module, question, RIGHT)
    assert MissedQuestion.objects.get().due_on is None
    assert count_due(house.cook) == 0


def test_at_most_five_a_day_and_the_oldest_first(house, reader):
    module = many(house, 7)
    first = module.block_ids("question")[6]
    MissedQuestion.objects.filter(question_id=first).update(due_on=factories.days_ago(3))
    again = again_today(house.cook)
    assert len(again.lines) == count_due(house.cook) == 5
    assert again.lines[0].item.block.id == str(first)
    for line in again.lines:
        send(reader, module, line.item.block.id, RIGHT)
    after = again_today(house.cook)
    assert (len(after.lines), after.left, count_due(house.cook)) == (5, 0, 0)
    assert "That is all for today." in reader.get(reverse(PAGE)).content.decode()
    with in_days(1):
        assert count_due(house.cook) == 2


def test_answering_keeps_the_question_with_its_reason(house, module, reader):
    question, _other = module.block_ids("question")
    factories.missed_question(house.cook, module, question)
    response = send(reader, module, question, WRONG)
    assert response["Location"] == f"{reverse(PAGE)}#question-{question}"
    text = reader.get(reverse(PAGE)).content.decode()
    assert "A dry fold needs time." in text
    assert "Not right." in text
    assert CheckAnswer.objects.get().correct is False


def test_an_empty_answer_is_told_at_its_question(house, module, reader):
    question, _other = module.block_ids("question")
    factories.missed_question(house.cook, module, question)
    response = send(reader, module, question)
    assert "Choose one of the answers first." in reader.get(response["Location"]).content.decode()
    assert not CheckAnswer.objects.exists()


def test_a_question_that_an_editor_took_out_is_passed_over(house, module, reader):
    factories.missed_question(house.cook, module, uuid4())
    assert "Nothing comes back today." in reader.get(reverse(PAGE)).content.decode()
    assert reader.get(reverse("assessments:today")).status_code == 200


def test_a_module_that_is_not_published_asks_nothing(house, module, reader):
    factories.missed_question(house.cook, module, module.block_ids("question")[0])
    module.unpublish()
    assert again_today(house.cook).lines == ()
    assert count_due(house.cook) is None


def test_people_do_not_share_their_mistakes(house, module):
    record_answer(house.cook, module, module.block_ids("question")[0], WRONG)
    with in_days(1):
        assert count_due(house.other_cook) is None
        assert again_today(house.other_cook).lines == ()


def test_what_is_done_stays_done_when_a_question_is_missed_later(house, module):
    record_all_steps(house.cook, module)
    for question in module.block_ids("question"):
        record_answer(house.cook, module, question, RIGHT)
    record_answer(house.cook, module, question, WRONG)
    assert ModuleProgress.objects.get().is_done


def test_today_page_says_how_many_wait(house, reader):
    assert reverse(PAGE) not in reader.get(reverse("assessments:today")).content.decode()
    many(house, 7)
    text = reader.get(reverse("assessments:today")).content.decode()
    assert reverse(PAGE) in text
    assert "5 questions to look at again" in text


def test_head_chef_sees_which_were_missed(house, module, client):
    question, other = module.block_ids("question")
    for choice in (WRONG, WRONG, RIGHT):
        record_answer(house.cook, module, question, choice)
    record_answer(house.cook, module, other, RIGHT)
    (line,) = module_lines(house.cook, [house.cutting.pk])
    assert [(one.prompt, one.times) for one in line.missed] == [("The fold cracks. What now?", 2)]
    client.force_login(house.chef)
    page = client.get(reverse("assessments:evidence", args=[house.cook.pk, house.style.slug]))
    text = page.content.decode()
    assert "The fold cracks. What now?" in text
    assert "missed 2 times" in text
    assert "And then?" not in text


def test_a_module_with_many_missed_questions_is_one_line(house):
    many(house, 3)
    (line,) = module_lines(house.cook, [house.cutting.pk])
    assert len(line.missed) == 3
    assert module_lines(house.other_cook, [house.cutting.pk])[0].missed == ()
