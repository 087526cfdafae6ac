"""For every pattern there is a cook whose last batch shows it, and is told so first."""

import pytest

from assessments.demo_house.faults import FAULTY
from assessments.models import Batch


@pytest.mark.django_db
def test_the_last_batch_of_each_cook_names_its_pattern_first(bench, client):
    wrong = {}
    for cook in FAULTY:
        batch = Batch.objects.finished().filter(cook__username=cook.username).newest_first()[0]
        found = list(batch.found.order_by("place").values_list("part", "kind", "direction"))
        if found[:1] != [(cook.part, cook.kind, cook.direction)]:
            wrong[cook.username] = found
    assert wrong == {}
