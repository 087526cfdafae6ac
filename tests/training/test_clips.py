"""Short videos of the house: kept, made small in the background, looked after by editors."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage, storages
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from tests.training import module_bodies
from tests.training.films import film, look_at, uploaded
from training import clips, videos
from training.blocks import ModuleBody
from training.clips import MOST_ATTEMPTS, keep_clip, make_clip_small, pick_up_lost
from training.curriculum_check import counts_of, problems_of, sheet_of_page
from training.groups import create_groups, sync_groups
from training.models import Clip
from training.videos import Reason, VideoError, take_in

State = Clip.State
LATER = timedelta(seconds=clips.LOST_AFTER_S + 1)


@pytest.fixture
def path(tmp_path):
    return film(tmp_path / "film.mp4", sound=True)


@pytest.fixture
def waiting(db, path):
    """A clip that nobody has worked on yet."""
    clip = Clip(title="folding")
    keep_clip(clip, take_in(uploaded(path)))
    return clip


@pytest.fixture
def now(monkeypatch):
    """Let the test say what time it is."""

    class Clock:
        time = timezone.now()

    monkeypatch.setattr(clips.timezone, "now", lambda: Clock.time)
    return Clock


def files_of(clip):
    """Return which of a clip's three files are there: as it came, video, picture."""
    return (
        storages["photographs"].exists(f"clips/{clip.key}"),
        default_storage.exists(f"clips/{clip.key}.mp4"),
        default_storage.exists(f"clips/{clip.key}.jpg"),
    )


def test_a_clip_is_made_small_once_it_is_saved(db, path, django_capture_on_commit_callbacks):
    clip = Clip(title="folding")
    with django_capture_on_commit_callbacks(execute=True):
        keep_clip(clip, take_in(uploaded(path)))
        assert clip.state == State.WAITING
        assert files_of(clip) == (True, False, False)
    clip.refresh_from_db()
    assert (clip.state, clip.width_px, clip.height_px) == (State.READY, 320, 240)
    assert files_of(clip) == (False, True, True)
    assert clip.size_bytes == clip.video.size
    assert str(clip) == "folding"


def test_what_waits_has_no_sound_already(waiting, tmp_path):
    with waiting.source_storage.open(waiting.source_name) as file:
        (stream,), _whole = look_at(file.read(), tmp_path)
    assert stream["codec_type"] == "video"


def test_no_address_leads_to_what_waits(waiting, settings):
    assert waiting.source_storage is storages["photographs"]
    assert settings.PHOTOGRAPHS_ROOT != settings.MEDIA_ROOT
    assert settings.MEDIA_ROOT not in settings.PHOTOGRAPHS_ROOT.parents


def test_delivered_twice_it_works_once(waiting, monkeypatch):
    make_clip_small.call(waiting.pk)
    monkeypatch.setattr(clips, "make_small", None)
    make_clip_small.call(waiting.pk)
    waiting.refresh_from_db()
    assert (waiting.state, waiting.attempts) == (State.READY, 1)


def test_a_clip_that_is_gone_is_no_trouble(waiting):
    pk = waiting.pk
    waiting.delete()
    make_clip_small.call(pk)


class Killed(BaseException):
    """A worker that ends without a word."""


def killed(*_args):
    raise Killed


def work_and_die(pk, monkeypatch):
    with monkeypatch.context() as patch:
        patch.setattr(clips, "make_small", killed)
        with pytest.raises(Killed):
            make_clip_small.call(pk)


def test_a_killed_worker_holds_nobody_up(
    waiting, now, monkeypatch, django_capture_on_commit_callbacks
):
    work_and_die(waiting.pk, monkeypatch)
    with django_capture_on_commit_callbacks(execute=True) as queued:
        pick_up_lost()
    assert not queued  # it may still be at work
    now.time += LATER
    with django_capture_on_commit_callbacks(execute=True) as queued:
        pick_up_lost()
        pick_up_lost()
    assert len(queued) == 1
    waiting.refresh_from_db()
    assert (waiting.state, waiting.attempts) == (State.READY, 2)
    assert files_of(waiting) == (False, True, True)


def test_a_clip_that_kills_every_worker_is_given_up(waiting, now, monkeypatch):
    for _n in range(MOST_ATTEMPTS):
        work_and_die(waiting.pk, monkeypatch)
        now.time += LATER
        pick_up_lost()
    waiting.refresh_from_db()
    assert (waiting.state, waiting.reason) == (State.FAILED, Reason.LOST)
    assert files_of(waiting) == (False, False, False)


def test_a_lost_place_in_the_queue(waiting, now, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks() as queued:
        pick_up_lost()
        now.time += LATER
        pick_up_lost()
    assert len(queued) == 1


def test_a_worker_that_is_too_slow_changes_nothing(waiting, now, monkeypatch):
    """Another one has it by now: what the first brings late does not count."""
    make = clips.make_small

    def slow(data):
        now.time += LATER
        pick_up_lost()
        monkeypatch.setattr(clips, "make_small", make)
        make_clip_small.call(waiting.pk)
        raise VideoError(Reason.TOO_SLOW)

    monkeypatch.setattr(clips, "make_small", slow)
    make_clip_small.call(waiting.pk)
    waiting.refresh_from_db()
    assert (waiting.state, waiting.reason, waiting.attempts) == (State.READY, "", 2)


def test_a_clip_deleted_while_it_is_worked_on_leaves_no_file(
    waiting, monkeypatch, django_capture_on_commit_callbacks
):
    make = clips.make_small

    def delete(data):
        with django_capture_on_commit_callbacks(execute=True):
            Clip.objects.get(pk=waiting.pk).delete()
        return make(data)

    monkeypatch.setattr(clips, "make_small", delete)
    make_clip_small.call(waiting.pk)
    assert files_of(waiting) == (False, False, False)


def test_trouble_is_told(waiting, monkeypatch):
    def refuse(_data):
        raise VideoError(Reason.DAMAGED)

    monkeypatch.setattr(clips, "make_small", refuse)
    make_clip_small.call(waiting.pk)
    waiting.refresh_from_db()
    assert "damaged" in waiting.standing
    assert "cannot be shown" in str(waiting)
    assert files_of(waiting) == (False, False, False)


def test_a_mistake_of_ours_is_told_and_logged(waiting, monkeypatch, caplog):
    def stumble(_data):
        raise ZeroDivisionError

    monkeypatch.setattr(clips, "make_small", stumble)
    make_clip_small.call(waiting.pk)
    waiting.refresh_from_db()
    assert waiting.reason == Reason.BROKEN
    assert "ZeroDivisionError" in caplog.text


def test_a_worker_without_ffmpeg_says_so(waiting, settings):
    settings.FFMPEG = "no-such-program"
    make_clip_small.call(waiting.pk)
    waiting.refresh_from_db()
    assert "ffmpeg" in waiting.standing


def test_a_row_that_cannot_be_written_leaves_no_file(waiting):
    twin = Clip(title="twin", key=waiting.key)
    with pytest.raises(IntegrityError), transaction.atomic():
        keep_clip(twin, b"")
    assert files_of(waiting) == (True, False, False)


@pytest.mark.parametrize(
    "fields",
    [
        {"state": State.READY, "video": "", "poster": "a.jpg"},
        {"state": State.READY, "video": "a.mp4", "poster": ""},
        {"state": State.WORKING, "working_since": None},
        {"state": State.FAILED, "reason": ""},
    ],
)
def test_the_table_itself_refuses_what_cannot_be(db, fields):
    with pytest.raises(IntegrityError), transaction.atomic():
        Clip.objects.create(title="a", **fields)


# The editor


@pytest.fixture
def groups(house):
    create_groups()
    sync_groups([house.editor.pk, house.owner.pk])


@pytest.fixture
def editor(client, house, groups):
    client.force_login(house.editor)
    return client


def add(client, film, name="clips:add"):
    return client.post(reverse(name), {"title": "folding", "film": film})


CHOOSER = "wagtailsnippetchoosers_training_clip"


@pytest.mark.parametrize("who", ["editor", "owner"])
@pytest.mark.parametrize("name", ["clips:add", f"{CHOOSER}:create"])
def test_editors_and_owners_add_a_video(
    client, house, groups, path, who, name, django_capture_on_commit_callbacks
):
    client.force_login(getattr(house, who))
    with django_capture_on_commit_callbacks(execute=True):
        response = add(client, uploaded(path), name)
    assert response.status_code in (200, 302)
    clip = Clip.objects.get()
    assert (clip.title, clip.is_ready) == ("folding", True)
    text = client.get(reverse("clips:edit", args=[clip.pk])).content.decode()
    assert f'src="{clip.video.url}"' in text
    assert "folding" in client.get(reverse("clips:list")).content.decode()


def test_without_workers_a_video_is_ready_as_soon_as_it_is_chosen(editor, path, monkeypatch):
    # A test's own transaction is never committed: what waits for that is done at once.
    monkeypatch.setattr(clips.transaction, "on_commit", lambda work: work())
    chosen = add(editor, uploaded(path), f"{CHOOSER}:create").json()
    assert chosen["result"]["string"] == "folding"


@pytest.mark.parametrize("who", ["cook", "chef"])
@pytest.mark.parametrize("name", ["clips:add", f"{CHOOSER}:create"])
def test_others_add_none(client, house, groups, path, who, name):
    client.force_login(getattr(house, who))
    assert add(client, uploaded(path), name).status_code == 403
    assert not Clip.objects.exists()


@pytest.mark.parametrize("name", ["clips:add", f"{CHOOSER}:create"])
def test_what_is_no_video_is_refused_at_the_field_and_the_title_kept(editor, tmp_path, name):
    text = tmp_path / "film.mp4"
    text.write_text("not a film")
    response = add(editor, uploaded(text), name)
    shown = response.content.decode() if name == "clips:add" else response.json()["htmlFragment"]
    assert "This is no video" in shown
    assert 'value="folding"' in shown
    assert not Clip.objects.exists()


def test_too_large_a_body_is_told_at_the_field(editor, path, settings, monkeypatch):
    # What the upload handler drops has more bytes than a video may have: only its size is left.
    assert settings.UPLOAD_LIMIT_BYTES > 1e6 * videos.LARGEST_MB
    settings.UPLOAD_LIMIT_BYTES = path.stat().st_size - 1
    monkeypatch.setattr(videos, "LARGEST_MB", path.stat().st_size / 2e6)
    assert "This file has more than" in add(editor, uploaded(path)).content.decode()
    assert not Clip.objects.exists()


def test_a_house_without_ffmpeg_is_told_what_to_install(editor, path, settings):
    settings.FFMPEG = "no-such-program"
    assert "apt install ffmpeg" in editor.get(reverse("clips:add")).content.decode()
    assert "apt install ffmpeg" in add(editor, uploaded(path)).content.decode()
    assert not Clip.objects.exists()


def test_the_editor_sees_how_each_stands(editor):
    module_bodies.clip(state=State.WAITING, title="one")
    module_bodies.clip(state=State.FAILED, reason=Reason.TOO_SLOW, title="two")
    module_bodies.clip(title="three")
    text = editor.get(reverse("clips:list")).content.decode()
    for words in ("still being made smaller", "It took too long", "Ready to be shown"):
        assert words in text
    text = editor.get(reverse(f"{CHOOSER}:choose")).json()["html"]
    assert "one: waits to be made smaller" in text
    assert "two: cannot be shown" in text


def test_looking_at_the_list_picks_up_what_was_lost(
    editor, waiting, django_capture_on_commit_callbacks
):
    Clip.objects.update(queued_at=timezone.now() - LATER)
    with django_capture_on_commit_callbacks(execute=True):
        editor.get(reverse("clips:list"))
    assert Clip.objects.get().is_ready


def test_a_title_is_changed_and_the_film_stays(editor):
    clip = module_bodies.clip()
    path = reverse("clips:edit", args=[clip.pk])
    assert 'type="file"' not in editor.get(path).content.decode()
    editor.post(path, {"title": "Turning"})
    clip.refresh_from_db()
    assert (clip.title, clip.is_ready) == ("Turning", True)


def test_a_deleted_video_takes_its_files_with_it(
    editor, waiting, django_capture_on_commit_callbacks
):
    make_clip_small.call(waiting.pk)
    assert files_of(waiting) == (False, True, True)
    with django_capture_on_commit_callbacks(execute=True):
        editor.post(reverse("clips:delete", args=[waiting.pk]))
    assert not Clip.objects.exists()
    assert files_of(waiting) == (False, False, False)


def test_deleting_says_where_it_is_used(editor, house):
    clip = module_bodies.clip()
    module_bodies.write_module(house.cutting, body=[module_bodies.step(drawing="", clip=clip)])
    text = editor.get(reverse("clips:delete", args=[clip.pk])).content.decode()
    assert "1 time" in text


def test_list_costs_the_same_with_ten_videos(editor, django_assert_max_num_queries):
    editor.get(reverse("clips:list"))
    for _n in range(10):
        module_bodies.clip()
    with django_assert_max_num_queries(20):
        editor.get(reverse("clips:list"))


# In a module


def errors_of(kind, value):
    block = ModuleBody().child_blocks[kind]
    with pytest.raises(ValidationError) as caught:
        block.clean(block.normalize(value))
    return set(caught.value.block_errors)


@pytest.mark.parametrize("make", [module_bodies.step, module_bodies.fault])
def test_one_picture_only(db, make):
    kind, value = make(drawing="cut-fold", clip=module_bodies.clip(), picture_alt="Hands.")
    assert errors_of(kind, value) == {"clip"}
    value["photo"] = module_bodies.photo()
    assert errors_of(kind, value) == {"photo", "clip"}


@pytest.mark.parametrize("make", [module_bodies.step, module_bodies.fault])
def test_a_video_needs_its_description(db, make):
    assert errors_of(*make(drawing="", clip=module_bodies.clip(), picture_alt="")) == {
        "picture_alt"
    }


@pytest.mark.parametrize(
    "fields", [{"state": State.WAITING}, {"state": State.FAILED, "reason": Reason.DAMAGED}]
)
def test_a_video_that_cannot_be_shown_is_not_published(db, fields):
    kind, value = module_bodies.step(drawing="", clip=module_bodies.clip(**fields))
    assert errors_of(kind, value) == {"clip"}
    body = ModuleBody().normalize([(kind, value)])
    assert ModuleBody().clean_deferred(body)


def test_a_video_is_taken_as_a_picture(db):
    kind, value = module_bodies.step(drawing="", clip=module_bodies.clip())
    block = ModuleBody().child_blocks[kind]
    assert block.clean(block.normalize(value))["clip"].is_ready


def test_a_video_counts_as_the_picture_of_a_step(house):
    body = [module_bodies.step(drawing="", clip=module_bodies.clip())]
    page = module_bodies.write_module(house.cutting, body=body)
    assert counts_of(sheet_of_page(page)).drawings == 1
    assert not problems_of(sheet_of_page(page))


@pytest.fixture
def shown(client, house):
    """Return a function that gives the page, or the wall, of a module with these clips."""

    def show(*shown_clips, name="module"):
        body = [module_bodies.step(drawing="", clip=clip) for clip in shown_clips]
        module = module_bodies.write_module(house.cutting, body=body)
        client.force_login(house.cook)
        return client.get(reverse(name, args=[module.slug])).content.decode()

    return show


def test_a_page_shows_a_video_that_waits_to_be_started(shown):
    clip = module_bodies.clip()
    text = shown(clip)
    tag = text[text.index("<video") : text.index("</video>")]
    for said in (
        f'src="{clip.video.url}"',
        f'poster="{clip.poster.url}"',
        'preload="none"',
        'aria-label="Two hands fold a sheet."',
        'width="640" height="360"',
        *["controls", "muted", "loop", "playsinline"],
    ):
        assert said in tag
    assert "autoplay" not in text


@pytest.mark.parametrize(
    "fields",
    [
        {"state": State.WAITING},
        {"state": State.WORKING, "working_since": timezone.now()},
        {"state": State.FAILED, "reason": Reason.DAMAGED},
    ],
)
def test_a_page_shows_no_broken_picture(shown, fields):
    text = shown(module_bodies.clip(**fields, video="", poster=""))
    assert "<video" not in text
    assert "<figure" not in text
    assert "<img" not in text


def test_a_page_of_a_deleted_video_still_opens(client, house):
    clip = module_bodies.clip()
    module = module_bodies.write_module(
        house.cutting, body=[module_bodies.step(drawing="", clip=clip)]
    )
    clip.delete()
    client.force_login(house.cook)
    assert "<video" not in client.get(module.address).content.decode()


def test_the_wall_shows_its_picture(shown):
    clip = module_bodies.clip()
    text = shown(clip, name="wall")
    assert f'<img src="{clip.poster.url}" width="640" height="360"' in text
    assert "<video" not in text
