"""The demo is always the same, on whichever day it is built."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from assessments.demo_house.build import build_house
from assessments.models import ReadingSet, Score


def numbers_of_the_house():
    """Return every reading and score with its cook and style, in the order of the batches."""
    readings = ReadingSet.objects.order_by(
        "batch__cook__username", "batch__style__slug", "batch__opened_at", "quantity"
    ).values_list("batch__cook__username", "batch__style__slug", "quantity", "values", "positions")
    scores = Score.objects.order_by(
        "batch__cook__username", "batch__style__slug", "batch__opened_at"
    ).values_list("batch__cook__username", "score", "width_points")
    return [tuple(map(str, row)) for row in readings], list(scores)


@pytest.mark.django_db
def test_the_numbers_do_not_depend_on_the_day():
    now = timezone.now()
    with transaction.atomic():
        build_house(now=now)
        first = numbers_of_the_house()
        transaction.set_rollback(True)
    build_house(now=now - timedelta(days=137, hours=9))
    assert numbers_of_the_house() == first
