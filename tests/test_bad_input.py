"""Whatever is typed: an answer at its field, and nothing that was typed is lost.

Each form and command with empty, negative, huge, wordy and wrongly united input, sent twice, and
sent from a page that the record has left behind.
"""

import uuid

import pytest
from django.urls import reverse
from django.utils.html import escape

from assessments.models import Batch, Event, Observation, Review, SignOff, Stage, Withdrawal
from tests import factories
from tests.addresses import QUESTION
from training.models import CheckAnswer, StepRead

SCRIPT = "<script>alert(1)</script>"
HUGE = "9" * 40
LONG = "so uneven " * 400


@pytest.fixture
def cook(client, kitchen):
    client.force_login(kitchen.cook)
    return client


@pytest.fixture
def chef(client, kitchen):
    client.force_login(kitchen.chef)
    return client


def path(name, *args):
    return reverse(f"assessments:{name}", args=args)


def filled(client, address, **typed):
    """Return what the page's form would send, with ``typed`` in some of its fields."""
    form = client.get(address).context["form"]
    values = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in {**values, **typed}.items() if value is not None}


def assert_answered(response, field, typed, *, status=200):
    """Check for a message at ``field``, tied to it, and for what was typed."""
    assert response.status_code == status
    form = response.context["form"]
    assert form.errors.get(field), form.errors
    assert all(message.endswith((".", "?")) for message in form.errors[field])
    assert escape(form.errors[field][0]) in response.text
    assert escape(typed) in response.text
    assert SCRIPT not in response.text


# --- Opening a batch ---


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("portions", ""),
        ("portions", "0"),
        ("portions", "-1"),
        ("portions", "501"),
        ("portions", "ten"),
        ("portions", "2.5"),
        ("portions", HUGE),
        ("portions", SCRIPT),
        ("room_c", "warm"),
        ("room_c", "-6"),
        ("room_c", "51"),
        ("room_c", "70 F"),
        ("room_c", "2,1,5"),
        ("room_c", SCRIPT),
        ("style", ""),
        ("style", "987654"),
        ("style", "thick"),
        ("branch", "987654"),
        ("client_key", ""),
        ("client_key", "not-a-key"),
    ],
)
def test_opening_a_batch(cook, kitchen, field, typed):
    before = Batch.objects.count()
    sent = {**filled(cook, path("new_batch")), "portions": "17", "room_c": "21,5", field: typed}
    response = cook.post(path("new_batch"), sent)
    # A choice that does not exist and a hidden key cannot be shown again.
    shown = typed if field in ("portions", "room_c") else "17"
    assert_answered(response, field, shown)
    assert Batch.objects.count() == before


def test_a_batch_opened_twice_is_one_batch(cook, kitchen):
    before = Batch.objects.count()
    sent = {**filled(cook, path("new_batch")), "portions": "17"}
    first, second = (cook.post(path("new_batch"), sent) for _time in range(2))
    assert first.status_code == second.status_code == 302
    assert first["Location"] == second["Location"]
    assert Batch.objects.count() == before + 1


def test_the_key_of_another_cooks_batch_opens_nothing_of_theirs(cook, kitchen):
    sent = {**filled(cook, path("new_batch")), "client_key": str(kitchen.chefs_batch.client_key)}
    response = cook.post(path("new_batch"), sent)
    assert_answered(response, "__all__", "10")
    assert Batch.objects.get(pk=kitchen.chefs_batch.pk).cook == kitchen.chef_who_trains


# --- Stages ---

STAGES = {
    "flour": 1,
    "water": 1,
    "salt": 1,
    "room": 2,
    "water_t": 2,
    "dough_t": 2,
    "flour_c": 2,
    "thickness_5": 5,
    "width_12": 6,
    "boil": 7,
}
UNREADABLE = ["abc", "3.2.1", "1e3", "NaN", "3²", "½", "3 furlongs", HUGE[:20], SCRIPT[:20], "-500"]


def stage_path(kitchen, field):
    return path("stage", kitchen.open_batch.pk, STAGES[field])


@pytest.mark.parametrize("field", STAGES)
def test_a_reading_that_cannot_be(cook, kitchen, field):
    address = stage_path(kitchen, field)
    sent = filled(cook, address)
    for typed in UNREADABLE:
        response = cook.post(address, {**sent, field: typed, "action": "save"})
        assert_answered(response, field, typed)
    stage = Stage.objects.get(batch=kitchen.open_batch, position=STAGES[field])
    assert stage.done_at is None
    quantity = field.rpartition("_")[0] if field[-1].isdigit() else field
    assert not kitchen.open_batch.reading_sets.filter(quantity=quantity).exists()


@pytest.mark.parametrize(
    ("field", "typed", "suggestion"),
    [("thickness_5", "31", "3.1"), ("width_12", "35", "3.5"), ("width_12", "0.32", "3.2")],
)
def test_an_implausible_reading_is_questioned_only(cook, kitchen, field, typed, suggestion):
    address = stage_path(kitchen, field)
    sent = {**filled(cook, address, **{field: typed}), "action": "save"}
    response = cook.post(address, sent)
    assert_answered(response, field, typed)
    assert f"Did you mean {suggestion}?" in response.context["form"].errors[field][0]
    response = cook.post(address, {**sent, f"keep_{field}": typed})
    assert response.status_code == 302
    readings = kitchen.open_batch.reading_sets.current().get()
    assert readings.array.tolist() == [float(typed)]


def test_one_bad_reading_does_not_lose_the_good_ones(cook, kitchen):
    address = stage_path(kitchen, "thickness_5")
    good = {f"thickness_{place}": "3,0" for place in range(1, 10) if place != 5}
    response = cook.post(
        address, {**filled(cook, address, **good, thickness_5="thick"), "action": "save"}
    )
    assert_answered(response, "thickness_5", "thick")
    assert response.text.count('value="3,0"') == 8
    assert kitchen.open_batch.reading_sets.current().get().n == 8


@pytest.mark.parametrize("field", ["flour", "thickness_5", "width_12"])
def test_a_stage_sent_twice_is_recorded_once(cook, kitchen, field):
    typed = "1000" if field == "flour" else "3.1"
    address = stage_path(kitchen, field)
    sent = {**filled(cook, address, **{field: typed}), "action": "save"}
    for _time in range(2):
        assert cook.post(address, sent).status_code == 302
    revisions = kitchen.open_batch.reading_sets.values_list("quantity", "revision")
    assert {revision for _quantity, revision in revisions} == {1}


def test_an_old_page_does_not_write_over_what_was_saved_since(cook, kitchen):
    address = stage_path(kitchen, "thickness_5")
    old = filled(cook, address, thickness_5="3.3")
    cook.post(address, {**filled(cook, address, thickness_5="2.9"), "action": "save"})
    response = cook.post(address, {**old, "action": "save"})
    assert response.status_code == 200
    assert "This page is older than what is saved" in response.text
    assert 'value="3.3"' in response.text
    assert kitchen.open_batch.reading_sets.current().get().array.tolist() == [2.9]


@pytest.mark.parametrize("typed", ["", "0", "-4", "5001", "many", "6.5", HUGE, SCRIPT])
def test_the_number_of_strands(cook, kitchen, typed):
    address = stage_path(kitchen, "width_12")
    sent = filled(cook, address, width_12="3.1") | {"strands_expected": typed, "action": "total"}
    response = cook.post(address, sent)
    assert response.status_code == 200
    assert response.context["strands_form"].errors["strands_expected"]
    assert escape(typed) in response.text
    assert 'value="3.1"' in response.text
    assert SCRIPT not in response.text


def test_more_is_pasted_than_there_are_strands(cook, kitchen):
    address = stage_path(kitchen, "width_12")
    sent = filled(cook, address, paste=" ".join(["3.1"] * 20 + ["2.8", "wide"]))
    response = cook.post(address, {**sent, "action": "paste"})
    assert response.status_code == 200
    assert response.text.count('value="3.1"') == 20
    assert "2.8\nwide" in response.text.replace("\r", "")


def test_a_note_in_the_wrong_script_is_read_all_the_same(cook, kitchen):
    """Full width digits and a decimal comma are what some keyboards type."""
    address = stage_path(kitchen, "width_12")
    sent = filled(cook, address, width_12="３，２ mm")
    assert cook.post(address, {**sent, "action": "save"}).status_code == 302
    assert kitchen.open_batch.reading_sets.current().get().array.tolist() == [3.2]


@pytest.mark.parametrize("typed", ["", "soon", "-5000", "1e9", HUGE, "\x00"])
def test_a_timer_starts_whatever_the_page_says(cook, kitchen, typed):
    address = path("timer", kitchen.open_batch.pk, 4)
    assert cook.post(address, {"pressed_ms_ago": typed}).status_code == 302
    assert Stage.objects.get(batch=kitchen.open_batch, position=4).timer_started_at is not None


def test_a_timer_pressed_twice_starts_once(cook, kitchen):
    address = path("timer", kitchen.open_batch.pk, 4)
    cook.post(address, {"pressed_ms_ago": "60000"})
    started = Stage.objects.get(batch=kitchen.open_batch, position=4).timer_started_at
    cook.post(address)
    assert Stage.objects.get(batch=kitchen.open_batch, position=4).timer_started_at == started


# --- The end of a batch ---


def events(verb, batch):
    return Event.objects.filter(verb=verb, object_type="batch", object_id=batch.pk).count()


def test_finishing_without_a_reading(cook, kitchen):
    response = cook.post(path("finish_batch", kitchen.open_batch.pk), follow=True)
    assert "Measure the sheet or the strands first" in response.text
    assert Batch.objects.get(pk=kitchen.open_batch.pk).is_open


def test_finishing_twice_counts_once(cook, kitchen):
    address = path("finish_batch", kitchen.finished_batch.pk)
    assert cook.post(address)["Location"] == path("result", kitchen.finished_batch.pk)
    assert events(Event.Verb.BATCH_FINISHED, kitchen.finished_batch) == 1


def test_a_batch_given_up_cannot_be_finished(cook, kitchen):
    response = cook.post(path("finish_batch", kitchen.abandoned_batch.pk), follow=True)
    assert "This batch was given up. Open a new one." in response.text


def test_giving_up_twice_costs_once(cook, kitchen):
    for _time in range(2):
        cook.post(path("give_up_batch", kitchen.open_batch.pk))
    assert events(Event.Verb.BATCH_ABANDONED, kitchen.open_batch) == 1


def test_a_finished_batch_cannot_be_given_up(cook, kitchen):
    response = cook.post(path("give_up_batch", kitchen.finished_batch.pk), follow=True)
    assert "It can no longer be given up." in response.text
    assert Batch.objects.get(pk=kitchen.finished_batch.pk).state == Batch.State.FINISHED


@pytest.mark.parametrize("action", ["save", "keep"])
def test_nothing_is_saved_to_a_batch_given_up_but_what_was_typed_is_shown(cook, kitchen, action):
    address = path("stage", kitchen.abandoned_batch.pk, 5)
    response = cook.post(address, {"basis": "", "thickness_5": "3.3", "action": action})
    if action == "save":
        assert 'value="3.3"' in response.text
        assert "This batch was given up" in response.text
    else:
        assert response.json()["saved"] is False
    assert not kitchen.abandoned_batch.reading_sets.exists()


def test_an_unknown_command_is_a_plain_save(cook, kitchen):
    address = stage_path(kitchen, "thickness_5")
    response = cook.post(address, {**filled(cook, address), "action": "explode"})
    assert response.status_code == 302


# --- What a head chef writes ---


@pytest.mark.parametrize(
    ("field", "sent"),
    [
        ("decision", {"note": "Wait for the next one."}),
        ("decision", {"decision": "perfect", "note": "Wait for the next one."}),
        ("decision", {"decision": "excused", "note": "Wait for the next one."}),
        ("note", {"decision": "another", "note": ""}),
        ("note", {"decision": "another", "note": "   "}),
        ("note", {"decision": "another", "note": LONG}),
        ("note", {"decision": "agreed", "note": "a\x00b"}),
    ],
)
def test_a_look_at_a_batch(chef, kitchen, field, sent):
    response = chef.post(path("review_batch", kitchen.finished_batch.pk), sent)
    assert_answered(response, field, sent["note"].strip())
    assert not Review.objects.exists()


def test_two_head_chefs_look_at_once(chef, kitchen):
    """The second learns that the first was there, and their word to the cook stays readable."""
    address = path("review_batch", kitchen.finished_batch.pk)
    assert chef.post(address, {"decision": "agreed"}).status_code == 302
    response = chef.post(address, {"decision": "another", "note": "Cut slower."})
    assert response.status_code == 200
    assert "Somebody has looked at this batch in the meantime." in response.text
    assert "Cut slower." in response.text
    assert Review.objects.get().decision == "agreed"


@pytest.mark.parametrize(
    ("field", "changed"),
    [
        ("hygiene", {"hygiene": ""}),
        ("knife_safety", {"knife_safety": ""}),
        ("knife_safety", {"knife_safety": "7"}),
        ("handling", {"handling": "-1"}),
        ("bench_order", {"bench_order": "tidy"}),
        ("observed_on", {"observed_on": ""}),
        ("observed_on", {"observed_on": "yesterday"}),
        ("observed_on", {"observed_on": "2999-01-01"}),
        ("observed_on", {"observed_on": "1999-01-01"}),
        ("note", {"note": LONG}),
        ("note", {"note": "a\x00b"}),
        ("request_key", {"request_key": "x"}),
        ("batch", {"batch": "987654"}),
    ],
)
def test_an_observation(chef, kitchen, field, changed):
    before = Observation.objects.count()
    address = path("observe", kitchen.practice.pk)
    seen = {"handling": "2", "bench_order": "2", "hygiene": "2", "knife_safety": "2"}
    seen |= {"note": f"Calm hands. {SCRIPT}", **changed}
    response = chef.post(address, filled(chef, address, **seen))
    assert_answered(response, field, seen["note"].strip())
    assert Observation.objects.count() == before


def test_an_observation_of_another_cooks_batch(chef, kitchen):
    address = path("observe", kitchen.practice.pk)
    seen = {"hygiene": "2", "knife_safety": "2", "batch": str(kitchen.chefs_batch.pk)}
    response = chef.post(address, filled(chef, address, **seen))
    assert response.context["form"].errors["batch"]


def test_an_observation_sent_twice_is_one(chef, kitchen):
    before = Observation.objects.count()
    address = path("observe", kitchen.practice.pk)
    sent = filled(chef, address, hygiene="2", knife_safety="2")
    for _time in range(2):
        assert chef.post(address, sent).status_code == 302
    assert Observation.objects.count() == before + 1


REASON = f"Years at this station. {SCRIPT}"


@pytest.mark.parametrize(
    ("field", "changed"),
    [
        ("password", {"password": ""}),
        ("password", {"password": "somebody-elses"}),
        ("password", {"password": f" {factories.PASSWORD}"}),
        ("override_reason", {"override_reason": ""}),
        ("override_reason", {"override_reason": "   "}),
        ("override_reason", {"override_reason": LONG}),
        ("override_reason", {"override_reason": "a\x00b"}),
        ("request_key", {"request_key": "x"}),
        ("__all__", {"seen_missing": ""}),
        ("__all__", {"seen_missing": "nonsense,measured"}),
    ],
)
def test_a_sign_off(chef, kitchen, field, changed):
    before = SignOff.objects.count()
    address = path("sign_off", kitchen.practice.pk)
    typed = {"password": factories.PASSWORD, "override_reason": REASON, **changed}
    response = chef.post(address, filled(chef, address, **typed))
    assert_answered(response, field, typed["override_reason"].strip())
    assert factories.PASSWORD not in response.text
    assert SignOff.objects.count() == before


def test_a_sign_off_sent_twice_is_one(chef, kitchen):
    before = SignOff.objects.count()
    address = path("sign_off", kitchen.practice.pk)
    sent = filled(chef, address, password=factories.PASSWORD, override_reason=REASON)
    first, second = (chef.post(address, sent) for _time in range(2))
    assert first["Location"] == second["Location"]
    assert SignOff.objects.count() == before + 1


def test_the_key_of_another_sign_off_signs_nothing(chef, kitchen):
    """A key from elsewhere must not turn the record of somebody else into the answer."""
    address = path("sign_off", kitchen.practice.pk)
    sent = filled(chef, address, password=factories.PASSWORD, override_reason=REASON)
    response = chef.post(address, {**sent, "request_key": str(kitchen.sign_off.request_key)})
    assert response.status_code == 200 or str(kitchen.sign_off.pk) not in response["Location"]


def test_after_five_wrong_passwords_the_right_one_waits_too(chef, kitchen):
    address = path("sign_off", kitchen.practice.pk)
    sent = filled(chef, address, override_reason=REASON)
    for _time in range(5):
        chef.post(address, {**sent, "password": "somebody-elses"})
    response = chef.post(address, {**sent, "password": factories.PASSWORD})
    assert_answered(response, "password", REASON)
    assert "Wait ten minutes" in response.text


@pytest.mark.parametrize(
    ("field", "changed"),
    [
        ("reason", {"reason": ""}),
        ("reason", {"reason": "  "}),
        ("reason", {"reason": LONG}),
        ("password", {"password": ""}),
        ("password", {"password": "somebody-elses"}),
    ],
)
def test_a_withdrawal(chef, kitchen, field, changed):
    typed = {"reason": REASON, "password": factories.PASSWORD, **changed}
    response = chef.post(path("withdraw", kitchen.sign_off.pk), typed)
    assert_answered(response, field, typed["reason"].strip())
    assert not Withdrawal.objects.exists()


def test_a_withdrawal_sent_twice(chef, kitchen):
    address = path("withdraw", kitchen.sign_off.pk)
    sent = {"reason": REASON, "password": factories.PASSWORD}
    assert chef.post(address, sent).status_code == 302
    response = chef.post(address, sent)
    assert response.status_code == 200
    assert "This sign-off no longer holds" in response.text
    assert escape(REASON) in response.text
    assert Withdrawal.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "sent"),
    [
        ("style", {"style": "", "station": "cutting"}),
        ("style", {"style": "987654", "station": "cutting"}),
        ("station", {"style": "thick", "station": ""}),
        ("station", {"style": "thick", "station": "x"}),
        ("__all__", {"style": "thick", "station": "cutting"}),
    ],
)
def test_entering_a_practice(chef, kitchen, field, sent):
    known = {"thick": kitchen.style.pk, "cutting": kitchen.cutting.pk}
    before = kitchen.cook.practices.count()
    response = chef.post(
        path("cook", kitchen.cook.pk), {name: known.get(one, one) for name, one in sent.items()}
    )
    assert response.status_code == 200
    assert response.context["form"].errors[field]
    assert kitchen.cook.practices.count() == before


@pytest.mark.parametrize("number", ["", "x", "987654", "other"])
def test_ending_a_practice_that_is_not_the_cooks(chef, kitchen, number):
    if number == "other":
        number = kitchen.chefs_practice.pk
    response = chef.post(path("cook", kitchen.cook.pk), {"practice": number})
    assert response.status_code == 200
    kitchen.chefs_practice.refresh_from_db()
    assert kitchen.chefs_practice.ended_on is None


# --- Modules ---


@pytest.mark.parametrize("choice", ["", "-1", "2", HUGE, "right", "\x00"])
def test_an_answer_that_is_none_of_the_answers(cook, kitchen, choice):
    address = reverse("answer_question", args=[kitchen.module.pk, QUESTION])
    response = cook.post(address, {"choice": choice}, follow=True)
    assert response.status_code == 200
    assert "Choose one of the answers first." in response.text
    assert not CheckAnswer.objects.exists()


def test_an_answer_to_a_question_that_is_not_there(cook, kitchen):
    address = reverse("answer_question", args=[kitchen.module.pk, uuid.uuid4()])
    assert cook.post(address, {"choice": "0"}).status_code == 404
    assert not CheckAnswer.objects.exists()


@pytest.mark.parametrize("step", ["", "x", str(uuid.UUID(int=1)), HUGE, str(QUESTION)])
def test_a_step_that_is_not_there_is_not_read(cook, kitchen, step):
    response = cook.post(reverse("read_steps", args=[kitchen.module.pk]), {"step": step})
    assert response.status_code in (200, 302)
    assert not StepRead.objects.exists()


# --- What stands in an address ---

ODD = ["abc", "-1", "0", HUGE, "", "\x00", SCRIPT]


@pytest.mark.parametrize(
    ("who", "name", "parameter"),
    [
        ("cook", "batches", "page"),
        ("chef", "waiting", "page"),
        ("chef", "cooks", "page"),
        ("chef", "cooks", "q"),
        ("chef", "cooks", "branch"),
        ("owner", "readiness", "page"),
        ("owner", "readiness", "style"),
        ("owner", "readiness", "state"),
        ("owner", "readiness", "branch"),
        ("chef", "import_readings", "cook"),
    ],
)
def test_an_address_with_odd_words_in_it(client, kitchen, who, name, parameter):
    client.force_login(getattr(kitchen, who))
    for odd in ODD:
        response = client.get(path(name), {parameter: odd})
        assert response.status_code == 200, odd
        assert SCRIPT not in response.text


@pytest.mark.parametrize("parameter", ["style", "state", "branch"])
def test_a_file_is_not_sent_for_odd_words(client, kitchen, parameter):
    """A file that silently holds everybody would be taken for the narrowed one."""
    client.force_login(kitchen.owner)
    for odd in ODD:
        response = client.get(path("readiness_csv"), {parameter: odd})
        assert response.status_code == (200 if odd == "" else 400), odd


def test_a_module_for_a_style_that_is_not_there(cook, kitchen):
    address = reverse("module", args=[kitchen.module.slug])
    for odd in [*ODD, "no-such-style"]:
        response = cook.get(address, {"style": odd, "empty": odd})
        assert response.status_code == 200, odd
        assert SCRIPT not in response.text
