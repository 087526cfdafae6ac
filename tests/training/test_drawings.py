"""The line drawings: what the code draws is what the site shows, in one hand and two settings."""

import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from training.drawings import SCENES, render, render_plain, write_all
from training.drawings.parts import CLASSES, DARK, DETAIL, LIGHT, MAIN, arrow, mm_bar, num

ILLUSTRATIONS = Path(__file__).resolve().parents[2] / "media" / "illustrations"
SVG = "{http://www.w3.org/2000/svg}"
LARGEST_BYTES = 8_000


def parsed(name: str) -> ElementTree.Element:
    return ElementTree.fromstring(render(name))  # noqa: S314 - our own output


def test_committed_drawings_are_what_the_code_draws():
    committed = {
        path.stem: path.read_text(encoding="utf-8") for path in ILLUSTRATIONS.glob("*.svg")
    }
    assert committed == {name: render(name) for name in SCENES}


def test_write_all_drops_a_drawing_no_scene_draws(tmp_path):
    (tmp_path / "left-over.svg").write_text("<svg/>")
    (tmp_path / "photo.jpg").write_bytes(b"kept")
    written = write_all(tmp_path)
    assert {path.stem for path in written} == set(SCENES)
    assert {path.name for path in tmp_path.iterdir()} == {f"{n}.svg" for n in SCENES} | {
        "photo.jpg"
    }


@pytest.mark.parametrize("name", SCENES)
def test_every_drawing_is_one_of_the_family(name):
    root = parsed(name)
    assert root.tag == f"{SVG}svg"
    assert root.get("viewBox") == "0 0 320 240"
    assert len(render(name).encode()) <= LARGEST_BYTES
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags <= {"svg", "style", "g", "path", "circle", "ellipse", "rect"}, "no text, no script"


@pytest.mark.parametrize("name", SCENES)
def test_colour_comes_from_classes_alone(name):
    root = parsed(name)
    for element in root.iter():
        assert not {"style", "fill", "stroke", "opacity"} & set(element.attrib)
        assert set((element.get("class") or "").split()) <= CLASSES
        for key, value in element.attrib.items():
            if not key.startswith("xmlns"):
                assert "#" not in value
    style = root.findtext(f"{SVG}style")
    assert set(re.findall(r"#[0-9a-f]{3,6}", style)) == {*LIGHT.values(), *DARK.values()}
    assert style.count("@media (prefers-color-scheme:dark)") == 1


@pytest.mark.parametrize("name", SCENES)
def test_drawn_shapes_keep_the_two_stroke_weights(name):
    style = parsed(name).findtext(f"{SVG}style")
    assert {float(w) for w in re.findall(r"stroke-width:([\d.]+)", style)} == {MAIN, DETAIL}
    assert "scale(" not in render(name).replace("scale(-1 1)", ""), "scaling would change strokes"


@pytest.mark.parametrize("name", SCENES)
def test_plain_drawing_needs_no_style_sheet(name):
    root = ElementTree.fromstring(render_plain(name))  # noqa: S314 - our own output
    assert root.find(f"{SVG}style") is None
    shapes = [each for each in root.iter() if each.tag not in (f"{SVG}svg", f"{SVG}g")]
    assert len(shapes) == len([each for each in parsed(name).iter() if each.get("class")])
    for shape in shapes:
        assert shape.get("class") is None
        colours = {shape.get("fill"), shape.get("stroke", "none")} - {"none"}
        assert colours
        assert colours <= set(LIGHT.values())


def test_plain_drawing_heeds_the_order_of_the_rules():
    """Crumbs are of the classes `f` and `t`: dough's colour, and the thin line that comes later."""
    crumbs = ElementTree.fromstring(render_plain("mix-claw")).findall(f"{SVG}path")[0]  # noqa: S314
    assert crumbs.get("fill") == LIGHT["dough"]
    assert crumbs.get("stroke") == LIGHT["ink"]
    assert float(crumbs.get("stroke-width")) == DETAIL


def luminance(colour: str) -> float:
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    shares = [int(digits[k : k + 2], 16) / 255 for k in (0, 2, 4)]
    linear = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_formula_against_worked_colours():
    # WCAG 2.2 relative luminance; ratios on white as published with the formula.
    assert contrast("#767676", "#ffffff") == pytest.approx(4.5422, abs=5e-4)
    assert contrast("#0000ff", "#ffffff") == pytest.approx(8.5925, abs=5e-4)
    assert contrast("#000", "#fff") == pytest.approx(21)


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("stroke", ["ink", "indigo"])
@pytest.mark.parametrize("fill", ["paper", "dough", "tint"])
def test_lines_stand_out_on_every_fill(palette, stroke, fill):
    # WCAG 2.2, 1.4.11: 3:1 for graphics needed to understand.
    assert contrast(palette[stroke], palette[fill]) >= 3


def test_millimetre_bar_has_ten_equal_divisions():
    xs = [float(x) for x in re.findall(r"M([\d.]+) ", mm_bar(20, 100, 12))][1:]
    assert len(xs) == 11
    assert {round(b - a, 3) for a, b in pairwise(xs)} == {12.0}


def test_arrow_head_ends_where_the_arrow_points():
    assert "M80 40L" in arrow(10, 40, 80, 40)


@pytest.mark.parametrize(
    ("value", "text"),
    [(2.0, "2"), (2.26, "2.3"), (-0.01, "0"), (-0.5, "-.5"), (10.5, "10.5"), (-3.5, "-3.5")],
)
def test_numbers_are_short(value, text):
    assert num(value) == text
