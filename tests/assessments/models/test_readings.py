"""What the database refuses about readings and instruments, and what comes back unchanged."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from assessments.actions.log_batch import record_readings
from assessments.models import Instrument, ReadingSet
from tests import factories

Quantity = ReadingSet.Quantity


@pytest.fixture
def readings(house):
    batch = factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    return record_readings(
        batch, Quantity.WIDTH, [3.46, 3.2, 0.07], by=house.cook, positions=[3, 7, 300]
    )


def test_readings_come_back_as_they_were_typed(readings):
    stored = ReadingSet.objects.get(pk=readings.pk)
    assert stored.array.tolist() == [3.46, 3.2, 0.07]
    assert stored.places.tolist() == [3, 7, 300]
    assert (stored.n, stored.minimum, stored.maximum, stored.unit) == (3, 0.07, 3.46, "mm")


@pytest.mark.parametrize(
    "change",
    [
        {"n": 0},
        {"minimum": 4.0},
        {"minimum": 0.0},
        {"quantity": "thickness", "minimum": -0.1},
        {"quantity": "flour", "minimum": 0.0},
    ],
    ids=str,
)
def test_the_database_refuses(readings, change):
    with pytest.raises(IntegrityError):
        ReadingSet.objects.filter(pk=readings.pk).update(**change)


@pytest.mark.parametrize("quantity", ["room", "water_t", "dough_t", "salt", "water"])
def test_temperatures_salt_and_water_may_be_zero(readings, quantity):
    rows = ReadingSet.objects.filter(pk=readings.pk)
    assert rows.update(quantity=quantity, minimum=0.0) == 1


def test_one_set_of_a_quantity_is_current(readings):
    copy = ReadingSet.objects.get(pk=readings.pk)
    copy.pk, copy.revision = None, 2
    with pytest.raises(IntegrityError):
        copy.save(force_insert=True)


def test_a_revision_is_used_once(readings):
    copy = ReadingSet.objects.get(pk=readings.pk)
    copy.pk, copy.is_current = None, False
    with pytest.raises(IntegrityError):
        copy.save(force_insert=True)


def test_a_repeatability_is_not_below_zero(db):
    instrument = factories.InstrumentFactory.build(repeatability_mm=-1)
    with pytest.raises(ValidationError, match="cannot be below zero"):
        instrument.full_clean()
    row = factories.InstrumentFactory()
    with pytest.raises(IntegrityError):
        Instrument.objects.filter(pk=row.pk).update(repeatability_mm=-1)
