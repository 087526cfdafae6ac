"""Drawings that can move and videos of the house, in a real browser."""

import pytest
from django.test.testcases import _MediaFilesHandler
from playwright.sync_api import expect

from tests.training import module_bodies
from tests.training.films import film, uploaded
from training.clips import keep_clip, make_clip_small
from training.models import Clip
from training.videos import take_in

SWITCH = "Show it moving"


@pytest.fixture
def module(house):
    body = [
        module_bodies.step("Fold it"),
        module_bodies.step("Cut it", drawing="cut-tilt"),
        module_bodies.step("Look at it", drawing="roll-points"),
    ]
    return module_bodies.write_module(house.cutting, body=body)


def switch_of(page, title):
    step = page.locator("section", has=page.get_by_role("heading", name=title))
    return step.get_by_label(SWITCH), step.locator(".picture")


# A page without its own script, and the same page with it.
@pytest.mark.parametrize("script", [False, True])
def test_a_drawing_moves_when_asked_and_stops(context_of, house, module, script):
    page = context_of(house.cook, java_script_enabled=script).new_page()
    page.goto(f"{module.address}#cut-fold")
    switch, picture = switch_of(page, "Fold it")
    expect(switch).not_to_be_checked()
    assert page.get_by_label(SWITCH).count() == 2  # the third drawing cannot move
    still = picture.locator("img").first
    assert still.screenshot() == still.screenshot()
    switch.locator("..").tap()
    moving = picture.locator("img.motion")
    expect(moving).to_be_visible()
    expect(still).to_be_hidden()
    seen = set()
    for _n in range(8):
        page.wait_for_timeout(200)
        seen.add(moving.screenshot())
    assert len(seen) > 2
    switch.locator("..").tap()
    expect(moving).to_be_hidden()
    expect(still).to_be_visible()


def test_a_drawing_travels_once_still_or_moving(context_of, house, module):
    page = context_of(house.cook).new_page()
    sent = []
    page.on("request", lambda asked: sent.append(asked.url.split("/")[-1].split("#")[0]))
    page.goto(module.address, wait_until="networkidle")
    page.get_by_role("button", name="Show all on one page").click()
    for title in ("Cut it", "Look at it"):
        page.get_by_role("heading", name=title).scroll_into_view_if_needed()
        page.wait_for_load_state("networkidle")
    assert not page.locator(".motion:visible").count()
    switch_of(page, "Cut it")[0].check()
    moving = page.locator(".motion:visible")
    expect(moving).to_have_count(1)
    page.wait_for_load_state("networkidle")
    address = moving.evaluate("one => one.decode().then(() => one.src)")
    # The name that the files were collected under, and then what makes it move.
    file, mark = address.split("/")[-1].split("#")
    assert mark == "moving"
    assert file.startswith("cut-tilt.")
    assert file != "cut-tilt.svg"
    assert sent.count(file) == 1
    assert sum(name.startswith("cut-fold.") for name in sent) == 1


def test_nothing_moves_for_those_who_do_not_want_it(context_of, house, module):
    page = context_of(house.cook, reduced_motion="reduce").new_page()
    page.goto(module.address, wait_until="networkidle")
    assert page.get_by_label(SWITCH).count() == 2
    for switch in page.get_by_label(SWITCH).all():
        expect(switch).to_be_hidden()
    # Not even where it had been asked for before.
    page.evaluate("document.querySelectorAll('.move input').forEach(one => { one.checked = true })")
    expect(page.locator(".motion:visible")).to_have_count(0)


def test_paper_shows_it_still(context_of, house, module):
    page = context_of(house.cook).new_page()
    page.goto(f"{module.address}#cut-fold")
    switch_of(page, "Fold it")[0].check()
    page.emulate_media(media="print")
    expect(page.locator(".motion:visible")).to_have_count(0)
    expect(page.locator(".still:visible")).to_have_count(3)
    expect(page.locator(".move:visible")).to_have_count(0)


def test_the_switch_is_large_enough_for_a_thumb(context_of, house, module):
    page = context_of(house.cook).new_page()
    page.goto(f"{module.address}#cut-fold")
    box = switch_of(page, "Fold it")[0].locator("..").bounding_box()
    assert box["height"] >= 48
    assert box["width"] >= 48


@pytest.fixture
def video(house, settings, tmp_path, monkeypatch):
    """A module whose step shows a real video, kept in a folder as in production."""
    # The test server would hand out uploads by itself, to anybody and only as a whole.
    monkeypatch.setattr(_MediaFilesHandler, "_should_handle", lambda *_args: False)
    settings.MEDIA_ROOT = tmp_path / "uploads"
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    }
    clip = Clip(title="folding")
    keep_clip(clip, take_in(uploaded(film(tmp_path / "film.mp4", seconds=3, size="640x360"))))
    make_clip_small.call(clip.pk)
    clip.refresh_from_db()
    assert clip.is_ready
    return module_bodies.write_module(
        house.cutting, body=[module_bodies.step("Fold it", drawing="", clip=clip)]
    )


def test_a_video_waits_plays_without_sound_and_begins_anew(context_of, house, video):
    page = context_of(house.cook).new_page()
    fetched = []
    page.on("response", lambda got: fetched.append((got.url.rsplit(".")[-1], got.status)))
    page.goto(f"{video.address}#step-1", wait_until="networkidle")
    shown = page.get_by_label("Two hands fold a sheet.")
    expect(shown).to_be_visible()
    assert shown.evaluate("one => [one.paused, one.muted, one.loop, one.controls]") == [
        *[True, True, True, True]
    ]
    # Its picture is there, the video itself is not.
    assert ("jpg", 200) in fetched
    assert "mp4" not in {suffix for suffix, _status in fetched}
    page.emulate_media(reduced_motion="reduce")
    assert shown.evaluate("one => one.paused")
    decoded = shown.evaluate("one => one.play().then(() => [one.videoWidth, one.videoHeight])")
    assert decoded == [640, 360]
    assert ("mp4", 206) in fetched
    # To any place of it at once, which needs parts of the file.
    place = shown.evaluate(
        "one => new Promise(done => { one.pause(); one.onseeked = () => done(one.currentTime);"
        " one.currentTime = 2 })"
    )
    assert place == pytest.approx(2, abs=0.1)
