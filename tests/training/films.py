"""Short films for tests, made by ffmpeg from its own test patterns."""

import json
import subprocess
from pathlib import Path

from django.core.files.uploadedfile import SimpleUploadedFile

ENCODERS = {"mp4": "libx264", "mov": "libx264", "webm": "libvpx", "mkv": "libx264"}


def film(path, *, seconds=2, size="320x240", rate=15, sound=False, options=()):
    """Write a film of a moving pattern to ``path``; its suffix says which kind."""
    pattern = f"testsrc2=size={size}:rate={rate}:duration={seconds}"
    tone = ["-f", "lavfi", "-i", f"sine=duration={seconds}", "-codec:a", "aac"] if sound else []
    codec = ["-codec:v", ENCODERS[path.suffix[1:]], "-pix_fmt", "yuv420p", "-g", "15"]
    run("ffmpeg", "-f", "lavfi", "-i", pattern, *tone, *codec, *options, str(path))
    return path


def copy(source, path, *options):
    """Write the same film to ``path`` with other things said about it."""
    run("ffmpeg", "-i", str(source), "-codec", "copy", *options, str(path))
    return path


def uploaded(path, name=""):
    """Return a file as it comes with a form."""
    path = Path(path)
    return SimpleUploadedFile(name or path.name, path.read_bytes(), content_type="video/mp4")


def look_at(data, tmp_path):
    """Return what ffprobe says about a film: its streams and the file as a whole."""
    path = tmp_path / "looked-at"
    path.write_bytes(data)
    shown = ["-show_streams", "-show_format", "-show_chapters", "-of", "json"]
    found = json.loads(run("ffprobe", *shown, str(path)))
    return found["streams"], found["format"]


def run(program, *arguments):
    command = [program, "-v", "error", *(["-y"] if program == "ffmpeg" else []), *arguments]
    return subprocess.run(command, check=True, capture_output=True, stdin=subprocess.DEVNULL).stdout
