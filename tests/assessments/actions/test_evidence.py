"""The short form of the evidence that a practice keeps."""

from datetime import timedelta

import pytest
from django.utils import timezone

from assessments.actions.evidence import (
    evidence_run,
    evidence_state,
    refresh_practices,
    turning_points,
)
from assessments.actions.sign_off import review_batch, write_sign_off, write_withdrawal
from assessments.calculations.forecast import PartHistory, WaterHistory, forecast
from assessments.calculations.monitoring import Currency, monitor_points
from assessments.calculations.requirements import DEFAULT_RULE, RENEWAL_RULE
from assessments.models import Batch, Practice
from tests import factories
from tests.addresses import write_module
from training.models import HousePolicy, ModuleProgress, Role

pytestmark = pytest.mark.django_db

NOW = timezone.now()


def made(house, **fields):
    return factories.counted_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, **fields
    )


def signed(house, *, missing=(), **fields):
    return write_sign_off(
        house.practice,
        by=house.chef,
        request_key=fields.pop("request_key", "22222222-2222-2222-2222-222222222222"),
        seen_missing=missing,
        override_reason="Trial week." if missing else "",
        **fields,
    )


def refreshed(house):
    refresh_practices(house.cook)
    house.practice.refresh_from_db()
    return house.practice


def test_balances_follow_the_batches(house):
    for day in (4, 3, 2):
        made(house, days=day)
    practice = refreshed(house)
    assert (practice.width_balance, practice.counted) == (60, 3)
    assert (practice.more_like_last, practice.limiting) == (2, "width")
    assert not practice.evidence_complete
    assert practice.last_batch_on == factories.days_ago(2)


def test_five_good_batches_on_five_days_complete_it(house):
    for day in range(5, 0, -1):
        made(house, days=day)
    practice = refreshed(house)
    assert practice.evidence_complete
    assert practice.width_shown
    assert practice.thickness_shown
    assert practice.hydration_shown


def test_open_batches_do_not_count_and_given_up_ones_cost_points(house):
    made(house, days=4)
    made(house, days=3)
    factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    made(house, days=2, state=Batch.State.ABANDONED)
    practice = refreshed(house)
    assert (practice.width_balance, practice.counted) == (20, 2)


def test_an_excused_batch_is_left_out(house):
    made(house, days=4)
    given_up = made(house, days=2, state=Batch.State.ABANDONED)
    assert refreshed(house).width_balance == 0
    review_batch(given_up, by=house.chef, decision="excused", note="The gas failed.")
    house.practice.refresh_from_db()
    assert house.practice.width_balance == 20


def test_batches_of_another_cook_or_style_do_not_count(house):
    made(house, days=3)
    other = factories.StandardFactory()
    factories.counted_batch(cook=house.cook, branch=house.branch, standard=other)
    factories.counted_batch(cook=house.other_cook, branch=house.branch, standard=house.standard)
    assert refreshed(house).counted == 1


def test_one_style_alone_can_be_refreshed(house):
    elsewhere = factories.PracticeFactory(
        person=house.cook, branch=house.branch, station=house.cutting
    )
    Practice.objects.filter(pk=elsewhere.pk).update(counted=7)
    made(house)
    refresh_practices(house.cook, house.style)
    elsewhere.refresh_from_db()
    house.practice.refresh_from_db()
    assert (house.practice.counted, elsewhere.counted) == (1, 7)


def test_a_withdrawal_starts_the_evidence_anew(house):
    for day in range(9, 4, -1):
        made(house, days=day)
    decision = signed(
        house, missing=["modules", "observations"], at=timezone.now() - timedelta(days=4)
    )
    write_withdrawal(decision, by=house.chef, reason="Uneven.", at=NOW - timedelta(days=3))
    assert refreshed(house).counted == 0
    made(house, days=2)
    practice = refreshed(house)
    assert (practice.counted, practice.width_balance) == (1, 20)


def test_a_file_of_old_batches_read_in_after_a_withdrawal_does_not_count(house):
    decision = signed(
        house, missing=["measured", "observations"], at=timezone.now() - timedelta(days=4)
    )
    write_withdrawal(decision, by=house.chef, reason="Uneven.", at=NOW - timedelta(days=3))
    imported = made(house, days=0)
    Batch.objects.filter(pk=imported.pk).update(made_on=factories.days_ago(30))
    assert refreshed(house).counted == 0


def test_a_withdrawal_at_one_station_leaves_the_others_alone(house):
    made(house, days=9)
    rolling = factories.PracticeFactory(
        person=house.cook,
        branch=house.branch,
        style=house.style,
        station=factories.StationFactory(name="rolling"),
    )
    decision = signed(
        house, missing=["measured", "observations"], at=timezone.now() - timedelta(days=4)
    )
    write_withdrawal(decision, by=house.chef, reason="Uneven.", at=NOW - timedelta(days=3))
    refresh_practices(house.cook)
    rolling.refresh_from_db()
    house.practice.refresh_from_db()
    assert (rolling.counted, house.practice.counted) == (1, 0)


def test_a_renewal_begins_at_60_and_needs_two_good_batches_on_two_days(house):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard, latest=4)
    signed(house, at=NOW - timedelta(days=3))
    practice = refreshed(house)
    assert (practice.width_balance, practice.counted) == (60, 0)
    assert not practice.evidence_complete
    made(house, days=2)
    made(house, days=2)
    practice = refreshed(house)
    assert practice.width_balance == 100
    assert not practice.evidence_complete
    made(house, days=1)
    assert refreshed(house).evidence_complete


def test_a_sign_off_without_the_measured_evidence_gives_nothing_to_begin_with(house):
    made(house, days=5)
    signed(house, missing=["measured", "observations"], at=NOW - timedelta(days=3))
    practice = refreshed(house)
    assert (practice.width_balance, practice.counted) == (20, 1)


@pytest.mark.parametrize(
    ("withdrawn", "earned", "after", "rule"),
    [
        (None, None, None, DEFAULT_RULE),
        (None, NOW, NOW, RENEWAL_RULE),
        (NOW, None, NOW, DEFAULT_RULE),
        (NOW, NOW - timedelta(days=1), NOW, DEFAULT_RULE),
        (NOW - timedelta(days=1), NOW, NOW, RENEWAL_RULE),
    ],
)
def test_evidence_run(withdrawn, earned, after, rule):
    run = evidence_run(withdrawn, earned)
    assert (run.after, run.rule) == (after, rule)


def test_turning_points_keep_the_last_of_each_kind(house):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard, latest=20)
    first = signed(house, missing=["recent_observation"], at=NOW - timedelta(days=18))
    key = "33333333-3333-3333-3333-333333333333"
    write_withdrawal(first, by=house.chef, reason="Uneven.", at=NOW - timedelta(days=9))
    second = signed(
        house,
        missing=["measured", "observations"],
        at=NOW - timedelta(days=3),
        request_key=key,
    )
    points = turning_points(house.cook.pk)
    assert points[house.practice.pk] == (NOW - timedelta(days=9), NOW - timedelta(days=18))
    assert second.missing[0] == "measured"
    assert points[-1] == (None, None)


@pytest.mark.parametrize(
    ("ratings", "met"),
    [
        ({}, 1),
        ({"handling": None, "bench_order": 0}, 1),
        ({"hygiene": 1}, 0),
        ({"knife_safety": 0}, 0),
    ],
)
def test_only_observations_with_hygiene_and_safety_met_count(house, ratings, met):
    factories.ObservationFactory(practice=house.practice, observer=house.chef, **ratings)
    practice = refreshed(house)
    assert practice.observations_met == met
    assert practice.last_met_on == (timezone.localdate() if met else None)


def test_observations_count_at_their_own_station_and_the_newest_day_is_kept(house):
    serving = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    for days in (8, 3, 5):
        factories.ObservationFactory(
            practice=house.practice, observer=house.chef, observed_on=factories.days_ago(days)
        )
    refresh_practices(house.cook)
    serving.refresh_from_db()
    assert serving.observations_met == 0
    house.practice.refresh_from_db()
    assert house.practice.observations_met == 3
    assert house.practice.last_met_on == factories.days_ago(3)


def test_modules_of_the_station_that_are_required_and_published(house):
    module = write_module(house.cutting)
    write_module(house.serving, slug="carrying")
    extra = write_module(house.cutting, slug="trimming")
    extra.required = False
    extra.save()
    hidden = write_module(house.cutting, slug="draft")
    hidden.unpublish()
    ModuleProgress.objects.create(person=house.cook, module=module, read_at=NOW)
    ModuleProgress.objects.create(person=house.cook, module=extra, read_at=NOW, answered_at=NOW)
    practice = refreshed(house)
    assert (practice.modules_required, practice.modules_done) == (1, 0)
    ModuleProgress.objects.filter(module=module).update(answered_at=NOW)
    assert refreshed(house).modules_done == 1


def test_a_practice_follows_a_cook_who_moves(house):
    Role.objects.filter(person=house.cook).update(branch=house.other_branch)
    assert refreshed(house).branch == house.other_branch


def test_a_practice_stays_while_the_cook_practises_in_its_branch_too(house):
    factories.RoleFactory(
        person=house.cook, kind=Role.Kind.TRAINEE, branch=factories.BranchFactory(name="Aa")
    )
    assert refreshed(house).branch == house.branch


def test_a_practice_of_somebody_without_a_branch_keeps_its_own(house):
    Role.objects.filter(person=house.cook).delete()
    assert refreshed(house).branch == house.branch


def test_an_ended_practice_is_left_as_it_was(house):
    Practice.objects.filter(pk=house.practice.pk).update(ended_on=timezone.localdate())
    made(house)
    assert refreshed(house).counted == 0


def test_a_decision_that_arrives_meanwhile_is_not_written_over(house, monkeypatch):
    def decide_first(cook_id):
        Practice.objects.filter(pk=house.practice.pk).update(withdrawn_at=NOW)
        return turning_points(cook_id)

    # Called after the practices have been read and before they are written.
    monkeypatch.setattr("assessments.actions.evidence.turning_points", decide_first)
    assert refreshed(house).withdrawn_at == NOW


@pytest.mark.parametrize("times", [1, 10])
def test_refreshing_asks_as_often_for_one_station_as_for_ten(
    house, django_assert_max_num_queries, times
):
    for _n in range(times):
        factories.PracticeFactory(
            person=house.cook,
            branch=house.branch,
            style=house.style,
            station=factories.StationFactory(),
        )
        made(house)
    # Seven readings, one for all rows written, two for the transaction.
    with django_assert_max_num_queries(10):
        refresh_practices(house.cook)


def test_refreshing_asks_no_oftener_for_many_styles_and_decisions(
    house, django_assert_max_num_queries
):
    for number in range(4):
        standard = factories.StandardFactory()
        practice = factories.PracticeFactory(
            person=house.cook, branch=house.branch, style=standard.style, station=house.cutting
        )
        write_sign_off(
            practice,
            by=house.chef,
            request_key=f"99999999-9999-9999-9999-99999999999{number}",
            seen_missing=["measured", "observations"],
            override_reason="Trial week.",
            at=NOW - timedelta(days=9 - number),
        )
        factories.counted_batch(cook=house.cook, branch=house.branch, standard=standard)
    with django_assert_max_num_queries(10):
        refresh_practices(house.cook)
    assert Practice.objects.filter(counted=1).count() == 4


LEARNING = (0.70, 0.78, 0.80, 0.86, 0.88, 0.91, 0.90, 0.93, 0.95, 0.94)


def learned(house, shares, *, thickness=0.99):
    """Give the cook one batch a day with these shares, the last one today."""
    for days, share in enumerate(reversed(shares)):
        factories.with_shares(made(house, days=days), width=share, thickness=thickness)


def test_the_forecast_is_kept_with_the_practice(house):
    learned(house, LEARNING)
    practice = refreshed(house)
    history = {
        "width": PartHistory(
            range(1, 11), LEARNING, [20] * 10, balance=practice.width_balance, shown=False
        ),
        "thickness": PartHistory(
            range(1, 11), [0.99] * 10, [9] * 10, practice.thickness_balance, shown=True
        ),
    }
    told = forecast(history, WaterHistory([20.0] * 10, 100.0, shown=True))
    assert told.status == "interval"
    kept = (practice.forecast_low, practice.forecast_median, practice.forecast_high)
    assert (practice.forecast_status, kept) == (told.status, (told.low, told.median, told.high))
    assert (practice.stuck_part, practice.stuck_batches) == ("", 0)


def test_complete_evidence_has_nothing_to_wait_for(house):
    for day in range(5, 0, -1):
        made(house, days=day)
    practice = refreshed(house)
    assert (practice.forecast_status, practice.forecast_high) == ("met", 0)


def test_three_batches_tell_nothing(house):
    learned(house, LEARNING[:3])
    practice = refreshed(house)
    assert (practice.forecast_status, practice.forecast_low) == ("cannot tell", None)


def test_what_does_not_count_tells_nothing(house):
    for days in range(6):
        batch = factories.with_shares(made(house, days=days), width=0.9)
        batch.score.refresh_from_db()
        batch.score.width_points, batch.score.width_not_counted = None, "changed"
        batch.score.save()
    assert refreshed(house).forecast_status == "cannot tell"


def test_a_cook_who_stands_still_is_stuck_on_a_part(house):
    learned(house, [0.70, 0.80, 0.84] + [0.83, 0.85, 0.82, 0.84] * 3)
    practice = refreshed(house)
    assert practice.stuck_part == "width"
    assert practice.stuck_batches >= 8


def test_a_station_without_measured_batches_has_no_forecast(house):
    learned(house, LEARNING)
    serving = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    refresh_practices(house.cook)
    serving.refresh_from_db()
    assert (serving.forecast_status, serving.forecast_low, serving.stuck_batches) == ("", None, 0)


def test_an_alarm_of_evenness_asks_for_a_renewal_and_the_renewal_ends_it(house):
    policy = HousePolicy.load()
    factories.complete_evidence(house.practice, house.chef, standard=house.standard, latest=30)
    signed(house, missing=["recent_observation"], at=NOW - timedelta(days=20))
    factories.with_shares(made(house, days=10), width=0.6)
    practice = refreshed(house)
    # One bad batch alone is no alarm: 60 at most.
    assert (practice.warning, practice.alarm_on) == (60.0, None)
    standing = practice.standing(today=timezone.localdate(), policy=policy)
    assert (standing.state, standing.currency) == ("signed_off", Currency.WATCH)
    factories.with_shares(made(house, days=9), width=0.6)
    factories.with_shares(made(house, days=8), width=0.99)
    practice = refreshed(house)
    assert (practice.warning, practice.alarm_on) == (100.0, factories.days_ago(9))
    standing = practice.standing(today=timezone.localdate(), policy=policy)
    assert (standing.state, standing.due_for) == ("renewal_due", Currency.EVENNESS)
    assert standing.can_hold
    signed(
        house,
        missing=["measured", "recent_observation"],
        at=NOW - timedelta(days=1),
        request_key="23232323-2222-2222-2222-222222222222",
    )
    practice = refreshed(house)
    assert (practice.warning, practice.alarm_on) == (0.0, None)
    standing = practice.standing(today=timezone.localdate(), policy=policy)
    assert (standing.state, standing.due_for) == ("signed_off", None)


def test_the_worse_part_counts_and_a_withdrawal_ends_the_watch(house):
    decision = signed(house, missing=["measured", "observations"], at=NOW - timedelta(days=20))
    factories.with_shares(made(house, days=5), width=0.97, thickness=0.5)
    expected = monitor_points(0.5, 9)
    assert expected > 0
    assert refreshed(house).warning == pytest.approx(expected)
    write_withdrawal(decision, by=house.chef, reason="Uneven.", at=NOW - timedelta(days=1))
    assert refreshed(house).warning == 0


def test_state_of_a_cook_without_batches(house):
    state = evidence_state(house.cook.pk, house.style.pk)
    assert (state.counted, state.complete, state.limiting) == (0, False, "width")
