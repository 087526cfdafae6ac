"""What the last batch asked for is shown while the next one is made, and asked about at its end."""

import re
from datetime import timedelta

import numpy as np
import pytest
from django.urls import reverse
from django.utils import timezone

from assessments.actions.log_batch import finish_batch, record_readings, see_score
from assessments.calculations.instruments import choose_strands
from assessments.models import Tried
from assessments.summaries.lessons import try_next
from tests import factories

PLACES = choose_strands(60, 20, 1)
DRIFT = ("width", "drift", "wider")
MOST_QUERIES = 12


def widths_mm(drift_mm):
    along = np.linspace(-0.5, 0.5, len(PLACES))
    chance = np.random.default_rng(7).normal(0, 0.1, len(PLACES))
    return (3.2 + drift_mm * along + chance).round(2)


@pytest.fixture
def made(house):
    return {"cook": house.cook, "branch": house.branch, "standard": house.standard}


@pytest.fixture
def cook(client, house):
    client.force_login(house.cook)
    return client


def finished(made, drift_mm):
    at = timezone.now() - timedelta(days=1)
    batch = factories.BatchFactory(**made, opened_at=at, made_on=timezone.localdate(at))
    record_readings(batch, "width", widths_mm(drift_mm), positions=PLACES, by=batch.cook)
    batch = finish_batch(batch, by=batch.cook)
    see_score(batch)
    return batch


@pytest.fixture
def earlier(made):
    """The cook's last batch, whose strands got wider along the cut."""
    return finished(made, 0.8)


@pytest.fixture
def batch(made):
    """An open batch that can be finished."""
    batch = factories.BatchFactory(**made)
    record_readings(batch, "width", widths_mm(0), positions=PLACES, by=batch.cook)
    return batch


def of_batch(batch):
    return reverse("assessments:batch", args=[batch.pk])


def of_stage(batch, kind):
    return reverse("assessments:stage", args=[batch.pk, batch.stages.get(kind=kind).position])


def to_finish(batch):
    return reverse("assessments:finish_batch", args=[batch.pk])


def plain(page):
    """Return the words of a page as they are read."""
    text = re.sub(r"<[^>]+>", " ", page.content.decode())
    return re.sub(r"\s+", " ", text).replace("&#x27;", "'")


def test_the_batch_shows_what_the_last_one_asked_for(cook, earlier, batch):
    text = plain(cook.get(of_batch(batch)))
    assert "Try this time" in text
    assert text.count(str(try_next(*DRIFT))) == 2
    assert "Did you try it?" in text


@pytest.mark.parametrize(("kind", "shown"), [("cut", True), ("roll", False), ("weigh", False)])
def test_a_stage_shows_what_can_be_mended_there(cook, earlier, batch, kind, shown):
    page = cook.get(of_stage(batch, kind))
    assert (str(try_next(*DRIFT)) in plain(page)) == shown


def test_nothing_is_asked_where_nothing_was_asked_for(cook, made, batch):
    finished(made, 0)
    text = plain(cook.get(of_batch(batch)))
    assert "Try this time" not in text
    assert "Did you try it?" not in text


def test_a_finished_batch_is_no_longer_told_what_to_try(cook, earlier, batch):
    finish_batch(batch, by=batch.cook)
    for address in (of_batch(batch), of_stage(batch, "cut")):
        assert "Try this time" not in plain(cook.get(address))


@pytest.mark.parametrize("answer", ["yes", "partly", "no"])
def test_the_answer_is_kept_with_the_batch(cook, earlier, batch, answer):
    form = cook.get(of_batch(batch)).context["form"]
    asked_by = form["asked_by"].value()
    cook.post(to_finish(batch), {"tried": answer, "asked_by": asked_by})
    tried = Tried.objects.get(batch=batch)
    assert (tried.earlier, tried.answer, tried.answered_by) == (earlier, answer, batch.cook)
    assert (tried.part, tried.kind, tried.direction) == DRIFT


def test_a_batch_is_finished_without_an_answer(cook, earlier, batch):
    page = cook.post(to_finish(batch), {"asked_by": earlier.pk})
    assert page["Location"] == reverse("assessments:result", args=[batch.pk])
    assert not Tried.objects.exists()


def test_the_first_answer_stands_when_the_form_comes_twice(cook, earlier, batch):
    for answer in ("yes", "no"):
        page = cook.post(to_finish(batch), {"tried": answer, "asked_by": earlier.pk})
        assert page["Location"] == reverse("assessments:result", args=[batch.pk])
    assert Tried.objects.get().answer == "yes"


def test_an_answer_that_comes_after_the_batch_was_finished_elsewhere_is_kept(cook, earlier, batch):
    cook.post(to_finish(batch))
    cook.post(to_finish(batch), {"tried": "partly", "asked_by": earlier.pk})
    assert Tried.objects.get().answer == "partly"


def test_an_answer_is_not_lost_when_the_batch_cannot_be_finished_yet(cook, earlier, made):
    batch = factories.BatchFactory(**made)
    record_readings(batch, "width", widths_mm(0), positions=PLACES, by=batch.cook)
    batch.reading_sets.update(is_current=False)
    page = cook.post(to_finish(batch), {"tried": "partly", "asked_by": earlier.pk})
    assert "Measure the sheet or the strands first" in plain(page)
    assert page.context["form"]["tried"].value() == "partly"
    assert not Tried.objects.exists()


@pytest.mark.parametrize(("field", "text"), [("tried", "perhaps"), ("asked_by", "x")])
def test_an_answer_that_is_none_finishes_nothing(cook, earlier, batch, field, text):
    typed = {"tried": "yes", "asked_by": earlier.pk} | {field: text}
    page = cook.post(to_finish(batch), typed)
    assert field in page.context["form"].errors
    batch.refresh_from_db()
    assert batch.is_open


def test_asking_costs_few_queries(cook, earlier, batch, django_assert_max_num_queries):
    for address in (of_batch(batch), of_stage(batch, "cut")):
        with django_assert_max_num_queries(MOST_QUERIES):
            assert "Try this time" in plain(cook.get(address))
