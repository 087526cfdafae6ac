"""What the database refuses about photographs, where their files lie, and when those go."""

import pytest
from django.core.files.storage import storages
from django.db import IntegrityError, transaction
from django.urls import Resolver404, resolve
from django.utils import timezone

from assessments.models import LeftOutStrand, Photograph, ReadingSet
from assessments.models.photographs import chosen_places, lay_out, rendition_name, thumbnail_name
from tests import factories
from tests.factories import photographed


@pytest.fixture
def batch(house):
    return factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)


@pytest.fixture
def photograph(batch):
    return photographed(batch, [3.2] * 10)


def names(photograph):
    return [photograph.original.name, rendition_name(photograph), thumbnail_name(photograph)]


@pytest.mark.parametrize(
    "change",
    [
        {"batch": None},
        {"result": None},
        {"state": "measuring", "measuring_since": None},
        {"state": "refused"},
        {"size_bytes": -1},
    ],
    ids=str,
)
def test_the_database_refuses(photograph, change):
    with pytest.raises(IntegrityError), transaction.atomic():
        Photograph.objects.filter(pk=photograph.pk).update(**change)


def test_a_strand_is_left_out_once_at_a_time(photograph, batch):
    first = LeftOutStrand(photograph=photograph, number=1, reason="torn", by=batch.cook)
    first.save()
    with pytest.raises(IntegrityError), transaction.atomic():
        LeftOutStrand.objects.create(photograph=photograph, number=1, reason="stuck", by=batch.cook)
    first.taken_back_at = timezone.now()
    first.save()
    LeftOutStrand.objects.create(photograph=photograph, number=1, reason="stuck", by=batch.cook)
    assert [row.reason for row in photograph.left_out.active()] == ["stuck"]


@pytest.mark.parametrize("who", ["photograph", "batch"])
def test_the_files_go_with_the_row(photograph, batch, who, django_capture_on_commit_callbacks):
    storage = photograph.original.storage
    assert all(storage.exists(name) for name in names(photograph))
    with django_capture_on_commit_callbacks(execute=True):
        {"photograph": photograph, "batch": batch}[who].delete()
        assert storage.exists(photograph.original.name)
    assert not any(storage.exists(name) for name in names(photograph))
    assert not Photograph.objects.exists()


def test_files_of_a_worker_that_was_killed_go_too(photograph, django_capture_on_commit_callbacks):
    Photograph.objects.update(rendition="", thumbnail="")
    photograph.refresh_from_db()
    with django_capture_on_commit_callbacks(execute=True):
        photograph.delete()
    assert not any(photograph.original.storage.exists(name) for name in names(photograph))


def test_files_stay_where_deleting_did_not_come_to_pass(photograph):
    with transaction.atomic():
        Photograph.objects.get(pk=photograph.pk).delete()
        transaction.set_rollback(True)
    assert all(photograph.original.storage.exists(name) for name in names(photograph))


def test_no_address_leads_to_the_files(photograph):
    assert photograph.original.storage.exists(photograph.original.name)
    assert not storages["default"].exists(photograph.original.name)
    with pytest.raises(Resolver404):
        resolve(f"/photographs/{photograph.original.name}")


def test_readings_outlive_nothing_and_a_photograph_outlives_its_readings(photograph, batch):
    assert ReadingSet.objects.filter(photographs=photograph).exists()
    ReadingSet.objects.filter(batch=batch).delete()
    photograph.refresh_from_db()
    assert photograph.readings is None


def test_the_chosen_strands_are_unknown_without_their_number(batch):
    assert len(chosen_places(batch)) == 20
    batch.strands_expected = None
    assert chosen_places(batch) == []


def laid(photographs, n_chosen=20):
    for photograph in photographs:
        photograph.left_out_now = getattr(photograph, "left_out_now", [])
    return lay_out(photographs, n_chosen)


def strands(*widths_mm):
    return {"strands": [{"number": n, "width_mm": mm} for n, mm in enumerate(widths_mm, start=1)]}


def test_strands_lie_on_the_chosen_places_in_their_order():
    photograph = Photograph(first_place=4, missing_places=[5], result=strands(3.0, None, 3.2))
    [row] = laid([photograph])
    assert row.places == {1: 4, 2: 6, 3: 7}
    assert (row.last_place, row.surplus) == (7, frozenset())
    assert [strand["number"] for strand in row.counted] == [1, 3]


def test_a_photograph_ends_where_the_next_one_begins():
    second = Photograph(first_place=3, result=strands(3.0, 3.1))
    first = Photograph(first_place=1, result=strands(3.2, 3.3, 3.4))
    unplaced = Photograph(result=strands(3.5))
    rows = laid([unplaced, second, first], n_chosen=3)
    assert [row.photograph for row in rows] == [first, second]
    assert [row.surplus for row in rows] == [{3}, {2}]


def test_missing_strands_at_the_end_belong_to_the_photograph():
    [row] = laid([Photograph(first_place=1, missing_places=[3, 4], result=strands(3.0, 3.1))])
    assert row.last_place == 4


def test_a_strand_that_is_not_one_of_the_chosen_takes_no_place():
    photograph = Photograph(first_place=1, result=strands(9.9, 3.1, 3.2))
    photograph.left_out_now = [
        LeftOutStrand(number=1, reason="not_chosen"),
        LeftOutStrand(number=2, reason="torn"),
    ]
    [row] = laid([photograph])
    assert row.places == {2: 1, 3: 2}
    assert [len(row.measured), len(row.counted)] == [3, 1]
