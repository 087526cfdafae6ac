"""Shapes over a photo: where they lie, what fits, and how a width along a strand is drawn."""

import math
from itertools import pairwise
from types import SimpleNamespace

import pytest

from assessments.charts.photograph import CORNERS, PROFILE_SIZE, overlay, profile

SIZE_PX = (1200, 900)


def strand(number, corners_px, state="within"):
    return SimpleNamespace(number=number, state=state, outline_px=corners_px)


def lying(number, y_px, *, left_px=200, right_px=1000, half_px=10):
    """Return a strand that lies across the picture."""
    corners = [(left_px, y_px - half_px), (right_px, y_px - half_px)]
    corners += [(right_px, y_px + half_px), (left_px, y_px + half_px)]
    return strand(number, corners)


def turned(strands, degrees):
    """Return the same strands turned about the middle of the picture."""
    sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))

    def turn(x, y):
        x, y = x - 600, y - 450
        return 600 + x * cosine - y * sine, 450 + x * sine + y * cosine

    return [strand(s.number, [turn(*corner) for corner in s.outline_px]) for s in strands]


def row(count, pitch_px):
    return [lying(n, 200 + n * pitch_px) for n in range(1, count + 1)]


def test_no_strand_no_overlay():
    assert overlay(SIZE_PX, []) is None


def test_the_axis_runs_from_end_to_end_and_left_to_right():
    [shape] = overlay(SIZE_PX, [lying(1, 300)]).shapes
    assert shape.axis == (200, 300, 1000, 300)
    [shape] = overlay(SIZE_PX, turned([lying(1, 450)], 90)).shapes
    assert shape.axis == (600, 50, 600, 850)
    [shape] = overlay(SIZE_PX, turned([lying(1, 450)], 180)).shapes
    assert shape.axis == (200, 450, 1000, 450)


@pytest.mark.parametrize("degrees", [0, 10, -10, 80, 90, 100])
def test_numbers_and_marks_stand_beside_the_strands_within_the_view(degrees):
    drawn = overlay(SIZE_PX, turned(row(12, 25), degrees))
    left, top, width, height = drawn.view_box
    for shape in drawn.shapes:
        for x, y in (shape.number_at, shape.mark_at):
            assert left <= x <= left + width
            assert top <= y <= top + height
        (x1, y1, x2, y2), (x, y) = shape.axis, shape.number_at
        beyond = math.hypot(x - x1, y - y1)
        assert beyond == pytest.approx(drawn.letter_px, abs=1.5)
        assert math.hypot(x - x2, y - y2) == pytest.approx(
            math.hypot(x2 - x1, y2 - y1) + beyond, abs=2
        )


def test_the_view_never_leaves_the_picture():
    strands = [lying(1, 5, left_px=0, right_px=1200), lying(2, 895, left_px=0, right_px=1200)]
    assert overlay(SIZE_PX, strands).view_box == (0, 0, 1200, 900)


def test_one_strand_is_shown_with_its_surroundings():
    _left, _top, width, height = overlay(SIZE_PX, [lying(1, 450)]).view_box
    assert height >= 0.45 * width


def test_numbers_do_not_overlap():
    """At each enlargement those that are shown stand at least a letter apart."""
    for pitch_px in (4, 9, 20, 60):
        drawn = overlay(SIZE_PX, row(10, pitch_px))
        for times in (1, 2, 4):
            shown = [shape for shape in drawn.shapes if shape.from_enlargement <= times]
            letter_px = drawn.letter_px / times
            numbers = [shape.number for shape in shown]
            gaps = [(b - a) * pitch_px for a, b in pairwise(numbers)]
            assert all(gap >= letter_px for gap in gaps), (pitch_px, times, numbers)
            assert numbers
    wide_apart = overlay(SIZE_PX, row(10, 60)).shapes
    assert {shape.from_enlargement for shape in wide_apart} == {1}


def test_long_outlines_are_thinned_and_short_ones_kept():
    corners = [(n, 100 + n % 3) for n in range(500)] + [(n, 120) for n in reversed(range(500))]
    [shape] = overlay(SIZE_PX, [strand(1, corners)]).shapes
    assert len(shape.points.split()) == CORNERS
    [shape] = overlay(SIZE_PX, [lying(1, 300)]).shapes
    assert shape.points == "200,290 1000,290 1000,310 200,310"


def test_a_profile_lies_within_its_picture_with_the_band_where_the_limits_are():
    drawn = profile([(5.0, 2.6), (60.0, 3.2), (115.0, 3.9)], 2.7, 3.7)
    points = [tuple(map(float, point.split(","))) for point in drawn.points.split()]
    width, height = PROFILE_SIZE
    assert [x for x, _y in points] == [0, width / 2, width]
    assert points[0][1] > points[1][1] > points[2][1]
    assert all(0 < y < height for _x, y in points)
    top, high = drawn.band
    # The widest is above the band, the narrowest below it, and the middle one in its middle.
    assert points[2][1] < top < points[1][1] < top + high < points[0][1]
    assert points[1][1] == pytest.approx(top + high / 2, abs=1)
    assert (drawn.least_mm, drawn.most_mm) == (2.6, 3.9)


@pytest.mark.parametrize("pairs", [[], [(5.0, 3.0)]])
def test_no_profile_of_less_than_two_widths(pairs):
    assert profile(pairs, 2.7, 3.7) is None
