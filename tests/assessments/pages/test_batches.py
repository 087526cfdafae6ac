"""The batch log: every stage is saved as it is left, and nothing typed is lost."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from assessments.actions.log_batch import abandon_batch, record_readings, see_score
from assessments.calculations.instruments import choose_strands
from assessments.models import Batch, Practice, ReadingSet
from tests import factories
from training.models import Flour, OtherIngredient, StandardVersion, publish_version

Quantity = ReadingSet.Quantity
JSON = {"headers": {"Accept": "application/json"}}
MOST_QUERIES = 12


@pytest.fixture
def batch(house):
    return factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)


@pytest.fixture
def cook(client, house):
    client.force_login(house.cook)
    return client


def address(batch, kind):
    return reverse("assessments:stage", args=[batch.pk, batch.stages.get(kind=kind).position])


def basis(page):
    return page.context["form"].data.get("basis") or page.context["sheet"].basis


def current(batch, quantity):
    return ReadingSet.objects.current().filter(batch=batch, quantity=quantity).first()


def values(batch, quantity):
    readings = current(batch, quantity)
    if readings is None:
        return {}
    return dict(zip(readings.places.tolist(), readings.array.tolist(), strict=True))


def chosen(batch):
    return choose_strands(batch.strands_expected, 20, batch.strand_seed)


def widths_typed(batch, *typed):
    return {f"width_{place}": text for place, text in zip(chosen(batch), typed, strict=False)}


# Who may


@pytest.mark.parametrize("who", ["chef", "owner", "other_cook", "other_chef"])
@pytest.mark.parametrize("name", ["batch", "give_up_batch"])
def test_a_log_is_open_to_its_cook_alone(client, house, batch, who, name):
    client.force_login(getattr(house, who))
    assert client.get(reverse(f"assessments:{name}", args=[batch.pk])).status_code == 403
    assert client.get(address(batch, "cut")).status_code == 403
    answer = client.post(address(batch, "weigh"), {"flour": "1", "water": "1"})
    assert answer.status_code == 403
    assert not batch.reading_sets.exists()


@pytest.mark.parametrize("who", ["chef", "owner", "editor"])
@pytest.mark.parametrize("name", ["batches", "new_batch"])
def test_only_trainees_log_batches(client, house, who, name):
    client.force_login(getattr(house, who))
    assert client.get(reverse(f"assessments:{name}")).status_code == 403


def test_a_stranger_is_sent_to_sign_in(client, batch):
    answer = client.get(address(batch, "cut"))
    assert answer.status_code == 302
    assert "sign-in" in answer["Location"]


def test_a_stage_that_is_not_there(cook, batch):
    assert cook.get(reverse("assessments:stage", args=[batch.pk, 99])).status_code == 404


# A new batch


def form_of(house, **changes):
    wanted = {
        "style": house.standard.pk,
        "portions": "10",
        "room_c": "",
        "branch": house.branch.pk,
        "client_key": str(uuid.uuid4()),
    }
    return wanted | changes


def test_a_batch_opens_at_the_scale(cook, house):
    answer = cook.post(reverse("assessments:new_batch"), form_of(house, room_c="22,5"))
    batch = Batch.objects.get()
    assert answer["Location"] == address(batch, "weigh")
    assert (batch.room_c, batch.cook, batch.branch) == (Decimal("22.5"), house.cook, house.branch)


def test_a_cold_room_may_be_below_zero(cook, house):
    cook.post(reverse("assessments:new_batch"), form_of(house, room_c="-2,5"))
    assert Batch.objects.get().room_c == Decimal("-2.5")


def test_the_form_sent_twice_opens_one_batch(cook, house):
    form = form_of(house)
    first = cook.post(reverse("assessments:new_batch"), form)
    second = cook.post(reverse("assessments:new_batch"), form)
    assert first["Location"] == second["Location"]
    assert Batch.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "typed", "message"),
    [
        ("room_c", "225", "must lie between -5 and 50"),
        ("room_c", "-6", "must lie between -5 and 50"),
        ("room_c", "warm", "is not a number"),
        ("room_c", "22 F", "carries another unit"),
        ("portions", "many", "whole number of portions"),
        ("portions", "0", "greater than or equal to 1"),
        ("portions", "501", "less than or equal to 500"),
    ],
)
def test_a_slip_is_named_at_its_field_and_kept(cook, house, field, typed, message):
    page = cook.post(reverse("assessments:new_batch"), form_of(house, **{field: typed}))
    assert message in str(page.context["form"].errors[field])
    assert f'value="{typed}"' in page.content.decode()
    assert not Batch.objects.exists()


def test_only_styles_that_the_cook_practises_and_that_have_a_standard(cook, house):
    not_practised = factories.StandardFactory()
    without_standard = factories.StyleFactory(name="flat ribbon")
    factories.PracticeFactory(person=house.cook, branch=house.branch, style=without_standard)
    page = cook.get(reverse("assessments:new_batch"))
    assert list(page.context["standards"]) == [house.standard]
    answer = cook.post(reverse("assessments:new_batch"), form_of(house, style=not_practised.pk))
    assert "style" in answer.context["form"].errors


@pytest.mark.parametrize(
    ("keep_practice", "message"),
    [(False, "not put down for a style yet"), (True, "No house standard is in force")],
)
def test_an_empty_list_of_styles_says_whom_to_ask(cook, house, keep_practice, message):
    if keep_practice:
        Practice.objects.update(style=factories.StyleFactory())
    else:
        Practice.objects.update(ended_on=timezone.localdate())
    page = cook.get(reverse("assessments:new_batch"))
    assert message in page.content.decode()
    assert "Ask your head chef" in page.content.decode()


def test_a_cook_of_two_branches_chooses(cook, house):
    factories.RoleFactory(person=house.cook, branch=house.other_branch)
    page = cook.get(reverse("assessments:new_batch"))
    assert {branch.pk for branch in page.context["branches"]} == {
        house.branch.pk,
        house.other_branch.pk,
    }
    cook.post(reverse("assessments:new_batch"), form_of(house, branch=house.other_branch.pk))
    assert Batch.objects.get().branch == house.other_branch


def test_a_branch_of_somebody_else_is_refused(cook, house):
    form = form_of(house, branch=house.other_branch.pk)
    page = cook.post(reverse("assessments:new_batch"), form)
    assert "branch" in page.context["form"].errors


def test_an_open_batch_is_pointed_out(cook, batch):
    page = cook.get(reverse("assessments:new_batch"))
    assert list(page.context["open_batches"]) == [batch]


# Weigh


def test_the_bench_sheet_is_in_grams(cook, batch):
    """10 portions of 150 g and 5 % trimmings, 46 % water, 5 % salt: computed by hand."""
    page = cook.get(address(batch, "weigh"))
    bench = page.context["sheet"].bench
    assert [line.mass_g for line in bench.lines] == [1043, 480, 52]
    assert bench.dough_g == 1575 == sum(line.mass_g for line in bench.lines)
    fields = [point.proposed for point in page.context["sheet"].points]
    assert fields == [1043, 480, 52]


def test_two_flours_alkali_and_allergens(cook, house):
    standard = factories.StandardFactory(style=factories.StyleFactory(), recipe=False)
    Flour.objects.filter(standard=standard).update(percent=80, allergens="buckwheat")
    Flour.objects.create(
        standard=standard, name="water", percent=20, allergens="wheat", sort_order=2
    )
    OtherIngredient.objects.create(standard=standard, name="alkali", percent=Decimal("0.30"))
    publish_version(StandardVersion.objects.get(pk=standard.pk), by=house.owner)
    batch = factories.BatchFactory(cook=house.cook, standard=standard, portions=1)
    page = cook.get(address(batch, "weigh"))
    bench = page.context["sheet"].bench
    assert bench.allergens == ("buckwheat", "wheat")
    alkali = bench.others[0]
    assert alkali.needs_fine_scale
    # 0.3 of 151.3 parts of 157.5 g
    assert alkali.mass_g == pytest.approx(0.3)
    text = page.content.decode()
    assert "on a scale that shows 0.1 g" in text
    assert "Flour and starch together" in text
    assert "buckwheat, wheat" in text


def test_weighing_is_recorded_and_leads_on(cook, batch):
    typed = {"flour": "1043", "water": "479,5", "salt": "52 g"}
    answer = cook.post(address(batch, "weigh"), typed)
    assert answer["Location"] == address(batch, "mix")
    assert values(batch, "flour") == {1: 1043}
    assert values(batch, "water") == {1: 479.5}
    assert values(batch, "salt") == {1: 52}
    assert batch.stages.get(kind="weigh").done_at is not None


def test_a_tenth_of_the_flour_is_questioned(cook, batch):
    page = cook.post(address(batch, "weigh"), {"flour": "104", "water": "480", "salt": "52"})
    assert "Did you mean 1040?" in page.content.decode()
    assert values(batch, "flour") == {}
    assert values(batch, "water") == {1: 480}
    assert batch.stages.get(kind="weigh").done_at is None


# Mix


def test_how_warm_the_water(cook, batch):
    """Three times the wanted 25 °C less room, flour and 4 °C of friction: the bakery rule."""
    batch.room_c = 22
    batch.save()
    assert cook.get(address(batch, "mix")).context["water"].temperature == 27
    page = cook.post(address(batch, "mix"), {"flour_c": "10", "action": "water", "dough_t": "24"})
    assert page.context["water"].temperature == 39
    assert 'value="24"' in page.content.decode()
    assert not batch.reading_sets.exists()


@pytest.mark.parametrize(("room", "advice"), [("45", "ice"), ("4", "too hot")])
def test_water_that_would_be_ice_or_scald(cook, batch, room, advice):
    page = cook.post(address(batch, "mix"), {"room": room, "action": "water"})
    assert page.context["water"].advice == advice


def test_without_a_room_temperature_it_is_asked(cook, batch):
    page = cook.get(address(batch, "mix"))
    assert page.context["water"] is None
    cook.post(address(batch, "mix"), {"room": "21,5", "dough_t": "25.5"})
    assert values(batch, "room") == {1: 21.5}
    assert values(batch, "dough_t") == {1: 25.5}
    assert cook.get(address(batch, "mix")).context["water"].temperature == pytest.approx(28)


def test_temperatures_may_stay_empty(cook, batch):
    assert cook.post(address(batch, "mix"), {})["Location"] == address(batch, "tread")
    assert not batch.reading_sets.exists()


# Timers


def timer_of(batch, kind="rest"):
    stage = batch.stages.get(kind=kind)
    stage.planned_min = 30
    stage.save()
    return stage, reverse("assessments:timer", args=[batch.pk, stage.position])


def test_a_timer_runs_from_the_press_not_from_the_arrival(cook, batch):
    stage, url = timer_of(batch)
    before = timezone.now()
    answer = cook.post(url, {"pressed_ms_ago": "90000"}, **JSON)
    stage.refresh_from_db()
    late = timezone.now() - stage.timer_started_at
    assert timedelta(seconds=90) <= late <= timedelta(seconds=90) + (timezone.now() - before)
    assert answer.json()["started_at"] is not None


@pytest.mark.parametrize("said", ["", "soon", "-60000", "1e400", "9" * 40])
def test_a_senseless_delay_does_no_harm(cook, batch, said):
    stage, url = timer_of(batch)
    cook.post(url, {"pressed_ms_ago": said})
    stage.refresh_from_db()
    assert timezone.now() - stage.timer_started_at <= timedelta(hours=24, seconds=5)
    assert stage.timer_started_at <= timezone.now()


def test_a_second_press_changes_nothing_and_anew_does(cook, batch):
    stage, url = timer_of(batch)
    cook.post(url, {"pressed_ms_ago": "600000"})
    stage.refresh_from_db()
    first = stage.timer_started_at
    assert cook.post(url)["Location"] == address(batch, "rest")
    stage.refresh_from_db()
    assert stage.timer_started_at == first
    cook.post(url, {"again": "yes"})
    stage.refresh_from_db()
    assert stage.timer_started_at > first


def test_a_timer_says_when_it_ends_without_any_script(cook, batch):
    stage, url = timer_of(batch)
    cook.post(url)
    stage.refresh_from_db()
    ends = timezone.localtime(stage.timer_started_at + timedelta(minutes=30))
    page = cook.get(address(batch, "rest")).content.decode()
    assert f"until {ends:%H:%M}" in page
    assert (
        f"until {ends:%H:%M}"
        in cook.get(reverse("assessments:batch", args=[batch.pk])).content.decode()
    )


def test_a_timer_of_a_closed_batch_does_not_start(cook, batch):
    stage, url = timer_of(batch)
    abandon_batch(batch, by=batch.cook)
    page = cook.post(url, follow=True)
    assert "timers have ended" in page.content.decode()
    stage.refresh_from_db()
    assert stage.timer_started_at is None


# Roll


def test_the_grid_is_read_row_by_row(cook, batch):
    typed = {f"thickness_{place}": f"3,{place}" for place in range(1, 10)}
    assert cook.post(address(batch, "roll"), typed)["Location"] == address(batch, "cut")
    assert values(batch, "thickness") == {place: 3 + place / 10 for place in range(1, 10)}


def test_fewer_points_are_allowed_and_said_plainly(cook, batch):
    page = cook.post(address(batch, "roll"), {"thickness_5": "3.0"}, follow=True)
    assert "1 of 9 points: fewer than 5 give no score." in page.content.decode()
    page = cook.post(address(batch, "roll"), {}, follow=True)
    assert values(batch, "thickness") == {5: 3.0}


def test_nothing_measured_leads_on_all_the_same(cook, batch):
    page = cook.post(address(batch, "roll"), {}, follow=True)
    assert page.redirect_chain[-1][0] == address(batch, "cut")
    assert "this part gets no score" in page.content.decode()


# Cut


def test_the_strands_are_chosen_before_the_cut(cook, batch):
    Batch.objects.filter(pk=batch.pk).update(strands_expected=None)
    page = cook.get(address(batch, "cut"))
    assert page.context["sheet"].points == ()
    answer = cook.post(address(batch, "cut"), {"strands_expected": "60", "action": "total"})
    assert answer["Location"] == address(batch, "cut")
    batch.refresh_from_db()
    shown = cook.get(address(batch, "cut")).context["sheet"].chosen
    assert list(shown) == chosen(batch)
    assert len(shown) == 20
    assert cook.get(address(batch, "cut")).context["sheet"].chosen == shown


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("", "Type about how many"),
        ("many", "Type a whole number"),
        ("0", "greater than or equal to 1"),
        ("9999", "less than or equal to 5000"),
    ],
)
def test_a_number_of_strands_that_cannot_be(cook, batch, typed, message):
    page = cook.post(address(batch, "cut"), {"strands_expected": typed, "action": "total"})
    assert message in page.content.decode()


def test_a_small_dough_has_every_strand_measured(cook, batch):
    Batch.objects.filter(pk=batch.pk).update(strands_expected=6)
    sheet = cook.get(address(batch, "cut")).context["sheet"]
    assert sheet.chosen == (1, 2, 3, 4, 5, 6)


def test_widths_keep_their_place_in_the_cut(cook, batch):
    cook.post(address(batch, "cut"), widths_typed(batch, "3.21", "3,3", "3.1 mm"))
    assert list(values(batch, "width").items()) == list(
        zip(chosen(batch)[:3], [3.21, 3.3, 3.1], strict=True)
    )


def test_the_total_is_not_changed_once_widths_are_there(cook, batch):
    cook.post(address(batch, "cut"), widths_typed(batch, "3.21"))
    typed = {"strands_expected": "40", "action": "total", **widths_typed(batch, "3.21", "3.3")}
    page = cook.post(address(batch, "cut"), typed)
    text = page.content.decode()
    assert "stays at 60" in text
    assert 'value="3.3"' in text
    batch.refresh_from_db()
    assert batch.strands_expected == 60


def test_a_new_total_keeps_what_was_typed_for_strands_no_longer_asked(cook, batch):
    typed = {f"width_{place}": "3.2" for place in chosen(batch)}
    page = cook.post(address(batch, "cut"), {"strands_expected": "40", "action": "total", **typed})
    batch.refresh_from_db()
    gone = [place for place in typed if int(place.split("_")[1]) not in chosen(batch)]
    assert batch.strands_expected == 40
    assert gone
    assert len(page.context["form"].leftovers) == len(gone)
    assert f"{gone[0].split('_')[1]}: 3.2" in page.content.decode()


@pytest.mark.parametrize(
    ("typed", "question"),
    [
        ("32", "32 mm is far from the usual 3.2. Did you mean 3.2?"),
        ("35", "35 mm is far from the usual 3.2. Did you mean 3.5?"),
        ("0,31", "0.31 mm is far from the usual 3.2. Did you mean 3.1?"),
        ("12", "12 mm is far from the usual 3.2. Did you mean 1.2?"),
    ],
)
def test_an_implausible_width_is_questioned_not_dropped(cook, batch, typed, question):
    page = cook.post(address(batch, "cut"), widths_typed(batch, typed, "3.2"))
    text = page.content.decode()
    assert question in text
    assert f'value="{typed}"' in text
    assert list(values(batch, "width")) == [chosen(batch)[1]]
    assert batch.stages.get(kind="cut").done_at is None


def test_a_questioned_width_is_kept_when_ticked_and_not_asked_again(cook, batch):
    place = chosen(batch)[0]
    typed = {f"width_{place}": "35", f"keep_width_{place}": "35"}
    assert cook.post(address(batch, "cut"), typed).status_code == 302
    assert values(batch, "width") == {place: 35}
    page = cook.get(address(batch, "cut"))
    again = {f"width_{place}": "35", "basis": basis(page)}
    assert cook.post(address(batch, "cut"), again).status_code == 302


def test_the_tick_does_not_cover_a_later_slip(cook, batch):
    place = chosen(batch)[0]
    typed = {f"width_{place}": "350", f"keep_width_{place}": "35"}
    assert cook.post(address(batch, "cut"), typed).status_code == 200
    assert values(batch, "width") == {}


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("abc", "“abc” is not a number"),
        ("3.2.1", "more than one comma or point"),
        ("3 cm", "carries another unit"),
        ("-3", "is below zero"),
        ("0", "0 mm cannot be"),
        ("1e3", "is not a number"),
    ],
)
def test_what_cannot_be_read_is_named_and_the_rest_is_saved(cook, batch, typed, message):
    page = cook.post(address(batch, "cut"), widths_typed(batch, "3.1", typed, "3.3"))
    text = page.content.decode()
    assert message in text
    assert f'value="{typed}"' in text
    assert list(values(batch, "width").values()) == [3.1, 3.3]


def test_a_slip_does_not_take_away_what_was_saved(cook, batch):
    cook.post(address(batch, "cut"), widths_typed(batch, "3.1", "3.2"))
    page = cook.get(address(batch, "cut"))
    cook.post(address(batch, "cut"), {**widths_typed(batch, "3.1", "oops"), "basis": basis(page)})
    assert list(values(batch, "width").values()) == [3.1, 3.2]


def test_pasted_readings_fill_the_empty_fields_in_order(cook, batch):
    typed = widths_typed(batch, "3.0") | {"paste": "3,1 3.2\n3.3;oops", "action": "paste"}
    page = cook.post(address(batch, "cut"), typed)
    fields = [page.context["form"][f"width_{place}"].value() for place in chosen(batch)[:5]]
    assert fields == ["3.0", "3,1", "3.2", "3.3", "oops"]
    assert "“oops” is not a number" in page.content.decode()
    assert values(batch, "width") == {}


def test_pasted_readings_without_a_field_are_not_dropped(cook, batch):
    many = " ".join(["3.2"] * 22)
    page = cook.post(address(batch, "cut"), {"paste": many, "action": "paste"})
    assert "2 pasted readings have no empty field" in page.content.decode()
    assert page.context["form"]["paste"].value() == "3.2\n3.2"


def test_fewer_strands_are_allowed_and_said_plainly(cook, batch):
    page = cook.post(address(batch, "cut"), widths_typed(batch, *["3.2"] * 7), follow=True)
    assert "7 of 20 strands: fewer than 8 can earn nothing." in page.content.decode()


def test_the_instrument_is_kept_with_its_repeatability(cook, batch):
    caliper = factories.InstrumentFactory()
    ruler = factories.InstrumentFactory(kind="ruler", repeatability_mm=Decimal("0.3"))
    scale = factories.InstrumentFactory(kind="scale", repeatability_mm=None)
    sheet = cook.get(address(batch, "cut")).context["sheet"]
    warnings = {tool.instrument: tool.warning for tool in sheet.tools}
    assert warnings == {caliper: "", ruler: "too coarse here: earns nothing"}
    assert scale not in warnings
    cook.post(address(batch, "cut"), widths_typed(batch, "3.2") | {"instrument": caliper.pk})
    assert current(batch, "width").repeatability_mm == 0.07
    # The next batch offers the same tool.
    twin = factories.BatchFactory(cook=batch.cook, standard=batch.standard)
    assert cook.get(address(twin, "cut")).context["sheet"].tool_id == caliper.pk


# Saving while one types


def test_a_stage_is_saved_as_it_is_left(cook, batch):
    typed = widths_typed(batch, "3.1", "35") | {"action": "keep"}
    answer = cook.post(address(batch, "cut"), typed, **JSON).json()
    assert not answer["saved"]
    ((name, found),) = answer["errors"].items()
    assert name == f"width_{chosen(batch)[1]}"
    assert found[0]["code"] == "implausible"
    assert "Did you mean 3.5?" in found[0]["message"]
    assert list(values(batch, "width").values()) == [3.1]
    typed = widths_typed(batch, "3.1", "3.5") | {"action": "keep", "basis": answer["basis"]}
    assert cook.post(address(batch, "cut"), typed, **JSON).json()["saved"]
    assert list(values(batch, "width").values()) == [3.1, 3.5]
    assert batch.stages.get(kind="cut").done_at is None
    assert ReadingSet.objects.filter(batch=batch).count() == 1


def test_the_script_is_told_where_to_go(cook, batch):
    answer = cook.post(address(batch, "cut"), widths_typed(batch, "3.1"), **JSON).json()
    assert answer["saved"]
    assert answer["next"] == address(batch, "boil")


def test_saving_from_a_stale_page_takes_nothing_away(cook, batch):
    stale = basis(cook.get(address(batch, "cut")))
    cook.post(address(batch, "cut"), widths_typed(batch, "3.1", "3.2"))
    third = chosen(batch)[2]
    cook.post(address(batch, "cut"), {f"width_{third}": "3.3", "basis": stale})
    assert list(values(batch, "width").values()) == [3.1, 3.2, 3.3]


def test_a_stale_page_that_differs_is_asked(cook, batch):
    stale = basis(cook.get(address(batch, "cut")))
    cook.post(address(batch, "cut"), widths_typed(batch, "3.1", "3.2"))
    typed = widths_typed(batch, "2.9") | {"basis": stale}
    page = cook.post(address(batch, "cut"), typed)
    text = page.content.decode()
    assert "This page is older than what is saved" in text
    assert f"strand {chosen(batch)[0]}: saved 3.1 mm, you typed 2.9" in text
    assert 'value="2.9"' in text
    assert list(values(batch, "width").values()) == [3.1, 3.2]
    typed = widths_typed(batch, "2.9", "3.2") | {"basis": basis(page)}
    assert cook.post(address(batch, "cut"), typed).status_code == 302
    assert list(values(batch, "width").values()) == [2.9, 3.2]


def test_saved_readings_are_not_emptied(cook, batch):
    cook.post(address(batch, "cut"), widths_typed(batch, "3.1", "3.2"))
    fresh = basis(cook.get(address(batch, "cut")))
    page = cook.post(address(batch, "cut"), widths_typed(batch, "", "") | {"basis": fresh})
    assert "Readings on record are not taken away" in page.content.decode()
    assert list(values(batch, "width").values()) == [3.1, 3.2]


# A batch that ended elsewhere


def test_a_batch_given_up_elsewhere_shows_what_was_typed(cook, batch):
    abandon_batch(batch, by=batch.cook)
    page = cook.post(address(batch, "cut"), widths_typed(batch, "3.27"))
    text = page.content.decode()
    assert "This batch was given up. Open a new one." in text
    assert 'value="3.27"' in text
    assert not batch.reading_sets.exists()


def finished(house, **fields):
    return factories.finished_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, **fields
    )


def places(batch):
    return {f"width_{place}": "3.2" for place in values(batch, "width")}


def test_nothing_is_changed_unasked_in_a_finished_batch(cook, house):
    batch = finished(house)
    typed = places(batch) | {"action": "keep", "width_1": "3.3"}
    assert not cook.post(address(batch, "cut"), typed, **JSON).json()["saved"]
    assert values(batch, "width")[1] == 3.1


def test_a_reading_changed_after_the_score_is_warned_first(cook, house):
    batch = finished(house)
    see_score(batch)
    typed = places(batch) | {"basis": basis(cook.get(address(batch, "cut")))}
    page = cook.post(address(batch, "cut"), typed)
    text = page.content.decode()
    assert "this part of the batch then earns nothing" in text
    assert "The score of this batch has been seen" in text
    assert current(batch, "width").revision == 1
    answer = cook.post(address(batch, "cut"), typed | {"confirm": "on"})
    assert answer["Location"] == reverse("assessments:batch", args=[batch.pk])
    batch.score.refresh_from_db()
    assert batch.score.width_not_counted == "changed"


def test_saving_a_finished_stage_unchanged_needs_no_tick(cook, house):
    batch = finished(house)
    see_score(batch)
    page = cook.get(address(batch, "cut"))
    typed = {name: page.context["form"][name].value() for name in places(batch)}
    assert cook.post(address(batch, "cut"), typed | {"basis": basis(page)}).status_code == 302
    assert current(batch, "width").revision == 1


# The end


def test_a_batch_is_finished_once_however_often_it_is_sent(cook, batch):
    record_readings(batch, "width", [3.2] * 20, by=batch.cook)
    url = reverse("assessments:finish_batch", args=[batch.pk])
    result = reverse("assessments:result", args=[batch.pk])
    assert cook.post(url)["Location"] == result
    assert cook.post(url)["Location"] == result
    batch.refresh_from_db()
    assert batch.state == "finished"


@pytest.mark.parametrize(
    ("given_up", "message"), [(False, "Measure the sheet or the strands"), (True, "was given up")]
)
def test_a_batch_that_cannot_be_finished_says_why(cook, batch, given_up, message):
    if given_up:
        abandon_batch(batch, by=batch.cook)
    page = cook.post(reverse("assessments:finish_batch", args=[batch.pk]), follow=True)
    assert message in page.content.decode()


def test_giving_up_says_what_it_costs_and_asks(cook, batch):
    url = reverse("assessments:give_up_batch", args=[batch.pk])
    assert "It costs 20 points on every part" in cook.get(url).content.decode()
    batch.refresh_from_db()
    assert batch.is_open
    cook.post(url)
    batch.refresh_from_db()
    assert batch.state == "abandoned"
    assert cook.get(url).status_code == 302


def test_a_finished_batch_is_not_given_up(cook, house):
    batch = finished(house)
    page = cook.post(reverse("assessments:give_up_batch", args=[batch.pk]), follow=True)
    assert "can no longer be given up" in page.content.decode()


@pytest.mark.parametrize("name", ["finish_batch", "timer"])
def test_links_do_not_change_anything(cook, batch, name):
    arguments = [batch.pk] if name == "finish_batch" else [batch.pk, 1]
    assert cook.get(reverse(f"assessments:{name}", args=arguments)).status_code == 405


def test_the_overview_leads_to_the_next_stage(cook, batch):
    page = cook.get(reverse("assessments:batch", args=[batch.pk]))
    assert page.context["log"].following.stage.kind == "weigh"
    assert not page.context["log"].can_finish
    cook.post(address(batch, "weigh"), {"flour": "1043", "water": "480", "salt": "52"})
    cook.post(address(batch, "cut"), widths_typed(batch, *["3.2"] * 20))
    log = cook.get(reverse("assessments:batch", args=[batch.pk])).context["log"]
    assert log.following.stage.kind == "mix"
    assert log.can_finish
    assert [part.text for part in log.measured] == [
        "20 of 20 strands",
        "Nothing measured yet.",
        "weighed",
    ]


# Lists and costs


def test_the_list_shows_no_score_before_the_result_was_seen(cook, house):
    """A score seen in the list, and not noted as seen, would let readings be changed for points."""
    batch = finished(house)
    url = reverse("assessments:batches")
    assert "of 100" not in cook.get(url).content.decode()
    see_score(batch)
    assert "of 100" in cook.get(url).content.decode()


def test_the_list_is_in_pages(cook, house, batch):
    for day in range(20):
        factories.BatchFactory(
            cook=house.cook,
            branch=house.branch,
            standard=house.standard,
            made_on=factories.days_ago(day + 1),
        )
    first = cook.get(reverse("assessments:batches"))
    assert first.context["page"].object_list[0] == batch
    assert len(first.context["page"]) == 20
    assert len(cook.get(reverse("assessments:batches"), {"page": 2}).context["page"]) == 1


@pytest.mark.parametrize("rows", [1, 10])
def test_the_list_costs_the_same_for_many(cook, house, rows, django_assert_num_queries):
    for _row in range(rows):
        finished(house)
    with django_assert_num_queries(5):
        cook.get(reverse("assessments:batches"))


@pytest.mark.parametrize("kind", ["weigh", "mix", "tread", "rest", "roll", "cut", "boil", "cool"])
def test_a_stage_costs_few_queries(cook, house, kind, django_assert_max_num_queries):
    for _row in range(10):
        factories.InstrumentFactory()
    batch = finished(house)
    with django_assert_max_num_queries(MOST_QUERIES):
        assert cook.get(address(batch, kind)).status_code == 200


@pytest.mark.parametrize("name", ["batch", "give_up_batch"])
def test_a_batch_costs_few_queries(cook, batch, name, django_assert_max_num_queries):
    with django_assert_max_num_queries(MOST_QUERIES):
        assert cook.get(reverse(f"assessments:{name}", args=[batch.pk])).status_code == 200


def test_a_new_batch_costs_few_queries(cook, batch, django_assert_max_num_queries):
    with django_assert_max_num_queries(MOST_QUERIES):
        cook.get(reverse("assessments:new_batch"))


def test_asking_for_the_head_of_a_page_changes_nothing(cook, batch):
    """A link that is looked at beforehand, by a browser or a proxy, is no decision."""
    assert cook.head(address(batch, "weigh")).status_code == 200
    assert cook.head(reverse("assessments:give_up_batch", args=[batch.pk])).status_code == 200
    assert batch.stages.get(kind="weigh").done_at is None
    assert Batch.objects.get(pk=batch.pk).is_open
