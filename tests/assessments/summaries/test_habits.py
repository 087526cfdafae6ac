"""What the last batches of a cook say together."""

from datetime import timedelta

import numpy as np
import pytest
from django.template.loader import render_to_string
from django.utils import timezone

from assessments.actions.log_batch import TriedAnswer, finish_batch, record_readings, see_score
from assessments.calculations.instruments import choose_strands
from assessments.calculations.patterns.effects import Effect
from assessments.calculations.patterns.findings import Finding
from assessments.models import Batch, Tried
from assessments.summaries.habits import LOADED, first_habit, habits_of
from assessments.summaries.patterns import Said, last_said
from tests import factories
from tests.training import module_bodies

PLACES = choose_strands(60, 20, 1)
TILT = "cut-tilt"


def batch_of(house, drift_mm=0.0, *, days, answer=None):
    """Return a finished batch whose strands get wider by ``drift_mm`` along the cut."""
    at = timezone.now() - timedelta(days=days)
    batch = factories.BatchFactory(
        cook=house.cook,
        branch=house.branch,
        standard=house.standard,
        made_on=timezone.localdate(at),
        opened_at=at,
    )
    along = np.linspace(-0.5, 0.5, len(PLACES))
    widths = 3.2 + drift_mm * along + np.random.default_rng(days).normal(0, 0.1, len(PLACES))
    record_readings(batch, "width", widths.round(2), positions=PLACES, by=batch.cook)
    batch = finish_batch(batch, by=batch.cook, tried=answer)
    see_score(batch)
    return batch


def effect(kind, value, error=0.08, part="thickness"):
    return Effect(part, kind, value, error, 6)


def finding(part, kind, direction):
    return Finding(part, kind, direction, 0.5, "mm", 1.0, (), 0.01, 0.01, 5.0, 5.0)


def said(*effects, findings=()):
    return Said(1, timezone.localdate(), tuple(findings), effects, (), ())


def test_what_was_found_again_and_again_comes_first(house):
    for days, drift_mm in ((5, 0.8), (4, 0.8), (3, 0.0), (2, 0.8), (1, 0.8)):
        batch_of(house, drift_mm, days=days)
    habits = habits_of(house.cook.pk, house.style)
    line = habits.lines[0]
    assert (habits.batches, line.key) == (5, ("width", "drift", "wider"))
    assert line.says == "Found in 4 of the last 5 batches."
    assert line.latest == "The last batch has it too."


def test_a_habit_that_ended_is_said_to_have_ended(house):
    for days, drift_mm in ((3, 0.8), (2, 0.8), (1, 0.0)):
        batch_of(house, drift_mm, days=days)
    line = habits_of(house.cook.pk, house.style).lines[0]
    assert line.says == "Found in 2 of the last 3 batches."
    assert (line.in_latest, line.latest) == (False, "It was not found in the last batch.")


def test_what_is_too_small_for_one_batch_shows_over_five(house):
    made = [batch_of(house, 0.16, days=days) for days in (7, 6, 5, 4, 3)]
    assert not any(batch.found.all() for batch in made)
    [line] = habits_of(house.cook.pk, house.style).lines
    assert line.key == ("width", "drift", "wider")
    assert line.says.startswith("5 batches taken together lean this way: 0.1")
    assert line.says.endswith("Each time it is too little to show in one batch.")


@pytest.mark.django_db
def test_only_the_last_five_batches_make_a_habit():
    old = [said(findings=[finding("width", "drift", "wider")])] * 3
    assert first_habit([*old, *[said()] * 5]) == ""
    assert first_habit([*[said()] * 3, *old]).endswith("Found in 3 of the last 5 batches.")


@pytest.mark.parametrize(
    ("effects", "says"),
    [
        ((effect("tilt_x", -0.2),), "Thick on the left. 4 batches taken together"),
        (
            (effect("tilt_x", 0.3), effect("tilt_y", -0.4)),
            "Thick far right corner. 4 batches taken together lean this way: 0.5 mm, give or take",
        ),
        ((effect("bowl", 0.3),), "Thick in the middle."),
        ((effect("wedge", -0.2, part="taper"),), "Wedge: one end wide."),
        (
            (effect("uneven", 0.5, 0.16, "width"),),
            "Uneven widths. 4 batches taken together lean this way: 1.6 times the spread",
        ),
        ((effect("off_recipe", -1.4, 0.3, "hydration"),), "Too little water."),
        ((effect("tilt_x", 0.01),), ""),
    ],
)
def test_a_leaning_is_told_with_its_side(effects, says):
    told = first_habit([said(*effects)] * 4)
    assert told.startswith(says)
    assert bool(told) == bool(says)


def test_what_was_found_is_not_told_a_second_time_as_a_leaning():
    tilted = said(effect("tilt_x", -0.6), findings=[finding("thickness", "tilt", "left")])
    assert first_habit([tilted] * 4) == "Thick on the left. Found in 4 of the last 4 batches."


def test_few_batches_tell_nothing_and_say_so(house):
    batch_of(house, 0.8, days=1)
    habits = habits_of(house.cook.pk, house.style)
    assert (habits.lines, habits.can_tell) == ((), False)
    assert "Too few batches yet" in render_to_string("assessments/_habits.html", {"habits": habits})


def test_what_was_tried_is_told_with_what_came_of_it(house):
    earlier = batch_of(house, 0.8, days=3)
    asked = TriedAnswer(earlier.pk, Tried.Answer.YES)
    after = batch_of(house, 0.0, days=2, answer=asked)
    [line] = habits_of(house.cook.pk, house.style).tried
    assert (line.batch_id, line.answer) == (after.pk, "yes")
    assert line.came_of_it.startswith("It helped: from 0.")


def test_habits_link_the_step_in_a_bounded_number_of_queries(house, django_assert_num_queries):
    body = [module_bodies.step("Tilt the blade", drawing=TILT)]
    module_bodies.write_module(house.cutting, slug="folding-and-cutting", body=body)
    for days in range(LOADED + 1, 0, -1):
        batch_of(house, 0.8, days=days)
    habits_of(house.cook.pk, house.style)  # the language's root is looked up once
    with django_assert_num_queries(3):
        habits = habits_of(house.cook.pk, house.style)
    loaded = list(
        Batch.objects.select_related("patterns", "tried").prefetch_related("found").newest_first()
    )
    with django_assert_num_queries(1):
        assert habits_of(house.cook.pk, house.style, batches=loaded) == habits
    assert first_habit(last_said(house.cook.pk, house.style.pk)).endswith(
        "Found in 5 of the last 5 batches."
    )
    page = render_to_string("assessments/_habits.html", {"habits": habits})
    assert f'href="{habits.lines[0].step["step_url"]}"' in page
