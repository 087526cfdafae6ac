"""Over HTTP: observe, sign, read the record, withdraw."""

import re
import uuid
from datetime import timedelta

import pytest
from django.db import connection, models
from django.urls import reverse
from django.utils import timezone
from wagtail.models import Locale

from assessments.actions import sign_off as actions
from assessments.calculations.freezing import fingerprint
from assessments.models import Event, Observation, Practice, SignOff, Withdrawal
from tests import factories
from tests.addresses import write_module

pytestmark = pytest.mark.django_db

MEASURED_ONLY = "measured,observations"


@pytest.fixture
def paths(house):
    """Return the addresses of the practice of ``house.cook``."""
    return {
        name: reverse(f"assessments:{name}", args=[house.practice.pk])
        for name in ("observe", "sign_off")
    }


@pytest.fixture
def chef(client, house):
    client.force_login(house.chef)
    return client


def seen(**change):
    given = {
        "request_key": str(uuid.uuid4()),
        "handling": "2",
        "bench_order": "",
        "hygiene": "2",
        "knife_safety": "1",
        "observed_on": timezone.localdate().isoformat(),
        "note": "Board clear.",
    }
    return given | change


def signing(**change):
    given = {
        "request_key": str(uuid.uuid4()),
        "seen_missing": "",
        "override_reason": "",
        "password": factories.PASSWORD,
    }
    return given | change


def overriding(**change):
    return signing(seen_missing=MEASURED_ONLY, override_reason="Trial week.", **change)


def signed(house):
    return actions.write_sign_off(
        house.practice,
        by=house.chef,
        request_key=uuid.uuid4(),
        seen_missing=MEASURED_ONLY.split(","),
        override_reason="Trial week.",
    )


def record_path(decision):
    return reverse("assessments:sign_off_record", args=[decision.pk])


def withdraw_path(decision):
    return reverse("assessments:withdraw", args=[decision.pk])


def errors_at(answer, field):
    return answer.context["form"].errors.get(field, [])


# Observations


def test_an_observation_is_recorded(chef, house, paths):
    answer = chef.post(paths["observe"], seen())
    assert answer["Location"] == reverse(
        "assessments:evidence", args=[house.cook.pk, house.style.slug]
    )
    observation = Observation.objects.get()
    assert (observation.cook, observation.observer) == (house.cook, house.chef)
    assert (observation.handling, observation.bench_order) == (2, None)
    assert (observation.hygiene, observation.knife_safety) == (2, 1)


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"hygiene": ""}, "hygiene", "Look at this too"),
        ({"knife_safety": ""}, "knife_safety", "Look at this too"),
        ({"handling": "7"}, "handling", "7 is not one of the available choices"),
        ({"observed_on": "yesterday"}, "observed_on", "Enter a valid date"),
        ({"observed_on": ""}, "observed_on", "required"),
        ({"observed_on": "2999-01-01"}, "observed_on", "still to come"),
        ({"observed_on": "2001-01-01"}, "observed_on", "30 days ago"),
        ({"note": "x" * 2001}, "note", "at most 2000"),
        ({"request_key": "x"}, "request_key", "valid UUID"),
        ({"batch": "999999"}, "batch", "valid choice"),
    ],
)
def test_a_faulty_observation_is_answered_at_its_field(chef, paths, change, field, words):
    answer = chef.post(paths["observe"], seen(**change))
    assert words in " ".join(errors_at(answer, field))
    assert answer.context["form"]["note"].value() == seen(**change)["note"]
    assert not Observation.objects.exists()


def test_the_form_offers_not_seen_where_it_may_be_so(chef, paths):
    form = chef.get(paths["observe"]).context["form"]
    assert ("", "not seen") in form.fields["bench_order"].choices
    assert ("", "not seen") not in form.fields["hygiene"].choices


def test_how_far_back_it_may_lie_is_said_in_the_readers_language(chef, paths):
    for code, words in (("en", "Today or one of the last 30 days."), ("ja", "今日か、過去30日")):
        assert words in chef.get(paths["observe"], headers={"Accept-Language": code}).text


def test_sent_twice_an_observation_is_recorded_once(chef, paths):
    data = seen()
    for _time in range(2):
        assert chef.post(paths["observe"], data).status_code == 302
    assert Observation.objects.count() == 1


def test_an_observation_may_belong_to_a_batch_of_this_cook_alone(chef, house, paths):
    own = factories.counted_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    other = factories.counted_batch(
        cook=house.other_cook, branch=house.branch, standard=house.standard
    )
    assert str(own.pk) in chef.get(f"{paths['observe']}?batch={own.pk}").content.decode()
    chef.post(paths["observe"], seen(batch=other.pk))
    assert not Observation.objects.exists()
    chef.post(paths["observe"], seen(batch=own.pk))
    assert Observation.objects.get().batch == own


@pytest.mark.parametrize("name", ["observe", "sign_off"])
def test_an_ended_practice_and_a_cook_who_left_are_not_found(chef, house, paths, name):
    Practice.objects.filter(pk=house.practice.pk).update(ended_on=timezone.localdate())
    assert chef.get(paths[name]).status_code == 404
    Practice.objects.filter(pk=house.practice.pk).update(ended_on=None)
    house.cook.is_active = False
    house.cook.save()
    assert chef.get(paths[name]).status_code == 404


# Signing


def test_with_the_full_evidence_there_is_no_field_for_a_reason(chef, house, paths):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard)
    page = chef.get(paths["sign_off"])
    assert "override_reason" not in page.context["form"].fields
    assert "Nothing that the house demands is missing" in page.content.decode()
    answer = chef.post(paths["sign_off"], signing())
    decision = SignOff.objects.get()
    assert answer["Location"] == record_path(decision)
    assert not decision.is_override


def test_what_is_missing_is_listed_with_what_to_do(chef, house, paths):
    write_module(house.cutting)
    page = chef.get(paths["sign_off"]).content.decode()
    for words in (
        "Still missing",
        "No batch is counted yet.",
        "Modules to read and answer: Folding.",
        "0 of 2 observations with hygiene and safety met. A head chef watches at the bench",
        "Sign without the full evidence",
    ):
        assert words in page, words


def test_an_old_observation_is_named_with_its_age(chef, house, paths):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard, latest=20)
    page = chef.get(paths["sign_off"]).content.decode()
    assert "is 20 days old. It must be from the last 14 days" in page


def test_a_last_observation_that_failed_on_safety_stands_first(chef, house, paths):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard)
    assert "Look at this first." not in chef.get(paths["sign_off"]).content.decode()
    factories.ObservationFactory(practice=house.practice, observer=house.chef, knife_safety=0)
    assert "Look at this first." in chef.get(paths["sign_off"]).content.decode()


def test_without_the_full_evidence_a_reason_signs(chef, paths):
    chef.post(paths["sign_off"], overriding())
    decision = SignOff.objects.get()
    assert (decision.is_override, decision.override_reason) == (True, "Trial week.")


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"password": ""}, "password", "required"),
        ({"password": "something else"}, "password", "not your password"),
        ({"override_reason": " "}, "override_reason", "Evidence is missing"),
        ({"seen_missing": "measured"}, "__all__", "has changed since you opened the page"),
        ({"seen_missing": ""}, "__all__", "has changed since you opened the page"),
        ({"request_key": ""}, "request_key", "required"),
    ],
)
def test_a_faulty_sign_off_is_answered_at_its_field(chef, paths, change, field, words):
    answer = chef.post(paths["sign_off"], overriding() | change)
    assert words in " ".join(errors_at(answer, field))
    assert not SignOff.objects.exists()


def test_after_a_change_the_page_shows_it_and_the_next_try_rests_on_it(chef, house, paths):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard)
    chef.get(paths["sign_off"])
    write_module(house.cutting)
    answer = chef.post(paths["sign_off"], signing())
    page = answer.content.decode()
    assert "has changed since you opened the page" in page
    assert "Modules to read and answer: Folding." in page
    assert re.search(r'name="seen_missing" value="modules"', page)
    # The reason can be given now.
    assert 'name="override_reason"' in chef.get(paths["sign_off"]).content.decode()


def test_five_wrong_passwords_close_the_form(chef, paths):
    for _try in range(actions.WRONG_PASSWORDS):
        chef.post(paths["sign_off"], overriding(password="something else"))
    answer = chef.post(paths["sign_off"], overriding())
    assert "Too many wrong passwords" in " ".join(errors_at(answer, "password"))
    assert not SignOff.objects.exists()
    assert Event.objects.filter(verb=Event.Verb.SIGN_OFF_REFUSED).count() == 5


def test_a_password_is_never_sent_back(chef, paths):
    page = chef.post(paths["sign_off"], overriding(password="something else")).content.decode()
    assert "something else" not in page


def test_sent_twice_it_is_signed_once(chef, paths):
    data = overriding()
    first, second = (chef.post(paths["sign_off"], data) for _time in range(2))
    assert first["Location"] == second["Location"]
    assert SignOff.objects.count() == 1


def test_a_second_head_chef_finds_it_signed(client, house, paths):
    decision = signed(house)
    client.force_login(factories.head_chef(house.branch))
    page = client.get(paths["sign_off"]).content.decode()
    assert "There is nothing to sign." in page
    assert record_path(decision) in page
    assert "signed off already" in client.post(paths["sign_off"], overriding()).content.decode()


def test_without_a_standard_in_force_it_is_said(chef, house):
    late = factories.StandardFactory(in_force_from=timezone.localdate() + timedelta(days=9))
    practice = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=late.style, station=house.cutting
    )
    path = reverse("assessments:sign_off", args=[practice.pk])
    assert "No house standard is in force." in chef.get(path).content.decode()
    answer = chef.post(path, overriding())
    assert "No house standard of" in answer.content.decode()
    assert not SignOff.objects.exists()


# The record


def test_the_record_shows_the_evidence_as_it_stood(chef, house):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard)
    decision = actions.write_sign_off(house.practice, by=house.chef, request_key=uuid.uuid4())
    house.cook.first_name = "Renamed"
    house.cook.save()
    page = chef.get(record_path(decision)).content.decode()
    for words in (
        "Person",
        "decided that Cook Test may make thick wheat for guests alone. Station: cutting.",
        "at least about 96 of 100 over the last five batches, weakest part width",
        "+20.0",
        "version 1",
        decision.evidence_sha256,
        "Unchanged since it was signed",
        "It is no food-safety certificate",
        "0.95",
        "0.1.0",
    ):
        assert words in page, words
    assert "without the full evidence" not in page.lower()


def test_the_record_names_modules_in_the_readers_language_else_as_signed(chef, house):
    page = write_module(house.cutting)
    decision = actions.write_sign_off(
        house.practice,
        by=house.chef,
        request_key=uuid.uuid4(),
        seen_missing=["modules", *MEASURED_ONLY.split(",")],
        override_reason="Trial week.",
    )
    page.title = "Renamed"
    page.save_revision().publish()

    def titles(code):
        shown = chef.get(record_path(decision), headers={"Accept-Language": code})
        return [module.title for module in shown.context["page"].modules]

    assert titles("es") == titles("en") == ["Folding"]
    spanish = page.copy_for_translation(
        Locale.objects.get_or_create(language_code="es")[0], copy_parents=True
    )
    spanish.title = "Plegar"
    spanish.save_revision().publish()
    assert titles("es") == ["Plegar"]
    assert titles("en") == ["Folding"]


def test_an_override_stays_visible_on_its_record(chef, house):
    page = chef.get(record_path(signed(house))).content.decode()
    assert "Signed without the full evidence" in page
    assert "Trial week." in page
    assert "measured evidence of width, thickness and water" in page


def tamper(decision, **change):
    """Change a sign-off as somebody could who holds the database itself."""
    trigger = "keep_assessments_signoff"
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute(f"ALTER TABLE assessments_signoff DISABLE TRIGGER {trigger}")
        else:
            cursor.execute(f"DROP TRIGGER {trigger}")
    models.QuerySet(SignOff).filter(pk=decision.pk).update(**change)


def test_a_record_that_was_tampered_with_says_so(chef, house):
    decision = signed(house)
    tamper(decision, evidence=decision.evidence | {"score": 100.0})
    page = chef.get(record_path(decision)).content.decode()
    assert "Changed since it was signed" in page
    assert "Unchanged since it was signed" not in page


def test_evidence_and_fingerprint_changed_together_are_found_by_the_log(chef, house):
    decision = signed(house)
    evidence = decision.evidence | {"score": 100.0}
    tamper(decision, evidence=evidence, evidence_sha256=fingerprint(evidence))
    assert "Changed since it was signed" in chef.get(record_path(decision)).content.decode()


# Withdrawal


def test_a_withdrawal_is_recorded_and_shown(chef, house):
    decision = signed(house)
    answer = chef.post(
        withdraw_path(decision), {"reason": "Uneven sheets.", "password": factories.PASSWORD}
    )
    assert answer["Location"] == record_path(decision)
    assert Withdrawal.objects.get().reason == "Uneven sheets."
    page = chef.get(record_path(decision)).content.decode()
    assert "Withdrawn." in page
    assert "Uneven sheets." in page
    assert withdraw_path(decision) not in page


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"reason": ""}, "reason", "Say why"),
        ({"reason": "   "}, "reason", "Say why"),
        ({"password": ""}, "password", "required"),
        ({"password": "something else"}, "password", "not your password"),
    ],
)
def test_a_faulty_withdrawal_is_answered_at_its_field(chef, house, change, field, words):
    sent = {"reason": "Uneven sheets.", "password": factories.PASSWORD} | change
    answer = chef.post(withdraw_path(signed(house)), sent)
    assert words in " ".join(errors_at(answer, field))
    assert not Withdrawal.objects.exists()


def test_withdrawn_by_somebody_else_in_the_meantime(chef, house):
    decision = signed(house)
    actions.write_withdrawal(decision, by=house.chef, reason="Uneven sheets.")
    assert "There is nothing to withdraw." in chef.get(withdraw_path(decision)).content.decode()
    sent = {"reason": "Again.", "password": factories.PASSWORD}
    assert "no longer holds" in chef.post(withdraw_path(decision), sent).content.decode()


@pytest.mark.parametrize(("viewer", "offered"), [("chef", True), ("cook", False), ("owner", False)])
def test_only_a_head_chef_of_the_branch_may_withdraw(client, house, viewer, offered):
    decision = signed(house)
    client.force_login(getattr(house, viewer))
    page = client.get(record_path(decision)).content.decode()
    assert (withdraw_path(decision) in page) is offered


@pytest.mark.parametrize("name", ["sign_off", "withdraw"])
def test_pages_that_ask_for_a_password_are_not_kept_by_the_browser(chef, house, paths, name):
    path = paths[name] if name in paths else withdraw_path(signed(house))
    assert "no-store" in chef.get(path)["Cache-Control"]
