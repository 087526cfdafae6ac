"""True widths of strands that stand above the card, from their edges in the photo.

A strand is a bar of nearly rectangular section. Seen from the side its outline takes in one wall,
and its top is nearer to the lens than the card, so that the outline is wider than the dough. With
the camera's place and the thickness known, the rim of the top on the far side and the foot of the
wall on the near side each give the place of one face; their distance is the width.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from assessments.calculations.measuring.camera import Floats
from assessments.calculations.measuring.edges import StepFit, fit_steps, half_light
from assessments.calculations.measuring.field import View
from assessments.calculations.measuring.pose import Pose, sample
from assessments.calculations.measuring.shading import SHADED, TURNED, WALL, Shadows, wall_light
from assessments.calculations.measuring.tracks import STATION_MM, Track

GROUP_MM: Final = 4.0
"""Length along a strand that one profile is the mean of."""
LINES: Final = 6
"""Lines across the strand in a group."""
SAMPLES: Final = 28
NEAR_ROOM_PX: Final = 3.2
REACH_PX: Final = 4.5
"""How far profiles go on beyond an edge, on the near side's card and elsewhere."""
LEAST_ROOM_PX: Final = 1.2
"""Clear card beside an edge below which the edge cannot be told from the neighbour's."""
MOST_MISFIT: Final = 0.12
ROUNDING_MM: Final = 0.12
"""Rounding of the dough's long edges: hand-cut dough is neither sharp nor round. An assumption of
this project; `ROUNDING_U_MM` is what it may be off by."""
ROUNDING_U_MM: Final = 0.05
BLURS: Final = (0.75, 0.9, 1.0, 1.15, 1.35)
DAZZLED: Final = 0.55
"""Light of the card beside a strand over the dough's, from which on the edge drowns in it."""
POOLED: Final = 60
"""Profiles that together tell what holds for all of them."""
POOLED_ROUNDS: Final = 5


@dataclass(frozen=True, slots=True)
class Line:
    """A strand's centreline and where on it profiles are taken; card millimetres, `n` places.

    ``at_mm`` (n,) along the strand, ``middle_mm`` (n, 2), ``across`` (n, 2) unit vectors,
    ``width_mm`` (n,) roughly, ``clear_low_mm``, ``clear_high_mm`` (n,) the gap to the next dough
    against and along ``across``; ``wanted`` the number of places if it stood alone throughout.
    """

    at_mm: Floats
    middle_mm: Floats
    across: Floats
    width_mm: Floats
    clear_low_mm: Floats
    clear_high_mm: Floats
    wanted: int


def line_of(track: Track, view: View) -> Line:
    """Return the smoothed centreline of a track, with places a group apart.

    Left out at either end are two widths, or a tenth of the length where that is less: ends are
    torn and squeezed, but a broad ribbon would lose half of itself.
    """
    at = np.array(track.at)
    low, high = np.array(track.low), np.array(track.high)
    width = float(np.median(high - low))
    ends = min(2 * width, 0.1 * track.length_mm)
    half = max(track.length_mm / 2, 1.0)
    centre = (at[0] + at[-1]) / 2
    degree = 1 if track.length_mm < 30 else 3 if track.length_mm < 60 else 5
    terms = np.polynomial.polynomial.polyvander((at - centre) / half, min(degree, len(at) - 2))
    curve = np.linalg.lstsq(terms, (low + high) / 2, rcond=None)[0]
    first, last = at[0] - STATION_MM / 2 + ends, at[-1] + STATION_MM / 2 - ends
    wanted = max(3, int((last - first) / GROUP_MM))
    borders = np.linspace(first, last, wanted + 1)
    place = (borders[1:] + borders[:-1]) / 2
    # Where the strand could not be told from another there is nothing to measure.
    apart = abs(at[:, None] - place[None, :])
    place, index = place[apart.min(axis=0) <= 1.5], apart.argmin(axis=0)[apart.min(axis=0) <= 1.5]
    where = (place - centre) / half
    middle = np.column_stack([place, np.polynomial.polynomial.polyval(where, curve)])
    slope = np.polynomial.polynomial.polyval(where, np.polynomial.polynomial.polyder(curve)) / half
    across = np.column_stack([-slope, np.ones_like(slope)]) / np.hypot(1, slope)[:, None]

    def least(values: Floats) -> Floats:
        """Smallest of a station and its neighbours."""
        padded = np.pad(values, 1, mode="edge")
        return np.asarray(np.minimum(np.minimum(padded[:-2], padded[1:-1]), padded[2:])[index])

    return Line(
        place,
        view.origin_mm + middle @ view.axes,
        across @ view.axes,
        np.full(len(place), width),
        least(np.array(track.gap_low)),
        least(np.array(track.gap_high)),
        wanted,
    )


@dataclass(frozen=True, slots=True)
class Sections:
    """Measured cross-sections of all strands, `n` of them; arrays of shape (n,) or (n, 2).

    Attributes
    ----------
    strand : ndarray of int
        Index of the strand.
    at_mm : ndarray
        Place along it.
    width_mm : ndarray
        Width of the dough there.
    centre_mm : ndarray, shape (n, 2)
        Its middle, on the card.
    tangent : ndarray
        Of the viewing angle from upright, across the strand.
    per_mm : ndarray
        Pixels per millimetre across the strand.
    wall_u_mm : ndarray
        Standard uncertainty from the unknown light of a wall too narrow to be seen.
    clear : ndarray of bool
        Whether card can be seen on both sides.
    sharp : ndarray of bool
        Whether both edges look as edges do.
    dazzled : ndarray of bool
        Whether lamp light on the card beside outshines the dough.
    """

    strand: NDArray[np.int_]
    at_mm: Floats
    width_mm: Floats
    centre_mm: Floats
    tangent: Floats
    per_mm: Floats
    wall_u_mm: Floats
    clear: NDArray[np.bool_]
    sharp: NDArray[np.bool_]
    dazzled: NDArray[np.bool_]

    @property
    def valid(self) -> NDArray[np.bool_]:
        """Where the width can be relied on."""
        return np.asarray(self.clear & self.sharp)


@dataclass(frozen=True, slots=True)
class Bars:
    """Places of all cross-sections and how they are seen; arrays of shape (n,) or (n, 2).

    ``across`` points away from the camera: the near edge comes first. ``reach`` is the distance
    from the point below the lens, across the strand. Where the upper side of the view is the near
    one, ``flip`` is true.
    """

    middle: Floats
    across: Floats
    rough: Floats
    flip: NDArray[np.bool_]
    clear_near: Floats
    clear_far: Floats
    reach: Floats
    height: float
    per_mm: Floats

    @property
    def tangent(self) -> Floats:
        """Of the viewing angle from upright."""
        return self.reach / self.height

    def seen(self, x: Floats, z: Floats | float) -> Floats:
        """Return where a point `x` from the middle and at height `z` meets the card's plane."""
        return np.asarray((self.reach + x) * self.height / (self.height - z) - self.reach)

    def stands(self, seen: Floats, z: Floats | float) -> Floats:
        """Return how far from the middle a point at height `z` is, the inverse of `seen`."""
        return np.asarray((self.reach + seen) * (self.height - z) / self.height - self.reach)


def bars_of(pose: Pose, lines: list[Line]) -> Bars:
    """Return all cross-sections as the camera sees them."""
    x, y, height = pose.camera.position_mm
    middle = np.concatenate([line.middle_mm for line in lines])
    across = np.concatenate([line.across for line in lines])
    low = np.concatenate([line.clear_low_mm for line in lines])
    high = np.concatenate([line.clear_high_mm for line in lines])
    away = ((middle - np.array([x, y])) * across).sum(axis=1)
    flip = away < 0
    across = np.where(flip[:, None], -across, across)
    ends = np.stack([middle - across / 2, middle + across / 2])
    flat = np.concatenate([ends, np.zeros_like(ends[..., :1])], axis=-1)
    one, two = pose.camera.project(flat)
    return Bars(
        middle=middle,
        across=across,
        rough=np.concatenate([line.width_mm for line in lines]),
        flip=flip,
        clear_near=np.where(flip, high, low),
        clear_far=np.where(flip, low, high),
        reach=abs(away),
        height=float(height),
        per_mm=np.linalg.norm(two - one, axis=1),
    )


def measure_sections(
    luma: NDArray[np.uint8],
    light_of: NDArray[np.float32],
    pose: Pose,
    lines: list[Line],
    thickness_mm: float,
    shadows: Shadows,
) -> Sections:
    """Measure all cross-sections of all strands.

    Parameters
    ----------
    luma : ndarray of uint8, shape (height, width)
    light_of : ndarray, shape (256,)
        Light of each luma along an edge from card to dough.
    pose : Pose
    lines : list of Line
        At least one place in all.
    thickness_mm : float
        Height of the dough's top above the card.
    shadows : Shadows
        What shadows on the card tell of the lamps.
    """
    bars = bars_of(pose, lines)
    t, r = thickness_mm, min(ROUNDING_MM, thickness_mm / 2)
    hypotenuse = np.hypot(1, bars.tangent)
    rim_z = t - r + r * bars.tangent / hypotenuse  # where a ray just touches the rounded rim
    foot_z = r  # below it, the rounded lower edge lies in its own shadow
    top_z = t - 0.45 * r  # middle of the change from wall to top
    foot = bars.seen(-bars.rough / 2, foot_z)
    near_lit = np.where(bars.flip, shadows.lit(True), shadows.lit(False))
    far_lit = np.where(bars.flip, shadows.lit(False), shadows.lit(True))
    turned = r * (0.12 + np.vectorize(TURNED.__getitem__)(near_lit))
    top = bars.seen(-bars.rough / 2 + turned, top_z)
    rim = bars.seen(bars.rough / 2, rim_z)
    wall = top - foot
    margin = REACH_PX / bars.per_mm
    # Gaps are between tops: walls cover part of them, unless a lamp makes them as bright as tops.
    lamp = np.where(bars.flip, shadows.lit(True) == "lamp", shadows.lit(False) == "lamp")
    covered = np.where(lamp, 0, bars.seen(np.zeros_like(wall), t))
    near_room = np.clip(bars.clear_near - covered, 0, NEAR_ROOM_PX / bars.per_mm)
    far_room = np.clip(bars.clear_far - covered, 0, margin)
    inner = np.minimum(margin, (rim - top) / 2)
    share = np.linspace(0, 1, SAMPLES)
    near_from, far_from = foot - near_room, rim - inner
    near_at = near_from[:, None] + share * (top + inner - near_from)[:, None]
    far_at = far_from[:, None] + share * (rim + far_room - far_from)[:, None]
    light = profiles(luma, light_of, pose, bars, np.concatenate([near_at, far_at], axis=1))
    near_light, far_light = light[:, :SAMPLES], light[:, : SAMPLES - 1 : -1]
    blur = pose.blur_px / bars.per_mm
    # Mirrored, so that the light rises along every profile.
    blur, far = fit_far(-far_at[:, ::-1], far_light, blur)
    near, wall_u = fit_near(bars, near_at, near_light, blur, wall, near_room, shadows)
    back = pose.spread_px / bars.per_mm
    near_x = bars.stands(near.place + back, foot_z)
    far_x = bars.stands(-far.place - back, rim_z) + r * (1 - 1 / hypotenuse)
    width = far_x - near_x + r * np.vectorize(SHADED.__getitem__)(far_lit)
    least = LEAST_ROOM_PX / bars.per_mm
    off = 2 / bars.per_mm + 0.3 * bars.rough
    card = np.maximum(near.levels[:, 0], far.levels[:, 0])
    dough = np.minimum(near.levels[:, 2], far.levels[:, 2])
    return Sections(
        strand=np.concatenate([np.full(len(line.at_mm), i) for i, line in enumerate(lines)]),
        at_mm=np.concatenate([line.at_mm for line in lines]),
        width_mm=width,
        centre_mm=bars.middle + ((far_x + near_x) / 2)[:, None] * bars.across,
        tangent=bars.tangent,
        per_mm=bars.per_mm,
        wall_u_mm=wall_u,
        clear=(near_room > least) & (far_room > least),
        sharp=(near.misfit < MOST_MISFIT)
        & (far.misfit < MOST_MISFIT)
        & (card < DAZZLED * dough)
        & (abs(near.place - foot) < off)
        & (abs(-far.place - rim) < off),
        dazzled=card > DAZZLED * dough,
    )


def fit_far(offsets: Floats, light: Floats, blur: Floats) -> tuple[Floats, StepFit]:
    """Fit the far edges, single steps, and with them the blur that all edges share."""
    start = half_light(offsets, light)
    none = np.zeros_like(blur)
    half, sure = none + 0.5, none + 0.01
    few = slice(None, None, max(1, len(blur) // POOLED))

    def misfit(factors: Floats) -> Floats:
        rows = Rows(len(factors), len(start[few]))
        fit = fit_steps(
            rows.same(offsets[few]),
            rows.same(light[few]),
            rows.each(factors) * rows.same(blur[few]),
            rows.same(none[few]),
            rows.same(half[few]),
            rows.same(sure[few]),
            rows.same(start[few]),
            POOLED_ROUNDS,
        )
        return rows.middle(fit.misfit)

    blur = best_of(BLURS, misfit) * blur
    return blur, fit_steps(offsets, light, blur, none, half, sure, start)


def fit_near(
    bars: Bars,
    offsets: Floats,
    light: Floats,
    blur: Floats,
    wall: Floats,
    room: Floats,
    shadows: Shadows,
) -> tuple[StepFit, Floats]:
    """Fit the near edges, from card to wall to top, and say what is unsure of the wall's light.

    How bright walls are hangs on where the light comes from, hence on the side they face. Where
    they are wide enough to be seen, the profiles of all strands together tell.
    """
    start = half_light(offsets, light)
    known, loose = np.empty_like(blur), np.empty_like(blur)
    dark_card = light.min(axis=1) < 0.3 * light.max(axis=1)
    shows = (wall > 0.5 * blur) & (room > 2 / bars.per_mm) & dark_card
    for high_side in (False, True):
        usual, sd = WALL[shadows.lit(high_side)]
        known[bars.flip == high_side], loose[bars.flip == high_side] = usual, sd
        here = np.flatnonzero((bars.flip == high_side) & shows)
        if len(here) < 8:
            continue
        few = here[:: max(1, len(here) // POOLED)]

        def misfit(shares: Floats, few: NDArray[np.int_] = few) -> Floats:
            rows = Rows(len(shares), len(few))
            share, width = rows.each(shares), rows.same(wall[few])
            fit = fit_steps(
                rows.same(offsets[few]),
                rows.same(light[few]),
                rows.same(blur[few]),
                width,
                share,
                np.full_like(share, 0.01),
                rows.same(start[few]) - np.where(share < 0.5, width, 0),
                POOLED_ROUNDS,
            )
            return rows.middle(fit.misfit)

        found = wall_light(misfit, usual, sd)
        known[bars.flip == high_side], loose[bars.flip == high_side] = found
    begin = start - np.where(known < 0.5, wall, 0)
    near = fit_steps(offsets, light, blur, wall, known, loose, begin)
    # A wall far wider than the blur is seen for itself; a narrower one moves the edge by its
    # width times its light.
    return near, wall * loose / (1 + (wall / (2 * blur)) ** 2)


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of one fit for several values tried on the same profiles."""

    tried: int
    profiles: int

    def same(self, values: Floats) -> Floats:
        """Repeat what the profiles have for every value tried."""
        return np.tile(values, (self.tried, *(1 for _ in values.shape[1:])))

    def each(self, tried: Floats) -> Floats:
        """Give every profile the value tried."""
        return np.repeat(tried, self.profiles)

    def middle(self, misfit: Floats) -> Floats:
        """Return the profiles' middle misfit for each value tried."""
        return np.asarray(np.median(misfit.reshape(self.tried, self.profiles), axis=1))


def best_of(values: Sequence[float], misfit: Callable[[Floats], Floats]) -> float:
    """Return the value at which the misfit is least, between the tried ones."""
    costs = misfit(np.array(values))
    lowest = int(costs.argmin())
    if not 0 < lowest < len(values) - 1:
        return values[lowest]
    near = slice(lowest - 1, lowest + 2)
    bend, slope, _level = np.polyfit(np.array(values[near]) - values[lowest], costs[near], 2)
    return values[lowest] - float(slope / (2 * bend)) if bend > 0 else values[lowest]


def profiles(
    luma: NDArray[np.uint8], light_of: NDArray[np.float32], pose: Pose, bars: Bars, at: Floats
) -> Floats:
    """Return the light at places `at`, shape (n, m), each the mean over a group's length."""
    along = np.column_stack([bars.across[:, 1], -bars.across[:, 0]])
    shift = (np.arange(LINES) - (LINES - 1) / 2) * GROUP_MM / LINES
    # Three points of a line fix its pixels: the map is smooth, a parabola follows it.
    ends = np.stack([at[:, 0], (at[:, 0] + at[:, -1]) / 2, at[:, -1]], axis=1)
    points = (
        bars.middle[:, None, None, :]
        + shift[None, :, None, None] * along[:, None, None, :]
        + ends[:, None, :, None] * bars.across[:, None, None, :]
    )
    flat = np.concatenate([points, np.zeros_like(points[..., :1])], axis=-1)
    a, b, c = np.moveaxis(pose.camera.project(flat), 2, 0)[:, :, :, None]
    share = ((at - at[:, :1]) / (at[:, -1:] - at[:, :1]))[:, None, :, None]
    pixels = a * (1 - share) * (1 - 2 * share)
    pixels = pixels + 4 * b * share * (1 - share) + c * share * (2 * share - 1)
    return np.asarray(sample(luma, pixels, light_of).mean(axis=1))
