"""The states of a cook and what a sign-off needs: the house's own rule, no outside source."""

from datetime import date, timedelta

import pytest

from assessments.calculations.standing import Missing, State, standing

TODAY = date(2026, 3, 31)
NOTHING_YET = {
    "today": TODAY,
    "measured": True,
    "counted": 0,
    "evidence_complete": False,
    "modules_required": 2,
    "modules_done": 0,
    "observations_met": 0,
    "observations_needed": 2,
    "last_met_on": None,
    "recent_days": 14,
    "due_on": None,
    "withdrawn": False,
}
COMPLETE = {
    **NOTHING_YET,
    "counted": 7,
    "evidence_complete": True,
    "modules_done": 2,
    "observations_met": 2,
    "last_met_on": TODAY,
}


@pytest.mark.parametrize(
    ("facts", "state"),
    [
        (NOTHING_YET, State.NOT_STARTED),
        (NOTHING_YET | {"counted": 1}, State.PRACTISING),
        (NOTHING_YET | {"modules_done": 1}, State.PRACTISING),
        (NOTHING_YET | {"observations_met": 1, "last_met_on": TODAY}, State.PRACTISING),
        (COMPLETE, State.EVIDENCE_COMPLETE),
        # Everything but one thing is not everything.
        (COMPLETE | {"evidence_complete": False}, State.PRACTISING),
        (COMPLETE | {"modules_done": 1}, State.PRACTISING),
        (COMPLETE | {"observations_met": 1}, State.PRACTISING),
        (COMPLETE | {"last_met_on": TODAY - timedelta(days=15)}, State.PRACTISING),
        # A decision outweighs the evidence, either way.
        (NOTHING_YET | {"due_on": TODAY + timedelta(days=1)}, State.SIGNED_OFF),
        (NOTHING_YET | {"due_on": TODAY}, State.RENEWAL_DUE),
        (COMPLETE | {"due_on": TODAY - timedelta(days=400)}, State.RENEWAL_DUE),
        (NOTHING_YET | {"withdrawn": True}, State.WITHDRAWN),
        (NOTHING_YET | {"withdrawn": True, "counted": 3}, State.WITHDRAWN),
        (COMPLETE | {"withdrawn": True}, State.EVIDENCE_COMPLETE),
        # A station without measured batches asks for none.
        (COMPLETE | {"measured": False, "evidence_complete": False}, State.EVIDENCE_COMPLETE),
        (
            NOTHING_YET | {"measured": False, "modules_required": 0, "observations_needed": 1},
            State.NOT_STARTED,
        ),
    ],
)
def test_state(facts, state):
    assert standing(**facts).state == state


@pytest.mark.parametrize(
    ("change", "missing"),
    [
        ({}, ()),
        ({"evidence_complete": False}, (Missing.MEASURED,)),
        ({"evidence_complete": False, "measured": False}, ()),
        ({"modules_done": 1}, (Missing.MODULES,)),
        ({"modules_done": 3}, ()),
        ({"observations_met": 1}, (Missing.OBSERVATIONS,)),
        # Too few outweighs too old: another one mends both.
        (
            {"observations_met": 1, "last_met_on": TODAY - timedelta(days=99)},
            (Missing.OBSERVATIONS,),
        ),
        ({"last_met_on": TODAY - timedelta(days=14)}, ()),
        ({"last_met_on": TODAY - timedelta(days=15)}, (Missing.RECENT_OBSERVATION,)),
        ({"last_met_on": TODAY - timedelta(days=15), "recent_days": 15}, ()),
        (
            {"evidence_complete": False, "modules_done": 0, "observations_met": 0},
            (Missing.MEASURED, Missing.MODULES, Missing.OBSERVATIONS),
        ),
    ],
)
def test_missing(change, missing):
    result = standing(**COMPLETE | change)
    assert result.missing == missing
    assert result.ready_to_sign is (not missing)


@pytest.mark.parametrize(
    ("change", "can_hold"),
    [
        ({}, False),
        ({"due_on": TODAY + timedelta(days=1)}, True),
        ({"due_on": TODAY}, True),
        ({"withdrawn": True}, False),
    ],
)
def test_only_a_decision_lets_a_cook_hold_the_station(change, can_hold):
    assert standing(**COMPLETE | change).can_hold is can_hold
