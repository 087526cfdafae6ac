"""What batches said, what was asked for next, and what came of it."""

from datetime import timedelta

import numpy as np
import pytest
from django.utils import timezone

from assessments.actions.find_patterns import patterns_of
from assessments.actions.log_batch import (
    TriedAnswer,
    abandon_batch,
    finish_batch,
    record_readings,
    see_score,
)
from assessments.calculations.instruments import choose_strands
from assessments.models import Batch, FoundPattern, Tried
from assessments.summaries.patterns import asked_for, last_said, said_of, tried_in
from tests import factories

PLACES = choose_strands(60, 20, 1)


def batch_of(house, drift_mm=0.0, *, days=0, seed=7, seen=True, answer=None, **fields):
    """Return a batch, finished, whose strands get wider by ``drift_mm`` along the cut."""
    at = timezone.now() - timedelta(days=days)
    made = {"cook": house.cook, "branch": house.branch, "standard": house.standard}
    batch = factories.BatchFactory(
        **(made | {"made_on": timezone.localdate(at), "opened_at": at} | fields)
    )
    along = np.linspace(-0.5, 0.5, len(PLACES))
    widths = 3.2 + drift_mm * along + np.random.default_rng(seed).normal(0, 0.1, len(PLACES))
    record_readings(batch, "width", widths.round(2), positions=PLACES, by=batch.cook)
    batch = finish_batch(batch, by=batch.cook, tried=answer)
    if seen:
        see_score(batch)
    return batch


def open_batch(house, **fields):
    made = {"cook": house.cook, "branch": house.branch, "standard": house.standard}
    return factories.BatchFactory(**(made | fields))


def again(batch):
    return Batch.objects.get(pk=batch.pk)


def test_what_was_kept_comes_back_as_it_was_found(house):
    batch = batch_of(house, 0.8)
    readings = {row.quantity: row for row in batch.reading_sets.current()}
    found, said = patterns_of(batch, readings), said_of(again(batch))
    assert said.findings == found.findings
    assert said.effects == found.effects
    assert said.untested == found.untested
    assert said.sheet_kinds == found.sheet_kinds
    assert (said.batch_id, said.made_on) == (batch.pk, batch.made_on)


def test_nothing_is_said_before_a_batch_is_scored_or_where_nothing_was_looked_at(house):
    assert said_of(open_batch(house)) is None
    batch = batch_of(house)
    batch.patterns.effects = batch.patterns.untested = []
    assert said_of(batch) is None


def test_the_last_batches_come_oldest_first_and_only_the_cooks_own(house):
    first, second, third = (batch_of(house, 0.8, days=days) for days in (3, 2, 1))
    batch_of(house, 0.8, days=2, cook=house.other_cook)
    batch_of(house, 0.8, days=2, standard=factories.StandardFactory())
    of_cook = house.cook.pk, house.style.pk
    assert [said.batch_id for said in last_said(*of_cook)] == [first.pk, second.pk, third.pk]
    assert [said.batch_id for said in last_said(*of_cook, limit=2)] == [second.pk, third.pk]
    assert [said.batch_id for said in last_said(*of_cook, before=second)] == [first.pk, second.pk]


def test_the_last_batches_take_two_queries(house, django_assert_num_queries):
    for days in (4, 3, 2, 1):
        batch_of(house, 0.8, days=days)
    with django_assert_num_queries(2):
        assert len(last_said(house.cook.pk, house.style.pk)) == 4


def test_the_last_batch_asks_for_what_it_said_first(house, django_assert_num_queries):
    batch_of(house, days=2)
    last = batch_of(house, 0.8, days=1)
    batch = open_batch(house)
    with django_assert_num_queries(1):
        asked = asked_for(batch)
    assert (asked.earlier, asked.finding.kind) == (last, "drift")


@pytest.mark.parametrize("seen", [True, False])
def test_an_even_last_batch_and_one_whose_result_is_unread_ask_for_nothing(house, seen):
    batch_of(house, 0.8, days=2)
    batch_of(house, 0.0 if seen else 0.8, days=1, seen=seen)
    assert asked_for(open_batch(house)) is None


def test_only_a_finished_batch_before_this_one_of_its_cook_and_style_asks(house):
    now = timezone.now()
    batch = open_batch(house, opened_at=now)
    batch_of(house, 0.8, cook=house.other_cook, days=1)
    batch_of(house, 0.8, standard=factories.StandardFactory(), days=1)
    abandon_batch(open_batch(house), by=house.cook)
    batch_of(house, 0.8, opened_at=now + timedelta(minutes=1), made_on=batch.made_on)
    assert asked_for(batch) is None
    batch_of(house, 0.8, opened_at=now - timedelta(minutes=1), made_on=batch.made_on)
    assert asked_for(batch) is not None


def test_a_pattern_that_is_gone_has_helped(house, django_assert_num_queries):
    earlier = batch_of(house, 0.8, days=1)
    batch = batch_of(house, 0.0, answer=TriedAnswer(earlier.pk, "yes"))
    lately = last_said(house.cook.pk, house.style.pk, before=batch)
    loaded = Batch.objects.select_related("tried").get(pk=batch.pk)
    with django_assert_num_queries(0):
        result = tried_in(loaded, lately=lately)
    assert (result.finding.kind, result.earlier_on, result.answer) == (
        "drift",
        earlier.made_on,
        "yes",
    )
    assert result.change.verdict == "gone"
    assert result.change.before == pytest.approx(0.8, abs=0.15)
    assert abs(result.change.now) < 0.2
    assert not result.is_found_again
    assert tried_in(again(batch)) == result


def test_a_pattern_that_stayed_is_found_again(house):
    earlier = batch_of(house, 0.8, days=1)
    result = tried_in(batch_of(house, 0.8, answer=TriedAnswer(earlier.pk, "partly")))
    assert (result.answer, result.change.verdict, result.is_found_again) == (
        "partly",
        "cannot_tell",
        True,
    )


def test_what_was_asked_for_is_told_without_an_answer_too(house):
    batch_of(house, 0.8, days=1)
    result = tried_in(batch_of(house))
    assert (result.finding.kind, result.answer) == ("drift", "")


def test_nothing_is_told_where_nothing_was_asked_for(house):
    batch_of(house, days=1)
    assert tried_in(batch_of(house, 0.8)) is None
    assert tried_in(open_batch(house)) is None


def test_a_kind_without_a_size_to_compare_says_whether_it_came_again(house):
    earlier = batch_of(house, 0.8, days=1)
    FoundPattern.objects.filter(batch=earlier).update(kind="step")
    batch = batch_of(house, answer=TriedAnswer(earlier.pk, "no"))
    result = tried_in(batch)
    assert (result.finding.kind, result.change, result.is_found_again) == ("step", None, False)
    FoundPattern.objects.filter(batch=earlier).update(kind="drift")
    # The finding that was worked on no longer stands, once the earlier batch was read anew.
    assert tried_in(again(batch)) is None


def weighed(house, salt_g, **fields):
    """Return a finished batch, seen, with so much salt on a kilogram of flour."""
    batch = open_batch(house, **fields)
    record_readings(batch, "thickness", [3.0, 3.1, 2.9, 3.0, 3.1, 2.9], by=batch.cook)
    for quantity, value in (("flour", 1000), ("salt", salt_g)):
        if value is not None:
            record_readings(batch, quantity, [value], by=batch.cook)
    batch = finish_batch(batch, by=batch.cook)
    see_score(batch)
    return batch


@pytest.mark.parametrize(("salt_g", "verdict"), [(50, "gone"), (42, "cannot_tell")])
def test_salt_is_compared_too(house, salt_g, verdict):
    weighed(house, 42, made_on=timezone.localdate() - timedelta(days=1))
    result = tried_in(weighed(house, salt_g))
    assert (result.finding.part, result.change.verdict) == ("salt", verdict)


def test_salt_is_compared_and_makes_no_habit(house):
    """Its uncertainty is assumed, so that no chance can be told by it."""
    said = said_of(again(weighed(house, 42)))
    assert {effect.part for effect in said.effects} == {"thickness"}
    assert [effect.part for effect in said.compared] == ["salt"]
    assert said.compared[0].value == pytest.approx(-0.8)


def test_what_was_not_measured_again_is_not_gone(house):
    weighed(house, 42, made_on=timezone.localdate() - timedelta(days=1))
    assert tried_in(weighed(house, None)) is None


def test_an_answer_belongs_to_the_batch_that_asked(house):
    """Another batch may have been finished between asking and answering."""
    earlier = batch_of(house, 0.8, days=2)
    batch_of(house, days=1)
    batch = batch_of(house, answer=TriedAnswer(earlier.pk, "yes"))
    assert tried_in(batch).earlier_on == earlier.made_on


def test_an_answer_is_kept_once_also_when_it_comes_late(house):
    earlier = batch_of(house, 0.8, days=1)
    batch = batch_of(house)
    finish_batch(batch, by=house.cook, tried=TriedAnswer(earlier.pk, "yes"))
    finish_batch(batch, by=house.cook, tried=TriedAnswer(earlier.pk, "no"))
    tried = Tried.objects.get()
    assert (tried.batch, tried.earlier, tried.answer) == (batch, earlier, "yes")
    assert (tried.part, tried.kind, tried.direction) == ("width", "drift", "wider")
    assert tried.answered_by == house.cook


def test_an_answer_to_what_nobody_asked_is_not_kept(house):
    even = batch_of(house, days=2)
    of_other = batch_of(house, 0.8, days=2, cook=house.other_cook)
    of_other_style = batch_of(house, 0.8, days=2, standard=factories.StandardFactory())
    own = batch_of(house, 0.8, seen=False)
    for asked_by in (even.pk, of_other.pk, of_other_style.pk, own.pk, 0):
        finish_batch(own, by=house.cook, tried=TriedAnswer(asked_by, "yes"))
    assert not Tried.objects.exists()
