"""What the database refuses about batches and stages."""

import uuid
from datetime import UTC, datetime

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from assessments.models import Batch, Stage
from tests import factories

THEN = datetime(2026, 3, 1, 9, tzinfo=UTC)


@pytest.fixture
def batch(house):
    return factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)


@pytest.mark.parametrize(
    "change",
    [
        {"state": "finished"},
        {"state": "abandoned"},
        {"state": "finished", "abandoned_at": THEN},
        {"finished_at": THEN},
        {"portions": 0},
        {"strands_expected": 0},
        {"hydration_target_percent": 0},
    ],
    ids=str,
)
def test_the_database_refuses(batch, change):
    with pytest.raises(IntegrityError):
        Batch.objects.filter(pk=batch.pk).update(**change)


@pytest.mark.parametrize(
    "change",
    [
        {"state": "finished", "finished_at": THEN},
        {"state": "abandoned", "abandoned_at": THEN},
        {"strands_expected": None},
    ],
    ids=lambda change: ", ".join(change),
)
def test_the_database_accepts(batch, change):
    assert Batch.objects.filter(pk=batch.pk).update(**change) == 1


def test_a_cook_has_one_batch_of_a_name(batch):
    Batch.objects.filter(pk=batch.pk).update(reference="B-7")
    twin = Batch.objects.get(pk=batch.pk)
    twin.pk, twin.client_key = None, uuid.uuid4()
    with pytest.raises(ValidationError, match="has a batch of this name already"):
        twin.full_clean()
    with pytest.raises(IntegrityError):
        factories.BatchFactory(cook=batch.cook, standard=batch.standard, reference="B-7")


def test_batches_without_a_name_do_not_collide(batch):
    assert factories.BatchFactory(cook=batch.cook, standard=batch.standard).reference == ""


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("portions", 501, "less than or equal to 500"),
        ("room_c", 51, "less than or equal to 50"),
        ("room_c", -6, "greater than or equal to -5"),
        ("strands_expected", 5001, "less than or equal to 5000"),
    ],
)
def test_a_batch_says_what_is_amiss(batch, field, value, message):
    setattr(batch, field, value)
    with pytest.raises(ValidationError, match=message):
        batch.full_clean()


def test_a_stage_has_one_place_and_happens_once_a_round(batch):
    with pytest.raises(IntegrityError):
        Stage.objects.create(batch=batch, kind="tread", round=9, position=1)


def test_a_stage_happens_once_a_round(batch):
    with pytest.raises(IntegrityError):
        Stage.objects.create(batch=batch, kind="weigh", position=99)
