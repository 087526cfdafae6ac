"""What protects a signed-in person: policy, cookies, shared tablets."""

import pytest
import time_machine
from django.urls import reverse

from tests import factories
from training.security import SHARED_TABLET

SIGN_IN = "/sign-in/login/"
BY_NAME = {"login": "cook", "password": factories.PASSWORD}


@pytest.mark.parametrize("path", [SIGN_IN, "/", "/account/", "/modules/", "/no-such-page/"])
def test_own_pages_are_under_the_strict_policy(client, house, path):
    if path != SIGN_IN:
        client.force_login(house.cook)
    policy = client.get(path)["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "object-src 'none'" in policy
    assert "base-uri 'none'" in policy
    assert "form-action 'self'" in policy
    assert "unsafe" not in policy
    # Nothing is loaded from elsewhere.
    assert "http" not in policy
    assert "*" not in policy


def test_only_the_page_editor_may_use_inline_code(client, house):
    client.force_login(house.owner)
    response = client.get("/cms/")
    assert response.status_code == 200
    policy = response["Content-Security-Policy"]
    assert "script-src 'self' 'unsafe-inline'" in policy
    assert "unsafe-eval" not in policy
    assert "default-src 'self'" in policy


@pytest.mark.parametrize("who", ["cook", "chef"])
def test_the_page_editor_refuses_who_may_not_edit(client, house, who):
    client.force_login(getattr(house, who))
    assert client.get("/cms/").status_code == 403


def test_a_path_that_only_looks_like_the_editor_stays_strict(client, house):
    client.force_login(house.owner)
    assert "unsafe" not in client.get("/cms-notes/")["Content-Security-Policy"]


def test_headers(client, db):
    response = client.get(SIGN_IN)
    assert response["X-Frame-Options"] == "DENY"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Referrer-Policy"] == "same-origin"


def test_session_cookie_is_closed_to_scripts_and_other_sites(client, house):
    client.post(SIGN_IN, BY_NAME)
    cookie = client.cookies["sessionid"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


def test_signing_in_makes_a_new_session(client, house):
    """A session number that somebody planted before must not become a signed-in one."""
    client.get("/sign-in/login/")
    session = client.session
    session["planted"] = "yes"
    session.save()
    before = session.session_key
    client.post(SIGN_IN, BY_NAME)
    assert client.session.session_key != before


def test_a_shared_tablet_is_signed_out_when_left_alone(client, house, settings):
    settings.SHARED_TABLET_IDLE_S = 600
    with time_machine.travel("2025-11-05 09:00:00+00:00", tick=False) as clock:
        client.post(SIGN_IN, {**BY_NAME, "shared_tablet": "on"})
        assert client.session[SHARED_TABLET] is True
        clock.shift(590)
        assert client.get("/account/").status_code == 200
        # The request above put the end off.
        clock.shift(590)
        assert client.get("/account/").status_code == 200
        clock.shift(610)
        response = client.get("/account/")
    assert response.status_code == 302
    assert response["Location"] == f"{SIGN_IN}?next=/account/"


def test_one_persons_phone_stays_signed_in(client, house, settings):
    settings.SHARED_TABLET_IDLE_S = 600
    with time_machine.travel("2025-11-05 09:00:00+00:00", tick=False) as clock:
        client.post(SIGN_IN, BY_NAME)
        clock.shift(24 * 3600)
        assert client.get("/account/").status_code == 200


def test_the_page_of_a_shared_tablet_knows_its_idle_time(client, house, settings):
    settings.SHARED_TABLET_IDLE_S = 75
    client.post(SIGN_IN, {**BY_NAME, "shared_tablet": "on"})
    assert 'data-idle-s="75"' in client.get("/account/").text
    client.post(reverse("account_logout"))
    client.post(SIGN_IN, BY_NAME)
    assert "data-idle-s" not in client.get("/account/").text


def test_the_browser_of_a_shared_tablet_keeps_no_page(client, house):
    """The button "back" must not show the next cook what the last one saw."""
    client.post(SIGN_IN, {**BY_NAME, "shared_tablet": "on"})
    assert "no-store" in client.get("/account/")["Cache-Control"]
    client.post(reverse("account_logout"))
    client.post(SIGN_IN, BY_NAME)
    assert "no-store" not in client.get("/account/").get("Cache-Control", "")


def test_a_form_of_another_site_is_refused(house):
    from django.test import Client

    strict = Client(enforce_csrf_checks=True)
    strict.force_login(house.cook)
    assert strict.post(reverse("account_logout")).status_code == 403
    assert strict.get("/account/").status_code == 200


def test_signing_out_needs_a_form(client, house):
    """A picture or link on another page must not sign a cook out in the middle of a batch."""
    client.force_login(house.cook)
    assert "Sign out?" in client.get(reverse("account_logout")).text
    assert client.get("/account/").status_code == 200
    client.post(reverse("account_logout"))
    assert client.get("/account/").status_code == 302
