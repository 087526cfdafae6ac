"""Films from outside, real ones made by ffmpeg: what is taken, what is kept of it, what is not.

What came out is looked at with ffprobe and Pillow, not with our own code.
"""

import io
import json
import os
import subprocess
import sys

import numpy as np
import pytest
from PIL import Image

from tests.training.films import copy, film, look_at, run, uploaded
from training import limited, videos
from training.videos import Reason, VideoError, make_small, take_in

SOMEWHERE = "+48.2082+016.3738/"
PLAYLIST = b"#EXTM3U\n#EXT-X-TARGETDURATION:9\n#EXTINF:9,\nfile:///etc/passwd\n#EXT-X-ENDLIST\n"
CONCAT = b"ffconcat version 1.0\nfile '/etc/passwd'\n"


def refused(path, name=""):
    """Return why a film is refused."""
    with pytest.raises(VideoError) as caught:
        take_in(uploaded(path, name))
    return caught.value.reason


def small_of(path):
    return make_small(take_in(uploaded(path)))


@pytest.mark.parametrize("suffix", ["mp4", "mov", "webm", "mkv"])
def test_films_of_phones_and_browsers_become_one_kind(tmp_path, suffix):
    small = small_of(film(tmp_path / f"film.{suffix}", size="1280x720"))
    (stream,), whole = look_at(small.video, tmp_path)
    assert whole["format_name"].startswith("mov,mp4")
    assert (stream["codec_name"], stream["pix_fmt"]) == ("h264", "yuv420p")
    assert (stream["width"], stream["height"]) == (small.width_px, small.height_px) == (640, 360)
    assert float(whole["duration"]) == pytest.approx(2, abs=0.1)
    assert small.length_s == pytest.approx(2, abs=0.1)


def test_the_index_comes_first_so_that_it_plays_while_it_loads(tmp_path):
    video = small_of(film(tmp_path / "film.mp4")).video
    assert 0 < video.index(b"moov") < video.index(b"mdat")


def test_sound_place_and_words_are_gone_from_what_is_kept(tmp_path):
    plain = film(tmp_path / "plain.mov", sound=True)
    told = ["-metadata", f"location={SOMEWHERE}", "-metadata", "comment=of a phone"]
    told += ["-metadata", f"com.apple.quicktime.location.ISO6709={SOMEWHERE}"]
    told += ["-metadata:s:v", f"location={SOMEWHERE}", "-metadata:s:v", "handler_name=of a phone"]
    came = copy(plain, tmp_path / "told.mov", *told, "-movflags", "use_metadata_tags")
    # What is to be taken away is there, in both places where phones put it.
    assert came.read_bytes().count(SOMEWHERE.encode()) >= 2
    assert [one["codec_type"] for one in look_at(came.read_bytes(), tmp_path)[0]] == [
        "video",
        "audio",
    ]
    kept = take_in(uploaded(came))
    for data in (kept, make_small(kept).video):
        (stream,), whole = look_at(data, tmp_path)
        assert stream["codec_type"] == "video"
        assert SOMEWHERE.encode() not in data
        assert b"of a phone" not in data
        tags = set(stream["tags"]) | set(whole["tags"])
        assert tags <= {
            *["major_brand", "minor_version", "compatible_brands", "encoder"],
            *["handler_name", "vendor_id", "language"],
        }


def test_a_picture_of_a_film_is_small_and_says_nothing_more(tmp_path):
    small = small_of(film(tmp_path / "film.mp4", size="1280x720"))
    with Image.open(io.BytesIO(small.poster)) as poster:
        assert (poster.format, poster.size) == ("JPEG", (640, 360))
        assert not poster.getexif()
    assert len(small.poster) <= videos.POSTER_BYTES


def test_even_noise_stays_light(tmp_path):
    noise = ["-vf", "noise=alls=100:allf=t+u", "-crf", "18"]
    small = small_of(film(tmp_path / "noise.mp4", seconds=4, size="720x720", options=noise))
    # What the promise of 1 MB for 20 s comes to in four, and one second's buffer.
    assert len(small.video) <= 1e6 * (4 + 1) / 20
    assert len(small.poster) <= 40_000


def test_a_film_held_upright_stands_upright(tmp_path):
    lying = film(tmp_path / "lying.mov", size="640x360")
    (stream,), _whole = look_at(lying.read_bytes(), tmp_path)
    assert stream["width"] == 640
    upright = copy(lying, tmp_path / "upright.mov", "-metadata:s:v", "rotate=90")
    small = small_of(upright)
    (stream,), _whole = look_at(small.video, tmp_path)
    assert (stream["width"], stream["height"]) == (360, 640)
    assert "side_data_list" not in stream
    with Image.open(io.BytesIO(small.poster)) as poster:
        assert poster.size == (360, 640)


def test_pixels_that_are_not_square(tmp_path):
    wide = ["-vf", "setsar=4/3"]
    small = small_of(film(tmp_path / "wide.mp4", size="720x576", options=wide))
    (stream,), _whole = look_at(small.video, tmp_path)
    assert stream["sample_aspect_ratio"] == "1:1"
    # 720 pixels that are 4/3 as wide as high, by 576: 5 to 3.
    assert stream["width"] / stream["height"] == pytest.approx(5 / 3, rel=0.01)


def test_a_small_film_is_not_blown_up(tmp_path):
    small = small_of(film(tmp_path / "little.mp4", size="162x122"))
    assert (small.width_px, small.height_px) == (162, 122)


def test_fast_and_deep_films_become_what_every_phone_shows(tmp_path):
    deep = ["-pix_fmt", "yuv422p10le"]
    small = small_of(film(tmp_path / "deep.mp4", rate=60, options=deep))
    (stream,), _whole = look_at(small.video, tmp_path)
    assert stream["pix_fmt"] == "yuv420p"
    assert stream["avg_frame_rate"] == "30/1"


@pytest.mark.parametrize("content", [b"not a film", b"", PLAYLIST, CONCAT, b"<svg/>", b"GIF89a..."])
def test_what_is_no_film_never_reaches_ffmpeg(tmp_path, monkeypatch, content):
    monkeypatch.setattr(videos, "_run", None)  # calling it would be another error
    path = tmp_path / "film.mp4"
    path.write_bytes(content)
    assert refused(path) == Reason.NOT_A_VIDEO


@pytest.mark.parametrize(
    "start", [b"\x00\x00\x00\x18ftypmp42" + bytes(12), b"\x1a\x45\xdf\xa3\x80"]
)
@pytest.mark.parametrize("content", [PLAYLIST, CONCAT])
def test_a_list_of_addresses_behind_the_start_of_a_film(tmp_path, start, content):
    path = tmp_path / "film.mp4"
    path.write_bytes(start + content)
    assert refused(path) == Reason.DAMAGED


def test_the_name_of_a_file_means_nothing(tmp_path):
    path = film(tmp_path / "film.mp4")
    for name in ("film.txt", "../../film", "-i.mp4", "concat:a|b.mp4", "%05d.mp4"):
        assert take_in(uploaded(path, name))


@pytest.mark.parametrize("share", [0.5, 0.97])
@pytest.mark.parametrize("options", [[], ["-movflags", "+faststart"]])
def test_a_part_of_a_film_is_told_from_the_whole(tmp_path, options, share):
    whole = film(tmp_path / "film.mp4", seconds=9, options=options).read_bytes()
    part = tmp_path / "part.mp4"
    part.write_bytes(whole[: int(len(whole) * share)])
    if options and share > 0.9:
        # The index is there, and all but the last half second: that is worth showing.
        assert small_of(part).length_s > 8
    else:
        assert refused(part) == Reason.DAMAGED


@pytest.mark.parametrize("holes", [20, 2000])
def test_a_film_with_holes_ends_well_or_with_a_reason(tmp_path, holes):
    data = bytearray(film(tmp_path / "film.mp4", options=["-movflags", "+faststart"]).read_bytes())
    pictures = data.index(b"mdat") + 4
    dice = np.random.default_rng(5)
    for place in dice.integers(pictures, len(data), holes):
        data[place] = dice.integers(256)
    (tmp_path / "holes.mp4").write_bytes(data)
    small = reason = None
    try:
        small = small_of(tmp_path / "holes.mp4")
    except VideoError as error:
        reason = error.reason
    if small is None:
        assert reason in (Reason.DAMAGED, Reason.NOT_A_VIDEO, Reason.BROKEN)
    else:
        (stream,), _whole = look_at(small.video, tmp_path)
        assert stream["codec_name"] == "h264"


def test_an_ffmpeg_that_cannot_write_h264_is_no_fault_of_the_film(tmp_path, monkeypatch, caplog):
    kept = take_in(uploaded(film(tmp_path / "film.mp4")))
    lacking = ["libx264-is-missing" if one == "libx264" else one for one in videos.H264]
    monkeypatch.setattr(videos, "H264", lacking)
    with pytest.raises(VideoError) as caught:
        make_small(kept)
    assert caught.value.reason == Reason.BROKEN
    assert "libx264-is-missing" in caplog.text


def test_sound_alone_is_no_film(tmp_path):
    whole = film(tmp_path / "film.mp4", sound=True)
    assert refused(copy(whole, tmp_path / "song.mp4", "-map", "0:a")) == Reason.NOT_A_VIDEO


def test_a_song_with_a_cover_is_no_film(tmp_path):
    whole = film(tmp_path / "film.mp4", sound=True)
    Image.new("RGB", (64, 64)).save(tmp_path / "cover.png")
    song = tmp_path / "song.mp4"
    both = ["-i", str(whole), "-i", str(tmp_path / "cover.png"), "-map", "0:a", "-map", "1:v"]
    run("ffmpeg", *both, "-codec", "copy", "-disposition:v:0", "attached_pic", str(song))
    assert {one["codec_type"] for one in look_at(song.read_bytes(), tmp_path)[0]} == {
        "audio",
        "video",
    }
    assert refused(song) == Reason.NOT_A_VIDEO


def test_too_long(tmp_path):
    assert refused(film(tmp_path / "film.mp4", seconds=22, rate=2)) == Reason.TOO_LONG


def test_twenty_seconds_and_a_little(tmp_path):
    path = film(tmp_path / "film.mp4", seconds=20.2, rate=5, size="64x48")
    assert small_of(path).length_s == pytest.approx(20.2, abs=0.3)


def test_too_long_although_the_header_does_not_say_so(tmp_path):
    path = film(tmp_path / "film.mp4", seconds=22, rate=2)
    # As browsers write what they record: no length at the start, and no way back to add it.
    unsaid = tmp_path / "unsaid.mkv"
    unsaid.write_bytes(run("ffmpeg", "-i", str(path), "-codec", "copy", "-f", "matroska", "pipe:1"))
    _streams, whole = look_at(unsaid.read_bytes(), tmp_path)
    assert "duration" not in whole
    assert refused(unsaid) == Reason.TOO_LONG


def test_too_short(tmp_path):
    assert refused(film(tmp_path / "film.mp4", seconds=0.2)) == Reason.TOO_SHORT


def test_too_large_is_refused_unread():
    class Large:
        size = 60_000_001

    with pytest.raises(VideoError) as caught:
        take_in(Large())
    assert caught.value.reason == Reason.TOO_LARGE


@pytest.mark.parametrize("suffix", ["mp4", "webm"])
def test_too_many_pixels(tmp_path, suffix):
    path = film(tmp_path / f"film.{suffix}", size="4100x2200", seconds=1, rate=2)
    assert refused(path) in (Reason.TOO_MANY_PIXELS, Reason.DAMAGED)


def test_a_codec_that_no_phone_uses(tmp_path):
    path = film(tmp_path / "film.mkv", options=["-codec:v", "ffv1"])
    assert refused(path) == Reason.NOT_A_VIDEO


@pytest.mark.parametrize("missing", ["FFMPEG", "FFPROBE"])
def test_without_ffmpeg_none_is_taken(settings, tmp_path, missing):
    path = film(tmp_path / "film.mp4")
    kept = take_in(uploaded(path))
    setattr(settings, missing, str(tmp_path / "nothing"))
    assert refused(path) == Reason.NO_PROGRAM
    with pytest.raises(VideoError) as caught:
        make_small(kept)
    assert caught.value.reason == Reason.NO_PROGRAM


def test_work_that_takes_too_long_is_cut_off(tmp_path, monkeypatch):
    kept = take_in(uploaded(film(tmp_path / "film.mp4", seconds=9, size="1280x720")))
    monkeypatch.setattr(videos, "WORK_LIMIT_S", 0.05)
    with pytest.raises(VideoError) as caught:
        make_small(kept)
    assert caught.value.reason == Reason.TOO_SLOW


def test_nothing_is_left_behind(tmp_path, monkeypatch):
    path = film(tmp_path / "film.mp4")
    (tmp_path / "work").mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "work"))
    small_of(path)
    refused(film(tmp_path / "short.mp4", seconds=0.2))
    assert not list((tmp_path / "work").iterdir())


def test_programs_run_within_limits():
    # The system's own word for it, in the process itself.
    asked = (
        "import json, resource as r; print(json.dumps([r.getrlimit(one)[1] for one in "
        "(r.RLIMIT_AS, r.RLIMIT_CPU, r.RLIMIT_FSIZE, r.RLIMIT_CORE)]))"
    )
    command = [sys.executable, "-I", limited.__file__, "7", sys.executable, "-c", asked]
    done = subprocess.run(command, check=True, capture_output=True)
    assert json.loads(done.stdout) == [2_000_000_000, 7, 80_000_000, 0]


def test_programs_see_nothing_of_the_site(monkeypatch):
    monkeypatch.setenv("SECRET_KEY", "a key")
    seen = videos._run([sys.executable, "-c", "import os; print(dict(os.environ))"], limit_s=9)
    assert os.environ["SECRET_KEY"] == "a key"
    assert b"a key" not in seen


@pytest.mark.parametrize("reason", Reason)
def test_every_reason_is_told_in_words(reason):
    assert "%" not in videos.words_of(reason)
    assert len(videos.words_of(reason)) > 20
