"""Pictures of findings, read back with a ruler."""

import re
from itertools import combinations

import numpy as np
import pytest

from assessments.calculations.patterns.findings import (
    Finding,
    RecipeReading,
    SheetReadings,
    StrandReadings,
    find_patterns,
)
from assessments.calculations.patterns.level import Tolerance
from assessments.charts import drawing
from assessments.charts.contours import outlines
from assessments.charts.findings import finding_chart
from assessments.summaries.batch import Sheet, Strands
from tests.assessments.charts.picture import MOVE, SVG, Picture

WIDTH, THICKNESS = Tolerance(2.5, 3.0, 3.5), Tolerance(2.6, 3.0, 3.4)
PLACES = tuple(range(2, 61, 3))
LETTER_PX = 9.5  # wide for a bold digit of 16 px


def wobble(n, seed=1):
    return 0.06 * np.random.default_rng(seed).standard_normal(n)


def cut(*, total=60, **patterns_mm):
    """Return ``Strands`` with what was made into them."""
    at = np.array(PLACES)
    shape = {
        "drift": (at - at[0]) / (at[-1] - at[0]) - 0.5,
        "alternation": at % 2 - 0.5,
        "step": (at > 30) - 0.5,
        "outliers": (at == 20) * -1.0,
        "groups": np.isin(at, (2, 8, 11, 17, 23, 26, 35, 41, 50, 59)) - 0.5,
        "neighbours": np.sin(at * 2 * np.pi / 24),
        "off_target": 1.0,
        "uneven": np.random.default_rng(2).permutation(np.linspace(-1, 1, at.size)),
    }
    widths = 3.0 + wobble(at.size) + sum(mm * shape[kind] for kind, mm in patterns_mm.items())
    return Strands(PLACES, tuple(widths.round(3).tolist()), total, 3.0, 2.5, 3.5)


def sheet(rows=3, columns=3, *, missing=(), **patterns_mm):
    y, x = (axis.ravel() for axis in np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j])
    shape = {
        "tilt": x / 2,
        "bowl": -(x * x + y * y) / 2,
        "ridge_along_rows": -y * y,
        "ridge_along_columns": -x * x,
        "saddle": (x * x - y * y) / 2,
        "spot": (x == 1) & (y == 1),
        "off_target": 1.0,
        "uneven": np.resize([1, -1, 1, 1, -1, -1], x.size),
    }
    values = 3.0 + wobble(x.size) / 2
    values = values + sum(mm * shape[kind] for kind, mm in patterns_mm.items())
    readings = [None if i in missing else v for i, v in enumerate(values.round(2).tolist())]
    return Sheet(rows, columns, tuple(readings), 3.0, 2.6, 3.4)


def found(kind, *, strands=None, of=None, ends_mm=None, recipe=()):
    """Return the finding of this kind and the kinds found in the sheet."""
    said = find_patterns(
        strands
        and StrandReadings(
            positions=strands.places,
            widths_mm=strands.widths_mm,
            tolerance=WIDTH,
            ends_mm=ends_mm,
        ),
        of
        and SheetReadings(
            rows=of.rows, columns=of.columns, thickness_mm=of.thicknesses_mm, tolerance=THICKNESS
        ),
        recipe,
    )
    return next(one for one in said.findings if one.kind == kind), said.sheet_kinds


def drawn(kind, *, strands=None, of=None, ends_mm=None, recipe=()):
    finding, kinds = found(kind, strands=strands, of=of, ends_mm=ends_mm, recipe=recipe)
    return finding, finding_chart(finding, strands, of, kinds, ends_mm=ends_mm or ())


def ends(strands, taper_mm):
    """Return both end widths of strands, with a taper for each."""
    noise = wobble(len(strands.places), 5) / 2
    return [
        (width - (taper + off) / 2, width + (taper + off) / 2)
        for width, taper, off in zip(strands.widths_mm, taper_mm, noise, strict=True)
    ]


EVEN = cut()
ODD = [0.2 if place % 2 else -0.2 for place in PLACES]
CASES = {
    "drift": {"strands": cut(drift=0.6)},
    "drift, thrice": {"strands": cut(drift=-1.8)},
    "alternation": {"strands": cut(alternation=0.3)},
    "step": {"strands": cut(step=-0.5)},
    "groups": {"strands": cut(groups=0.9)},
    "neighbours": {"strands": cut(neighbours=0.25)},
    "outliers": {"strands": cut(outliers=1.2)},
    "off_target": {"strands": cut(off_target=0.3)},
    "uneven": {"strands": cut(uneven=0.8)},
    "wedge": {"strands": EVEN, "ends_mm": ends(EVEN, [0.2] * 20)},
    "fan": {"strands": EVEN, "ends_mm": ends(EVEN, ODD)},
    "tilt": {"of": sheet(tilt=0.6)},
    "tilt, fine": {"of": sheet(8, 9, tilt=0.9, missing=(3, 40))},
    "tilt, line": {"of": sheet(1, 8, tilt=0.9)},
    "bowl": {"of": sheet(bowl=0.6)},
    "bowl, thin": {"of": sheet(4, 4, bowl=-0.6, missing=(5,))},
    "ridge_along_rows": {"of": sheet(ridge_along_rows=0.6)},
    "ridge_along_columns": {"of": sheet(ridge_along_columns=-0.6)},
    "saddle": {"of": sheet(saddle=0.6)},
    "spot": {"of": sheet(4, 4, spot=0.8)},
    "off_target, sheet": {"of": sheet(off_target=0.3)},
    "uneven, sheet": {"of": sheet(5, 5, uneven=0.5)},
    "off_recipe": {
        "recipe": [
            RecipeReading(
                part="hydration", actual=48.3, target=46, tol_minus=1, tol_plus=1.5, sigma=0.3
            )
        ]
    },
}


@pytest.mark.parametrize("case", CASES)
def test_every_finding_is_drawn_for_every_reader(case):
    _finding, chart = drawn(case.partition(",")[0], **CASES[case])
    assert chart.title
    assert chart.description
    assert chart.table.rows
    for svg, widest in ((chart.narrow, drawing.NARROW_PX), (chart.wide, drawing.WIDE_PX)):
        picture = Picture(svg)
        width, height = picture.size
        assert 0.95 * widest <= width <= widest
        assert picture.letter_sizes() == {16.0}
        colours = re.findall(r'(?:fill|stroke)="([^"]*)"', svg)
        assert all(re.match(r"none$|var\(--|color-mix\(in srgb, ", colour) for colour in colours)
        boxes = text_boxes(picture)
        for text, left, top, right, bottom in boxes:
            assert left >= -1, text
            assert right <= width + 1, text
            assert top >= 0, text
            assert bottom <= height, text
        for (text, *a), (other, *b) in combinations(boxes, 2):
            apart = a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
            assert apart, f"{text} covers {other}"


def text_boxes(picture):
    """Return (text, left, top, right, bottom) of all that is written, letters taken as wide."""
    boxes = []
    for element, x, y, _linked in picture.marks:
        if element.tag != f"{SVG}text":
            continue
        text = element.text or ""
        size = LETTER_PX * len(text) * (1 if re.fullmatch(r"[\d.+−– ]+", text) else 0.82)
        left = x - {"middle": size / 2, "end": size}.get(element.get("text-anchor"), 0)
        boxes.append((text, left, y - 12, left + size, y + 1))
    return boxes


def heights(picture, limits):
    """Return the millimetres at a height, from the two edges of the shaded band."""
    [(_left, top, _right, bottom)] = picture.boxes("var(--dough)")
    return lambda y: limits.high_mm - (y - top) / (bottom - top) * (limits.high_mm - limits.low_mm)


def lines(picture, width="3.5"):
    """Return the corners of each thick line."""
    found = []
    for element, x, y, _linked in picture.marks:
        if element.get("stroke-width") == width and element.get("d", "").startswith("M"):
            corners = re.findall(r"[ML]([-\d.]+),([-\d.]+)", element.get("d"))
            found.append([(x + float(a), y + float(b)) for a, b in corners])
    return found


def test_the_line_of_a_drift_is_the_fit_through_all_strands():
    strands = cut(drift=0.6)
    _finding, chart = drawn("drift", strands=strands)
    picture = Picture(chart.narrow)
    mm = heights(picture, strands)
    [((x, start), (x_end, end))] = lines(picture)
    slope, level = np.polyfit(strands.places, strands.widths_mm, 1)
    assert (mm(start), mm(end)) == pytest.approx(
        (level + slope * PLACES[0], level + slope * PLACES[-1]), abs=0.002
    )
    points = [x for x, _y, _shape in picture.points(("var(--indigo)",))]
    assert (x, x_end) == pytest.approx((min(points), max(points)), abs=0.02)


def test_every_second_strand_has_another_shape_and_its_own_mean():
    strands = cut(alternation=0.3)
    _finding, chart = drawn("alternation", strands=strands)
    picture = Picture(chart.wide)
    mm = heights(picture, strands)
    means = [
        np.mean([w for p, w in zip(PLACES, strands.widths_mm, strict=True) if p % 2 == odd])
        for odd in (0, 1)
    ]
    assert sorted(mm(y) for line in lines(picture) for _x, y in line[:1]) == pytest.approx(
        means, abs=0.002
    )
    odd = [point for point in picture.points(("var(--indigo)",)) if point[2] == "circle"]
    assert len(odd) == sum(place % 2 for place in PLACES)


def test_a_step_is_drawn_where_it_happens():
    strands = cut(step=-0.5)
    finding, chart = drawn("step", strands=strands)
    assert finding.places == (29.0, 32.0)
    picture = Picture(chart.narrow)
    xs = [x for x, _y, _shape in picture.points(("var(--indigo)",))]
    before, after = lines(picture)
    at = xs[PLACES.index(29)], xs[PLACES.index(32)]
    assert before[-1][0] == after[0][0] == pytest.approx(sum(at) / 2, abs=0.02)
    assert [row.cells[2] for row in chart.table.rows] == ["before"] * 10 + ["after"] * 10


def test_only_outliers_are_ringed_and_named():
    strands = cut(outliers=1.2)
    _finding, chart = drawn("outliers", strands=strands)
    picture = Picture(chart.narrow)
    [ring] = [
        (x, y)
        for element, x, y, _linked in picture.marks
        if element.get("stroke-width") == "2.5" and MOVE.match(element.get("transform", ""))
    ]
    points = [(x, y) for x, y, _shape in picture.points(("var(--indigo)",))]
    assert ring == pytest.approx(points[PLACES.index(20)], abs=0.02)
    assert "20" in chart.description
    assert sum(row.cells[2] == "far from the others" for row in chart.table.rows) == 1


def test_two_outliers_side_by_side_share_a_number():
    widths = [2.95, 3.05] * 10
    widths[6:8] = [4.4, 4.41]
    strands = Strands(tuple(range(1, 21)), tuple(widths), 60, 3.0, 2.5, 3.5)
    finding = Finding(
        "width", "outliers", "wide", 1.4, "mm", 2.8, (7.0, 8.0), 0.001, 0.001, 10.0, 10.0
    )
    words = [
        text for text, _x, _y in Picture(finding_chart(finding, strands, None, ()).narrow).words()
    ]
    assert ("4.41" in words, "4.40" in words) == (True, False)


def test_both_ends_of_each_strand_are_joined():
    pairs = ends(EVEN, [0.2] * 20)
    _finding, chart = drawn("wedge", strands=EVEN, ends_mm=pairs)
    picture = Picture(chart.wide)
    mm = heights(picture, EVEN)
    circles = [mm(y) for _x, y, shape in picture.points(("var(--indigo)",)) if shape == "circle"]
    assert circles[:20] == pytest.approx([first for first, _last in pairs], abs=0.002)
    assert chart.table.rows[0].cells == ("2", f"{pairs[0][0]:.2f}", f"{pairs[0][1]:.2f}")


@pytest.mark.parametrize(("kind", "shapes"), [("wedge", 1), ("fan", 2)])
def test_without_end_widths_the_mean_strand_stands_for_all(kind, shapes):
    finding = Finding("taper", kind, "last", 0.2, "mm", 0.4, (), 0.001, 0.001, 3.0, 0.0)
    strands = Strands((1, 2), (3.0, 3.2), 2, 3.0, 2.5, 3.5)
    chart = finding_chart(finding, strands, None, ())
    size = 0.2 if kind == "wedge" else 0.1
    expected = (f"{3.1 - size / 2:.2f}", f"{3.1 + size / 2:.2f}")
    assert len(chart.table.rows) == shapes
    assert chart.table.rows[0].cells[1:] == expected
    words = [text for text, _x, _y in Picture(chart.narrow).words()]
    assert f"{expected[0]} mm" in words


def test_the_map_lies_as_the_sheet_does():
    """The first point is at the far edge on the left, the last at the near edge on the right."""
    of = sheet(2, 3, tilt=0.6)
    values = (3.31, 3.01, 2.71, 3.32, 3.02, None)
    of = Sheet(2, 3, values, 3.0, 2.6, 3.4)
    finding = Finding(
        "thickness", "tilt", "left", 0.6, "mm", 1.5, (-1.0, 0.0), 0.01, 0.01, 5.0, 5.0
    )
    picture = Picture(finding_chart(finding, None, of, ("tilt",)).narrow)
    at = {text: (x, y) for text, x, y in picture.words()}
    assert at["far edge"][1] < at["3.31"][1] < at["3.32"][1] < at["edge towards you"][1]
    assert at["left"][0] < at["3.31"][0] < at["3.01"][0] < at["2.71"][0] < at["right"][0]
    assert at["–"][0] == at["2.71"][0]
    assert at["← thinner"][0] < at["thicker →"][0]


def test_the_tints_of_the_map_tell_thin_from_thick():
    """Thinner than wanted is indigo, thicker is dough; what is level has no tint."""
    _finding, chart = drawn("tilt", of=sheet(tilt=0.6))
    tints = re.findall(r'fill="(color-mix[^"]*)"', chart.narrow)
    assert any("var(--indigo)" in tint for tint in tints)
    assert any("var(--dough)" in tint for tint in tints)
    _finding, chart = drawn("spot", of=sheet(4, 4, spot=0.8))
    assert "color-mix" not in chart.narrow


def test_the_readings_are_all_among_the_dots():
    strands = cut(uneven=0.8)
    _finding, chart = drawn("uneven", strands=strands)
    picture = Picture(chart.narrow)
    assert len(picture.points(("var(--indigo)",))) == len(PLACES)
    [(left, _top, right, _bottom)] = picture.boxes("var(--dough)")
    bars = [
        (x, x + float(element.get("x2", 0)))
        for element, x, _y, _linked in picture.marks
        if element.tag == f"{SVG}line" and element.get("stroke-width") == "2.5"
    ]
    a, b = max((sorted(bar) for bar in bars), key=lambda bar: bar[1] - bar[0])
    sd = np.std(strands.widths_mm, ddof=1)
    assert (b - a) / (right - left) == pytest.approx(2 * 1.96 * sd / 1.0, rel=0.01)


def test_the_recipe_shows_how_far_it_is_off_and_how_far_it_may_be():
    _finding, chart = drawn("off_recipe", **CASES["off_recipe"])
    picture = Picture(chart.narrow)
    [(left, _top, right, _bottom)] = picture.boxes("var(--dough)")
    [(x, _y, _shape)] = picture.points(("var(--ink)",))
    assert 1.5 * (x - left) / (right - left) == pytest.approx(2.3, abs=0.02)
    assert chart.table.rows[0].cells[:2] == ("+2.3", "1.5")


def test_what_was_not_measured_has_no_picture():
    drift, _kinds = found("drift", strands=cut(drift=0.6))
    tilt, kinds = found("tilt", of=sheet(tilt=0.6))
    assert finding_chart(drift, None, sheet(), ()) is None
    assert finding_chart(tilt, EVEN, None, kinds) is None


AXIS = np.linspace(-1, 1, 41)
X, Y = np.meshgrid(AXIS, AXIS)


def area(line):
    x, y = np.array(line).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


@pytest.mark.parametrize(
    ("surface", "level", "areas"),
    [
        (1 - X**2 - Y**2, 0.5, [np.pi / 2]),
        (X, 0.3, [1.4]),
        (X + Y, -2.5, [4.0]),
        (X + Y, 2.5, []),
        # Between the branches of a hyperbola: the integral of 2 arsinh-like pieces, by hand.
        (X * Y, 0.25, [0.25 * (3 - np.log(4))] * 2),
        (0 * X, 0.0, [4.0]),
    ],
)
def test_outlines_enclose_what_reaches_the_level(surface, level, areas):
    assert [area(line) for line in outlines(AXIS, AXIS, surface, level)] == pytest.approx(
        areas, abs=0.004
    )


def test_two_areas_that_touch_at_a_corner_stay_apart():
    assert len(outlines(np.arange(2.0), np.arange(2.0), np.array([[1, -1], [-1, 1]]), 0)) == 2
    assert len(outlines(np.arange(2.0), np.arange(2.0), np.array([[-1, 1], [1, -1]]), 0)) == 2
