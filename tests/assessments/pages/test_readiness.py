"""The pages of the readiness board, and its file for a spreadsheet."""

import csv
from datetime import timedelta
from io import StringIO

import pytest
from django.urls import reverse
from django.utils import timezone

from tests import factories
from training.models import Branch, HousePolicy

BOARD = reverse("assessments:readiness")
CSV = reverse("assessments:readiness_csv")


def branch_address(branch):
    return reverse("assessments:readiness_branch", args=[branch.slug])


def table(response):
    text = b"".join(response.streaming_content).decode("utf-8-sig")
    return list(csv.reader(StringIO(text)))


@pytest.mark.parametrize(
    ("who", "status"),
    [("owner", 200), ("chef", 200), ("cook", 403), ("editor", 403), (None, 302)],
)
@pytest.mark.parametrize("address", [BOARD, CSV, "branch"])
def test_who_may_open_the_board(house, client, address, who, status):
    if who:
        client.force_login(getattr(house, who))
    if address == "branch":
        address = branch_address(house.branch)
    assert client.get(address).status_code == status


def test_a_head_chef_sees_no_other_branch(house, client):
    client.force_login(house.chef)
    assert client.get(branch_address(house.other_branch)).status_code == 403
    content = client.get(BOARD).content.decode()
    assert house.branch.name in content
    assert house.other_branch.name not in content
    assert {row[0] for row in table(client.get(CSV))[1:]} == {house.branch.name}


def test_a_branch_that_does_not_exist_is_not_found(house, client):
    client.force_login(house.owner)
    assert client.get(reverse("assessments:readiness_branch", args=["none"])).status_code == 404


def test_an_empty_station_is_marked_in_words(house, client):
    client.force_login(house.owner)
    for address in (BOARD, branch_address(house.branch)):
        content = client.get(address).content.decode()
        assert "nobody can hold it" in content
        assert content.count("<h1") == 1


def test_the_board_names_cook_style_and_state(house, client):
    client.force_login(house.owner)
    content = client.get(BOARD).content.decode()
    for words in ("Cook Test", "thick wheat", "not started", "#state-not_started"):
        assert words in content


def test_a_branch_about_to_open_says_when(house, client):
    Branch.objects.filter(pk=house.branch.pk).update(
        opens_on=timezone.localdate() + timedelta(days=400)
    )
    client.force_login(house.owner)
    assert "opens on" in client.get(BOARD).content.decode()
    assert "opens on" in client.get(branch_address(house.branch)).content.decode()


def test_filters_are_kept_in_every_link(house, client):
    factories.BranchFactory.create_batch(20)
    client.force_login(house.owner)
    content = client.get(BOARD, {"style": "thick-wheat", "state": "practising"}).content.decode()
    assert f"{CSV}?style=thick-wheat&amp;state=practising" in content
    assert f"{branch_address(house.branch)}?style=thick-wheat&amp;state=practising" in content
    assert "?style=thick-wheat&amp;state=practising&amp;page=2" in content
    assert "Shown: thick wheat, practising" in content


def test_a_filter_that_is_not_in_the_list_is_said(house, client):
    client.force_login(house.owner)
    response = client.get(BOARD, {"state": "asleep"})
    assert response.status_code == 200
    assert "asleep is not one of the available choices" in response.content.decode()
    assert client.get(CSV, {"state": "asleep"}).status_code == 400


@pytest.mark.parametrize("number", ["0", "999", "x"])
def test_a_page_that_does_not_exist_shows_one_that_does(house, client, number):
    client.force_login(house.owner)
    assert client.get(BOARD, {"page": number}).status_code == 200
    assert client.get(branch_address(house.branch), {"page": number}).status_code == 200


def test_the_file_follows_the_filters(house, client):
    client.force_login(house.owner)
    response = client.get(CSV, {"branch": house.branch.slug, "state": "not_started"})
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert f"readiness-{timezone.localdate().isoformat()}.csv" in response["Content-Disposition"]
    rows = table(response)
    assert rows[0][:3] == ["branch", "opens on", "station"]
    assert [row[4] for row in rows[1:]] == ["Cook Test", "nobody"]


@pytest.mark.parametrize("sign", ["=", "+", "-", "@"])
def test_no_cell_of_the_file_is_taken_for_a_formula(house, client, sign):
    # Common practice against formulas in files that a spreadsheet opens (OWASP, CSV injection).
    house.cook.first_name = f"{sign}HYPERLINK(1)"
    house.cook.save()
    client.force_login(house.owner)
    names = [row[4] for row in table(client.get(CSV))]
    assert f"'{sign}HYPERLINK(1) Test" in names


def test_the_pages_cost_few_queries(house, client, django_assert_max_num_queries):
    HousePolicy.load()
    client.force_login(house.owner)
    for address in (BOARD, branch_address(house.branch), CSV):
        with django_assert_max_num_queries(12):
            response = client.get(address)
            if response.streaming:
                table(response)


def test_styles_to_choose_are_named_in_the_readers_language(house, client):
    client.force_login(house.owner)
    for code, name in (("en", "thick wheat"), ("es", "fideos gruesos de trigo")):
        form = client.get(BOARD, headers={"Accept-Language": code}).context["form"]
        assert (house.style.slug, name) in form.fields["style"].choices
