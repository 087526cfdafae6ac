"""Pictures of dough strands on a measuring card: geometry, light, and the phone that takes them.

Every pixel's ray is intersected with the solids by formula; what share of a pixel a face covers
follows from the distance to its edge, so edges lie where the geometry says, without raster steps.
Nothing here shares code with the measuring.
"""

import io
import math
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from PIL import Image

from assessments.calculations.measuring.card import (
    BAR_MM,
    BAR_TICK_MM,
    BAR_WIDTH_MM,
    BLUE_SRGB,
    MARKER_MM,
    PAD_MM,
    TICK_MM,
    TICK_WIDTH_MM,
    Card,
)

FULL_FRAME_DIAGONAL_MM: Final = math.hypot(36, 24)
STRIP_ROWS: Final = 256
"""Rows that are worked on at a time, which keeps the memory small."""


def linear(srgb):
    """Return sRGB values 0 to 255 as linear light (IEC 61966-2-1)."""
    value = np.asarray(srgb, float) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def srgb(light):
    """Return linear light 0 to 1 as sRGB values 0 to 1 (IEC 61966-2-1)."""
    light = np.asarray(light, float)
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)


class Camera:
    """A pinhole with one radial distortion, above the card.

    Card coordinates are millimetres: x right, y down, z up. Pixels are counted from the centre of
    the top-left one. `tilt_azimuth_deg` is where the view leans to, from x towards -y.
    """

    def __init__(
        self, size, focal_35mm, height_mm, tilt_deg, tilt_azimuth_deg, roll_deg, aim_mm, k1=0.0
    ):
        self.size = size
        self.k1 = k1
        width, height = size
        self.fpx = focal_35mm / FULL_FRAME_DIAGONAL_MM * math.hypot(width, height)
        self.centre = np.array([(width - 1) / 2, (height - 1) / 2])
        tilt, azimuth, roll = np.radians([tilt_deg, tilt_azimuth_deg, roll_deg])
        lean = np.array([math.cos(azimuth), -math.sin(azimuth), 0.0])
        side = np.array([-lean[1], lean[0], 0.0])
        down = np.array([0.0, 0.0, -1.0])
        forward = math.sin(tilt) * lean + math.cos(tilt) * down
        turned = math.cos(tilt) * lean - math.sin(tilt) * down
        # x and y of the card, turned by the same smallest rotation that takes `down` to `forward`.
        across = lean[0] * turned + side[0] * side
        along = lean[1] * turned + side[1] * side
        self.rotation = np.stack(
            [
                math.cos(roll) * across - math.sin(roll) * along,
                math.sin(roll) * across + math.cos(roll) * along,
                forward,
            ]
        )
        reach = height_mm / math.cos(tilt)
        self.position = np.array([*aim_mm, 0.0]) - reach * forward

    @property
    def matrix(self):
        """The 3 x 4 matrix from (x, y, z, 1) to the pixel, distortion apart."""
        inner = np.array(
            [[self.fpx, 0, self.centre[0]], [0, self.fpx, self.centre[1]], [0, 0, 1.0]]
        )
        return inner @ self.rotation @ np.column_stack([np.eye(3), -self.position])

    def project(self, points):
        """Return the pixels of points (n, 3) in card millimetres."""
        seen = np.column_stack([points, np.ones(len(points))]) @ self.matrix.T
        offset = seen[:, :2] / seen[:, 2:] - self.centre
        squared = (offset**2).sum(axis=1, keepdims=True) / self.fpx**2
        return self.centre + offset * (1 + self.k1 * squared)

    def rays(self, rows):
        """Return dx/dz and dy/dz of the rays of whole rows, as float32."""
        u = ((np.arange(self.size[0]) - self.centre[0]) / self.fpx)[None, :]
        v = ((np.asarray(rows) - self.centre[1]) / self.fpx)[:, None]
        if self.k1:
            shrink = np.ones((v.size, u.size))
            squared = u**2 + v**2
            for _ in range(6):
                shrink = 1 / (1 + self.k1 * squared * shrink**2)
            u, v = u * shrink, v * shrink
        turn = self.rotation
        x, y, z = (turn[0, i] * u + turn[1, i] * v + turn[2, i] for i in range(3))
        return (x / z).astype(np.float32), (y / z).astype(np.float32)


@dataclass(frozen=True)
class Lamp:
    """A round lamp: where it hangs (mm), its light on the card below 1 = bright, and its radius."""

    position_mm: tuple[float, float, float]
    strength: float
    colour: tuple[float, float, float]
    radius_mm: float

    def towards(self, x, y, z=0.0):
        """Return the direction to the lamp (three arrays) and the light that arrives there."""
        dx, dy, dz = (at - from_ for at, from_ in zip(self.position_mm, (x, y, z), strict=True))
        squared = dx * dx + dy * dy + dz * dz
        distance = np.sqrt(squared)
        middle = self.position_mm[0] - 148, self.position_mm[1] - 105, self.position_mm[2]
        light = self.strength * sum(part**2 for part in middle) / squared
        return dx / distance, dy / distance, dz / distance, light


class Strand:
    """A solid of rectangular section with rounded long edges, lying flat.

    Its centreline is a polynomial over a straight axis; width is a table along it. The section
    stands perpendicular on the centreline.
    """

    STEP_MM = 0.25
    BEYOND_MM = 30.0

    def __init__(
        self,
        origin_mm,
        direction_deg,
        length_mm,
        curve,
        width_of,
        thickness_mm,
        radius_mm,
        lift_mm=0.0,
    ):
        self.origin = np.asarray(origin_mm, float)
        self.direction = math.radians(direction_deg)
        self.axis_mm = length_mm
        self.curve = np.polynomial.Polynomial(curve, domain=(0, length_mm), window=(-1, 1))
        self.slope = self.curve.deriv()
        at = np.arange(-self.BEYOND_MM, length_mm + self.BEYOND_MM, self.STEP_MM)
        self.widths = np.asarray(width_of(at), np.float32)
        self.thickness = thickness_mm
        self.radius = min(radius_mm, 0.45 * thickness_mm, 0.4 * float(self.widths.min()))
        self.lift = lift_mm
        self.top = lift_mm + thickness_mm
        self.half_max = float(self.widths.max()) / 2
        # Coefficients in plain powers, for quick evaluation of many pixels.
        self._curve = [np.float32(c) for c in self.curve.convert().coef]
        self._slope = [np.float32(c) for c in self.slope.convert().coef]

    def width(self, x0):
        """Return the width at positions along the axis."""
        at = (x0 + self.BEYOND_MM) / self.STEP_MM
        at = np.clip(at, 0, len(self.widths) - 2)
        first = at.astype(np.int32)
        low = self.widths[first]
        return low + (self.widths[first + 1] - low) * (at - first)

    def points(self, x0, v=0.0):
        """Return card positions (n, 2) at the axis positions and offsets across."""
        slope = self.slope(x0)
        long = np.hypot(1, slope)
        x, y = x0 - v * slope / long, self.curve(x0) + v / long
        cos, sin = math.cos(self.direction), math.sin(self.direction)
        return np.column_stack(
            [self.origin[0] + cos * x - sin * y, self.origin[1] + sin * x + cos * y]
        )

    def local(self, x, y, rounds=2):
        """Return axis position of the nearest centreline point, offset across, and slope there."""
        cos, sin = np.float32(math.cos(self.direction)), np.float32(math.sin(self.direction))
        dx, dy = x - np.float32(self.origin[0]), y - np.float32(self.origin[1])
        along, across = cos * dx + sin * dy, cos * dy - sin * dx
        x0 = along
        for _ in range(rounds):
            curve, slope = _horner(self._curve, x0), _horner(self._slope, x0)
            x0 = x0 + (along - x0 + (across - curve) * slope) / (1 + slope * slope)
        curve, slope = _horner(self._curve, x0), _horner(self._slope, x0)
        v = (across - curve - slope * (along - x0)) / np.sqrt(1 + slope * slope)
        return x0, v, slope

    def ends(self, x0, slope):
        """Return how far within the two ends the axis positions lie, in mm along the strand."""
        return np.minimum(x0, self.axis_mm - x0) * np.sqrt(1 + slope * slope)

    def along(self, n=2001):
        """Return axis positions and arc lengths of a fine row of points."""
        x0 = np.linspace(0, self.axis_mm, n)
        step = np.hypot(1, self.slope(x0))
        arc = np.concatenate([[0], np.cumsum((step[1:] + step[:-1]) / 2) * (x0[1] - x0[0])])
        return x0, arc


def _horner(coefficients, x):
    value = np.full_like(x, coefficients[-1])
    for coefficient in coefficients[-2::-1]:
        value *= x
        value += coefficient
    return value


@dataclass(frozen=True)
class Look:
    """All that the renderer needs to know beside the geometry."""

    card: Card | None
    margin_mm: float
    covered_markers: tuple[int, ...]
    table: str
    dough_srgb: tuple[int, int, int]
    bran: float
    ambient: float
    ambient_colour: tuple[float, float, float]
    lamps: tuple[Lamp, ...]
    gloss: float
    gloss_softness_deg: float
    veil: float
    flour: float
    exposure: float


@dataclass(frozen=True)
class Phone:
    """What lens, sensor and software make of the light."""

    blur_px: float
    vignetting: float
    white_balance: tuple[float, float, float]
    shot_noise: float
    read_noise: float
    s_curve: float
    sharpening: float
    sharpening_px: float = 1.0


def _noise(rng, rows, columns, sigma_x, sigma_y):
    """Return smooth noise of mean 0 and standard deviation 1 that tiles."""
    grain = rng.standard_normal((rows, columns)).astype(np.float32)
    pad_y, pad_x = min(rows, int(4 * sigma_y) + 1), min(columns, int(4 * sigma_x) + 1)
    wrapped = cv2.copyMakeBorder(grain, pad_y, pad_y, pad_x, pad_x, cv2.BORDER_WRAP)
    smooth = cv2.GaussianBlur(wrapped, (0, 0), sigma_x, sigmaY=sigma_y)
    smooth = smooth[pad_y : pad_y + rows, pad_x : pad_x + columns]
    return (smooth - smooth.mean()) / smooth.std()


def _look_up(texture, x, y):
    """Return a tiling texture's values at columns x and rows y, bilinear."""
    left, above = np.floor(x), np.floor(y)
    right, below = x - left, y - above
    rows, columns = texture.shape
    i, j = above.astype(np.int32) % rows, left.astype(np.int32) % columns
    i2, j2 = (i + 1) % rows, (j + 1) % columns
    high = texture[i, j] * (1 - right) + texture[i, j2] * right
    low = texture[i2, j] * (1 - right) + texture[i2, j2] * right
    return high * (1 - below) + low * below


def _share(distance, per_px):
    """Return what share of a pixel lies inside an edge, by the distance within it."""
    return np.clip(distance / per_px + 0.5, 0, 1)


class Picture:
    """Linear light of a scene, before the lens."""

    FLOUR_MM = 0.14

    def __init__(self, camera, strands, look, rng):
        self.camera, self.strands, self.look, self.rng = camera, strands, look, rng
        width, height = camera.size
        self.light = np.empty((height, width, 3), np.float32)
        self.ray_x = np.empty((height, width), np.float32)
        self.ray_y = np.empty((height, width), np.float32)
        for start in range(0, height, STRIP_ROWS):
            rows = np.arange(start, min(start + STRIP_ROWS, height))
            self.ray_x[rows], self.ray_y[rows] = camera.rays(rows)
        self.fine = _noise(rng, 512, 512, 0.8, 0.8)
        self.streaks = _noise(rng, 256, 512, 6, 1.5)
        self.broad = _noise(rng, 256, 256, 12, 12)
        self.flour = self._dust() if look.flour else None
        self.open_sky = np.ones((height, width), np.float16)
        self.lit = [np.ones((height, width), np.float16) for _ in look.lamps]
        middle = np.array([148.0]), np.array([105.0])
        arriving = look.ambient + sum(
            lamp.towards(*middle)[3] * lamp.towards(*middle)[2] for lamp in look.lamps
        )
        self.gain = np.float32(look.exposure / arriving[0])
        self._shade_the_card()
        self._paint_ground()
        self._paint_strands()
        self._cover_markers()
        self.light *= self.gain
        if look.veil:
            self._veil()

    def at(self, z, index=...):
        """Return card x and y where the rays of pixels meet the height z."""
        drop = np.float32(z - self.camera.position[2])
        ray_x = self.ray_x[index] if index is ... else self.ray_x.ravel()[index]
        ray_y = self.ray_y[index] if index is ... else self.ray_y.ravel()[index]
        x, y = (np.float32(p) for p in self.camera.position[:2])
        return x + drop * ray_x, y + drop * ray_y

    # Shadows and sky ---------------------------------------------------------------------------

    def _band(self, strand, beyond_mm, z_low, shift=(0.0, 0.0)):
        """Return flat indices of pixels within a distance of the strand, between two heights."""
        x0 = np.linspace(-beyond_mm, strand.axis_mm + beyond_mm, 24)
        half = strand.half_max + beyond_mm
        rims = [strand.points(x0, side * half) for side in (-1, 1)]
        # What is seen through a pixel at any height lies between the lowest and highest plane.
        planes = ((z_low, (0.0, 0.0)), (z_low, shift), (strand.top, (0.0, 0.0)))
        corners = [
            self.camera.project(np.column_stack([rim + np.array(aside), np.full(len(rim), z)]))
            for z, aside in planes
            for rim in rims
        ]
        lines = np.stack(corners)  # (planes and sides, along, 2)
        low = np.floor(lines.min(axis=(0, 1))).astype(int) - 3
        high = np.ceil(lines.max(axis=(0, 1))).astype(int) + 4
        width, height = self.camera.size
        low = np.clip(low, 0, (width, height))
        high = np.clip(high, 0, (width, height))
        if (high <= low).any():
            return np.empty(0, np.int64)
        mask = np.zeros((high[1] - low[1], high[0] - low[0]), np.uint8)
        for i in range(len(x0) - 1):
            patch = lines[:, i : i + 2].reshape(-1, 2) - low
            hull = cv2.convexHull(np.round(patch).astype(np.int32))
            cv2.fillConvexPoly(mask, hull, 1)
        mask = cv2.dilate(mask, np.ones((5, 5), np.uint8))
        rows, columns = np.nonzero(mask)
        return (rows + low[1]) * width + columns + low[0]

    @staticmethod
    def _blocked(strand, lamp, x, y, z):
        """Return what share of a lamp the strand hides from points (x, y, z)."""
        to_x, to_y, to_z, _ = lamp.towards(strand.origin[0], strand.origin[1])
        lean_x, lean_y = np.float32(to_x / to_z), np.float32(to_y / to_z)
        low = np.maximum(z, strand.lift).astype(np.float32)
        rise_low, rise_high = low - z, np.float32(strand.top) - z
        softness = np.float32(lamp.radius_mm / lamp.position_mm[2])
        axis_low, v_low, _ = strand.local(x + rise_low * lean_x, y + rise_low * lean_y, 1)
        axis_high, v_high, slope = strand.local(x + rise_high * lean_x, y + rise_high * lean_y, 1)
        span = v_high - v_low
        share = np.clip(-v_low / np.where(np.abs(span) < 1e-6, 1e-6, span), 0, 1)
        hidden = np.zeros_like(x)
        for part in (0, share, 1):
            axis = axis_low + (axis_high - axis_low) * part
            within = np.minimum(
                strand.width(axis) / 2 - np.abs(v_low + span * part), strand.ends(axis, slope)
            )
            rise = rise_low + (rise_high - rise_low) * part
            hidden = np.maximum(hidden, np.clip(0.5 + within / (2 * rise * softness + 0.02), 0, 1))
        return np.where(rise_high > 0.02, hidden, 0)

    def _shade_the_card(self):
        for strand in self.strands:
            index = self._band(strand, 3 * strand.top, 0.0)
            x, y = self.at(0.0, index)
            axis, v, slope = strand.local(x, y, 1)
            away = np.maximum(np.abs(v) - strand.width(axis) / 2, -strand.ends(axis, slope))
            away = np.maximum(away, 0)
            # Sky that a long wall hides from a level point (view factor of a strip).
            wall = 0.5 * (1 - away / np.hypot(away, strand.top))
            rim = np.clip(strand.ends(axis, slope) / strand.top + 0.5, 0, 1)
            self.open_sky.ravel()[index] *= (1 - wall * rim).astype(np.float16)
            for lamp, lit in zip(self.look.lamps, self.lit, strict=True):
                to_x, to_y, to_z, _ = lamp.towards(strand.origin[0], strand.origin[1])
                shift = -strand.top * to_x / to_z, -strand.top * to_y / to_z
                index = self._band(strand, 1.0, 0.0, shift)
                x, y = self.at(0.0, index)
                hidden = self._blocked(strand, lamp, x, y, np.zeros_like(x))
                flat = lit.ravel()
                flat[index] = np.minimum(flat[index], (1 - hidden).astype(np.float16))

    # Ground ------------------------------------------------------------------------------------

    def _dust(self):
        """Return how much flour lies where on the page, as a texture of `FLOUR_MM` per column."""
        rows, columns = int(260 / self.FLOUR_MM), int(340 / self.FLOUR_MM)
        rng, amount = self.rng, self.look.flour
        grain = rng.random((rows, columns), np.float32)
        patches = np.zeros((rows // 8, columns // 8), np.float32)
        for _ in range(rng.poisson(3 + 16 * amount)):
            centre = rng.random(2) * (columns // 8, rows // 8)
            axes = rng.uniform(7, 32, 2)
            cv2.ellipse(
                patches,
                (tuple(map(float, centre)), tuple(map(float, axes)), float(rng.uniform(0, 180))),
                float(rng.uniform(0.15, 0.7)),
                -1,
            )
        patches = cv2.GaussianBlur(patches, (0, 0), 4)
        patches = cv2.resize(patches, (columns, rows), interpolation=cv2.INTER_LINEAR)
        dust = ((grain < patches) * rng.random((rows, columns), np.float32)).astype(np.float32)
        speck = np.zeros((rows, columns), np.float32)
        for _ in range(int(amount * 2500)):
            at = rng.random(2) * (columns, rows) * 16
            size = float(rng.gamma(2.0, 0.06)) / self.FLOUR_MM
            cv2.circle(
                speck,
                (int(at[0]), int(at[1])),
                int(size * 16),
                float(rng.uniform(0.4, 1)),
                -1,
                cv2.LINE_AA,
                4,
            )
        flour = np.clip(cv2.GaussianBlur(np.maximum(dust, speck), (0, 0), 0.7), 0, 1)
        # Thins out towards the texture's rim, so that no straight edge shows on the table.
        for axis, count in enumerate(flour.shape):
            rim = np.arange(count, dtype=np.float32)
            thin = np.clip(np.minimum(rim, count - 1 - rim) * self.FLOUR_MM / 15, 0, 1)
            flour *= thin[:, None] if axis == 0 else thin
        return flour

    def _dusted(self, x, y):
        columns = (x + 20) / self.FLOUR_MM
        rows = (y + 20) / self.FLOUR_MM
        if x.ndim == 2:
            return cv2.remap(
                self.flour, columns.astype(np.float32), rows.astype(np.float32), cv2.INTER_LINEAR
            )
        inside = (
            (columns > 0)
            & (rows > 0)
            & (columns < self.flour.shape[1] - 2)
            & (rows < self.flour.shape[0] - 2)
        )
        return np.where(inside, _look_up(self.flour, columns, rows), 0)

    def _paint_ground(self):
        height = self.light.shape[0]
        for start in range(0, height, STRIP_ROWS):
            rows = slice(start, min(start + STRIP_ROWS, height))
            self._paint_strip(rows)

    def _paint_strip(self, rows):
        look = self.look
        drop = np.float32(-self.camera.position[2])
        x = np.float32(self.camera.position[0]) + drop * self.ray_x[rows]
        y = np.float32(self.camera.position[1]) + drop * self.ray_y[rows]
        colour = self._table(x, y)
        if look.card is not None:
            self._paint_card(colour, x, y)
        if self.flour is not None:
            dust = self._dusted(x, y)[..., None]
            colour += dust * (np.float32(0.82) - colour)
        sky = self.open_sky[rows].astype(np.float32)
        # Light that the walls throw back makes up for part of the sky they hide.
        bounce = (1 - sky)[..., None] * linear(look.dough_srgb).astype(np.float32) * 0.45
        arriving = (sky[..., None] + bounce) * np.float32(look.ambient)
        arriving = arriving * np.asarray(look.ambient_colour, np.float32)
        shine = np.zeros_like(x)
        for lamp, lit in zip(look.lamps, self.lit, strict=True):
            to_x, to_y, to_z, light = lamp.towards(x, y)
            seen = (light * to_z * lit[rows].astype(np.float32)).astype(np.float32)
            arriving += seen[..., None] * np.asarray(lamp.colour, np.float32)
            if look.gloss:
                shine += self._shine(rows, to_x, to_y, to_z, lamp)
        self.light[rows] = colour * arriving
        if look.gloss:
            page = self._on_page(x, y)
            self.light[rows] += (shine * page)[..., None]

    def _shine(self, rows, to_x, to_y, to_z, lamp):
        """Return the light of a lamp's mirror image in the laminate."""
        ray_x, ray_y = self.ray_x[rows], self.ray_y[rows]
        long = np.sqrt(1 + ray_x**2 + ray_y**2)
        # The view, mirrored at the card: ray_x is dx/dz with z upwards, so the way down is minus.
        off_x, off_y, off_z = to_x + ray_x / long, to_y + ray_y / long, to_z - 1 / long
        angle = np.sqrt(off_x**2 + off_y**2 + off_z**2)
        # A disc, its rim softened by the laminate; a larger lamp of the same light is less bright.
        radius = lamp.radius_mm / lamp.position_mm[2]
        rim = math.radians(self.look.gloss_softness_deg)
        disc = 1 / (1 + np.exp(np.clip((angle - radius) / rim, -30, 30)))
        return (self.look.gloss * lamp.strength * (0.07 / radius) ** 2 * disc).astype(np.float32)

    def _on_page(self, x, y):
        if self.look.card is None:
            return np.zeros_like(x)
        page = self.look.card.page_mm
        per = self._per_px()
        return _share(np.minimum(x, page[0] - x), per) * _share(np.minimum(y, page[1] - y), per)

    def _per_px(self):
        """Return millimetres per pixel near the middle of the picture, on the card."""
        return np.float32(np.linalg.norm(self._middle_reach()) / self.camera.fpx)

    def _middle_reach(self):
        return self.camera.position[2] / self.camera.rotation[2, 2]

    def _table(self, x, y):
        """Return the table's colour: steel, wood, dark or pale."""
        kind = self.look.table
        base = {
            "steel": (150, 152, 156),
            "wood": (168, 124, 84),
            "dark": (52, 50, 50),
            "pale": (214, 210, 202),
        }[kind]
        stretch = {
            "steel": (0.06, 1.2),
            "wood": (0.05, 0.7),
            "dark": (0.5, 0.5),
            "pale": (0.4, 0.4),
        }[kind]
        depth = {"steel": 0.05, "wood": 0.16, "dark": 0.12, "pale": 0.03}[kind]
        grain = cv2.remap(
            self.streaks,
            np.mod(x * np.float32(stretch[0] * 4), np.float32(512)),
            np.mod(y * np.float32(stretch[1] * 2), np.float32(256)),
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_WRAP,
        )
        shade = np.float32(1) + np.float32(depth) * grain
        return np.clip(shade, 0.3, 1.6)[..., None] * linear(base).astype(np.float32)

    def _paint_card(self, colour, x, y):
        """Paint the page, the blue, the markers, ticks and the bar over ``colour``."""
        look, card = self.look, self.look.card
        # Millimetres of x and of y per pixel: the size of a pixel's foot along each.
        per_x, per_y = (np.hypot(*np.gradient(plane)) for plane in (x, y))

        def fill(left, top, right, bottom, ink):
            near = (x > left - 2) & (x < right + 2) & (y > top - 2) & (y < bottom + 2)
            if not near.any():
                return
            r, c = np.nonzero(near.any(axis=1))[0], np.nonzero(near.any(axis=0))[0]
            box = slice(r[0], r[-1] + 1), slice(c[0], c[-1] + 1)
            bx, by, px, py = x[box], y[box], per_x[box], per_y[box]
            share = (
                (_share(bx - left, px) - _share(bx - right, px))
                * (_share(by - top, py) - _share(by - bottom, py))
            ).astype(np.float32)[..., None]
            colour[box] += share * (np.asarray(ink, np.float32) - colour[box])

        paper, black = linear((238, 238, 236)), linear((22, 22, 24))
        blue = linear(BLUE_SRGB)
        width, height = card.page_mm
        fill(0, 0, width, height, paper)
        edge = look.margin_mm
        fill(edge, edge, width - edge, height - edge, blue)
        quiet = (PAD_MM - MARKER_MM) / 2
        dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
        for number, (left, top) in card.markers_mm.items():
            right, bottom = left + MARKER_MM, top + MARKER_MM
            fill(left - quiet, top - quiet, right + quiet, bottom + quiet, paper)
            fill(left, top, right, bottom, black)
            cells = cv2.aruco.generateImageMarker(dictionary, number, 6, borderBits=1)
            module = MARKER_MM / 6
            self._fill_cells(colour, x, y, per_x, per_y, left, top, module, cells, paper - black)
        left, top, right, bottom = card.field_mm
        thin = TICK_WIDTH_MM
        for cx, inward in ((left, 1), (right, -1)):
            for cy, down in ((top, 1), (bottom, -1)):
                far_x, far_y = cx + inward * TICK_MM, cy + down * TICK_MM
                fill(min(cx, far_x), cy - thin / 2, max(cx, far_x), cy + thin / 2, paper)
                fill(cx - thin / 2, min(cy, far_y), cx + thin / 2, max(cy, far_y), paper)
        left, middle = card.bar_mm
        half, tick = BAR_WIDTH_MM / 2, BAR_TICK_MM / 2
        fill(left, middle - half, left + BAR_MM, middle + half, paper)
        for end in (left, left + BAR_MM):
            fill(end - half, middle - tick, end + half, middle + tick, paper)

    @staticmethod
    def _fill_cells(colour, x, y, per_x, per_y, left, top, module, cells, difference):
        """Turn a marker's black square white where its cells are; neighbours add up exactly."""
        side = module * 6
        near = (x > left - 1) & (x < left + side + 1) & (y > top - 1) & (y < top + side + 1)
        if not near.any():
            return
        r, c = np.nonzero(near.any(axis=1))[0], np.nonzero(near.any(axis=0))[0]
        box = slice(r[0], r[-1] + 1), slice(c[0], c[-1] + 1)
        bx, by, px, py = x[box], y[box], per_x[box], per_y[box]
        across = [_share(bx - left - i * module, px) for i in range(7)]
        down = [_share(by - top - i * module, py) for i in range(7)]
        white = np.zeros_like(bx)
        for row, column in zip(*np.nonzero(cells), strict=True):
            white += (across[column] - across[column + 1]) * (down[row] - down[row + 1])
        colour[box] += white[..., None].astype(np.float32) * difference.astype(np.float32)

    # Strands -----------------------------------------------------------------------------------

    def _paint_strands(self):
        nadir = self.camera.position[:2].astype(np.float32)

        def order(strand):
            _, v, _ = strand.local(nadir[:1], nadir[1:])
            return strand.lift, -abs(float(v[0]))

        for strand in sorted(self.strands, key=order):
            self.paint_strand(strand)

    def _neighbours(self, strand):
        """Return the strands that may shade this one's walls, each with the side it lies on."""
        middle = strand.points(np.array([strand.axis_mm / 2]))[0].astype(np.float32)
        found = []
        for other in self.strands:
            if other is strand or other.top <= strand.lift:
                continue
            _, v, _ = other.local(middle[:1], middle[1:])
            centre = other.points(np.array([other.axis_mm / 2]))[0].astype(np.float32)
            _, side, _ = strand.local(centre[:1], centre[1:])
            gap = abs(float(v[0])) - other.half_max - strand.half_max
            if gap < 6 * other.top or other.lift > 0:
                found.append((other, 1 if side[0] > 0 else -1))
        return found

    def paint_strand(self, strand):
        """Paint a strand; return flat indices of pixels and what share of each it covers."""
        look = self.look
        index = self._band(strand, 0.6, strand.lift)
        if not index.size:
            return index, np.empty(0, np.float32)
        neighbours = self._neighbours(strand)
        radius = strand.radius
        # Heights and how far the outline lies within the full width there, from the top down.
        steps = np.linspace(0, math.pi / 2, 5)
        levels = [
            (strand.top - radius * (1 - math.cos(a)), radius * (1 - math.sin(a))) for a in steps
        ]
        leans = [0.0, *((steps[1:] + steps[:-1]) / 2)]
        wall = np.linspace(strand.top - radius, strand.lift + radius, 4)
        levels += [(z, 0.0) for z in wall[1:]]
        leans += [math.pi / 2] * 3
        foot = np.linspace(0, math.pi / 2, 3)
        levels += [
            (strand.lift + radius * (1 - math.sin(a)), radius * (1 - math.cos(a))) for a in foot[1:]
        ]
        leans += [math.pi / 2 + a for a in (foot[1:] + foot[:-1]) / 2]

        position = self.camera.position
        width = self.camera.size[0]
        u = ((index % width) - self.camera.centre[0]) / self.camera.fpx
        w = ((index // width) - self.camera.centre[1]) / self.camera.fpx
        turn = self.camera.rotation
        depth = (turn[0, 2] * u + turn[1, 2] * w + turn[2, 2]).astype(np.float32)
        ray_x, ray_y = self.ray_x.ravel()[index], self.ray_y.ravel()[index]

        nearest = np.full(index.size, -1e9, np.float32)
        covered = np.zeros(index.size, np.float32)
        sky = np.zeros(index.size, np.float32)
        from_lamp = [np.zeros(index.size, np.float32) for _ in look.lamps]
        middle = strand.points(np.array([strand.axis_mm / 2]))[0]
        lamp_at = [lamp.towards(*middle, strand.top) for lamp in look.lamps]
        top_axis = top_v = None
        for number, ((z, inset), lean) in enumerate(zip(levels, leans, strict=True)):
            drop = np.float32(z - position[2])
            x = np.float32(position[0]) + drop * ray_x
            y = np.float32(position[1]) + drop * ray_y
            axis, v, slope = strand.local(x, y)
            if number == 0:
                top_axis, top_v = axis, v
            sides = strand.width(axis) / 2 - np.float32(inset) - np.abs(v)
            ends = strand.ends(axis, slope)
            by_end = ends < sides
            within = np.where(by_end, ends, sides)
            # Direction of the nearest edge on the card, and how many mm of it a pixel takes.
            heading = np.float32(strand.direction) + np.arctan(slope)
            tangent_x, tangent_y = np.cos(heading), np.sin(heading)
            sign = np.where(v < 0, np.float32(-1), np.float32(1))
            forth = np.where(axis > strand.axis_mm / 2, np.float32(1), np.float32(-1))
            out_x = np.where(by_end, forth * tangent_x, -sign * tangent_y)
            out_y = np.where(by_end, forth * tangent_y, sign * tangent_x)
            per_px = self._foot_px(ray_x, ray_y, depth, drop, out_x, out_y)
            nearest = np.maximum(nearest, within / per_px)
            now = np.clip(nearest + 0.5, 0, 1)
            gain = now - covered
            covered = now
            seen = np.flatnonzero(gain > 0)
            if not seen.size:
                continue
            gain = gain[seen]
            # Ends are cut straight: their face stands upright from the top edge down.
            upright = by_end[seen] & (number > 0)
            flat = np.where(upright, 0, np.float32(math.cos(lean)))
            steep = np.where(upright, 1, np.float32(math.sin(lean)))
            out_x, out_y = out_x[seen], out_y[seen]
            open_sky = (1 + flat) / 2
            for other, side in neighbours:
                if other.lift > 0 or lean == 0:
                    continue
                axis2, v2, slope2 = other.local(x[seen], y[seen], 1)
                gap = np.maximum(np.abs(v2) - other.width(axis2) / 2, 0.02)
                facing = (sign[seen] == side) & ~upright & (other.ends(axis2, slope2) > 0)
                rise = max(other.top - z, 0.0)
                hidden = rise / np.hypot(rise, gap) * steep
                open_sky = np.where(facing, open_sky * (1 - hidden * 0.85), open_sky)
            sky[seen] += gain * open_sky
            for lamp, (to_x, to_y, to_z, light), total in zip(
                look.lamps, lamp_at, from_lamp, strict=True
            ):
                cosine = np.maximum(flat * to_z + steep * (out_x * to_x + out_y * to_y), 0) * light
                for other, _side in neighbours:
                    if other.top > z + 0.05:
                        hidden = self._blocked(
                            other, lamp, x[seen], y[seen], np.full(seen.size, z, np.float32)
                        )
                        cosine = cosine * (1 - hidden)
                total[seen] += gain * cosine
        colour = self._dough(strand, top_axis, top_v)
        if self.flour is not None:
            x, y = self.at(strand.top, index)
            inside = np.clip((strand.width(top_axis) / 2 - np.abs(top_v)) / 0.3, 0, 1)
            dust = (self._dusted(x, y) * inside)[:, None]
            colour += dust * (np.float32(0.82) - colour)
        arriving = sky[:, None] * np.asarray(look.ambient_colour, np.float32) * look.ambient
        # Light from card and neighbours onto the walls.
        arriving += (covered - sky)[:, None].clip(0) * np.float32(0.25 * look.ambient)
        for lamp, total in zip(look.lamps, from_lamp, strict=True):
            arriving += total[:, None] * np.asarray(lamp.colour, np.float32)
        flat = self.light.reshape(-1, 3)
        flat[index] = flat[index] * (1 - covered)[:, None] + colour * arriving
        return index, covered

    def _foot_px(self, ray_x, ray_y, depth, drop, out_x, out_y):
        """Return the millimetres that one pixel spans along a direction, on a level plane."""
        turn, scale = self.camera.rotation, drop / (depth * np.float32(self.camera.fpx))
        parts = []
        for row in turn[:2]:
            dx = np.float32(row[0]) - ray_x * np.float32(row[2])
            dy = np.float32(row[1]) - ray_y * np.float32(row[2])
            parts.append((dx * out_x + dy * out_y) * scale)
        return np.hypot(*parts)

    def _dough(self, strand, axis, v):
        """Return the dough's own colour with grain and bran."""
        look = self.look
        shift = float(strand.origin[0] * 7 + strand.origin[1] * 13)
        grain = _look_up(self.fine, axis * 6 + shift, v * 6 + shift)
        stripes = _look_up(self.streaks, axis * 3 + shift, v * 5 - shift)
        broad = _look_up(self.broad, axis * 1.5 + shift, v * 1.5 + shift)
        shade = 1 + 0.02 * grain + 0.025 * stripes + 0.03 * broad
        if look.bran:
            specks = np.clip((_look_up(self.fine, axis * 3.1 - shift, v * 3.1) - 1.5) * 2, 0, 1)
            shade = shade * (1 - look.bran * specks)
        return np.clip(shade, 0.2, 1.5).astype(np.float32)[:, None] * linear(
            look.dough_srgb
        ).astype(np.float32)

    # Things in the way -------------------------------------------------------------------------

    def _cover_markers(self):
        look = self.look
        if look.card is None:
            return
        for number in look.covered_markers:
            left, top = look.card.markers_mm[number]
            centre = np.array([left, top]) + MARKER_MM / 2
            # A bowl's rim or a tool, set down outside the field.
            outwards = centre - np.array(look.card.page_mm) / 2
            centre += 3 * outwards / np.hypot(*outwards) + self.rng.uniform(-2, 2, 2)
            radius = self.rng.uniform(14, 19)
            ring = np.linspace(0, 2 * math.pi, 60)
            around = centre + radius * np.column_stack([np.cos(ring), np.sin(ring)])
            pixels = self.camera.project(np.column_stack([around, np.full(60, 12.0)]))
            mask = np.zeros(self.light.shape[:2], np.uint8)
            cv2.fillPoly(mask, [np.round(pixels * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)
            r, c = np.nonzero(mask.any(axis=1))[0], np.nonzero(mask.any(axis=0))[0]
            if not r.size:
                continue
            box = slice(r[0], r[-1] + 1), slice(c[0], c[-1] + 1)
            share = (mask[box].astype(np.float32) / 255)[..., None]
            shade = linear((120, 70, 50)) if number % 2 else linear((225, 225, 222))
            self.light[box] += share * (
                shade.astype(np.float32) * np.float32(1 / self.gain * 0.6) - self.light[box]
            )

    def _veil(self):
        """Add a lamp's image in a film over the strands: a patch that drowns what is under it."""
        middle = np.mean([s.points(np.array([s.axis_mm / 2]))[0] for s in self.strands], axis=0)
        for start in range(0, self.light.shape[0], STRIP_ROWS):
            rows = slice(start, start + STRIP_ROWS)
            drop = np.float32(-self.camera.position[2])
            x = np.float32(self.camera.position[0]) + drop * self.ray_x[rows] - middle[0]
            y = np.float32(self.camera.position[1]) + drop * self.ray_y[rows] - middle[1]
            patch = 1 / (1 + np.exp((np.hypot(x, 1.4 * y) - 55) / 6))
            self.light[rows] += (self.look.veil * patch).astype(np.float32)[..., None]


def develop(light, phone, rng):
    """Return the 8-bit picture that the phone makes of linear light, strip by strip."""
    height, width = light.shape[:2]
    out = np.empty((height, width, 3), np.uint8)
    halo = math.ceil(4 * phone.blur_px + 4 * phone.sharpening_px) + 1
    tone = srgb(np.linspace(0, 1, 16384))
    tone = tone + phone.s_curve * (tone * tone * (3 - 2 * tone) - tone)
    tone = tone.astype(np.float32)
    far = (width / 2) ** 2 + (height / 2) ** 2
    across = (np.arange(width, dtype=np.float32) - width / 2) ** 2
    for start in range(0, height, STRIP_ROWS):
        stop = min(start + STRIP_ROWS, height)
        low, high = max(0, start - halo), min(height, stop + halo)
        strip = light[low:high]
        strip = cv2.GaussianBlur(strip, (0, 0), phone.blur_px) if phone.blur_px else strip.copy()
        down = (np.arange(low, high, dtype=np.float32) - height / 2) ** 2
        fall = 1 / (1 + np.float32(phone.vignetting) * (down[:, None] + across) / far) ** 2
        strip *= fall[..., None] * np.asarray(phone.white_balance, np.float32)
        if phone.shot_noise or phone.read_noise:
            spread = np.sqrt(
                np.clip(strip, 0, None) * np.float32(phone.shot_noise**2)
                + np.float32(phone.read_noise**2)
            )
            spread *= rng.standard_normal(strip.shape, np.float32)
            strip += spread
        coded = tone[(np.clip(strip, 0, 1) * 16383).astype(np.uint16)]
        if phone.sharpening:
            soft = cv2.GaussianBlur(coded, (0, 0), phone.sharpening_px)
            coded += np.float32(phone.sharpening) * (coded - soft)
        part = coded[start - low : start - low + stop - start]
        out[start:stop] = np.clip(part * 255 + 0.5, 0, 255).astype(np.uint8)
    return out


def encode(picture, quality, orientation, focal_35mm):
    """Return JPEG bytes with the tags that phones write."""
    image = Image.fromarray(picture)
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Example", "Phone", orientation
    exif.get_ifd(0x8769)[0x9003] = "2026:01:15 10:00:00"
    if focal_35mm is not None:
        exif.get_ifd(0x8769)[0xA405] = round(focal_35mm)
    file = io.BytesIO()
    image.save(file, "JPEG", quality=quality, exif=exif)
    return file.getvalue()
