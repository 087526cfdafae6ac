import pytest


@pytest.fixture(autouse=True)
def checked_specifications(settings):
    """Have the library check what every chart asks of it, as for a developer."""
    settings.DEBUG = True
