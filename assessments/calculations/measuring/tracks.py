"""Follow each strand along the field, from cross-section to cross-section."""

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

import cv2
import numpy as np

from assessments.calculations.measuring.field import Dough, Image, View

STATION_MM: Final = 2.0
"""Length along the strands that one cross-section is the mean of."""
VALLEY: Final = 0.85
"""Light of a dark line over that of the dough on both sides, below which it parts two strands."""
WIDE: Final = 1.35
"""Widths of a stretch, in those of the middle one, from which on it is searched for such a line."""
LOST_MM: Final = 40.0
"""How far a strand is carried on while it cannot be told from another."""
LEAST_STATIONS: Final = 6
SHORTEST_MM: Final = 20.0
SHORTEST_WIDTHS: Final = 4.0


@dataclass(frozen=True, slots=True)
class Section:
    """One stretch of dough in a cross-section: its edges and the clear card on both sides, mm."""

    low: float
    high: float
    gap_low: float
    gap_high: float


@dataclass(slots=True)
class Track:
    """One strand followed across the view, in view millimetres (along, across).

    Attributes
    ----------
    at : list of float
        Places along at which it stands alone, middle of the station.
    low, high, gap_low, gap_high : list of float
        Its edges there and the clear card beside it, see `Section`.
    hidden : list of float
        Places along at which it could not be told from another.
    middle, slope, width : float
        Where its middle was last, by how much that moves per mm, and its usual width.
    """

    at: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    gap_low: list[float] = field(default_factory=list)
    gap_high: list[float] = field(default_factory=list)
    hidden: list[float] = field(default_factory=list)
    middle: float = 0.0
    slope: float = 0.0
    width: float = 0.0

    def add(self, along: float, section: Section) -> None:
        """Go on with `section`."""
        seen = (section.low + section.high) / 2
        width = section.high - section.low
        if self.at:
            step = along - self.at[-1]
            off = seen - (self.middle + self.slope * step)
            # Tracking by two constants: the older the track, the less one section moves it.
            pull = max(0.4, 1 / (len(self.at) + 1))
            self.middle += self.slope * step + pull * off
            self.slope += (0.1 if len(self.at) > 1 else 0.5) * off / step
            self.width += max(0.1, 1 / (len(self.at) + 1)) * (width - self.width)
        else:
            self.middle, self.width = seen, width
        self.at.append(along)
        self.low.append(section.low)
        self.high.append(section.high)
        self.gap_low.append(section.gap_low)
        self.gap_high.append(section.gap_high)

    def middle_at(self, along: float) -> float:
        """Return where its middle should be."""
        return self.middle + self.slope * (along - self.at[-1])

    @property
    def length_mm(self) -> float:
        """From first to last station, both included."""
        return self.at[-1] - self.at[0] + STATION_MM


def follow(view: View, dough: Dough) -> list[Track]:
    """Return the strands of a view whose columns run along them, in no order."""
    per_station = max(1, round(STATION_MM * view.along_per_mm))
    top = by_station(dough.top, per_station)
    any_dough = by_station(dough.dough, per_station)
    light = by_station(dough.light, per_station)
    stations = sections_of(top, light, view.across_per_mm)
    active: list[Track] = []
    done: list[Track] = []
    for number, sections in enumerate(stations):
        along = (number * per_station + (per_station - 1) / 2) / view.along_per_mm
        matched = match(active, sections, along)
        still: list[Track] = []
        for i, track in enumerate(active):
            if i in matched:
                track.add(along, sections[matched[i]])
                still.append(track)
                continue
            row = round(track.middle_at(along) * view.across_per_mm)
            covered = 0 <= row < len(any_dough) and any_dough[row, number] > 0.5
            if covered and along - track.at[-1] < LOST_MM:
                track.hidden.append(along)
                still.append(track)
            else:
                done.append(track)
        taken = set(matched.values())
        for j, section in enumerate(sections):
            if j not in taken:
                fresh = Track()
                fresh.add(along, section)
                still.append(fresh)
        active = still
    long_enough = [
        track
        for track in done + active
        if track.length_mm >= max(SHORTEST_MM, SHORTEST_WIDTHS * track.width)
        and len(track.at) >= LEAST_STATIONS
    ]
    for track in long_enough:
        track.hidden = [along for along in track.hidden if along < track.at[-1]]
    return without_doubles(long_enough)


def by_station(values: Image, per_station: int) -> Image:
    """Return the mean of `values`, shape (rows, columns), over each station's columns."""
    count = values.shape[1] // per_station
    cut = np.ascontiguousarray(values[:, : count * per_station])
    means = cv2.resize(cut, (count, len(cut)), interpolation=cv2.INTER_AREA)
    return np.asarray(means, dtype=np.float32)


def sections_of(top: Image, light: Image, per_mm: float) -> list[list[Section]]:
    """Return the stretches of dough of each station.

    Parameters
    ----------
    top, light : ndarray, shape (rows, stations)
        Share of top faces, 0..1, and mean light.
    per_mm : float
        Rows per millimetre.
    """
    on = np.pad(top > 0.5, ((1, 1), (0, 0)))
    station, row = np.nonzero((on[1:] != on[:-1]).T)
    first, last, at = row[::2], row[1::2], station[::2]
    wide = WIDE * np.median(last - first) if len(first) else 0
    edges: list[list[tuple[int, int]]] = [[] for _ in range(top.shape[1])]
    for number, low, high in zip(at.tolist(), first.tolist(), last.tolist(), strict=True):
        cuts = [low, high]
        if high - low > wide:
            cuts[1:1] = valleys(light[low:high, number], low)
        edges[number] += pairwise(cuts)
    return [beside(stretches, per_mm) for stretches in edges]


def beside(stretches: list[tuple[int, int]], per_mm: float) -> list[Section]:
    """Return the stretches of one station in millimetres, with the gaps between them."""
    if not stretches:
        return []
    lows = [low for low, _high in stretches]
    highs = [high for _low, high in stretches]
    before = [-np.inf, *highs[:-1]]
    after = [*lows[1:], np.inf]
    return [
        Section(low / per_mm, high / per_mm, (low - past) / per_mm, (next_ - high) / per_mm)
        for low, high, past, next_ in zip(lows, highs, before, after, strict=True)
    ]


def valleys(light: Image, offset: int) -> list[int]:
    """Return the rows of dark lines in a stretch, each clearly below the dough on both sides."""
    if len(light) < 8:
        return []
    left = np.maximum.accumulate(light)
    right = np.maximum.accumulate(light[::-1])[::-1]
    dark = light < VALLEY * np.minimum(left, right)
    turns = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(int), [0]])))
    rows = []
    for start, end in zip(turns[::2], turns[1::2], strict=True):
        lowest = int(start + light[start:end].argmin())
        if 3 <= lowest < len(light) - 3:
            rows.append(offset + lowest)
    return rows


def match(tracks: list[Track], sections: list[Section], along: float) -> dict[int, int]:
    """Return which section continues which track, nearest pairs first."""
    if not tracks or not sections:
        return {}
    middle = np.array([track.middle_at(along) for track in tracks])[:, None]
    width = np.array([track.width for track in tracks])[:, None]
    low = np.array([section.low for section in sections])
    high = np.array([section.high for section in sections])
    off, change = abs((low + high) / 2 - middle), abs(high - low - width)
    near = (off < 0.35 * width + 0.3) & (change < 0.3 * width + 0.25)
    rows, columns = np.nonzero(near)
    order = np.argsort((off + change)[rows, columns])
    chosen: dict[int, int] = {}
    taken: set[int] = set()
    for i, j in zip(rows[order].tolist(), columns[order].tolist(), strict=True):
        if i not in chosen and j not in taken:
            chosen[i] = j
            taken.add(j)
    return chosen


def without_doubles(tracks: list[Track]) -> list[Track]:
    """Drop a track that lies for most of its length within one that was seen more often."""
    kept: list[Track] = []
    for track in sorted(tracks, key=lambda track: -len(track.at)):
        at = np.array(track.at)
        middle = (np.array(track.low) + np.array(track.high)) / 2
        inside = False
        for other in kept:
            shared = (at >= other.at[0]) & (at <= other.at[-1])
            if shared.mean() > 0.5:
                low = np.interp(at[shared], other.at, other.low)
                high = np.interp(at[shared], other.at, other.high)
                inside |= ((middle[shared] > low) & (middle[shared] < high)).mean() > 0.5
        if not inside:
            kept.append(track)
    return kept
