import re

import pytest
from django.core.cache import cache
from django.template import engines
from django.utils import translation

from assessments.calculations.trials import PhotoWidths, compare, repeat
from assessments.charts import drawing
from assessments.charts.agreement import agreement_chart
from assessments.charts.hydration import hydration_chart
from assessments.charts.repeats import repeats_chart
from assessments.charts.sheet import sheet_chart
from assessments.charts.strands import strands_chart
from assessments.summaries.batch import Sheet, Strands, Water
from tests.assessments.charts.picture import SVG, Picture

STRANDS = Strands((1, 20, 41, 60), (2.5, 3.04, 3.5, 3.72), 60, 3.0, 2.5, 3.5)
SHEET = Sheet(2, 2, (3.0, None, 2.55, 3.41), 3.0, 2.6, 3.4)
WATER = Water(46.3, 46.0, 45.0, 47.0)


def photo(person, *widths_mm):
    return PhotoWidths(person, widths_mm, (0.03,) * 4, (0.02,) * 4)


COMPARED, _problems = compare([photo(1, 3.02, 3.11, 2.93, 3.25)], 4, [3.0, 3.1, 2.9, 3.2], [])
REPEATED, _problems = repeat(
    [
        photo(person, 3.02 + off, 3.11 - off, 2.93, 3.25 + off)
        for person in (1, 2)
        for off in (0.0, 0.013, 0.031)
    ],
    4,
)


@pytest.fixture(autouse=True)
def _empty_cache():
    cache.clear()


@pytest.fixture(
    params=[
        (strands_chart, STRANDS),
        (sheet_chart, SHEET),
        (hydration_chart, WATER),
        (agreement_chart, COMPARED),
        (lambda data: repeats_chart(data, ("Ann Test", "Bea Test")), REPEATED),
    ],
    ids=["strands", "sheet", "water", "agreement", "repeats"],
)
def chart(request):
    draw, data = request.param
    return draw(data)


@pytest.mark.parametrize("variant", ["narrow", "wide"])
class TestEveryDrawing:
    def test_holds_to_the_content_policy(self, chart, variant):
        svg = getattr(chart, variant)
        assert not re.search(r"\sstyle=|<style|<script|\son\w+=|javascript:|xlink:", svg)

    def test_says_what_it_shows(self, chart, variant):
        root = Picture(getattr(chart, variant)).root
        assert root.get("role") == "img"
        title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
        assert (title.text, description.text) == (chart.title, chart.description)
        assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"

    def test_fits_its_column_with_letters_of_sixteen_pixels(self, chart, variant):
        picture = Picture(getattr(chart, variant))
        widest = {"narrow": drawing.NARROW_PX, "wide": drawing.WIDE_PX}[variant]
        width, height = picture.size
        assert 0.95 * widest <= width <= widest
        assert picture.letter_sizes() == {16.0}
        assert all(0 <= x <= width and 0 < y <= height for _text, x, y in picture.words())

    def test_takes_its_colours_from_the_page(self, chart, variant):
        colours = re.findall(r'(?:fill|stroke)="([^"]*)"', getattr(chart, variant))
        assert all(colour == "none" or colour.startswith("var(--") for colour in colours)


def test_what_is_written_keeps_its_decimals():
    """Places are rounded to a hundredth of a pixel; thousandths of a millimetre are not."""
    chart = agreement_chart(COMPARED)
    words = [text for text, _x, _y in Picture(chart.narrow).words()]
    assert f"{COMPARED.agreement.bias.value:.3f}" in words
    assert not re.search(r'="[^"]*\d\.\d{3}', chart.narrow)


def test_two_drawings_of_a_page_share_no_identity():
    page = "".join(
        chart.narrow + chart.wide
        for chart in (strands_chart(STRANDS), sheet_chart(SHEET), hydration_chart(WATER))
    )
    identities = re.findall(r'\sid="([^"]*)"', page)
    assert len(identities) == len(set(identities)) == 12


def test_the_same_data_are_drawn_once(monkeypatch):
    first = strands_chart(STRANDS)
    monkeypatch.setattr(drawing.vl_convert, "vegalite_to_svg", pytest.fail)
    assert strands_chart(STRANDS) == first


@pytest.mark.parametrize(
    "other",
    [
        Strands((1, 20, 41, 60), (2.5, 3.04, 3.5, 3.73), 60, 3.0, 2.5, 3.5),
        Strands((1, 20, 41, 60), (2.5, 3.04, 3.5, 3.72), 61, 3.0, 2.5, 3.5),
        Strands((1, 20, 41, 60), (2.5, 3.04, 3.5, 3.72), 60, 3.0, 2.5, 3.6),
    ],
    ids=["width", "total", "limit"],
)
def test_other_data_give_another_drawing(other):
    assert strands_chart(STRANDS).narrow != strands_chart(other).narrow


def test_numbers_are_written_as_the_reader_writes_them():
    with translation.override("de"):
        chart = strands_chart(STRANDS)
    written = [text for text, _x, _y in Picture(chart.narrow).words()]
    assert {"2,5", "3,0", "3,5", "3,72", "2,50"} <= set(written)
    assert "3,72" in chart.table.rows[-1].cells


# Rounding half away from zero, as in school; a cut-off would give 2.9 and 92.
@pytest.mark.parametrize(
    ("value", "decimals", "written"),
    [(2.97, 1, "3.0"), (92.881, 0, "93"), (3.455, 2, "3.46"), (3, 2, "3.00")],
)
def test_numbers_are_rounded_not_cut_off(value, decimals, written):
    assert drawing.number(value, decimals) == written


def test_the_tag_puts_figure_drawing_and_table_on_the_page():
    template = engines["django"].from_string("{% load charts %}{% chart chart %}")
    page = template.render({"chart": strands_chart(STRANDS)})
    assert page.count("<svg") == 2
    assert page.count("<tr>") == 1 + len(STRANDS.places)
    assert "<figcaption>" in page
    assert template.render({"chart": None}).strip() == ""
