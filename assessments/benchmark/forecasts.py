"""How well the forecast foretells simulated learners, and whom it calls stuck.

The model, in tolerances (1 from target to limit): the standard deviation of a learner's strands
falls from batch to batch, for width and thickness each from its own first batch to its own
plateau, both log-normal. Half of the learners follow a power of practice, half an exponential; a
third never reach the level. ``BETWEEN`` of the variance lies between batches. One batch a day with
20 strands and 9 points of thickness, measured without error. Shares, points and the rule are the
site's own functions.

The figures hold for these learners. Those of ``SURPRISING`` stand still until a sudden insight or
get better at an even pace until they stop: neither is in the forecast's model.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from assessments.calculations.forecast import (
    ForecastStatus,
    PartHistory,
    exponential,
    forecast,
    power_law,
    share_of_miss,
    stuck,
)
from assessments.calculations.requirements import (
    EvidenceBatch,
    SignOffState,
    evidence_points,
    signoff_state,
)
from assessments.calculations.scoring import share_in_tolerance

SEED = 2031
READINGS = {"width": 20, "thickness": 9}
BETWEEN = 0.2
FIRST_MISS = (0.95, 0.25)
FINAL_MISS = (0.46, 0.3)
LOOKS = (4, 6, 10, 15)
STUCK_LOOKS = (15, 25, 40)
HORIZON = 40
BATCHES = max(LOOKS) + HORIZON
FIRST_DAY = date(2026, 1, 1)

LEARNING = ("power", "exponential")
SURPRISING = ("insight", "even pace")


@dataclass(frozen=True, slots=True)
class Learner:
    """A simulated learner: true and measured shares by part, and the state after each batch."""

    true: dict[str, NDArray[np.float64]]
    shares: dict[str, list[float]]
    states: list[SignOffState]
    complete_after: int | None

    def history(self, part: str, batches: int) -> PartHistory:
        """Return what the forecast sees after a number of batches."""
        state = self.states[batches - 1]
        return PartHistory(
            index=range(1, batches + 1),
            share=self.shares[part][:batches],
            n=[READINGS[part]] * batches,
            balance=state.balances[part],
            shown=state.shown[part],
        )

    def histories(self, batches: int) -> dict[str, PartHistory]:
        """Return the same for both parts."""
        return {part: self.history(part, batches) for part in READINGS}


@dataclass(frozen=True, slots=True)
class ForecastRow:
    """Figures after a number of batches, of the learners who are not complete by then.

    Attributes
    ----------
    look, learners : int
    told : dict of str to float
        Share of the forecasts with each status.
    covered : float
        Of the intervals: how many hold the number of batches that it took; 0.8 is meant.
    kept : float
        Of all forecasts with a ``low``: how many were not complete before; 0.9 is meant.
    by_median : float
        Of all with a median: how many were complete by it; 0.5 is meant, less is too early a
        forecast, more too late a one.
    error_batches, width_batches : float
        Of the intervals: median of what it took less the median foretold, and of their width.
    foretold, found : float
        Mean chance of being complete within the horizon, and how many were.
    brier : float
        Mean squared difference of the two.
    """

    look: int
    learners: int
    told: dict[str, float]
    covered: float
    kept: float
    by_median: float
    error_batches: float
    width_batches: float
    foretold: float
    found: float
    brier: float


@dataclass(frozen=True, slots=True)
class StuckRow:
    """How many parts are called stuck after a number of batches.

    Attributes
    ----------
    look : int
    standing, learning : int
        Open parts whose true share is below 0.92 and gains under 1 point in the next 15 batches,
        and open parts that gain 4 points or more.
    found, wrong : float
        Share of each that is called stuck.
    """

    look: int
    standing: int
    learning: int
    found: float
    wrong: float


def simulate_learner(kind: str, rng: np.random.Generator, batches: int = BATCHES) -> Learner:
    """Return a learner of one kind (of ``LEARNING`` or ``SURPRISING``)."""
    true, shares = {}, {}
    for part, readings in READINGS.items():
        miss = _misses(kind, np.arange(1.0, batches + 1), rng)
        true[part] = share_of_miss(miss)
        means = rng.normal(0, miss * BETWEEN**0.5)
        strands = rng.normal(
            means[:, None], (miss * (1 - BETWEEN) ** 0.5)[:, None], (batches, readings)
        )
        shares[part] = [_share(row) for row in strands]
    evidence: list[EvidenceBatch] = []
    states: list[SignOffState] = []
    complete_after = None
    for batch in range(batches):
        points = {
            part: evidence_points(shares[part][batch], readings)
            for part, readings in READINGS.items()
        }
        evidence.append(EvidenceBatch(FIRST_DAY + timedelta(days=batch), points))
        states.append(signoff_state(evidence))
        if complete_after is None and all(states[-1].shown[part] for part in READINGS):
            complete_after = batch + 1
    return Learner(true, shares, states, complete_after)


def simulate_learners(
    count: int,
    kinds: Sequence[str] = LEARNING,
    *,
    seed: int = SEED,
    advance: Callable[[], object] | None = None,
) -> list[Learner]:
    """Return ``count`` learners of the kinds in turn; ``advance`` is called after each."""
    rng = np.random.default_rng(seed)
    learners = []
    for number in range(count):
        learners.append(simulate_learner(kinds[number % len(kinds)], rng))
        if advance is not None:
            advance()
    return learners


def check_forecasts(learners: Sequence[Learner]) -> list[ForecastRow]:
    """Return the figures of the forecast after each number of ``LOOKS``."""
    return [_forecast_row(learners, look) for look in LOOKS]


def check_stuck(learners: Sequence[Learner]) -> list[StuckRow]:
    """Return the figures of `stuck` after each number of ``STUCK_LOOKS``."""
    rows = []
    for look in STUCK_LOOKS:
        standing, learning = [], []
        for learner in learners:
            for part in READINGS:
                history = learner.history(part, look)
                now, later = learner.true[part][[look - 1, look + 14]]
                if history.shown:
                    continue
                if now < 0.92 and later - now < 0.01:
                    standing.append(stuck({part: history}) is not None)
                elif later - now >= 0.04:
                    learning.append(stuck({part: history}) is not None)
        rows.append(StuckRow(look, len(standing), len(learning), _mean(standing), _mean(learning)))
    return rows


def _forecast_row(learners: Sequence[Learner], look: int) -> ForecastRow:
    statuses, covered, kept, by_median, errors, widths, chances, done = ([] for _ in range(8))
    for learner in learners:
        after = learner.complete_after
        if after is not None and after <= look:
            continue
        took = HORIZON + 1 if after is None else min(after - look, HORIZON + 1)
        result = forecast(learner.histories(look), horizon=HORIZON)
        statuses.append(result.status)
        if result.cdf is not None:
            chances.append(result.cdf[-1])
            done.append(took <= HORIZON)
        if result.low is not None:
            kept.append(took >= result.low)
        if result.median is not None:
            by_median.append(took <= result.median)
        if result.low is not None and result.median is not None and result.high is not None:
            covered.append(result.low <= took <= result.high)
            errors.append(took - result.median)
            widths.append(result.high - result.low)
    return ForecastRow(
        look=look,
        learners=len(statuses),
        told={status.value: _mean([s is status for s in statuses]) for status in ForecastStatus},
        covered=_mean(covered),
        kept=_mean(kept),
        by_median=_mean(by_median),
        error_batches=float(np.median(errors)) if errors else float("nan"),
        width_batches=float(np.median(widths)) if widths else float("nan"),
        foretold=_mean(chances),
        found=_mean(done),
        brier=float(np.mean((np.array(chances) - np.array(done)) ** 2)),
    )


def _misses(
    kind: str, batches: NDArray[np.float64], rng: np.random.Generator
) -> NDArray[np.float64]:
    first = FIRST_MISS[0] * np.exp(rng.normal(0, FIRST_MISS[1]))
    final = min(first, FINAL_MISS[0] * np.exp(rng.normal(0, FINAL_MISS[1])))
    if kind == "power":
        to_go = power_law(batches, rng.uniform(0.35, 0.95))
    elif kind == "exponential":
        to_go = exponential(batches, rng.uniform(3, 14))
    elif kind == "insight":
        to_go = np.where(batches < rng.integers(4, 25), 1.0, 0.15)
    elif kind == "even pace":
        return np.maximum(final, first * np.exp(-(batches - 1) * rng.uniform(0.01, 0.06)))
    else:
        raise ValueError(f"Unknown kind of learner {kind!r}.")
    return np.asarray(final + (first - final) * to_go, dtype=np.float64)


def _share(strands: NDArray[np.float64]) -> float:
    share = share_in_tolerance(strands, -1, 1).share
    if share is None:
        raise ValueError("Too few readings for a share.")
    return share


def _mean(values: Sequence[float]) -> float:
    return float(np.mean(values)) if values else float("nan")
