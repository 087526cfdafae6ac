"""Whether a way of measuring can be trusted: two methods compared, and a gauge study."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import fdtrc, nctdtrit, stdtr, stdtrit

from assessments.calculations.instruments import repeatability

ENOUGH_STRANDS: Final = 20
"""Strands from which on the limits of agreement and a repeatability are worth their name."""
STUDY_SIGMAS: Final = 6.0
"""Standard deviations that are held against a tolerance: 99.73 % of a normal distribution."""
_LIMIT_Z: Final = 1.96
_NDC: Final = 1.41
# Of the squares of the readings themselves: what deviations of equal readings may come to.
_ROUNDING: Final = 1e-28


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number with its two-sided 95 % interval."""

    value: float
    low: float
    high: float

    @property
    def leaves_out_zero(self) -> bool:
        """Whether 0 lies outside the interval."""
        return not self.low <= 0 <= self.high


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two methods on the same strands, see `agreement`.

    Attributes
    ----------
    bias : Estimate
        Mean of photo less caliper, mm.
    sd : float
        Standard deviation of the differences, mm: both methods' scatter together.
    lower, upper : Estimate
        Limits of agreement, mm: about 95 % of the differences lie between them.
    trend : Estimate or None
        Slope of the difference against the mean of the two, mm per mm; None for fewer than 3
        strands or strands that are all alike.
    trend_p : float or None
        Probability of such a slope, or a steeper one, where there is none.
    n : int
        Strands.
    """

    bias: Estimate
    sd: float
    lower: Estimate
    upper: Estimate
    trend: Estimate | None
    trend_p: float | None
    n: int


@dataclass(frozen=True, slots=True)
class AnovaLine:
    """One line of an analysis of variance.

    Attributes
    ----------
    source : str
        ``'part'``, ``'appraiser'``, ``'interaction'``, ``'repeatability'`` or ``'total'``.
    df : int
        Degrees of freedom.
    ss : float
        Sum of squares, mm2.
    ms : float or None
        Mean square, mm2; None for the total.
    f, p : float or None
        Variance ratio and its probability without an effect; None where nothing is tested or
        where the line it is tested against has no variance.
    """

    source: str
    df: int
    ss: float
    ms: float | None = None
    f: float | None = None
    p: float | None = None


@dataclass(frozen=True, slots=True)
class Component:
    """One part of the variation.

    Attributes
    ----------
    variance, sd : float
        Estimate, 0 or more, mm2 and mm.
    contribution_percent : float or None
        Of the total variance; None where nothing varies.
    study_percent : float or None
        Of the total standard deviation; these do not add up to 100.
    tolerance_percent : float or None
        Six standard deviations of the tolerance band; None without a tolerance.
    """

    variance: float
    sd: float
    contribution_percent: float | None
    study_percent: float | None
    tolerance_percent: float | None


@dataclass(frozen=True, slots=True)
class GaugeStudy:
    """Repeatability and reproducibility, see `gauge_study`.

    Attributes
    ----------
    lines : tuple of AnovaLine
        The whole analysis; with several appraisers part and appraiser are tested against the
        interaction.
    pooled_lines : tuple of AnovaLine
        The analysis without interaction; empty where the interaction is kept or none was looked
        at.
    repeatability : Component
        Equipment variation (EV): the same strand, the same person.
    appraiser, interaction, reproducibility : Component or None
        Appraiser variation (AV), appraiser by strand, and both together; None with one appraiser.
    grr : Component
        Repeatability and reproducibility together.
    part : Component
        The strands themselves (PV).
    total : Component
        All together (TV).
    distinct_categories : int or None
        Number of distinct categories (ndc), cut off; None where measuring adds no variation.
    parts, appraisers, trials : int
        Size of the study.
    """

    lines: tuple[AnovaLine, ...]
    pooled_lines: tuple[AnovaLine, ...]
    repeatability: Component
    appraiser: Component | None
    interaction: Component | None
    reproducibility: Component | None
    grr: Component
    part: Component
    total: Component
    distinct_categories: int | None
    parts: int
    appraisers: int
    trials: int


def agreement(photo: Sequence[float], caliper: Sequence[float]) -> Agreement:
    """Compare two methods that measured the same strands, in the same order.

    Parameters
    ----------
    photo, caliper : sequence of float, shape (n,)
        Widths, mm, at least 2 of each; 20 or more are advised.

    Returns
    -------
    Agreement
        Differences are photo less caliper. Identical readings give zeros.

    Raises
    ------
    ValueError
        For unequal lengths, fewer than 2 strands, or a width that is not finite.

    Notes
    -----
    Bland and Altman (1986), Lancet 327, 307-310: limits ``bias -/+ 1.96 sd``. The intervals of
    the limits are exact for normal differences (noncentral t; Carkeet 2015, Optometry and Vision
    Science 92, e71-e80); for many strands they come to those of the paper. The trend is the
    ordinary least-squares slope with its t interval (Bland and Altman 1999, Statistical Methods in
    Medical Research 8, 135-160, section 3.2).

    Examples
    --------
    >>> result = agreement([3.02, 3.13, 2.91, 3.22], [3.0, 3.1, 2.9, 3.2])
    >>> round(result.bias.value, 3), result.n
    (0.02, 4)
    """
    paired = repeatability(caliper, photo)
    n, bias, sd = paired.n, paired.bias, paired.sigma_m * math.sqrt(2)
    lower, upper = paired.limits
    # Exact bounds of "mean + 1.96 sd" in estimated standard deviations; the lower limit mirrors.
    near, far = (
        float(nctdtrit(n - 1, _LIMIT_Z * math.sqrt(n), share)) / math.sqrt(n)
        for share in (0.025, 0.975)
    )
    trend, trend_p = _trend(photo, caliper)
    return Agreement(
        bias=Estimate(bias, paired.bias_low, paired.bias_high),
        sd=sd,
        lower=Estimate(lower, bias - far * sd, bias - near * sd),
        upper=Estimate(upper, bias + near * sd, bias + far * sd),
        trend=trend,
        trend_p=trend_p,
        n=n,
    )


def _trend(
    photo: Sequence[float], caliper: Sequence[float]
) -> tuple[Estimate, float] | tuple[None, None]:
    """Return slope and probability of the difference against the mean, if there can be any."""
    first, second = np.asarray(caliper, dtype=np.float64), np.asarray(photo, dtype=np.float64)
    n = len(first)
    mean, difference = (first + second) / 2, second - first
    x, y = mean - mean.mean(), difference - difference.mean()
    sxx = _squares(x, mean)
    if n < 3 or sxx == 0:
        return None, None
    slope = float(x @ y) / sxx if _squares(y, mean) else 0.0
    error = math.sqrt(_squares(y - slope * x, mean) / (n - 2) / sxx)
    half_width = float(stdtrit(n - 2, 0.975)) * error
    estimate = Estimate(slope, slope - half_width, slope + half_width)
    if error == 0:
        return estimate, 0.0 if slope else 1.0
    return estimate, 2 * float(stdtr(n - 2, -abs(slope) / error))


def sd_of_one(sd_of_differences: float, sd_of_other: float) -> float:
    """Return one method's own scatter: that of the differences without the other method's.

    Parameters
    ----------
    sd_of_differences : float
        Standard deviation of the differences of two methods, 0 or more.
    sd_of_other : float
        Standard deviation of the other method's value, known apart, in the same unit, 0 or more.

    Returns
    -------
    float
        Standard deviation, 0 where the other method alone scatters more than the differences.

    Raises
    ------
    ValueError
        For a number below 0 or not finite.

    Notes
    -----
    The two methods' errors are independent, so their variances add (JCGM 100:2008, 5.1.2).

    Examples
    --------
    >>> sd_of_one(0.05, 0.03)
    0.04
    """
    for name, value in (("sd_of_differences", sd_of_differences), ("sd_of_other", sd_of_other)):
        if not (value >= 0 and math.isfinite(value)):
            raise ValueError(f"{name} must be 0 or more, not {value}.")
    return math.sqrt(
        max(0.0, (sd_of_differences - sd_of_other) * (sd_of_differences + sd_of_other))
    )


def gauge_study(
    values: ArrayLike, tolerance_mm: float | None = None, pool_alpha: float = 0.05
) -> GaugeStudy:
    """Divide the variation of repeated readings among strands, people and the measuring itself.

    Parameters
    ----------
    values : array_like of float, shape (parts, appraisers, trials)
        Every appraiser has measured every part equally often; at least 2 parts and 2 trials.
    tolerance_mm : float, optional
        Width of the tolerance band, upper less lower limit, above 0.
    pool_alpha : float
        The interaction of part and appraiser goes into the repeatability when its probability is
        above this, 0..1.

    Returns
    -------
    GaugeStudy
        With one appraiser a one-way analysis: no reproducibility can be told.

    Raises
    ------
    ValueError
        For another number of dimensions, for rows of unequal length or values that are missing
        (the study must be balanced), for too few parts or trials, no appraiser, or an argument
        outside its range.

    Notes
    -----
    Crossed two-way analysis of variance with random parts and appraisers; estimates below 0 count
    as 0; ndc = 1.41 PV / GRR, cut off. Automotive Industry Action Group, Measurement Systems
    Analysis reference manual, 4th ed. (2010), chapter III section B and appendix A. Part and
    appraiser are tested against the interaction, as their expected mean squares demand.

    Examples
    --------
    >>> study = gauge_study([[[3.0, 3.1]], [[3.4, 3.5]], [[2.8, 2.7]]])
    >>> round(study.repeatability.sd, 4), study.reproducibility
    (0.0707, None)
    """
    y = _balanced(values)
    if tolerance_mm is not None and not (tolerance_mm > 0 and math.isfinite(tolerance_mm)):
        raise ValueError(f"tolerance_mm must be above 0, not {tolerance_mm}.")
    if not 0 <= pool_alpha <= 1:
        raise ValueError(f"pool_alpha must be from 0 to 1, not {pool_alpha}.")
    parts, appraisers, trials = y.shape
    lines = _one_way(y) if appraisers == 1 else _two_way(y)
    pooled_lines = _pooled(lines) if appraisers > 1 and _may_pool(lines, pool_alpha) else ()
    mean_squares = {line.source: line.ms for line in pooled_lines or lines if line.ms is not None}
    noise = mean_squares["repeatability"]
    beside = mean_squares.get("interaction", noise)
    variances = {
        "repeatability": noise,
        "part": max(0.0, mean_squares["part"] - beside) / (appraisers * trials),
        "appraiser": max(0.0, mean_squares.get("appraiser", beside) - beside) / (parts * trials),
        "interaction": (beside - noise) / trials if beside > noise else 0.0,
    }
    reproducibility = variances["appraiser"] + variances["interaction"]
    grr = noise + reproducibility
    total = grr + variances["part"]

    def component(variance: float) -> Component:
        sd = math.sqrt(variance)
        return Component(
            variance=variance,
            sd=sd,
            contribution_percent=100 * variance / total if total > 0 else None,
            study_percent=100 * sd / math.sqrt(total) if total > 0 else None,
            tolerance_percent=None
            if tolerance_mm is None
            else 100 * STUDY_SIGMAS * sd / tolerance_mm,
        )

    several = appraisers > 1
    return GaugeStudy(
        lines=lines,
        pooled_lines=pooled_lines,
        repeatability=component(noise),
        appraiser=component(variances["appraiser"]) if several else None,
        interaction=component(variances["interaction"]) if several else None,
        reproducibility=component(reproducibility) if several else None,
        grr=component(grr),
        part=component(variances["part"]),
        total=component(total),
        distinct_categories=(
            math.floor(_NDC * math.sqrt(variances["part"] / grr)) if grr > 0 else None
        ),
        parts=parts,
        appraisers=appraisers,
        trials=trials,
    )


def _balanced(values: ArrayLike) -> NDArray[np.float64]:
    try:
        y = np.asarray(values, dtype=np.float64)
    except ValueError as ragged:
        raise ValueError("The study is not balanced: the rows differ in length.") from ragged
    if y.ndim != 3:
        raise ValueError(f"Values need 3 dimensions (part, appraiser, trial), not {y.ndim}.")
    parts, appraisers, trials = y.shape
    if parts < 2 or trials < 2 or appraisers < 1:
        raise ValueError(
            "At least 2 parts, 1 appraiser and 2 trials are needed, "
            f"not {parts}, {appraisers} and {trials}."
        )
    if not np.isfinite(y).all():
        raise ValueError("The study is not balanced: a value is missing or not finite.")
    return y


def _one_way(y: NDArray[np.float64]) -> tuple[AnovaLine, ...]:
    parts, _one, trials = y.shape
    means = y.mean(axis=2, keepdims=True)
    part = _mean("part", parts - 1, trials * _squares(means - y.mean(), y))
    noise = _mean("repeatability", parts * (trials - 1), _squares(y - means, y))
    return (_tested(part, noise), noise, _total(y))


def _two_way(y: NDArray[np.float64]) -> tuple[AnovaLine, ...]:
    parts, appraisers, trials = y.shape
    grand = y.mean()
    cells = y.mean(axis=2, keepdims=True)
    of_part = y.mean(axis=(1, 2), keepdims=True)
    of_appraiser = y.mean(axis=(0, 2), keepdims=True)
    part = _mean("part", parts - 1, appraisers * trials * _squares(of_part - grand, y))
    appraiser = _mean(
        "appraiser", appraisers - 1, parts * trials * _squares(of_appraiser - grand, y)
    )
    interaction = _mean(
        "interaction",
        (parts - 1) * (appraisers - 1),
        trials * _squares(cells - of_part - of_appraiser + grand, y),
    )
    noise = _mean("repeatability", parts * appraisers * (trials - 1), _squares(y - cells, y))
    return (
        _tested(part, interaction),
        _tested(appraiser, interaction),
        _tested(interaction, noise),
        noise,
        _total(y),
    )


def _may_pool(lines: tuple[AnovaLine, ...], pool_alpha: float) -> bool:
    interaction = next(line for line in lines if line.source == "interaction")
    if interaction.p is None:
        # Readings that repeat to the last digit: any interaction at all is beyond doubt.
        return not interaction.ss > 0
    return interaction.p > pool_alpha


def _pooled(lines: tuple[AnovaLine, ...]) -> tuple[AnovaLine, ...]:
    part, appraiser, interaction, repeated, total = lines
    noise = _mean("repeatability", interaction.df + repeated.df, interaction.ss + repeated.ss)
    return (_tested(part, noise), _tested(appraiser, noise), noise, total)


def _mean(source: str, df: int, ss: float) -> AnovaLine:
    return AnovaLine(source, df, ss, ss / df)


def _total(y: NDArray[np.float64]) -> AnovaLine:
    return AnovaLine("total", y.size - 1, _squares(y - y.mean(), y))


def _squares(deviations: NDArray[np.float64], values: NDArray[np.float64]) -> float:
    """Return the sum of squares, 0 where it is no more than the rounding of ``values``."""
    squares = float((deviations**2).sum())
    return squares if squares > _ROUNDING * float((values**2).sum()) else 0.0


def _tested(line: AnovaLine, against: AnovaLine) -> AnovaLine:
    if line.ms is None or not against.ms:
        return AnovaLine(line.source, line.df, line.ss, line.ms)
    f = line.ms / against.ms
    p = float(fdtrc(line.df, against.df, f))
    return AnovaLine(line.source, line.df, line.ss, line.ms, f, p)
