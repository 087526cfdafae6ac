"""The card's field seen from straight above: where there is dough, and in which direction."""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from assessments.calculations.measuring.camera import Camera, Floats
from assessments.calculations.measuring.card import MARKER_MM, PAD_MM, Card
from assessments.calculations.measuring.light import LIGHT_OF, look_up

Image = NDArray[np.float32]
Mask = NDArray[np.bool_]

MARGIN_MM: Final = 2.0
"""How far beyond the field dough is still looked for: tops seem to lie further out."""
DOUGH_RATIO: Final = 0.6
"""Least red over blue, both as parts of the markers' white: the card has 0.04, lit or in shadow,
dough 0.9 or more; a glance of lamp light on the card makes it paler but stays below."""
CARD_BLUE: Final = 0.17
"""Blue over red, as parts of the markers' white, from which on a place is card whatever their
ratio: a glance of lamp light adds the same to both and leaves the difference."""
TOP_LIGHT: Final = 0.5
"""Least light of a top face over the light of the dough around it; walls in shadow have less."""


@dataclass(frozen=True, slots=True)
class View:
    """The field as a picture, one axis along the strands.

    Attributes
    ----------
    angle_deg : float
        Direction of the strands on the card: columns run along it.
    origin_mm : ndarray, shape (2,)
        Card point of the first pixel's centre.
    along_per_mm, across_per_mm : float
        Pixels per millimetre, columns and rows.
    light : ndarray, shape (rows, columns, 3)
        Light of red, green and blue as parts of the markers' white.
    stored : ndarray of uint8, shape (rows, columns, 3)
        Values as in the file.
    inside : ndarray of bool, shape (rows, columns)
        Within the field and within the picture.
    """

    angle_deg: float
    origin_mm: Floats
    along_per_mm: float
    across_per_mm: float
    light: Image
    stored: NDArray[np.uint8]
    inside: Mask

    @property
    def axes(self) -> Floats:
        """Unit vectors along and across the strands, rows of shape (2, 2)."""
        turn = np.radians(self.angle_deg)
        return np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])


def white_of(rgb: NDArray[np.uint8], camera: Camera, card: Card, markers: tuple[int, ...]) -> Image:
    """Return the light of the markers' white pads, shape (3,)."""
    ring = card.scale * (MARKER_MM + PAD_MM) / 4
    reach = np.linspace(-ring, ring, 25)
    edge = np.full_like(reach, ring)
    around = np.concatenate(
        [
            np.column_stack(pair)
            for pair in ((reach, -edge), (reach, edge), (-edge, reach), (edge, reach))
        ]
    )
    pads = []
    for number in markers:
        middle = np.array(card.markers_mm[number]) + card.scale * MARKER_MM / 2
        points = np.column_stack([middle + around, np.zeros(len(around))])
        at = np.rint(camera.project(points)).astype(int)
        fits = ((at >= 0) & (at < np.array(rgb.shape[1::-1]))).all(axis=1)
        if fits.any():
            pads.append(np.median(LIGHT_OF[rgb[at[fits, 1], at[fits, 0]]], axis=0))
    return np.asarray(np.mean(pads, axis=0), dtype=np.float32)


def view_of(
    rgb: NDArray[np.uint8],
    camera: Camera,
    card: Card,
    white: Image,
    *,
    z_mm: float,
    angle_deg: float = 0.0,
    along_per_mm: float,
    across_per_mm: float,
) -> View:
    """Return the field as seen from straight above, at the height `z_mm`."""
    left, top, right, bottom = card.field_mm
    turn = np.radians(angle_deg)
    axes = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    corners = np.array(
        [
            (x, y)
            for x in (left - MARGIN_MM, right + MARGIN_MM)
            for y in (top - MARGIN_MM, bottom + MARGIN_MM)
        ]
    )
    spans = corners @ axes.T
    low, high = spans.min(axis=0), spans.max(axis=0)
    columns = int(np.ceil((high[0] - low[0]) * along_per_mm)) + 1
    rows = int(np.ceil((high[1] - low[1]) * across_per_mm)) + 1
    # Pixels are worked out on a coarse grid and drawn out between: the map is smooth.
    coarse_u = np.linspace(low[0], low[0] + (columns - 1) / along_per_mm, max(2, columns // 16))
    coarse_v = np.linspace(low[1], low[1] + (rows - 1) / across_per_mm, max(2, rows // 16))
    grid = np.stack(np.meshgrid(coarse_u, coarse_v), axis=-1) @ axes
    raised = np.concatenate([grid, np.full_like(grid[..., :1], z_mm)], axis=-1)
    pixels = camera.project(raised).astype(np.float32)
    fine = stretch(pixels, rows, columns)
    values = np.asarray(look_up(rgb, fine), dtype=np.uint8)
    light = np.asarray(cv2.LUT(values, LIGHT_OF) / white, dtype=np.float32)
    u = low[0] + np.arange(columns) / along_per_mm
    v = low[1] + np.arange(rows) / across_per_mm
    x, y = (np.add.outer(v * axes[1, i], u * axes[0, i]) for i in (0, 1))
    inside = (x > left - MARGIN_MM) & (x < right + MARGIN_MM)
    inside &= (y > top - MARGIN_MM) & (y < bottom + MARGIN_MM)
    inside &= (fine[..., 0] >= 1) & (fine[..., 0] < rgb.shape[1] - 2)
    inside &= (fine[..., 1] >= 1) & (fine[..., 1] < rgb.shape[0] - 2)
    return View(angle_deg, low @ axes, along_per_mm, across_per_mm, light, values, inside)


def stretch(coarse: Image, rows: int, columns: int) -> Image:
    """Draw out a coarse grid, its ends included, to `rows` by `columns` by straight lines."""
    height, width = coarse.shape[:2]
    u = np.linspace(0, width - 1, columns, dtype=np.float32)
    v = np.linspace(0, height - 1, rows, dtype=np.float32)
    at = np.stack(np.meshgrid(u, v), axis=-1)
    return np.asarray(look_up(coarse, at), dtype=np.float32)


@dataclass(frozen=True, slots=True)
class Dough:
    """Where there is dough in a view: arrays of shape (rows, columns).

    ``dough`` is 1 for dough of any light, ``top`` for lit top faces, ``light`` the luminance.
    ``top_rgb`` and ``card_rgb`` are the usual stored colours of tops and of the bare card.
    """

    dough: Image
    top: Image
    light: Image
    top_rgb: Floats
    card_rgb: Floats


def dough_in(view: View) -> Dough:
    """Tell dough from card by its colour, and its tops from walls and shadow by their light."""
    red, green, blue = cv2.split(view.light)
    light = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    is_dough = (red > DOUGH_RATIO * blue) & (blue - red < CARD_BLUE) & view.inside
    dough = is_dough.astype(np.float32)
    reach = (
        int(12 * view.along_per_mm) // 2 * 2 + 1,
        int(12 * view.across_per_mm) // 2 * 2 + 1,
    )
    around = cv2.blur(dough * light, reach) / np.maximum(cv2.blur(dough, reach), 1e-6)
    top = (is_dough & (light > TOP_LIGHT * around)).astype(np.float32)
    sparse = view.stored[::3, ::3]
    on, off = top[::3, ::3] > 0, (view.inside & ~is_dough)[::3, ::3]

    def usual(where: Mask) -> Floats:
        return np.median(sparse[where], axis=0) if where.any() else np.zeros(3)

    return Dough(dough, top, np.asarray(light, dtype=np.float32), usual(on), usual(off))


def direction_of(top: Image, per_mm: float) -> float:
    """Return the direction in degrees that the strands share, in [0, 180).

    Across it the picture changes most: the first axis of the structure tensor (Bigun and Granlund
    1987, First International Conference on Computer Vision, from memory).
    """
    soft = cv2.GaussianBlur(top, (0, 0), 0.5 * per_mm)
    gx, gy = cv2.Sobel(soft, cv2.CV_32F, 1, 0), cv2.Sobel(soft, cv2.CV_32F, 0, 1)
    xx, yy, xy = float((gx * gx).sum()), float((gy * gy).sum()), float((gx * gy).sum())
    across = 0.5 * np.degrees(np.arctan2(2 * xy, xx - yy))
    return float((across + 90) % 180)
