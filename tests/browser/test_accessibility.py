"""Every page by the rules of WCAG 2.2 AA (axe), and by the house's own: large enough to touch.

Light and dark, on a phone and on a laptop, for each person who may open it.
"""

from pathlib import Path
from uuid import uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import override_settings
from django.urls import reverse

from assessments.actions.assessors import rate_piece
from assessments.actions.sign_off import review_batch, write_sign_off, write_withdrawal
from assessments.calculations.standing import Missing
from assessments.models.assessors import CRITERIA
from tests import factories
from tests.addresses import address, fill, own_names
from tests.browser.conftest import LAPTOP, PHONE, sign_in
from tests.test_permissions import TABLE, VIEWERS
from training.curriculum_pages import load_curriculum
from training.models import HousePolicy

RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    },
    "resultTypes": ["violations"],
}
# The dark page has other colours and nothing else.
COLOURS = {**RULES, "runOnly": {"type": "rule", "values": ["color-contrast"]}}
# Whom a page is looked at as: each of these sees other parts of it.
PEOPLE = ["own", "chef", "owner", "editor"]
FILES = {
    "assessments:import_example",
    "assessments:readiness_csv",
    "assessments:card_pdf",
    "assessments:photograph_state",
    "assessments:photograph_picture",
}

# A sheet that is thick toward one edge, row by row.
TILTED_MM = [2.7, 3.0, 3.3, 2.68, 3.02, 3.31, 2.71, 2.99, 3.32]

VIOLATIONS = "(rules) => axe.run(document, rules).then(({ violations }) => violations)"
MEASURE = (Path(__file__).parent / "measure.js").read_text()
OPEN_ALL = "document.querySelectorAll('details').forEach((one) => { one.open = true; })"
# Past the browser's own questions, and past the page's script.
SEND = "HTMLFormElement.prototype.submit.call(document.getElementById('filled-badly'))"
FILL_BADLY = (Path(__file__).parent / "fill_badly.js").read_text()


def look(page, findings):
    """Add what is wrong with the open page, in every light and size, to ``findings``."""
    # What is folded away is looked at too.
    page.evaluate(OPEN_ALL)
    # Once for all four looks: to send the rules takes longer than to apply them.
    page.evaluate(Axe().axe_script)
    for size in (PHONE, LAPTOP):
        page.set_viewport_size(size)
        for scheme, rules in (("light", RULES), ("dark", COLOURS)):
            page.emulate_media(color_scheme=scheme)
            where = f"{page.url.split('/', 3)[-1] or 'today'} ({size['width']}, {scheme})"
            for violation in page.evaluate(VIOLATIONS, rules):
                for node in violation["nodes"][:4]:
                    findings.append(
                        f"{where}: {violation['id']}: {' '.join(node['html'].split())[:160]} | "
                        f"{' '.join(node['failureSummary'].split())[:220]}"
                    )
        findings.extend(f"{where}: {problem}" for problem in page.evaluate(MEASURE))


def report(findings):
    """Fail with all of ``findings``, each once."""
    if findings:
        pytest.fail("\n".join(dict.fromkeys(findings)), pytrace=False)


def other_states(house):
    """Make further records; return them by viewer, where a page looks different for them."""
    reviewed = factories.finished_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, widths_mm=[4.2] * 20
    )
    review_batch(reviewed, by=house.chef, decision="another", note="Cut slower, knife upright.")
    stock = factories.PracticeFactory(
        person=house.cook,
        branch=house.branch,
        style=house.style,
        station=factories.StationFactory(name="stock", slug="stock", measured=False),
    )
    withdrawn = write_sign_off(
        stock,
        by=house.chef,
        request_key=uuid4(),
        override_reason="Held it for years in another house.",
        seen_missing=list(Missing),
    )
    write_withdrawal(withdrawn, by=house.chef, reason="Stock left warm twice.")
    photos = {
        state: factories.photographed(house.open_batch, [3.2])
        for state in ("waiting", "refused", "failed")
    }
    for state, photo in photos.items():
        type(photo).objects.filter(pk=photo.pk).update(
            state=state, reason="blurred" if state == "refused" else "", result=None
        )
    # One strand of each kind, and two too many.
    strange = factories.photographed(
        factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard),
        [3.2, 2.5, 4.0, None, *[3.3] * 18],
        verdict="poor",
    )
    own, coarse = (house.cook, house.standard), factories.InstrumentFactory(repeatability_mm="0.3")
    return {
        "own": [
            *(("photograph", photo.pk) for photo in (*photos.values(), strange)),
            ("stage", house.photographed_batch.pk, 6),
            *(("stage", house.open_batch.pk, position) for position in range(2, 9)),
            ("stage", house.finished_batch.pk, 5),
            ("stage", house.abandoned_batch.pk, 6),
            ("batch", house.finished_batch.pk),
            ("batch", house.abandoned_batch.pk),
            ("result", house.open_batch.pk),
            ("result", house.abandoned_batch.pk),
            # One that finds something, and one by a tool that is too coarse.
            ("drill", factories.drill_done(*own, TILTED_MM, kind="sheet").pk),
            ("drill", factories.drill_done(*own, instrument=coarse).pk),
        ],
        "chef": [
            ("review_batch", house.abandoned_batch.pk),
            ("review_batch", reviewed.pk),
            ("result", reviewed.pk),
            ("sign_off", house.signed_practice.pk),
            ("withdraw", withdrawn.pk),
            ("sign_off_record", withdrawn.pk),
            ("trial", house.open_trial.pk),
            ("trial_caliper", house.open_trial.pk, 2),
            ("trial", repeated_trial(house).pk),
            *calibration_states(house),
        ],
    }


def calibration_states(house):
    """Return the pages of a draft, of its piece, and of a set that the head chef has rated."""
    draft = factories.calibration_set(house.chef, [house.photographed_batch])
    rated = factories.calibration_set(
        house.other_chef, [house.photographed_batch], is_open=True, evenness=1
    )
    rate_piece(
        rated.pieces.get(),
        by=house.chef,
        request_key=uuid4(),
        **dict.fromkeys(CRITERIA, 2),
    )
    look = {house.chef: 2, house.chef_who_trains: 1}
    factories.seen_by_two(house.practice, house.finished_batch, look, rated=[house.chef_who_trains])
    return [
        ("calibration", draft.pk),
        ("calibration_piece", draft.pk, 1),
        ("calibration", rated.pk),
    ]


def repeated_trial(house):
    """Return a trial of one layout by two people, with a photo that shows a strand too few."""
    trial = factories.TrialFactory(
        kind="repeat", branch=house.branch, standard=house.standard, made_by=house.chef
    )
    for by in (house.chef, house.cook):
        for off_mm in (0.0, 0.03):
            factories.tried(trial, [w + off_mm for w in factories.GOOD_WIDTHS_MM], by=by)
    factories.tried(trial, factories.GOOD_WIDTHS_MM[1:])
    return trial


def test_the_rules_find_what_they_are_for(page):
    """Were the rules not loaded, every page would pass."""
    page.set_content(
        "<html><body><img src='data:,'><p style='color:#999;background:#fff;font-size:12px'>Dough"
        "</p><button style='height:20px'>Cut</button><div style='width:900px'>Wide</div>"
    )
    findings = []
    look(page, findings)
    found = "\n".join(findings)
    for rule in ("image-alt", "html-has-lang", "color-contrast", "12 px", "20 px high", "sideways"):
        assert rule in found


@pytest.mark.parametrize("viewer", PEOPLE)
def test_pages(context_of, house, viewer):
    column = list(VIEWERS).index(viewer)
    fill(house)
    paths = [
        address(name, house)
        for name, way, cells in TABLE
        if way == "GET" and cells.split()[column] == "ok" and name not in FILES
    ]
    paths += [
        reverse(f"assessments:{name}", args=arguments)
        for name, *arguments in other_states(house).get(viewer, [])
    ]
    page = context_of(getattr(house, VIEWERS[viewer])).new_page()
    findings = []
    for path in paths:
        page.goto(path)
        look(page, findings)
        if page.evaluate(FILL_BADLY):
            with page.expect_navigation():
                page.evaluate(SEND)
            look(page, findings)
    report(findings)


def test_strands_that_are_rated_before_the_score(context_of, house):
    fill(house)
    HousePolicy.load()
    HousePolicy.objects.update(blind_review=True)
    page = context_of(house.chef).new_page()
    findings = []
    for path in (reverse("assessments:waiting"), address("assessments:review_batch", house)):
        page.goto(path)
        look(page, findings)
    report(findings)


def test_every_page_is_looked_at():
    """A page that none of these people may open would be looked at by no test."""
    columns = [list(VIEWERS).index(viewer) for viewer in PEOPLE]
    looked_at = {
        name
        for name, way, cells in TABLE
        if way == "GET" and any(cells.split()[column] == "ok" for column in columns)
    }
    answered_by_forms_only = {
        name for name, way, cells in TABLE if way == "GET" and set(cells.split()) == {"--"}
    }
    assert looked_at | answered_by_forms_only == own_names()


def test_pages_of_a_house_with_nothing_in_it(context_of, house):
    """A first day: no batch, no observation, nobody waiting."""
    findings = []
    for person, names in (
        (house.cook, ["today", "batches", "new_batch", "drills", "new_drill"]),
        (house.chef, ["today", "waiting", "cooks", "readiness", "boil_tests"]),
        (house.owner, ["today", "cooks", "readiness"]),
        (house.editor, ["today"]),
    ):
        page = context_of(person).new_page()
        for name in names:
            page.goto(reverse(f"assessments:{name}"))
            look(page, findings)
    report(findings)


def test_modules_that_come_with_the_site(context_of, house):
    page = context_of(house.cook).new_page()
    findings = []
    for module in load_curriculum():
        page.goto(module.address)
        look(page, findings)
        page.set_viewport_size(PHONE)
        while page.get_by_role("button", name="Forward").is_enabled():
            page.get_by_role("button", name="Forward").click()
            findings.extend(f"{page.url}: {problem}" for problem in page.evaluate(MEASURE))
    page.get_by_role("button", name="Back").click()
    look(page, findings)
    report(findings)


def test_sign_in_pages(page, house):
    findings = []
    page.goto("/sign-in/login/")
    look(page, findings)
    page.get_by_label("Your sign-in name").fill("cook")
    page.get_by_label("Password").fill("not-this-one")
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_text("not correct").wait_for()
    look(page, findings)
    page.goto("/sign-in/signup/")
    look(page, findings)
    sign_in(page, "cook", shared=True)
    for name in (
        "account_logout",
        "account_change_password",
        "mfa_index",
        "mfa_list_webauthn",
        "account_reauthenticate",
    ):
        page.goto(reverse(name))
        look(page, findings)
    page.get_by_label("Password").fill(factories.PASSWORD)
    page.locator("main button[type=submit]").first.click()
    for name in ("mfa_add_webauthn", "mfa_activate_totp", "mfa_generate_recovery_codes"):
        page.goto(reverse(name))
        look(page, findings)
    report(findings)


def test_error_pages(context_of, house, troubles):
    findings = []
    with override_settings(ROOT_URLCONF="tests.training.test_errors"):
        page = context_of(house.cook).new_page()
        for path, status in (
            ("/no-such-page/", 404),
            (reverse("assessments:cook", args=[house.other_cook.pk]), 403),
            ("/damaged/", 400),
            ("/breaks/", 500),
        ):
            assert page.goto(path).status == status
            look(page, findings)
        page.goto("/account/")
        page.context.clear_cookies()
        with page.expect_navigation() as refused:
            page.get_by_role("button", name="Sign out").click()
        assert refused.value.status == 403
        look(page, findings)
    report(findings)
    # The browser itself notes every refused page.
    troubles[:] = [trouble for trouble in troubles if "status" not in trouble]
