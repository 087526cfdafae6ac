"""What the tests of the technique pages share."""

import pytest

from tests.training import module_bodies


@pytest.fixture
def module(house):
    """A published module with steps, cautions, faults and questions."""
    return module_bodies.write_module(house.cutting)


@pytest.fixture
def reader(client, house):
    """A browser in which the cook is signed in."""
    client.force_login(house.cook)
    return client
