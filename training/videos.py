"""Take apart a video that came from outside, and make it small enough for a page.

What comes is never trusted. Its first bytes say what it is, its name says nothing, and it reaches
ffmpeg only under a name of ours, as one of two kinds of file that hold no addresses of others, with
no protocol but ``file`` and within the limits of `training.limited`. `take_in` keeps nothing but
the pictures: sound, places and whatever else a phone writes into its films is gone before anything
is stored. `make_small` turns what is left into the MP4 and the JPEG that pages show.
"""

import io
import json
import logging
import math
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, NamedTuple

from django.conf import settings
from django.utils.translation import gettext_lazy as _
from PIL import Image

from training import limited

logger = logging.getLogger(__name__)

LONGEST_S = 20
SHORTEST_S = 0.5
TOLERANCE_S = 0.5
"""A phone's twenty seconds are a little more or less."""
LARGEST_MB = 60
"""Of 10⁶ bytes: 20 s of a phone's film in full HD take 25 to 45."""
MOST_PX = 4096 * 2176
"""Of one picture: what phones call 4K."""
CODECS = frozenset({"h264", "hevc", "vp8", "vp9", "av1", "mpeg4", "mjpeg"})

WIDEST_PX = 640
"""No side is longer than this afterwards."""
BITS_PER_S = 380_000
"""At most: 20 s then take less than 1 MB."""
MOST_PER_S = 30
POSTER_BYTES = 40_000

BARE = ["-map", "0:V:0", "-map_metadata", "-1", "-map_metadata:s:v", "-1", "-map_chapters", "-1"]
"""Only the first film, not a cover, and nothing that was written about it."""
H264 = [
    *["-codec:v", "libx264", "-preset", "medium", "-profile:v", "high", "-pix_fmt", "yuv420p"],
    *["-crf", "26", "-maxrate", str(BITS_PER_S), "-bufsize", str(BITS_PER_S), "-threads", "2"],
    *["-fflags", "+bitexact", "-flags:v", "+bitexact", "-movflags", "+faststart"],
]

READ_LIMIT_S = 20
WORK_LIMIT_S = 90
"""20 s of film in 4K at 60 pictures a second take 14 s on two cores that do nothing else."""


class Reason(StrEnum):
    """Why a video is refused, or could not be made small."""

    NO_PROGRAM = "no_program"
    NOT_A_VIDEO = "not_a_video"
    DAMAGED = "damaged"
    TOO_LARGE = "too_large"
    TOO_LONG = "too_long"
    TOO_SHORT = "too_short"
    TOO_MANY_PIXELS = "too_many_pixels"
    TOO_SLOW = "too_slow"
    LOST = "lost"
    BROKEN = "broken"


WORDS = {
    Reason.NO_PROGRAM: _(
        "This house cannot take videos yet: the program ffmpeg is missing where the site runs. "
        "Whoever looks after it can add it (on Debian and Ubuntu: apt install ffmpeg)."
    ),
    Reason.NOT_A_VIDEO: _(
        "This is no video that can be read here. Take an MP4, MOV or WebM file, as phones make it."
    ),
    Reason.DAMAGED: _("This file is damaged, or only a part of it has come. Send it again."),
    Reason.TOO_LARGE: _(
        "This file has more than %(limit)s MB. Film it in full HD, not in 4K, or make it shorter."
    ),
    Reason.TOO_LONG: _("This video is longer than %(limit)s seconds. Cut it to the one movement."),
    Reason.TOO_SHORT: _("This video is too short to see anything. A photo does better here."),
    Reason.TOO_MANY_PIXELS: _("The picture is larger than 4K. Film it in full HD."),
    Reason.TOO_SLOW: _(
        "It took too long to make this video smaller. Film it in full HD, or make it shorter."
    ),
    Reason.LOST: _(
        "Each attempt to make this video smaller was cut off. Film it in full HD, or make it "
        "shorter."
    ),
    Reason.BROKEN: _(
        "This video could not be made smaller: it is damaged, or the site lacks something. Whoever "
        "looks after the site finds the cause in its log."
    ),
}
LIMITS = {Reason.TOO_LARGE: LARGEST_MB, Reason.TOO_LONG: LONGEST_S}


def words_of(reason: str) -> str:
    """Return a reason as it is told to an editor."""
    return str(WORDS[Reason(reason)]) % {"limit": LIMITS.get(Reason(reason), "")}


class VideoError(Exception):
    """A video that is not taken, or cannot be made small; ``reason`` says why."""

    def __init__(self, reason: Reason):
        super().__init__(reason.value)
        self.reason = reason


class Small(NamedTuple):
    """A video as the pages show it."""

    video: bytes
    poster: bytes
    width_px: int
    height_px: int
    length_s: float


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of file: what reads it, and what writes the same kind again."""

    reader: str
    writer: str


def kind_of(start: bytes) -> Kind:
    """Return the kind of a file by its first bytes; raises ``VideoError`` where it is no video.

    ISO/IEC 14496-12 puts a box called "ftyp" first, RFC 8794 the number of the EBML header.
    """
    if start[4:8] == b"ftyp":
        return Kind("mov", "mov" if start[8:12] == b"qt  " else "mp4")
    if start[:4] == b"\x1a\x45\xdf\xa3":
        return Kind("matroska", "matroska")
    raise VideoError(Reason.NOT_A_VIDEO)


def program(name: str) -> str:
    """Return the path of ``settings.FFMPEG`` or ``settings.FFPROBE``; ``VideoError`` if missing."""
    path = shutil.which(name)
    if path is None:
        raise VideoError(Reason.NO_PROGRAM)
    return path


def can_take_videos() -> bool:
    """Return whether both programs are there."""
    return all(shutil.which(name) for name in (settings.FFMPEG, settings.FFPROBE))


def take_in(file) -> bytes:
    """Return the pictures of an uploaded film, in a file of the same kind with nothing else in it.

    Parameters
    ----------
    file : UploadedFile

    Raises ``VideoError`` for what is no video, is damaged, too large, too long or too short, and
    where ffmpeg is missing.
    """
    if not can_take_videos():
        raise VideoError(Reason.NO_PROGRAM)
    if file.size > 1e6 * LARGEST_MB:
        raise VideoError(Reason.TOO_LARGE)
    with _folder() as folder:
        came, kept = folder / "came", folder / "kept"
        with came.open("wb") as copy:
            for chunk in file.chunks():
                copy.write(chunk)
        kind = _kind_of(came)
        said = _Film.read(came, kind)
        said.check()
        _ffmpeg(came, kind, [*BARE, "-codec", "copy"], kept, kind.writer, limit_s=READ_LIMIT_S)
        # Counted from the pictures themselves: the header of a film may say anything, or nothing.
        film = _Film.read(kept, kind)
        film.check()
        if film.length_s < min(said.length_s, LONGEST_S) - 1:
            raise VideoError(Reason.DAMAGED)
        if film.length_s < SHORTEST_S:
            raise VideoError(Reason.TOO_SHORT)
        return kept.read_bytes()


def make_small(data: bytes) -> Small:
    """Return a film that `take_in` has kept as a small MP4 with one picture of it.

    Raises ``VideoError``.
    """
    with _folder() as folder:
        came, small, still = folder / "came", folder / "small", folder / "still"
        came.write_bytes(data)
        kind = _kind_of(came)
        width_px, height_px = _Film.read(came, kind).small_size()
        scale = ["-vf", f"scale={width_px}:{height_px},setsar=1", "-fpsmax", str(MOST_PER_S)]
        end = ["-t", str(LONGEST_S + TOLERANCE_S)]
        limits = {"limit_s": WORK_LIMIT_S, "failed": Reason.BROKEN}
        _ffmpeg(came, kind, [*BARE, *scale, *H264, *end], small, "mp4", **limits)
        mp4 = _kind_of(small)
        length_s = _Film.read(small, mp4).length_s
        middle = ["-ss", f"{length_s / 2:.2f}", "-frames:v", "1", "-codec:v", "png"]
        _ffmpeg(small, mp4, middle, still, "image2pipe", limit_s=READ_LIMIT_S)
        return Small(small.read_bytes(), _poster(still), width_px, height_px, length_s)


@dataclass(frozen=True, slots=True)
class _Film:
    """What a file says about its first film; lengths of 0 where it says nothing."""

    codec: str
    width_px: int
    height_px: int
    pixel_shape: float
    is_turned: bool
    length_s: float

    @classmethod
    def read(cls, path: Path, kind: Kind) -> "_Film":
        wanted = (
            "stream=codec_name,width,height,sample_aspect_ratio:format=duration"
            ":stream_side_data=rotation"
        )
        command = [program(settings.FFPROBE), *_input(path, kind), "-select_streams", "V:0"]
        text = _run([*command, "-show_entries", wanted, "-of", "json"], limit_s=READ_LIMIT_S)
        found = json.loads(text)
        if not found.get("streams"):
            raise VideoError(Reason.NOT_A_VIDEO)
        stream: Mapping[str, Any] = found["streams"][0]
        turns = [side.get("rotation", 0) for side in stream.get("side_data_list", ())]
        return cls(
            codec=stream.get("codec_name", ""),
            width_px=stream.get("width", 0),
            height_px=stream.get("height", 0),
            pixel_shape=_ratio(stream.get("sample_aspect_ratio", "")),
            is_turned=any(round(turn / 90) % 2 for turn in turns),
            length_s=_number(found.get("format", {}).get("duration")),
        )

    def check(self) -> None:
        if self.codec not in CODECS:
            raise VideoError(Reason.NOT_A_VIDEO)
        if not (self.width_px and self.height_px):
            raise VideoError(Reason.DAMAGED)
        if self.width_px * self.height_px > MOST_PX:
            raise VideoError(Reason.TOO_MANY_PIXELS)
        if self.length_s > LONGEST_S + TOLERANCE_S:
            raise VideoError(Reason.TOO_LONG)

    def small_size(self) -> tuple[int, int]:
        """Return width and height as shown upright, px: even, and no larger than they were."""
        width, height = self.width_px * self.pixel_shape, float(self.height_px)
        if self.is_turned:
            width, height = height, width
        scale = min(1.0, WIDEST_PX / max(width, height))
        return _even(width * scale), _even(height * scale)


def _even(length: float) -> int:
    """H.264 with colour at half the size has no odd sides."""
    return max(2, 2 * round(length / 2))


def _ratio(text: str) -> float:
    """Return the width of a pixel over its height; 1 where that is unknown or absurd."""
    width, _colon, height = text.partition(":")
    shape = _number(width) / (_number(height) or math.inf)
    return shape if 0.25 <= shape <= 4 else 1.0


def _number(text: str | None) -> float:
    try:
        value = float(text or 0)
    except ValueError:
        return 0.0
    return value if math.isfinite(value) and value > 0 else 0.0


def _kind_of(path: Path) -> Kind:
    with path.open("rb") as file:
        return kind_of(file.read(12))


def _input(path: Path, kind: Kind) -> list[str]:
    """Return the arguments that open a file, for both programs."""
    limits = ["-v", "error", "-threads", "2", "-max_pixels", str(MOST_PX)]
    return [*limits, "-protocol_whitelist", "file", "-f", kind.reader, "-i", f"file:{path}"]


def _ffmpeg(came: Path, kind: Kind, options: list[str], made: Path, writer: str, **limits):
    begin = [program(settings.FFMPEG), "-nostdin", "-y", *_input(came, kind)]
    _run([*begin, *options, "-f", writer, f"file:{made}"], **limits)


@contextmanager
def _folder():
    with tempfile.TemporaryDirectory(prefix="video-") as name:
        yield Path(name)


def _run(command: list[str], *, limit_s: float, failed: Reason = Reason.DAMAGED) -> bytes:
    """Run one of the two programs and return what it prints; raises ``VideoError``.

    ``failed`` is the reason where it ends with an error, which is logged.
    It sees nothing of the site's own environment, where keys and passwords stand.
    """
    # Up to two threads decode or encode at a time.
    limits = [sys.executable, "-I", limited.__file__, str(math.ceil(2 * limit_s))]
    with tempfile.TemporaryFile() as log:
        try:
            done = subprocess.run(  # noqa: S603  (programs of the settings, files of our own names)
                [*limits, *command],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=log,
                env={"PATH": os.defpath},
                timeout=limit_s,
                check=True,
            )
        except subprocess.TimeoutExpired:
            raise VideoError(Reason.TOO_SLOW) from None
        except subprocess.CalledProcessError as error:
            log.seek(0)
            program_name = Path(command[0]).name
            logger.warning("%s ended with %s: %r", program_name, error.returncode, log.read(500))
            raise VideoError(failed) from None
        return done.stdout


def _poster(path: Path) -> bytes:
    """Return a picture as a JPEG of at most ``POSTER_BYTES``, as good as it then can be."""
    with Image.open(path, formats=["PNG"]) as still:
        picture = still.convert("RGB")
    for size in (WIDEST_PX, WIDEST_PX // 2):
        picture.thumbnail((size, size))
        for quality in (75, 60, 45, 30, 15):
            jpeg = io.BytesIO()
            picture.save(jpeg, "JPEG", quality=quality, optimize=True, progressive=True)
            if jpeg.tell() <= POSTER_BYTES:
                return jpeg.getvalue()
    return jpeg.getvalue()
