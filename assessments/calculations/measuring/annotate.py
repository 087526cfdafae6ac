"""Draw what was measured into the photo."""

from collections.abc import Sequence
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from assessments.calculations.measuring.camera import Floats
from assessments.calculations.measuring.pictures import Picture
from assessments.calculations.measuring.results import PhotoReading, StrandReading

Pixels = NDArray[np.uint8]

MEASURED_RGB: Final = (0, 200, 120)
LEFT_RGB: Final = (255, 140, 0)
TEXT_RGB: Final = (255, 255, 255)
TEXT_MM: Final = 4.0
"""Height of the numbers where strands lie far enough apart."""
TEXT_PX: Final = (9, 90)
FONT: Final = cv2.FONT_HERSHEY_SIMPLEX
CAPITALS_PX: Final = 21.0
"""Height of the font's capitals at scale 1."""


def annotated(picture: Picture, reading: PhotoReading) -> Pixels:
    """Return the picture with every strand's outline, number and width drawn into it.

    Parameters
    ----------
    picture : Picture
        The one that was measured.
    reading : PhotoReading

    Returns
    -------
    ndarray of uint8, shape (height, width, 3)
        Red, green, blue. Numbers stand beyond the strands' ends and run along them. Strands
        without a width are drawn broken and marked "?".
    """
    drawn = picture.pixels.copy()
    if not reading.strands:
        return drawn
    line = max(1, round(max(drawn.shape) / 2000))
    ends = [end_of(strand) for strand in reading.strands]
    outward = np.mean([toward for _end, toward in ends], axis=0)
    # All numbers on one side, where a reader looks first: above or to the left.
    if outward @ np.array([1.0, 1.2]) > 0:
        ends = [end_of(strand, last=True) for strand in reading.strands]
    texts = [f"{strand.number}: {width_of(strand)}" for strand in reading.strands]
    height = text_height(ends, reading.camera.px_per_mm)
    gaps = apart(ends, [text_length(text, height) for text in texts], height)
    for strand, text, (end, toward), gap in zip(reading.strands, texts, ends, gaps, strict=True):
        draw_outline(drawn, strand, line)
        rgb = LEFT_RGB if strand.width_mm is None else TEXT_RGB
        if gap > height:  # moved away from its strand: a line leads there
            first, second = pixel(end), pixel(end + gap * toward)
            cv2.line(drawn, first, second, rgb, line, cv2.LINE_AA)
        draw_along(drawn, text, end + gap * toward, toward, height, rgb)
    return drawn


def pixel(point: Floats) -> tuple[int, int]:
    """Return the pixel nearest to a point."""
    return round(float(point[0])), round(float(point[1]))


def width_of(strand: StrandReading) -> str:
    """Return the width as a text, "?" where there is none."""
    return "?" if strand.width_mm is None else f"{strand.width_mm:.2f}"


def end_of(strand: StrandReading, *, last: bool = False) -> tuple[Floats, Floats]:
    """Return a strand's first or last end, and the direction from which it comes there, pixels."""
    outline = np.array(strand.outline_px)
    half = len(outline) // 2
    middles = (outline[:half] + outline[: half - 1 : -1]) / 2
    if last:
        middles = middles[::-1]
    outward = middles[0] - middles[min(4, half - 1)]
    return middles[0], outward / max(float(np.hypot(*outward)), 1e-9)


def text_height(ends: Sequence[tuple[Floats, Floats]], px_per_mm: float) -> float:
    """Return a height of text, pixels, at which the numbers of most neighbours keep apart."""
    wanted = TEXT_MM * px_per_mm
    if len(ends) > 1:
        _along, across = frame(ends)
        places = np.sort([end @ across for end, _toward in ends])
        wanted = min(wanted, 0.8 * float(np.quantile(np.diff(places), 0.4)))
    return float(np.clip(wanted, *TEXT_PX))


def text_length(text: str, height: float) -> float:
    """Return the length of a text of a certain height of capitals, pixels."""
    (length, _height), _base = cv2.getTextSize(text, FONT, 1.0, 1)
    return length * height / CAPITALS_PX


def frame(ends: Sequence[tuple[Floats, Floats]]) -> tuple[Floats, Floats]:
    """Return the unit vectors along the strands, outward, and across."""
    toward = np.mean([toward for _end, toward in ends], axis=0)
    toward = toward / max(float(np.hypot(*toward)), 1e-9)
    return toward, np.array([-toward[1], toward[0]])


def apart(
    ends: Sequence[tuple[Floats, Floats]], lengths: Sequence[float], height: float
) -> list[float]:
    """Return how far beyond its strand's end each text begins, so that none lies on another."""
    along, across = frame(ends)
    placed: list[tuple[float, float, float]] = []
    gaps = []
    for (end, _toward), length in zip(ends, lengths, strict=True):
        lane, start = float(end @ across), float(end @ along)
        gap = height / 2
        for other, first, last in sorted(placed, key=lambda text: text[1]):
            beside = abs(other - lane) < 1.25 * height
            if beside and first < start + gap + length and last > start + gap:
                gap = last - start + height / 2
        placed.append((lane, start + gap, start + gap + length))
        gaps.append(gap)
    return gaps


def draw_outline(drawn: Pixels, strand: StrandReading, line: int) -> None:
    """Draw a strand's outline, broken where it has no width."""
    outline = np.rint(np.array(strand.outline_px)).astype(np.int32)
    if strand.width_mm is not None:
        cv2.polylines(drawn, [outline], True, MEASURED_RGB, line, cv2.LINE_AA)
        return
    for first, second in zip(outline[::2], outline[1::2], strict=False):
        cv2.line(drawn, first.tolist(), second.tolist(), LEFT_RGB, 2 * line, cv2.LINE_AA)


def draw_along(
    drawn: Pixels, text: str, end: Floats, outward: Floats, height: float, rgb: tuple[int, int, int]
) -> None:
    """Draw a text that begins, or ends, at `end` and runs along `outward`."""
    # Drawn large and level, then turned into its place: letters stay smooth at any angle.
    scale = 2.0
    size = scale * height / CAPITALS_PX
    weight = max(1, round(0.13 * scale * height))
    (width, _height), _base = cv2.getTextSize(text, FONT, size, weight)
    rim = round(0.4 * scale * height)
    patch = np.zeros((round(scale * height) + 2 * rim, width + 2 * rim), np.uint8)
    at = (rim, rim + round(scale * height))
    cv2.putText(patch, text, at, FONT, size, 255, weight, cv2.LINE_AA)
    halo = cv2.dilate(patch, np.ones((2 * (rim // 2) + 1,) * 2, np.uint8))
    forward = outward[0] >= -0.17  # to be read from the left or from below
    along = (outward if forward else -outward) / scale
    down = np.array([-along[1], along[0]])
    near = np.array([0.0 if forward else patch.shape[1], patch.shape[0] / 2])
    origin = end - near[0] * along - near[1] * down
    matrix = np.column_stack([along, down, origin])
    corners = np.array([(x, y, 1.0) for x in (0, patch.shape[1]) for y in (0, patch.shape[0])])
    reach = corners @ matrix.T
    low = np.clip(np.floor(reach.min(axis=0)).astype(int), 0, drawn.shape[1::-1])
    high = np.clip(np.ceil(reach.max(axis=0)).astype(int) + 1, 0, drawn.shape[1::-1])
    if (high <= low).any():
        return
    matrix[:, 2] -= low
    part = drawn[low[1] : high[1], low[0] : high[0]]
    for image, ink in ((halo, (0, 0, 0)), (patch, rgb)):
        turned = cv2.warpAffine(image, matrix, (part.shape[1], part.shape[0]), flags=cv2.INTER_AREA)
        share = turned[..., None].astype(np.float32) / 255
        part[:] = np.rint(part + share * (np.array(ink, np.float32) - part)).astype(np.uint8)
