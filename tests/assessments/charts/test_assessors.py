"""The chart of how well two agree, read back with a ruler."""

import pytest

from assessments.charts.assessors import kappa_chart
from assessments.summaries.assessors import Bar
from tests.assessments.charts.picture import Picture

# Invented.
BARS = (
    Bar("Hygiene", "Isbel Anakoor and Maruk Tessen", 0.82, 0.66, 0.93, 24),
    Bar("Hygiene", "Isbel Anakoor and Davo Kessander", 0.31, -0.15, 0.64, 12),
    Bar("Handling of dough and tools", "Isbel Anakoor and Maruk Tessen", 0.55, 0.2, 0.78, 24),
)


@pytest.fixture(params=["narrow", "wide"])
def picture(request):
    return Picture(getattr(kappa_chart(BARS), request.param))


def test_without_a_bar_there_is_no_picture():
    assert kappa_chart(()) is None


def test_every_kappa_stands_at_its_place(picture):
    xs = [x for x, _y, _shape in picture.points()]
    heights = [y for _x, y, _shape in picture.points()]
    per_kappa = (xs[0] - xs[1]) / (0.82 - 0.31)
    assert xs[2] == pytest.approx(xs[1] + (0.55 - 0.31) * per_kappa, abs=0.05)
    assert heights == sorted(heights)


def test_a_line_runs_from_limit_to_limit(picture):
    spans = sorted(
        abs(float(element.get("x2")))
        for element, _x, _y, _linked in picture.marks
        if element.get("stroke") == "var(--line-strong)" and element.get("stroke-width") == "3"
    )
    widths = sorted(bar.high - bar.low for bar in BARS)
    assert [span / spans[-1] for span in spans] == pytest.approx(
        [width / widths[-1] for width in widths], abs=0.002
    )


def test_criteria_and_people_are_written_once_and_large_enough(picture):
    written = [text for text, _x, _y in picture.words()]
    assert written.count("Hygiene") == 1
    assert written.count("Isbel Anakoor and Maruk Tessen") == 2
    assert min(picture.letter_sizes()) >= 16


def test_description_and_table_say_the_same():
    chart = kappa_chart(BARS)
    assert "95 times in 100" in chart.description
    assert chart.table.rows[1].cells == (
        "Hygiene",
        "Isbel Anakoor and Davo Kessander",
        "12",
        "0.31",
        "−0.15",
        "0.64",
    )
