"""Whether a signed-off cook still makes even strands: a warning that fills up, and its alarms."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from assessments.calculations.requirements import DEFAULT_RULE, SignOffRule, batch_ratio

LOG_RATIO_CAP: Final = 1.8
LOG_RATIO_DIVISOR: Final = 3.0
"""A batch adds 100 * 1.8/3.0 = 60 to the warning at most: one bad batch alone is no alarm."""

WATCH: Final = 50.0
RECENT_DAYS: Final = 60
RENEWAL_DAYS: Final = 365
"""Policy of the house, not statistics."""

FALSE_ALARM_BATCHES: Final = 110
"""Mean batches to a false alarm of one part for a cook who holds a share of 0.95, at the worst.

Of nine simulated settings (10, 20 or 40 strands; batches alike, unlike, or unlike and off target)
the one with most alarms; the others have 160 to 1150. Within 30 batches a false alarm comes in 2
to 23 of 100. With width and thickness watched at once there are up to twice as many. See
`assessments.benchmark.monitoring_chart`.
"""

_ALARM: Final = 100.0
_SLACK: Final = 1e-6


class Currency(StrEnum):
    """Whether a sign-off is current."""

    EVENNESS = "renewal due: evenness"
    NO_RECENT_BATCH = "renewal due: no recent batch"
    DATE = "renewal due: date"
    WATCH = "watch"
    CURRENT = "current"

    @property
    def renewal_due(self) -> bool:
        """Whether the head chef has to decide anew."""
        return self in (Currency.EVENNESS, Currency.NO_RECENT_BATCH, Currency.DATE)


@dataclass(frozen=True, slots=True)
class MonitorState:
    """Where the chart of one part stands.

    Attributes
    ----------
    warning : float
        0..100.
    state : Currency
    alarm_at : int or None
        Position, from 0, of the batch at which the warning was full; the chart stops there.
    path : tuple of float
        Warning after each batch up to the alarm, 0..100: the line of the chart.
    """

    warning: float
    state: Currency
    alarm_at: int | None
    path: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class RunLength:
    """How long a chart runs until its alarm.

    Attributes
    ----------
    mean : float
        Mean batches from a warning of 0 to the alarm; infinite if no batch adds to it.
    chance_within : tuple of float
        Chance of an alarm within each of the asked numbers of batches.
    """

    mean: float
    chance_within: tuple[float, ...]


def monitor_points(share: float | None, n: int, *, rule: SignOffRule = DEFAULT_RULE) -> float:
    """Return what a batch adds to the warning for its width or its thickness.

    Parameters
    ----------
    share : float or None
        Share of the batch within tolerance, 0..1.
    n : int
        Readings behind it, 0 or more.
    rule : SignOffRule
        Shares of a cook who is ready and of one who is not, and the resemblance of strands.

    Returns
    -------
    float
        100 min(-L, 1.8)/3.0 with L the `log_likelihood_ratio`: 60 at most, below 0 for a good
        batch. 0 without a share or with fewer than five readings.

    Raises
    ------
    ValueError
        For a share outside 0..1 or a negative n.

    Examples
    --------
    >>> round(monitor_points(0.90, 20), 6), monitor_points(0.3, 20)
    (4.933997, 60.0)
    """
    ratio = batch_ratio(share, n, rule=rule)
    return 100 * min(-ratio, LOG_RATIO_CAP) / LOG_RATIO_DIVISOR


def monitor_state(
    points: Sequence[float],
    days_since_last: int,
    days_since_signoff: int,
    *,
    recent_days: int = RECENT_DAYS,
    renewal_days: int = RENEWAL_DAYS,
) -> MonitorState:
    """Run the chart of one part over the counted batches since the sign-off.

    Parameters
    ----------
    points : sequence of float
        `monitor_points` of each batch, oldest first.
    days_since_last, days_since_signoff : int
        Days since the last counted batch and since the sign-off, 0 or more.
    recent_days, renewal_days : int
        Renewal is due when more days than these have passed.

    Returns
    -------
    MonitorState
        The warning is max(0, warning + points) from batch to batch, and an alarm at 100, after
        which it stays. The state is the first that holds of: alarm, no recent batch, date, watch
        (warning of 50 or more), current. Each part has its own chart; renewal is due when it is
        for one of them.

    Raises
    ------
    ValueError
        For points that are not finite or negative days.

    Notes
    -----
    One-sided cumulative sum of a log likelihood ratio: Page (1954), Biometrika 41, 100-115.
    False alarms: `FALSE_ALARM_BATCHES`.

    Examples
    --------
    >>> monitor_state([60.0, -20.0, 15.0], 3, 40)
    MonitorState(warning=55.0, state=<Currency.WATCH: 'watch'>, alarm_at=None, \
path=(60.0, 40.0, 55.0))
    """
    if days_since_last < 0 or days_since_signoff < 0:
        raise ValueError(f"Days must be 0 or more, not {days_since_last} and {days_since_signoff}.")
    warning, alarm_at = 0.0, None
    path: list[float] = []
    for position, value in enumerate(points):
        if not math.isfinite(value):
            raise ValueError(f"Points of batch {position + 1} must be finite, not {value}.")
        warning = max(0.0, warning + value)
        path.append(min(_ALARM, warning))
        if warning >= _ALARM - _SLACK:
            alarm_at = position
            break
    if alarm_at is not None:
        state = Currency.EVENNESS
    elif days_since_last > recent_days:
        state = Currency.NO_RECENT_BATCH
    elif days_since_signoff > renewal_days:
        state = Currency.DATE
    elif warning >= WATCH:
        state = Currency.WATCH
    else:
        state = Currency.CURRENT
    return MonitorState(min(_ALARM, warning), state, alarm_at, tuple(path))


def run_length(
    points: Sequence[float] | NDArray[np.float64],
    within: Sequence[int] = (),
    states: int = 200,
) -> RunLength:
    """Return how long the chart runs until its alarm when batches bring these points.

    Parameters
    ----------
    points : sequence of float, shape (m,)
        A large sample of `monitor_points`, each equally likely and independent of the last.
    within : sequence of int
        Numbers of batches, 1 or more, for which the chance of an alarm is wanted.
    states : int
        Steps into which the warning is divided, at least 10.

    Returns
    -------
    RunLength

    Raises
    ------
    ValueError
        Without points, for one that is not finite, or for numbers below their least.

    Notes
    -----
    Markov chain of Brook and Evans (1972), Biometrika 59, 539-549. Meant for points that vary
    smoothly: where few values add up to exactly 100 the steps blur which of them is an alarm.
    """
    sample = np.sort(np.asarray(points, dtype=np.float64))
    if sample.size == 0 or not np.isfinite(sample).all():
        raise ValueError("At least one point is needed, and all must be finite.")
    if states < 10 or any(batches < 1 for batches in within):
        raise ValueError("states must be at least 10 and every number of batches at least 1.")
    step = 2 * _ALARM / (2 * states - 1)
    # Chance that a batch moves the warning from state i to state j or lower.
    edges = (np.arange(states)[None, :] - np.arange(states)[:, None] + 0.5) * step
    to_or_below = np.searchsorted(sample, edges, side="left") / sample.size
    moves = np.diff(to_or_below, axis=1, prepend=0.0)
    chances = []
    if within:
        running = np.ones(states)
        still = []
        for _ in range(max(within)):
            running = moves @ running
            still.append(float(running[0]))
        chances = [1 - still[batches - 1] for batches in within]
    # Such points never leave the first state.
    if sample[-1] < step / 2:
        return RunLength(math.inf, tuple(chances))
    mean = float(np.linalg.solve(np.eye(states) - moves, np.ones(states))[0])
    return RunLength(mean, tuple(chances))
