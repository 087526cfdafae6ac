"""The start of a real house."""

import io

import pytest
from django.core.management import CommandError, call_command

from tests import factories
from training.curriculum import MODULES
from training.models import ModulePage, Station, User

pytestmark = pytest.mark.django_db


def first_owner(monkeypatch, name="owner", password="a-long-enough-secret"):
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))
    call_command("first_owner", name, stdout=io.StringIO())
    return User.objects.get(username=name)


def test_the_first_owner_can_sign_in_and_finds_stations_and_modules(monkeypatch, client):
    person = first_owner(monkeypatch)
    assert person.is_owner
    assert person.is_editor
    assert client.login(username="owner", password="a-long-enough-secret")
    assert client.get("/cms/").status_code == 200
    names = list(Station.objects.practised().values_list("name", flat=True))
    assert names == ["mixing and treading", "rolling", "cutting", "boiling", "stock", "serving"]
    assert ModulePage.objects.originals().live().count() == len(MODULES)


def test_a_second_owner_is_made_by_the_first():
    factories.owner()
    with pytest.raises(CommandError, match="has an owner"):
        call_command("first_owner", "another")


@pytest.mark.parametrize("password", ["", "short", "password1234"])
def test_a_weak_password_is_refused_and_nothing_made(monkeypatch, password):
    with pytest.raises(CommandError):
        first_owner(monkeypatch, password=password)
    assert not User.objects.exists()
