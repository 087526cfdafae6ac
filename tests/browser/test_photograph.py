"""A photo of the strands, from a phone in a kitchen: sent, measured, judged strand by strand."""

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from statistics import fmean

import pytest
from django.core.files.storage import FileSystemStorage
from django.db import connection
from django.http import HttpResponse
from playwright.sync_api import expect

from assessments.actions import measure_photograph
from assessments.actions.log_batch import record_readings
from assessments.calculations.measuring import measure
from assessments.calculations.measuring.pictures import MAX_FILE_MB
from assessments.models import Batch, Photograph, ReadingSet
from assessments.pages import batches
from tests import factories
from tests.assessments.measuring.scenes import Scene, render

ROOT = Path(__file__).parents[2]
PATIENCE_MS = 90_000
STRANDS = 12


@pytest.fixture
def batch(house):
    """Return an open batch whose sheet is measured and whose strands are not chosen yet."""
    batch = factories.BatchFactory(
        cook=house.cook, branch=house.branch, standard=house.standard, strands_expected=None
    )
    record_readings(batch, ReadingSet.Quantity.THICKNESS, factories.GOOD_GRID_MM, by=house.cook)
    return batch


@pytest.fixture(scope="module")
def scene(tmp_path_factory):
    """Return a photo of strands of the house standard's style, and the truth about it."""
    data, truth = render(
        Scene(
            seed=7,
            size=(2592, 1944),
            count=STRANDS,
            width_mm=3.2,
            thickness_mm=3.0,
            gap_mm=(2.0, 5.0),
        )
    )
    path = tmp_path_factory.mktemp("photo") / "strands.jpg"
    path.write_bytes(data)
    return path, truth


@pytest.fixture
def fake_measuring(monkeypatch):
    """Let every photo show the same twenty strands, at once."""
    monkeypatch.setattr(
        measure, "measure_strands", lambda *_args, **_options: factories.photo_reading()
    )


@pytest.fixture
def photo_file(tmp_path):
    path = tmp_path / "strands.jpg"
    path.write_bytes(factories.photo_bytes())
    return path


@pytest.fixture
def shared_folder(monkeypatch, tmp_path):
    """Keep photographs in a folder, where a worker beside the site finds them."""
    for name in ("original", "rendition", "thumbnail"):
        field = Photograph._meta.get_field(name)
        monkeypatch.setattr(field, "storage", FileSystemStorage(tmp_path, base_url=None))
    return tmp_path


class Worker:
    """``manage.py db_worker`` as a process of its own, beside the site."""

    def __init__(self, photographs):
        environment = {
            **os.environ,
            "DATABASE_URL": database_url(),
            "DJANGO_SETTINGS_MODULE": "training.settings",
            "PHOTOGRAPHS_ROOT": str(photographs),
            "SECRET_KEY": "only-for-tests",
            "TASKS": "database",
        }
        command = [sys.executable, "manage.py", "db_worker", "--interval", "0.1"]
        self.process = subprocess.Popen(
            [*command, "--no-startup-delay", "--no-reload"],
            cwd=ROOT,
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def kill(self):
        """End it as a lack of memory or a power cut does: without a word."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


@pytest.fixture
def start_worker(shared_folder, settings):
    """Return a function that starts a worker; what still runs in the end is stopped."""
    settings.TASKS = {"default": {"BACKEND": settings.TASK_BACKENDS["database"]}}
    workers = []

    def start():
        workers.append(Worker(shared_folder))
        return workers[-1]

    yield start
    for worker in workers:
        worker.kill()


def database_url():
    """Return the address of the test database, for another process."""
    settings = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{settings['NAME']}"
    who = f"{settings['USER']}:{settings['PASSWORD']}" if settings["PASSWORD"] else settings["USER"]
    host = f"{settings['HOST']}:{settings['PORT']}" if settings["PORT"] else settings["HOST"]
    return f"postgres://{who}@{host}/{settings['NAME']}"


def cut_address(batch):
    return f"/batches/{batch.pk}/stages/{batch.stages.get(kind='cut').position}/"


def choose_strands(batch, total=60):
    Batch.objects.filter(pk=batch.pk).update(strands_expected=total)


def wait_for(condition, timeout_s=60):
    """Wait until ``condition`` holds."""
    end = time.monotonic() + timeout_s
    while not condition():
        assert time.monotonic() < end
        time.sleep(0.05)


def is_in(state):
    return lambda: Photograph.objects.filter(state=state).exists()


def widths_of(batch):
    readings = batch.reading_sets.current().get(quantity=ReadingSet.Quantity.WIDTH)
    return readings, readings.array.tolist()


def test_from_a_photo_to_the_score_with_the_worker_killed_on_the_way(
    context_of, house, batch, scene, shared_folder, start_worker, monkeypatch
):
    path, truth = scene
    page = context_of(house.cook).new_page()
    page.goto(cut_address(batch))
    page.get_by_label("How many strands will this sheet give").fill(str(STRANDS))
    page.get_by_role("button", name="Choose the strands").click()
    expect(page.locator(".chosen li")).to_have_count(STRANDS)
    page.get_by_label("Take a photo").set_input_files(path)
    expect(page.get_by_role("heading", name="Your photo has arrived")).to_be_visible()
    expect(page.get_by_text("Waiting for its turn")).to_be_visible()

    # The first worker takes the photo and then reads a file that has no end.
    original = shared_folder / Photograph.objects.get().original.name
    aside = original.rename(original.with_suffix(".aside"))
    os.mkfifo(original)
    worker = start_worker()
    wait_for(is_in("measuring"))
    worker.kill()
    aside.replace(original)
    assert Photograph.objects.get().state == "measuring"
    assert not batch.reading_sets.filter(quantity=ReadingSet.Quantity.WIDTH).exists()
    expect(page.get_by_text("Measuring every strand")).to_be_visible()

    # The page asks again and again; once the worker has been silent for too long, this puts the
    # photo back in the queue. Two minutes have to pass, which the test does not wait for.
    with monkeypatch.context() as patch:
        patch.setattr(measure_photograph, "MEASURING_LIMIT_S", 0)
        wait_for(is_in("waiting"))
    start_worker()
    expect(page.get_by_role("heading", name="Strand by strand")).to_be_visible(timeout=PATIENCE_MS)
    photograph = Photograph.objects.get()
    assert photograph.attempts == 2
    readings, widths_mm = widths_of(batch)
    assert readings.revision == 1
    assert len(widths_mm) == STRANDS
    true_mm = [strand["mean_width_mm"] for strand in truth["strands"]]
    # How well they are measured is tested elsewhere: here, that these are this photo's strands.
    assert fmean(widths_mm) == pytest.approx(fmean(true_mm), abs=0.1)

    page.get_by_role("link", name="Go on with the cut").click()
    expect(page.get_by_role("link", name=re.compile("Photo 1"))).to_contain_text(
        f"{STRANDS} widths"
    )
    page.get_by_role("button", name="Done, go on").click()
    expect(page.get_by_role("heading", name="Boil", exact=True)).to_be_visible()
    page.goto(f"/batches/{batch.pk}/")
    page.get_by_role("button", name="Finish and see the result").click()
    shown = page.get_by_label("Score").locator(".figure").inner_text()
    batch = Batch.objects.select_related("score").get()
    assert batch.score.width_n == STRANDS
    assert int(re.match(r"\d+", shown)[0]) == round(batch.score.score)
    page.get_by_role("link", name="Photo 1 of the strands").click()
    expect(page.get_by_role("heading", name="Strand by strand")).to_be_visible()


def test_a_broken_upload_goes_again_when_there_is_a_signal(
    context_of, house, batch, photo_file, fake_measuring, troubles
):
    choose_strands(batch)
    context = context_of(house.cook)
    page = context.new_page()
    page.goto(cut_address(batch))
    context.set_offline(True)
    page.get_by_label("Take a photo").set_input_files(photo_file)
    expect(page.get_by_text("The connection broke. strands.jpg is kept here")).to_be_visible()
    expect(page.get_by_role("button", name="Try again")).to_be_visible()
    assert not Photograph.objects.exists()
    context.set_offline(False)
    expect(page.get_by_role("heading", name="Strand by strand")).to_be_visible()
    assert Photograph.objects.get().state == "measured"
    troubles[:] = [trouble for trouble in troubles if "ERR_INTERNET_DISCONNECTED" not in trouble]


def test_an_answer_that_was_lost_makes_no_second_photo(
    context_of, house, batch, photo_file, fake_measuring, monkeypatch, troubles
):
    """The site has the photo, but a proxy between loses the answer: the next try is the same."""
    choose_strands(batch)
    keep = batches.ANSWERS["photo"]
    answers = []

    def lose_the_first_answer(request, sheet):
        answers.append(keep(request, sheet))
        return HttpResponse(status=502) if len(answers) == 1 else answers[-1]

    monkeypatch.setitem(batches.ANSWERS, "photo", lose_the_first_answer)
    page = context_of(house.cook).new_page()
    page.goto(cut_address(batch))
    page.get_by_label("Choose a photo").set_input_files(photo_file)
    expect(page.get_by_text("The site had a fault")).to_be_visible()
    assert Photograph.objects.count() == 1
    page.get_by_role("button", name="Try again").click()
    expect(page.get_by_role("heading", name="Strand by strand")).to_be_visible()
    assert len(answers) == 2
    assert Photograph.objects.count() == 1
    troubles[:] = [trouble for trouble in troubles if "502" not in trouble]


def test_a_file_that_is_no_photo_is_refused_where_it_was_chosen(
    context_of, house, batch, tmp_path, photo_file, fake_measuring
):
    choose_strands(batch)
    page = context_of(house.cook).new_page()
    page.goto(cut_address(batch))
    field = page.locator("#photo_errors")
    wrong = tmp_path / "recipe.jpg"
    wrong.write_text("Flour, water, salt.")
    page.get_by_label("Choose a photo").set_input_files(wrong)
    expect(field).to_contain_text("This file is not a picture.")
    huge = tmp_path / "huge.jpg"
    with huge.open("wb") as file:
        file.truncate(int(1e6 * MAX_FILE_MB) + 1)
    page.get_by_label("Choose a photo").set_input_files(huge)
    expect(field).to_contain_text("This file is too large.")
    assert not Photograph.objects.exists()
    page.get_by_label("Choose a photo").set_input_files(photo_file)
    expect(page.get_by_role("heading", name="Strand by strand")).to_be_visible()


def middle_of(page, number):
    """Return where on the screen the middle of a strand is."""
    box = page.locator(f'.shape[data-strand="{number}"] .line').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_strand_is_picked_with_a_finger_and_left_out(context_of, house, batch):
    choose_strands(batch)
    photograph = factories.photographed(batch)
    page = context_of(house.cook).new_page()
    page.goto(f"/photographs/{photograph.pk}/")
    picture = page.locator("svg[role=img]")
    picture.scroll_into_view_if_needed()
    # Beside the strand, as fingers are.
    x, y = middle_of(page, 7)
    page.touchscreen.tap(x + 20, y + 1.5)
    row = page.locator("#strand-7")
    expect(row).to_have_attribute("open", "")
    expect(page.locator("details[data-strand][open]")).to_have_count(1)
    expect(page.locator(".shape.is-chosen")).to_have_attribute("data-strand", "7")
    # What was picked is to be seen, below the picture that stays where it is.
    expect(row.locator("summary")).to_be_in_viewport(ratio=1)
    page.wait_for_timeout(500)  # until the page has come to rest
    part = page.locator(".frame-part").bounding_box()
    assert 0 <= part["y"] <= picture.bounding_box()["y"]
    assert part["y"] + part["height"] <= row.locator("summary").bounding_box()["y"]

    page.get_by_role("button", name="Make the photo larger").click()
    page.get_by_role("button", name="Make the photo larger").click()
    expect(page.get_by_role("button", name="Make the photo larger")).to_be_disabled()
    page.touchscreen.tap(*middle_of(page, 8))
    expect(page.locator(".shape.is-chosen")).to_have_attribute("data-strand", "8")

    row = page.locator("#strand-8")
    row.get_by_label("Why?").select_option(label="torn")
    row.get_by_role("button", name="Leave strand 8 out").click()
    expect(page.get_by_text("Left out: 1 of 20 strands measured.")).to_be_visible()
    # The page comes back to the row that was judged.
    expect(page.locator("#strand-8")).to_have_attribute("open", "")
    expect(page.locator("#strand-8")).to_be_in_viewport()
    page.get_by_role("button", name="Let it count again").click()
    expect(page.get_by_text("Left out: 1 of 20")).to_have_count(0)
    assert not photograph.left_out.active().exists()


def test_all_of_it_without_script(context_of, house, batch, photo_file, fake_measuring):
    choose_strands(batch)
    page = context_of(house.cook, java_script_enabled=False).new_page()
    page.goto(cut_address(batch))
    page.get_by_label("Choose a photo").set_input_files(photo_file)
    page.get_by_role("button", name="Send the photo").click()
    expect(page.get_by_role("heading", name="Strand by strand")).to_be_visible()
    page.locator("#strand-3 summary").click()
    page.locator("#strand-3").get_by_label("Why?").select_option("torn")
    page.get_by_role("button", name="Leave strand 3 out").click()
    expect(page.get_by_text("Left out: 1 of 20 strands measured.")).to_be_visible()
    page.get_by_role("link", name="Go on with the cut").click()
    expect(page.get_by_text("19", exact=True)).to_be_visible()
    _readings, widths_mm = widths_of(batch)
    assert len(widths_mm) == 19


def test_a_photo_that_waits_loads_itself_again_without_script(context_of, house, batch):
    choose_strands(batch)
    photograph = factories.photographed(batch)
    Photograph.objects.update(state="waiting", result=None)
    page = context_of(house.cook, java_script_enabled=False).new_page()
    page.goto(f"/photographs/{photograph.pk}/")
    expect(page.get_by_text("Waiting for its turn")).to_be_visible()
    Photograph.objects.update(state="failed")
    expect(page.get_by_role("button", name="Measure again")).to_be_visible()
