"""Looks at batches, observations, sign-offs and withdrawals."""

import json
import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from assessments.actions import sign_off as actions
from assessments.calculations.freezing import fingerprint
from assessments.calculations.requirements import DEFAULT_RULE, RENEWAL_RULE, SignOffRule
from assessments.calculations.standing import State
from assessments.models import Batch, Event, Observation, Practice, Review, SignOff
from tests import factories
from tests.addresses import write_module
from training.models import HousePolicy

pytestmark = pytest.mark.django_db

MEASURED_ONLY = ["measured", "observations"]


def made(house, **fields):
    return factories.counted_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, **fields
    )


def sign(house, **fields):
    given = {
        "by": house.chef,
        "password": factories.PASSWORD,
        "request_key": uuid.uuid4(),
        "seen_missing": (),
        "override_reason": "",
    }
    return actions.sign_off(house.practice, **given | fields)


def override(house, **fields):
    return sign(house, **{"seen_missing": MEASURED_ONLY, "override_reason": "Trial week."} | fields)


def complete(house, **fields):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard, **fields)


def refusal(error):
    """Return fields and code of a ``ValidationError``."""
    fields = set(error.value.error_dict) if hasattr(error.value, "error_dict") else set()
    code = getattr(error.value, "code", None)
    return fields, code


# Looks at batches


@pytest.mark.parametrize(
    ("state", "decision", "note"),
    [
        (Batch.State.FINISHED, Review.Decision.AGREED, ""),
        (Batch.State.FINISHED, Review.Decision.AGREED, "Good."),
        (Batch.State.FINISHED, Review.Decision.ANOTHER, "Rest it longer."),
        (Batch.State.ABANDONED, Review.Decision.EXCUSED, "The gas failed."),
        (Batch.State.ABANDONED, Review.Decision.ANOTHER, "Weigh first."),
    ],
)
def test_a_look_is_recorded_with_its_event(house, state, decision, note):
    batch = made(house, state=state)
    review = actions.review_batch(batch, by=house.chef, decision=decision, note=note)
    batch.refresh_from_db()
    assert batch.reviewed_at == review.decided_at
    event = Event.objects.get(verb=Event.Verb.BATCH_REVIEWED)
    assert (event.actor, event.subject, event.object_id) == (house.chef, house.cook, batch.pk)
    assert event.data == {"decision": decision}


@pytest.mark.parametrize(
    ("state", "decision", "note", "fields"),
    [
        (Batch.State.FINISHED, "excused", "Why not.", set()),
        (Batch.State.ABANDONED, "agreed", "", set()),
        (Batch.State.FINISHED, "another", " ", {"note"}),
        (Batch.State.ABANDONED, "excused", "", {"note"}),
        (Batch.State.FINISHED, "nonsense", "x", set()),
    ],
)
def test_a_look_that_does_not_fit_is_refused(house, state, decision, note, fields):
    batch = made(house, state=state)
    with pytest.raises(ValidationError) as error:
        actions.review_batch(batch, by=house.chef, decision=decision, note=note)
    assert refusal(error)[0] == fields
    assert not Review.objects.exists()


def test_an_open_batch_cannot_be_judged(house):
    batch = factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    with pytest.raises(ValidationError, match="open"):
        actions.review_batch(batch, by=house.chef, decision="agreed")


def test_the_first_look_stands(house):
    batch = made(house)
    actions.review_batch(batch, by=house.chef, decision="agreed")
    with pytest.raises(ValidationError, match="in the meantime"):
        actions.review_batch(batch, by=house.chef, decision="another", note="Again.")
    assert Review.objects.get().decision == "agreed"


def test_nobody_judges_their_own_batch(house):
    with pytest.raises(ValidationError, match="own batch"):
        actions.review_batch(made(house), by=house.cook, decision="agreed")


# Observations


def observed(house, **fields):
    given = {
        "by": house.chef,
        "request_key": uuid.uuid4(),
        "observed_on": timezone.localdate(),
        "hygiene": 2,
        "knife_safety": 2,
        "handling": None,
        "bench_order": 1,
        "note": "Board clear.",
    }
    return actions.observe(house.practice, **given | fields)


def test_an_observation_counts_at_once(house):
    observation = observed(house)
    house.practice.refresh_from_db()
    assert house.practice.observations_met == 1
    event = Event.objects.get(verb=Event.Verb.OBSERVED)
    assert (event.subject, event.object_id) == (house.cook, observation.pk)


def test_sent_twice_it_is_recorded_once(house):
    key = uuid.uuid4()
    assert observed(house, request_key=key) == observed(house, request_key=key, note="Other.")
    assert Observation.objects.count() == Event.objects.count() == 1


def test_a_key_of_somebody_else_gives_no_way_to_their_observation(house):
    key = uuid.uuid4()
    observed(house, request_key=key)
    second = factories.head_chef(house.branch)
    with pytest.raises(ValidationError) as error:
        observed(house, request_key=key, by=second)
    assert refusal(error)[0] == {"request_key"}


@pytest.mark.parametrize("days", [0, 1, 30])
def test_days_that_can_be_observed(house, days):
    assert observed(house, observed_on=factories.days_ago(days)).pk


@pytest.mark.parametrize(("days", "word"), [(-1, "still to come"), (31, "30 days ago")])
def test_days_that_cannot_be_observed(house, days, word):
    with pytest.raises(ValidationError, match=word) as error:
        observed(house, observed_on=factories.days_ago(days))
    assert refusal(error)[0] == {"observed_on"}
    assert not Observation.objects.exists()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"hygiene": None}, "hygiene"),
        ({"knife_safety": None}, "knife_safety"),
        ({"handling": 3}, "handling"),
        ({"note": "x" * 2001}, "note"),
    ],
)
def test_a_faulty_observation_is_refused_at_its_field(house, change, field):
    with pytest.raises(ValidationError) as error:
        observed(house, **change)
    assert refusal(error)[0] == {field}


def test_nobody_observes_themselves(house):
    with pytest.raises(ValidationError, match="Nobody can observe themselves"):
        observed(house, by=house.cook)


@pytest.mark.parametrize("leaves", ["practice", "house"])
def test_whoever_no_longer_practises_can_be_neither_observed_nor_signed(house, leaves):
    if leaves == "practice":
        Practice.objects.filter(pk=house.practice.pk).update(ended_on=timezone.localdate())
    else:
        house.cook.is_active = False
        house.cook.save()
    with pytest.raises(ValidationError, match="no longer practises"):
        observed(house)
    with pytest.raises(ValidationError, match="no longer practises"):
        override(house)


# Sign-off


def test_with_the_full_evidence_it_is_signed(house):
    complete(house)
    decision = sign(house)
    house.practice.refresh_from_db()
    today = timezone.localdate()
    standing = house.practice.standing(today=today, policy=HousePolicy.load())
    assert standing.state == State.SIGNED_OFF
    assert standing.can_hold
    assert (decision.is_override, decision.override_reason, decision.missing) == (False, "", [])
    assert decision.due_on == today + timedelta(days=365)
    assert decision.standard == house.standard
    event = Event.objects.get(verb=Event.Verb.SIGNED_OFF)
    assert (event.actor, event.subject, event.object_id) == (house.chef, house.cook, decision.pk)
    assert event.data["sha256"] == decision.evidence_sha256


def test_a_reason_that_is_not_needed_makes_no_override(house):
    complete(house)
    decision = sign(house, override_reason="To be safe.")
    assert (decision.is_override, decision.override_reason) == (False, "")


def test_without_the_full_evidence_it_needs_a_reason(house):
    with pytest.raises(ValidationError) as error:
        override(house, override_reason=" ")
    assert refusal(error)[0] == {"override_reason"}
    assert not SignOff.objects.exists()


def test_signed_without_the_full_evidence_it_says_so_for_ever(house):
    decision = override(house)
    assert decision.is_override
    assert decision.override_reason == "Trial week."
    assert decision.missing == decision.evidence["missing"] == MEASURED_ONLY
    assert Event.objects.get(verb=Event.Verb.SIGNED_OFF).data["override"] is True


def test_evidence_that_went_away_since_the_page_was_opened_is_noticed(house):
    complete(house)
    made(house, points=-60.0)
    with pytest.raises(ValidationError, match="has changed since"):
        sign(house)
    assert not SignOff.objects.exists()
    # The page that is shown again tells what is missing now.
    house.practice.refresh_from_db()
    assert not house.practice.evidence_complete


def test_evidence_that_arrived_meanwhile_is_welcome(house):
    complete(house)
    decision = sign(house, seen_missing=MEASURED_ONLY, override_reason="Trial week.")
    assert not decision.is_override


def test_a_module_that_became_required_since_is_noticed(house):
    complete(house)
    write_module(house.cutting)
    with pytest.raises(ValidationError, match="has changed since"):
        sign(house)


def test_sent_twice_it_is_signed_once(house):
    key = uuid.uuid4()
    assert override(house, request_key=key) == override(house, request_key=key)
    assert Event.objects.filter(verb=Event.Verb.SIGNED_OFF).count() == 1


def test_a_key_of_an_earlier_sign_off_elsewhere_signs_nothing(house):
    key = uuid.uuid4()
    override(house, request_key=key)
    other = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    with pytest.raises(ValidationError):
        actions.sign_off(
            other,
            by=house.chef,
            password=factories.PASSWORD,
            request_key=key,
            seen_missing=["observations"],
            override_reason="Trial week.",
        )
    assert SignOff.objects.count() == 1


def test_who_is_signed_off_is_not_signed_again(house):
    override(house)
    with pytest.raises(ValidationError, match="signed off already"):
        override(house)


def test_nobody_signs_themselves(house):
    with pytest.raises(ValidationError, match="Nobody can sign off themselves"):
        override(house, by=house.cook)


def test_without_a_standard_in_force_nothing_can_be_signed(house):
    late = factories.StandardFactory(in_force_from=timezone.localdate() + timedelta(days=9))
    practice = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=late.style, station=house.serving
    )
    with pytest.raises(ValidationError, match="No house standard"):
        actions.sign_off(
            practice,
            by=house.chef,
            password=factories.PASSWORD,
            request_key=uuid.uuid4(),
            seen_missing=["observations"],
            override_reason="Trial week.",
        )


def test_the_sign_off_is_given_in_the_branch_where_the_cook_is_now(house):
    house.cook.roles.update(branch=house.other_branch)
    decision = override(house, by=house.other_chef)
    assert decision.branch == house.other_branch


# Passwords


def test_a_wrong_password_is_refused_and_kept_in_the_log(house):
    complete(house)
    with pytest.raises(ValidationError) as error:
        sign(house, password="something else")
    assert refusal(error)[0] == {"password"}
    assert not SignOff.objects.exists()
    assert Event.objects.get(verb=Event.Verb.SIGN_OFF_REFUSED).actor == house.chef


def test_too_many_wrong_passwords_close_the_form_for_ten_minutes(house, time_machine):
    time_machine.move_to("2026-03-10T09:00Z", tick=False)
    for _try in range(actions.WRONG_PASSWORDS):
        with pytest.raises(ValidationError, match="not your password"):
            actions.check_password(house.chef, "something else")
    with pytest.raises(ValidationError, match="Wait ten minutes"):
        actions.check_password(house.chef, factories.PASSWORD)
    # Others are not kept waiting.
    actions.check_password(house.other_chef, factories.PASSWORD)
    time_machine.shift(timedelta(minutes=10, seconds=1))
    actions.check_password(house.chef, factories.PASSWORD)
    refused = Event.objects.filter(verb=Event.Verb.SIGN_OFF_REFUSED)
    assert refused.count() == actions.WRONG_PASSWORDS


# The evidence that is kept


def test_the_evidence_is_kept_as_it_stood(house):
    factories.counted_batch(
        cook=house.cook,
        branch=house.branch,
        standard=house.standard,
        days=8,
        state=Batch.State.ABANDONED,
    )
    complete(house)
    module = write_module(house.cutting)
    decision = sign(house, seen_missing=["modules"], override_reason="He wrote the module.")
    evidence = decision.evidence
    assert [row["abandoned"] for row in evidence["batches"]] == [True] + 5 * [False]
    assert evidence["batches"][-1]["points"] == {"width": 20, "thickness": 20, "hydration": 20}
    assert evidence["balances"] == {"width": 100, "thickness": 100, "hydration": 100}
    assert (evidence["score"], evidence["limiting"]) == (96, "width")
    assert [row["knife_safety"] for row in evidence["observations"]] == [2, 2]
    assert evidence["modules"] == [{"id": module.pk, "title": "Folding", "done": False}]
    assert evidence["missing"] == ["modules"]
    assert evidence["cook"] == {"id": house.cook.pk, "name": "Cook Test"}
    assert evidence["standard"] == {"id": house.standard.pk, "number": house.standard.number}
    names = set(DEFAULT_RULE.as_evidence())
    rule = SignOffRule(**{name: evidence["rule"][name] for name in names})
    assert rule == DEFAULT_RULE


def test_what_comes_later_does_not_change_it(house):
    complete(house)
    decision = sign(house)
    house.cook.first_name = "Renamed"
    house.cook.save()
    made(house, points=-40.0)
    kept = SignOff.objects.get(pk=decision.pk)
    assert kept.evidence["cook"]["name"] == "Cook Test"
    assert fingerprint(kept.evidence) == kept.evidence_sha256 == decision.evidence_sha256


def test_it_keeps_failed_observations_too(house):
    factories.ObservationFactory(practice=house.practice, observer=house.chef, knife_safety=0)
    complete(house)
    ratings = [row["knife_safety"] for row in sign(house).evidence["observations"]]
    assert sorted(ratings) == [0, 2, 2]


def test_a_renewal_keeps_only_what_came_after_the_sign_off(house):
    complete(house, latest=390)
    first = actions.write_sign_off(
        house.practice,
        by=house.chef,
        request_key=uuid.uuid4(),
        seen_missing=["recent_observation"],
        override_reason="",
        at=timezone.now() - timedelta(days=390),
    )
    for days in (5, 4):
        made(house, days=days)
    for _n in range(2):
        observed(house)
    second = sign(house)
    assert not second.is_override
    assert len(second.evidence["batches"]) == 2
    assert second.evidence["rule"]["opening_balance"] == RENEWAL_RULE.opening_balance
    assert second.evidence["evidence_after"] == first.decided_at.isoformat()


def test_json_as_the_database_gives_it_back_has_the_same_fingerprint(house):
    factories.finished_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    decision = override(house)
    text = json.dumps(SignOff.objects.get(pk=decision.pk).evidence)
    assert fingerprint(json.loads(text)) == decision.evidence_sha256


# Withdrawal


def withdraw(house, decision, **fields):
    given = {"by": house.chef, "password": factories.PASSWORD, "reason": "Uneven sheets."}
    return actions.withdraw(decision, **given | fields)


def test_a_withdrawal_ends_the_sign_off_and_starts_the_evidence_anew(house):
    complete(house)
    withdraw(house, sign(house))
    house.practice.refresh_from_db()
    standing = house.practice.standing(today=timezone.localdate(), policy=HousePolicy.load())
    assert standing.state == State.WITHDRAWN
    assert not standing.can_hold
    assert (house.practice.counted, house.practice.observations_met) == (0, 0)
    event = Event.objects.get(verb=Event.Verb.WITHDRAWN)
    assert event.data["reason"] == "Uneven sheets."


@pytest.mark.parametrize(
    ("change", "field"), [({"reason": "  "}, "reason"), ({"password": "x"}, "password")]
)
def test_a_withdrawal_needs_a_reason_and_the_password(house, change, field):
    decision = override(house)
    with pytest.raises(ValidationError) as error:
        withdraw(house, decision, **change)
    assert refusal(error)[0] == {field}
    house.practice.refresh_from_db()
    assert house.practice.holds


def test_withdrawn_twice_it_is_withdrawn_once(house):
    decision = override(house)
    withdraw(house, decision)
    with pytest.raises(ValidationError, match="no longer holds"):
        withdraw(house, decision)


def test_a_sign_off_that_was_renewed_cannot_be_withdrawn_any_more(house):
    first = override(house)
    withdraw(house, first)
    second = override(house)
    with pytest.raises(ValidationError, match="no longer holds"):
        withdraw(house, first)
    house.practice.refresh_from_db()
    assert house.practice.sign_off == second
    assert house.practice.holds


def test_nobody_withdraws_their_own(house):
    with pytest.raises(ValidationError, match="own sign-off"):
        withdraw(house, override(house), by=house.cook)
