"""The states of a cook and what a sign-off needs: the house's own rule, no outside source."""

from datetime import date, timedelta

import pytest

from assessments.calculations.monitoring import Currency
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
    "signed_on": None,
    "due_on": None,
    "last_batch_on": None,
    "recent_practice_days": 60,
    "alarm_on": None,
    "warning": 0.0,
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
SIGNED = {
    "signed_on": TODAY - timedelta(days=100),
    "due_on": TODAY + timedelta(days=1),
    "last_batch_on": TODAY - timedelta(days=9),
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
        (NOTHING_YET | SIGNED, State.SIGNED_OFF),
        (NOTHING_YET | SIGNED | {"due_on": TODAY}, State.RENEWAL_DUE),
        (COMPLETE | SIGNED | {"due_on": TODAY - timedelta(days=400)}, State.RENEWAL_DUE),
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
        (SIGNED, True),
        (SIGNED | {"due_on": TODAY}, True),
        (SIGNED | {"alarm_on": TODAY}, True),
        ({"withdrawn": True}, False),
    ],
)
def test_only_a_decision_lets_a_cook_hold_the_station(change, can_hold):
    assert standing(**COMPLETE | change).can_hold is can_hold


LONG_AGO = {"signed_on": TODAY - timedelta(days=61), "last_batch_on": None}


@pytest.mark.parametrize(
    ("change", "currency", "state"),
    [
        ({}, Currency.CURRENT, State.SIGNED_OFF),
        ({"warning": 49.9}, Currency.CURRENT, State.SIGNED_OFF),
        ({"warning": 50.0}, Currency.WATCH, State.SIGNED_OFF),
        ({"warning": 100.0, "alarm_on": TODAY}, Currency.EVENNESS, State.RENEWAL_DUE),
        # More than 60 days, counted from the last batch and from the sign-off.
        ({"last_batch_on": TODAY - timedelta(days=60)}, Currency.CURRENT, State.SIGNED_OFF),
        (
            {"last_batch_on": TODAY - timedelta(days=61)},
            Currency.NO_RECENT_BATCH,
            State.RENEWAL_DUE,
        ),
        (LONG_AGO, Currency.NO_RECENT_BATCH, State.RENEWAL_DUE),
        (LONG_AGO | {"recent_practice_days": 61}, Currency.CURRENT, State.SIGNED_OFF),
        (
            {"signed_on": TODAY, "last_batch_on": TODAY - timedelta(days=400)},
            Currency.CURRENT,
            State.SIGNED_OFF,
        ),
        ({"due_on": TODAY, "warning": 60.0}, Currency.DATE, State.RENEWAL_DUE),
        # The first that holds, in the order of the chart.
        (LONG_AGO | {"alarm_on": TODAY, "due_on": TODAY}, Currency.EVENNESS, State.RENEWAL_DUE),
        (LONG_AGO | {"due_on": TODAY}, Currency.NO_RECENT_BATCH, State.RENEWAL_DUE),
        # A station without measured batches has neither chart nor batches.
        (
            LONG_AGO | {"alarm_on": TODAY, "warning": 100.0, "measured": False},
            Currency.CURRENT,
            State.SIGNED_OFF,
        ),
        ({"measured": False, "due_on": TODAY}, Currency.DATE, State.RENEWAL_DUE),
    ],
)
def test_why_a_renewal_is_due(change, currency, state):
    result = standing(**COMPLETE | SIGNED | change)
    assert (result.currency, result.state) == (currency, state)
    assert result.due_for == (currency if currency.renewal_due else None)


def test_without_a_sign_off_nothing_is_current():
    result = standing(**COMPLETE | {"alarm_on": TODAY, "warning": 100.0})
    assert (result.currency, result.due_for, result.state) == (None, None, State.EVIDENCE_COMPLETE)
