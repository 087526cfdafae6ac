"""The chart of faults: a bar for each share, its name and number in words."""

import pytest
from django.core.cache import cache

from assessments.charts.house_faults import faults_chart
from assessments.summaries.house_faults import FaultLine
from tests.assessments.charts.picture import Picture


@pytest.fixture(autouse=True)
def _drawn_anew():
    cache.clear()


def lines(*shares):
    return tuple(
        FaultLine(f"Fault {n}", round(100 * share), share, "Hold it", f"/modules/m/#{n}", "Cutting")
        for n, share in enumerate(shares, start=1)
    )


def test_nothing_found_is_no_chart():
    assert faults_chart((), 10) is None


@pytest.mark.parametrize("variant", ["narrow", "wide"])
def test_bars_are_as_long_as_the_shares(variant):
    chart = faults_chart(lines(0.6, 0.3, 0.05), 40)
    picture = Picture(getattr(chart, variant))
    bars = picture.boxes("var(--dough)")
    lengths = [right - left for left, _top, right, _bottom in bars]
    assert len(lengths) == 3
    assert [length / lengths[0] for length in lengths] == pytest.approx([1, 0.5, 1 / 12], abs=0.01)
    words = [word for word, _x, _y in picture.words()]
    for word in ("Fault 1", "Fault 3", "60 of 100", "5 of 100"):
        assert word in words
    assert picture.letter_sizes() == {16}


def test_what_it_shows_is_said_and_listed():
    chart = faults_chart(lines(0.6, 0.3), 40)
    assert "Of 40 batches measured" in chart.description
    assert "“Fault 1”: 60 of 100" in chart.description
    assert [row.cells for row in chart.table.rows] == [
        ("Fault 1", "60", "60", "Hold it"),
        ("Fault 2", "30", "30", "Hold it"),
    ]
    assert chart.table.rows[0].url == "/modules/m/#1"


def test_rare_faults_stand_in_the_values_only():
    chart = faults_chart(lines(*[0.5 - 0.04 * n for n in range(10)]), 100)
    assert "2 rarer faults stand in the values only." in chart.description
    assert len(Picture(chart.narrow).boxes("var(--dough)")) == 8
    assert len(chart.table.rows) == 10
