"""When a missed question comes back: Leitner's boxes (So lernt man lernen, 1972)."""

from datetime import date, timedelta

import pytest

from training.spacing import INTERVALS_DAYS, Place, after_answer

TODAY = date(2026, 3, 2)


def test_a_question_that_was_never_missed_never_comes_back():
    assert after_answer(None, correct=True, today=TODAY) is None


def test_it_comes_back_at_growing_intervals_until_it_is_learned():
    place = after_answer(None, correct=False, today=TODAY)
    gaps, day = [], TODAY
    while place.due_on:
        gaps.append((place.due_on - day).days)
        day = place.due_on
        place = after_answer(place, correct=True, today=day)
    assert gaps == [1, 2, 4, 8, 16]
    # Five boxes, as in the book.
    assert place.box == len(INTERVALS_DAYS) == 5


@pytest.mark.parametrize("box", [1, 3, 5])
def test_a_miss_sends_it_back_to_the_first_box(box):
    place = after_answer(Place(box, TODAY), correct=False, today=TODAY)
    assert place == Place(1, TODAY + timedelta(days=1))


def test_a_learned_question_that_is_missed_starts_anew():
    assert after_answer(Place(5, None), correct=False, today=TODAY).box == 1


@pytest.mark.parametrize("due_on", [TODAY + timedelta(days=1), None])
def test_a_right_answer_before_its_day_moves_nothing(due_on):
    place = Place(2, due_on)
    assert after_answer(place, correct=True, today=TODAY) == place


def test_an_answer_that_comes_late_counts_from_its_own_day():
    late = TODAY + timedelta(days=10)
    assert after_answer(Place(2, TODAY), correct=True, today=late) == Place(
        3, late + timedelta(days=4)
    )
