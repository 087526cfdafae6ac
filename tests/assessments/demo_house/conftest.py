"""The demo house, built once for all tests of a module and rolled back after them."""

import pytest
from django.db import transaction

from assessments.demo_house.build import build_house


@pytest.fixture(scope="module")
def built(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        yield build_house()
        transaction.set_rollback(True)


@pytest.fixture
def bench(built, db):
    """What every batch of the house needs, with the house in the database."""
    return built
