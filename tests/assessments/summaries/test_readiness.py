"""The readiness board: counts, names and states, and that nothing grows without limit."""

from datetime import timedelta
from itertools import product

import pytest
from django.db.models import Case, CharField, Value, When
from django.utils import timezone

from assessments.calculations.monitoring import Currency
from assessments.calculations.standing import State
from assessments.models import Practice, SignOff
from assessments.summaries import readiness
from assessments.summaries.currency import due_conditions
from assessments.summaries.readiness import (
    ORDER,
    Filters,
    branch_board,
    readiness_board,
    readiness_rows,
    visible_branches,
    with_state,
)
from tests import factories
from training.models import Branch, HousePolicy, Station

TODAY = timezone.localdate()


def sign(practice, *, due_in=100, withdrawn=False, chef=None):
    """Sign a practice off, and withdraw it when asked, as the boards read it."""
    decision = SignOff.objects.create(
        practice=practice,
        cook=practice.person,
        style=practice.style,
        station=practice.station,
        branch=practice.branch,
        standard=practice.style.versions.first() or factories.StandardFactory(style=practice.style),
        decided_by=chef or factories.UserFactory(),
        due_on=TODAY + timedelta(days=due_in),
        evidence={},
        evidence_sha256="0" * 64,
    )
    practice.sign_off = decision
    practice.withdrawn_at = timezone.now() if withdrawn else None
    practice.save()
    return practice


def practise(house, name, *, branch=None, **fields):
    branch = branch or house.branch
    cook = factories.trainee(branch, first_name=name, last_name="")
    return factories.PracticeFactory(
        **{"person": cook, "branch": branch, "style": house.style, "station": house.cutting}
        | fields
    )


def board(viewer, today=TODAY, number=1, **filters):
    return readiness_board(visible_branches(viewer), Filters(**filters), today=today, number=number)


def cell_of(found, branch, station="cutting"):
    row = next(row for row in found.rows if row.slug == branch.slug)
    return next(cell for cell in row.cells if cell.station == station)


def names(groups):
    return {group.state: [mark.cook for mark in group.marks] for group in groups}


# What the house knows of the evenness since a sign-off of 70 days ago.
EVENNESS = {
    "even": {"last_batch_on": TODAY - timedelta(days=60), "warning": 10.0},
    "idle": {"last_batch_on": TODAY - timedelta(days=61), "warning": 10.0},
    "never": {"last_batch_on": None},
    "alarm": {"last_batch_on": TODAY, "warning": 100.0, "alarm_on": TODAY},
}
STATES = list(
    product(
        ("none", "holds", "due today", "overdue", "withdrawn"),
        EVENNESS,
        (0, 1),  # batches counted
        (False, True),  # evidence complete
        (0, 2),  # modules done of 2
        ((0, None), (2, 14), (2, 15)),  # observations met, days since the last
        ("cutting", "serving"),
    )
)


def test_the_database_tells_every_state_as_standing_does(house):
    policy = HousePolicy.load()
    stations = {"cutting": house.cutting, "serving": house.serving}
    due = {"holds": 1, "due today": 0, "overdue": -1, "withdrawn": 1}
    standard = house.standard
    people = factories.UserFactory.create_batch(len(STATES))
    practices = []
    for person, (decision, evenness, counted, complete, done, seen, station) in zip(
        people, STATES, strict=True
    ):
        met, days = seen
        practices.append(
            Practice(
                person=person,
                branch=house.branch,
                style=house.style,
                station=stations[station],
                started_on=TODAY,
                counted=counted,
                evidence_complete=complete,
                modules_required=2,
                modules_done=done,
                observations_met=met,
                last_met_on=None if days is None else TODAY - timedelta(days=days),
                withdrawn_at=timezone.now() if decision == "withdrawn" else None,
                **EVENNESS[evenness],
            )
        )
    Practice.objects.bulk_create(practices)
    signed = [
        (p, due[state[0]]) for p, state in zip(practices, STATES, strict=True) if state[0] in due
    ]
    decisions = SignOff.objects.bulk_create(
        SignOff(
            practice=practice,
            cook=practice.person,
            style=house.style,
            station=practice.station,
            branch=house.branch,
            standard=standard,
            decided_by=house.chef,
            decided_at=timezone.now() - timedelta(days=70),
            due_on=TODAY + timedelta(days=days),
            evidence={},
            evidence_sha256="0" * 64,
        )
        for practice, days in signed
    )
    for (practice, _days), decision in zip(signed, decisions, strict=True):
        practice.sign_off = decision
    Practice.objects.bulk_update([practice for practice, _days in signed], ["sign_off"])

    reasons = [When(condition, then=Value(why)) for condition, why in due_conditions(TODAY, policy)]
    told = with_state(
        Practice.objects.select_related("station", "sign_off"), TODAY, policy
    ).annotate(due_for=Case(*reasons, default=Value(""), output_field=CharField()))
    found = []
    for practice in told:
        standing = practice.standing(today=TODAY, policy=policy)
        by_database = (ORDER[practice.state_order], practice.due_for)
        found.append((by_database, (standing.state, standing.due_for or "")))
    assert {state for _by_database, (state, _why) in found} == set(State)
    assert {why for _by_database, (_state, why) in found if why} == {
        Currency.EVENNESS,
        Currency.NO_RECENT_BATCH,
        Currency.DATE,
    }
    assert [by_database for by_database, _ in found] == [by_row for _, by_row in found]


def test_people_who_can_hold_a_station_are_counted_once(house):
    one = sign(practise(house, "Ada"))
    other_style = factories.StyleFactory(name="thin buckwheat", slug="thin-buckwheat")
    sign(practise(house, "-", person=one.person, style=other_style))
    sign(practise(house, "Bo"), due_in=-3)
    sign(practise(house, "Cy"), withdrawn=True)
    practise(house, "Di", counted=2)
    cell = cell_of(board(house.owner), house.branch)
    assert cell.can_hold == 2
    assert names(cell.groups) == {
        State.SIGNED_OFF: ["Ada"],
        State.RENEWAL_DUE: ["Bo"],
        State.PRACTISING: ["Di"],
        State.WITHDRAWN: ["Cy"],
        State.NOT_STARTED: ["Cook Test"],
    }
    assert cell.groups[0].marks[0].styles == ("thick wheat", "thin buckwheat")
    assert cell_of(board(house.owner, style="thin-buckwheat"), house.branch).can_hold == 1


def test_a_renewal_falls_due_on_its_day(house):
    sign(house.practice, due_in=10)
    for days, state in ((9, State.SIGNED_OFF), (10, State.RENEWAL_DUE)):
        cell = cell_of(board(house.owner, today=TODAY + timedelta(days=days)), house.branch)
        assert (cell.can_hold, [group.state for group in cell.groups]) == (1, [state])


def test_why_a_renewal_is_due_stands_beside_the_cook(house):
    slipped = sign(practise(house, "Ada"))
    Practice.objects.filter(pk=slipped.pk).update(alarm_on=TODAY, warning=100)
    late = sign(practise(house, "Bo"), due_in=-1)
    [group] = [
        group
        for group in cell_of(board(house.owner), house.branch).groups
        if group.state == State.RENEWAL_DUE
    ]
    assert {mark.cook: mark.reasons for mark in group.marks} == {
        "Ada": ("evenness slipped",),
        "Bo": ("the date has passed",),
    }
    rows = readiness_rows(visible_branches(house.chef), Filters(), today=TODAY)
    told = {row[4]: row[6:] for row in rows}
    assert told["Ada"] == (
        "renewal due",
        slipped.sign_off.due_on.isoformat(),
        "evenness slipped",
    )
    assert told["Bo"] == ("renewal due", late.sign_off.due_on.isoformat(), "the date has passed")


def test_those_who_left_or_ended_are_not_counted(house):
    left = sign(practise(house, "Ada"))
    left.person.is_active = False
    left.person.save()
    ended = sign(practise(house, "Bo"))
    ended.ended_on = TODAY
    ended.save()
    cell = cell_of(board(house.owner), house.branch)
    assert (cell.can_hold, names(cell.groups)) == (0, {State.NOT_STARTED: ["Cook Test"]})


def test_a_head_chef_sees_the_own_branch_only(house):
    assert [row.slug for row in board(house.chef).rows] == [house.branch.slug]
    assert {row.slug for row in board(house.owner).rows} == {
        house.branch.slug,
        house.other_branch.slug,
    }
    assert board(house.chef, branch=house.other_branch.slug).rows == ()


def test_filters_narrow_names_and_branches(house):
    sign(practise(house, "Ada"))
    practise(house, "Bo", counted=1)
    cell = cell_of(board(house.owner, state=State.PRACTISING), house.branch)
    assert (cell.can_hold, names(cell.groups)) == (1, {State.PRACTISING: ["Bo"]})
    assert [row.slug for row in board(house.owner, branch=house.branch.slug).rows] == [
        house.branch.slug
    ]
    assert cell_of(board(house.owner, style="other"), house.branch).groups == ()


def test_only_some_names_are_shown_and_the_rest_counted(house):
    for number in range(9):
        practise(house, f"Practising {number}", counted=1)
    sign(practise(house, "Signed"))
    cell = cell_of(board(house.owner), house.branch)
    assert sum(len(group.marks) for group in cell.groups) == readiness.NAMES_IN_A_CELL
    assert names(cell.groups)[State.SIGNED_OFF] == ["Signed"]
    assert cell.more == 11 - readiness.NAMES_IN_A_CELL


def test_a_branch_to_come_shows_its_day(house):
    Branch.objects.filter(pk=house.branch.pk).update(opens_on=TODAY + timedelta(days=1))
    Branch.objects.filter(pk=house.other_branch.pk).update(opens_on=TODAY)
    days = {row.slug: row.opens_on for row in board(house.owner).rows}
    assert days == {
        house.branch.slug: TODAY + timedelta(days=1),
        house.other_branch.slug: None,
    }


def test_twenty_branches_make_a_page(house):
    factories.BranchFactory.create_batch(24)
    assert [len(board(house.owner, number=number).rows) for number in (1, 2)] == [20, 6]


def test_the_page_of_a_branch_shows_every_cook(house):
    sign(house.practice)
    idle = factories.trainee(house.branch, first_name="Idle", last_name="")
    found = branch_board(house.branch, Filters(), today=TODAY)
    assert [(cell.station, cell.can_hold) for cell in found.cells] == [
        ("cutting", 1),
        ("serving", 0),
    ]
    assert [cook.name for cook in found.cooks] == ["Cook Test", "Idle"]
    assert [names(groups) for _station, groups in found.cooks[0].cells] == [
        {State.SIGNED_OFF: ["Cook Test"]},
        {},
    ]
    assert found.cooks[1].pk == idle.pk
    narrowed = branch_board(house.branch, Filters(state=State.SIGNED_OFF), today=TODAY)
    assert [cook.name for cook in narrowed.cooks] == ["Cook Test"]


def test_a_hundred_cooks_make_a_page(house):
    for _ in range(101):
        factories.trainee(house.branch)
    found = branch_board(house.branch, Filters(), today=TODAY, number=2)
    assert len(found.cooks) == 2


def test_rows_for_a_spreadsheet_hold_everybody_and_every_empty_station(house):
    signed = sign(house.practice, due_in=30)
    rows = list(readiness_rows(visible_branches(house.owner), Filters(), today=TODAY))
    assert len(rows) == 1 + 4
    assert rows[1] == (
        house.branch.name,
        "",
        "cutting",
        1,
        "Cook Test",
        "thick wheat",
        "signed off",
        signed.sign_off.due_on.isoformat(),
        "",
    )
    assert rows[2] == (house.branch.name, "", "serving", 0, "nobody", "", "", "", "")
    assert [row[2] for row in rows[3:]] == ["cutting", "serving"]


@pytest.mark.parametrize("state", State)
def test_rows_for_a_spreadsheet_follow_the_filters(house, state):
    sign(practise(house, "Ada"))
    practise(house, "Bo", counted=1)
    rows = list(readiness_rows(visible_branches(house.chef), Filters(state=state), today=TODAY))
    found = [row[4] for row in rows[1:] if row[6]]
    assert found == {
        State.SIGNED_OFF: ["Ada"],
        State.PRACTISING: ["Bo"],
        State.NOT_STARTED: ["Cook Test"],
    }.get(state, [])


def test_queries_do_not_grow_with_branches_stations_or_cooks(
    house, django_assert_num_queries, django_assert_max_num_queries
):
    HousePolicy.load()  # made at its first use
    branches = visible_branches(house.owner)
    with django_assert_max_num_queries(6) as one:
        readiness_board(branches, Filters(), today=TODAY)
    with django_assert_max_num_queries(8) as one_branch:
        branch_board(house.branch, Filters(), today=TODAY)
    for number in range(10):
        branch = factories.BranchFactory()
        station = factories.StationFactory()
        for place in (branch, house.branch):
            practise(house, f"Cook {number}", branch=place, station=station, counted=1)
            sign(practise(house, f"Signed {number}", branch=place, station=station))
    branches = visible_branches(house.owner)
    with django_assert_num_queries(len(one.captured_queries)):
        readiness_board(branches, Filters(), today=TODAY)
    with django_assert_num_queries(len(one_branch.captured_queries)):
        branch_board(house.branch, Filters(), today=TODAY)
    assert Station.objects.count() == 12
