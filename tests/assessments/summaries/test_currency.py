"""Why a renewal is due and when it draws near: the same by the database and in words."""

from datetime import timedelta
from itertools import product

import pytest
from django.utils import timezone

from assessments.models import Practice, SignOff
from assessments.summaries.currency import due_condition, near_condition, nudge
from tests import factories
from training.models import HousePolicy

TODAY = timezone.localdate()


def signed(practice, chef, *, ago=100, left=100, **fields):
    """Return a practice signed off ``ago`` days ago whose renewal falls due in ``left`` days."""
    practice.sign_off = SignOff.objects.create(
        practice=practice,
        cook=practice.person,
        style=practice.style,
        station=practice.station,
        branch=practice.branch,
        standard=practice.style.versions.get(),
        decided_by=chef,
        decided_at=timezone.now() - timedelta(days=ago),
        due_on=TODAY + timedelta(days=left),
        evidence={},
        evidence_sha256="0" * 64,
    )
    for name, value in ({"last_batch_on": TODAY} | fields).items():
        setattr(practice, name, value)
    practice.save()
    return practice


def said(practice, *, own=True):
    policy = HousePolicy.load()
    standing = practice.standing(today=TODAY, policy=policy)
    return nudge(practice, standing, today=TODAY, policy=policy, own=own)


def test_the_database_finds_exactly_those_who_are_told(house):
    policy = HousePolicy.load()
    cases = list(product((44, 45, 60, 61), (-1, 0, 14, 15), (0.0, 49.0, 50.0), (True, False)))
    for idle, left, warning, measured in cases:
        practice = factories.PracticeFactory(
            branch=house.branch,
            style=house.style,
            station=house.cutting if measured else house.serving,
        )
        last = TODAY - timedelta(days=idle)
        signed(practice, house.chef, left=left, last_batch_on=last, warning=warning)
    withdrawn = signed(
        factories.PracticeFactory(style=house.style, station=house.cutting), house.chef, left=-1
    )
    Practice.objects.filter(pk=withdrawn.pk).update(withdrawn_at=timezone.now())
    near = Practice.objects.filter(near_condition(TODAY, policy) | due_condition(TODAY, policy))
    found = set(near.values_list("pk", flat=True))
    everybody = Practice.objects.select_related("station", "sign_off")
    told = {practice.pk for practice in everybody if said(practice)}
    assert len(everybody) == len(cases) + 2
    assert found == told
    assert 0 < len(found) < len(cases)


@pytest.mark.parametrize(
    ("fields", "to_the_cook", "to_the_head_chef"),
    [
        ({}, "", ""),
        (
            {"alarm_on": TODAY, "warning": 100.0},
            "Renewal is due: your batches became less even. Speak to your head chef.",
            "Renewal is due: the batches since the sign-off became less even.",
        ),
        (
            {"last_batch_on": TODAY - timedelta(days=61)},
            "Renewal is due: no batch for more than 60 days. Make one, and speak to your head "
            "chef.",
            "Renewal is due: no batch for more than 60 days.",
        ),
        (
            {"last_batch_on": TODAY - timedelta(days=47)},
            "No batch for 47 days. Renewal falls due after 60.",
            "No batch for 47 days. Renewal falls due after 60.",
        ),
        (
            {"warning": 62.7},
            "Your last batches were less even: the warning stands at 62 of 100. At 100 renewal "
            "falls due.",
            "The last batches were less even: the warning stands at 62 of 100. At 100 renewal "
            "falls due.",
        ),
    ],
)
def test_the_reason_is_told_in_words(house, fields, to_the_cook, to_the_head_chef):
    practice = signed(house.practice, house.chef, **fields)
    assert (said(practice), said(practice, own=False)) == (to_the_cook, to_the_head_chef)


@pytest.mark.parametrize(
    ("left", "words"),
    [(15, ""), (14, ", in 14 days."), (1, ", in 1 day."), (-3, "Renewal was due")],
)
def test_the_date_is_told_two_weeks_before(house, left, words):
    text = said(signed(house.practice, house.chef, left=left))
    assert bool(text) is bool(words)
    assert words in text


def test_the_house_sets_the_days_without_a_batch(house):
    practice = signed(house.practice, house.chef, last_batch_on=TODAY - timedelta(days=23))
    assert said(practice) == ""
    policy = HousePolicy.load()
    policy.recent_practice_days = 30
    policy.save()
    assert said(practice) == "No batch for 23 days. Renewal falls due after 30."
    policy.recent_practice_days = 22
    policy.save()
    assert said(practice).startswith("Renewal is due: no batch for more than 22 days.")
