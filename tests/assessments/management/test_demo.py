"""``manage.py demo``: never beside real people, the same when run again, and a house that works."""

import sys

import pytest
from django.contrib.staticfiles import finders
from django.core.management import CommandError, call_command
from django.db import connection
from wagtail.models import Site

from assessments.demo_house import names
from assessments.management.commands import demo
from assessments.models import Batch, ReadingSet
from tests import factories
from training.models import ModulePage, User


@pytest.fixture
def static_root(settings, tmp_path):
    settings.STATIC_ROOT = tmp_path / "static"
    return settings.STATIC_ROOT


def readings():
    return {
        (username, str(opened_at), quantity): bytes(values)
        for username, opened_at, quantity, values in ReadingSet.objects.values_list(
            "batch__cook__username", "batch__opened_at", "quantity", "values"
        )
    }


def test_one_real_person_beside_the_demo_is_enough_to_refuse(bench):
    factories.UserFactory(username="somebody-real")
    before = Batch.objects.count()
    with pytest.raises(CommandError, match="somebody-real"):
        call_command("demo", fresh=True)
    assert Batch.objects.count() == before


def test_a_second_run_leaves_the_house_as_it_is(bench, static_root, capsys):
    before = readings()
    call_command("demo")
    said = capsys.readouterr().out
    assert "The demo house is there" in said
    assert readings() == before
    assert (static_root / "training" / "site.css").exists()


def test_fresh_builds_the_same_house_anew(bench, static_root, capsys):
    before = sorted(readings().values())
    Batch.objects.filter(state="open").delete()
    # PostgreSQL empties no table for which constraints still wait for the end of a transaction.
    connection.check_constraints()
    call_command("demo", fresh=True)
    assert "The demo house is built" in capsys.readouterr().out
    assert sorted(readings().values()) == before
    assert set(User.objects.values_list("username", flat=True)) == names.USERNAMES


def test_what_is_printed_is_enough_to_begin(bench, static_root, capsys):
    call_command("demo", port=8123)
    said = capsys.readouterr().out
    assert "http://127.0.0.1:8123/" in said
    assert names.PASSWORD in said
    for username, role, first in demo.SIGN_INS:
        assert username in names.USERNAMES
        line = next(line for line in said.splitlines() if line.split()[:1] == [username])
        assert str(role) in line
        assert str(first) in line


def test_serving_hands_over_to_gunicorn(bench, static_root, monkeypatch):
    calls = []
    monkeypatch.setattr(demo.os, "execv", lambda *arguments: calls.append(arguments))
    monkeypatch.setattr(demo.os, "chdir", lambda folder: None)
    monkeypatch.setattr(demo.connection, "close", lambda: None)
    monkeypatch.setenv("ALLOWED_HOSTS", "")
    call_command("demo", serve=True, host="192.0.2.7", port=8123)
    ((program, command),) = calls
    assert program == sys.executable
    assert command[1:4] == ["-m", "gunicorn", "training.wsgi"]
    assert command[command.index("--bind") + 1] == "192.0.2.7:8123"
    assert "192.0.2.7" in demo.os.environ["ALLOWED_HOSTS"].split(",")


def test_modules_stand_under_their_address(bench, static_root, client):
    call_command("demo", port=8123)
    site = Site.objects.get(is_default_site=True)
    assert (site.hostname, site.port) == ("127.0.0.1", 8123)
    client.force_login(User.objects.get(username="tamsa"))
    for module in ModulePage.objects.live():
        assert module.url == f"/modules/{module.slug}/"
        assert client.get(module.url).status_code == 200


@pytest.mark.parametrize(
    ("username", "addresses"),
    [
        ("tamsa", ["/", "/modules/"]),
        ("joric", ["/", "/batches/"]),
        ("edda", ["/", "/batches/"]),
        ("isbel", ["/", "/waiting/", "/cooks/", "/readiness/", "/cms/"]),
        ("maruk", ["/", "/cooks/", "/readiness/", "/cms/"]),
        ("vella", ["/", "/modules/", "/cms/"]),
    ],
)
def test_every_sign_in_opens_what_it_is_told_to_look_at(bench, client, username, addresses):
    assert client.login(username=username, password=names.PASSWORD)
    for address in addresses:
        assert client.get(address).status_code == 200, address


def test_drawings_of_the_modules_are_among_the_files():
    assert finders.find("illustrations/cut-down.svg")
