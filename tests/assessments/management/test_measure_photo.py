"""``manage.py measure_photo``: what it prints, and what it makes of files that are no photos."""

import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import cv2
import pytest
from django.core.management import CommandError, call_command

from assessments.calculations.measuring.refusals import Reason
from assessments.management import photo_files
from assessments.management.commands.measure_photo import orders_for
from assessments.management.photo_files import FAILED, Order, measure_file, measure_files
from tests.assessments.management import failing_photos
from tests.assessments.measuring.photographs import FOLDER

ROOT = Path(__file__).parents[3]
PHOTO = FOLDER / "buckwheat-pale-letter-card-soft-light.jpg"
TOUCHING = FOLDER / "alkaline-thin-touching-and-crossing.jpg"
HEAPED = FOLDER / "refused-heaped.jpg"


def run(*photos, **options):
    """Return what the command prints, and its exit code."""
    out, err = io.StringIO(), io.StringIO()
    code = 0
    try:
        call_command(
            "measure_photo", *(str(photo) for photo in photos), stdout=out, stderr=err, **options
        )
    except SystemExit as end:
        code = end.code
    return out.getvalue(), err.getvalue(), code


def test_json_is_one_object_with_a_photo_to_a_name():
    out, _err, code = run(PHOTO, TOUCHING, HEAPED, as_json=True, thickness=1.5)
    found = json.loads(out)
    assert code == 0
    assert list(found) == [PHOTO.name, TOUCHING.name, HEAPED.name]
    assert found[HEAPED.name]["rejected"] == Reason.HEAPED
    assert "side by side" in found[HEAPED.name]["message"]
    assert set(found[HEAPED.name]) == {"rejected", "message"}
    photo = found[PHOTO.name]
    assert {"thickness_mm", "camera", "verdict", "remarks", "strands", "left"} <= set(photo)
    assert photo["thickness_mm"] == 1.5
    assert photo["verdict"] == "good"
    assert photo["card"] == "Letter"
    truth = json.loads(PHOTO.with_suffix(".json").read_text())
    assert len(photo["strands"]) == len(truth["strands"])
    mean = sum(strand["width_mm"] for strand in photo["strands"]) / len(photo["strands"])
    assert mean == pytest.approx(truth["batch"]["mean_width_mm"], abs=0.05)
    for number, strand in enumerate(photo["strands"], start=1):
        assert strand["number"] == number
        assert len(strand["centre"]) == 2
        assert 0 < strand["random_mm"] < strand["u_mm"] < 0.1
        assert {"direction_deg", "length_mm", "taper_mm", "spread_mm", "flags"} <= set(strand)
    touching = found[TOUCHING.name]
    assert touching["left"]
    assert all(strand["flags"] and "width_mm" not in strand for strand in touching["left"])
    assert all(strand["width_mm"] for strand in touching["strands"])
    numbers = [strand["number"] for strand in touching["strands"] + touching["left"]]
    assert sorted(numbers) == list(range(1, len(numbers) + 1))


def test_a_table_for_people():
    out, _err, code = run(PHOTO, HEAPED)
    assert code == 0
    assert out.startswith(f"{PHOTO.name}: Letter card, ")
    assert "2 mm were taken. Give it with --thickness" in out
    assert "21 strands measured: mean 1." in out
    lines = out.splitlines()
    head = next(line for line in lines if line.startswith("strand "))
    assert head.split() == ["strand", "width", "mm", "u", "mm", "taper", "mm", "spread", "mm",
                            "length", "mm"]  # fmt: skip
    assert sum(line.split()[:1] == ["7"] for line in lines) == 1
    assert f"{HEAPED.name}: The strands lie on one another." in out


def test_a_strand_without_a_width_says_why_in_the_table():
    out, _err, _code = run(TOUCHING, thickness=1.5)
    assert "touches another strand" in out
    assert "Some strands could not be measured" in out


def test_the_bar_puts_the_scale_right():
    usual, large = (
        json.loads(run(PHOTO, as_json=True, thickness=1.5, bar=bar)[0])[PHOTO.name]["strands"]
        for bar in (None, 103.0)
    )
    for one, other in zip(usual, large, strict=True):
        assert other["width_mm"] / one["width_mm"] == pytest.approx(1.03, abs=0.01)


@pytest.mark.parametrize("as_json", [True, False])
def test_files_that_cannot_be_read_have_a_message_each_and_end_with_1(tmp_path, as_json):
    text = tmp_path / "text.jpg"
    text.write_text("no picture")
    closed = tmp_path / "pipe.jpg"
    os.mkfifo(closed)
    out, _err, code = run(PHOTO, tmp_path, tmp_path / "none.jpg", closed, text, as_json=as_json)
    assert code == 1
    assert f"There is no file {tmp_path / 'none.jpg'}." in out
    assert f"{tmp_path} is a folder." in out
    assert f"{closed} cannot be read: not a file." in out
    assert "This file is not a picture." in out
    if as_json:
        found = json.loads(out)
        codes = [found[name].get("rejected") for name in found]
        assert codes == [None, "folder", "missing", "unreadable", "not_a_picture"]


def test_a_photo_that_is_refused_is_no_failure(tmp_path):
    text = tmp_path / "text.jpg"
    text.write_text("no picture")
    assert run(text)[2] == 0
    assert run(HEAPED)[2] == 0


def test_a_huge_file_is_refused_without_being_read(tmp_path):
    huge = tmp_path / "huge.jpg"
    with huge.open("wb") as file:
        file.truncate(200_000_000)
    outcome = measure_file(Order("huge.jpg", huge))
    assert outcome.rejected == Reason.FILE_TOO_LARGE
    assert "It has 200 MB; 40 MB are the most." in run(huge)[0]


def test_photos_of_the_same_name_keep_their_path(tmp_path):
    (tmp_path / "other").mkdir()
    twin = tmp_path / "other" / HEAPED.name
    shutil.copy(HEAPED, twin)
    found = json.loads(run(HEAPED, twin, HEAPED, as_json=True)[0])
    assert list(found) == [str(HEAPED), str(twin)]


def test_each_annotated_picture_has_a_name_of_its_own(tmp_path):
    orders = orders_for(["a/x.jpg", "b/x.jpg", "x.png", "y.jpg"], None, None, tmp_path)
    assert [order.name for order in orders] == ["a/x.jpg", "b/x.jpg", "x.png", "y.jpg"]
    names = [order.annotated.name for order in orders]
    assert names == ["x.annotated.jpg", "x-2.annotated.jpg", "x-3.annotated.jpg", "y.annotated.jpg"]


def test_annotated_pictures_are_written_into_a_folder_made_for_them(tmp_path):
    folder = tmp_path / "new" / "folder"
    run(PHOTO, HEAPED, annotate=folder, thickness=1.5)
    assert [path.name for path in folder.iterdir()] == [f"{PHOTO.stem}.annotated.jpg"]
    drawn = cv2.imread(str(folder / f"{PHOTO.stem}.annotated.jpg"))
    assert drawn.shape == (1600, 1200, 3)  # upright: the photo has orientation 8


def test_a_picture_that_cannot_be_written_keeps_its_numbers(tmp_path):
    (tmp_path / f"{PHOTO.stem}.annotated.jpg").mkdir()
    out, err, code = run(PHOTO, annotate=tmp_path, thickness=1.5)
    assert "21 strands measured" in out
    assert "cannot be written" in err
    assert code == 1


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"thickness": 0.0}, "--thickness must be above 0 and at most 20 mm, not 0"),
        ({"thickness": 25.0}, "--thickness must be above 0"),
        ({"thickness": float("nan")}, "--thickness must be above 0"),
        ({"bar": 80.0}, "--bar must be 90 to 110 mm, not 80"),
        ({"annotate": PHOTO}, "is a file. Name a folder"),
        ({"annotate": Path("/proc/none/there")}, "cannot be made"),
    ],
)
def test_options_that_cannot_be_are_refused(options, message):
    with pytest.raises(CommandError, match=message):
        call_command("measure_photo", str(PHOTO), **options)


def test_a_process_that_dies_costs_its_own_photo_only(tmp_path, monkeypatch):
    monkeypatch.setattr(photo_files, "measure_file", failing_photos.measure_file)
    monkeypatch.setattr(photo_files, "cores", lambda: 2)
    names = ["one.jpg", "kill.jpg", "two.jpg", "memory.jpg"]
    for name in names:
        shutil.copy(PHOTO, tmp_path / name)
    outcomes = measure_files([Order(name, tmp_path / name) for name in names])
    found = {outcome.order.name: outcome for outcome in outcomes}
    assert set(found) == set(names)
    assert (found["kill.jpg"].rejected, found["kill.jpg"].why) == (FAILED, "BrokenProcessPool")
    assert (found["memory.jpg"].rejected, found["memory.jpg"].why) == (FAILED, "MemoryError")
    for name in ("one.jpg", "two.jpg"):
        assert len(found[name].reading.measured) == 21


def test_a_failed_photo_is_told_and_ends_with_1(tmp_path, monkeypatch):
    monkeypatch.setattr(photo_files, "measure_file", failing_photos.measure_file)
    photo = tmp_path / "memory.jpg"
    shutil.copy(PHOTO, photo)
    out, _err, code = run(photo, as_json=True)
    assert code == 1
    told = json.loads(out)["memory.jpg"]
    assert told["rejected"] == "failed"
    assert "Measuring this photo failed (MemoryError)." in told["message"]


def test_it_works_without_a_database_and_from_anywhere(tmp_path):
    result = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "measure_photo", str(PHOTO), "--json",
         "--thickness", "1.5"],
        cwd=tmp_path,
        env={
            **os.environ,
            "DATABASE_URL": "postgres://nobody@127.0.0.1:1/none",
            "SECRET_KEY": "only-for-tests",
        },
        capture_output=True,
        text=True,
        check=False,
    )  # fmt: skip
    assert result.returncode == 0, result.stderr
    assert len(json.loads(result.stdout)[PHOTO.name]["strands"]) == 21
    assert result.stderr == ""
