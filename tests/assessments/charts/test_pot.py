import math

import pytest

from assessments.calculations.pot import boil, calibrate
from assessments.charts.pot import boil_tests_chart, pot_chart
from assessments.models import BoilTest
from assessments.summaries.pot import BoilTestLine, PotResult
from tests.assessments.charts.picture import Picture

SQUARE = calibrate(3.0, 3.0, 12)
# Minutes after which square sections are done; at 12 the first two are too soft, the last is hard.
MINUTES = (9, 10, 12, 13, 14, 15)


def pot_result(minutes, best_min=None):
    sides = [3 * math.sqrt(one / 12) for one in minutes]
    found = boil(SQUARE, sides, sides)
    return PotResult(
        boil=found,
        places=tuple(10 * (strand.place + 1) for strand in found.strands),
        best_min=best_min or found.best_min,
        best=boil(SQUARE, sides, sides, best_min).at if best_min else found.best,
        thickness_from="strand",
        thickness_mm=3.0,
        tests=0,
        contradict=False,
    )


POT = pot_result(MINUTES, 12.75)


@pytest.fixture(params=["narrow", "wide"])
def picture(request):
    return Picture(getattr(pot_chart(POT), request.param))


def uprights(picture):
    """Return (x, whether it is dashed) of each upright line."""
    return [
        (x, bool(element.get("stroke-dasharray", "1,0") != "1,0"))
        for element, x, _y, _linked in picture.marks
        if element.get("stroke") == "var(--ink)" and element.tag.endswith("line")
    ]


def test_every_strand_stands_where_it_is_done(picture):
    xs = [x for x, _y, _shape in picture.points()[: len(MINUTES)]]
    step = (xs[-1] - xs[0]) / (15 - 9)
    assert xs == pytest.approx([xs[0] + step * (one - 9) for one in MINUTES], abs=0.05)
    [(house, dashed), (best, best_dashed)] = uprights(picture)
    assert house == pytest.approx(xs[0] + step * 3, abs=0.05)
    assert best == pytest.approx(xs[0] + step * 3.75, abs=0.05)
    assert (dashed, best_dashed) == (False, True)


def test_the_first_done_is_on_top(picture):
    ys = [y for _x, y, _shape in picture.points()[: len(MINUTES)]]
    assert ys == sorted(ys)
    assert len(set(ys)) == len(MINUTES)


def test_the_shape_alone_tells_what_is_hard_and_what_is_soft(picture):
    shapes = [shape for _x, _y, shape in picture.points()[: len(MINUTES)]]
    assert shapes == ["other", "other", "circle", "circle", "circle", "other"]
    outlines = [
        element.get("d")
        for element, _x, _y, linked in picture.marks
        if element.get("fill") == "var(--ink)" and element.get("d") and linked is None
    ]
    # Two point to the left, one to the right.
    assert outlines[0] == outlines[1] != outlines[2]


def test_the_two_times_are_written_and_do_not_touch(picture):
    written = {text: x for text, x, _y in picture.words()}
    [(house, _dashed), (best, _best_dashed)] = uprights(picture)
    assert written["12:00"] < house < best < written["12:45"]
    assert {"just right", "hard core", "too soft"} <= set(written)


def test_the_table_holds_every_strand_with_its_place_in_the_cut():
    rows = [row.cells for row in pot_chart(POT).table.rows]
    assert rows[0] == ("10", "2.60 × 2.60", "9:00", "7:39 to 10:21", "too soft")
    assert [row[-1] for row in rows] == [
        *["too soft"] * 2,
        *["just right"] * 3,
        "hard core",
    ]


def test_a_batch_that_suits_the_house_time_has_one_line():
    chart = pot_chart(pot_result([12, 12, 12]))
    assert len(uprights(Picture(chart.narrow))) == 1
    assert "dashed" not in chart.description


def test_the_times_keep_within_the_picture_where_all_strands_are_off():
    chart = pot_chart(pot_result([4, 4.1, 4.2, 4.3]))
    picture = Picture(chart.narrow)
    width, _height = picture.size
    for text, x, _y in picture.words():
        if ":" in text:
            assert 40 < x < width - 40


def test_two_hundred_strands_are_all_drawn():
    chart = pot_chart(pot_result([9 + n % 70 / 10 for n in range(200)]))
    picture = Picture(chart.narrow)
    assert len([one for one in picture.points() if one[2]]) >= 200
    assert picture.size[1] < 600


def test_no_picture_of_nothing():
    assert pot_chart(None) is None
    assert boil_tests_chart(()) is None
    assert boil_tests_chart((BoilTestLine(BoilTest(done_at_min=40), None),)) is None
