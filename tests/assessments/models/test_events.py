"""The log of what happened."""

from datetime import UTC, datetime

import pytest

from assessments.models import Event
from tests import factories

pytestmark = pytest.mark.django_db


def test_an_event_says_who_did_what_about_whom_and_to_what():
    chef, cook = factories.UserFactory(), factories.UserFactory()
    practice = factories.PracticeFactory(person=cook)
    event = Event.record(
        Event.Verb.PRACTICE_ENTERED, actor=chef, subject=cook, about=practice, station="cutting"
    )
    event.refresh_from_db()
    assert (event.actor, event.subject) == (chef, cook)
    assert (event.object_type, event.object_id) == ("practice", practice.pk)
    assert event.data == {"station": "cutting"}


def test_the_site_itself_may_be_the_one_who_acts():
    event = Event.record(Event.Verb.BATCH_ABANDONED, actor=None)
    event.refresh_from_db()
    assert (event.actor, event.object_type, event.object_id) == (None, "", None)


def test_newest_first_and_by_number_within_a_moment():
    at = datetime(2026, 3, 1, 8, tzinfo=UTC)
    first = Event.record(Event.Verb.OBSERVED, actor=None, at=at)
    second = Event.record(Event.Verb.OBSERVED, actor=None, at=at)
    earlier = Event.record(Event.Verb.OBSERVED, actor=None, at=at.replace(hour=7))
    assert list(Event.objects.all()) == [second, first, earlier]
