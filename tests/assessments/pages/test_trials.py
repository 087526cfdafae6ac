"""Trust the tool: from the first page of a trial to its verdict."""

import json
import re
import uuid
from unittest import mock

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from assessments.actions.trials import read_caliper
from assessments.models import Event, Photograph, Trial
from tests import factories
from tests.addresses import compared

WIDTHS_MM = factories.GOOD_WIDTHS_MM
SCRIPT = "<script>alert(1)</script>"


def path(name, *args):
    return reverse(f"assessments:{name}", args=args)


@pytest.fixture
def chef(client, house):
    client.force_login(house.chef)
    return client


@pytest.fixture
def trial(house):
    return factories.TrialFactory(
        name="New phone", branch=house.branch, standard=house.standard, made_by=house.chef
    )


def typed_trial(house, **fields):
    return {
        "kind": "compare",
        "standard": house.standard.pk,
        "strands": "20",
        "thickness_mm": "2,8",
        "name": "New phone",
        "branch": house.branch.pk,
        "note": "Window light.",
        "client_key": str(uuid.uuid4()),
        **fields,
    }


def readings(widths_mm=WIDTHS_MM, **fields):
    return {f"width_{n}": str(width) for n, width in enumerate(widths_mm, start=1)} | fields


def picture(name="strands.jpg", data=None):
    return SimpleUploadedFile(name, data or factories.photo_bytes(), "image/jpeg")


def send(client, trial, *files, widths_mm=WIDTHS_MM, callbacks=None, **fields):
    """Send photos that show these widths."""
    fields = {
        "action": "photos",
        "photos": files or [picture()],
        "taken_by": trial.made_by_id,
        "bar_mm": "",
        "client_key": str(uuid.uuid4()),
        **fields,
    }
    measured = factories.photo_reading(widths_mm)
    with (
        mock.patch(
            "assessments.calculations.measuring.measure.measure_strands", return_value=measured
        ),
        callbacks(execute=True),
    ):
        return client.post(path("trial", trial.pk), fields)


@pytest.fixture
def sent(chef, django_capture_on_commit_callbacks):
    def act(trial, *files, **options):
        return send(chef, trial, *files, callbacks=django_capture_on_commit_callbacks, **options)

    return act


# --- The whole way ---


def test_from_an_empty_list_to_a_verdict(chef, house, sent):
    caliper = factories.InstrumentFactory(name="bench caliper")
    assert "No trial yet" in chef.get(path("trials")).text
    response = chef.post(path("new_trial"), typed_trial(house))
    trial = Trial.objects.get()
    assert response["Location"] == path("trial", trial.pk)
    assert (str(trial.thickness_mm), trial.made_by, trial.strands) == ("2.80", house.chef, 20)
    page = chef.get(response["Location"]).text
    assert "No photo is measured yet." in page
    assert "Close the trial" not in page

    for number in (1, 2):
        address = path("trial_caliper", trial.pk, number)
        assert chef.get(address).status_code == 200
        response = chef.post(address, readings(caliper=caliper.pk))
        assert response["Location"] == path("trial", trial.pk)
    response = sent(
        trial, widths_mm=[width + 0.005 * (-1) ** n for n, width in enumerate(WIDTHS_MM)]
    )
    assert response["Location"] == path("trial", trial.pk)

    page = chef.get(path("trial", trial.pk))
    assert page.context["page"].verdict.grade == "good"
    assert "Good for thick wheat: the photo scatters by 0.020 mm" in page.text
    assert "Photo less caliper, strand by strand" in page.text
    assert "Enter this repeatability for “bench caliper”" in page.text

    chef.post(path("trial", trial.pk), {"action": "take_over"})
    caliper.refresh_from_db()
    assert caliper.repeatability_mm == 0
    chef.post(path("trial", trial.pk), {"action": "close"})
    trial.refresh_from_db()
    assert trial.grade == "good"
    assert "Good" in chef.get(path("trials")).text
    closed = chef.get(path("trial", trial.pk)).text
    assert "Add photos" not in closed
    assert "Discard" not in closed


def test_several_people_repeat_one_layout(chef, house, sent):
    chef.post(path("new_trial"), typed_trial(house, kind="repeat", thickness_mm=""))
    trial = Trial.objects.get()
    page = chef.get(path("trial", trial.pk)).text
    assert "Caliper</h2>" not in page
    sent(trial, picture("a.jpg"), picture("b.jpg"))
    sent(trial, picture("c.jpg"), taken_by=house.cook.pk)
    page = chef.get(path("trial", trial.pk)).text
    assert f"{house.cook} took one photo." in page
    wider = [width + 0.04 for width in WIDTHS_MM]
    sent(trial, picture("d.jpg"), taken_by=house.cook.pk, widths_mm=wider)
    page = chef.get(path("trial", trial.pk))
    assert page.context["page"].result.photos == ((1, 2), (3, 4))
    assert "Where the variation comes from" in page.text
    assert "Each photo against the mean of all photos" in page.text


# --- Opening ---


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("kind", "guess"),
        ("kind", ""),
        ("standard", ""),
        ("standard", "987654"),
        ("strands", ""),
        ("strands", "1"),
        ("strands", "101"),
        ("strands", "twenty"),
        ("thickness_mm", "thick"),
        ("thickness_mm", "0"),
        ("thickness_mm", "3 cm"),
        ("name", ""),
        ("name", "x" * 61),
        ("note", "x" * 2001),
        ("branch", "987654"),
        ("client_key", "x"),
    ],
)
def test_a_trial_that_cannot_be_is_answered_at_its_field(chef, house, field, typed):
    sent = typed_trial(house, **{"note": f"By the window {SCRIPT}", field: typed})
    response = chef.post(path("new_trial"), sent)
    assert response.status_code == 200
    assert response.context["form"].errors[field]
    assert SCRIPT not in response.text
    assert field == "note" or "By the window" in response.text
    assert not Trial.objects.exists()


def test_a_form_sent_twice_opens_one_trial(chef, house):
    typed = typed_trial(house)
    first, second = (chef.post(path("new_trial"), typed) for _time in range(2))
    assert first["Location"] == second["Location"]
    assert Trial.objects.count() == 1


def test_a_head_chef_opens_none_for_another_branch(chef, house):
    response = chef.post(path("new_trial"), typed_trial(house, branch=house.other_branch.pk))
    assert response.context["form"].errors["branch"]


def test_an_owner_chooses_the_branch(client, house):
    client.force_login(house.owner)
    assert house.other_branch.name in client.get(path("new_trial")).text
    client.post(path("new_trial"), typed_trial(house, branch=house.other_branch.pk))
    assert Trial.objects.get().branch == house.other_branch


def test_without_a_standard_there_is_nothing_to_hold_it_against(client, db):
    client.force_login(factories.head_chef(factories.BranchFactory()))
    assert "No house standard is in force yet" in client.get(path("new_trial")).text


# --- Caliper ---


@pytest.mark.parametrize("typed", ["abc", "-3", "3 cm", "31", "0.31", "3.1.2", SCRIPT[:20]])
def test_a_width_that_cannot_be_is_answered_at_its_field(chef, trial, typed):
    response = chef.post(path("trial_caliper", trial.pk, 1), readings(width_7=typed))
    assert response.status_code == 200
    assert list(response.context["form"].errors) == ["width_7"]
    assert "Not saved yet" in response.text
    # Nothing typed is lost.
    assert response.context["form"]["width_8"].value() == str(WIDTHS_MM[7])
    trial.refresh_from_db()
    assert not trial.first_mm.size


def test_an_empty_reading_is_refused(chef, trial):
    response = chef.post(path("trial_caliper", trial.pk, 1), {})
    assert "Type at least one width." in response.text


def test_the_second_reading_is_typed_without_the_first_in_view(chef, house, trial):
    read_caliper(trial, 1, [3.21, *WIDTHS_MM[1:]], caliper=None, by=house.chef)
    assert "3.21" in chef.get(path("trial_caliper", trial.pk, 1)).text
    assert "3.21" not in chef.get(path("trial_caliper", trial.pk, 2)).text


def test_the_page_itself_is_answered_in_json(chef, trial):
    address = path("trial_caliper", trial.pk, 1)
    accept = {"accept": "application/json"}
    bad = json.loads(chef.post(address, readings(width_7="x"), headers=accept).content)
    assert bad["saved"] is False
    assert bad["errors"]["width_7"][0]["message"].startswith("“x” is not a number.")
    good = json.loads(chef.post(address, readings(), headers=accept).content)
    assert good == {"saved": True, "errors": {}, "next": path("trial", trial.pk)}


@pytest.mark.parametrize("number", [0, 3])
def test_there_are_two_readings(chef, trial, number):
    assert chef.get(path("trial_caliper", trial.pk, number)).status_code == 404


def test_repeats_have_no_caliper(chef, house):
    trial = factories.TrialFactory(kind="repeat", branch=house.branch, standard=house.standard)
    assert chef.get(path("trial_caliper", trial.pk, 1)).status_code == 404


# --- Photos ---


def test_a_file_that_is_no_picture_is_named(chef, trial, sent):
    response = sent(trial, picture("good.jpg"), picture("recipe.pdf", b"%PDF-1.7 not a picture"))
    assert response.status_code == 422
    [message] = response.context["form"].errors["photos"]
    assert message.startswith("recipe.pdf: This file is not a picture.")
    # The good one is kept all the same.
    assert trial.photographs.count() == 1
    assert "1 photo is kept." in response.text


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"photos": []}, "photos"),
        ({"photos": [picture(f"{n}.jpg") for n in range(11)]}, "photos"),
        ({"bar_mm": "wide"}, "bar_mm"),
        ({"bar_mm": "50"}, "bar_mm"),
        ({"taken_by": "987654"}, "taken_by"),
        ({"client_key": "x"}, "client_key"),
    ],
)
def test_photos_that_are_refused_as_a_whole(chef, trial, sent, fields, field):
    response = sent(trial, **fields)
    assert response.status_code == 422
    assert response.context["form"].errors[field]
    assert not Photograph.objects.exists()


def test_only_people_of_the_branch_take_photos(chef, house, trial, sent):
    response = sent(trial, taken_by=house.other_cook.pk)
    assert response.context["form"].errors["taken_by"]
    sent(trial, taken_by=house.cook.pk, bar_mm="99,5")
    photograph = trial.photographs.get()
    assert (photograph.taken_by, photograph.bar_mm) == (house.cook, 99.5)


def test_photos_sent_twice_are_kept_once(chef, trial, sent):
    key = str(uuid.uuid4())
    for _time in range(2):
        sent(trial, picture("a.jpg"), picture("b.jpg"), client_key=key)
    assert trial.photographs.count() == 2


def test_a_refused_photo_says_why_on_the_trials_page(chef, trial):
    photograph = factories.tried(trial)
    Photograph.objects.filter(pk=photograph.pk).update(
        state="refused", result=None, reason="no_card"
    )
    page = chef.get(path("trial", trial.pk)).text
    assert "No measuring card was found." in page
    assert path("photograph", photograph.pk) in page


def test_a_photo_on_its_way_can_be_looked_for_again(chef, trial):
    photograph = factories.tried(trial)
    Photograph.objects.filter(pk=photograph.pk).update(state="waiting", result=None)
    assert "Look again" in chef.get(path("trial", trial.pk)).text


# --- Commands ---


@pytest.mark.parametrize(
    ("action", "said"),
    [
        ("close", "There is no result yet."),
        ("take_over", "read 20 strands or more twice"),
    ],
)
def test_a_command_that_is_refused_says_why(chef, trial, action, said):
    response = chef.post(path("trial", trial.pk), {"action": action}, follow=True)
    assert said in response.text
    assert Trial.objects.get().is_open


def test_a_trial_is_discarded(chef, trial):
    response = chef.post(path("trial", trial.pk), {"action": "discard"}, follow=True)
    assert response.redirect_chain[-1][0] == path("trials")
    assert "The trial is discarded, with its photos." in response.text
    assert not Trial.objects.exists()


@pytest.mark.parametrize("action", ["photos", "close", "discard", "nonsense", ""])
def test_a_closed_trial_is_not_changed(chef, house, action, sent):
    trial = compared(house)
    before = Event.objects.count()
    response = sent(trial, action=action)
    assert response.status_code == 302
    assert "This trial is closed" in chef.get(path("trial", trial.pk)).text
    assert (Event.objects.count(), trial.photographs.count()) == (before, 1)
    assert chef.get(path("trial_caliper", trial.pk, 1)).status_code == 302
    late = chef.post(path("trial_caliper", trial.pk, 1), readings())
    assert "This trial is closed" in late.text


# --- Who sees what ---


def test_a_cook_reads_the_closed_trials_of_the_branch(client, house, trial):
    closed = compared(house)
    client.force_login(house.cook)
    listed = client.get(path("trials"))
    assert closed.name in listed.text
    assert trial.name not in listed.text
    assert path("new_trial") not in listed.text
    page = client.get(path("trial", closed.pk)).text
    assert "Good for thick wheat once corrected" in page
    assert "<form" not in page.split("<main")[1].split("</main")[0]
    assert client.get(path("trial", trial.pk)).status_code == 403


@pytest.mark.parametrize(("who", "is_led"), [("cook", True), ("chef", True), ("editor", False)])
def test_the_card_leads_to_the_trials_whom_they_let_in(client, house, who, is_led):
    client.force_login(getattr(house, who))
    assert (path("trials") in client.get(path("card")).text) is is_led


@pytest.mark.parametrize("who", ["chef", "owner"])
def test_the_day_leads_to_the_trials(client, house, who):
    client.force_login(getattr(house, who))
    assert path("trials") in client.get(path("today")).text


@pytest.mark.parametrize(
    ("page", "count"), [("1", 20), ("2", 1), ("0", 1), ("x", 20), ("-1", 1), ("9" * 40, 1)]
)
def test_pages_of_the_list(chef, house, page, count):
    for _n in range(21):
        factories.TrialFactory(branch=house.branch, standard=house.standard)
    response = chef.get(path("trials"), {"page": page})
    assert len(re.findall(r'href="/trials/\d+/"', response.text)) == count
