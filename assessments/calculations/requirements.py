"""The evidence that must be complete before a head chef may sign: a points balance for each part.

A part earns points batch by batch and loses them without limit; the balance is kept within
0..100 and a part is *shown* when it reaches 100 on enough different days. Complete evidence is
never a sign-off: a head chef decides.
"""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date, datetime
from typing import Final

from scipy.special import betaln

from assessments.calculations.scoring import PARTS

RULE_VERSION: Final = "1"
"""Stored beside points and sign-offs; changed whenever a formula in this module changes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignOffRule:
    """Parameters of the rule; their names and values are frozen into a sign-off's evidence.

    Attributes
    ----------
    p_ready, p_not : float
        Long-run shares of a cook who is ready and of one who is not, 0 < p_not < p_ready < 1.
    resemblance : float
        How much the strands of one batch resemble each other (intraclass correlation), 0..1.
    log_ratio_cap, log_ratio_divisor : float
        A batch earns 100 log_ratio_cap / log_ratio_divisor points at most.
    minimum_readings, earning_readings : int
        Fewer readings than the first give no points, fewer than the second cannot earn.
    hydration_earns, hydration_zero : float
        Points for water spot on, and the part of the tolerance at which they are used up.
    abandoned_points : float
        Points of a batch that was opened and never measured.
    earning_batches_a_day : int
        Later batches of the same day can only lose.
    earning_days : int
        Different days on which a part must have earned.
    shown_until : float
        A part that was shown stays so until its balance falls below this.
    opening_balance : float
        Balance of every part before the first batch.
    """

    p_ready: float = 0.95
    p_not: float = 0.80
    resemblance: float = 0.05
    log_ratio_cap: float = 0.70
    log_ratio_divisor: float = 3.5
    minimum_readings: int = 5
    earning_readings: int = 8
    hydration_earns: float = 20.0
    hydration_zero: float = 0.45
    abandoned_points: float = -20.0
    earning_batches_a_day: int = 2
    earning_days: int = 3
    shown_until: float = 60.0
    opening_balance: float = 0.0

    def __post_init__(self) -> None:
        if not 0 < self.p_not < self.p_ready < 1:
            raise ValueError(
                f"0 < p_not < p_ready < 1 must hold, not p_not {self.p_not} and "
                f"p_ready {self.p_ready}."
            )
        if not 0 < self.resemblance < 1:
            raise ValueError(f"resemblance must lie between 0 and 1, not {self.resemblance}.")
        for name in ("log_ratio_cap", "log_ratio_divisor", "hydration_earns", "hydration_zero"):
            value = getattr(self, name)
            if not (value > 0 and math.isfinite(value)):
                raise ValueError(f"{name} must be above 0, not {value}.")

    @property
    def tested(self) -> bool:
        """Whether the published error rates of the default or the brisk rule hold for it."""
        return self in (DEFAULT_RULE, BRISK_RULE)

    def as_evidence(self) -> dict[str, float]:
        """Return every parameter by name; ``SignOffRule(**evidence)`` gives the rule back."""
        return asdict(self)


DEFAULT_RULE: Final = SignOffRule()
BRISK_RULE: Final = SignOffRule(log_ratio_cap=0.75, log_ratio_divisor=3.0)
"""Width and thickness earn 25 points a batch at most: at least four batches instead of five."""

RENEWAL_RULE: Final = SignOffRule(opening_balance=60.0, earning_days=2)
"""For batches since a sign-off that was earned: at least two good ones on different days."""


@dataclass(frozen=True, slots=True)
class EvidenceBatch:
    """One batch as `signoff_state` reads it; `points` by part, None for a part not counted."""

    day: str | date
    points: Mapping[str, float | None] = field(default_factory=dict)
    abandoned: bool = False


@dataclass(frozen=True, slots=True)
class SignOffState:
    """How far the evidence of one cook for one style has come.

    Attributes
    ----------
    balances : dict of str to float
        Balance of each part, 0..100.
    shown : dict of str to bool
        Whether the part is shown.
    complete : bool
        Whether all parts are shown.
    more_like_last : int or None
        How many more batches like the last would complete it, 0 when complete, None when a
        batch like the last would not bring the cook nearer.
    limiting : str or None
        The part that `more_like_last` speaks of; None when complete.
    counted : int
        Batches that were not abandoned.
    earning_days : dict of str to int
        Different days on which the part has earned since its balance was last 0.
    """

    balances: dict[str, float]
    shown: dict[str, bool]
    complete: bool
    more_like_last: int | None
    limiting: str | None
    counted: int
    earning_days: dict[str, int]


def log_likelihood_ratio(
    share: float, n: int, p_ready: float, p_not: float, resemblance: float
) -> float:
    """Return how much better the share fits a ready cook than one who is not ready.

    Parameters
    ----------
    share : float
        Share of the batch within tolerance, 0..1; `share` times `n` need not be whole.
    n : int
        Readings of the batch, at least 1.
    p_ready, p_not : float
        Long-run shares that are compared, 0 < p_not < p_ready < 1.
    resemblance : float
        Intraclass correlation of the strands of one batch, between 0 and 1.

    Returns
    -------
    float
        Natural logarithm of the ratio of the two beta-binomial likelihoods.

    Raises
    ------
    ValueError
        For an argument outside its range.

    Notes
    -----
    Beta-binomial with mean p and intraclass correlation rho: a = p (1 - rho)/rho and
    b = (1 - p)(1 - rho)/rho; the binomial coefficient cancels (Skellam 1948, Journal of the
    Royal Statistical Society B 10, 257-261).

    Examples
    --------
    >>> round(log_likelihood_ratio(0.90, 20, 0.95, 0.80, 0.05), 9)
    -0.148019908
    """
    if not 0 <= share <= 1:
        raise ValueError(f"share must be from 0 to 1, not {share}.")
    if n < 1:
        raise ValueError(f"n must be at least 1, not {n}.")
    if not 0 < p_not < p_ready < 1:
        raise ValueError(
            f"0 < p_not < p_ready < 1 must hold, not p_not {p_not} and p_ready {p_ready}."
        )
    if not 0 < resemblance < 1:
        raise ValueError(f"resemblance must lie between 0 and 1, not {resemblance}.")
    within = n * share
    total = (1 - resemblance) / resemblance

    def log_likelihood(p: float) -> float:
        a, b = p * total, (1 - p) * total
        return float(betaln(within + a, n - within + b) - betaln(a, b))

    return log_likelihood(p_ready) - log_likelihood(p_not)


def batch_ratio(
    share: float | None,
    n: int,
    p_ready: float | None = None,
    p_not: float | None = None,
    *,
    rule: SignOffRule = DEFAULT_RULE,
) -> float:
    """Return what one part of a batch says: the `log_likelihood_ratio`, or 0 where it says nothing.

    Parameters
    ----------
    share : float or None
        Share of the batch within tolerance, 0..1.
    n : int
        Readings behind the share, 0 or more.
    p_ready, p_not : float, optional
        As for `evidence_points`.
    rule : SignOffRule
        The other parameters.

    Returns
    -------
    float
        0 without a share or with fewer readings than the rule asks for (five by default).

    Raises
    ------
    ValueError
        For a share outside 0..1, a negative n, or p_ready and p_not out of order.
    """
    if n < 0:
        raise ValueError(f"n must be 0 or more, not {n}.")
    if share is not None and not 0 <= share <= 1:
        raise ValueError(f"share must be from 0 to 1, not {share}.")
    if share is None or n < rule.minimum_readings:
        return 0.0
    return log_likelihood_ratio(
        share,
        n,
        rule.p_ready if p_ready is None else p_ready,
        rule.p_not if p_not is None else p_not,
        rule.resemblance,
    )


def evidence_points(
    share: float | None,
    n: int,
    p_ready: float | None = None,
    p_not: float | None = None,
    *,
    rule: SignOffRule = DEFAULT_RULE,
) -> float:
    """Return the points that a batch earns or loses for its width or its thickness.

    Parameters
    ----------
    share : float or None
        Share of the batch within tolerance, 0..1.
    n : int
        Readings behind the share, 0 or more.
    p_ready, p_not : float, optional
        Long-run shares of a cook who is ready and of one who is not, 0 < p_not < p_ready < 1.
        By default those of the rule: 0.95 and 0.80.
    rule : SignOffRule
        The other parameters.

    Returns
    -------
    float
        At most 20 with the default rule; losses are not limited. 0 without a share or with fewer
        than five readings, and at most 0 with fewer than eight.

    Raises
    ------
    ValueError
        For a share outside 0..1, a negative n, or p_ready and p_not out of order.

    Notes
    -----
    Sequential likelihood ratio (Wald 1947, Sequential Analysis) with a limit to what a single
    batch can earn and a floor at 0 (Page 1954, Biometrika 41, 100-115).

    Examples
    --------
    >>> round(evidence_points(0.90, 20), 6)
    -4.22914
    >>> evidence_points(1.0, 9)
    20.0
    """
    ratio = batch_ratio(share, n, p_ready, p_not, rule=rule)
    points = 100 * min(ratio, rule.log_ratio_cap) / rule.log_ratio_divisor
    return points if n >= rule.earning_readings else min(points, 0.0)


def hydration_points(
    actual: float,
    target: float,
    tol_minus: float,
    tol_plus: float,
    *,
    rule: SignOffRule = DEFAULT_RULE,
) -> float:
    """Return the points that a batch earns or loses for the water in its dough.

    Parameters
    ----------
    actual, target : float
        Water as percent of flour plus starch.
    tol_minus, tol_plus : float
        How far below and above the target is within tolerance, percentage points, above 0.
    rule : SignOffRule
        Parameters of the rule.

    Returns
    -------
    float
        20 when spot on, 0 when off by 0.45 of the tolerance, -78.8 when off by all of it.

    Raises
    ------
    ValueError
        For a number that is not finite or a tolerance not above 0.

    Notes
    -----
    House definition: the log likelihood of a normal deviation is a parabola in it.

    Examples
    --------
    >>> round(hydration_points(46.3, 46, 1, 1), 6)
    11.111111
    """
    if not (math.isfinite(actual) and math.isfinite(target)):
        raise ValueError(f"actual and target must be finite, not {actual} and {target}.")
    for name, tolerance in (("tol_minus", tol_minus), ("tol_plus", tol_plus)):
        if not (tolerance > 0 and math.isfinite(tolerance)):
            raise ValueError(f"{name} must be above 0, not {tolerance}.")
    off = actual - target
    in_tolerances = off / (tol_plus if off > 0 else tol_minus)
    return rule.hydration_earns * (1 - (in_tolerances / rule.hydration_zero) ** 2)


def signoff_state(
    batches: Sequence[EvidenceBatch | Mapping[str, object]],
    *,
    rule: SignOffRule = DEFAULT_RULE,
) -> SignOffState:
    """Run the points of a cook's batches through the balances of all parts.

    Parameters
    ----------
    batches : sequence of EvidenceBatch or mapping
        Oldest first. ``day`` is an ISO date or a `datetime.date`; ``points`` holds the points by
        part (``width``, ``thickness``, ``hydration``; missing or None: nothing moves);
        ``abandoned`` (default False) marks a batch that was opened and never measured, whose
        points are not read. A batch excused by an assessor is left out by the caller.
    rule : SignOffRule
        Parameters of the rule.

    Returns
    -------
    SignOffState
        With no batch: balances as the rule opens them, nothing shown, `more_like_last` None for
        width. `more_like_last` takes the points as earned by the batch alone, before the limit for
        later batches of the same day.

    Raises
    ------
    ValueError
        For a day that is no date, days that are not in order, an unknown part, or points that
        are not finite; the message names the batch by its position, from 1.

    Notes
    -----
    One-sided cumulative sum between 0 and 100 (Page 1954, Biometrika 41, 100-115), with a latch
    and days of earning as house rules.

    Examples
    --------
    >>> perfect = {"width": 20.0, "thickness": 20.0, "hydration": 20.0}
    >>> state = signoff_state([{"day": f"2026-03-0{d}", "points": perfect} for d in (1, 2, 3)])
    >>> state.balances["width"], state.more_like_last, state.limiting
    (60.0, 2, 'width')
    """
    balances = dict.fromkeys(PARTS, rule.opening_balance)
    shown = dict.fromkeys(PARTS, False)
    last_points: dict[str, float | None] = dict.fromkeys(PARTS)
    days: dict[str, set[date]] = {part: set() for part in PARTS}
    counted_on: Counter[date] = Counter()
    previous_day = date.min
    for position, item in enumerate(batches, start=1):
        day, abandoned, batch_points = _read_batch(position, item)
        if day < previous_day:
            raise ValueError(f"Batch {position}: {day} comes before {previous_day}; oldest first.")
        previous_day = day
        if not abandoned:
            counted_on[day] += 1
        can_earn = counted_on[day] <= rule.earning_batches_a_day
        for part in PARTS:
            if abandoned:
                points = rule.abandoned_points
            else:
                earned = batch_points.get(part)
                if earned is None:
                    continue
                last_points[part] = earned
                points = earned if can_earn else min(earned, 0.0)
            balances[part] = min(100.0, max(0.0, balances[part] + points))
            if balances[part] == 0:
                days[part].clear()
            elif points > 0:
                days[part].add(day)
            if shown[part]:
                shown[part] = balances[part] >= rule.shown_until
            else:
                shown[part] = balances[part] >= 100 - 1e-6 and len(days[part]) >= rule.earning_days
    more_like_last, limiting = _more_like_last(balances, shown, last_points)
    return SignOffState(
        balances=balances,
        shown=shown,
        complete=all(shown.values()),
        more_like_last=more_like_last,
        limiting=limiting,
        counted=counted_on.total(),
        earning_days={part: len(days[part]) for part in PARTS},
    )


def _read_batch(
    position: int, item: EvidenceBatch | Mapping[str, object]
) -> tuple[date, bool, Mapping[str, float | None]]:
    if isinstance(item, EvidenceBatch):
        day, abandoned, points = item.day, item.abandoned, item.points
    else:
        try:
            batch = EvidenceBatch(**item)  # type: ignore[arg-type]
        except TypeError as error:
            raise ValueError(
                f"Batch {position}: day, points and abandoned are expected."
            ) from error
        day, abandoned, points = batch.day, batch.abandoned, batch.points
    if abandoned:
        return _read_day(position, day), True, {}
    for part, value in points.items():
        if part not in PARTS:
            raise ValueError(f"Batch {position}: unknown part {part!r}.")
        if value is not None and not math.isfinite(value):
            raise ValueError(f"Batch {position}: points for {part} must be finite, not {value}.")
    return _read_day(position, day), False, points


def _read_day(position: int, day: object) -> date:
    # A time has a date only once its zone is known, which is not known here.
    if isinstance(day, date) and not isinstance(day, datetime):
        return day
    if isinstance(day, str):
        try:
            return date.fromisoformat(day)
        except ValueError as error:
            raise ValueError(f"Batch {position}: {day!r} is no ISO date.") from error
    raise ValueError(f"Batch {position}: day must be a date or an ISO date, not {day!r}.")


def _more_like_last(
    balances: Mapping[str, float],
    shown: Mapping[str, bool],
    last_points: Mapping[str, float | None],
) -> tuple[int | None, str | None]:
    more, limiting = 0, None
    for part in PARTS:
        if shown[part]:
            continue
        points = last_points[part]
        if points is None or points <= 1e-9:
            return None, part
        needed = max(1, math.ceil((100 - balances[part]) / points - 1e-6))
        if needed > more:
            more, limiting = needed, part
    return more, limiting
