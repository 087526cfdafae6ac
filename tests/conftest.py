"""What all tests share."""

import os
from copy import deepcopy

import pytest
from django.db import transaction
from django.utils import translation
from hypothesis import settings as hypothesis_settings

from tests import factories

# No test is timed: how long an example takes says more about the machine.
hypothesis_settings.register_profile("untimed", parent=hypothesis_settings(), deadline=None)
hypothesis_settings.load_profile("untimed")


@pytest.fixture(autouse=True)
def own_language():
    """Take back the language in which a request was answered: it stays active in the thread."""
    yield
    translation.deactivate()


def new_house():
    """Return a house with two branches, one measured and one unmeasured station, and a standard.

    ``house.cook`` practises thick wheat at the cutting station of ``house.branch``; ``house.chef``
    is its head chef; ``other_cook`` and ``other_chef`` belong to ``house.other_branch``.
    """
    from types import SimpleNamespace

    from training.models import Style

    branch, other_branch = factories.BranchFactory(), factories.BranchFactory()
    style = Style.objects.create(name="thick wheat", slug="thick-wheat")
    standard = factories.StandardFactory(style=style)
    cutting = factories.StationFactory(name="cutting", slug="cutting", position=3)
    serving = factories.StationFactory(name="serving", slug="serving", position=6, measured=False)
    cook = factories.trainee(branch, username="cook", first_name="Cook")
    practice = factories.PracticeFactory(person=cook, branch=branch, style=style, station=cutting)
    return SimpleNamespace(
        branch=branch,
        other_branch=other_branch,
        style=style,
        standard=standard,
        cutting=cutting,
        serving=serving,
        cook=cook,
        practice=practice,
        chef=factories.head_chef(branch, username="chef"),
        other_cook=factories.trainee(other_branch, username="other-cook"),
        other_chef=factories.head_chef(other_branch, username="other-chef"),
        owner=factories.owner(username="owner"),
        editor=factories.editor(username="editor"),
    )


@pytest.fixture
def house(db):
    """Give a test a house of its own, see ``new_house``."""
    return new_house()


@pytest.fixture(scope="module")
def filled_house(django_db_setup, django_db_blocker):
    """Make a house with something for every page, once for a module, and take it back at the end.

    It takes as long as ten of the tests that look at it.
    """
    from tests.addresses import fill

    with django_db_blocker.unblock(), transaction.atomic():
        yield fill(new_house())
        transaction.set_rollback(True)


@pytest.fixture
def kitchen(filled_house, db):
    """Give a test the filled house of its module as if it were its own."""
    return deepcopy(filled_house)


def pytest_sessionfinish(session, exitstatus):
    """In CI a skipped test is a failed run: what is not tried there is tried nowhere."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if os.environ.get("CI") and reporter and reporter.stats.get("skipped") and exitstatus == 0:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
