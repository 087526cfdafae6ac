"""The whole job on a phone: read, make a batch, see it judged, be signed off, be on the board."""

import re

import pytest
from playwright.sync_api import expect

from assessments.models import Batch, ReadingSet, SignOff
from tests import factories
from tests.browser.conftest import sign_in
from training.curriculum import MODULES
from training.curriculum_pages import load_curriculum

# Nine points of a sheet and twenty strands as a caliper gives them (invented); the fourth strand
# is a slip: 35 for 3.5.
GRID_MM = ["3.0", "3.1", "2.9", "3,0", "3.05", "2.95 mm", "3.0", "3.1", "2.9"]
WIDTHS_MM = ["3.1", "3.3", "3.2", "35", "3.4", "3.2", "3.1", "3.3", "3.2", "3.25"]
WIDTHS_MM += ["3.15", "3.2", "3.3", "3.1", "3.2", "3.0", "3.35", "3.2", "3.1", "3.3"]


@pytest.fixture
def kitchen(house):
    """Return the house with the modules that come with the site."""
    load_curriculum(by=house.owner)
    return house


def sign_out(page):
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()


def read_module(page, module):
    """Read ``module`` step by step to its end and answer its questions, the first one wrong."""
    page.get_by_role("link", name="Modules", exact=True).click()
    page.get_by_text(re.compile("modules of this station")).first.click()
    page.get_by_role("link", name=module.title).click()
    forward = page.get_by_role("button", name="Forward")
    for step in module.steps:
        forward.click()
        expect(page.get_by_role("heading", name=step.title)).to_be_visible()
    questions = list(module.questions)
    for number, question in enumerate(questions):
        asked = page.locator("form.question", has_text=question.prompt)
        while not asked.is_visible():
            forward.click()
        wrong = next(answer for answer in question.answers if not answer.correct)
        right = next(answer for answer in question.answers if answer.correct)
        if number == 0:
            asked.get_by_label(wrong.text, exact=True).check()
            asked.get_by_role("button", name="Answer").click()
            expect(asked.get_by_text("Not right.")).to_be_visible()
        asked.get_by_label(right.text, exact=True).check()
        asked.get_by_role("button", name="Answer").click()
        expect(asked.get_by_text("Right.", exact=True)).to_be_visible()
        expect(asked.get_by_text(question.why[:40])).to_be_visible()
    forward.click()
    expect(page.get_by_text("This module is done.")).to_be_visible()


def open_batch(page):
    page.get_by_role("link", name="Log a batch").click()
    page.get_by_label("Portions").fill("10")
    page.get_by_label("Room temperature").fill("21,5")
    page.get_by_role("button", name="Open the batch").click()
    expect(page.get_by_role("heading", name="Weigh", exact=True)).to_be_visible()


def log_stages(page):
    """Go through all stages of the open batch, typing what each asks for."""
    for box in page.get_by_role("checkbox").all():
        box.check()
    save = page.get_by_role("button", name="Save and go on")
    save.click()
    expect(page.get_by_role("heading", name="Mix", exact=True)).to_be_visible()
    page.get_by_role("button", name=re.compile("go on")).click()
    for heading in (
        "Tread or knead, round 1",
        "Rest, round 1",
        "Tread or knead, round 2",
        "Rest, round 2",
    ):
        expect(page.get_by_role("heading", name=heading, exact=True)).to_be_visible()
        page.get_by_role("button", name="Start the timer").click()
        expect(page.get_by_role("button", name="Start the timer anew")).to_be_visible()
        page.get_by_role("button", name=re.compile("go on", re.IGNORECASE)).click()
    type_grid(page)
    save.click()
    type_strands(page)
    save.click()
    expect(page.get_by_role("heading", name="Boil", exact=True)).to_be_visible()
    page.get_by_role("button", name=re.compile("go on", re.IGNORECASE)).click()
    expect(page.get_by_role("heading", name="Cool", exact=True)).to_be_visible()
    page.get_by_role("button", name=re.compile("go on", re.IGNORECASE)).click()


def type_grid(page):
    """Type the thickness as a caliper does: a value and Enter, which goes on to the next field."""
    expect(page.get_by_role("heading", name="Roll", exact=True)).to_be_visible()
    page.locator("input.measure").first.focus()
    for value in GRID_MM:
        page.keyboard.type(value)
        page.keyboard.press("Enter")
    expect(page.get_by_text("9 / 9")).to_be_visible()


def type_strands(page):
    """Let the site choose the strands, type their widths, and answer its question about 35."""
    expect(page.get_by_role("heading", name="Cut", exact=True)).to_be_visible()
    page.get_by_label("How many strands will this sheet give").fill("60")
    page.get_by_role("button", name="Choose the strands").click()
    fields = page.locator(".strands input.measure")
    expect(fields).to_have_count(20)
    for number, value in enumerate(WIDTHS_MM):
        fields.nth(number).fill(value)
        fields.nth(number).press("Tab")
    asked = page.get_by_role("alert").filter(has_text="35 mm is far from the usual 3.2")
    expect(asked).to_contain_text("Did you mean 3.5?")
    asked.get_by_role("button", name="Take 3.5").click()
    expect(asked).to_have_count(0)


def judge(page, cook):
    """Look at the batch that waits, add an observation and sign off, with one's own password."""
    page.get_by_role("link", name="Waiting", exact=True).click()
    page.get_by_role("link", name=re.compile(str(cook))).click()
    page.get_by_label("Agreed").check()
    page.get_by_role("button", name="Record and go to the next").click()
    expect(page.get_by_text(f"Recorded: batch of {cook}.")).to_be_visible()
    page.get_by_role("link", name="Cooks", exact=True).click()
    page.get_by_role("link", name=re.compile(str(cook))).click()
    page.get_by_role("link", name=re.compile("thick wheat", re.IGNORECASE)).first.click()
    page.get_by_role("link", name=re.compile("observation", re.IGNORECASE)).first.click()
    for group in page.locator("fieldset").all():
        group.get_by_label("met", exact=True).check()
    page.get_by_label("What you saw").fill("Calm hands, knife put away after each fold.")
    page.get_by_role("button", name="Record the observation").click()


def sign(page, practice, reason):
    page.goto(f"/practices/{practice.pk}/sign-off/")
    page.get_by_label("Your own password").fill("somebody-elses")
    page.get_by_label("Sign without the full evidence").fill(reason)
    page.get_by_role("button", name="Sign without the full evidence").click()
    expect(page.get_by_text("That is not your password.")).to_be_visible()
    expect(page.get_by_label("Sign without the full evidence")).to_have_value(reason)
    page.get_by_label("Your own password").fill(factories.PASSWORD)
    page.get_by_role("button", name="Sign without the full evidence").click()
    expect(page.get_by_text("Signed off. This is the record.")).to_be_visible()
    expect(page.get_by_text(reason)).to_be_visible()


def test_from_reading_to_the_board(page, kitchen):
    module = next(module for module in MODULES if module.station_slug == "cutting")
    sign_in(page, "cook")
    read_module(page, module)
    open_batch(page)
    log_stages(page)
    page.get_by_role("button", name="Finish and see the result").click()
    expect(page.get_by_text("of 100").first).to_be_visible()
    batch = Batch.objects.select_related("score").get()
    shown = page.get_by_label("Score").locator(".figure").inner_text()
    assert int(re.match(r"\d+", shown)[0]) == round(batch.score.score)
    stored = {row.quantity: row.array.tolist() for row in batch.reading_sets.current()}
    assert stored[ReadingSet.Quantity.WIDTH] == [
        3.5 if value == "35" else float(value) for value in WIDTHS_MM
    ]
    assert stored[ReadingSet.Quantity.THICKNESS] == [
        float(value.removesuffix(" mm").replace(",", ".")) for value in GRID_MM
    ]
    sign_out(page)

    sign_in(page, "chef")
    judge(page, kitchen.cook)
    sign(page, kitchen.practice, "Nine years at this station in another house.")
    sign_out(page)
    assert SignOff.objects.get().is_override

    sign_in(page, "owner")
    page.get_by_role("link", name="Readiness", exact=True).click()
    page.get_by_role("link", name=str(kitchen.branch)).click()
    line = page.locator("li, tr").filter(has_text=str(kitchen.cook)).first
    expect(line).to_contain_text(re.compile("signed off", re.IGNORECASE))
