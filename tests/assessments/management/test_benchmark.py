"""``manage.py benchmark`` prints every measure beside its floor. Nothing is timed here."""

import io
import math
import os
import subprocess
import sys
from contextlib import nullcontext
from pathlib import Path

import numpy as np
import pytest
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.models import Q
from django.test.utils import CaptureQueriesContext

from assessments.benchmark import agreement
from assessments.benchmark.database import COOK
from assessments.benchmark.drawing import measure_drawing
from assessments.benchmark.measures import Measure, Run, side_by_side, table
from assessments.benchmark.operating_characteristic import EXPECTED, LOOKS, batches_until_shown
from assessments.benchmark.pages import measure_pages, site_without_files
from assessments.benchmark.patterns import measure_all_findings, measure_findings
from assessments.benchmark.photos import LARGE_PX, MOST_MB, PHOTO, photo_costs, write_large
from assessments.benchmark.scoring import measure_one_batch, measure_one_cook
from assessments.benchmark.simulations import SIMULATIONS
from assessments.calculations.measuring.pictures import MAX_MEGAPIXELS, open_picture
from assessments.calculations.patterns import simulation
from assessments.demo_house.histories import HISTORIES
from assessments.management.commands import benchmark as command
from assessments.models import Batch, Practice
from training.models import User

ROOT = Path(__file__).parents[3]
PAGES = [
    "empty signed-in page",
    "trainee's home",
    "module",
    "result of a batch",
    "evidence of a cook",
    "readiness board",
]
# How a line of each simulation's first table begins, and how many figures follow.
FIRST_LINES = {
    "cooks": ("0.925 ", 4),
    "made-batches": ("width drift ", 7),
    "learners": ("4 ", 11),
    "chart-batches": ("0.7 ", 9),
    "comparisons": ("usual ", 11),
}
NOTHING = {one.option.replace("-", "_"): 0 for one in SIMULATIONS}


@pytest.fixture(scope="module")
def costs():
    """What photos cost; measured once, in seconds."""
    return photo_costs(1)


def printed(**sizes):
    """Return the lines that the command prints with these sizes, and 0 for all others."""
    out = io.StringIO()
    call_command("benchmark", stdout=out, **(NOTHING | sizes))
    return out.getvalue().splitlines()


def test_pages_have_time_queries_and_bytes(bench):
    with site_without_files():
        measures = measure_pages(1)
    assert [measure.name for measure in measures] == PAGES
    for measure in measures:
        assert measure.ms > 0
        assert measure.floor_ms > 0
        assert 0 < measure.queries <= 12, measure
    assert all(measure.gzip_bytes > 500 for measure in measures[1:])


def test_drawing_has_a_floor_of_empty_pictures(bench):
    cook = User.objects.get(username=COOK)
    cache.set("of-the-house", "kept")
    with site_without_files():
        measure = measure_drawing(cook, 1)
    assert measure.ratio > 1
    assert cache.get("of-the-house") == "kept"


def test_scoring_has_a_floor_of_the_same_numbers(bench):
    cook = User.objects.get(username=COOK)
    one_batch, one_cook = measure_one_batch(cook, 1), measure_one_cook(cook, 1)
    assert "29 lengths" in one_batch.name
    assert "300 batches" in one_cook.name
    assert one_batch.ratio > 1
    assert one_cook.ratio > 1


def test_patterns_have_a_floor_of_the_same_numbers(bench, monkeypatch):
    cook = User.objects.get(username=COOK)
    usual, slowest = measure_findings(cook, 1)
    assert min(usual.ratio, slowest.ratio) > 10
    with CaptureQueriesContext(connection) as few:
        assert measure_all_findings(cook, 1).ratio > 10
    monkeypatch.setattr("assessments.benchmark.patterns.COOK_BATCHES", 3)
    with CaptureQueriesContext(connection) as fewer:
        measure_all_findings(cook, 1)
    assert len(few) == len(fewer)


def test_the_command_measures_the_house_and_twice_its_data(bench, costs, monkeypatch):
    """The house and the photos are those of the other tests: both take long to make."""
    monkeypatch.setattr(command, "temporary_database", nullcontext)
    monkeypatch.setattr(command, "build_house", lambda: bench)
    monkeypatch.setattr(command, "photo_costs", lambda _requests: costs)
    of_histories = Q(person__username__in=[history.username for history in HISTORIES])
    practices, copied = Practice.objects.count(), Practice.objects.filter(of_histories).count()
    batches = Batch.objects.filter(cook__practices__in=Practice.objects.filter(of_histories))
    more = batches.distinct().count()
    cook = User.objects.get(username=COOK)
    own = Batch.objects.finished().filter(cook=cook, style__slug="thick-wheat").count()
    before = Batch.objects.count()
    lines = printed(factor=2, requests=1, cooks=3)
    assert Practice.objects.count() == practices + copied
    assert Batch.objects.count() == before + more + own
    measures = [
        *PAGES,
        "draw a chart",
        "score one batch (29 lengths)",
        "score one cook (300 batches)",
        "find patterns (29 lengths)",
        "find patterns (slowest of 15 hard ones)",
        "patterns of one cook (up to 100 batches)",
    ]
    for name in measures:
        (line,) = (line for line in lines if line.startswith(f"{name}  "))
        figures = line.removeprefix(name).split()
        # More data costs no more queries, the fourth column of either run; but a page that finds
        # something to tell may ask for the step that mends it.
        few, many = figures[3], figures[8]
        assert few == many or int(many) <= min(int(few) + 1, 12), line
    assert any(line.startswith("measure a photo (12 megapixels): ") for line in lines)
    assert any("50 megapixels: " in line for line in lines)
    shares = [line.split()[:1] for line in lines]
    assert all([f"{share:g}"] in shares for share in EXPECTED)
    # What is given no size is left out.
    assert not any("assessors" in line for line in lines)


def test_the_database_of_the_house_is_left_alone(tmp_path):
    own = tmp_path / "own.sqlite3"
    script = """
import django
django.setup()
from django.db import connection
# The tables alone: other tests run the migrations.
connection.settings_dict["TEST"]["MIGRATE"] = False
from assessments.benchmark.database import temporary_database
from training.models import Branch
with temporary_database():
    Branch.objects.create(name="Elsewhere", slug="elsewhere")
    print(Branch.objects.count())
"""
    result = subprocess.run(
        [sys.executable, "-c", script],
        cwd=ROOT,
        env={
            **os.environ,
            "DATABASE_URL": f"sqlite:///{own}",
            "SECRET_KEY": "only-for-tests",
            "DJANGO_SETTINGS_MODULE": "training.settings",
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert result.returncode == 0, result.stderr
    assert result.stdout.split() == ["1"]
    assert not own.exists() or own.stat().st_size == 0


@pytest.mark.parametrize("one", SIMULATIONS, ids=[one.option for one in SIMULATIONS])
def test_a_simulation_prints_a_table_and_counts_its_steps(one, monkeypatch):
    monkeypatch.setattr(simulation, "POWERS", simulation.POWERS[:2])
    monkeypatch.setattr(agreement, "KITCHENS", {"usual": agreement.KITCHENS["usual"]})
    steps = []
    lines = one.run(4, lambda: steps.append(1)).splitlines()
    assert len(steps) == one.steps(4)
    assert all(len(line) <= 88 for line in lines[: lines.index("")])
    name, figures = FIRST_LINES[one.option]
    line = next(line for line in lines if line.startswith(name))
    told = line.removeprefix(name).split()
    assert len(told) == figures, line
    for figure in told:
        assert figure in ("-", "to") or math.isfinite(float(figure)), line


# The figures of the rule's specification come from a simulation of its own, with other code and
# other random numbers.
@pytest.mark.parametrize("share", [0.80, 0.925, 0.95, 0.97])
def test_the_rule_has_the_stated_operating_characteristic(share):
    cooks = 300
    rng = np.random.default_rng(5)
    shown_at = [batches_until_shown(share, rng) for _ in range(cooks)]
    for looks, expected in zip(LOOKS, EXPECTED[share], strict=True):
        found = sum(at <= looks for at in shown_at) / cooks
        error = math.sqrt(max(expected * (1 - expected), 0.004) / cooks)
        assert found == pytest.approx(expected, abs=4 * error)


def test_a_cook_who_is_far_off_is_never_shown():
    rng = np.random.default_rng(6)
    assert {batches_until_shown(0.5, rng) for _ in range(20)} == {max(LOOKS) + 1}


def test_measuring_a_photo_has_a_floor_of_the_same_photo(costs):
    height, width = open_picture(PHOTO.read_bytes()).pixels.shape[:2]
    assert (width, height) == (4000, 3000)
    assert costs.time.ratio > 1
    assert "12 megapixels" in costs.time.name


def test_a_photo_is_measured_in_the_memory_of_a_small_server(costs):
    """A figure that does not hang on what else the machine does, so a limit is held to here."""
    assert 50 < costs.peak_mb < MOST_MB


def test_the_large_photo_is_about_the_largest_that_is_read(tmp_path):
    write_large(tmp_path / "large.jpg")
    height, width = open_picture((tmp_path / "large.jpg").read_bytes()).pixels.shape[:2]
    assert (width, height) == LARGE_PX
    assert 0.98 * MAX_MEGAPIXELS < width * height / 1e6 <= MAX_MEGAPIXELS


def test_columns_are_aligned():
    runs = [
        Run("1x", [Measure("page", 12.0, 2.0, 7, 5120), Measure("score", 0.5, 0.01)]),
        Run("10x", [Measure("page", 14.0, 2.0, 7, 6120), Measure("score", 0.5, 0.01)]),
    ]
    lines = side_by_side(runs).splitlines()
    assert len(lines) == 3
    assert len({len(line) for line in lines}) == 1
    assert lines[1].split()[1:6] == ["12.0", "2.00", "6.0", "7", "5120"]
    assert lines[1].split()[6:] == ["14.0", "2.00", "7.0", "7", "6120"]
    assert lines[2].split()[-2:] == ["-", "-"]


def test_a_table_keeps_every_text():
    assert table([["a", "b"], ["long", "1"]]) == "a     b\nlong  1"


@pytest.mark.parametrize("options", [{"factor": 1}, {"requests": -1}, {"learners": -1}])
def test_settings_that_measure_nothing_are_refused(options):
    with pytest.raises(CommandError, match="at least"):
        call_command("benchmark", **options)
