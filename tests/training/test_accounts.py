"""Signing in and out, the person's own page, passkeys, closed sign-up."""

import html
import re

import pytest
from django.core.cache import cache
from django.urls import reverse

from tests import factories
from training.models import User

SIGN_IN = "/sign-in/login/"
RIGHT = {"login": "cook", "password": factories.PASSWORD}
WRONG = {"login": "cook", "password": "not-this-one"}


@pytest.fixture(autouse=True)
def _fresh_counts():
    cache.clear()


def page_text(response):
    return html.unescape(re.sub(r"\s+", " ", response.text))


def test_the_right_password_opens_todays_page(client, house):
    response = client.post(SIGN_IN, RIGHT)
    assert response.status_code == 302
    assert response["Location"] == "/"


def test_one_comes_back_to_the_page_that_was_asked_for(client, house):
    response = client.get("/account/")
    assert response["Location"] == f"{SIGN_IN}?next=/account/"
    page = client.get(response["Location"]).text
    assert 'name="next" value="/account/"' in page
    assert client.post(SIGN_IN, {**RIGHT, "next": "/account/"})["Location"] == "/account/"


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/", "//elsewhere.example/x"])
def test_one_is_never_sent_to_another_site(client, house, elsewhere):
    assert client.post(SIGN_IN, {**RIGHT, "next": elsewhere})["Location"] == "/"


def test_a_wrong_password_keeps_the_name(client, house):
    response = client.post(SIGN_IN, WRONG)
    assert response.status_code == 200
    assert "The username and/or password you specified are not correct." in page_text(response)
    assert 'value="cook"' in response.text
    assert WRONG["password"] not in response.text


def test_an_unknown_name_gets_the_same_answer_as_a_wrong_password(client, house):
    known = page_text(client.post(SIGN_IN, WRONG))
    unknown = page_text(client.post(SIGN_IN, {**WRONG, "login": "nobody"}))
    token = re.compile(r'name="csrfmiddlewaretoken" value="[^"]+"')
    assert token.sub("", unknown).replace('value="nobody"', 'value="cook"') == token.sub("", known)


@pytest.mark.parametrize("missing", ["login", "password"])
def test_an_empty_field_is_named(client, house, missing):
    response = client.post(SIGN_IN, {**RIGHT, missing: ""})
    assert response.context["form"].errors[missing] == ["This field is required."]
    assert f'id="id_{missing}_error"' in response.text


def test_someone_who_left_cannot_sign_in(client, house):
    User.objects.filter(pk=house.cook.pk).update(is_active=False)
    response = client.post(SIGN_IN, RIGHT)
    assert client.get("/account/").status_code == 302
    assert response.status_code in (200, 302)


def test_the_form_rests_after_five_wrong_passwords_and_says_so(client, house):
    for _attempt in range(5):
        client.post(SIGN_IN, WRONG)
    response = client.post(SIGN_IN, RIGHT)
    assert response.status_code == 200
    assert "Too many failed login attempts. Try again later." in page_text(response)
    assert 'value="cook"' in response.text
    assert client.get("/account/").status_code == 302


def test_the_rest_of_one_name_leaves_the_others_alone(client, house):
    for _attempt in range(5):
        client.post(SIGN_IN, WRONG)
    assert client.post(SIGN_IN, {**RIGHT, "login": "chef"}).status_code == 302


def test_nobody_signs_up(client, db):
    response = client.get(reverse("account_signup"))
    assert "form" not in (response.context or {}) or not response.context.get("form")
    client.post(
        reverse("account_signup"),
        {"username": "somebody", "password1": "salt-water-flour", "password2": "salt-water-flour"},
    )
    assert not User.objects.filter(username="somebody").exists()


def test_own_page_names_roles_and_ways_to_sign_in(client, house):
    client.force_login(house.cook)
    response = client.get("/account/")
    text = page_text(response)
    assert f"trainee · {house.branch}" in text
    for name in ("account_change_password", "mfa_list_webauthn", "mfa_index"):
        assert f'href="{reverse(name)}"' in response.text
    assert f'href="{reverse("assessments:cook", args=[house.cook.pk])}"' in response.text


def test_own_page_of_a_person_without_role_says_what_to_do(client, db):
    client.force_login(factories.UserFactory())
    assert "ask the owner" in page_text(client.get("/account/"))


def test_own_page_is_for_reading(client, house):
    client.force_login(house.cook)
    assert client.post("/account/").status_code == 405


@pytest.fixture
def proven(client, house):
    """Sign in and give the password once more, as the passkey pages ask."""
    client.post(SIGN_IN, RIGHT)
    client.post(reverse("account_reauthenticate"), {"password": factories.PASSWORD})
    return client


@pytest.mark.parametrize(
    "name",
    [
        "account_change_password",
        "mfa_index",
        "mfa_list_webauthn",
        "mfa_add_webauthn",
        "mfa_activate_totp",
        "account_reauthenticate",
        "account_logout",
    ],
)
def test_sign_in_pages_are_drawn_in_our_frame(proven, name):
    response = proven.get(reverse(name))
    assert response.status_code == 200, response.get("Location")
    assert response.text.count("<h1") == 1
    assert '<main id="main"' in response.text
    assert "<html lang=" in response.text
    assert re.search(r"<title>\s*\S.* · Evenhand</title>", response.text, re.DOTALL)
    # The strict policy would silently drop it.
    assert not re.search(r"\sstyle=|\son[a-z]+=", response.text)
    assert not re.search(r"<script(?![^>]*(src=|application/json))", response.text)


def test_a_new_password_must_be_a_good_one(proven, house):
    change = reverse("account_change_password")
    old = {"oldpassword": factories.PASSWORD}
    response = proven.post(change, {**old, "password1": "short", "password2": "short"})
    assert "at least 10 characters" in page_text(response)
    response = proven.post(
        change, {**old, "password1": "fold-and-turn-9", "password2": "something-else"}
    )
    assert "same password" in page_text(response)
    response = proven.post(
        change, {**old, "password1": "fold-and-turn-9", "password2": "fold-and-turn-9"}
    )
    assert response.status_code == 302
    house.cook.refresh_from_db()
    assert house.cook.check_password("fold-and-turn-9")


def test_adding_a_passkey_asks_for_the_password_again(client, house):
    """A tablet that somebody left signed in must not get a lasting way in."""
    client.post(SIGN_IN, RIGHT)
    response = client.get(reverse("mfa_add_webauthn"))
    assert response.status_code == 302
    assert response["Location"].startswith(reverse("account_reauthenticate"))


def test_the_passkey_of_another_person_is_not_found(proven, house):
    from allauth.mfa.models import Authenticator

    key = Authenticator.objects.create(
        user=house.chef, type=Authenticator.Type.WEBAUTHN, data={"name": "chef's key"}
    )
    for name in ("mfa_remove_webauthn", "mfa_edit_webauthn"):
        assert proven.get(reverse(name, args=[key.pk])).status_code == 404
    proven.post(reverse("mfa_remove_webauthn", args=[key.pk]))
    assert Authenticator.objects.filter(pk=key.pk).exists()


def test_the_password_is_asked_for_again_after_a_wrong_one(client, house):
    client.post(SIGN_IN, RIGHT)
    response = client.post(reverse("account_reauthenticate"), {"password": "not-this-one"})
    assert response.status_code == 200
    assert "Incorrect password." in page_text(response)
    assert client.get(reverse("mfa_add_webauthn")).status_code == 302


def test_passkey_sign_in_gives_a_challenge(client, db):
    response = client.get(reverse("mfa_login_webauthn"), headers={"accept": "application/json"})
    assert response.status_code == 200
    options = response.json()["request_options"]["publicKey"]
    assert options["rpId"] == "testserver"
    assert len(options["challenge"]) >= 16
