"""No page's cost grows with what the house holds: as many queries with ten times the rows."""

from datetime import timedelta

import pytest
from django.contrib.contenttypes.models import ContentType
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from assessments.actions.evidence import refresh_practices
from assessments.charts import drawing
from assessments.models import BlindLook, CalibrationSet, SecondLook
from tests import factories
from tests.addresses import QUESTION, address, fill, write_module
from tests.test_permissions import TABLE, VIEWERS

MOST = 12


def grow(house, times):
    """Add ``times`` of everything that a page may list."""
    standards = [factories.StandardFactory() for _n in range(times)]
    for n, standard in enumerate(standards):
        day = timezone.localdate() - timedelta(days=n)
        made = {"branch": house.branch, "made_on": day}
        # More batches of the cook, more cooks beside them, more branches, styles and stations.
        batch = factories.finished_batch(cook=house.cook, standard=house.standard, **made)
        factories.seen_by_two(house.practice, batch, {house.chef: 2, house.chef_who_trains: 1})
        BlindLook.objects.create(batch=batch, assessor=house.chef, evenness=1)
        factories.BatchFactory(cook=house.cook, standard=house.standard, **made)
        colleague = factories.trainee(house.branch)
        batch = factories.finished_batch(cook=colleague, standard=house.standard, **made)
        SecondLook.objects.create(batch=batch, first=house.chef, second=house.chef_who_trains)
        station = factories.StationFactory()
        for person in (house.cook, colleague):
            practice = factories.PracticeFactory(
                person=person, branch=house.branch, style=house.style, station=station
            )
            factories.ObservationFactory(practice=practice, observer=house.chef)
        factories.PracticeFactory(
            person=house.cook, branch=house.branch, style=standard.style, station=house.cutting
        )
        factories.ObservationFactory(practice=house.practice, observer=house.chef)
        other = factories.BranchFactory()
        factories.head_chef(other)
        factories.PracticeFactory(
            person=factories.trainee(other), branch=other, style=house.style, station=station
        )
        factories.drill_done(house.cook, house.standard)
        factories.InstrumentFactory()
        CalibrationSet.objects.create(
            title=f"Set {n}", made_by=house.chef, opened_at=timezone.now()
        )
        factories.TrialFactory(branch=house.branch, standard=standard, closed_at=timezone.now())
        factories.BoilTestFactory(style=house.style)
        module = write_module(house.cutting, slug=f"module-{standard.pk}")
        factories.missed_question(house.cook, module, QUESTION)
        refresh_practices(colleague)
    refresh_practices(house.cook)


def queries(client, path):
    """Return the queries of a visit to ``path`` with nothing remembered from an earlier one."""
    cache.clear()
    ContentType.objects.clear_cache()
    with CaptureQueriesContext(connection) as captured:
        assert client.get(path).status_code == 200
    noise = ("SAVEPOINT", "RELEASE", "BEGIN", "COMMIT")
    return [row["sql"] for row in captured.captured_queries if not row["sql"].startswith(noise)]


@pytest.fixture
def undrawn(monkeypatch):
    """Leave out the drawing of charts, which asks the database for nothing and takes long."""
    monkeypatch.setattr(drawing, "_specified", lambda specification, width: {})
    monkeypatch.setattr(drawing, "_inline", lambda spec, **names: "<svg></svg>")


@pytest.mark.usefixtures("undrawn")
@pytest.mark.parametrize("viewer", ["own", "chef", "owner", "editor"])
def test_queries_do_not_grow(client, house, viewer):
    fill(house)
    # As many batches as show a habit: the step that mends it is looked up from then on.
    grow(house, 3)
    client.force_login(getattr(house, VIEWERS[viewer]))
    column = list(VIEWERS).index(viewer)
    pages = [name for name, way, cells in TABLE if way == "GET" and cells.split()[column] == "ok"]
    # The first visit may write, as a score that is seen for the first time does.
    first = {name: queries(client, address(name, house)) for name in pages}
    few = {name: queries(client, address(name, house)) for name in pages}
    grow(house, 9)
    many = {name: queries(client, address(name, house)) for name in pages}
    too_many = {name: found for name, found in first.items() if len(found) > MOST}
    assert too_many == {}
    grown = {name: found for name, found in many.items() if len(found) != len(few[name])}
    assert grown == {}
