"""The page of the measuring card, its downloads, and the pictures that it shares with the PDF."""

import cv2
import pypdfium2
import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse

from assessments.charts.card_pdf import PAPERS
from assessments.summaries.card import PARTS
from training.drawings import SCENES
from training.drawings.parts import MARKERS

STEPS = [step for part in PARTS for step in part.steps]


@pytest.fixture
def cook(client, house):
    client.force_login(house.cook)
    return client


def pdf_address(paper):
    return reverse("assessments:card_pdf", args=[paper])


def test_the_page_shows_every_step_with_its_picture(cook):
    response = cook.get(reverse("assessments:card"))
    for number, step in enumerate(STEPS, 1):
        assert str(step.title) in response.text
        assert f'src="/static/illustrations/{step.drawing}.svg"' in response.text
        assert f'aria-hidden="true">{number}</span>' in response.text
    for paper in PAPERS:
        assert pdf_address(paper) in response.text


def test_every_page_leads_to_it(cook):
    assert f'href="{reverse("assessments:card")}"' in cook.get("/account/").text


def test_a_stranger_is_not_led_to_it(client, db):
    assert reverse("assessments:card") not in client.get("/sign-in/login/").text


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_pdf_is_sent_as_a_file(cook, paper):
    response = cook.get(pdf_address(paper))
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == f'attachment; filename="measuring-card-{paper}.pdf"'
    assert response.content.startswith(b"%PDF-")
    assert cook.head(pdf_address(paper)).content == b""


@pytest.mark.parametrize("paper", ["a3", "A4", "legal", "9" * 40])
def test_other_paper_is_not_there(cook, paper):
    assert cook.get(pdf_address(paper)).status_code == 404


@pytest.mark.parametrize("font", [None, "no-font.ttf"])
def test_the_card_is_sent_even_where_the_font_lacks_letters(cook, settings, tmp_path, font):
    """The card itself has no words; its how-to then comes in English, and the page says so."""
    settings.PDF_FONT = font and tmp_path / font
    japanese = {"Accept-Language": "ja"}
    pdf = cook.get(pdf_address("a4"), headers=japanese).content
    assert b"/Lang (en)" in pdf
    with pypdfium2.PdfDocument(pdf) as opened:
        assert "Raw flour" in opened[1].get_textpage().get_text_range()
    assert "英語" in cook.get(reverse("assessments:card"), headers=japanese).text


def test_the_how_to_comes_in_the_language_of_the_reader(cook):
    spanish = {"Accept-Language": "es"}
    with pypdfium2.PdfDocument(cook.get(pdf_address("a4"), headers=spanish).content) as opened:
        assert "harina cruda" in opened[1].get_textpage().get_text_range()
    assert "inglés" not in cook.get(reverse("assessments:card"), headers=spanish).text


def test_every_picture_of_the_card_is_used_once_and_described():
    assert sorted(step.drawing for step in STEPS) == sorted(
        name for name in SCENES if name.startswith("card-")
    )
    descriptions = {str(step.description) for step in STEPS}
    assert len(descriptions) == len(STEPS)
    assert all(one.endswith(".") for one in descriptions)
    for step in STEPS:
        assert finders.find(f"illustrations/{step.drawing}.svg")


def test_the_parts_are_counted_on():
    start = 1
    for part in PARTS:
        assert part.start == start
        start += len(part.steps)


def test_the_drawn_markers_are_the_printed_ones():
    """A cook compares picture and card: checked with OpenCV's own drawing of markers 0 to 3."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    for number, drawn in enumerate(MARKERS):
        printed = cv2.aruco.generateImageMarker(dictionary, number, 6)[1:5, 1:5]
        assert drawn.split() == ["".join(str(int(value > 127)) for value in row) for row in printed]
