"""The printed card, measured: its PDF is rasterised and everything looked for at its place.

The places are written out here as the cards were laid down, not taken from the program: cards that
are already laminated must go on fitting. The markers are found by OpenCV's own detector.
"""

import re
from types import SimpleNamespace

import cv2
import numpy as np
import pypdfium2
import pytest
from django.utils import translation
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTCollection, TTFont
from pypdfium2.raw import FPDF_PAGEOBJ_PATH

from assessments.charts import card_pdf
from assessments.charts.card_pdf import (
    PAPERS,
    FontUnreadableError,
    LettersMissingError,
    measuring_card_pdf,
)
from assessments.summaries.card import PARTS, Part, Step

DPI = 600
NEAR_MM = 0.1
MM_PER_PT = 25.4 / 72
BLUE = (28, 63, 148)

# Millimetres from the top-left corner of the page, x to the right and y down. The pages: ISO 216
# A4, and 11 by 8.5 inches of 25.4 mm.
CARDS = {
    "a4": SimpleNamespace(
        page=(297.0, 210.0),
        # Top-left corners of the black squares, 24 mm wide.
        markers={0: (14, 14), 1: (259, 14), 2: (259, 172), 3: (14, 172)},
        field=(45, 42, 252, 168),
        bar=(98.5, 186),
    ),
    "letter": SimpleNamespace(
        page=(279.4, 215.9),
        markers={4: (14, 14), 5: (241.4, 14), 6: (241.4, 177.9), 7: (14, 177.9)},
        field=(45, 42, 234.4, 173.9),
        bar=(89.7, 191.9),
    ),
}


@pytest.fixture(scope="module", params=CARDS)
def paper(request):
    return request.param


@pytest.fixture(scope="module")
def document(paper):
    with pypdfium2.PdfDocument(measuring_card_pdf(PAPERS[paper])) as opened:
        yield opened


@pytest.fixture(scope="module")
def grey(document):
    """The first page in grey, 0 to 255."""
    page = document[0]
    picture = page.render(scale=DPI / 72, grayscale=True).to_numpy()
    page.close()
    return picture[:, :, 0] if picture.ndim == 3 else picture


@pytest.fixture(scope="module")
def px_per_mm(paper, grey):
    width, height = CARDS[paper].page
    across, down = grey.shape[1] / width, grey.shape[0] / height
    # The raster is as true as the checks need, or they would say nothing.
    assert DPI / 25.4 == pytest.approx(across, rel=2e-4) == pytest.approx(down, rel=2e-4)
    return across, down


@pytest.fixture(scope="module")
def white_runs(grey, px_per_mm):
    """Return a function that finds white along a line of the page.

    ``white_runs(x=..., between=(a, b))`` looks down the page, with ``y=`` across it; it returns the
    beginning and the end of every white stretch in mm, to a part of a pixel.
    """

    def find(*, between, x=None, y=None):
        across, down = px_per_mm
        if y is not None:
            line, scale = grey[int(y * down)], across
        else:
            line, scale = grey[:, int(x * across)], down
        first, last = (round(place * scale) for place in between)
        light = line[first:last].astype(float)
        middle = (light.min() + light.max()) / 2
        crossings = np.flatnonzero((light[:-1] > middle) != (light[1:] > middle))
        share = (middle - light[crossings]) / (light[crossings + 1] - light[crossings])
        edges = (first + crossings + share + 0.5) / scale
        return edges.reshape(-1, 2).tolist()

    return find


def assert_run(runs, start, end):
    assert len(runs) == 1, runs
    assert runs[0] == pytest.approx([start, end], abs=NEAR_MM)


def test_page_size(paper, document):
    for page in document:
        size = [points * MM_PER_PT for points in page.get_size()]
        assert size == pytest.approx(CARDS[paper].page, abs=0.01)


def test_the_card_is_drawn_in_vectors(document):
    kinds = {each.type for each in document[0].get_objects()}
    assert kinds == {FPDF_PAGEOBJ_PATH}


def test_the_print_dialogue_is_told_to_begin_at_100_percent(paper):
    assert re.search(rb"/PrintScaling\s*/None", measuring_card_pdf(PAPERS[paper]))


def test_every_marker_corner(paper, grey, px_per_mm):
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    detector = cv2.aruco.ArucoDetector(dictionary, settings)
    corners, numbers, _rejected = detector.detectMarkers(np.ascontiguousarray(grey))
    # Upright markers: the first corner is the top-left one, then clockwise.
    found = {
        int(number): (four.reshape(4, 2) + 0.5) / px_per_mm
        for number, four in zip(np.ravel(numbers), corners, strict=True)
    }
    assert set(found) == set(CARDS[paper].markers)
    square = np.array([(0, 0), (24, 0), (24, 24), (0, 24)])
    for number, place in CARDS[paper].markers.items():
        away = np.abs(found[number] - (np.array(place) + square))
        assert away.max() < NEAR_MM, (number, away)


def test_the_markers_tell_the_cards_apart():
    a4, letter = (set(CARDS[paper].markers) for paper in ("a4", "letter"))
    assert not a4 & letter


def test_the_white_pad_round_every_marker(paper, white_runs):
    for x, y in CARDS[paper].markers.values():
        for step in (-2, 26):
            across, down = (x - 8, x + 32), (y - 8, y + 32)
            assert_run(white_runs(y=y + step, between=across), x - 4, x + 28)
            assert_run(white_runs(x=x + step, between=down), y - 4, y + 28)


def test_the_bar_is_100_mm(paper, white_runs):
    x, y = CARDS[paper].bar
    around = (x - 5, x + 105)
    assert_run(white_runs(y=y, between=around), x - 0.25, x + 100.25)
    assert_run(white_runs(x=x + 50, between=(y - 4, y + 4)), y - 0.25, y + 0.25)
    for end in (x, x + 100):
        assert_run(white_runs(x=end, between=(y - 4, y + 4)), y - 2.5, y + 2.5)
    # As the how-to says: from the middle of one end mark to the middle of the other.
    left, right = (sum(run) / 2 for run in white_runs(y=y - 1.5, between=around))
    assert right - left == pytest.approx(100, abs=0.02)
    assert left == pytest.approx(x, abs=NEAR_MM)


def test_the_ticks_at_the_corners_of_the_field(paper, white_runs):
    left, top, right, bottom = CARDS[paper].field
    for x, inward in ((left, 1), (right, -1)):
        for y, down in ((top, 1), (bottom, -1)):
            across = sorted((x - 2 * inward, x + 8 * inward))
            along = sorted((y - 2 * down, y + 8 * down))
            # 6 mm long from the corner, and 0.4 mm wide.
            assert_run(white_runs(y=y, between=across), *sorted((x - 0.2 * inward, x + 6 * inward)))
            assert_run(white_runs(x=x, between=along), *sorted((y - 0.2 * down, y + 6 * down)))
            assert_run(white_runs(x=x + 3 * inward, between=along), y - 0.2, y + 0.2)
            assert_run(white_runs(y=y + 3 * down, between=across), x - 0.2, x + 0.2)


def test_colours(paper, document):
    picture = document[0].render(scale=2).to_numpy()[:, :, ::-1]
    high, wide, _channels = picture.shape
    for row in (1, high // 2, high - 2):
        for column in (1, wide // 2, wide - 2):
            assert tuple(picture[row, column]) == BLUE
    colours, counts = np.unique(picture.reshape(-1, 3), axis=0, return_counts=True)
    found = {tuple(map(int, one)) for one, n in zip(colours, counts, strict=True) if n > 2000}
    assert found == {BLUE, (255, 255, 255), (0, 0, 0)}


def test_nothing_lies_in_the_field(paper, grey, px_per_mm):
    """What is printed there would be taken for a strand."""
    across, down = px_per_mm
    left, top, right, bottom = CARDS[paper].field
    # Within the ticks.
    rows = slice(round((top + 0.5) * down), round((bottom - 0.5) * down))
    columns = slice(round((left + 0.5) * across), round((right - 0.5) * across))
    assert np.ptp(grey[rows, columns]) == 0


# --- The second page ---


def words_of(document):
    text = document[1].get_textpage().get_text_range()
    return " ".join(text.replace("\u00a0", " ").split())


def test_how_to_is_written_on_the_second_page(document):
    assert len(document) == 2
    written = words_of(document)
    for part in PARTS:
        for number, step in enumerate(part.steps, part.start):
            assert f"{number} {step.title}" in written
            assert str(step.text).replace("\u00a0", " ") in written
    assert "allergens" in written


def assert_inside_the_margins(page):
    width, height = page.get_size()
    boxes = [each.get_bounds() for each in page.get_objects()]
    assert len(boxes) > 100
    margin = 8 / MM_PER_PT
    assert min(left for left, _bottom, _right, _top in boxes) >= margin
    assert min(bottom for _left, bottom, _right, _top in boxes) >= margin
    assert max(right for _left, _bottom, right, _top in boxes) <= width - margin
    assert max(top for _left, _bottom, _right, top in boxes) <= height - margin


def test_how_to_stays_inside_the_page(document):
    assert_inside_the_margins(document[1])


def test_a_wordy_language_gets_smaller_letters(paper, monkeypatch):
    wordy = tuple(
        Part(
            part.title,
            part.start,
            tuple(
                Step(one.drawing, one.description, f"{one.title} {one.title}", f"{one.text} " * 2)
                for one in part.steps
            ),
        )
        for part in PARTS
    )
    monkeypatch.setattr(card_pdf, "PARTS", wordy)
    with pypdfium2.PdfDocument(measuring_card_pdf(PAPERS[paper])) as opened:
        assert len(opened) == 2
        assert_inside_the_margins(opened[1])


GREEK = "Το ωμό αλεύρι δεν τρώγεται."


@pytest.fixture
def greek(monkeypatch):
    monkeypatch.setattr(card_pdf, "CAUTION", GREEK)


@pytest.fixture
def font(tmp_path):
    """A font with a square for every letter of Latin and Greek."""
    letters = [*range(0x20, 0x7F), 0xA0, 0x201C, 0x201D, *range(0x370, 0x400)]
    names = [".notdef", *(f"u{letter:04X}" for letter in letters)]
    pen = TTGlyphPen(None)
    for place in ((0, 0), (0, 500), (400, 500), (400, 0)):
        (pen.moveTo if place == (0, 0) else pen.lineTo)(place)
    pen.closePath()
    square = pen.glyph()
    made = FontBuilder(1000, isTTF=True)
    made.setupGlyphOrder(names)
    made.setupCharacterMap(dict(zip(letters, names[1:], strict=True)))
    made.setupGlyf(dict.fromkeys(names, square))
    made.setupHorizontalMetrics(dict.fromkeys(names, (450, 0)))
    made.setupHorizontalHeader(ascent=800, descent=-200)
    made.setupNameTable({"familyName": "Squares", "styleName": "Regular"})
    made.setupOS2()
    made.setupPost()
    path = tmp_path / "squares.ttf"
    made.save(path)
    return path


def test_letters_that_the_built_in_font_lacks(greek):
    with pytest.raises(LettersMissingError) as refused:
        measuring_card_pdf(PAPERS["a4"])
    assert set(refused.value.letters) == set(GREEK) - set(" .")


def test_a_font_with_those_letters(greek, font):
    with pypdfium2.PdfDocument(measuring_card_pdf(PAPERS["a4"], font=font)) as opened:
        assert GREEK in words_of(opened)


def test_the_first_font_of_a_collection(greek, font, tmp_path):
    """Fonts with Chinese and Japanese letters often come as one file for several."""
    collection = TTCollection()
    collection.fonts = [TTFont(font)]
    path = tmp_path / "squares.ttc"
    collection.save(path)
    with pypdfium2.PdfDocument(measuring_card_pdf(PAPERS["a4"], font=path)) as opened:
        assert GREEK in words_of(opened)


def test_letters_that_a_named_font_lacks(monkeypatch, font):
    monkeypatch.setattr(card_pdf, "CAUTION", "生の小麦粉")
    with pytest.raises(LettersMissingError) as refused:
        measuring_card_pdf(PAPERS["a4"], font=font)
    assert set(refused.value.letters) == set("生の小麦粉")


def test_a_file_that_is_no_font(tmp_path):
    no_font = tmp_path / "notes.ttf"
    no_font.write_text("flour, water, salt")
    for path in (no_font, tmp_path / "missing.ttf"):
        with pytest.raises(FontUnreadableError):
            measuring_card_pdf(PAPERS["a4"], font=path)


def test_language_of_the_file():
    with translation.override("de"):
        assert b"/Lang (de)" in measuring_card_pdf(PAPERS["a4"])
