"""Learning on a phone: miss a question and meet it again, find a remedy, print, read a label."""

import re

import cv2
import numpy as np
import pypdfium2
import pytest
from playwright.sync_api import expect

from tests.browser.conftest import LAPTOP
from training.curriculum_pages import load_curriculum
from training.models import CheckAnswer, MissedQuestion

MOST_SHEETS = 2


@pytest.fixture
def modules(house):
    """The modules that come with the site, the first station of which the cook practises."""
    pages = {page.slug: page for page in load_curriculum()}
    first = pages["mixing-in-the-water"]
    house.practice.station = first.station
    house.practice.save()
    return pages


def test_a_missed_question_comes_back_another_day(context_of, house, modules):
    module = modules["before-you-start"]
    questions = module.block_ids("question")
    wrong = [one["correct"] for one in module.answers_of(questions[0])].index(False)
    page = context_of(house.cook).new_page()
    page.goto("/modules/")
    page.get_by_role("link", name=f"Read {module.title}").first.click()
    page.get_by_role("link", name="Check yourself").click()
    question = page.locator(f"#question-{questions[0]}")
    question.get_by_role("radio").nth(wrong).check()
    question.get_by_role("button", name="Answer").click()
    expect(page.get_by_text("Not right.")).to_be_visible()
    page.goto("/learning/again/")
    expect(page.get_by_text("Nothing comes back today.")).to_be_visible()
    # A day goes by.
    row = MissedQuestion.objects.get()
    MissedQuestion.objects.update(due_on=row.missed_on)
    page.goto("/")
    page.get_by_role("link", name="1 question to look at again").click()
    right = [one["correct"] for one in module.answers_of(questions[0])].index(True)
    question = page.locator(f"#question-{questions[0]}")
    question.get_by_role("radio").nth(right).check()
    question.get_by_role("button", name="Answer").click()
    expect(page.get_by_text("Right.")).to_be_visible()
    expect(page.get_by_text("That is all for today.")).to_be_visible()
    assert [one.correct for one in CheckAnswer.objects.order_by("pk")] == [False, True]
    assert MissedQuestion.objects.get().box == 2


def test_a_remedy_is_found_by_what_one_sees(context_of, house, modules):
    page = context_of(house.cook).new_page()
    page.goto("/modules/")
    page.get_by_role("link", name="It went wrong").click()
    page.get_by_role("link", name="A thick edge").click()
    cause = page.get_by_role("listitem").filter(has_text="The rim is thicker than the rest.")
    expect(cause.get_by_text("Remedy")).to_be_visible()
    cause.get_by_role("link", name=re.compile("The step")).click()
    expect(page).to_have_url(re.compile(r"/modules/rolling-to-an-even-sheet/#roll-unroll$"))
    expect(page.locator("#roll-unroll")).to_be_visible()


def test_search_forgives_a_misspelt_word(context_of, house, modules):
    page = context_of(house.cook).new_page()
    page.goto("/modules/")
    page.get_by_label("Look for").fill("creese")
    page.get_by_role("button", name="Search").click()
    expect(page.get_by_text("This is for crease.")).to_be_visible()
    page.get_by_role("link", name=re.compile("A crease or a fold line")).click()
    expect(page).to_have_url(re.compile(r"/modules/rolling-to-an-even-sheet/#"))


def test_every_module_is_printed_on_one_sheet(context_of, house, modules):
    """Two sides of A4 at most, by the browser's own print."""
    page = context_of(house.cook).new_page()
    pages = {}
    for slug in modules:
        page.goto(f"/learning/wall/{slug}/", wait_until="load")
        printed = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True))
        width_pt, height_pt = printed[0].get_size()
        assert (round(width_pt), round(height_pt)) == (595, 842)
        pages[slug] = len(printed)
    assert {slug: count for slug, count in pages.items() if count > MOST_SHEETS} == {}


def test_a_label_is_read_by_a_camera(context_of, house, modules, base_url):
    page = context_of(house.chef).new_page()
    page.set_viewport_size(LAPTOP)
    page.goto("/learning/labels/")
    label = page.get_by_role("listitem").filter(has_text="Folding and cutting")
    picture = cv2.imdecode(np.frombuffer(label.screenshot(), np.uint8), cv2.IMREAD_GRAYSCALE)
    address, _corners, _straight = cv2.QRCodeDetector().detectAndDecode(picture)
    assert address == f"{base_url}/modules/folding-and-cutting/"
    phone = context_of(house.cook).new_page()
    phone.goto(address)
    expect(phone.get_by_role("heading", name="Folding and cutting")).to_be_visible()
