import pytest

from assessments.charts.sheet import sheet_chart
from assessments.summaries.batch import Sheet
from tests.assessments.charts.picture import Picture

SHEET = Sheet(2, 3, (3.0, 3.1, 3.41, 2.59, None, 3.4), 3.0, 2.6, 3.4)


@pytest.fixture(params=["narrow", "wide"])
def picture(request):
    return Picture(getattr(sheet_chart(SHEET), request.param))


def cell_of(picture, x, y):
    cells = [*picture.boxes("var(--dough)"), *picture.boxes("var(--paper)")]
    columns = sorted({round(left) for left, _top, _right, _bottom in cells})
    rows = sorted({round(top) for _left, top, _right, _bottom in cells})
    return (
        max(i for i, top in enumerate(rows) if top <= y),
        max(i for i, left in enumerate(columns) if left <= x),
    )


def test_the_values_lie_as_on_the_sheet(picture):
    """Along the sheet downward, across it to the right: point 4 begins the second row."""
    found = {
        text: cell_of(picture, x, y)
        for text, x, y in picture.words()
        if text in ("3.00", "3.10", "3.41", "2.59", "–", "3.40")
    }
    assert found == {
        "3.00": (0, 0),
        "3.10": (0, 1),
        "3.41": (0, 2),
        "2.59": (1, 0),
        "–": (1, 1),
        "3.40": (1, 2),
    }


def test_only_points_outside_have_a_triangle_and_no_tint(picture):
    triangles = {cell_of(picture, x, y): shape for x, y, shape in picture.points()}
    assert triangles == {(0, 2): "up", (1, 0): "down"}
    assert len(picture.boxes("var(--dough)")) == 3
    assert len(picture.boxes("var(--paper)")) == 3


def test_the_table_names_each_point():
    assert [row.cells for row in sheet_chart(SHEET).table.rows][2:5] == [
        ("1", "3", "3.41", "too thick"),
        ("2", "1", "2.59", "too thin"),
        ("2", "2", "–", "not measured"),
    ]


def test_a_fine_grid_drops_the_second_decimal_only_where_it_has_no_room():
    chart = sheet_chart(Sheet(9, 9, (3.04,) * 81, 3.0, 2.6, 3.4))
    narrow = [text for text, _x, _y in Picture(chart.narrow).words()]
    wide = [text for text, _x, _y in Picture(chart.wide).words()]
    assert narrow.count("3.0") == 81
    assert wide.count("3.04") == 81
    assert chart.table.rows[0].cells[2] == "3.04"


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ((3.0, 3.1), "All 2 do."),
        ((3.0, 3.5), "1 of 2 lies outside: a triangle upward is too thick, downward too thin."),
    ],
)
def test_the_description_counts_the_points_outside(values, said):
    assert sheet_chart(Sheet(1, 2, values, 3.0, 2.6, 3.4)).description.endswith(said)
