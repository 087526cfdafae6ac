"""When a cook's evidence will be complete, how sure that is, and who has stopped getting better.

Each part (width, thickness) is described by a learning curve with noise; all curves that fit the
batches so far are carried on, as many draws, through the points of the sign-off rule. What comes
out is a chance for every number of further batches. Where the batches do not say enough the
forecast says so instead of a number.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from functools import cache
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri, xlogy

from assessments.calculations.requirements import DEFAULT_RULE, SignOffRule, evidence_points
from assessments.calculations.scoring import INTERVAL_READINGS_FACTOR, PARTS

HANDS: Final = ("thickness", "width")
"""The parts with a learning curve, in the order in which their random numbers are seeded."""

FEWEST_BATCHES: Final = 4
"""With fewer batches of an open part nothing is told."""

WINDOW: Final = 30
"""A learning curve is fitted to at most this many of the last batches."""

TELLING_BATCHES: Final = 12
"""Without a median, "not before this many" is the least that is worth telling."""

LOW, MEDIAN, HIGH = 0.1, 0.5, 0.9
FAN_QUANTILES: Final = (0.1, 0.25, 0.5, 0.75, 0.9)

_SEED: Final = 20240
_DRAWS: Final = 400
_FLAT_RISE: Final = 0.03
_FLAT_CHANCE: Final = 0.7
_SMALLEST: Final = 1e-6

# What is thought of a learner before the first batch, in tolerances (see `typical_miss`): median
# and logarithmic spread of the first batch and of the plateau. Two of three learners would reach
# a share of 0.94 in the end.
_FIRST_MISS: Final = (0.9, 0.35)
_FINAL_MISS: Final = (0.46, 0.35)
_LEVELS: Final = 9
_EXPONENTS: Final = (0.3, 0.5, 0.8)
_BATCHES_TO_LEARN: Final = (3.0, 5.0, 9.0, 16.0)
# How sharp a batch's share is, over as many independent strands.
_PRECISIONS: Final = np.array([0.3, 0.5, 0.75, 1.0])


class ForecastStatus(StrEnum):
    """How much a forecast can tell."""

    MET = "met"
    INTERVAL = "interval"
    OPEN = "open"
    NOT_BEFORE = "not before"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class PartHistory:
    """The batches of a cook in one style that have a share of width or thickness.

    Attributes
    ----------
    index : sequence of int
        Running number of each batch of that cook and style, from 1, rising; batches without this
        part leave gaps.
    share : sequence of float
        Share within tolerance of each batch, 0..1.
    n : sequence of int
        Readings behind each share, at least 1.
    balance : float
        Present balance of evidence, 0..100.
    shown : bool
        Whether the part is shown.
    """

    index: Sequence[int]
    share: Sequence[float]
    n: Sequence[int]
    balance: float
    shown: bool


@dataclass(frozen=True, slots=True)
class WaterHistory:
    """Points of each batch for its water, oldest first, with the present balance (0..100)."""

    points: Sequence[float]
    balance: float
    shown: bool


@dataclass(frozen=True, slots=True)
class Forecast:
    """How many further batches until the measured evidence is complete.

    Attributes
    ----------
    status : ForecastStatus
        ``'met'``: nothing is open. ``'interval'``: `low` to `high` holds in 8 of 10. ``'open'``:
        complete within the horizon in 5 to 9 of 10, not before `low` and as likely as not by
        `median`. ``'not before'``: less likely than not within the horizon, not before `low` in
        9 of 10. ``'cannot tell'``: too few batches, or hardly anything is excluded.
    median, low, high : int or None
        Further batches; None where the status does not give them. A `low` of the horizon plus 1
        says: not within the horizon.
    cdf : tuple of float or None
        ``cdf[k - 1]`` is the chance that it is complete within k further batches, for k from 1 to
        the horizon. None with too few batches.
    limiting : str or None
        The part that most often is the last; None when met or with too few batches.
    """

    status: ForecastStatus
    median: int | None
    low: int | None
    high: int | None
    cdf: tuple[float, ...] | None
    limiting: str | None


@dataclass(frozen=True, slots=True)
class ForecastDates:
    """A forecast on the calendar; a date is None where the batches or the pace do not give it.

    Attributes
    ----------
    rate_per_day : float
        Batches a day over the last weeks, see `practice_rate`.
    low, median, high : date or None
    """

    rate_per_day: float
    low: date | None
    median: date | None
    high: date | None


@dataclass(frozen=True, slots=True, eq=False)
class Fan:
    """Data of a fan chart of one part; N batches so far (at most `WINDOW`), H to come.

    Attributes
    ----------
    index : ndarray of int, shape (N + H,)
        Running numbers of the batches.
    past : int
        N.
    level : ndarray, shape (5, N + H)
        Quantiles (`FAN_QUANTILES`) of the learning curve: the share of all strands, 0..1.
    batch : ndarray, shape (5, H)
        Quantiles of the share that a single batch to come will show.
    """

    index: NDArray[np.int64]
    past: int
    level: NDArray[np.float64]
    batch: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Stuck:
    """A cook who no longer gets nearer.

    Attributes
    ----------
    part : str
        The part that has been flat for longest.
    batches : int
        How many of its last batches are flat, at most `WINDOW`.
    share : float or None
        Mean share of those batches, 0..1; None for water.
    parts : dict of str to int
        All parts that are flat, with their batches.
    """

    part: str
    batches: int
    share: float | None
    parts: dict[str, int]


def typical_miss(share: float, n: int) -> float:
    """Return how many tolerances one standard deviation of a centred cook with that share is.

    Parameters
    ----------
    share : float
        Share of a batch within tolerance, 0..1.
    n : int
        Readings behind it, at least 1.

    Returns
    -------
    float
        1 / Phi^-1((1 + p)/2) with p = (n share + 0.5)/(n + 1), so that a share of 0 or 1 has a
        finite value too. 1.0 is a share of 68 %, 0.51 one of 95 %.

    Raises
    ------
    ValueError
        For a share outside 0..1 or n below 1.

    Notes
    -----
    House definition; half a reading added to both sides as in Jeffreys' prior (Brown, Cai and
    DasGupta 2001, Statistical Science 16, 101-133).

    Examples
    --------
    >>> round(typical_miss(0.95, 10**9), 4)
    0.5102
    """
    _require_share(share)
    if n < 1:
        raise ValueError(f"n must be at least 1, not {n}.")
    return 1 / float(ndtri((1 + (n * share + 0.5) / (n + 1)) / 2))


def share_of_miss(miss: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the share within tolerance of a centred cook whose SD is `miss` tolerances."""
    return np.asarray(2 * ndtr(1 / miss) - 1, dtype=np.float64)


def power_law(batches: NDArray[np.float64], exponent: float) -> NDArray[np.float64]:
    """Return the part of the way to the plateau that is still to go, by a power of practice.

    ``batches`` count from 1, where it is 1; ``exponent`` is 0 or more. The curve itself is
    plateau + (first - plateau) times it: Newell and Rosenbloom (1981), Mechanisms of skill
    acquisition and the law of practice, without earlier practice.

    Examples
    --------
    >>> 2 + (10 - 2) * power_law(np.array([1.0, 4, 16, 64]), 0.5)
    array([10.,  6.,  4.,  3.])
    """
    return np.asarray(batches**-exponent, dtype=np.float64)


def exponential(batches: NDArray[np.float64], batches_to_learn: float) -> NDArray[np.float64]:
    """Return the part of the way to the plateau still to go, falling by a fixed share a batch.

    ``batches_to_learn`` (above 0) is after how many batches 37 % are left. Single learners follow
    it more closely than a power: Heathcote, Brown and Mewhort (2000), Psychonomic Bulletin and
    Review 7, 185-207.
    """
    return np.asarray(np.exp(-(batches - 1) / batches_to_learn), dtype=np.float64)


def forecast(
    features: Mapping[str, PartHistory],
    hydration: WaterHistory | None = None,
    horizon: int = 40,
    draws: int = _DRAWS,
    *,
    rule: SignOffRule = DEFAULT_RULE,
) -> Forecast:
    """Forecast after how many further batches the measured evidence will be complete.

    Parameters
    ----------
    features : mapping of str to PartHistory
        ``'width'``, ``'thickness'`` or both, oldest batch first.
    hydration : WaterHistory or None
        The same for water; None where it does not count.
    horizon : int
        How many further batches are looked at, at least 1.
    draws : int
        Futures that are drawn, at least 10. The same input always gives the same forecast.
    rule : SignOffRule
        The rule by which batches earn points.

    Returns
    -------
    Forecast
        `low`, `median` and `high` are the smallest numbers of further batches whose chance
        reaches 0.1, 0.5 and 0.9.

    Raises
    ------
    ValueError
        For an unknown part, lists of different length, a share outside 0..1, n below 1, batch
        numbers that do not rise from 1, a balance outside 0..100, or horizon or draws too small.

    Notes
    -----
    *Curve.* The miss (SD in tolerances) at batch j is P + max(A - P, 0) f(j), with f a
    `power_law` (exponents 0.3, 0.5, 0.8) or an `exponential` (3, 5, 9, 16 batches); both kinds are
    held equally likely. A (first batch) and P (plateau) are log-normal, medians 0.9 and 0.46,
    logarithmic SD 0.35, each by nine equally likely values.

    *Noise.* The share s_j of n_j readings lies about the curve's share p_j with variance
    p_j (1 - p_j)/(phi 1.4 n_j): 1.4, because the smoothed share is as sharp as a plain count of
    that many more readings; phi (0.3, 0.5, 0.75 or 1) takes up what differs from batch to batch.
    Log weight: extended quasi-likelihood (Nelder and Pregibon 1987, Biometrika 74, 221-232),
    N/2 ln phi - phi sum 1.4 n_j d(s_j, p_j), d = s ln(s/p) + (1 - s) ln((1 - s)/(1 - p)).

    *Futures.* Curves by systematic sampling of the weights; shares from beta distributions of the
    same mean and variance with the median n of the last five batches; points by the rule, the
    balance run on until 100. The limit of two earning batches a day and the days of earning are
    left out. Water: its balance over the mean of its last five points, never if that is 0 or
    less. The parts are independent; the last one counts.

    *Statuses.* ``'interval'`` from a chance of 0.9 within the horizon, ``'open'`` from 0.5; below
    that ``'not before'`` if at least `TELLING_BATCHES` are excluded with 0.9, else
    ``'cannot tell'``, as with fewer than `FEWEST_BATCHES` batches of an open part.

    *Limits.* Checked by simulation on learners whose curve is a power or an exponential
    (`assessments.benchmark.forecasts`): 0.88 to 0.94 of the intervals hold, 0.90 to 0.94 of the
    lower ends, and about half are complete by the median. After 4 to 6 batches a chance below 0.3
    is too low (0.4 come true); from 10 batches on chances are right within 0.1. A sudden insight
    after long standing still is not in the model: such a cook may be ready earlier than told. In
    a house where nearly all reach the level the median is late (7 of 10 complete by it), where few
    do it is early (3 of 10); the lower ends hold in both.

    Examples
    --------
    >>> shares = [0.70, 0.78, 0.80, 0.86, 0.88, 0.91, 0.90, 0.93, 0.95, 0.94]
    >>> width = PartHistory(range(1, 11), shares, [20] * 10, balance=30.0, shown=False)
    >>> result = forecast({"width": width})
    >>> result.status.value, result.low <= result.median <= result.high
    ('interval', True)
    """
    _check(features, hydration, horizon, draws)
    histories = {part: features[part] for part in HANDS if part in features}
    open_parts = [part for part, history in histories.items() if not history.shown]
    water_open = hydration is not None and not hydration.shown
    if not open_parts and not water_open:
        return Forecast(ForecastStatus.MET, 0, 0, 0, (1.0,) * horizon, None)
    counts = [len(histories[part].share) for part in open_parts]
    if hydration is not None and water_open:
        counts.append(len(hydration.points))
    if min(counts) < FEWEST_BATCHES:
        return Forecast(ForecastStatus.CANNOT_TELL, None, None, None, None, None)
    needed = {
        part: _batches_needed(
            _future(part, histories[part], horizon, draws).batch, histories[part], rule
        )
        for part in open_parts
    }
    if hydration is not None and water_open:
        needed["hydration"] = np.full(draws, _water_needed(hydration, horizon))
    return _told(needed, horizon)


def fan(
    features: Mapping[str, PartHistory], horizon: int = 40, draws: int = _DRAWS
) -> dict[str, Fan]:
    """Return the data of a fan chart for each part, from the futures that `forecast` draws.

    Parameters
    ----------
    features : mapping of str to PartHistory
        As for `forecast`. Parts that are shown are drawn too.
    horizon, draws : int
        As for `forecast`.

    Returns
    -------
    dict of str to Fan
        Without the parts that have fewer than `FEWEST_BATCHES` batches.

    Raises
    ------
    ValueError
        As `forecast`.
    """
    _check(features, None, horizon, draws)
    fans = {}
    for part in HANDS:
        history = features.get(part)
        if history is None or len(history.share) < FEWEST_BATCHES:
            continue
        future = _future(part, history, horizon, draws)
        fans[part] = Fan(
            index=future.index,
            past=future.index.size - horizon,
            level=np.quantile(future.level, FAN_QUANTILES, axis=0),
            batch=np.quantile(future.batch, FAN_QUANTILES, axis=0),
        )
    return fans


def practice_rate(days: Sequence[date], today: date, window: int = 28) -> float:
    """Return how many batches a day a cook has made lately.

    Parameters
    ----------
    days : sequence of date
        Day of each batch, in any order; those after `today` are not counted.
    today : date
    window : int
        Days that are looked back, with today, at least 1.

    Returns
    -------
    float
        Batches a day; 0 without one in the window.

    Raises
    ------
    ValueError
        For a window below 1.

    Examples
    --------
    >>> practice_rate([date(2026, 3, 1), date(2026, 3, 28)], date(2026, 3, 28))
    0.07142857142857142
    """
    if window < 1:
        raise ValueError(f"window must be at least 1 day, not {window}.")
    return sum(0 <= (today - day).days < window for day in days) / window


def forecast_dates(
    result: Forecast, days: Sequence[date], today: date, window: int = 28
) -> ForecastDates:
    """Return the dates of a forecast if the cook goes on at the pace of the last weeks.

    Parameters
    ----------
    result : Forecast
    days, today, window
        As for `practice_rate`.

    Returns
    -------
    ForecastDates
        today + ceil(k / rate) for each number of batches k that the forecast gives; no dates but
        today's at a rate of 0. The uncertainty is that of the batches: the pace is taken as it
        is. A `low` says "not before this date".

    Raises
    ------
    ValueError
        For a window below 1.
    """
    rate = practice_rate(days, today, window)

    def on(batches: int | None) -> date | None:
        if batches is None or (batches > 0 and rate == 0):
            return None
        # The slack keeps 12 batches at 12/28 a day from becoming 29 days by rounding.
        return today + timedelta(days=math.ceil(batches / rate - 1e-9) if batches else 0)

    return ForecastDates(rate, on(result.low), on(result.median), on(result.high))


def ready_probability(cdf: Sequence[float] | None, further_batches: float) -> float | None:
    """Return the chance that the evidence is complete after a number of further batches.

    Parameters
    ----------
    cdf : sequence of float or None
        Of a `Forecast`.
    further_batches : float
        Days left times `practice_rate`; need not be whole, and counts as 0 when negative.

    Returns
    -------
    float or None
        0 below one batch, the last value beyond the horizon (it is then at least that), None for
        no `cdf`.

    Raises
    ------
    ValueError
        When `further_batches` is not finite.

    Examples
    --------
    >>> ready_probability((0.1, 0.4, 0.8), 2.9)
    0.4
    """
    if not math.isfinite(further_batches):
        raise ValueError(f"further_batches must be finite, not {further_batches}.")
    if cdf is None:
        return None
    whole = math.floor(further_batches)
    return 0.0 if whole < 1 else cdf[min(whole, len(cdf)) - 1]


def stuck(
    features: Mapping[str, PartHistory],
    hydration: WaterHistory | None = None,
    *,
    fewest: int = 8,
    rule: SignOffRule = DEFAULT_RULE,
) -> Stuck | None:
    """Tell whether a cook has stopped getting nearer, and on which part.

    Parameters
    ----------
    features, hydration
        As for `forecast`.
    fewest : int
        From how many flat batches on it is said, at least 5.
    rule : SignOffRule
        The rule by which batches earn points.

    Returns
    -------
    Stuck or None
        None where nothing is flat, also with fewer batches. Ties: width, thickness, hydration in
        that order.

    Raises
    ------
    ValueError
        As `forecast`, or for `fewest` below 5.

    Notes
    -----
    House definition. Width or thickness is flat for m batches when it is not shown, its last m
    batches earned 0 points or less on average (more like them would not bring it nearer), and its
    learning curve rose by less than 3 points of 100 over them in at least 7 of 10 of the curves
    that `forecast` draws. Water has no curve: there the points alone decide. m is the largest
    number from `fewest` upward for which this holds without a break.

    A test of rank (Mann 1945, Econometrica 13, 245-259) on the same batches called half of those
    stuck who still gain 4 points in 15 batches; the curve, which knows the batches before, calls
    one in twenty (`assessments.benchmark.forecasts`).
    """
    _check(features, hydration)
    if fewest < 5:
        raise ValueError(f"fewest must be at least 5, not {fewest}.")
    flat = {}
    for part in PARTS:
        if part == "hydration":
            batches = 0
            if hydration is not None and not hydration.shown:
                batches = _flat_batches(hydration.points, fewest)
        else:
            history = features.get(part)
            if history is None or history.shown or len(history.share) < fewest:
                continue
            readings = zip(history.share, history.n, strict=True)
            points = [evidence_points(share, n, rule=rule) for share, n in readings]
            level = _future(part, history, 1, _DRAWS).level[:, :-1]
            chances = np.mean(level[:, -1:] - level < _FLAT_RISE, axis=0)[::-1]
            batches = _flat_batches(points, fewest, chances)
        if batches:
            flat[part] = batches
    if not flat:
        return None
    part = max(flat, key=lambda name: flat[name])
    batches = flat[part]
    share = None
    if part != "hydration":
        share = math.fsum(features[part].share[-batches:]) / batches
    return Stuck(part, batches, share, flat)


@dataclass(frozen=True, slots=True, eq=False)
class _Future:
    """Drawn curves of one part: `level` (draws, N + H) and single batches to come (draws, H)."""

    index: NDArray[np.int64]
    level: NDArray[np.float64]
    batch: NDArray[np.float64]


def _future(part: str, history: PartHistory, horizon: int, draws: int) -> _Future:
    # Its own stream for each part, the same whether or not the other part is open.
    rng = np.random.default_rng(_SEED + HANDS.index(part))
    past = np.array(history.index[-WINDOW:], dtype=np.int64)
    index = np.concatenate([past, past[-1] + np.arange(1, horizon + 1)])
    final, gap, precision, to_go = _drawn_curves(history, index, draws, rng)
    level = share_of_miss(final[:, None] + gap[:, None] * to_go)
    readings = int(np.median(history.n[-5:]))
    # Below 1 a beta distribution would put the batches at 0 and 1.
    sharpness = np.maximum(precision * INTERVAL_READINGS_FACTOR * readings - 1, 1.0)[:, None]
    mean = np.clip(level[:, past.size :], _SMALLEST, 1 - _SMALLEST)
    return _Future(index, level, rng.beta(mean * sharpness, (1 - mean) * sharpness))


def _drawn_curves(
    history: PartHistory, index: NDArray[np.int64], draws: int, rng: np.random.Generator
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return plateau, gap and precision (draws,) and the way still to go (draws, batches)."""
    final, first = _equally_likely(*_FINAL_MISS), _equally_likely(*_FIRST_MISS)
    gap = np.maximum(first[None, :] - final[:, None], 0.0)
    to_go, shape_weights = _shapes(index.astype(np.float64))
    log_weights = np.log(shape_weights)[:, None, None, None] + _log_likelihood(
        history,
        final[None, :, None, None]
        + gap[None, :, :, None] * to_go[:, None, None, : len(history.share[-WINDOW:])],
    )
    weights = np.exp(log_weights - log_weights.max()).ravel()
    cumulated = np.cumsum(weights)
    places = (np.arange(draws) + 0.5) / draws * cumulated[-1]
    # Shuffled, so that the curves of two parts are not paired by their order in the grid.
    cells = rng.permutation(np.searchsorted(cumulated, places))
    shape, i, j, k = np.unravel_index(cells, log_weights.shape)
    return final[i], gap[i, j], _PRECISIONS[k], to_go[shape]


def _log_likelihood(history: PartHistory, miss: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the extended quasi-likelihood, with the precisions as a last axis.

    ``miss`` has the batches as its last axis.
    """
    shares = np.array(history.share[-WINDOW:], dtype=np.float64)
    strands = INTERVAL_READINGS_FACTOR * np.array(history.n[-WINDOW:], dtype=np.float64)
    curve = np.clip(share_of_miss(miss), _SMALLEST, 1 - _SMALLEST)
    own = float(strands @ (xlogy(shares, shares) + xlogy(1 - shares, 1 - shares)))
    lack = own - np.log(curve) @ (strands * shares) - np.log1p(-curve) @ (strands * (1 - shares))
    return np.asarray(
        0.5 * shares.size * np.log(_PRECISIONS) - lack[..., None] * _PRECISIONS, dtype=np.float64
    )


def _shapes(batches: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the way still to go, (shapes, batches), and the prior weight of each shape."""
    curves = [power_law(batches, exponent) for exponent in _EXPONENTS]
    curves += [exponential(batches, to_learn) for to_learn in _BATCHES_TO_LEARN]
    weights = [0.5 / len(_EXPONENTS)] * len(_EXPONENTS)
    weights += [0.5 / len(_BATCHES_TO_LEARN)] * len(_BATCHES_TO_LEARN)
    return np.array(curves), np.array(weights)


def _equally_likely(median: float, log_sd: float) -> NDArray[np.float64]:
    """Return `_LEVELS` equally likely values of a log-normal distribution."""
    z = ndtri((np.arange(_LEVELS) + 0.5) / _LEVELS)
    return np.asarray(median * np.exp(log_sd * z), dtype=np.float64)


@cache
def _points_table(n: int, rule: SignOffRule) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return points by share, for interpolation: the rule is asked 401 times, not per draw."""
    shares = np.linspace(0, 1, 401)
    return shares, np.array([evidence_points(float(share), n, rule=rule) for share in shares])


def _batches_needed(
    shares: NDArray[np.float64], history: PartHistory, rule: SignOffRule
) -> NDArray[np.int64]:
    """Return for each draw after how many batches the balance is full, horizon + 1 for never."""
    draws, horizon = shares.shape
    points = np.interp(shares, *_points_table(int(np.median(history.n[-5:])), rule))
    balance = np.full(draws, float(history.balance))
    needed = np.full(draws, horizon + 1, dtype=np.int64)
    for batch in range(horizon):
        balance = np.clip(balance + points[:, batch], 0, 100)
        needed[(needed > horizon) & (balance >= 100 - 1e-6)] = batch + 1
    return needed


def _water_needed(water: WaterHistory, horizon: int) -> int:
    last = water.points[-5:]
    mean = math.fsum(last) / len(last)
    if mean <= 0:
        return horizon + 1
    return min(horizon + 1, max(1, math.ceil((100 - water.balance) / mean - 1e-6)))


def _told(needed: Mapping[str, NDArray[np.int64]], horizon: int) -> Forecast:
    parts = [part for part in PARTS if part in needed]
    table = np.array([needed[part] for part in parts])
    total = table.max(axis=0)
    cdf = np.count_nonzero(total[None, :] <= np.arange(1, horizon + 1)[:, None], axis=1)
    cdf = cdf / total.size
    # Where several parts are last together, as at the horizon, the first one is named.
    limiting = parts[int(np.bincount(table.argmax(axis=0), minlength=len(parts)).argmax())]

    def reached(chance: float) -> int | None:
        return int(np.argmax(cdf >= chance)) + 1 if cdf[-1] >= chance else None

    low, median, high = reached(LOW), reached(MEDIAN), reached(HIGH)
    if high is not None:
        status = ForecastStatus.INTERVAL
    elif median is not None:
        status = ForecastStatus.OPEN
    else:
        low = horizon + 1 if low is None else low
        if low >= min(TELLING_BATCHES, horizon + 1):
            status = ForecastStatus.NOT_BEFORE
        else:
            status, low = ForecastStatus.CANNOT_TELL, None
    return Forecast(status, median, low, high, tuple(cdf.tolist()), limiting)


def _flat_batches(
    points: Sequence[float], fewest: int, chances: NDArray[np.float64] | None = None
) -> int:
    """Return the most batches, 0 or from `fewest` on, that are flat.

    ``chances[m - 1]`` is how likely the last m batches are without a rise.
    """
    flat = 0
    for batches in range(fewest, min(len(points), WINDOW) + 1):
        rises = chances is not None and chances[batches - 1] < _FLAT_CHANCE
        if math.fsum(points[-batches:]) > 0 or rises:
            break
        flat = batches
    return flat


def _check(
    features: Mapping[str, PartHistory],
    hydration: WaterHistory | None,
    horizon: int = 1,
    draws: int = 10,
) -> None:
    if horizon < 1 or draws < 10:
        raise ValueError(
            f"horizon must be at least 1 and draws at least 10, not {horizon} and {draws}."
        )
    for part, history in features.items():
        if part not in HANDS:
            raise ValueError(f"Unknown part {part!r}; width and thickness have a history.")
        if not len(history.index) == len(history.share) == len(history.n):
            raise ValueError(f"{part}: index, share and n must have the same length.")
        for share in history.share:
            _require_share(share)
        if any(n < 1 for n in history.n):
            raise ValueError(f"{part}: n must be at least 1 in every batch.")
        numbers = [0, *history.index]
        if any(later <= earlier for earlier, later in pairwise(numbers)):
            raise ValueError(f"{part}: batch numbers must rise, from 1.")
        _require_balance(part, history.balance)
    if hydration is not None:
        _require_balance("hydration", hydration.balance)
        if not all(math.isfinite(points) for points in hydration.points):
            raise ValueError("hydration: points must be finite.")


def _require_share(share: float) -> None:
    if not 0 <= share <= 1:
        raise ValueError(f"share must be from 0 to 1, not {share}.")


def _require_balance(part: str, balance: float) -> None:
    if not 0 <= balance <= 100:
        raise ValueError(f"{part}: balance must be from 0 to 100, not {balance}.")
