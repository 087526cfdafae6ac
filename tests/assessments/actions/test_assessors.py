"""Second looks by lot, ratings given blind, and calibration sets."""

import uuid
from collections import Counter
from datetime import timedelta
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from assessments.actions import assessors as actions
from assessments.actions.log_batch import finish_batch, open_batch, record_readings
from assessments.models import (
    BlindLook,
    CalibrationRating,
    CalibrationSet,
    Event,
    Practice,
    SecondLook,
)
from tests import factories
from training.models import HousePolicy, Role

pytestmark = pytest.mark.django_db


def percent(value):
    HousePolicy.load()
    HousePolicy.objects.update(second_look_percent=value)


def batch_of(house, **fields):
    return factories.BatchFactory(
        cook=house.cook, branch=house.branch, standard=house.standard, **fields
    )


def photographed(house):
    """Return a finished batch with a measured photo."""
    batch = batch_of(house)
    factories.photographed(batch)
    return finish_batch(batch, by=house.cook)


# Second looks


def test_a_batch_opened_today_is_seen_by_the_two_head_chefs_of_its_branch(house):
    percent(100)
    second = factories.head_chef(house.branch)
    batch = open_batch(
        cook=house.cook,
        branch=house.branch,
        style=house.style,
        portions=10,
        room_c=22,
        client_key=uuid.uuid4(),
        by=house.cook,
    )
    look = SecondLook.objects.get(batch=batch)
    assert {look.first, look.second} == {house.chef, second}
    # Asked again, the same look stands; the cook's own events say nothing of it.
    assert actions.propose_second_look(batch) == look
    [event] = Event.objects.filter(verb=Event.Verb.SECOND_LOOK_PROPOSED)
    assert event.subject is None


def nobody_else(house):
    """Leave one head chef."""


def a_chef_who_left(house):
    factories.head_chef(house.branch, is_active=False)


def the_cook_as_second_chef(house):
    factories.RoleFactory(person=house.cook, kind=Role.Kind.HEAD_CHEF, branch=house.branch)


def a_chef_elsewhere(house):
    factories.head_chef(house.other_branch)


@pytest.mark.parametrize(
    "people", [nobody_else, a_chef_who_left, the_cook_as_second_chef, a_chef_elsewhere]
)
def test_without_two_who_may_observe_nothing_is_proposed(house, people):
    percent(100)
    people(house)
    assert actions.propose_second_look(batch_of(house)) is None
    assert not SecondLook.objects.exists()


def test_neither_a_batch_of_yesterday_nor_one_without_a_practice_is_proposed(house):
    percent(100)
    factories.head_chef(house.branch)
    yesterday = timezone.localdate() - timedelta(days=1)
    assert actions.propose_second_look(batch_of(house, made_on=yesterday)) is None
    Practice.objects.update(ended_on=timezone.localdate())
    assert actions.propose_second_look(batch_of(house)) is None


@pytest.mark.parametrize(("of_100", "least", "most"), [(0, 0, 0), (10, 22, 60), (100, 400, 400)])
def test_as_many_fall_to_the_lot_as_the_house_wants(db, monkeypatch, of_100, least, most):
    percent(of_100)
    asked = []
    monkeypatch.setattr(actions, "_assessors_of", lambda batch: asked.append(batch) or [])
    for pk in range(1, 401):
        actions.propose_second_look(
            SimpleNamespace(pk=pk, strand_seed=7 * pk, made_on=timezone.localdate())
        )
    # Of 400 at 10 of 100, 22 to 60 holds in 997 of 1000 cases (binomial); the seeds are fixed.
    assert least <= len(asked) <= most


def test_looks_are_balanced_over_the_assessors(house):
    percent(100)
    for _n in range(2):
        factories.head_chef(house.branch)
    for seed in range(9):
        actions.propose_second_look(batch_of(house, strand_seed=seed))
    pairs = Counter(frozenset(pair) for pair in SecondLook.objects.values_list("first", "second"))
    assert sorted(pairs.values()) == [3, 3, 3]


# Before the score


def test_the_first_look_stands(house):
    batch = factories.finished_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    first = actions.rate_blind(batch, by=house.chef, evenness=1)
    assert actions.rate_blind(batch, by=house.chef, evenness=2) == first
    assert BlindLook.objects.get().evenness == 1
    assert Event.objects.filter(verb=Event.Verb.RATED_BLIND).count() == 1


def test_neither_an_open_batch_nor_the_own_one_is_rated(house):
    batch = batch_of(house)
    for by, code in ((house.chef, "state"), (house.cook, "oneself")):
        with pytest.raises(ValidationError) as refused:
            actions.rate_blind(batch, by=by, evenness=1)
        assert refused.value.code == code


# Calibration sets


def code_of(action, *args, **kwargs):
    """Return the code of the refusal."""
    with pytest.raises(ValidationError) as refused:
        action(*args, **kwargs)
    errors = getattr(refused.value, "error_dict", {None: [refused.value]})
    return {name: error.code for name, [error] in errors.items()}


def test_the_same_title_twice_is_one_draft(house):
    first = actions.make_calibration(title="Spring", by=house.chef)
    assert actions.make_calibration(title="Spring", by=house.chef) == first
    assert actions.make_calibration(title="Spring", by=house.other_chef) != first


def test_a_piece_has_a_photo_and_names_nobody(house):
    made = actions.make_calibration(title="Spring", by=house.chef)
    record_readings(bare := batch_of(house), "width", [3.2], by=house.cook)
    given = {"seen": "Cook wiped the board.", "evenness": 2}
    assert code_of(actions.put_piece, made, bare, **given) == {None: "photo"}
    assert code_of(actions.put_piece, made, photographed(house), **given).keys() == {"seen"}
    assert not made.pieces.exists()


def test_a_piece_is_added_once_and_changed_while_the_set_is_a_draft(house):
    made = actions.make_calibration(title="Spring", by=house.chef)
    batch, other = photographed(house), photographed(house)
    actions.put_piece(made, batch, seen="", evenness=2)
    actions.put_piece(made, other, seen="", evenness=0)
    actions.put_piece(made, batch, seen="The cook hurried.", evenness=1, hygiene=2)
    rows = made.pieces.values_list("position", "batch", "evenness", "hygiene", "seen")
    assert list(rows) == [(1, batch.pk, 1, 2, "The cook hurried."), (2, other.pk, 0, None, "")]
    actions.remove_piece(made, 1)
    actions.remove_piece(made, 7)
    assert list(made.pieces.values_list("position", "batch")) == [(1, other.pk)]


def test_an_opened_set_stays_as_it_is(house):
    made = actions.make_calibration(title="Spring", by=house.chef)
    assert code_of(actions.open_calibration, made, by=house.chef) == {None: "empty"}
    assert code_of(actions.close_calibration, made, by=house.chef) == {None: "draft"}
    batch = photographed(house)
    actions.put_piece(made, batch, seen="", evenness=2)
    opened = actions.open_calibration(made, by=house.chef)
    assert actions.open_calibration(made, by=house.chef).opened_at == opened.opened_at
    assert code_of(actions.put_piece, made, batch, seen="", evenness=1) == {None: "opened"}
    assert code_of(actions.remove_piece, made, 1) == {None: "opened"}
    assert code_of(actions.discard_calibration, made) == {None: "opened"}
    assert Event.objects.filter(verb=Event.Verb.CALIBRATION_OPENED).count() == 1


def test_a_draft_can_be_discarded(house):
    made = factories.calibration_set(house.chef, [photographed(house)])
    actions.discard_calibration(made)
    assert not CalibrationSet.objects.exists()


def test_a_piece_is_rated_once_by_others_than_its_maker_and_its_cook(house):
    made = factories.calibration_set(house.chef, [photographed(house)], handling=None)
    piece = made.pieces.get()
    given = {"evenness": 1, "bench_order": 2, "hygiene": 2, "knife_safety": 0}

    def rate(by, key, **ratings):
        return actions.rate_piece(piece, by=by, request_key=key, **ratings)

    key = uuid.uuid4()
    assert code_of(rate, house.other_chef, key, **given) == {None: "closed"}
    actions.open_calibration(made, by=house.chef)
    assert code_of(rate, house.chef, key, **given) == {None: "not_blind"}
    assert code_of(rate, house.cook, key, **given) == {None: "not_blind"}
    without = {name: rating for name, rating in given.items() if name != "hygiene"}
    assert code_of(rate, house.other_chef, key, **without).keys() == {"hygiene"}
    # What has no reference is not asked for, and not kept where it is sent.
    rated = rate(house.other_chef, key, **given, handling=0)
    assert (rated.evenness, rated.knife_safety, rated.handling) == (1, 0, None)
    assert rate(house.other_chef, key, **given) == rated
    assert code_of(rate, house.other_chef, uuid.uuid4(), **given) == {None: "rated"}
    actions.close_calibration(made, by=house.chef)
    third = factories.head_chef(house.branch)
    assert code_of(rate, third, uuid.uuid4(), **given) == {None: "closed"}
    assert CalibrationRating.objects.count() == 1
