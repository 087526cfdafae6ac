"""From measured cross-sections to one width per strand, with its uncertainty."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from assessments.calculations.measuring.camera import Camera, Floats
from assessments.calculations.measuring.field import View
from assessments.calculations.measuring.results import (
    CROSSING,
    GLARE,
    OFF_FIELD,
    TOUCHING,
    StrandReading,
)
from assessments.calculations.measuring.tracks import STATION_MM, Track
from assessments.calculations.measuring.widths import ROUNDING_U_MM, Line, Sections

LEAST_SECTIONS: Final = 4
LEAST_SHARE: Final = 0.4
"""Part of a strand's length that must stand clear of others for its width to be given."""
MERGED: Final = 1.6
"""Widths, in those of the middle strand, from which on two strands may lie side by side."""
LEANING: Final = 0.3
"""Part of a strand's length seen through or over others from which on it may lie on them."""

BEYOND_MM: Final = (2.0, 14.0)
DAZZLING: Final = 250
"""Stored value of the weakest colour from which on a place is lost in a reflection, looked for so
far beyond a strand's end."""
OWN_THICKNESS: Final = 0.03
"""Relative standard deviation of one strand's thickness about its sheet's: as rolled by a trained
hand; an assumption of this project."""
EDGE_U_PX: Final = 0.13
"""What edges may be off by, both together and alike for all strands: tone curve, sharpening, the
light on rounded rims."""
PALE: Final = 0.4
"""Light of dough over that of the markers' white from which on the markers' edges, black on white,
speak for the dough's; for darker dough the start of the tone curve is unknown."""
EDGE_RANDOM_PX: Final = 0.07
"""The same, from strand to strand."""
SCALE_U: Final = 0.0015
"""Relative standard uncertainty of the printed card, its bar being checked with a ruler to a
quarter of a millimetre (evenly distributed: 0.25 / 100 / sqrt 3)."""


@dataclass(frozen=True, slots=True)
class Mean:
    """A strand's mean width and what belongs to it, mm."""

    width: float
    random: float
    taper: float
    spread: float


def mean_width(at: Floats, width: Floats, middle: float, length: float, share: float) -> Mean:
    """Average the widths along a strand, with little regard for outliers.

    Parameters
    ----------
    at, width : ndarray, shape (n,)
        Places and widths of the sections that can be relied on.
    middle, length : float
        Of the strand.
    share : float
        Part of the strand's length that they stand for.

    Notes
    -----
    A straight line by Huber's weights, taken at the strand's middle: where one end is hidden, a
    wedge-shaped strand is not taken for its visible end. ``random`` is the standard error of that
    value plus, where part is hidden, what the hidden part may differ by.
    """
    x = (at - middle) / max(length, 1e-6)
    weight = np.ones_like(at)
    level, slope = float(np.median(width)), 0.0
    residual = width - level
    for _ in range(5):
        total = weight.sum()
        x_mean, width_mean = (weight * x).sum() / total, (weight * width).sum() / total
        lever = (weight * (x - x_mean) ** 2).sum()
        slope = float((weight * (x - x_mean) * (width - width_mean)).sum() / lever)
        level = float(width_mean - slope * x_mean)
        residual = width - level - slope * x
        scale = max(1.4826 * float(np.median(abs(residual))), 1e-3)
        weight = np.minimum(1.0, 2.0 * scale / np.maximum(abs(residual), 1e-9))
    total = weight.sum()
    spread = float(np.sqrt((weight * (width - level) ** 2).sum() / total))
    noise = float(np.sqrt((weight * residual**2).sum() / max(total - 2, 1.0)))
    error = noise * np.sqrt(1 / total + x_mean**2 / lever)
    random = np.hypot(error, spread * np.sqrt(max(0.0, 1 - share) / 2))
    return Mean(level, float(random), slope, spread)


def readings_of(
    tracks: list[Track],
    lines: list[Line],
    sections: Sections | None,
    view: View,
    camera: Camera,
    field_mm: tuple[float, float, float, float],
    *,
    thickness_mm: float,
    thickness_u_mm: float,
    top_light: float,
) -> tuple[StrandReading, ...]:
    """Return one reading per strand, in their order across the card."""
    found = []
    for index, (track, line) in enumerate(zip(tracks, lines, strict=True)):
        found.append(
            _reading(
                index,
                track,
                line,
                sections,
                view,
                camera,
                thickness_mm,
                thickness_u_mm,
                top_light,
            )
        )
    measured = [reading.width_mm for reading in found if reading.width_mm is not None]
    usual = float(np.median(measured)) if measured else 0.0
    found = [
        without_width(reading, TOUCHING)
        if reading.width_mm is not None and len(measured) > 2 and reading.width_mm > MERGED * usual
        else reading
        for reading in found
    ]
    left, top, right, bottom = field_mm
    found = [
        flagged(reading, OFF_FIELD) if reaches_out(reading, left, top, right, bottom) else reading
        for reading in found
    ]
    across = view.axes[1]
    across = across if across[abs(across).argmax()] > 0 else -across
    found.sort(key=lambda reading: float(np.dot(reading.centre_mm, across)))
    return tuple(numbered(reading, number) for number, reading in enumerate(found, start=1))


def _reading(
    index: int,
    track: Track,
    line: Line,
    sections: Sections | None,
    view: View,
    camera: Camera,
    thickness_mm: float,
    thickness_u_mm: float,
    top_light: float,
) -> StrandReading:
    at = np.array(track.at)
    low, high = np.array(track.low), np.array(track.high)
    every = slice(None, None, max(1, len(at) // 24))
    rim = np.concatenate(
        [np.column_stack([at, low])[every], np.column_stack([at, high])[every][::-1]]
    )
    raised = np.column_stack([view.origin_mm + rim @ view.axes, np.full(len(rim), thickness_mm)])
    outline = camera.project(raised)
    half = len(at) // 2
    centre = view.origin_mm + np.array([at[half], (low[half] + high[half]) / 2]) @ view.axes
    ends = view.axes[0] * (at[-1] - at[0]) + view.axes[1] * (
        (low[-3:] + high[-3:]).mean() / 2 - (low[:3] + high[:3]).mean() / 2
    )
    direction = float(np.degrees(np.arctan2(ends[1], ends[0])) % 180)
    hidden = len(track.hidden) / (len(track.hidden) + len(track.at))
    flags: list[str] = []
    mean = None
    u = random = None
    profile: tuple[tuple[float, float], ...] = ()
    if sections is not None:
        own = sections.strand == index
        good = own & sections.valid
        share = good.sum() / line.wanted
        if ends_in_glare(track, view):
            flags.append(GLARE)
        elif hidden > LEANING:
            flags.append(CROSSING)
        elif good.sum() < LEAST_SECTIONS or share < LEAST_SHARE:
            if own.any() and sections.dazzled[own].mean() > 0.5:
                flags.append(GLARE)
            else:
                flags.append(CROSSING if track.hidden and clear_ends(track) else TOUCHING)
        else:
            place, width = sections.at_mm[good], sections.width_mm[good]
            middle, length = (at[0] + at[-1]) / 2, track.length_mm
            mean = mean_width(place, width, middle, length, min(1.0, float(share)))
            u, random = uncertainty(mean, sections, good, thickness_mm, thickness_u_mm, top_light)
            nearest = np.flatnonzero(good)[abs(place - middle).argmin()]
            centre = sections.centre_mm[nearest]
            start = at[0] - STATION_MM / 2
            profile = tuple(
                (round(float(x - start), 2), round(float(w), 3))
                for x, w in zip(place, width, strict=True)
            )
    return StrandReading(
        number=0,
        centre_mm=(round(float(centre[0]), 3), round(float(centre[1]), 3)),
        direction_deg=round(direction, 2),
        length_mm=round(track.length_mm, 1),
        width_mm=None if mean is None else round(mean.width, 4),
        u_mm=u,
        random_mm=random,
        profile_mm=profile,
        taper_mm=None if mean is None else round(mean.taper, 4),
        spread_mm=None if mean is None else round(mean.spread, 4),
        flags=tuple(flags),
        outline_px=tuple((round(float(x), 1), round(float(y), 1)) for x, y in outline),
    )


def uncertainty(
    mean: Mean,
    sections: Sections,
    good: NDArray[np.bool_],
    thickness_mm: float,
    thickness_u_mm: float,
    top_light: float,
) -> tuple[float, float]:
    """Return the standard uncertainty of a strand's width, mm, and the part of it that is its own.

    Notes
    -----
    Contributions are added as squares (JCGM 100:2008, 5.1.2), each its standard uncertainty times
    what the width moves with it. The strand's own: scatter of its sections, edges to a fraction of
    a pixel, its thickness about the sheet's. Common to the photo: edges, the sheet's thickness and
    the rounding of its edges (both times the tangent of the viewing angle), light of walls too
    narrow to be seen, the card's scale.
    """
    tangent = float(np.median(sections.tangent[good]))
    px_mm = 1 / float(np.median(sections.per_mm[good]))
    own = (mean.random, EDGE_RANDOM_PX * px_mm, OWN_THICKNESS * thickness_mm * tangent)
    common = (
        EDGE_U_PX * px_mm * (1 + max(0.0, 1 - top_light / PALE)),
        thickness_u_mm * tangent,
        2 * ROUNDING_U_MM * tangent,
        0.2 * ROUNDING_U_MM,
        float(np.median(sections.wall_u_mm[good])),
        SCALE_U * mean.width,
    )
    random = float(np.sqrt(sum(part**2 for part in own)))
    return round(float(np.hypot(random, np.sqrt(sum(p**2 for p in common)))), 4), round(random, 4)


def ends_in_glare(track: Track, view: View) -> bool:
    """Whether one end of a strand is lost in a lamp's reflection, where nothing can be seen."""
    first = (track.low[0] + track.high[0]) / 2
    last = (track.low[-1] + track.high[-1]) / 2
    for along, middle, ahead in ((track.at[0], first, -1), (track.at[-1], last, 1)):
        reach = sorted(along + ahead * x for x in BEYOND_MM)
        columns = slice(*(max(0, round(x * view.along_per_mm)) for x in reach))
        half = track.width
        rows = slice(
            max(0, round((middle - half) * view.across_per_mm)),
            max(0, round((middle + half) * view.across_per_mm)),
        )
        part = view.stored[rows, columns].min(axis=-1) if view.stored[rows, columns].size else None
        if part is not None and (part >= DAZZLING).mean() > 0.4:
            return True
    return False


def clear_ends(track: Track) -> bool:
    """Whether the strand was hidden in its middle only: something lies across it."""
    hidden = np.array(track.hidden)
    third = (track.at[-1] - track.at[0]) / 6
    return bool(hidden.min() > track.at[0] + third and hidden.max() < track.at[-1] - third)


def reaches_out(
    reading: StrandReading, left: float, top: float, right: float, bottom: float
) -> bool:
    """Whether a strand goes on beyond the field."""
    turn = np.radians(reading.direction_deg)
    reach = reading.length_mm / 2 * np.array([np.cos(turn), np.sin(turn)])
    for sign in (-1, 1):
        x, y = np.array(reading.centre_mm) + sign * reach
        if not (left < x < right and top < y < bottom):
            return True
    return False


def flagged(reading: StrandReading, flag: str) -> StrandReading:
    """Return `reading` with one flag more."""
    return replace(reading, flags=(*reading.flags, flag))


def without_width(reading: StrandReading, flag: str) -> StrandReading:
    """Return `reading` without its numbers, for the reason `flag`."""
    return replace(
        reading,
        width_mm=None,
        u_mm=None,
        random_mm=None,
        profile_mm=(),
        taper_mm=None,
        spread_mm=None,
        flags=(*reading.flags, flag),
    )


def numbered(reading: StrandReading, number: int) -> StrandReading:
    """Return `reading` with its place in the order across the card."""
    return replace(reading, number=number)
