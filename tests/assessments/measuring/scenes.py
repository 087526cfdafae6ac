"""Synthetic photos of dough strands on the measuring card, with exact truth.

``python -m tests.assessments.measuring.scenes OUT --seeds 0:60`` writes ``photo-000.jpg`` with a
``photo-000.json`` beside each. Nothing in them was photographed.

Truth
-----
Card millimetres: origin at the card's top-left corner, x right, y down, z up. Pixels: as stored in
the file, before its orientation tag is applied, from the centre of the top-left pixel.
`mean_width_mm` is the mean, over the middle 90 % of a strand's length, of the full width of the
solid's section perpendicular to its centreline.
"""

import argparse
import json
import math
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from assessments.calculations.measuring.card import A4, CARDS, MARKER_MM, PAD_MM
from assessments.calculations.measuring.refusals import Reason
from tests.assessments.measuring.rendering import (
    Camera,
    Lamp,
    Look,
    Phone,
    Picture,
    Strand,
    develop,
    encode,
)

TOUCHING_MM: Final = 0.15
"""Strands nearer than this somewhere count as touching."""
MIDDLE: Final = 0.9
"""Share of the length over which the width is averaged."""


@dataclass(frozen=True)
class Style:
    """What strands of one kind look like, as (smallest, largest) of what varies by batch."""

    width_mm: tuple[float, float]
    thickness_mm: tuple[float, float]
    count: tuple[int, int]
    dough_srgb: tuple[int, int, int]
    bran: float = 0.0


STYLES: Final = {
    "wheat_thick": Style((2.8, 4.6), (2.8, 4.0), (10, 18), (228, 217, 190)),
    "wheat_thin": Style((1.5, 2.2), (1.3, 2.0), (16, 30), (230, 220, 196)),
    "alkaline_thin": Style((1.5, 2.1), (1.3, 1.7), (18, 32), (232, 205, 130)),
    "green_tea": Style((1.9, 2.6), (1.7, 2.3), (14, 22), (150, 160, 92), 0.15),
    "buckwheat_thin": Style((1.2, 1.9), (1.2, 1.7), (18, 30), (142, 120, 98), 0.5),
    "buckwheat_pale": Style((1.3, 2.0), (1.2, 1.8), (16, 28), (192, 184, 172), 0.35),
    "ribbon": Style((6.5, 12.0), (0.9, 1.5), (6, 9), (230, 216, 180)),
    "starch": Style((3.0, 7.0), (1.4, 2.4), (8, 14), (240, 240, 236)),
}
SIZES: Final = ((1600, 1200), (2592, 1944), (4000, 3000), (3000, 2250))


@dataclass(frozen=True)
class Scene:
    """All that decides a picture; the same scene always gives the same bytes.

    Lengths are millimetres on the card, angles degrees. `tilt_azimuth_deg` is where the view leans
    to, from the card's x towards -y; `direction_deg` turns the strands from x towards y.
    `flour` runs from 0 to 1, `light` is ``'soft'``, ``'two'`` or ``'side'``, `exposure` is how
    bright white paper comes out in linear light.
    """

    seed: int
    card: str | None = "A4"
    margin_mm: float = 0.0
    covered_markers: tuple[int, ...] = ()
    table: str = "steel"

    size: tuple[int, int] = (1600, 1200)
    focal_35mm: float = 26.0
    exif_focal: bool = True
    height_mm: float = 340.0
    tilt_deg: float = 5.0
    tilt_azimuth_deg: float = 0.0
    roll_deg: float = 0.0
    aim_mm: tuple[float, float] = (148.5, 105.0)
    k1: float = 0.0

    style: str = "wheat_thick"
    count: int = 12
    width_mm: float = 3.5
    width_cv: float = 0.05
    width_wander: float = 0.035
    taper: float = 0.02
    wedge: float = 0.0
    fan: float = 0.0
    thickness_mm: float = 3.2
    thickness_cv: float = 0.02
    edge_radius_mm: tuple[float, float] = (0.05, 0.2)
    length_mm: float = 110.0
    direction_deg: float = 90.0
    gap_mm: tuple[float, float] = (0.6, 4.0)
    curvature: float = 1.0
    touching_pairs: int = 0
    crossing: int = 0
    off_field_mm: float = 0.0
    heaped: bool = False

    light: str = "soft"
    light_azimuth_deg: float = 200.0
    light_srgb_gain: tuple[float, float, float] = (1.0, 1.0, 1.0)
    gloss: float = 0.0
    gloss_softness_deg: float = 1.5
    veil: float = 0.0
    flour: float = 0.0
    exposure: float = 0.85

    blur_px: float = 0.7
    vignetting: float = 0.12
    white_balance: tuple[float, float, float] = (1.0, 1.0, 1.0)
    shot_noise: float = 0.010
    read_noise: float = 0.002
    s_curve: float = 0.15
    sharpening: float = 0.4
    jpeg_quality: int = 84
    orientation: int = 1

    reason: str | None = None


def camera_of(scene):
    """Return the camera of a scene."""
    return Camera(
        scene.size,
        scene.focal_35mm,
        scene.height_mm,
        scene.tilt_deg,
        scene.tilt_azimuth_deg,
        scene.roll_deg,
        scene.aim_mm,
        scene.k1,
    )


# Strands ---------------------------------------------------------------------------------------


def _card_of(scene):
    return next((card for card in CARDS if card.name == scene.card), None)


def _field_mm(scene):
    return (_card_of(scene) or A4).field_mm


def _width_along(rng, scene, number, length_mm):
    """Return one strand's width as a function of the position along its axis.

    All taper by ``wedge`` of their width from end to end, and every second one by ``fan`` more
    than its neighbours.
    """
    mean = scene.width_mm * (1 + scene.width_cv * rng.standard_normal())
    mean = max(mean, 0.55 * scene.width_mm)
    waves = rng.uniform(0.6, 5.0, 5) * 2 * math.pi / 100
    shifts = rng.uniform(0, 2 * math.pi, 5)
    sizes = rng.standard_normal(5) * scene.width_wander / math.sqrt(2.5)
    taper = scene.taper * rng.standard_normal() + scene.wedge + scene.fan * (number % 2 - 0.5)

    def width(at):
        wander = (sizes * np.sin(np.outer(at, waves) + shifts)).sum(axis=1)
        slant = taper * np.clip((at - length_mm / 2) / length_mm, -0.7, 0.7)
        return mean * np.maximum(1 + wander + slant, 0.4)

    return width


def strands_of(scene):
    """Return the strands of a scene in the order they were laid, and which lie over others."""
    rng = np.random.default_rng([scene.seed, 1])
    if not scene.count:
        return [], []
    left, top, right, bottom = _field_mm(scene)
    theta = math.radians(scene.direction_deg)
    cos, sin = math.cos(theta), math.sin(theta)
    middle = np.array([(left + right) / 2, (top + bottom) / 2])
    wide, high = right - left, bottom - top
    # How far the field reaches along and across the strands.
    reach = min(wide / max(abs(cos), 1e-6), high / max(abs(sin), 1e-6))
    across = min(wide / max(abs(sin), 1e-6), high / max(abs(cos), 1e-6))
    length = min(scene.length_mm, 0.93 * reach)
    touch_after = set(rng.permutation(max(scene.count - 1, 0))[: scene.touching_pairs].tolist())
    # Strands cut one after another bend alike.
    common = rng.standard_normal(5) * [0.0, 1.6, 1.8, 0.6, 0.3]
    strands, offset = [], 0.0
    for number in range(scene.count):
        own = length * rng.uniform(0.86, 1.0)
        start = -own / 2 + rng.uniform(-0.5, 0.5) * (length - own) + scene.off_field_mm
        bend = common + rng.standard_normal(5) * [0.0, 0.5, 0.5, 0.2, 0.1]
        bend *= scene.curvature * own / 100
        width_of = _width_along(rng, scene, number, own)
        thickness = scene.thickness_mm * (1 + scene.thickness_cv * rng.standard_normal())
        radius = rng.uniform(*scene.edge_radius_mm)
        touching = number - 1 in touch_after
        gap = 0.0 if touching else max(rng.uniform(*scene.gap_mm), 0.0)

        def lay(offset, own=own, start=start, bend=bend, w=width_of, t=thickness, r=radius):
            origin = middle + np.array([cos * start - sin * offset, sin * start + cos * offset])
            return Strand(origin, scene.direction_deg, own, bend, w, t, r)

        if strands:
            offset += 2 * scene.width_mm
            for _ in range(3):
                offset += gap - clearance(strands[-1], lay(offset))
        strands.append(lay(offset))
        if offset > 0.94 * across - scene.width_mm:
            strands.pop()
            break
    # Move the whole layout so that it lies around the middle of the field.
    ends = [s.points(np.array([s.axis_mm / 2]))[0] for s in (strands[0], strands[-1])]
    spare = max(0.0, 0.94 * across - math.dist(*ends) - scene.width_mm) / 2
    shift = middle + np.array([cos, sin]) * scene.off_field_mm - (ends[0] + ends[1]) / 2
    shift += np.array([-sin, cos]) * rng.uniform(-1, 1) * spare
    for strand in strands:
        strand.origin = strand.origin + shift
    over = []
    tallest = max(s.thickness for s in strands)
    for _ in range(scene.crossing):
        turn = scene.direction_deg + rng.choice([-1, 1]) * rng.uniform(20, 50)
        over.append(_over(rng, scene, strands, turn, 0.7 * length, tallest))
    if scene.heaped:
        for number in range(2 * scene.count):
            lift = min(0.35 * tallest * (number + 1), 14.0)
            over.append(_over(rng, scene, strands, rng.uniform(0, 180), 0.8 * length, lift))
    return strands, over


def _over(rng, scene, strands, turn_deg, length, lift):
    """Return a strand that lies over the others."""
    own = length * rng.uniform(0.6, 1.0)
    below = strands[int(rng.integers(len(strands)))]
    centre = below.points(np.array([below.axis_mm / 2]))[0]
    middle = np.mean([s.points(np.array([s.axis_mm / 2]))[0] for s in strands], axis=0)
    centre = (centre + middle) / 2 if not scene.heaped else middle + rng.normal(0, 12, 2)
    angle = math.radians(turn_deg)
    origin = centre - own / 2 * np.array([math.cos(angle), math.sin(angle)])
    bend = np.concatenate([[0.0], rng.standard_normal(3) * [1.0, 1.5, 0.3]])
    thickness = scene.thickness_mm * (1 + scene.thickness_cv * rng.standard_normal())
    return Strand(
        origin, turn_deg, own, bend, _width_along(rng, scene, 0, own), thickness, 0.15, float(lift)
    )


def clearance(one, other):
    """Return the smallest gap between two strands side by side, in mm; below 0 they overlap."""
    gaps = []
    for a, b in ((one, other), (other, one)):
        x0 = np.linspace(0, a.axis_mm, 300)
        half = a.width(x0) / 2
        _, v, _ = b.local(*a.points(x0).astype(np.float32).T)
        side = np.where(v.mean() > 0, 1, -1)
        for sign in (-1, 1):
            rim = a.points(x0, sign * half).astype(np.float32)
            at, v, slope = b.local(rim[:, 0], rim[:, 1])
            gap = np.hypot(
                np.maximum(side * v - b.width(at) / 2, 0), np.minimum(b.ends(at, slope), 0)
            )
            inside = np.minimum(side * v - b.width(at) / 2, 0)
            beside = b.ends(at, slope) >= 0
            gaps.append(float(np.where(beside, gap + inside, gap).min()))
    return min(gaps)


# Truth -----------------------------------------------------------------------------------------


def _within(strand, field_mm):
    """Return which of the fine points of a strand's centreline lie in the field."""
    x0, arc = strand.along()
    points = strand.points(x0)
    left, top, right, bottom = field_mm
    inside = (
        (points[:, 0] > left)
        & (points[:, 0] < right)
        & (points[:, 1] > top)
        & (points[:, 1] < bottom)
    )
    return x0, arc, inside


def mean_width(strand, keep=None):
    """Return mean and standard deviation of the width over the middle 90 % of the length kept."""
    x0, arc = strand.along()
    if keep is None:
        keep = np.ones(len(x0), bool)
    first, last = arc[keep][0], arc[keep][-1]
    rim = (1 - MIDDLE) / 2 * (last - first)
    fine = np.linspace(first + rim, last - rim, 2001)
    widths = strand.width(np.interp(fine, arc, x0)).astype(float)
    return float(widths.mean()), float(widths.std())


def truth_of(scene, camera, strands, over):
    """Return the truth about a picture, ready for JSON."""
    everything = strands + over
    touching = [False] * len(everything)
    for i in range(len(strands)):
        for j in range(i + 1, min(i + 3, len(strands))):
            if clearance(strands[i], strands[j]) < TOUCHING_MM:
                touching[i] = touching[j] = True
    for k, upper in enumerate(over, start=len(strands)):
        for i, lower in enumerate(everything[:k]):
            if _crosses(upper, lower):
                touching[i] = touching[k] = True
    rows = []
    for number, strand in enumerate(everything):
        x0, arc, inside = _within(strand, _field_mm(scene))
        eleven = np.interp(np.linspace(0, arc[-1], 11), arc, x0)
        mean, spread = mean_width(strand)
        rows.append(
            {
                "id": number,
                "centreline": np.round(strand.points(eleven), 3).tolist(),
                "width_at_points_mm": np.round(strand.width(eleven).astype(float), 4).tolist(),
                "lift_at_points_mm": [round(strand.lift, 4)] * 11,
                "mean_width_mm": round(mean, 4),
                "sd_along_mm": round(spread, 4),
                "thickness_mm": round(strand.thickness, 4),
                "length_mm": round(float(arc[-1]), 2),
                "edge_radius_mm": round(strand.radius, 3),
                "touching": touching[number],
                "crossing": strand.lift > 0,
                "share_in_field": round(float(inside.mean()), 3),
                "mean_width_in_field_mm": (
                    round(mean_width(strand, inside)[0], 4) if inside.sum() > 20 else None
                ),
            }
        )
    widths = [row["mean_width_mm"] for row in rows]
    matrix = _stored_matrix(scene, camera)
    return {
        "expect": "reject" if scene.reason else "measure",
        "reason": scene.reason,
        "seed": scene.seed,
        "style": scene.style,
        "card": scene.card,
        "camera": {
            "height_mm": round(float(camera.position[2]), 3),
            "tilt_deg": scene.tilt_deg,
            "tilt_azimuth_deg": scene.tilt_azimuth_deg,
            "roll_deg": scene.roll_deg,
            "focal_35mm": scene.focal_35mm,
            "position_mm": np.round(camera.position, 3).tolist(),
            "fpx": round(camera.fpx, 3),
            "k1": scene.k1,
            "P": matrix.tolist(),
        },
        "image_size": list(scene.size),
        "orientation": scene.orientation,
        "gps": False,
        "jpeg_quality": scene.jpeg_quality,
        "markers_visible": visible_markers(scene, camera),
        "conditions": {
            "light": scene.light,
            "light_gain": list(scene.light_srgb_gain),
            "glossy_card": scene.gloss > 0,
            "flour": scene.flour,
            "covered_markers": list(scene.covered_markers),
            "blur_sigma_px": scene.blur_px,
            "table": scene.table,
            "margin_mm": scene.margin_mm,
            "touching_pairs": scene.touching_pairs,
            "crossing": scene.crossing,
            "off_field_mm": scene.off_field_mm,
        },
        "thickness_mm": (
            round(float(np.mean([s.thickness for s in everything])), 4) if everything else None
        ),
        "batch": (
            {
                "n": len(widths),
                "mean_width_mm": round(float(np.mean(widths)), 4),
                "sd_width_mm": round(float(np.std(widths, ddof=1)), 4) if len(widths) > 1 else None,
            }
            if widths and not scene.reason
            else None
        ),
        "strands": rows,
        "scene": asdict(scene),
    }


def _crosses(upper, lower):
    x0 = np.linspace(0, upper.axis_mm, 300)
    points = upper.points(x0).astype(np.float32)
    at, v, slope = lower.local(points[:, 0], points[:, 1])
    reach = (lower.width(at) + upper.width(x0)) / 2 + TOUCHING_MM
    return bool(((np.abs(v) < reach) & (lower.ends(at, slope) > -upper.half_max)).any())


def _mirrored(scene):
    return scene.orientation in (2, 4, 5, 7)


def _stored_matrix(scene, camera):
    """Return the matrix to the stored pixel; mirrored tags store a mirrored picture."""
    matrix = camera.matrix
    if _mirrored(scene):
        matrix = np.array([[-1, 0, scene.size[0] - 1], [0, 1, 0], [0, 0, 1.0]]) @ matrix
    return matrix


def visible_markers(scene, camera):
    """Return the numbers of the markers wholly in the picture and not covered."""
    card = _card_of(scene)
    if card is None:
        return []
    seen = []
    for number, corner in card.markers_mm.items():
        quiet = (PAD_MM - MARKER_MM) / 2
        near = np.array([0, 1, 1, 0]) * PAD_MM - quiet, np.array([0, 0, 1, 1]) * PAD_MM - quiet
        corners = np.column_stack([corner[0] + near[0], corner[1] + near[1], np.zeros(4)])
        pixels = camera.project(corners)
        inside = ((pixels >= 0) & (pixels <= np.array(scene.size) - 1)).all()
        if inside and number not in scene.covered_markers:
            seen.append(number)
    return seen


# Light -----------------------------------------------------------------------------------------


def look_of(scene):
    """Return what the renderer needs to know of light, card and dough."""
    azimuth = math.radians(scene.light_azimuth_deg)
    gain = scene.light_srgb_gain

    def lamp(off_deg, away_mm, up_mm, strength, radius_mm, colour=gain):
        turn = azimuth + math.radians(off_deg)
        at = 148 + away_mm * math.cos(turn), 105 - away_mm * math.sin(turn), up_mm
        return Lamp(at, strength, colour, radius_mm)

    ambient, lamps = {
        "soft": (0.72, (lamp(0, 350, 1500, 0.42, 260.0),)),
        "two": (0.45, (lamp(0, 500, 1000, 0.4, 70.0), lamp(150, 650, 1100, 0.3, 70.0))),
        "side": (0.38, (lamp(0, 900, 650, 0.85, 60.0),)),
    }[scene.light]
    style = STYLES[scene.style]
    rng = np.random.default_rng([scene.seed, 2])
    dough = np.clip(np.array(style.dough_srgb) + rng.normal(0, 4, 3), 20, 248)
    return Look(
        card=_card_of(scene),
        margin_mm=scene.margin_mm,
        covered_markers=scene.covered_markers,
        table=scene.table,
        dough_srgb=tuple(float(part) for part in dough),
        bran=style.bran,
        ambient=ambient,
        ambient_colour=gain,
        lamps=lamps,
        gloss=scene.gloss,
        gloss_softness_deg=scene.gloss_softness_deg,
        veil=scene.veil,
        flour=scene.flour,
        exposure=scene.exposure,
    )


def phone_of(scene):
    """Return what lens, sensor and software do to the picture."""
    return Phone(
        scene.blur_px,
        scene.vignetting,
        scene.white_balance,
        scene.shot_noise,
        scene.read_noise,
        scene.s_curve,
        scene.sharpening,
    )


def linear_light(scene):
    """Return the linear light of a scene before the lens, float32 (rows, columns, 3)."""
    strands, over = strands_of(scene)
    rng = np.random.default_rng([scene.seed, 3])
    return Picture(camera_of(scene), strands + over, look_of(scene), rng).light


def render(scene):
    """Return a scene's JPEG file and the truth about it."""
    camera = camera_of(scene)
    strands, over = strands_of(scene)
    rng = np.random.default_rng([scene.seed, 3])
    light = Picture(camera, strands + over, look_of(scene), rng).light
    picture = develop(light, phone_of(scene), rng)
    if _mirrored(scene):
        picture = np.ascontiguousarray(picture[:, ::-1])
    data = encode(
        picture,
        scene.jpeg_quality,
        scene.orientation,
        scene.focal_35mm if scene.exif_focal else None,
    )
    return data, truth_of(scene, camera, strands, over)


# Scenes at random ------------------------------------------------------------------------------


def random_scene(seed, **overrides):
    """Return a scene of a photo that can be measured, drawn from the seed."""
    rng = np.random.default_rng([seed, 0])

    def between(low, high, digits=3):
        return round(float(rng.uniform(low, high)), digits)

    name = str(rng.choice(list(STYLES)))
    style = STYLES[overrides.get("style", name)]
    upright = rng.random() < 0.5
    width = between(*style.width_mm)
    flour = between(0.05, 0.6) if rng.random() < 0.3 else 0.0
    warm = between(-0.09, 0.09)
    drawn = {
        "card": "Letter" if rng.random() < 0.3 else "A4",
        "margin_mm": between(3, 6) if rng.random() < 0.4 else 0.0,
        "covered_markers": (),
        "table": str(rng.choice(["steel", "wood", "dark", "pale"])),
        "size": SIZES[int(rng.choice(4, p=[0.2, 0.5, 0.12, 0.18]))],
        "exif_focal": bool(rng.random() < 0.8),
        "k1": between(-0.02, 0.02, 4) if rng.random() < 0.25 else 0.0,
        "style": name,
        "count": int(rng.integers(style.count[0], style.count[1] + 1)),
        "width_mm": width,
        "width_cv": between(0.02, 0.16),
        "width_wander": between(0.01, 0.045),
        "taper": between(0.0, 0.05),
        "thickness_mm": between(*style.thickness_mm),
        "thickness_cv": between(0.005, 0.03),
        "length_mm": between(90, 115) if upright else between(100, 185),
        "direction_deg": (90.0 if upright else 0.0) + between(-9, 9),
        "gap_mm": (between(0.3, 1.2), between(1.8, 6.0)),
        "curvature": between(0.2, 1.4),
        "touching_pairs": int(rng.integers(1, 5)) if rng.random() < 0.3 else 0,
        "crossing": int(rng.integers(1, 3)) if rng.random() < 0.15 else 0,
        "off_field_mm": between(8, 30) * rng.choice([-1, 1]) if rng.random() < 0.12 else 0.0,
        "light": str(rng.choice(["soft", "two", "side"])),
        "light_azimuth_deg": between(0, 360, 1),
        "light_srgb_gain": (round(1 + warm, 3), 1.0, round(1 - 1.3 * warm, 3)),
        "gloss": between(0.5, 8.0) if rng.random() < 0.25 else 0.0,
        "gloss_softness_deg": between(0.7, 2.5),
        "flour": flour,
        "exposure": between(0.6, 1.02),
        "blur_px": between(0.5, 1.1) if rng.random() < 0.85 else between(1.1, 1.7),
        "vignetting": between(0.0, 0.2),
        "white_balance": (between(0.94, 1.05), 1.0, between(0.92, 1.06)),
        "shot_noise": between(0.004, 0.016),
        "read_noise": between(0.0008, 0.003, 5),
        "s_curve": between(0, 0.35),
        "sharpening": between(0.0, 0.8),
        "jpeg_quality": int(rng.integers(75, 93)),
        "orientation": int(rng.choice([1, 1, 1, 3, 6, 8])),
    }
    if rng.random() < 0.15:
        numbers = list(({c.name: c for c in CARDS})[drawn["card"]].markers_mm)
        drawn["covered_markers"] = (int(rng.choice(numbers)),)
    drawn |= overrides
    if drawn["off_field_mm"]:
        drawn["length_mm"] *= 1.1
    return _aimed(Scene(seed=seed, **drawn), rng, overrides)


def _aimed(scene, rng, overrides):
    """Return the scene with a camera from which all markers are in the picture."""
    finest = rng.choice([3.5, 4.0, 4.6, 5.2])
    for attempt in range(600):
        far = min(attempt / 400, 1.0)
        finest = finest if far < 1 else 3.3
        drawn = {
            "focal_35mm": float(rng.choice([24, 26, 26, 28, 35, 50])),
            "height_mm": round(float(rng.uniform(280, 620)), 1),
            "tilt_deg": round(float(rng.uniform(0, 20) * (1 - 0.6 * far)), 2),
            "tilt_azimuth_deg": round(float(rng.uniform(0, 360)), 1),
            "roll_deg": round(
                float(rng.normal(0, 6) + rng.choice([0, 90, 180, 270]))
                if rng.random() < 0.6
                else float(rng.uniform(0, 360)),
                1,
            ),
            "aim_mm": (
                round(float(148 + rng.normal(0, 14) * (1 - 0.7 * far)), 2),
                round(float(106 + rng.normal(0, 12) * (1 - 0.7 * far)), 2),
            ),
        }
        tried = replace(scene, **(drawn | overrides))
        camera = camera_of(tried)
        reach = tried.height_mm / math.cos(math.radians(tried.tilt_deg))
        coarse = camera.fpx / reach < finest
        marks = len(visible_markers(replace(tried, covered_markers=()), camera))
        if marks == 4 and not coarse:
            return tried
    raise ValueError(f"No view of the whole card found for seed {scene.seed}.")


def refusal_scenes(seed=0):
    """Return scenes that must be refused, by name."""

    def scene(offset, **overrides):
        return random_scene(
            seed + offset, **({"size": (1600, 1200), "covered_markers": ()} | overrides)
        )

    plain = {"gloss": 0.0, "flour": 0.0, "blur_px": 0.7, "crossing": 0, "card": "A4"}
    below = {"focal_35mm": 26.0, "aim_mm": (148.0, 105.0)}
    found = {
        Reason.NO_CARD: {"no-card": replace(scene(0, **plain), card=None)},
        Reason.MARKERS_HIDDEN: {
            "one-marker": replace(
                scene(1, **plain),
                aim_mm=(20.0, 20.0),
                height_mm=200.0,
                tilt_deg=3.0,
                focal_35mm=26.0,
                roll_deg=4.0,
            ),
            "two-hidden": scene(2, **plain, covered_markers=(0, 2)),
            "two-hidden-side": scene(3, **plain, covered_markers=(1, 2)),
        },
        Reason.BLURRED: {
            "blurred": scene(4, **plain | {"blur_px": 14.0}),
            "blurred-6px": scene(5, **plain | {"blur_px": 6.0}),
        },
        Reason.DARK: {"dark": scene(6, **plain, exposure=0.006, read_noise=0.004, shot_noise=0.02)},
        Reason.FAR: {
            "far": replace(scene(7, **plain), **below, height_mm=1300.0, tilt_deg=4.0),
            "far-2px": replace(scene(13, **plain), **below, height_mm=520.0, tilt_deg=4.0),
        },
        Reason.STEEP: {
            "steep": replace(
                scene(8, **plain, size=(2592, 1944)),
                **below | {"aim_mm": (148.0, 100.0)},
                tilt_deg=52.0,
                tilt_azimuth_deg=90.0,
                roll_deg=0.0,
                height_mm=300.0,
            ),
            "steep-46": replace(
                scene(14, **plain, size=(2592, 1944)),
                **below,
                tilt_deg=46.0,
                tilt_azimuth_deg=0.0,
                roll_deg=90.0,
                height_mm=330.0,
            ),
        },
        Reason.GLARE: {"glare": scene(9, **plain, veil=1.6)},
        Reason.NOTHING: {
            "nothing": scene(10, **plain, count=0),
            "nothing-flour": scene(11, **plain | {"flour": 0.5}, count=0),
        },
        Reason.HEAPED: {
            "heaped": scene(12, **plain, style="wheat_thick", count=9, heaped=True),
            "heaped-thin": scene(15, **plain, style="alkaline_thin", count=16, heaped=True),
        },
    }
    return {
        name: replace(one, reason=reason.value)
        for reason, scenes in found.items()
        for name, one in scenes.items()
    }


def write(folder, name, scene):
    """Write a scene's picture and truth."""
    data, truth = render(scene)
    (folder / f"{name}.jpg").write_bytes(data)
    text = json.dumps({"image": f"{name}.jpg"} | truth, indent=1)
    (folder / f"{name}.json").write_text(text)


def main(arguments=None):
    """Write photos of the seeds asked for, and those that must be refused."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--seeds", default="0:0", help="first:last+1, as in 0:60")
    parser.add_argument("--refusals", action="store_true")
    options = parser.parse_args(arguments)
    options.out.mkdir(parents=True, exist_ok=True)
    first, last = (int(part) for part in options.seeds.split(":"))
    for seed in range(first, last):
        write(options.out, f"photo-{seed:03d}", random_scene(seed))
    if options.refusals:
        for name, scene in refusal_scenes().items():
            write(options.out, f"refuse-{name}", scene)


if __name__ == "__main__":
    main()
