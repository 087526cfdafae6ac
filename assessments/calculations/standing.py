"""Where a cook stands at a station on a day, and what a sign-off still needs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from assessments.calculations.monitoring import WATCH, Currency


class State(StrEnum):
    """The six states of a cook at a station."""

    NOT_STARTED = "not_started"
    PRACTISING = "practising"
    EVIDENCE_COMPLETE = "evidence_complete"
    SIGNED_OFF = "signed_off"
    RENEWAL_DUE = "renewal_due"
    WITHDRAWN = "withdrawn"


class Missing(StrEnum):
    """What a sign-off still needs."""

    MEASURED = "measured"
    MODULES = "modules"
    OBSERVATIONS = "observations"
    RECENT_OBSERVATION = "recent_observation"


@dataclass(frozen=True, slots=True)
class Standing:
    """State of a cook at a station.

    Attributes
    ----------
    state : State
    missing : tuple of Missing
        What the house's rule demands before a sign-off and is not there yet, in order of work.
    currency : Currency or None
        Whether a sign-off that holds is current and, where its renewal is due, for which reason;
        None without one.
    """

    state: State
    missing: tuple[Missing, ...]
    currency: Currency | None = None

    @property
    def due_for(self) -> Currency | None:
        """The reason for which a renewal is due; None where it is not."""
        return self.currency if self.state == State.RENEWAL_DUE else None

    @property
    def ready_to_sign(self) -> bool:
        """Whether nothing is missing."""
        return not self.missing

    @property
    def can_hold(self) -> bool:
        """Whether the cook may hold the station alone: a renewal that is due does not bar it."""
        return self.state in (State.SIGNED_OFF, State.RENEWAL_DUE)


def standing(
    *,
    today: date,
    measured: bool,
    counted: int,
    evidence_complete: bool,
    modules_required: int,
    modules_done: int,
    observations_met: int,
    observations_needed: int,
    last_met_on: date | None,
    recent_days: int,
    signed_on: date | None,
    due_on: date | None,
    last_batch_on: date | None,
    recent_practice_days: int,
    alarm_on: date | None,
    warning: float,
    withdrawn: bool,
) -> Standing:
    """Return the state on ``today`` and what is missing for a sign-off.

    Parameters
    ----------
    today : date
    measured : bool
        Whether the station is judged on measured batches.
    counted : int
        Batches counted so far.
    evidence_complete : bool
        Whether width, thickness and water are all shown (``signoff_state``).
    modules_required, modules_done : int
        Modules that the station demands, and those read with their questions answered.
    observations_met, observations_needed : int
        Observations with every safety and hygiene criterion met, and how many the house wants.
    last_met_on : date or None
        Day of the newest of them.
    recent_days : int
        The newest must be at most this many days old.
    signed_on, due_on : date or None
        Day of a sign-off that holds, and day on which it falls due for renewal; both None without.
    last_batch_on : date or None
        Day of the last finished batch.
    recent_practice_days : int
        Renewal of a measured station is due when more days than these have passed since the last
        batch and since the sign-off.
    alarm_on : date or None
        Day of the batch since the sign-off at which the chart of evenness gave its alarm.
    warning : float
        Where that chart stands, 0..100.
    withdrawn : bool
        Whether the last decision was a withdrawal.

    Notes
    -----
    A decision outweighs the evidence: a signed-off cook stays so until renewal is due or the
    sign-off is withdrawn. Evidence complete is never a sign-off: a head chef decides. Of several
    reasons for a renewal the first counts, in the order of ``monitoring.monitor_state``.

    Examples
    --------
    >>> standing(today=date(2026, 3, 1), measured=True, counted=0, evidence_complete=False,
    ...          modules_required=2, modules_done=0, observations_met=0, observations_needed=2,
    ...          last_met_on=None, recent_days=14, signed_on=None, due_on=None,
    ...          last_batch_on=None, recent_practice_days=60, alarm_on=None, warning=0.0,
    ...          withdrawn=False).state.value
    'not_started'
    """
    missing = []
    if measured and not evidence_complete:
        missing.append(Missing.MEASURED)
    if modules_done < modules_required:
        missing.append(Missing.MODULES)
    if observations_met < observations_needed:
        missing.append(Missing.OBSERVATIONS)
    elif last_met_on is None or (today - last_met_on).days > recent_days:
        missing.append(Missing.RECENT_OBSERVATION)

    currency = None
    if signed_on is not None and due_on is not None:
        currency = Currency.DATE if today >= due_on else Currency.CURRENT
        if measured:
            last_on = signed_on if last_batch_on is None else max(last_batch_on, signed_on)
            if alarm_on is not None:
                currency = Currency.EVENNESS
            elif (today - last_on).days > recent_practice_days:
                currency = Currency.NO_RECENT_BATCH
            elif currency == Currency.CURRENT and warning >= WATCH:
                currency = Currency.WATCH
        state = State.RENEWAL_DUE if currency.renewal_due else State.SIGNED_OFF
    elif not missing:
        state = State.EVIDENCE_COMPLETE
    elif withdrawn:
        state = State.WITHDRAWN
    elif counted or modules_done or observations_met:
        state = State.PRACTISING
    else:
        state = State.NOT_STARTED
    return Standing(state=state, missing=tuple(missing), currency=currency)
