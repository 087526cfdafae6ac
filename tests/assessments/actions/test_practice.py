"""Who practises what where."""

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from assessments.actions.practice import end_practice, enter_practice
from assessments.models import Event, Practice
from tests import factories

pytestmark = pytest.mark.django_db


def enter(house, cook=None, **fields):
    given = {
        "branch_id": house.branch.pk,
        "style": house.style,
        "station": house.serving,
        "by": house.chef,
    }
    return enter_practice(cook or house.cook, **given | fields)


def test_entering_a_practice_brings_what_the_cook_has_done_already(house):
    factories.counted_batch(cook=house.cook, branch=house.branch, standard=house.standard, days=2)
    practice = enter(house)
    assert (practice.counted, practice.branch, practice.ended_on) == (1, house.branch, None)
    event = Event.objects.get(verb=Event.Verb.PRACTICE_ENTERED)
    assert (event.actor, event.subject) == (house.chef, house.cook)
    assert event.data == {"style": "thick wheat", "station": "serving"}


def test_a_practice_is_entered_once(house):
    with pytest.raises(ValidationError, match="already"):
        enter(house, station=house.cutting)
    assert Practice.objects.count() == 1
    assert not Event.objects.exists()


def test_somebody_who_has_left_cannot_be_entered(house):
    house.cook.is_active = False
    house.cook.save()
    with pytest.raises(ValidationError, match="has left"):
        enter(house)


def test_ending_keeps_the_record_and_entering_again_goes_on_with_it(house):
    factories.ObservationFactory(practice=house.practice, observer=house.chef)
    ended = end_practice(house.practice, by=house.chef)
    assert ended.ended_on == timezone.localdate()
    again = enter(house, station=house.cutting)
    assert again.pk == house.practice.pk
    assert (again.ended_on, again.observations_met) == (None, 1)
    assert Event.objects.filter(verb=Event.Verb.PRACTICE_ENDED).count() == 1


def test_ending_twice_changes_nothing(house):
    end_practice(house.practice, by=house.chef)
    end_practice(house.practice, by=house.chef)
    assert Event.objects.filter(verb=Event.Verb.PRACTICE_ENDED).count() == 1
