"""The warning since a sign-off, read back from its drawing."""

import re
from datetime import date, timedelta

import pytest

from assessments.charts.drawing import NARROW_PX
from assessments.charts.monitoring import evenness_chart
from assessments.summaries.progress import Watched, WatchedBatch
from tests.assessments.charts.picture import Picture

WARNINGS = [(0.0, 0.0), (12.0, 30.0), (55.0, 10.0), (100.0, 0.0), (None, 5.0)]


def watched(warnings=WARNINGS, *, is_cut=False):
    return Watched(
        date(2026, 3, 1),
        tuple(
            WatchedBatch(100 + number, date(2026, 3, 2) + timedelta(days=number), *pair)
            for number, pair in enumerate(warnings)
        ),
        is_cut,
    )


def read_back(picture, shape, low=0, high=100):
    heights = {text: y for text, _x, y in picture.words()}
    low_y, high_y = heights[str(low)] - 5, heights[str(high)] - 5
    points = [y for _x, y, kind in picture.points(("var(--indigo)",)) if kind == shape]
    read = [(low_y - y) / (low_y - high_y) * 100 for y in points]
    # One mark more of each shape belongs to the key below the picture.
    return [value for value in read if value > -5]


def test_both_parts_are_read_back_from_their_height():
    picture = Picture(evenness_chart(watched()).narrow)
    assert read_back(picture, "circle") == pytest.approx([0, 12, 55, 100], abs=1)
    assert read_back(picture, "other") == pytest.approx([0, 30, 10, 0, 5], abs=1)


def test_every_batch_is_a_link_and_the_parts_have_a_key():
    chart = evenness_chart(watched())
    for svg in (chart.narrow, chart.wide):
        picture = Picture(svg)
        assert {address for address, _name in picture.links()} == {
            f"/batches/{100 + number}/result/" for number in range(5)
        }
        assert {"width", "thickness", "50", "100"} <= {text for text, _x, _y in picture.words()}
    names = [name for _address, name in Picture(chart.narrow).links()]
    assert names[3] == "Batch of March 5, 2026: warning 100 for the width, 0 for thickness"


def test_the_table_is_newest_first_and_says_where_a_chart_has_stopped():
    rows = evenness_chart(watched()).table.rows
    assert [row.cells[1:] for row in rows] == [
        ("–", "5"),
        ("100", "0"),
        ("55", "10"),
        ("12", "30"),
        ("0", "0"),
    ]


def test_the_lines_of_watch_and_alarm_are_told():
    chart = evenness_chart(watched())
    assert "5 batches since the sign-off of March 1, 2026." in chart.description
    assert "The last 5 batches" in evenness_chart(watched(is_cut=True)).description


def test_the_drawing_holds_to_the_content_policy_and_to_a_phone():
    chart = evenness_chart(watched())
    for svg in (chart.narrow, chart.wide):
        assert not re.search(r"\sstyle=|<style|<script|\son\w+=|xlink:|house\.invalid", svg)
        assert Picture(svg).letter_sizes() == {16.0}
    assert Picture(chart.narrow).size[0] <= NARROW_PX + 8


@pytest.mark.parametrize("n", [1, 60])
def test_any_number_of_batches_is_drawn(n):
    chart = evenness_chart(watched([(float(place), 0.0) for place in range(n)]))
    assert len(Picture(chart.narrow).links()) == n


def test_without_batches_there_is_no_chart():
    assert evenness_chart(None) is None
    assert evenness_chart(watched([])) is None
