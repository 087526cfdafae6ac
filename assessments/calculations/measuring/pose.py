"""Find the card in a photo and, from its markers, where the camera was."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from assessments.calculations.measuring.camera import Camera, Floats
from assessments.calculations.measuring.card import BAR_MM, CARDS, MARKER_MM, Card
from assessments.calculations.measuring.light import LIGHT_OF, look_up
from assessments.calculations.measuring.refusals import Reason, RefusedError

DICTIONARY: Final = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
MODULE_MM: Final = MARKER_MM / 6
ENOUGH_MARKERS: Final = 3
ROW: Final = 512
SEARCH_PX: Final = 1400
"""Markers are looked for in a picture reduced to this length; they are refined in the full one."""


@dataclass(frozen=True, slots=True)
class Edge:
    """Straight black and white edges of the markers, in card millimetres.

    Each runs along `along` from `start`; `dark_side` points from white to black.
    """

    start: Floats
    along: Floats
    dark_side: Floats
    length_mm: Floats


def marker_bits(number: int) -> NDArray[np.uint8]:
    """Return a marker's modules, shape (6, 6), 1 where white; the rim is black."""
    image = cv2.aruco.generateImageMarker(DICTIONARY, number, 6)
    return np.asarray(image > 127, dtype=np.uint8)


def marker_edges(card: Card, numbers: list[int]) -> Edge:
    """Return every edge between a black and a white module of some markers."""
    starts, alongs, darks, lengths = [], [], [], []
    module = MODULE_MM * card.scale
    for number in numbers:
        bits = np.pad(marker_bits(number), 1, constant_values=1).astype(int)
        x0, y0 = card.markers_mm[number]
        for vertical in (False, True):
            grid = bits.T if vertical else bits
            for i in range(7):
                step = grid[i + 1] - grid[i]  # across the line between rows i and i + 1
                j = 0
                while j < 8:
                    if step[j] == 0:
                        j += 1
                        continue
                    k = j
                    while k < 8 and step[k] == step[j]:
                        k += 1
                    begin, across = (j - 1) * module, i * module
                    dark = -1.0 if step[j] > 0 else 1.0
                    if vertical:
                        starts.append((x0 + across, y0 + begin))
                        alongs.append((0.0, 1.0))
                        darks.append((dark, 0.0))
                    else:
                        starts.append((x0 + begin, y0 + across))
                        alongs.append((1.0, 0.0))
                        darks.append((0.0, dark))
                    lengths.append((k - j) * module)
                    j = k
    return Edge(np.array(starts), np.array(alongs), np.array(darks), np.array(lengths))


def find_markers(luma: NDArray[np.uint8]) -> dict[int, Floats]:
    """Return the corners, shape (4, 2), of each marker found, clockwise from its own top left."""
    detector = cv2.aruco.ArucoDetector(DICTIONARY)
    best: dict[int, Floats] = {}
    for factor in sorted({max(1.0, max(luma.shape) / SEARCH_PX), 1.0}, reverse=True):
        size = (round(luma.shape[1] / factor), round(luma.shape[0] / factor))
        small = luma if factor == 1 else cv2.resize(luma, size, interpolation=cv2.INTER_AREA)
        corners, numbers, _rejected = detector.detectMarkers(small)
        scale = np.array(luma.shape[::-1]) / np.array(size)
        found = {
            int(number): (at.reshape(4, 2).astype(np.float64) + 0.5) * scale - 0.5
            for number, at in zip(
                np.ravel([] if numbers is None else numbers), corners, strict=True
            )
        }
        best = max(best, found, key=len)
        if len(card_of(best)[1]) >= ENOUGH_MARKERS:
            break
    return best


def card_of(found: dict[int, Floats]) -> tuple[Card, list[int]]:
    """Return the card that most markers belong to, and their numbers."""
    return max(
        ((card, [n for n in card.markers_mm if n in found]) for card in CARDS),
        key=lambda pair: len(pair[1]),
    )


def sample(
    luma: NDArray[np.uint8], pixels: Floats, light_of: NDArray[np.float32] = LIGHT_OF
) -> Floats:
    """Return the light at `pixels`, shape (..., 2), by cubic interpolation of stored values."""
    at = pixels.reshape(-1, 2).astype(np.float32)
    # OpenCV works through rows of a few hundred pixels fastest.
    rows = -(-len(at) // ROW)
    filled = np.resize(at, (rows, ROW, 2)) if len(at) else np.empty((0, ROW, 2), np.float32)
    stored = look_up(luma, filled, cubic=True) if rows else np.empty((0, ROW), np.uint8)
    values = light_of[stored.ravel()[: len(at)]].astype(np.float64)
    return np.asarray(values.reshape(pixels.shape[:-1]))


@dataclass(frozen=True, slots=True)
class Pose:
    """Where the camera was, and what the markers tell of the picture.

    Attributes
    ----------
    camera : Camera
    card : Card
    markers : tuple of int
        Numbers of the markers seen.
    residual_px : float
        Root mean square distance of the markers' edges from where the camera puts them.
    spread_px : float
        How far white reaches into black beyond the point of half the light: what is left of the
        picture's tone curve and sharpening. Strand edges are moved back by it.
    blur_px : float
        Standard deviation of the blur at the markers' edges.
    white, black : float
        Light of the markers' white and black.
    focal_from : str
        ``'exif'`` or ``'markers'``.
    """

    camera: Camera
    card: Card
    markers: tuple[int, ...]
    residual_px: float
    spread_px: float
    blur_px: float
    white: float
    black: float
    focal_from: str


@dataclass(frozen=True, slots=True)
class EdgePoints:
    """Points on the markers' edges: where each was looked for and seen.

    ``points_mm`` (n, 2) on the card, ``seen_px`` (n, 2) in the picture, ``dark_px`` (n, 2) the
    direction to the black side there, ``slope`` (n,) the share of the step per pixel, ``white``,
    ``black`` (n,) the light on either side.
    """

    points_mm: Floats
    seen_px: Floats
    dark_px: Floats
    slope: Floats
    white: Floats
    black: Floats


PROFILE_PX: Final = 0.35
STEP_MM: Final = 1.3
LEAST_POINTS: Final = 60
DARK_LIGHT: Final = 0.03
"""Light of the markers' white below which it is darkness that hides their edges."""
LEAST_STEP: Final = 0.04
"""Light between black and white below which an edge tells nothing."""
EDGE_MM: Final = 2.0
"""Half the length of a profile across an edge: half a module, so that it meets no other edge."""


def edge_points(
    luma: NDArray[np.uint8], edges: Edge, to_px: Callable[[Floats], Floats]
) -> EdgePoints:
    """Find points of the markers' edges to a fraction of a pixel, where half the light is passed.

    `to_px` maps card points, shape (n, 2), to pixels to within about two pixels.
    """
    points, darks = [], []
    for start, along, dark, length in zip(
        edges.start, edges.along, edges.dark_side, edges.length_mm, strict=True
    ):
        reach = np.arange(0.8, length - 0.79, STEP_MM)
        points.append(start + reach[:, None] * along)
        darks.append(np.broadcast_to(dark, (len(reach), 2)))
    point, dark = np.concatenate(points), np.concatenate(darks)
    at, toward = to_px(point), to_px(point + 0.5 * dark)
    normal = toward - at
    per_mm = 2 * np.linalg.norm(normal, axis=1, keepdims=True)
    normal = 2 * normal / per_mm
    half_px = float(np.clip(EDGE_MM * np.median(per_mm), 3.0, 14.0))
    offsets = np.arange(-half_px, half_px + PROFILE_PX / 2, PROFILE_PX)
    values = sample(luma, at[:, None, :] + offsets[:, None] * normal[:, None, :])
    outer = abs(offsets) > half_px / 2
    white = np.median(values[:, outer & (offsets < 0)], axis=1)
    black = np.median(values[:, outer & (offsets > 0)], axis=1)
    step = white - black
    place, slope = crossing(values, (white + black) / 2, offsets)
    good = (step > LEAST_STEP) & (slope > 0)
    if good.sum() < LEAST_POINTS:
        dark = np.median(white) < DARK_LIGHT
        raise RefusedError(Reason.DARK if dark else Reason.BLURRED)
    return EdgePoints(
        point[good],
        at[good] + place[good, None] * normal[good],
        normal[good],
        slope[good] / step[good],
        white[good],
        black[good],
    )


def crossing(values: Floats, level: Floats, offsets: Floats) -> tuple[Floats, Floats]:
    """Return where each row of `values` falls through its `level`, nearest to 0, and how steeply.

    The slope, per pixel and over about one pixel, is 0 where the row does not fall through it.
    """
    falls = (values[:, :-1] >= level[:, None]) & (values[:, 1:] < level[:, None])
    distance = np.where(falls, abs(offsets[:-1]), np.inf)
    index = np.clip(distance.argmin(axis=1), 1, len(offsets) - 3)
    rows = np.arange(len(values))
    before, after = values[rows, index], values[rows, index + 1]
    step = offsets[1] - offsets[0]
    share = (before - level) / np.where(before > after, before - after, 1)
    slope = (values[rows, index - 1] - values[rows, index + 2]) / (3 * step)
    return offsets[index] + share * step, np.where(falls.any(axis=1), slope, 0.0)


def by_homography(matrix: Floats, points_mm: Floats) -> Floats:
    """Map points of a plane, shape (n, 2), by a homography, shape (3, 3)."""
    mapped = points_mm @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(mapped[:, :2] / mapped[:, 2:])


def by_camera(camera: Camera, points_mm: Floats) -> Floats:
    """Map points of the card, shape (n, 2)."""
    return camera.project(np.column_stack([points_mm, np.zeros(len(points_mm))]))


DIAGONAL_35MM: Final = 43.2666
"""Diagonal of the 36 x 24 mm frame that EXIF's equivalent focal length refers to."""
USUAL_35MM: Final = 30.0
TRIED_35MM: Final = (18.0, 24.0, 28.0, 35.0, 50.0, 75.0)
"""Focal lengths of phones, the usual and those to begin a search with, where EXIF has none."""
EXIF_SD: Final = 0.025
"""Relative standard deviation of a focal length from EXIF: a whole number of millimetres, and
phones that steady or straighten a picture crop a little."""
UNKNOWN_SD: Final = 0.4
DISTORTION_SD: Final = 0.08
STRAIGHT_PX: Final = 0.045
"""Residual below which no distortion is looked for."""
DOUBTFUL_PX: Final = 0.12
"""Residual from which on the focal length in EXIF is doubted; good photos have half of it."""
_LONGEST: Final = np.array([0.1, 0.1, 0.1, 80.0, 80.0, 80.0, 0.2, 0.1])
_STEPS: Final = np.array([1e-5, 1e-5, 1e-5, 1e-2, 1e-2, 1e-2, 1e-5, 1e-4])


def find_pose(
    luma: NDArray[np.uint8], focal_35mm: float | None = None, bar_mm: float | None = None
) -> Pose:
    """Find the card and the camera.

    Parameters
    ----------
    luma : ndarray of uint8, shape (height, width)
    focal_35mm : float, optional
        Equivalent focal length from EXIF, by the diagonal.
    bar_mm : float, optional
        Length of the printed 100 mm bar as measured with a ruler: the whole card is scaled by it.

    Raises
    ------
    RefusedError
        ``NO_CARD`` without a marker, ``MARKERS_HIDDEN`` with fewer than three, ``DARK`` or
        ``BLURRED`` where their edges cannot be made out.
    """
    found = find_markers(luma)
    card, numbers = card_of(found)
    if bar_mm is not None:
        card = card.scaled(bar_mm / BAR_MM)
    if not numbers:
        raise RefusedError(Reason.NO_CARD)
    if len(numbers) < ENOUGH_MARKERS:
        raise RefusedError(Reason.MARKERS_HIDDEN, found=len(numbers), limit=ENOUGH_MARKERS)
    corners_mm = np.concatenate([marker_corners(card, n) for n in numbers])
    corners_px = np.concatenate([found[n] for n in numbers])
    rough, _inside = cv2.findHomography(corners_mm, corners_px)
    edges = marker_edges(card, numbers)
    points = edge_points(luma, edges, partial(by_homography, np.asarray(rough)))
    height, width = luma.shape
    diagonal = float(np.hypot(width, height))
    known = focal_35mm is not None
    focal = (focal_35mm or USUAL_35MM) / DIAGONAL_35MM * diagonal
    size = (width, height)
    fit = fit_camera(
        points,
        first_camera(corners_mm, corners_px, focal, size),
        focal,
        EXIF_SD if known else UNKNOWN_SD,
    )
    if fit.residual_px > DOUBTFUL_PX:
        # No focal length in the file, or one that is no longer true: the picture was cropped.
        starts = first_cameras(corners_mm, corners_px, size)
        fits = [fit_camera(points, start, focal, UNKNOWN_SD) for start in starts]
        free = min(fits, key=lambda each: each.residual_px)
        if free.residual_px < 0.8 * fit.residual_px:
            fit, known = free, False
    # A second look from the fitted camera: profiles then lie exactly across the edges.
    points = edge_points(luma, edges, partial(by_camera, fit.camera))
    fit = fit_camera(points, fit.camera, focal, EXIF_SD if known else UNKNOWN_SD)
    return Pose(
        camera=fit.camera,
        card=card,
        markers=tuple(numbers),
        residual_px=fit.residual_px,
        spread_px=fit.spread_px,
        blur_px=float(1 / (np.sqrt(2 * np.pi) * np.median(points.slope))),
        white=float(np.median(points.white)),
        black=float(np.median(points.black)),
        focal_from="exif" if known else "markers",
    )


def marker_corners(card: Card, number: int) -> Floats:
    """Return the corners of a marker's black square, shape (4, 2), clockwise from top left."""
    x, y = card.markers_mm[number]
    side = MARKER_MM * card.scale
    return np.array([(x, y), (x + side, y), (x + side, y + side), (x, y + side)])


def first_camera(
    corners_mm: Floats, corners_px: Floats, focal_px: float, size_px: tuple[int, int]
) -> Camera:
    """Return the camera that sees the markers' corners about where they are."""
    centre = ((size_px[0] - 1) / 2, (size_px[1] - 1) / 2)
    matrix = np.array([[focal_px, 0, centre[0]], [0, focal_px, centre[1]], [0, 0, 1]])
    flat = np.column_stack([corners_mm, np.zeros(len(corners_mm))])
    _count, turns, places, _errors = cv2.solvePnPGeneric(
        flat, corners_px, matrix, None, flags=cv2.SOLVEPNP_IPPE
    )
    turn, place = turns[0], places[0]
    rotation, _jacobian = cv2.Rodrigues(np.asarray(turn, dtype=np.float64))
    return Camera(np.asarray(rotation), np.ravel(place).astype(np.float64), focal_px, centre, 0.0)


def first_cameras(corners_mm: Floats, corners_px: Floats, size_px: tuple[int, int]) -> list[Camera]:
    """Return the cameras of some usual focal lengths that see the corners about where they are."""
    diagonal = float(np.hypot(*size_px))
    return [
        first_camera(corners_mm, corners_px, focal / DIAGONAL_35MM * diagonal, size_px)
        for focal in TRIED_35MM
    ]


@dataclass(frozen=True, slots=True)
class CameraFit:
    """A camera fitted to edge points."""

    camera: Camera
    residual_px: float
    spread_px: float


def moved(camera: Camera, step: Floats) -> Camera:
    """Return `camera` turned, moved, zoomed and bent a little; `step` has shape (8,)."""
    turn, _jacobian = cv2.Rodrigues(step[:3].reshape(3, 1))
    return Camera(
        np.asarray(turn) @ camera.rotation,
        camera.translation_mm + step[3:6],
        camera.focal_px * float(np.exp(step[6])),
        camera.centre_px,
        camera.distortion + float(step[7]),
    )


def fit_camera(points: EdgePoints, camera: Camera, focal_px: float, focal_sd: float) -> CameraFit:
    """Fit a camera to edge points by least squares with Huber's weights.

    Unknown are turn, place, focal length (`focal_px` within the relative `focal_sd` beforehand),
    the spread of white into black, and, where the residuals ask for it, distortion.
    """
    straight = _fit(points, camera, focal_px, focal_sd, bent=False)
    if straight.residual_px < STRAIGHT_PX:
        return straight
    bent = _fit(points, straight.camera, focal_px, focal_sd, bent=True)
    n = len(points.points_mm)
    gain = n * (straight.residual_px**2 / max(bent.residual_px**2, 1e-12) - 1)
    # The ratio follows chi-square with one degree of freedom; points on one edge are not
    # independent, hence a limit far above the usual 3.8.
    return bent if gain > 40 else straight


def _fit(
    points: EdgePoints, camera: Camera, focal_px: float, focal_sd: float, *, bent: bool
) -> CameraFit:
    flat = np.column_stack([points.points_mm, np.zeros(len(points.points_mm))])
    columns = list(range(8)) if bent else list(range(7))
    prior_sd = np.full(8, np.inf)
    prior_sd[6], prior_sd[7] = focal_sd, DISTORTION_SD
    weight = np.ones(len(flat))
    spread = 0.0
    scale = 0.3
    for _ in range(15):
        here = _across(points, camera, flat)
        jacobian = np.empty((len(flat), len(columns) + 1))
        for i, column in enumerate(columns):
            step = np.zeros(8)
            step[column] = _STEPS[column]
            jacobian[:, i] = (_across(points, moved(camera, step), flat) - here) / _STEPS[column]
        jacobian[:, -1] = -1.0
        residual = here - spread
        scale = max(0.02, 1.4826 * float(np.median(abs(residual))))
        weight = np.minimum(1.0, 1.5 * scale / np.maximum(abs(residual), 1e-9))
        off = np.zeros(8)
        off[6], off[7] = np.log(camera.focal_px / focal_px), camera.distortion
        wanted = np.concatenate([1 / prior_sd[columns] ** 2, [0.0]])
        normal = (jacobian * (weight / scale**2)[:, None]).T @ jacobian + np.diag(wanted)
        pull = (jacobian * (weight / scale**2)[:, None]).T @ residual
        pull += wanted * np.concatenate([off[columns], [0.0]])
        try:
            solved = -np.linalg.solve(normal, pull)
        except np.linalg.LinAlgError:
            raise RefusedError(Reason.CARD_BENT) from None
        step = np.zeros(8)
        step[columns] = solved[:-1]
        # Far from the solution the equations point too far: go a part of the way.
        step *= min(1.0, float((_LONGEST / np.maximum(abs(step), 1e-12)).min()))
        camera = moved(camera, step)
        spread += float(solved[-1])
        if abs(solved[:3]).max() < 1e-6 and abs(solved[3:6]).max() < 1e-3:
            break
    residual = _across(points, camera, flat) - spread
    rms = float(np.sqrt((weight * residual**2).sum() / weight.sum()))
    return CameraFit(camera, rms, spread)


def _across(points: EdgePoints, camera: Camera, flat: Floats) -> Floats:
    """Return how far, in pixels toward black, each edge is seen from where it should be."""
    return np.asarray(((points.seen_px - camera.project(flat)) * points.dark_px).sum(axis=1))
