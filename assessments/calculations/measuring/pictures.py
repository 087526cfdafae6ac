"""Read picture files safely, and keep them without metadata.

Every file is first taken apart by `containers`, which tells from the header whether it is worth
decoding; only what is left of it reaches a decoder. OpenCV decodes: the same pixels as Pillow's, in
half the memory and, for a JPEG of 12 megapixels, in little more than half the time.

Profiles of colour are not applied. A phone's Display P3 has sRGB's tone curve, so that light, and
with it the place of an edge, comes out the same; only colours are a little paler, and the
conversion would take longer than all of the decoding.
"""

import json
import struct
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

import cv2
import numpy as np
from cv2.typing import MatLike
from numpy.typing import NDArray

from assessments.calculations.measuring import heic
from assessments.calculations.measuring.containers import Contents, read_container
from assessments.calculations.measuring.refusals import Reason, RefusedError

MAX_FILE_MB: Final = 40.0
"""Longest file, in 10⁶ bytes."""
MIN_MEGAPIXELS: Final = 1.0
MAX_MEGAPIXELS: Final = 50.5
"""Fifty, and what sensors sold as fifty have over: 8192 x 6144 pixels."""
MAX_SIDE_PX: Final = 30_000
"""Longest side, whatever the area: OpenCV's geometry ends at 32767."""
HEIC_TIME_LIMIT_S: Final = 30.0
"""A photo of 12 megapixels takes one second."""
PLAUSIBLE_FOCAL_35MM: Final = (8.0, 500.0)

_ORIENTATION_TAG: Final = 0x0112
_EXIF_IFD_TAG: Final = 0x8769
_FOCAL_35MM_TAG: Final = 0xA405
_UNTURNED: Final = 1
_UNREACHED_GREY: Final = 128
# EXIF orientation: whether rows and columns change places, then the axis to mirror about, as
# cv2.flip names it: 0 top to bottom, 1 left to right, -1 both.
_STEPS_UPRIGHT: Final[dict[int, tuple[bool, int | None]]] = {
    1: (False, None),
    2: (False, 1),
    3: (False, -1),
    4: (False, 0),
    5: (True, None),
    6: (True, 1),
    7: (True, -1),
    8: (True, 0),
}

# Major brands of ISO/IEC 23008-12: still pictures coded with HEVC, and sequences of them.
_HEIC_BRANDS: Final = frozenset({b"heic", b"heix", b"heim", b"heis", b"mif1"})
_SEQUENCE_BRANDS: Final = frozenset({b"hevc", b"hevx", b"hevm", b"hevs", b"msf1"})


@dataclass(frozen=True, slots=True)
class Picture:
    """One upright picture.

    Attributes
    ----------
    pixels : ndarray of uint8, shape (height, width, 3)
        Red, green, blue as in the file (sRGB values), the orientation tag applied.
    focal_35mm : float or None
        35 mm equivalent focal length from EXIF, by the diagonal.
    """

    pixels: NDArray[np.uint8]
    focal_35mm: float | None


@dataclass(frozen=True, slots=True)
class StoredPicture:
    """A picture file without metadata, and what has to be kept beside it.

    Attributes
    ----------
    data : bytes
        The file.
    suffix, mime : str
        ``'.jpg'``, ``'.png'`` or ``'.webp'``, and the media type.
    width_px, height_px : int
        Size of the upright picture.
    orientation : int
        EXIF orientation, 1 to 8, that `open_picture` has to apply.
    focal_35mm : float or None
        35 mm equivalent focal length from EXIF.
    """

    data: bytes
    suffix: str
    mime: str
    width_px: int
    height_px: int
    orientation: int
    focal_35mm: float | None


def open_picture(
    data: bytes, *, orientation: int | None = None, focal_35mm: float | None = None
) -> Picture:
    """Decode a picture file: JPEG, PNG, WebP or HEIC, told by its content.

    Of a file with several still pictures (a phone's previews, depth and gain maps, a film behind
    the photo) the first or main one is read. Grey and palette become RGB; transparency is put on
    white, but for a grey PNG whose transparency is a single grey.

    Parameters
    ----------
    data : bytes
        The file.
    orientation : int, optional
        EXIF orientation, 1 to 8, in place of the file's own; see `StoredPicture`.
    focal_35mm : float, optional
        35 mm equivalent focal length in place of the file's own.

    Returns
    -------
    Picture
        Upright, 8 bit RGB. A picture of 50 megapixels takes 150 MB, twice that in passing.

    Raises
    ------
    RefusedError
        With the reasons ``NOT_A_PICTURE``, ``DAMAGED`` (cut short too), ``FILE_TOO_LARGE`` (found
        and limit in MB), ``TOO_FEW_PIXELS``, ``TOO_MANY_PIXELS`` (found and limit in megapixels),
        ``ANIMATED``, or ``COLOURS`` (CMYK, more than 8 bits a channel). All but ``DAMAGED`` are
        decided before anything is decoded. A server short of memory may call a picture
        damaged: OpenCV does not tell the two apart.
    """
    contents, own_orientation, own_focal_35mm = _read(data)
    upright = _turn_upright(_decode(contents), orientation or own_orientation)
    return Picture(np.asarray(upright, np.uint8), focal_35mm or own_focal_35mm)


def without_metadata(data: bytes) -> StoredPicture:
    """Return the same picture in a file that holds nothing else.

    Left out are EXIF, XMP, IPTC, comments, previews, colour profiles, provenance records, further
    pictures, and whatever stands behind the picture's end. JPEG, PNG and WebP keep their coded
    pixels as they are, so that nothing gets less sharp; they are not decoded here. HEIC, which
    browsers do not show, becomes an upright JPEG at quality 97 without colour subsampling.

    Raises
    ------
    RefusedError
        As `open_picture`; damage inside the coded pixels shows only there.
    """
    contents, orientation, focal_35mm = _read(data)
    size = contents.width_px, contents.height_px
    swapped, _ = _STEPS_UPRIGHT[orientation]
    width_px, height_px = reversed(size) if swapped else size
    return StoredPicture(
        contents.data,
        contents.suffix,
        contents.mime,
        width_px,
        height_px,
        orientation,
        focal_35mm,
    )


def rendition(
    picture: Picture,
    longest_px: int,
    *,
    suffix: Literal[".jpg", ".webp"] = ".jpg",
    quality: int = 82,
) -> bytes:
    """Return a smaller file of the picture for a page.

    Parameters
    ----------
    picture : Picture
    longest_px : int
        Longest side; a smaller picture stays as it is.
    suffix : str
        Kind of file. A WebP is shorter, and takes longer to make.
    quality : int
        1 to 100.

    Returns
    -------
    bytes
        Upright, no metadata.
    """
    height, width = picture.pixels.shape[:2]
    scale = min(1.0, longest_px / max(width, height))
    size = max(1, round(width * scale)), max(1, round(height * scale))
    small = cv2.resize(picture.pixels, size, interpolation=cv2.INTER_AREA)
    option = cv2.IMWRITE_JPEG_QUALITY if suffix == ".jpg" else cv2.IMWRITE_WEBP_QUALITY
    _, coded = cv2.imencode(suffix, cv2.cvtColor(small, cv2.COLOR_RGB2BGR), [option, quality])
    return coded.tobytes()


def _read(data: bytes) -> tuple[Contents, int, float | None]:
    """Take a file apart; also return its orientation and focal length."""
    file_mb = len(data) / 1e6
    if file_mb > MAX_FILE_MB:
        raise RefusedError(Reason.FILE_TOO_LARGE, found=file_mb, limit=MAX_FILE_MB)
    is_heic = _is_heic(data)
    contents = read_container(_heic_to_jpeg(data) if is_heic else data)
    _check_size(contents.width_px, contents.height_px)
    orientation, focal_35mm = _read_exif(contents.exif)
    # A HEIC says in its own boxes how it is turned, and is turned already.
    return contents, _UNTURNED if is_heic else orientation, focal_35mm


def _check_size(width_px: int, height_px: int) -> None:
    megapixels = width_px * height_px / 1e6
    if megapixels < MIN_MEGAPIXELS:
        raise RefusedError(Reason.TOO_FEW_PIXELS, found=megapixels, limit=MIN_MEGAPIXELS)
    if megapixels > MAX_MEGAPIXELS:
        raise RefusedError(Reason.TOO_MANY_PIXELS, found=megapixels, limit=MAX_MEGAPIXELS)
    if max(width_px, height_px) > MAX_SIDE_PX:
        raise RefusedError(Reason.TOO_MANY_PIXELS)


def _is_heic(data: bytes) -> bool:
    if data[4:8] != b"ftyp":
        return False
    if data[8:12] in _SEQUENCE_BRANDS:
        raise RefusedError(Reason.ANIMATED)
    return data[8:12] in _HEIC_BRANDS


def _heic_to_jpeg(data: bytes) -> bytes:
    """Convert in a process of its own, see `heic`."""
    limits = [str(round(limit * 1e6)) for limit in (MIN_MEGAPIXELS, MAX_MEGAPIXELS)]
    try:
        done = subprocess.run(  # noqa: S603  (our own script, and two numbers of ours)
            [sys.executable, "-I", str(Path(heic.__file__)), *limits],
            input=data,
            capture_output=True,
            timeout=HEIC_TIME_LIMIT_S,
            check=True,
        )
    except subprocess.SubprocessError:
        raise RefusedError(Reason.DAMAGED) from None
    header, _, jpeg = done.stdout.partition(b"\n")
    found = json.loads(header)
    _check_size(found["width"], found["height"])
    if found["bits"] != 8:
        raise RefusedError(Reason.COLOURS)
    return jpeg


def _read_exif(exif: bytes) -> tuple[int, float | None]:
    """Return orientation and 35 mm focal length of an EXIF block (CIPA DC-008).

    Anything unreadable counts as absent. Only these two are looked up: a general reader would
    follow every entry of a hostile directory.
    """
    order = {b"II": "<", b"MM": ">"}.get(exif[:2])
    if not order:
        return _UNTURNED, None

    def number(at: int, code: str) -> int:
        try:
            return int(struct.unpack_from(order + code, exif, at)[0])
        except struct.error:
            return 0

    def find(directory: int, tag: int) -> int:
        for entry in range(number(directory, "H")):
            at = directory + 2 + 12 * entry
            if number(at, "H") == tag:
                # Type 3 is a number of two bytes; the others that may stand here have four.
                return number(at + 8, "H" if number(at + 2, "H") == 3 else "I")
        return 0

    first = number(4, "I")
    orientation = find(first, _ORIENTATION_TAG)
    focal = find(find(first, _EXIF_IFD_TAG), _FOCAL_35MM_TAG)
    low, high = PLAUSIBLE_FOCAL_35MM
    return (
        orientation if orientation in _STEPS_UPRIGHT else _UNTURNED,
        float(focal) if low <= focal <= high else None,
    )


def _decode(contents: Contents) -> MatLike:
    """Decode to 8 bit RGB as stored."""
    coded = np.frombuffer(contents.data, np.uint8)
    how = cv2.IMREAD_UNCHANGED if contents.transparent else cv2.IMREAD_COLOR_RGB
    try:
        pixels = cv2.imdecode(coded, how)
    except cv2.error:
        raise RefusedError(Reason.DAMAGED) from None
    if pixels is None or pixels.shape[:2] != (contents.height_px, contents.width_px):
        raise RefusedError(Reason.DAMAGED)
    # What the data of a JPEG do not reach, because some were lost, is left in this grey.
    if contents.suffix == ".jpg" and (pixels[-1] == _UNREACHED_GREY).all():
        raise RefusedError(Reason.DAMAGED)
    return _on_white(pixels) if contents.transparent else pixels


def _on_white(pixels: MatLike) -> MatLike:
    """Make RGB of what OpenCV decodes unchanged: grey, BGR, or BGR with alpha."""
    if pixels.ndim == 2:
        return cv2.cvtColor(pixels, cv2.COLOR_GRAY2RGB)
    if pixels.shape[2] == 3:
        return cv2.cvtColor(pixels, cv2.COLOR_BGR2RGB)
    opaque = np.empty((*pixels.shape[:2], 3), np.uint8)
    for top in range(0, len(pixels), 256):  # by strips: the sums take two bytes
        strip = pixels[top : top + 256]
        colours, alpha = strip[..., 2::-1].astype(np.uint16), strip[..., 3:].astype(np.uint16)
        opaque[top : top + 256] = (colours * alpha + 255 * (255 - alpha) + 127) // 255
    return opaque


def _turn_upright(pixels: MatLike, orientation: int) -> MatLike:
    swapped, axis = _STEPS_UPRIGHT[orientation]
    if swapped:
        pixels = cv2.transpose(pixels)
    return pixels if axis is None else cv2.flip(pixels, axis, pixels)
