"""The main navigation by role."""

import pytest

from training.navigation import navigation, places
from training.security import SHARED_TABLET


@pytest.mark.parametrize(
    ("who", "labels"),
    [
        ("cook", ["Today", "Modules", "Batches"]),
        ("chef", ["Today", "Modules", "Waiting", "Cooks", "Readiness"]),
        ("owner", ["Today", "Modules", "Cooks", "Readiness", "Edit"]),
        ("editor", ["Today", "Modules", "Edit"]),
    ],
)
def test_each_role_sees_its_places(rf, house, who, labels):
    request = rf.get("/")
    request.user = getattr(house, who)
    assert [place.label for place in places(request)] == labels


@pytest.mark.parametrize("who", ["cook", "chef", "owner", "editor"])
def test_every_place_opens(client, house, who):
    """Nobody is offered a page that refuses them."""
    client.force_login(getattr(house, who))
    request = client.get("/").wsgi_request
    for place in places(request):
        assert client.get(place.url).status_code == 200, place.label


@pytest.mark.parametrize(
    ("path", "here"),
    [
        ("/", ["Today"]),
        ("/batches/", ["Batches"]),
        ("/batches/7/stages/2/", ["Batches"]),
        ("/modules/cutting/", ["Modules"]),
        ("/account/", []),
    ],
)
def test_the_current_place_is_marked(rf, house, path, here):
    request = rf.get(path)
    request.user = house.cook
    assert [place.label for place in places(request) if place.is_here] == here


def test_nothing_for_strangers_and_in_the_page_editor(client, rf, house):
    request = client.get("/sign-in/login/").wsgi_request
    assert navigation(request) == {}
    request = rf.get("/cms/pages/")
    request.user, request.session = house.owner, {}
    assert navigation(request) == {}


def test_a_request_that_failed_early_has_no_person(rf):
    assert navigation(rf.get("/")) == {}


def test_idle_time_only_on_a_shared_tablet(rf, house, settings):
    settings.SHARED_TABLET_IDLE_S = 90
    request = rf.get("/")
    request.user, request.session = house.cook, {}
    assert navigation(request)["shared_tablet_idle_s"] is None
    request.session = {SHARED_TABLET: True}
    assert navigation(request)["shared_tablet_idle_s"] == 90
