"""What the database refuses, and says in words, about practice, observations and decisions."""

import uuid
from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from assessments.models import Observation, Practice, Review, SignOff, Withdrawal
from tests import factories

pytestmark = pytest.mark.django_db


def sign_off_of(house, **fields):
    given = {
        "practice": house.practice,
        "cook": house.cook,
        "style": house.style,
        "station": house.cutting,
        "branch": house.branch,
        "standard": house.standard,
        "decided_by": house.chef,
        "due_on": timezone.localdate() + timedelta(days=365),
        "evidence": {"balances": {}},
        "evidence_sha256": "0" * 64,
    }
    return SignOff(**given | fields)


def signed(decision):
    decision.save()
    return decision


def observation_of(house, **fields):
    given = {
        "practice": house.practice,
        "cook": house.cook,
        "observer": house.chef,
        "observed_on": timezone.localdate(),
        "hygiene": 2,
        "knife_safety": 2,
    }
    return Observation(**given | fields)


def review_of(house, **fields):
    batch = factories.counted_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    return Review(**{"batch": batch, "reviewer": house.chef} | fields)


def withdrawal_of(house, **fields):
    return Withdrawal(
        **{"sign_off": signed(sign_off_of(house)), "withdrawn_by": house.chef} | fields
    )


def practice_of(house, **fields):
    given = {
        "person": house.cook,
        "branch": house.branch,
        "style": house.style,
        "station": house.serving,
        "started_on": date(2026, 1, 10),
    }
    return Practice(**given | fields)


ACCEPTED = {
    "a sign-off by a head chef": lambda house: sign_off_of(house),
    "a sign-off without the full evidence, with a reason": lambda house: sign_off_of(
        house, is_override=True, override_reason="Trial week."
    ),
    "an observation of the two safety criteria alone": lambda house: observation_of(house),
    "a look that agrees without a word": lambda house: review_of(house, decision="agreed"),
    "a wish for another batch with a reason": lambda house: review_of(
        house, decision="another", note="Rest it longer."
    ),
    "a withdrawal with a reason": lambda house: withdrawal_of(house, reason="Uneven."),
    "a practice that ended on its first day": lambda house: practice_of(
        house, ended_on=date(2026, 1, 10)
    ),
}
REFUSED = {
    "a sign-off of oneself": (
        lambda house: sign_off_of(house, decided_by=house.cook),
        "Nobody can sign off themselves",
    ),
    "an override without a reason": (
        lambda house: sign_off_of(house, is_override=True),
        "Say why you sign without",
    ),
    "a reason without an override": (
        lambda house: sign_off_of(house, override_reason="Trial week."),
        "Say why you sign without",
    ),
    "an observation of oneself": (
        lambda house: observation_of(house, observer=house.cook),
        "Nobody can observe themselves",
    ),
    "a wish for another batch without a reason": (
        lambda house: review_of(house, decision="another"),
        "Say why, so that the cook",
    ),
    "an excuse without a reason": (
        lambda house: review_of(house, decision="excused"),
        "Say why, so that the cook",
    ),
    "a withdrawal without a reason": (
        lambda house: withdrawal_of(house, reason=""),
        "cannot be blank",
    ),
    "a practice that ended before it began": (
        lambda house: practice_of(house, ended_on=date(2026, 1, 9)),
        "The end cannot lie before",
    ),
    "the same practice twice": (
        lambda house: practice_of(house, station=house.cutting),
        "practises this style at this station already",
    ),
}


@pytest.mark.parametrize("make", ACCEPTED.values(), ids=ACCEPTED.keys())
def test_accepted(house, make):
    row = make(house)
    row.validate_constraints()
    row.save()
    assert type(row).objects.filter(pk=row.pk).exists()


@pytest.mark.parametrize(("make", "message"), REFUSED.values(), ids=REFUSED.keys())
def test_refused_in_words_and_by_the_database(house, make, message):
    row = make(house)
    with pytest.raises(ValidationError, match=message):
        row.full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


@pytest.mark.parametrize("name", Observation.CRITERIA)
def test_a_rating_beyond_met_is_refused(house, name):
    with pytest.raises(IntegrityError), transaction.atomic():
        observation_of(house, **{name: 3}).save()


@pytest.mark.parametrize("name", Observation.SAFETY_CRITERIA)
def test_safety_must_have_been_looked_at(house, name):
    with pytest.raises(ValidationError) as refused:
        observation_of(house, **{name: None}).full_clean()
    assert list(refused.value.error_dict) == [name]


def test_one_request_makes_one_row(house):
    key = uuid.uuid4()
    observation_of(house, request_key=key).save()
    with pytest.raises(IntegrityError), transaction.atomic():
        observation_of(house, request_key=key).save()


def test_one_look_for_each_batch(house):
    first = review_of(house, decision="agreed")
    first.save()
    with pytest.raises(IntegrityError), transaction.atomic():
        Review.objects.create(batch=first.batch, reviewer=house.chef, decision="agreed")


@pytest.mark.parametrize(
    ("ratings", "met"),
    [
        ({}, True),
        ({"handling": 0, "bench_order": 0}, True),
        ({"hygiene": 1}, False),
        ({"knife_safety": 1}, False),
        ({"hygiene": 0, "handling": 2}, False),
    ],
)
def test_safety_is_met_by_hygiene_and_knife_together(house, ratings, met):
    assert observation_of(house, **ratings).safety_met is met


@pytest.mark.parametrize(
    ("seen_on", "recorded", "counts"),
    [
        (date(2026, 3, 10), datetime(2026, 3, 10, 18, tzinfo=UTC), True),
        (date(2026, 3, 11), datetime(2026, 3, 11, 9, tzinfo=UTC), True),
        (date(2026, 3, 10), datetime(2026, 3, 10, 9, tzinfo=UTC), False),
        # Written down afterwards, but seen before the withdrawal.
        (date(2026, 3, 9), datetime(2026, 3, 11, 9, tzinfo=UTC), False),
    ],
)
def test_what_was_seen_before_a_withdrawal_counts_no_more(house, seen_on, recorded, counts):
    withdrawn_at = datetime(2026, 3, 10, 12, tzinfo=UTC)
    row = observation_of(house, observed_on=seen_on, recorded_at=recorded)
    assert row.counts_after(withdrawn_at) is counts
    assert row.counts_after(None) is True


def test_a_sign_off_holds_until_it_is_withdrawn(house):
    assert not house.practice.holds
    house.practice.sign_off = signed(sign_off_of(house))
    assert house.practice.holds
    assert house.practice.earned
    house.practice.withdrawn_at = timezone.now()
    assert not house.practice.holds
    assert not house.practice.earned


def test_a_sign_off_without_the_measured_evidence_is_not_earned(house):
    house.practice.sign_off = signed(sign_off_of(house, missing=["measured"]))
    assert house.practice.holds
    assert not house.practice.earned


def test_a_board_shows_who_still_practises(house):
    ended = practice_of(house, ended_on=date(2026, 2, 1))
    ended.save()
    left = practice_of(house, person=factories.UserFactory(is_active=False))
    left.save()
    assert list(Practice.objects.for_board()) == [house.practice]
