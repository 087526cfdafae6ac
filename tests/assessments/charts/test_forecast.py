"""The fan of what may come, read back from its drawing."""

import re
from datetime import date, timedelta

import pytest

from assessments.charts.drawing import NARROW_PX
from assessments.charts.forecast import forecast_chart
from assessments.summaries.progress import PartFan, PastBatch
from tests.assessments.charts.picture import Picture

SHARES = (0.62, 0.71, 0.80, 0.88, 0.92)


def fan_of(part="width", *, low=3, median=6, high=9, ahead=12):
    """Return an invented fan: five batches, and quantiles that spread as they go on."""
    numbers = tuple(range(4, 4 + len(SHARES) + ahead))
    middle = [min(0.95, 0.6 + 0.05 * place) for place in range(len(numbers))]
    level = tuple(
        tuple(min(1.0, value + step * (1 + place) / 400) for place, value in enumerate(middle))
        for step in (-2, -1, 0, 1, 2)
    )
    past = tuple(
        PastBatch(100 + number, 4 + number, date(2026, 2, 1) + timedelta(days=number), share)
        for number, share in enumerate(SHARES)
    )
    return PartFan(part, past, numbers, level, 0.95, low, median, high)


def drawn(*fans):
    return forecast_chart(fans or (fan_of(),))


def test_every_batch_so_far_is_a_link_to_its_result():
    chart = drawn(fan_of(), fan_of("thickness"))
    expected = {f"/batches/{100 + number}/result/" for number in range(5)}
    for svg in (chart.narrow, chart.wide):
        links = Picture(svg).links()
        assert {address for address, _name in links} == expected
        assert len(links) == 2 * len(expected)
    assert {name for _address, name in Picture(chart.narrow).links()} >= {
        "Batch of Feb. 1, 2026: width 62 of 100",
        "Batch of Feb. 5, 2026: thickness 92 of 100",
    }
    assert {row.url for row in chart.table.rows if row.url} == expected


def test_shares_are_read_back_from_their_height():
    picture = Picture(drawn().narrow)
    heights = {text: y for text, _x, y in picture.words()}
    low_y, ready_y = heights["50"], heights["95"]
    circles = [y + 5 for _x, y, shape in picture.points(("var(--indigo)",)) if shape == "circle"]
    read = [50 + (low_y - y) / (low_y - ready_y) * 45 for y in circles]
    assert read == pytest.approx([100 * share for share in SHARES], abs=0.8)


def test_batches_are_counted_on_the_axis_and_parts_are_named():
    written = [text for text, _x, _y in Picture(drawn(fan_of(), fan_of("thickness")).wide).words()]
    assert {"width", "thickness", "batch", "10"} <= set(written)


def test_the_table_has_what_may_come_and_what_was():
    rows = drawn().table.rows
    assert [row.cells[0] for row in rows[:6]] == [
        "in 10 batches",
        "in 8 batches",
        "in 5 batches",
        "in 3 batches",
        "in 2 batches",
        "in 1 batch",
    ]
    # One batch on: the middle at 0.85, 0.03 below and above it.
    assert rows[5].cells[1] == "82 to 88"
    assert [row.cells for row in rows[6:]] == [
        (f"Feb. {5 - place}, 2026", f"{100 * share:.0f}")
        for place, share in enumerate(reversed(SHARES))
    ]


@pytest.mark.parametrize(
    ("told", "thick"),
    [
        ({}, True),
        ({"high": None}, True),
        ({"low": 13, "median": None, "high": None}, False),
        ({"low": None, "median": None, "high": None}, False),
    ],
)
def test_when_it_is_complete_is_drawn_where_it_can_be_told(told, thick):
    chart = drawn(fan_of(**told))
    lines = re.findall(r'<line [^>]*stroke="var\(--ink\)"[^>]*stroke-width="4"', chart.narrow)
    assert bool(lines) is thick
    assert ("The thick line is when" in chart.description) is thick


def test_the_drawing_holds_to_the_content_policy_and_to_a_phone():
    chart = drawn(fan_of(), fan_of("thickness"))
    for svg in (chart.narrow, chart.wide):
        assert not re.search(r"\sstyle=|<style|<script|\son\w+=|xlink:|house\.invalid", svg)
        assert Picture(svg).letter_sizes() == {16.0}
    assert Picture(chart.narrow).size[0] <= NARROW_PX + 8


def test_no_fan_no_chart():
    assert forecast_chart(()) is None
