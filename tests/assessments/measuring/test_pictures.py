"""Picture files: read as Pillow, another reader, reads them; and whatever is wrong is refused.

The files are written by Pillow and pillow-heif, or byte by byte after the formats' standards:
ITU-T T.81 (JPEG), W3C PNG third edition, RFC 9649 (WebP), ISO/IEC 23008-12 (HEIF), CIPA DC-008
(EXIF).
"""

import contextlib
import io
import json
import random
import struct
import subprocess
import sys
import zipfile
import zlib
from functools import cache
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms, ImageOps
from PIL.PngImagePlugin import PngInfo

from assessments.calculations.measuring import heic, pictures
from assessments.calculations.measuring.containers import MAX_PARTS, MAX_SCANS, read_container
from assessments.calculations.measuring.pictures import (
    Picture,
    open_picture,
    rendition,
    without_metadata,
)
from assessments.calculations.measuring.refusals import Reason, RefusedError

ROOT = Path(__file__).parents[3]
FORMATS = ["JPEG", "PNG", "WEBP"]
SECRET = b"Secret lane 7"


@cache
def slopes(width, height):
    """Return slopes in all colours; no two corners are alike."""
    x, y = np.meshgrid(np.arange(width) / width, np.arange(height) / height)
    pixels = np.stack([255 * x, 255 * y, 128 + 100 * np.sin(12 * x) * np.cos(9 * y)], axis=-1)
    return pixels.astype(np.uint8)


def scene(width=1200, height=900, mode="RGB"):
    return Image.fromarray(slopes(width, height)).convert(mode)


def written(image, kind, **options):
    file = io.BytesIO()
    if kind == "HEIF":
        options = {"quality": 80, "enc_params": {"preset": "ultrafast"}} | options
        pillow_heif.from_pillow(image).save(file, **options)
    else:
        image.save(file, kind, **({"quality": 90, "method": 0} | options))
    return file.getvalue()


def decoded(data):
    """Return RGB pixels as Pillow reads them, turned upright."""
    return np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(data))).convert("RGB"))


def tiff(order, entries):
    """Return an EXIF block by hand: ``{tag: (type, value)}``, a dict as value being a directory."""

    def directory(entries, at):
        rows, behind = b"", b""
        for tag, (kind, value) in entries.items():
            if isinstance(value, dict):
                place = at + 2 + 12 * len(entries) + 4 + len(behind)
                behind += directory(value, place)
                value = place
            number = struct.pack(order + ("H2x" if kind == 3 else "I"), value)
            rows += struct.pack(order + "HHI", tag, kind, 1) + number
        return struct.pack(order + "H", len(entries)) + rows + bytes(4) + behind

    mark = b"II" if order == "<" else b"MM"
    return mark + struct.pack(order + "HI", 42, 8) + directory(entries, 8)


def with_exif(kind, block, image=None):
    return written(image or scene(), kind, exif=b"Exif\x00\x00" + block)


def chunk(name, body=b""):
    """Return a chunk of a PNG."""
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png(width, height, bits=8, colour=2, *before):
    header = struct.pack(">IIBBBBB", width, height, bits, colour, 0, 0, 0)
    rows = zlib.compress(bytes(1000))
    parts = [chunk(b"IHDR", header), *before, chunk(b"IDAT", rows), chunk(b"IEND")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def segment(marker, body=b""):
    """Return a segment of a JPEG."""
    return struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body


def after_start(jpeg, *segments):
    return jpeg[:2] + b"".join(segments) + jpeg[2:]


def frame_at(jpeg):
    """Return the place of a baseline or progressive JPEG's frame header."""
    return max(jpeg.find(b"\xff\xc0\x00\x11\x08"), jpeg.find(b"\xff\xc2\x00\x11\x08"))


def patched(data, at, new):
    return data[:at] + new + data[at + len(new) :]


def riff(*chunks):
    body = b"".join(
        struct.pack("<4sI", name, len(part)) + part + bytes(len(part) % 2) for name, part in chunks
    )
    return struct.pack("<4sI4s", b"RIFF", 4 + len(body), b"WEBP") + body


def refusal(data):
    with pytest.raises(RefusedError) as caught:
        open_picture(data)
    return caught.value


# ---------------------------------------------------------------------------------------------
# What is read


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("mode", ["RGB", "L"])
def test_pixels_are_those_that_pillow_reads(kind, mode):
    data = written(scene(mode=mode), kind)
    picture = open_picture(data)
    assert picture.pixels.dtype == np.uint8
    assert picture.pixels.shape == (900, 1200, 3)
    np.testing.assert_array_equal(picture.pixels, decoded(data))


@pytest.mark.parametrize("options", [{"progressive": True}, {"subsampling": 0}, {"keep_rgb": True}])
def test_every_coding_of_jpeg(options):
    data = written(scene(), "JPEG", **options)
    stored = without_metadata(data)
    np.testing.assert_array_equal(open_picture(data).pixels, decoded(data))
    np.testing.assert_array_equal(open_picture(stored.data).pixels, decoded(data))


def test_heic_is_read_to_a_grey_level():
    image = scene()
    expected = np.asarray(image).astype(int)
    picture = open_picture(written(image, "HEIF", quality=95, chroma=444))
    assert np.abs(picture.pixels - expected).mean() < 1
    grey = open_picture(written(scene(mode="L"), "HEIF", quality=95))
    assert np.abs(grey.pixels - np.asarray(scene(mode="L").convert("RGB")).astype(int)).mean() < 1


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_transparency_is_put_on_white(kind):
    image = scene(mode="RGBA")
    image.putalpha(Image.linear_gradient("L").resize(image.size))
    data = written(image, kind, **({"lossless": True} if kind == "WEBP" else {}))
    white = Image.new("RGBA", image.size, "white")
    white.alpha_composite(Image.open(io.BytesIO(data)).convert("RGBA"))
    found = open_picture(data).pixels.astype(int)
    assert np.abs(found - np.asarray(white.convert("RGB"))).max() <= 1
    # A lossy WebP keeps its transparency in a chunk beside the colours.
    if kind == "WEBP":
        lossy = open_picture(written(image, kind)).pixels.astype(int)
        assert np.abs(lossy - np.asarray(white.convert("RGB"))).mean() < 3


def test_transparent_heic_is_put_on_white():
    image = scene(mode="RGBA")
    image.putalpha(0)
    assert open_picture(written(image, "HEIF")).pixels.min() > 250


def test_palette():
    image = scene().quantize(64)
    data = written(image, "PNG", transparency=5)
    expected = np.asarray(image.convert("RGB")).copy()
    expected[np.asarray(image) == 5] = 255
    np.testing.assert_array_equal(open_picture(data).pixels, expected)


# CIPA DC-008, tag 274: which side of the picture the stored row 0 is, and the stored column 0.
SIDES = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}
OPPOSITE = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}


@pytest.mark.parametrize("kind", [*FORMATS, "HEIF"])
@pytest.mark.parametrize("orientation", SIDES)
def test_orientations(kind, orientation):
    image = scene(1184, 896)
    image.paste("red", (0, 0, 96, 96))
    image.paste("blue", (1088, 0, 1184, 96))
    data = with_exif(kind, tiff("<", {0x0112: (3, orientation)}), image)
    pixels = open_picture(data).pixels

    def corner(*sides):
        row = 48 if "top" in sides else -48
        column = 48 if "left" in sides else -48
        return pixels[row, column].astype(int)

    row_0, column_0 = SIDES[orientation]
    assert np.abs(corner(row_0, column_0) - (255, 0, 0)).max() < 20
    assert np.abs(corner(row_0, OPPOSITE[column_0]) - (0, 0, 255)).max() < 20

    stored = without_metadata(data)
    assert (stored.height_px, stored.width_px) == pixels.shape[:2]
    assert stored.orientation == (1 if kind == "HEIF" else orientation)
    again = open_picture(stored.data, orientation=stored.orientation)
    np.testing.assert_array_equal(again.pixels, pixels)
    if kind != "HEIF":
        np.testing.assert_array_equal(pixels, decoded(data))


@pytest.mark.parametrize("kind", [*FORMATS, "HEIF"])
@pytest.mark.parametrize("order", "<>")
def test_focal_length(kind, order):
    block = tiff(order, {0x010F: (3, 1), 0x8769: (4, {0x829D: (3, 2), 0xA405: (3, 26)})})
    data = with_exif(kind, block)
    assert open_picture(data).focal_35mm == 26
    stored = without_metadata(data)
    assert stored.focal_35mm == 26
    assert open_picture(stored.data).focal_35mm is None
    assert open_picture(stored.data, focal_35mm=26.0).focal_35mm == 26


def test_focal_length_as_pillow_writes_it():
    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8769)[0xA405] = 50
    picture = open_picture(written(scene(), "JPEG", exif=exif))
    assert picture.focal_35mm == 50
    assert picture.pixels.shape == (1200, 900, 3)


@pytest.mark.parametrize(
    "block",
    [
        tiff("<", {0x8769: (4, {0xA405: (3, 0)})}),
        tiff("<", {0x8769: (4, {0xA405: (3, 7)})}),
        tiff("<", {0x8769: (4, {0xA405: (3, 60_000)})}),
        tiff("<", {0x0112: (3, 9), 0x8769: (4, 4_000_000_000)}),
        tiff("<", {0x0112: (3, 0), 0x8769: (4, 8)}),  # points at itself
        tiff(">", {0x0112: (4, 1)})[:13],
        b"II*\x00\xff\xff\xff\xff",
        b"II",
        b"",
        b"no EXIF at all",
    ],
)
def test_implausible_exif_counts_as_absent(block):
    picture = open_picture(
        after_start(written(scene(), "JPEG"), segment(0xE1, b"Exif\0\0" + block))
    )
    assert picture.focal_35mm is None
    assert picture.pixels.shape == (900, 1200, 3)


def test_a_long_number_where_a_short_one_is_usual():
    block = tiff(">", {0x0112: (4, 6), 0x8769: (4, {0xA405: (4, 26)})})
    picture = open_picture(with_exif("JPEG", block))
    assert (picture.focal_35mm, picture.pixels.shape) == (26, (1200, 900, 3))


def test_first_picture_of_several():
    """Previews, gain maps and films that phones put into or behind a photo."""
    image, other = scene(), scene(1300, 1000).transpose(Image.Transpose.ROTATE_180)
    plain = written(image, "JPEG")
    two = io.BytesIO()
    image.save(two, "MPO", save_all=True, append_images=[other], quality=90)
    assert Image.open(io.BytesIO(two.getvalue())).n_frames == 2
    film = plain + struct.pack(">I4s4sI", 24, b"ftyp", b"mp42", 0) + bytes(5000)
    for data in (two.getvalue(), film):
        np.testing.assert_array_equal(open_picture(data).pixels, decoded(plain))
        assert without_metadata(data).data == without_metadata(plain).data


def test_heic_with_preview_and_second_picture():
    file = io.BytesIO()
    pair = pillow_heif.from_pillow(scene())
    pair.add_from_pillow(scene(1300, 1000))
    fast = {"preset": "ultrafast"}
    pair.save(file, primary_index=0, thumbnails=[256], quality=80, enc_params=fast)
    assert len(pillow_heif.open_heif(file.getvalue())) == 2
    assert open_picture(file.getvalue()).pixels.shape == (900, 1200, 3)


def test_one_frame_of_an_animated_kind_is_a_still():
    frames = chunk(b"acTL", struct.pack(">II", 1, 0))
    data = written(scene(), "PNG")
    data = data[:33] + frames + data[33:]
    np.testing.assert_array_equal(open_picture(data).pixels, np.asarray(scene()))


@pytest.mark.parametrize(("width", "height"), [(1250, 800), (800, 1250)])
def test_limits_are_inclusive(width, height):
    assert open_picture(written(scene(width, height), "JPEG")).pixels.size == 3_000_000


# ---------------------------------------------------------------------------------------------
# What is refused


def animated(kind, size=(1200, 900)):
    file = io.BytesIO()
    first, *others = (scene(*size).rotate(angle) for angle in (0, 180))
    first.save(file, kind, save_all=True, append_images=others, duration=100)
    return file.getvalue()


def jpeg_of(width, height):
    jpeg = written(scene(32, 32), "JPEG")
    return patched(jpeg, frame_at(jpeg) + 5, struct.pack(">HH", height, width))


def heic_of(width, height):
    data = written(scene(64, 64), "HEIF")
    return patched(data, data.index(b"ispe") + 8, struct.pack(">II", width, height))


def heic_of_10_bits():
    pixels = np.asarray(scene()).astype(np.uint16) * 256
    file = io.BytesIO()
    fast = {"preset": "ultrafast"}
    pillow_heif.encode("RGB;16", (1200, 900), pixels.tobytes(), file, quality=50, enc_params=fast)
    return file.getvalue()


def many_scans(scans):
    jpeg = written(scene(), "JPEG", progressive=True)
    last = jpeg.rindex(b"\xff\xda")
    return jpeg[:last] + jpeg[last:-2] * scans + jpeg[-2:]


def vp8l(width, height):
    return riff((b"VP8L", b"\x2f" + struct.pack("<I", width - 1 | height - 1 << 14) + bytes(20)))


def vp8(width, height):
    return riff(
        (b"VP8 ", b"\x30\x01\x00\x9d\x01\x2a" + struct.pack("<HH", width, height) + bytes(9))
    )


def archive():
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as zipped:
        zipped.writestr("a.txt", SECRET)
    return file.getvalue()


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HOSTILE = {
    "empty": (lambda: b"", Reason.NOT_A_PICTURE),
    "two bytes": (lambda: b"\xff\xd8", Reason.NOT_A_PICTURE),
    "HTML": (lambda: b"<!doctype html><script>alert(1)</script>", Reason.NOT_A_PICTURE),
    "script that starts like a GIF": (lambda: b"GIF89a=1;alert(1)", Reason.NOT_A_PICTURE),
    "SVG": (lambda: SVG, Reason.NOT_A_PICTURE),
    "SVG, compressed": (lambda: zlib.compress(SVG, wbits=31), Reason.NOT_A_PICTURE),
    "PDF": (lambda: b"%PDF-1.7\n" + bytes(500), Reason.NOT_A_PICTURE),
    "ZIP": (archive, Reason.NOT_A_PICTURE),
    "ZIP before a picture": (lambda: archive() + written(scene(), "JPEG"), Reason.NOT_A_PICTURE),
    "GIF": (lambda: written(scene(), "GIF"), Reason.NOT_A_PICTURE),
    "GIF, animated": (lambda: animated("GIF"), Reason.NOT_A_PICTURE),
    "TIFF": (lambda: written(scene(), "TIFF"), Reason.NOT_A_PICTURE),
    "BMP": (lambda: written(scene(), "BMP"), Reason.NOT_A_PICTURE),
    "film": (lambda: b"\x00\x00\x00\x18ftypmp42" + bytes(500), Reason.NOT_A_PICTURE),
    "lossless JPEG": (
        lambda: written(scene(), "JPEG").replace(b"\xff\xc0\x00\x11", b"\xff\xc3\x00\x11"),
        Reason.NOT_A_PICTURE,
    ),
    "only the first bytes of a JPEG": (lambda: b"\xff\xd8\xff\xe0" + SVG, Reason.DAMAGED),
    "only the first bytes of a PNG": (lambda: b"\x89PNG\r\n\x1a\n" + SVG, Reason.DAMAGED),
    "only the first bytes of a WebP": (lambda: b"RIFF\xff\xff\0\0WEBPVP8 " + SVG, Reason.DAMAGED),
    "only the first bytes of a HEIC": (lambda: b"\0\0\0\x18ftypheic" + SVG, Reason.DAMAGED),
    "WebP without a picture": (lambda: riff((b"EXIF", SECRET)), Reason.DAMAGED),
    "JPEG without tables": (
        lambda: written(scene(), "JPEG").replace(b"\xff\xdb", b"\xff\xe9"),
        Reason.DAMAGED,
    ),
    "JPEG with a second frame": (
        lambda: after_start(
            written(scene(), "JPEG"), segment(0xC0, bytes([8, 4, 0, 4, 0, 1, 1, 17, 0]))
        ),
        Reason.DAMAGED,
    ),
    "PNG with a wrong check sum": (
        lambda: written(scene(), "PNG").replace(b"IDAT", b"IDAT\x00", 1)[:-1],
        Reason.DAMAGED,
    ),
    "PNG with too few rows": (lambda: png(1200, 900), Reason.DAMAGED),
    "PNG in no known colours": (lambda: png(1200, 900, 8, 5), Reason.DAMAGED),
    "HEIC whose picture is larger than it says": (
        lambda: patched(
            (data := written(scene(), "HEIF")),
            data.index(b"ispe") + 8,
            struct.pack(">II", 1000, 1000),
        ),
        Reason.DAMAGED,
    ),
    "scan upon scan": (lambda: many_scans(MAX_SCANS + 1), Reason.DAMAGED),
    "segment upon segment": (
        lambda: after_start(written(scene(), "JPEG"), segment(0xFE) * MAX_PARTS),
        Reason.DAMAGED,
    ),
    "chunk upon chunk": (
        lambda: png(1200, 900, 8, 2, chunk(b"IDAT") * MAX_PARTS),
        Reason.DAMAGED,
    ),
    "PNG bomb": (lambda: png(100_000, 100_000), Reason.TOO_MANY_PIXELS),
    "PNG bomb of the largest numbers": (
        lambda: png(2**32 - 1, 2**32 - 1),
        Reason.TOO_MANY_PIXELS,
    ),
    "long and thin": (lambda: png(40_000, 100), Reason.TOO_MANY_PIXELS),
    "JPEG bomb": (lambda: jpeg_of(65_500, 65_500), Reason.TOO_MANY_PIXELS),
    "WebP bomb": (lambda: vp8(16_383, 16_383), Reason.TOO_MANY_PIXELS),
    "lossless WebP bomb": (lambda: vp8l(16_384, 16_384), Reason.TOO_MANY_PIXELS),
    "HEIC bomb": (lambda: heic_of(100_000, 100_000), Reason.TOO_MANY_PIXELS),
    "just too large": (lambda: jpeg_of(8200, 6200), Reason.TOO_MANY_PIXELS),
    "just too small": (lambda: written(scene(1249, 800), "JPEG"), Reason.TOO_FEW_PIXELS),
    "no height": (lambda: jpeg_of(1200, 0), Reason.TOO_FEW_PIXELS),
    "HEIC too small": (lambda: written(scene(64, 64), "HEIF"), Reason.TOO_FEW_PIXELS),
    "PNG, animated": (lambda: animated("PNG"), Reason.ANIMATED),
    "WebP, animated": (lambda: animated("WEBP"), Reason.ANIMATED),
    "HEIC, a sequence": (
        lambda: written(scene(), "HEIF").replace(b"ftypheic", b"ftyphevc"),
        Reason.ANIMATED,
    ),
    "CMYK": (lambda: written(scene(mode="CMYK"), "JPEG"), Reason.COLOURS),
    "JPEG of 12 bits": (
        lambda: patched((jpeg := written(scene(), "JPEG")), frame_at(jpeg) + 4, b"\x0c"),
        Reason.COLOURS,
    ),
    "PNG of 16 bits": (lambda: png(1200, 900, 16, 2), Reason.COLOURS),
    "grey PNG of 16 bits": (lambda: written(scene(mode="I;16"), "PNG"), Reason.COLOURS),
    "HEIC of 10 bits": (heic_of_10_bits, Reason.COLOURS),
}


# Told only by decoding, which is left to the reader of a stored file.
DAMAGED_INSIDE = {"JPEG without tables", "PNG with too few rows", "PNG in no known colours"}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_files(name):
    make, reason = HOSTILE[name]
    data = make()
    assert refusal(data).reason == reason
    if name not in DAMAGED_INSIDE:
        with pytest.raises(RefusedError, match=reason):
            without_metadata(data)


def test_what_was_found_and_the_limit():
    # 200 MB, told by its length alone
    long = refusal(bytes(200_000_000))
    assert (long.reason, long.found, long.limit) == (Reason.FILE_TOO_LARGE, 200, 40)
    large = refusal(png(9000, 8000))
    assert (large.found, large.limit) == (72, pictures.MAX_MEGAPIXELS)
    small = refusal(png(800, 600))
    assert (small.found, small.limit) == (0.48, 1)


@pytest.mark.parametrize("kind", [*FORMATS, "HEIF"])
def test_cut_short(kind):
    data = written(scene(), kind)
    step = len(data) // (7 if kind == "HEIF" else 60)
    for end in [*range(12, len(data), step), len(data) - 1]:
        assert refusal(data[:end]).reason == Reason.DAMAGED, end


@pytest.mark.parametrize("part", [0.1, 0.5, 0.95])
@pytest.mark.parametrize("mode", ["RGB", "L"])
def test_data_lost_inside_a_jpeg(part, mode):
    """A picture that ends as it should, but half of which is grey."""
    data = written(scene(mode=mode), "JPEG")
    first = data.index(b"\xff\xda") + 14
    cut = first + round(part * (len(data) - first))
    assert refusal(data[:cut].rstrip(b"\xff") + b"\xff\xd9").reason == Reason.DAMAGED


@pytest.mark.parametrize(
    "script",
    ["import os; os.abort()", "import time; time.sleep(60)", "raise MemoryError"],
    ids=["crashes", "hangs", "fails"],
)
def test_a_heic_that_breaks_the_decoder_is_damaged(script, tmp_path, monkeypatch):
    decoder = tmp_path / "decoder.py"
    decoder.write_text(script)
    monkeypatch.setattr(heic, "__file__", str(decoder))
    monkeypatch.setattr(pictures, "HEIC_TIME_LIMIT_S", 0.5)
    assert refusal(b"\0\0\0\x18ftypheic").reason == Reason.DAMAGED


def run(code, *arguments):
    """Run code in a process of its own and return what it printed, from JSON."""
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], cwd=ROOT, capture_output=True, check=True
    )
    return json.loads(done.stdout)


def test_memory_of_the_heic_process_is_limited():
    code = """
from assessments.calculations.measuring import heic
heic.set_limits()
try:
    bytearray(heic.MEMORY_BYTES)
except MemoryError:
    print("true")
"""
    assert run(code) is True


# Reads every file named with at most so much further memory, in bytes, and 20 s of computing.
LIMITED = """
import json, resource, sys
from pathlib import Path
from assessments.calculations.measuring.pictures import open_picture
from assessments.calculations.measuring.refusals import RefusedError

further, *names = sys.argv[1:]
used = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
resource.setrlimit(resource.RLIMIT_AS, (used + int(further),) * 2)
resource.setrlimit(resource.RLIMIT_CPU, (20, 20))
found = {}
for name in names:
    try:
        found[Path(name).name] = open_picture(Path(name).read_bytes(), orientation=6).pixels.shape
    except RefusedError as refused:
        found[Path(name).name] = refused.reason.value
print(json.dumps(found))
"""


def test_bombs_cost_neither_memory_nor_time(tmp_path):
    bombs = {name.replace(" ", "-"): HOSTILE[name] for name in HOSTILE if "bomb" in name}
    assert len(bombs) >= 6
    for name, (make, _) in bombs.items():
        (tmp_path / name).write_bytes(make())
    # Enough for these small files, and for the parts of Python that are loaded late.
    found = run(LIMITED, str(48_000_000), *(str(tmp_path / name) for name in bombs))
    assert found == {name: reason.value for name, (_, reason) in bombs.items()}


def test_fifty_megapixels_in_the_memory_of_a_small_server(tmp_path):
    size = (8192, 6144)
    image = Image.new("RGB", size, "wheat")
    image.paste(scene(512, 512), (0, 0))
    # Progressive and without subsampling, a JPEG takes most of all four kinds.
    data = written(image, "JPEG", progressive=True, subsampling=0)
    (tmp_path / "large").write_bytes(data)
    # 600 MB, less some 60 that Python and the libraries hold.
    found = run(LIMITED, str(540_000_000), str(tmp_path / "large"))
    assert found == {"large": [*size, 3]}


# ---------------------------------------------------------------------------------------------
# What is kept


def loaded_with_metadata(kind):
    """Return a file with everything that phones and editors add, most parts with a secret."""
    exif = Image.Exif()
    exif[0x010F] = SECRET.decode()
    exif[0x0112] = 6
    exif.get_ifd(0x8769)[0x927C] = SECRET * 10  # maker's note
    exif.get_ifd(0x8769)[0xA405] = 26
    exif.get_ifd(0x8825)[0x0002] = (48.0, 12.0, 30.5)
    exif.get_ifd(0x8825)[0x001B] = SECRET
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    xmp = b"<x:xmpmeta>" + SECRET + b"</x:xmpmeta>"
    image = scene()
    if kind == "HEIF":
        return written(image, kind, exif=exif.tobytes(), xmp=xmp, thumbnails=[128])
    if kind == "WEBP":
        data = written(image, kind, exif=exif, xmp=xmp, icc_profile=profile + SECRET)
        length = len(data) + 8
        data += b"JUNK" + struct.pack("<I", 100) + SECRET.ljust(100)
        return patched(data, 4, struct.pack("<I", length + 92)) + archive()
    if kind == "PNG":
        text = PngInfo()
        text.add_text("Author", SECRET.decode())
        text.add_text("Comment", SECRET.decode(), zip=True)
        text.add_itxt("XML:com.adobe.xmp", xmp.decode())
        text.add(b"prVt", SECRET, after_idat=True)
        text.add(b"tIME", bytes(7))
        return (
            written(image, kind, exif=exif, pnginfo=text, icc_profile=profile, dpi=(72, 72))
            + archive()
        )
    jpeg = written(
        image, kind, exif=exif, xmp=xmp, icc_profile=profile + SECRET, comment=SECRET, dpi=(72, 72)
    )
    more = [
        segment(0xE0, b"JFXX\x00\x10" + written(scene(64, 64), "JPEG")),
        segment(0xED, b"Photoshop 3.0\x008BIM\x04\x04\x00\x00\x00\x00\x00\x0d" + SECRET),
        segment(0xEB, b"JP\x00\x01" + SECRET),  # provenance
        segment(0xE2, b"FPXR\x00" + SECRET),
        segment(0xEE, b"Adobe\x00\x64" + SECRET[:4] + b"\x01" + SECRET),
        segment(0xFE, b"%PDF-1.7 " + SECRET),
        SECRET + b"\xff\xff\xff",  # no segment at all, and fill bytes
    ]
    return after_start(jpeg, *more) + jpeg + archive()


@pytest.mark.parametrize("kind", [*FORMATS, "HEIF"])
def test_metadata_is_gone_and_pixels_are_the_same(kind):
    data = loaded_with_metadata(kind)
    assert SECRET in data
    stored = without_metadata(data)
    assert SECRET not in stored.data
    assert stored.focal_35mm == 26
    assert stored.orientation == (1 if kind == "HEIF" else 6)
    assert (stored.width_px, stored.height_px) == (900, 1200)
    assert not zipfile.is_zipfile(io.BytesIO(stored.data))

    image = Image.open(io.BytesIO(stored.data))
    harmless = {"jfif", "jfif_version", "jfif_unit", "jfif_density", "adobe", "adobe_transform"}
    harmless |= {"loop", "background", "timestamp", "duration"}  # Pillow's own, of every WebP
    assert set(image.info) <= harmless
    assert not image.getexif()
    assert image.get_format_mimetype() == stored.mime
    assert {".jpg": "JPEG", ".png": "PNG", ".webp": "WEBP"}[stored.suffix] == image.format

    read = open_picture(stored.data, orientation=stored.orientation, focal_35mm=stored.focal_35mm)
    first = open_picture(data)
    np.testing.assert_array_equal(read.pixels, first.pixels)
    assert read.focal_35mm == first.focal_35mm
    if kind != "HEIF":
        np.testing.assert_array_equal(read.pixels, decoded(data))
    assert without_metadata(stored.data).data == stored.data


def test_a_jpeg_keeps_only_what_a_decoder_needs():
    stored = without_metadata(loaded_with_metadata("JPEG")).data
    markers, at = [], 2
    while stored[at + 1] != 0xDA:
        assert stored[at] == 0xFF
        markers.append(stored[at + 1])
        at += 2 + int.from_bytes(stored[at + 2 : at + 4])
    assert set(markers) <= {0xE0, 0xEE, 0xDB, 0xC0, 0xC4}
    assert stored.endswith(b"\xff\xd9")
    assert stored.count(b"\xff\xd9") == 1


def test_chunks_that_are_left_in_a_png_and_a_webp():
    kept = without_metadata(loaded_with_metadata("PNG")).data
    names, at = [], 8
    while at < len(kept):
        names.append(kept[at + 4 : at + 8])
        at += 12 + int.from_bytes(kept[at : at + 4])
    assert set(names) == {b"IHDR", b"IDAT", b"IEND"}
    webp = without_metadata(loaded_with_metadata("WEBP")).data
    assert webp[12:16] == b"VP8 "
    assert len(webp) == 8 + int.from_bytes(webp[4:8], "little")


def test_stored_files_are_no_longer_than_the_originals():
    for kind in FORMATS:
        data = loaded_with_metadata(kind)
        assert len(without_metadata(data).data) < len(data)


@pytest.mark.parametrize(("suffix", "kind"), [(".jpg", "JPEG"), (".webp", "WEBP")])
def test_renditions(suffix, kind):
    picture = open_picture(loaded_with_metadata("JPEG"))
    small = Image.open(io.BytesIO(rendition(picture, 320, suffix=suffix)))
    assert (small.format, small.size) == (kind, (240, 320))
    assert not small.getexif()
    expected = Image.fromarray(picture.pixels).resize((240, 320), Image.Resampling.BOX)
    assert np.abs(np.asarray(small).astype(int) - np.asarray(expected)).mean() < 3


def test_renditions_are_never_enlarged():
    picture = open_picture(written(scene(), "JPEG"))
    assert Image.open(io.BytesIO(rendition(picture, 5000))).size == (1200, 900)
    thin = Picture(picture.pixels[:2], None)
    assert Image.open(io.BytesIO(rendition(thin, 100))).size == (100, 1)


# ---------------------------------------------------------------------------------------------
# Whatever comes: a picture or a refusal


def dice(seed):
    return random.Random(seed)  # noqa: S311


def mutated(data, others, rng):
    """Return the file with up to four things done to it."""
    file = bytearray(data)
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(file))
        # Headers matter most, and are short.
        if rng.random() < 0.5:
            at = min(at, rng.randrange(200))
        match rng.randrange(7):
            case 0:
                file[at] ^= 1 << rng.randrange(8)
            case 1:
                file[at] = rng.choice((0, 1, 0x7F, 0x80, 0xFE, 0xFF))
            case 2:
                file[at : at + 4] = rng.choice((b"\xff" * 4, bytes(4), b"\x7f\xff\xff\xff"))
            case 3:
                del file[at : at + rng.randint(1, 40)]
            case 4:
                start = rng.randrange(len(file))
                file[at:at] = file[start : start + rng.randint(1, 40)]
            case 5:
                other = rng.choice(others)
                start = rng.randrange(len(other))
                file[at:] = other[start:]
            case _:
                del file[max(at, 12) :]
        if not file:
            return b""
    return bytes(file)


def with_right_check_sums(data):
    """Return a PNG's chunks with the sums put right, so that damage reaches the decoder."""
    at, parts = 8, [data[:8]]
    while at + 12 <= len(data):
        length = int.from_bytes(data[at : at + 4])
        if at + 12 + length > len(data):
            break
        parts.append(chunk(data[at + 4 : at + 8], data[at + 8 : at + 8 + length]))
        at += 12 + length
    return b"".join(parts) + data[at:]


def small_files():
    exif = b"Exif\x00\x00" + tiff("<", {0x0112: (3, 6), 0x8769: (4, {0xA405: (3, 26)})})
    image, clear = scene(48, 40), scene(48, 40, "RGBA")
    clear.putalpha(120)
    return [
        written(image, "JPEG", exif=exif),
        written(image, "JPEG", progressive=True),
        written(image.convert("L"), "JPEG", restart_marker_blocks=2),
        written(image, "PNG", exif=exif),
        written(clear, "PNG"),
        written(image.quantize(8), "PNG", transparency=2, bits=4),
        written(image, "WEBP", exif=exif),
        written(clear, "WEBP"),
        written(clear, "WEBP", lossless=True),
        animated("WEBP", (48, 40)),
    ]


@pytest.mark.parametrize("seed", range(10))
def test_mutated_files(seed, monkeypatch):
    monkeypatch.setattr(pictures, "MIN_MEGAPIXELS", 0)
    # A header may say what it likes up to the limit: many large blank pictures take long.
    monkeypatch.setattr(pictures, "MAX_MEGAPIXELS", 1)
    # HEIC has its own test below, and would start a process for every file.
    monkeypatch.setattr(pictures, "_is_heic", lambda data: False)
    rng = dice(seed)
    files = small_files()
    outcomes = {"picture": 0}
    for _ in range(600):
        data = mutated(files[seed], files, rng)
        if data.startswith(b"\x89PNG") and rng.random() < 0.8:
            data = with_right_check_sums(data)
        try:
            stored = without_metadata(data)
            picture = open_picture(data)
        except RefusedError as refused:
            outcomes[refused.reason] = outcomes.get(refused.reason, 0) + 1
        else:
            outcomes["picture"] += 1
            assert picture.pixels.shape == (stored.height_px, stored.width_px, 3)
            # What is stored is whole, and reads as the original did.
            again = open_picture(stored.data, orientation=stored.orientation)
            np.testing.assert_array_equal(again.pixels, picture.pixels)
    # Both ends are reached, so that the test is not about the first bytes only; the last file
    # is an animated one.
    assert outcomes[Reason.DAMAGED] > 20
    assert seed == 9 or outcomes["picture"] > 0


def test_mutated_heic():
    """The decoder itself, in this process: whatever it raises ends the process of its own."""
    rng = dice(1)
    data = written(scene(64, 64), "HEIF", exif=tiff("<", {0x0112: (3, 1)}))
    pictures_read = failures = 0
    for _ in range(400):
        try:
            _, jpeg = heic.to_jpeg(mutated(data, [data], rng), 0, 1_000_000)
        except Exception:
            failures += 1
        else:
            if jpeg:
                pictures_read += 1
                read_container(jpeg)
    assert failures > 20
    assert pictures_read > 20


def test_mutated_heic_all_the_way():
    rng = dice(2)
    data = written(scene(), "HEIF")
    for _ in range(12):
        with contextlib.suppress(RefusedError):
            assert open_picture(mutated(data, [data], rng)).pixels.ndim == 3
