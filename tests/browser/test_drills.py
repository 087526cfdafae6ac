"""A drill on a phone, typed by a caliper, over a signal that comes and goes."""

from django.urls import reverse
from playwright.sync_api import expect

from assessments.models import Drill
from tests import factories


def test_a_drill_typed_by_caliper_whose_answer_was_lost_is_kept_once(context_of, house, troubles):
    page = context_of(house.cook).new_page()
    address = reverse("assessments:new_drill", query={"style": "thick-wheat", "kind": "strands"})
    page.goto(address)
    page.locator("input.measure").first.focus()
    for width_mm in factories.GOOD_WIDTHS_MM:
        page.keyboard.type(f"{width_mm}")
        page.keyboard.press("Enter")
    expect(page.locator("[data-count]")).to_have_text("20 / 20")
    save = page.get_by_role("button", name="See what it shows")
    expect(save).to_be_focused()

    def lose_the_answer(route):
        route.fetch()
        route.abort("connectionreset")

    page.route("**/drills/new/", lose_the_answer)
    with page.expect_event("requestfailed"):
        save.click()
    expect(page.locator("[data-save-state]")).to_contain_text("kept on this phone")
    page.unroute("**/drills/new/")
    # The browser notes the answer that this test took away.
    troubles.clear()

    # Loaded anew, the page brings back what was typed, and with it that this is the same drill.
    page.goto(address)
    expect(page.locator("#brought-back")).to_be_visible()
    save.click()
    expect(page.get_by_role("heading", name="What to change")).to_be_visible()
    assert Drill.objects.get().array.tolist() == factories.GOOD_WIDTHS_MM
    page.goto(address)
    expect(page.locator("[data-count]")).to_have_text("0 / 20")
