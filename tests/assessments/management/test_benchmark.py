"""``manage.py benchmark`` prints every measure beside its floor. Nothing is timed here."""

import math
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from assessments.benchmark.database import COOK, multiply
from assessments.benchmark.measures import Measure, Run, side_by_side, table
from assessments.benchmark.operating_characteristic import EXPECTED, LOOKS, batches_until_shown
from assessments.benchmark.pages import measure_pages, site_without_files
from assessments.benchmark.photos import (
    LARGE_PX,
    MOST_MB,
    PHOTO,
    measure_time,
    peak_mb,
    write_large,
)
from assessments.benchmark.scoring import measure_one_batch, measure_one_cook
from assessments.calculations.measuring.pictures import MAX_MEGAPIXELS, open_picture
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


def test_pages_have_time_queries_and_bytes(bench):
    with site_without_files():
        measures = measure_pages(1)
    assert [measure.name for measure in measures] == PAGES
    for measure in measures:
        assert measure.ms > 0
        assert measure.floor_ms > 0
        assert 0 < measure.queries <= 12, measure
    assert all(measure.gzip_bytes > 500 for measure in measures[1:])


def test_scoring_has_a_floor_of_the_same_numbers(bench):
    cook = User.objects.get(username=COOK)
    one_batch, one_cook = measure_one_batch(cook, 1), measure_one_cook(cook, 1)
    assert "29 lengths" in one_batch.name
    assert "300 batches" in one_cook.name
    assert one_batch.ratio > 1
    assert one_cook.ratio > 1


def test_ten_times_the_data_costs_no_more_queries(bench):
    with site_without_files():
        before = measure_pages(1)
    cook = User.objects.get(username=COOK)
    batches, practices = Batch.objects.count(), Practice.objects.count()
    own = Batch.objects.finished().filter(cook=cook, style__slug="thick-wheat").count()
    steps = []
    multiply(bench, cook, 2, progress=lambda: steps.append(1))
    assert len(steps) == 2
    assert Practice.objects.count() == 2 * practices
    assert Batch.objects.count() == 2 * batches + own
    with site_without_files():
        after = measure_pages(1)
    assert [measure.queries for measure in after] == [measure.queries for measure in before]


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


def test_measuring_a_photo_has_a_floor_of_the_same_photo():
    height, width = open_picture(PHOTO.read_bytes()).pixels.shape[:2]
    assert (width, height) == (4000, 3000)
    measure = measure_time(1)
    assert measure.ratio > 1
    assert "12 megapixels" in measure.name


def test_a_photo_is_measured_in_the_memory_of_a_small_server():
    """A figure that does not hang on what else the machine does, so a limit is held to here."""
    assert 50 < peak_mb(PHOTO) < MOST_MB


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


@pytest.mark.parametrize("options", [{"factor": 1}, {"requests": 0}, {"cooks": 0}])
def test_settings_that_measure_nothing_are_refused(options):
    with pytest.raises(CommandError, match="at least"):
        call_command("benchmark", **options)


def test_the_command_prints_every_measure_and_leaves_the_database_alone(tmp_path):
    own = tmp_path / "own.sqlite3"
    result = subprocess.run(
        [
            *(sys.executable, "manage.py", "benchmark"),
            *("--factor", "2", "--requests", "1", "--cooks", "3"),
        ],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": f"sqlite:///{own}", "SECRET_KEY": "only-for-tests"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert result.returncode == 0, result.stderr
    lines = result.stdout.splitlines()
    for name in [*PAGES, "score one batch (29 lengths)", "score one cook (300 batches)"]:
        assert sum(line.startswith(f"{name}  ") for line in lines) == 1, name
    assert "measure a photo (12 megapixels): " in result.stdout
    assert "50 megapixels: " in result.stdout
    assert "within 2u" in result.stdout
    for share in EXPECTED:
        assert any(line.split()[:1] == [f"{share:g}"] for line in lines), share
    assert not own.exists() or own.stat().st_size == 0
