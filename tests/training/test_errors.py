"""Pages that answer errors: in our frame, with a way on, and without details for strangers."""

import re

import pytest
from django.core.exceptions import SuspiciousOperation
from django.test import Client, override_settings
from django.urls import include, path

from tests import factories


def breaks(request):
    raise RuntimeError("the oven is out")


def damaged(request):
    raise SuspiciousOperation("a header that cannot be")


urlpatterns = [
    path("breaks/", breaks),
    path("damaged/", damaged),
    path("", include("training.urls")),
]


@pytest.fixture
def visit(house):
    """Return a function that opens a page as somebody and gives back the answer."""

    def go(address, who=None):
        client = Client(raise_request_exception=False)
        if who:
            client.force_login(getattr(house, who))
        with override_settings(ROOT_URLCONF=__name__):
            return client.get(address)

    return go


def assert_framed(response, heading):
    assert f"<h1>{heading}</h1>" in response.text
    assert response.text.count("<h1") == 1
    assert re.search(r"<title>\S.* · Evenhand</title>", response.text)
    assert 'href="/"' in response.text
    assert 'href="/static/training/site.css"' in response.text


@pytest.mark.parametrize("who", [None, "cook", "owner"])
@pytest.mark.parametrize(
    ("address", "status", "heading"),
    [
        ("/no-such-page/", 404, "There is nothing here"),
        ("/breaks/", 500, "Something broke here, not with you"),
        ("/damaged/", 400, "The site did not understand that"),
    ],
)
def test_error_pages(visit, who, address, status, heading):
    response = visit(address, who)
    assert response.status_code == status
    assert_framed(response, heading)
    for secret in ("the oven is out", "RuntimeError", "Traceback", "a header that cannot be"):
        assert secret not in response.text


def test_a_refused_page_says_why_and_whom_to_ask(visit, house):
    response = visit(f"/cooks/{house.other_cook.pk}/", "cook")
    assert response.status_code == 403
    assert_framed(response, "This page is not yours to open")
    assert "ask the owner" in response.text


def test_a_refusal_keeps_the_navigation(visit, house):
    """A person who strayed must be able to walk on."""
    assert 'class="places"' in visit(f"/cooks/{house.other_cook.pk}/", "cook").text


def test_a_form_older_than_the_sign_in(house):
    client = Client(enforce_csrf_checks=True)
    response = client.post("/sign-in/login/", {"login": "cook", "password": factories.PASSWORD})
    assert response.status_code == 403
    assert_framed(response, "This page has grown old")
    assert "what you typed is still there" in response.text
    assert factories.PASSWORD not in response.text


@pytest.mark.parametrize("address", ["/batches/0/", "/batches/999999999999999999999999/", "/%00/"])
def test_odd_addresses_are_not_found(visit, address):
    assert visit(address, "cook").status_code == 404


def test_no_page_of_an_error_offers_a_form_that_cannot_be_sent(visit):
    """A form without its token would be refused."""
    for address in ("/breaks/", "/damaged/", "/no-such-page/"):
        text = visit(address, "cook").text
        assert text.count('method="post"') == text.count('name="csrfmiddlewaretoken"')
