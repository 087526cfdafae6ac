import pytest

from assessments.charts.hydration import hydration_chart
from assessments.summaries.batch import Water
from tests.assessments.charts.picture import Picture


def read_back(picture, low, high):
    """Return the percent at the mark, from the two edges of the shaded band."""
    [(left, _top, right, _bottom)] = picture.boxes("var(--dough)")
    [(x, _y, _shape)] = picture.points()
    return low + (x - left) / (right - left) * (high - low)


@pytest.mark.parametrize(
    ("percent", "word"),
    [
        (46.3, "within the tolerance"),
        (45.0, "within the tolerance"),
        (44.9, "too dry"),
        (51.0, "too wet"),
    ],
)
def test_the_mark_stands_where_the_water_is(percent, word):
    chart = hydration_chart(Water(percent, 46.0, 45.0, 47.5))
    for svg in (chart.narrow, chart.wide):
        assert read_back(Picture(svg), 45.0, 47.5) == pytest.approx(percent, abs=0.01)
    [row] = chart.table.rows
    assert row.cells == (f"{percent:.1f}", "46.0", "45.0", "47.5", word)


@pytest.mark.parametrize(("percent", "shape"), [(46.0, "circle"), (48.0, "other")])
def test_water_outside_has_another_shape(percent, shape):
    chart = hydration_chart(Water(percent, 46.0, 45.0, 47.0))
    [(_x, _y, drawn)] = Picture(chart.narrow).points()
    assert drawn == shape
