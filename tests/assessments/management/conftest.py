"""The demo house, as the tests beside its builder have it."""

from tests.assessments.demo_house.conftest import bench, built

__all__ = ["bench", "built"]
