"""JPEG, PNG and WebP files: what the header says, and the file without all that is not picture.

Only the parts that a decoder needs are copied, so that metadata, previews, further pictures and
whatever hangs behind the end never reach a decoder, nor the disk. The picture's own bytes are not
touched: it decodes to the same pixels.

The parts are those of ITU-T T.81 (JPEG), of the W3C recommendation "Portable Network Graphics",
third edition, and of RFC 9649 (WebP).
"""

import re
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, NoReturn

from assessments.calculations.measuring.refusals import Reason, RefusedError

MAX_PARTS: Final = 20_000
"""Segments or chunks of a file. A phone's photo has some dozens."""
MAX_SCANS: Final = 30
"""Passes of a progressive JPEG, each of which goes over all pixels; encoders write about ten."""

_JPEG_START: Final = b"\xff\xd8\xff"
_PNG_START: Final = b"\x89PNG\r\n\x1a\n"

_JPEG_MARKER: Final = re.compile(rb"\xff[\x01-\xfe]")
# Inside a scan 0xff 0x00 is a byte of data and 0xff 0xd0..0xd7 starts a stretch of it anew.
_JPEG_AFTER_SCAN: Final = re.compile(rb"\xff[\x01-\xcf\xd8-\xfe]")
_JPEG_BARE: Final = frozenset({0x01, *range(0xD0, 0xD9)})
_JPEG_FRAMES: Final = frozenset({0xC0, 0xC1, 0xC2})
_JPEG_OTHER_FRAMES: Final = frozenset(range(0xC3, 0xD0)) - {0xC4, 0xC8, 0xCC} | {0xDE}
_JPEG_TABLES: Final = frozenset({0xC4, 0xDB, 0xDD})
_JPEG_END: Final = 0xD9
_JPEG_SCAN: Final = 0xDA
# The two application segments that say how the components are to be read as colours, emptied of
# everything else.
_JFIF: Final = b"\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"
_ADOBE: Final = b"\xff\xee\x00\x0eAdobe\x00\x64\x00\x00\x00\x00"

_PNG_KEPT: Final = frozenset({b"PLTE", b"tRNS", b"IDAT", b"IEND"})
_PNG_WITH_ALPHA: Final = frozenset({4, 6})
_WEBP_MOVING: Final = frozenset({b"ANIM", b"ANMF"})
_WEBP_ALPHA_FLAG: Final = 0x10


@dataclass(frozen=True, slots=True)
class Contents:
    """A picture file, opened but not decoded.

    Attributes
    ----------
    data : bytes
        The file with nothing in it but the picture.
    suffix, mime : str
        File name ending with its dot, and media type.
    width_px, height_px : int
        Size as stored, no orientation applied.
    transparent : bool
        Whether it may have an alpha channel.
    exif : bytes
        EXIF of the original, from its byte order mark on; empty where there is none.
    """

    data: bytes
    suffix: str
    mime: str
    width_px: int
    height_px: int
    transparent: bool
    exif: bytes


def read_container(data: bytes) -> Contents:
    """Tell a JPEG, PNG or WebP file by its first bytes, and take it apart.

    The work grows with the length of the file, not with the size of the picture.

    Raises
    ------
    RefusedError
        Not one of the three, damaged, cut short, animated, or in colours other than 8 bit grey,
        palette or RGB.
    """
    if data.startswith(_JPEG_START):
        return _read_jpeg(data)
    if data.startswith(_PNG_START):
        return _read_png(data)
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return _read_webp(data)
    raise RefusedError(Reason.NOT_A_PICTURE)


def _damaged() -> NoReturn:
    raise RefusedError(Reason.DAMAGED)


def _jpeg_segments(data: bytes) -> Iterator[tuple[int, int, int]]:
    """Yield marker, start and end of every segment, up to the end of the first picture.

    The segment of a scan takes in the scan's data.
    """
    at = 2
    for _ in range(MAX_PARTS):
        found = _JPEG_MARKER.search(data, at)
        if not found:
            _damaged()
        start, at = found.span()
        marker = data[start + 1]
        if marker == _JPEG_END:
            return
        if marker in _JPEG_BARE:
            continue
        length = int.from_bytes(data[at : at + 2])
        at += length
        if length < 2 or at > len(data):
            _damaged()
        if marker == _JPEG_SCAN:
            after = _JPEG_AFTER_SCAN.search(data, at)
            if not after:
                _damaged()
            at = after.start()
        yield marker, start, at
    _damaged()


def _read_jpeg(data: bytes) -> Contents:
    kept = [data[:2]]
    exif = b""
    size: tuple[int, int] | None = None
    scans = 0
    for marker, start, end in _jpeg_segments(data):
        body = data[start + 4 : min(end, start + 18)]
        if marker in _JPEG_FRAMES:
            if size or len(body) < 6:
                _damaged()
            bits, height, width, components = struct.unpack_from(">BHHB", body)
            if bits != 8 or components not in {1, 3}:
                raise RefusedError(Reason.COLOURS)
            size = width, height
        elif marker in _JPEG_OTHER_FRAMES:  # lossless, hierarchical, arithmetic coding
            raise RefusedError(Reason.NOT_A_PICTURE)
        elif marker == _JPEG_SCAN:
            scans += 1
            if not size or scans > MAX_SCANS:
                _damaged()
        elif marker == 0xE0 and body.startswith(b"JFIF\x00"):
            kept.append(_JFIF)
            continue
        elif marker == 0xEE and body.startswith(b"Adobe") and len(body) >= 12:
            kept.append(_ADOBE + body[11:12])
            continue
        elif marker not in _JPEG_TABLES:
            if marker == 0xE1 and body.startswith(b"Exif\x00\x00") and not exif:
                exif = data[start + 10 : end]
            continue
        kept.append(data[start:end])
    if not size or not scans:
        _damaged()
    kept.append(b"\xff\xd9")
    return Contents(b"".join(kept), ".jpg", "image/jpeg", *size, transparent=False, exif=exif)


def _png_chunks(data: bytes) -> Iterator[tuple[bytes, int, int]]:
    """Yield name, start and end of every chunk to the last; the end is that of the check sum."""
    at = len(_PNG_START)
    for _ in range(MAX_PARTS):
        if at + 12 > len(data):
            _damaged()
        length, name = struct.unpack_from(">I4s", data, at)
        end = at + 12 + length
        if end > len(data):
            _damaged()
        yield name, at, end
        if name == b"IEND":
            return
        at = end
    _damaged()


def _read_png(data: bytes) -> Contents:
    kept = [_PNG_START]
    exif = b""
    width = height = colour = -1
    transparent = False
    whole = memoryview(data)
    for name, start, end in _png_chunks(data):
        if len(kept) == 1:
            if name != b"IHDR" or end - start != 25:
                _damaged()
            width, height, bits, colour = struct.unpack_from(">IIBB", data, start + 8)
            if bits == 16:
                raise RefusedError(Reason.COLOURS)
        elif name == b"acTL" and data[start + 8 : start + 12] > b"\x00\x00\x00\x01":
            raise RefusedError(Reason.ANIMATED)
        elif name not in _PNG_KEPT:
            if name == b"eXIf":
                exif = data[start + 8 : end - 4].removeprefix(b"Exif\x00\x00")
            continue
        if zlib.crc32(whole[start + 4 : end - 4]) != int.from_bytes(data[end - 4 : end]):
            _damaged()
        transparent |= name == b"tRNS"
        kept.append(data[start:end])
    transparent |= colour in _PNG_WITH_ALPHA
    return Contents(b"".join(kept), ".png", "image/png", width, height, transparent, exif)


def _webp_chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Yield name and body of every chunk inside the length that the file gives."""
    end = 8 + int.from_bytes(data[4:8], "little")
    if end > len(data):
        _damaged()
    at = 12
    for _ in range(MAX_PARTS):
        if at + 8 > end:
            return
        name, length = struct.unpack_from("<4sI", data, at)
        at += 8 + length
        if at > end:
            _damaged()
        yield name, data[at - length : at]
        at += length % 2
    _damaged()


def _webp_chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack("<4sI", name, len(body)) + body + b"\x00" * (len(body) % 2)


def _read_webp(data: bytes) -> Contents:
    exif = alpha = b""
    picture: tuple[bytes, bytes] | None = None
    for name, body in _webp_chunks(data):
        if name in _WEBP_MOVING:
            raise RefusedError(Reason.ANIMATED)
        if name == b"ALPH" and not picture:
            alpha = body
        elif name in {b"VP8 ", b"VP8L"} and not picture:
            picture = name, body
        elif name == b"EXIF":
            exif = body.removeprefix(b"Exif\x00\x00")
    if not picture:
        _damaged()
    name, body = picture
    if name == b"VP8 " and body[3:6] == b"\x9d\x01\x2a" and len(body) >= 10:
        width, height = (side & 0x3FFF for side in struct.unpack_from("<HH", body, 6))
        transparent = bool(alpha)
    elif name == b"VP8L" and body[:1] == b"\x2f" and len(body) >= 5:
        packed = int.from_bytes(body[1:5], "little")
        width, height = (packed & 0x3FFF) + 1, (packed >> 14 & 0x3FFF) + 1
        transparent, alpha = bool(packed >> 28 & 1), b""
    else:
        _damaged()
    chunks = _webp_chunk(name, body)
    if alpha and width and height:
        canvas = b"".join((side - 1).to_bytes(3, "little") for side in (width, height))
        flags = _WEBP_ALPHA_FLAG.to_bytes(4, "little")
        chunks = _webp_chunk(b"VP8X", flags + canvas) + _webp_chunk(b"ALPH", alpha) + chunks
    clean = struct.pack("<4sI4s", b"RIFF", 4 + len(chunks), b"WEBP") + chunks
    return Contents(clean, ".webp", "image/webp", width, height, transparent, exif)
