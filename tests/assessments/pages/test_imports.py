"""The page that brings in readings from a file."""

import csv
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from assessments.calculations.import_rows import COLUMNS
from assessments.models import Batch
from tests import factories

READINGS = Path(__file__).parents[1] / "readings"
ADDRESS = reverse("assessments:import_readings")
EXAMPLE = reverse("assessments:import_example")


@pytest.fixture(autouse=True)
def _day():
    with time_machine.travel("2026-05-01T09:00:00Z"):
        yield


def upload(client, data, name="readings.csv", **fields):
    if isinstance(data, str):
        data, name = (READINGS / f"{data}.csv").read_bytes(), f"{data}.csv"
    fields = {"file": SimpleUploadedFile(name, data), "on_fault": "all_or_nothing", **fields}
    return client.post(ADDRESS, fields)


@pytest.mark.parametrize(
    ("who", "status"),
    [("cook", 200), ("chef", 200), ("owner", 403), ("editor", 403), (None, 302)],
)
def test_who_may_bring_in_readings(house, client, who, status):
    if who:
        client.force_login(getattr(house, who))
    assert client.get(ADDRESS).status_code == status


def test_a_trainee_brings_in_the_own_readings(house, client):
    client.force_login(house.cook)
    assert 'name="cook"' not in client.get(ADDRESS).content.decode()
    response = upload(client, "first", cook=house.other_cook.pk)
    assert response.status_code == 200
    content = response.content.decode()
    assert "All rows were kept" in content
    batch = Batch.objects.get(reference="first-03")
    assert (batch.cook, batch.branch, batch.opened_by) == (house.cook, house.branch, house.cook)
    assert reverse("assessments:result", args=[batch.pk]) in content
    assert "93.1" in content
    again = upload(client, "first")
    assert (again.status_code, Batch.objects.count()) == (200, 9)
    assert "Everything was there already" in again.content.decode()


def test_a_head_chef_brings_in_readings_of_a_cook_of_the_branch(house, client):
    client.force_login(house.chef)
    assert upload(client, "first", cook=house.cook.pk).status_code == 200
    batch = Batch.objects.first()
    assert (batch.cook, batch.branch, batch.opened_by) == (house.cook, house.branch, house.chef)


@pytest.mark.parametrize("cook", ["other_cook", "owner", None])
def test_a_head_chef_can_choose_nobody_else(house, client, cook):
    client.force_login(house.chef)
    pk = getattr(house, cook).pk if cook else ""
    response = upload(client, "first", cook=pk)
    assert response.status_code == 422
    assert "cook" in response.context["form"].errors
    assert not Batch.objects.exists()


def test_a_head_chef_who_practises_elsewhere_may_choose_themselves(house, client):
    factories.RoleFactory(person=house.chef, branch=house.other_branch)
    client.force_login(house.chef)
    assert upload(client, "first", cook=house.chef.pk).status_code == 200
    assert Batch.objects.first().branch == house.other_branch


def test_the_cook_can_be_named_in_the_address(house, client):
    client.force_login(house.chef)
    content = client.get(ADDRESS, {"cook": house.cook.pk}).content.decode()
    assert f'<option value="{house.cook.pk}" selected>' in content


def test_a_faulty_file_is_reported_row_by_row_and_keeps_the_choices(house, client):
    client.force_login(house.chef)
    response = upload(client, "faulty", cook=house.cook.pk)
    content = response.content.decode()
    assert response.status_code == 422
    assert "Nothing was kept" in content
    assert content.count('<th scope="row" class="num">') == 8
    assert "The unit is “cm”, but strand width is read in mm." in content
    assert f'<option value="{house.cook.pk}" selected>' in content
    assert not Batch.objects.exists()
    good = upload(client, "faulty", cook=house.cook.pk, on_fault="keep_good")
    assert "The good rows were kept" in good.content.decode()
    assert good.context["form"]["on_fault"].value() == "keep_good"
    assert Batch.objects.count() == 1


def test_the_first_fifty_refused_rows_are_shown_and_the_others_counted(house, client):
    client.force_login(house.cook)
    content = upload(client, "second").content.decode()
    assert content.count('<th scope="row" class="num">') == 50
    assert "These are the first 50 of 203 refused rows." in content
    assert "The house has no style of this name: thin buckwheat." in content


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "The file is empty."),
        (b"PK\x03\x04", "This is no CSV text file."),
        (b"one,two\n1,2\n", "The first line must name each column once"),
        (b"x" * 5_000_001, "The file has 5.1 MB. At most 5 MB"),
        (b"x\n" * 100_002, "The first line must name"),
        (",".join(COLUMNS).encode() + b"\nx" * 100_001, "The file has 100001 rows."),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_at_the_field(house, client, data, message):
    client.force_login(house.cook)
    response = upload(client, data)
    assert response.status_code == 422
    assert message in response.context["form"].errors["file"][0]


def test_no_file_is_said_at_the_field(house, client):
    client.force_login(house.cook)
    response = client.post(ADDRESS, {"on_fault": "keep_good"})
    assert response.status_code == 422
    assert response.context["form"].errors["file"] == ["This field is required."]


def test_a_name_in_the_file_is_shown_as_text(house, client):
    client.force_login(house.cook)
    row = "b1,2026-03-01,<script>,strand width,1,3.1,mm,caliper"
    response = upload(client, "\n".join([",".join(COLUMNS), row]).encode(), name="<b>.csv")
    assert b"<script>," not in response.content
    assert b"&lt;script&gt;" in response.content


def test_the_example_can_be_read_as_it_is(house, client):
    client.force_login(house.cook)
    data = b"".join(client.get(EXAMPLE).streaming_content)
    rows = list(csv.DictReader(StringIO(data.decode("utf-8-sig"))))
    assert tuple(rows[0]) == COLUMNS
    assert {row["date"] for row in rows} == {timezone.localdate().isoformat()}
    response = upload(client, data)
    assert response.status_code == 200
    (batch,) = response.context["report"].batches
    assert (batch.day, batch.style) == (date(2026, 5, 1), "thick wheat")
    assert batch.hydration_points == pytest.approx(20)
    assert batch.score > 95


def test_the_example_of_a_house_without_a_standard_is_its_heading(client, db):
    client.force_login(factories.UserFactory())
    data = b"".join(client.get(EXAMPLE).streaming_content).decode("utf-8-sig")
    assert data.strip() == ",".join(COLUMNS)


def test_the_page_costs_few_queries(house, client, django_assert_max_num_queries):
    for _ in range(10):
        factories.trainee(house.branch)
    client.force_login(house.chef)
    with django_assert_max_num_queries(12):
        client.get(ADDRESS)
