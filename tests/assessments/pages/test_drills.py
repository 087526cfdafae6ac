"""Drills from the list to what one shows."""

import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from assessments.actions.log_batch import see_score
from assessments.models import Drill
from tests import factories

# Even but for a drift from the first cut to the last.
DRIFTING_MM = [round(2.8 + 0.045 * n + 0.02 * (-1) ** (n // 2), 2) for n in range(20)]
# Thick toward one edge, 3 by 3, row by row.
TILTED_MM = [2.7, 3.0, 3.3, 2.68, 3.02, 3.31, 2.71, 2.99, 3.32]


@pytest.fixture
def cook(client, house):
    client.force_login(house.cook)
    return client


def path(name, *args, **query):
    return reverse(f"assessments:{name}", args=args, query=query)


def typed(house, values_mm, *, kind="strands", **fields):
    quantity = "width" if kind == "strands" else "thickness"
    return {
        "style": house.style.slug,
        "kind": kind,
        "client_key": str(uuid4()),
        **{f"{quantity}_{place}": str(v) for place, v in enumerate(values_mm, start=1)},
        **fields,
    }


def done(house, values_mm, **fields):
    return factories.drill_done(house.cook, house.standard, values_mm, **fields)


def text(response):
    return " ".join(response.content.decode().split())


def test_the_form_asks_for_each_strand_and_says_that_it_does_not_count(cook, house):
    page = text(cook.get(path("new_drill", style=house.style.slug, kind="strands")))
    assert all(f'name="width_{place}"' in page for place in range(1, 21))
    assert 'name="width_21"' not in page
    assert "earns nothing and costs nothing" in page
    assert "Sharp knife." in page


def test_the_form_asks_for_the_points_of_the_sheet(cook, house):
    page = text(cook.get(path("new_drill", style=house.style.slug, kind="sheet")))
    assert all(f'name="thickness_{place}"' in page for place in range(1, 10))
    assert "far edge" in page
    assert "Sharp knife." not in page


def test_a_drill_is_kept_and_shows_what_to_change(cook, house):
    tool = factories.InstrumentFactory(repeatability_mm="0.02")
    data = typed(house, DRIFTING_MM, instrument=tool.pk, note="Guide held lower.")
    answer = cook.post(path("new_drill"), data | {"action": "save"})
    drill = Drill.objects.get()
    assert answer["Location"] == path("drill", drill.pk)
    assert drill.instrument == tool
    assert drill.array.tolist() == DRIFTING_MM
    page = text(cook.get(answer["Location"]))
    assert "Drift: wider toward the end" in page
    assert "Try next time:" in page
    assert "“Guide held lower.”" in page
    assert "<svg" in page
    assert "of your last drills" not in page
    # The next one offers the same tool.
    again = cook.get(path("new_drill", style=house.style.slug, kind="strands"))
    assert again.context["form"]["instrument"].value() == tool.pk
    # The same form, sent again.
    assert cook.post(path("new_drill"), data)["Location"] == answer["Location"]
    assert Drill.objects.count() == 1


def test_a_sheet_tells_its_thick_edge(cook, house):
    drill = done(house, TILTED_MM, kind="sheet")
    page = text(cook.get(path("drill", drill.pk)))
    assert "One sheet only" in page
    assert "right edge" in page


def test_an_even_drill_with_gaps_says_that_there_is_no_pattern(cook, house):
    widths = [*factories.GOOD_WIDTHS_MM[:6], "", *factories.GOOD_WIDTHS_MM[7:9]]
    answer = cook.post(path("new_drill"), typed(house, widths))
    assert Drill.objects.get().places.tolist() == [1, 2, 3, 4, 5, 6, 8, 9]
    assert "No pattern beyond chance" in text(cook.get(answer["Location"]))


def test_spreads_of_the_last_drills_stand_in_a_line(cook, house):
    for half in (0.4, 0.3, 0.2, 0.15, 0.1, 0.05):
        # Ten on either side: the spread is half times the root of 20/19.
        drill = done(house, [3.2 - half, 3.2 + half] * 10)
    done(house, TILTED_MM, kind="sheet")
    page = text(cook.get(path("drill", drill.pk)))
    assert "0.31 → 0.21 → 0.15 → 0.10 → 0.05 mm" in page


@pytest.mark.parametrize(
    ("values", "fields", "message"),
    [
        ([3.1, 3.2, 3.3, 3.2], {}, "5 values or more"),
        ([3.1] * 5 + ["three"], {}, "“three” is not a number"),
        ([3.1] * 5 + ["31"], {}, "Did you mean 3.1?"),
        ([3.1] * 20, {"paste": "3.1 3.2"}, "2 pasted readings have no empty field"),
        ([3.1] * 20, {"note": "x" * 501}, "at most 500 characters"),
        ([3.1] * 20, {"client_key": "none"}, "valid UUID"),
    ],
)
def test_what_is_amiss_is_said_and_nothing_typed_is_lost(cook, house, values, fields, message):
    data = typed(house, values, **fields)
    page = text(cook.post(path("new_drill"), data))
    assert message in page
    assert not Drill.objects.exists()
    assert all(f'value="{value}"' in page for value in values)


def test_the_pages_script_is_told_what_is_amiss_and_where_to_go(cook, house):
    key = str(uuid4())

    def send(values):
        data = typed(house, values, client_key=key, action="save")
        answer = cook.post(path("new_drill"), data, headers={"accept": "application/json"})
        return json.loads(answer.content)

    assert not send([3.1])["saved"]
    told = send([3.1, 3.2] * 10)
    assert told == {"saved": True, "errors": {}, "next": path("drill", Drill.objects.get().pk)}
    # The page as it was, with other values: these are no correction of the first.
    told = send([3.3, 3.4] * 10)
    assert not told["saved"]
    assert "saved a drill already" in told["errors"]["__all__"][0]["message"]
    page = cook.post(path("new_drill"), typed(house, [3.3, 3.4] * 10, client_key=key))
    assert key not in page.content.decode()
    assert page.context["form"].data["client_key"]


def test_a_pasted_list_fills_the_empty_fields(cook, house):
    data = typed(house, ["", "3.5"], paste="3,1; 3,2\n3,3", action="paste")
    form = cook.post(path("new_drill"), data).context["form"]
    assert [form.data[f"width_{n}"] for n in (1, 2, 3, 4)] == ["3,1", "3.5", "3,2", "3,3"]
    assert not Drill.objects.exists()


def test_the_list_begins_with_what_the_last_batch_asks_for(cook, house):
    batch = factories.finished_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, widths_mm=DRIFTING_MM
    )
    first = path("new_drill", style=house.style.slug, kind="strands")
    # Not before its result is opened.
    assert "Your last batch asks for this first" not in text(cook.get(path("drills")))
    see_score(batch)
    page = text(cook.get(path("drills")))
    assert "Your last batch asks for this first" in page
    assert "Drift: wider toward the end" in page
    assert page.count(first.replace("&", "&amp;")) == 2
    assert path("new_drill", style=house.style.slug, kind="sheet").replace("&", "&amp;") in page
    assert "No drill yet." in page


def test_the_log_is_read_by_the_cook_and_the_head_chef(client, house):
    drill = done(house, factories.GOOD_WIDTHS_MM)
    client.force_login(house.chef)
    asked = path("drills", cook=house.cook.pk)
    page = text(client.get(asked))
    assert path("drill", drill.pk) in page
    assert "Choose a drill" not in page
    assert "Do it again" not in text(client.get(path("drill", drill.pk)))
    assert client.get(path("drills", cook="²")).status_code == 404
    client.force_login(house.other_chef)
    assert client.get(asked).status_code == 403


def test_a_style_that_is_not_practised_leads_back_to_the_list(cook, house):
    answer = cook.get(path("new_drill", style="no-such-style"), follow=True)
    assert "This is none of your drills." in text(answer)
    house.practice.delete()
    assert "There is no drill for you yet" in text(cook.get(path("new_drill")))


def test_beside_the_evidence_stand_the_drills_of_the_last_weeks(client, house):
    factories.finished_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    for days in (1, 20, 40):
        done(house, factories.GOOD_WIDTHS_MM, at=timezone.now() - timedelta(days))
    client.force_login(house.chef)
    page = text(client.get(path("evidence", house.cook.pk, house.style.slug)))
    assert "2 drills in the last four weeks." in page
    assert path("drills", cook=house.cook.pk) in page
