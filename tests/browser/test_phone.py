"""What a phone in a kitchen does to a page: closed, locked, offline, shared, without script."""

import re
from uuid import uuid4

import pytest
from playwright.sync_api import expect

from assessments.actions.log_batch import open_batch
from assessments.models import Batch, ReadingSet, Stage
from tests import factories
from tests.addresses import write_module
from tests.browser.conftest import sign_in
from training.models import ModuleProgress

GRID_MM = ["3.0", "3.1", "2.9", "3.0", "3.05", "2.95", "3.0", "3.1", "2.9"]


@pytest.fixture
def dough(house):
    """Return an open batch of the cook with the stages of its standard."""
    return open_batch(
        cook=house.cook,
        branch=house.branch,
        style=house.style,
        portions=10,
        room_c=None,
        client_key=uuid4(),
        by=house.cook,
    )


def stage_address(dough, kind):
    stage = Stage.objects.filter(batch=dough, kind=kind).first()
    return f"/batches/{dough.pk}/stages/{stage.position}/"


def seconds_left(page):
    minutes, seconds = page.locator("[data-clock]").first.inner_text().split(":")
    return 60 * int(minutes) + int(seconds)


def test_a_timer_runs_on_while_the_phone_is_locked(context_of, house, dough):
    page = context_of(house.cook).new_page()
    page.clock.install()
    page.goto(stage_address(dough, "rest"))
    with page.expect_response("**/timer/"):
        page.get_by_role("button", name="Start the timer").click()
    expect(page.locator("[data-clock]").first).to_have_text(re.compile(r"^(30:00|29:5\d)$"))
    # Nothing runs while a phone is locked; the clock on the wall does.
    page.clock.fast_forward("10:00")
    expect(page.locator("[data-clock]").first).to_have_text(re.compile(r"^(20:00|19:[45]\d)$"))
    page.clock.fast_forward("21:00")
    expect(page.locator("[data-when]")).to_contain_text("time is up since")
    assert Stage.objects.filter(batch=dough, timer_started_at__isnull=False).count() == 1


def test_a_timer_survives_a_reload_and_is_on_every_page_of_the_batch(context_of, house, dough):
    page = context_of(house.cook).new_page()
    page.goto(stage_address(dough, "rest"))
    with page.expect_response("**/timer/"):
        page.get_by_role("button", name="Start the timer").click()
    page.reload()
    assert 29 * 60 < seconds_left(page) <= 30 * 60
    expect(page.get_by_role("button", name="Start the timer", exact=True)).to_be_hidden()
    page.goto(f"/batches/{dough.pk}/")
    assert 29 * 60 < seconds_left(page) <= 30 * 60


def test_what_was_typed_without_network_is_there_after_the_page_was_closed(
    context_of, house, dough, troubles
):
    context = context_of(house.cook)
    page = context.new_page()
    address = stage_address(dough, "roll")
    page.goto(address)
    context.set_offline(True)
    for number, value in enumerate(GRID_MM):
        page.locator("input.measure").nth(number).fill(value)
    page.get_by_role("button", name="Save and go on").click()
    expect(page.get_by_text("No connection.")).to_be_visible()
    page.close()
    assert not ReadingSet.objects.filter(batch=dough).exists()

    context.set_offline(False)
    page = context.new_page()
    page.goto(f"/batches/{dough.pk}/")
    expect(page.get_by_role("link", name="Roll typed on this phone, not saved yet")).to_be_visible()
    page.goto(address)
    for number, value in enumerate(GRID_MM):
        expect(page.locator("input.measure").nth(number)).to_have_value(value)
    page.get_by_role("button", name="Save and go on").click()
    page.wait_for_url(lambda url: not url.endswith(address))
    stored = ReadingSet.objects.get(batch=dough, quantity=ReadingSet.Quantity.THICKNESS)
    assert stored.array.tolist() == [float(value) for value in GRID_MM]
    troubles[:] = [trouble for trouble in troubles if "ERR_INTERNET_DISCONNECTED" not in trouble]


def test_what_was_typed_is_saved_when_the_page_is_left(context_of, house, dough):
    context = context_of(house.cook)
    page = context.new_page()
    page.goto(stage_address(dough, "roll"))
    page.locator("input.measure").first.fill("3.05")
    with page.expect_response(stage_address(dough, "roll")):
        page.evaluate("dispatchEvent(new Event('pagehide'))")
    stored = ReadingSet.objects.get(batch=dough, quantity=ReadingSet.Quantity.THICKNESS)
    assert stored.array.tolist() == [3.05]


def test_a_shared_tablet_signs_out_by_itself(page, house, settings):
    settings.SHARED_TABLET_IDLE_S = 3
    sign_in(page, "cook", shared=True)
    page.goto("/account/")
    expect(page.get_by_role("heading", name="Cook Test")).to_be_visible()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible(timeout=20_000)
    page.go_back()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    expect(page.get_by_text("Cook Test")).to_have_count(0)


def test_one_persons_phone_stays_signed_in(page, house, settings):
    settings.SHARED_TABLET_IDLE_S = 1
    sign_in(page, "cook")
    page.wait_for_timeout(7_000)
    page.goto("/account/")
    expect(page.get_by_role("heading", name="Cook Test")).to_be_visible()


def test_reading_and_logging_without_script(context_of, house):
    module = write_module(house.cutting)
    page = context_of(house.cook, java_script_enabled=False).new_page()
    page.goto(f"/modules/{module.slug}/")
    for text in ("Fold it", "Turn it", "Put the knife away first.", "The fold cracks."):
        expect(page.get_by_text(text, exact=False).first).to_be_visible()
    page.get_by_role("button", name="I have read this module").click()
    page.get_by_label("Press harder.").check()
    page.get_by_role("button", name="Answer").click()
    expect(page.get_by_text("Not right.")).to_be_visible()
    page.get_by_label("Let it rest.").check()
    page.get_by_role("button", name="Answer").click()
    expect(page.get_by_text("This module is done.")).to_be_visible()
    assert ModuleProgress.objects.get().is_done

    page.goto("/batches/new/")
    page.get_by_label("Portions").fill("8")
    page.get_by_role("button", name="Open the batch").click()
    page.get_by_role("button", name="Save and go on").click()
    batch = Batch.objects.get()
    page.goto(stage_address(batch, "roll"))
    fields = page.locator("input.measure")
    for number, value in enumerate(GRID_MM):
        fields.nth(number).fill("31" if number == 0 else value)
    page.get_by_role("button", name="Save and go on").click()
    expect(page.get_by_text("Did you mean 3.1?")).to_be_visible()
    expect(fields.first).to_have_value("31")
    expect(fields.last).to_have_value(GRID_MM[-1])
    fields.first.fill("3.1")
    page.get_by_role("button", name="Save and go on").click()
    expect(page.get_by_role("heading", name="Cut", exact=True)).to_be_visible()
    page.get_by_label("How many strands will this sheet give").fill("60")
    page.get_by_role("button", name="Choose the strands").click()
    fields = page.locator(".strands input.measure")
    for number, value in enumerate(factories.GOOD_WIDTHS_MM):
        fields.nth(number).fill(str(value))
    page.get_by_role("button", name="Save and go on").click()
    page.goto(f"/batches/{batch.pk}/")
    page.get_by_role("button", name="Finish and see the result").click()
    expect(page.get_by_text("of 100").first).to_be_visible()
    assert Batch.objects.get().state == Batch.State.FINISHED


@pytest.mark.parametrize("language", ["en", "es", "ja"])
def test_back_and_forward_hold_their_words(context_of, house, language):
    house.cook.language = language
    house.cook.save()
    module = write_module(house.cutting)
    page = context_of(house.cook).new_page()
    page.goto(f"/modules/{module.slug}/")
    buttons = page.locator(".stepper [data-go]")
    buttons.last.click()
    expect(page.locator("html")).to_have_attribute("lang", language)
    expect(buttons).to_have_count(2)
    for button in buttons.all():
        spare = button.evaluate(
            """one => {
                const text = document.createRange();
                text.selectNodeContents(one);
                const [words, edge] = [text, one].map((part) => part.getBoundingClientRect());
                return Math.min(words.left - edge.left, edge.right - words.right);
            }"""
        )
        assert spare >= 4
