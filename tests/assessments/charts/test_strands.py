import pytest

from assessments.charts.strands import strands_chart
from assessments.summaries.batch import Strands
from tests.assessments.charts.picture import Picture

# Invented; three decimals on purpose, and three strands outside of 2.70 to 3.70 mm.
WIDTHS_MM = (3.1, 3.3, 2.655, 3.0, 3.72, 3.2, 3.1, 2.7, 3.7, 2.45)
PLACES = (2, 9, 14, 20, 27, 33, 38, 44, 51, 60)
STRANDS = Strands(PLACES, WIDTHS_MM, 60, 3.2, 2.7, 3.7)


def scale(picture):
    """Return the millimetres at a height, from the two edges of the shaded band."""
    [(_left, top, _right, bottom)] = picture.boxes("var(--dough)")
    return lambda y: 3.7 - (y - top) / (bottom - top) * (3.7 - 2.7)


@pytest.fixture(params=["narrow", "wide"])
def picture(request):
    return Picture(getattr(strands_chart(STRANDS), request.param))


def test_every_strand_is_read_back_from_its_height(picture):
    mm = scale(picture)
    read = [mm(y) for _x, y, _shape in picture.points()]
    # Two decimals of a pixel, at 100 pixels or more to the millimetre.
    assert read == pytest.approx(WIDTHS_MM, abs=0.001)


def test_every_strand_stands_at_its_place_in_the_cut(picture):
    xs = [x for x, _y, _shape in picture.points()]
    step = (xs[-1] - xs[0]) / (PLACES[-1] - PLACES[0])
    assert xs == pytest.approx([xs[0] + step * (place - PLACES[0]) for place in PLACES], abs=0.02)


def test_the_shape_alone_tells_which_strands_lie_outside(picture):
    expected = ["up" if width > 3.7 else "down" if width < 2.7 else "circle" for width in WIDTHS_MM]
    assert [shape for _x, _y, shape in picture.points()] == expected
    assert expected.count("circle") == 7


def test_the_written_limits_stand_at_the_edges_of_the_band(picture):
    mm = scale(picture)
    heights = {text: y for text, _x, y in picture.words()}
    # The foot of a letter of 16 px lies about 5 px under the line that it belongs to.
    for text, limit in (("2.7", 2.7), ("3.2", 3.2), ("3.7", 3.7)):
        assert mm(heights[text] - 5) == pytest.approx(limit, abs=0.02)


def test_narrowest_and_widest_are_named(picture):
    written = [text for text, _x, _y in picture.words()]
    assert "2.45" in written
    assert "3.72" in written


def test_the_table_holds_every_strand():
    table = strands_chart(STRANDS).table
    assert [row.cells for row in table.rows[:3]] == [
        ("2", "3.10", "within the tolerance"),
        ("9", "3.30", "within the tolerance"),
        ("14", "2.66", "too narrow"),
    ]
    assert len(table.rows) == len(WIDTHS_MM)


@pytest.mark.parametrize(
    ("widths_mm", "said"),
    [
        ((3.1, 3.2, 3.3), "All 3 lie within."),
        ((3.1, 3.2, 3.8), "1 of 3 lies outside and is a triangle."),
        ((2.1, 3.2, 3.8), "2 of 3 lie outside and are triangles."),
    ],
)
def test_the_description_counts_the_strands_outside(widths_mm, said):
    chart = strands_chart(Strands((1, 2, 3), widths_mm, 3, 3.2, 2.7, 3.7))
    assert chart.description.endswith(said)


def test_two_hundred_strands_are_all_drawn():
    widths_mm = tuple(2.4 + place * 7 % 17 / 10 for place in range(200))
    chart = strands_chart(Strands(tuple(range(1, 201)), widths_mm, 200, 3.2, 2.7, 3.7))
    assert len(Picture(chart.narrow).points()) == 200


def test_one_strand_is_drawn_too():
    chart = strands_chart(Strands((1,), (3.2,), 1, 3.2, 2.7, 3.7))
    assert len(Picture(chart.narrow).points()) == 1
