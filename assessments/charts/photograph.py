"""The strands of a photo as shapes over its picture: what the eye and the finger find.

Coordinates are those of the upright picture, in its pixels.
"""

from dataclasses import dataclass

import numpy as np

# Of the width of what is shown: letters of some 11 px on a phone.
LETTER = 1 / 30
# Beside the strands, in letters: room for a number on one side and a mark on the other.
ROOM = 2.6
# The part of the picture that is shown is at least so high for its width.
FLATTEST = 0.5
# At which enlargements of the page numbers are shown more closely, and never but for the strand
# that is picked. Each step is a multiple of the one before, so that a number once shown stays.
ENLARGEMENTS = (1, 2, 4)
NEVER = 8
STEPS = (1, 5, 10, 50)
# Enough for a strand's gentle curve; more would only weigh.
CORNERS = 24
# The picture of a width along its strand; the page stretches it.
PROFILE_SIZE = (200, 60)


@dataclass(frozen=True, slots=True)
class Shape:
    """One strand: its outline, its axis, and where its number and its mark stand.

    ``from_enlargement`` is the enlargement at which there is room for its number.
    """

    number: int
    state: str
    points: str
    axis: tuple[int, int, int, int]
    number_at: tuple[int, int]
    mark_at: tuple[int, int]
    from_enlargement: int


@dataclass(frozen=True, slots=True)
class Profile:
    """The width along one strand: a line over the tolerance's band, in ``PROFILE_SIZE``."""

    points: str
    band: tuple[int, int]
    least_mm: float
    most_mm: float


@dataclass(frozen=True, slots=True)
class Overlay:
    """Shapes over the picture, and the part of the picture that holds them all."""

    view_box: tuple[int, int, int, int]
    letter_px: int
    mark_px: int
    shapes: tuple[Shape, ...]


def overlay(size_px, strands) -> Overlay | None:
    """Return the shapes of ``strands``, which have ``number``, ``state`` and ``outline_px``.

    ``size_px`` is the width and height of the upright picture. None without a strand.
    """
    outlines = [np.asarray(strand.outline_px, dtype=float) for strand in strands]
    if not outlines:
        return None
    axes = np.array([_axis(outline) for outline in outlines])
    every = np.concatenate(outlines)
    low, high = every.min(axis=0), every.max(axis=0)
    letter_px = max(high[0] - low[0], (high[1] - low[1]) / 2, 30) * LETTER
    pitch_px = _pitch(axes)
    steps = {times: _step(letter_px / times, pitch_px) for times in ENLARGEMENTS}
    shapes = tuple(
        Shape(
            number=strand.number,
            state=strand.state,
            points=" ".join(f"{x:.0f},{y:.0f}" for x, y in _thinned(outline)),
            axis=_whole(*axis[0], *axis[1]),
            number_at=_whole(*_beyond(axis[1], axis[0], letter_px)),
            mark_at=_whole(*_beyond(axis[0], axis[1], letter_px)),
            from_enlargement=next(
                (times for times in ENLARGEMENTS if strand.number % steps[times] == 0),
                NEVER,
            ),
        )
        for strand, outline, axis in zip(strands, outlines, axes, strict=True)
    )
    return Overlay(
        view_box=_view(low, high, ROOM * letter_px, size_px),
        letter_px=max(1, round(letter_px)),
        mark_px=max(1, round(min(letter_px, 1.2 * pitch_px))),
        shapes=shapes,
    )


def profile(profile_mm, low_mm, high_mm) -> Profile | None:
    """Return the line of a strand's widths along it; None where it has none.

    ``profile_mm`` holds pairs of distance and width, ``low_mm`` and ``high_mm`` are the limits of
    the tolerance.
    """
    if len(profile_mm) < 2:
        return None
    along, widths = np.asarray(profile_mm, dtype=float).T
    low, high = min(low_mm, widths.min()), max(high_mm, widths.max())
    width, height = PROFILE_SIZE

    def down(mm):
        return height * (0.95 - 0.9 * (mm - low) / (high - low))

    across = width * (along - along[0]) / (along[-1] - along[0])
    top, bottom = down(high_mm), down(low_mm)
    return Profile(
        points=" ".join(
            f"{x:.1f},{y:.1f}"
            for x, y in _thinned(np.column_stack([across, down(widths)]), 2 * CORNERS)
        ),
        band=_whole(top, bottom - top),
        least_mm=float(widths.min()),
        most_mm=float(widths.max()),
    )


def _axis(outline):
    """Return the two ends of an outline's long axis, the left one first, or the upper one."""
    centre = outline.mean(axis=0)
    _u, _s, directions = np.linalg.svd(outline - centre, full_matrices=False)
    along = directions[0]
    if along[np.argmax(np.abs(along))] < 0:
        along = -along
    places = (outline - centre) @ along
    return centre + places.min() * along, centre + places.max() * along


def _pitch(axes):
    """Return the usual distance from strand to strand, across them."""
    along = (axes[:, 1] - axes[:, 0]).mean(axis=0)
    across = np.array([-along[1], along[0]]) / (np.hypot(*along) or 1)
    places = np.sort(axes.mean(axis=1) @ across)
    return float(np.median(np.diff(places))) if len(places) > 1 else 1e6


def _step(letter_px, pitch_px):
    """Return every how many strands there is room for a number."""
    return next((step for step in STEPS if step * pitch_px >= 1.1 * letter_px), STEPS[-1])


def _beyond(inner, end, distance):
    """Return the point ``distance`` beyond ``end``, seen from ``inner``."""
    length = float(np.hypot(*(end - inner))) or 1.0
    return end + (end - inner) * distance / length


def _thinned(points, most=CORNERS):
    """Return at most ``most`` points, spread evenly over those that there are."""
    if len(points) <= most:
        return points
    return points[np.linspace(0, len(points) - 1, most).round().astype(int)]


def _view(low, high, room, size_px):
    """Return left, top, width and height of what is shown, within the picture where it can be."""
    low, high = low - room, high + room
    missing = max(0.0, FLATTEST * (high[0] - low[0]) - (high[1] - low[1]))
    low[1], high[1] = low[1] - missing / 2, high[1] + missing / 2
    low, high = np.maximum(low, 0), np.minimum(high, size_px)
    return _whole(*low, *(high - low))


def _whole(*numbers):
    return tuple(round(float(number)) for number in numbers)
