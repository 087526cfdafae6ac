"""The house's boil tests: written down once, taken back once, and what a cook sees of them."""

import re
import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from assessments.charts.pot import pot_chart
from assessments.models import BoilTest, Event
from assessments.summaries.batch import Strands
from assessments.summaries.pot import pot_of
from tests import factories

PATH = reverse("assessments:boil_tests")


@pytest.fixture
def chef(client, house):
    client.force_login(house.chef)
    return client


def typed(house, **fields):
    return {
        "style": house.style.pk,
        "width_mm": "3,4",
        "thickness_mm": "3.0 mm",
        "done_at_min": "13:15",
        "tested_on": timezone.localdate().isoformat(),
        "note": "New sack of flour.",
        "request_key": str(uuid.uuid4()),
        **fields,
    }


def said(response):
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


def remove(test):
    return reverse("assessments:remove_boil_test", args=[test.pk])


def test_from_the_first_test_to_what_it_changes(chef, house):
    assert "No boil test counts yet" in said(chef.get(PATH))
    response = chef.post(PATH, typed(house))
    assert response["Location"] == f"{PATH}?style=thick-wheat"
    test = BoilTest.objects.get()
    assert (test.width_mm, test.thickness_mm, test.done_at_min) == (
        Decimal("3.40"),
        Decimal("3.00"),
        Decimal("13.25"),
    )
    assert (test.style, test.recorded_by) == (house.style, house.chef)
    event = Event.objects.get(verb=Event.Verb.BOIL_TEST_RECORDED)
    assert (event.actor, event.object_id) == (house.chef, test.pk)
    page = said(chef.get(response["Location"]))
    assert "3.40 × 3.00 mm: done at 13:15 min" in page
    assert "New sack of flour." in page
    assert str(house.chef) in page
    assert "Each boil test against the model" in page


def test_the_same_form_sent_twice_records_one(chef, house):
    sent = typed(house)
    assert [chef.post(PATH, sent).status_code for _n in range(2)] == [302, 302]
    assert BoilTest.objects.count() == 1
    assert Event.objects.filter(verb=Event.Verb.BOIL_TEST_RECORDED).count() == 1


def test_the_key_of_somebody_elses_test_is_refused(chef, house):
    other = factories.BoilTestFactory(style=house.style)
    response = chef.post(PATH, typed(house, request_key=str(other.request_key)))
    assert "This page was used for another boil test." in said(response)
    assert BoilTest.objects.count() == 1


@pytest.mark.parametrize(
    ("fields", "at", "message"),
    [
        ({"width_mm": ""}, "width_mm", "Type the width"),
        ({"thickness_mm": "three"}, "thickness_mm", "three"),
        ({"width_mm": "0"}, "width_mm", "it must lie between 0.3 and 99"),
        ({"width_mm": "3.333"}, "width_mm", "2 decimal places"),
        ({"width_mm": "20"}, "width_mm", "20.00 × 3.00 mm is too far from the standard"),
        ({"thickness_mm": "0.5"}, "thickness_mm", "3.40 × 0.50 mm is too far"),
        ({"done_at_min": "60"}, "done_at_min", "60.0 is over three times as long"),
        ({"done_at_min": "2:00"}, "done_at_min", "is done after about 12.6 minutes"),
        ({"done_at_min": "12:75"}, "done_at_min", "12:75"),
        ({"done_at_min": "200"}, "done_at_min", "it must lie between 0.1 and 120"),
        ({"tested_on": "yesterday"}, "tested_on", "valid date"),
        ({"style": "987654"}, "style", "valid choice"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(chef, house, fields, at, message):
    sent = typed(house, **fields)
    response = chef.post(PATH, sent)
    form = response.context["form"]
    assert list(form.errors) == [at]
    assert message in form.errors[at][0]
    # Nothing typed is lost.
    assert form["note"].value() == sent["note"]
    assert form[at].value() == sent[at]
    assert not BoilTest.objects.exists()


def test_a_day_to_come_is_refused(chef, house):
    tomorrow = timezone.localdate() + timedelta(days=1)
    response = chef.post(PATH, typed(house, tested_on=tomorrow.isoformat()))
    assert "still to come" in response.context["form"].errors["tested_on"][0]


def test_a_test_is_taken_back_once_and_stays_on_record(chef, house):
    test = factories.BoilTestFactory(style=house.style, recorded_by=house.chef)
    for _n in range(2):
        assert chef.post(remove(test))["Location"] == f"{PATH}?style=thick-wheat"
    test.refresh_from_db()
    assert test.removed_at is not None
    event = Event.objects.get(verb=Event.Verb.BOIL_TEST_REMOVED)
    assert (event.actor, event.object_id) == (house.chef, test.pk)
    assert "No boil test counts yet" in said(chef.get(PATH))


def test_what_is_not_there(chef, house):
    assert chef.get(PATH, {"style": "no-such-style"}).status_code == 404
    assert chef.post(reverse("assessments:remove_boil_test", args=[987654])).status_code == 404


def test_a_house_without_a_standard_is_told_so(client, db):
    client.force_login(factories.owner())
    assert "No house standard is in force yet." in said(client.get(PATH))
    assert client.post(PATH, {}).status_code == 200


def test_each_style_has_its_own_tests(chef, house):
    other = factories.StandardFactory(boil_time_min=Decimal("1.5"))
    factories.BoilTestFactory(style=other.style, note="Thin ones")
    assert "Thin ones" not in said(chef.get(PATH, {"style": house.style.slug}))
    page = said(chef.get(PATH, {"style": other.style.slug}))
    assert "Thin ones" in page
    # Twelve minutes cannot be where the house boils for one and a half.
    assert "Does not count: over three times as long" in page
    assert "No boil test counts yet" in page


def test_tests_that_contradict_each_other_are_pointed_out(chef, house):
    for _n in range(10):
        for width_mm, done_at_min in ((2, 14), (5, 10)):
            factories.BoilTestFactory(
                style=house.style, width_mm=width_mm, thickness_mm=width_mm, done_at_min=done_at_min
            )
    page = said(chef.get(PATH))
    assert "These tests contradict each other" in page
    assert "Does not count while the tests contradict each other." in page


def test_ten_tests_cost_as_many_queries_as_one(chef, house):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            chef.get(PATH)
        return len(captured)

    factories.BoilTestFactory(style=house.style)
    queries()
    one = queries()
    for _n in range(9):
        factories.BoilTestFactory(style=house.style)
        factories.StandardFactory()
    assert queries() == one <= 12


def part(house, viewer, widths_mm=(2.3, 3.2, 3.2, 4.4)):
    batch = factories.BatchFactory(cook=house.cook, standard=house.standard)
    strands = Strands(tuple(range(1, len(widths_mm) + 1)), widths_mm, 4, 3.2, 2.7, 3.7)
    pot = pot_of(batch, strands, None)
    context = {"pot": pot, "pot_picture": pot_chart(pot), "user": viewer, "batch": batch}
    html = render_to_string("assessments/results/_pot.html", context)
    return html, " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_a_cook_reads_what_the_pot_does_and_that_it_is_a_model(house):
    html, text = part(house, house.cook)
    assert "At 12:00 min about" in text
    assert "The thinnest is done at" in text
    assert "When each strand is done" in text
    assert "Boiling water and steam burn." in text
    assert "This is a model" in text
    assert "Your house has no boil tests yet." in text
    assert "the sheet was not measured, so 3.00 mm is taken" in text
    assert PATH not in html


@pytest.mark.parametrize("who", ["chef", "owner", "editor"])
def test_who_may_record_tests_is_led_there(house, who):
    factories.BoilTestFactory(style=house.style)
    html, text = part(house, getattr(house, who), (9.0, 3.2))
    assert f'href="{PATH}?style=thick-wheat"' in html
    assert "corrected it with 1 boil test." in text
    assert "1 strand is so far from the standard that its time is a guess." in text


def test_nothing_is_shown_of_a_batch_without_strands(house):
    assert not render_to_string("assessments/results/_pot.html", {"pot": None}).strip()
