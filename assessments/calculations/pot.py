"""When each strand of a batch is done in the pot, and what unevenness does to the bowl.

Water soaks into a strand from all four faces. Its middle is done once enough water is there,
after a time that grows with the square of the size. The house's own boil time for the section of
its standard says how much is enough; tests that it writes down correct that.

Where this holds
----------------
- Water is the slow part: heat reaches the middle of strands of this size within a minute, and by
  the same law of the square, so that what it takes is in the calibration.
- The pot keeps boiling and the strands swim apart: all faces are wet from the start.
- Sections are rectangles, much longer than wide. Swelling and the stiffening of the dough are not
  reckoned with; they slow all strands of one dough alike, which the calibration takes up.
- One dough and one standard: another flour, water or salt needs its own boil time.
- From half to twice the standard's size (`REACH`), and from half to twice as flat (`SHAPE_REACH`:
  there the diffusivities that were published still agree within a twelfth); strands farther off
  are marked.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import erfc, stdtrit

from assessments.calculations.gauge import Estimate

DIFFUSIVITY_MM2_PER_MIN: Final = 0.03
"""Water in boiling noodles: 5e-6 cm2/s, of the 4 to 7e-6 found by magnetic resonance."""
MIDDLE_RANGE: Final = (0.05, 0.90)
"""What the middle of a strand that is done may have taken up, of all that it could."""
TOLERANCE: Final = 0.15
"""Of its own boil time, what a strand may have had too little or too much: house default."""
COUNTS_AS: Final = 4.0
"""Tests that the house's calibration weighs as much as."""
LAW_PART: Final = 0.25
"""What the law of the square weighs of that: dried pasta departs from it more than a chef errs."""
TEST_SPREAD: Final = 0.05
"""Standard deviation of a boil test as long as tests have not shown it: half a minute in ten."""
REACH: Final = 4.0
"""How many times the standard's boil time, or which part of it, the law is trusted for."""
SHAPE_REACH: Final = 2.0
"""How many times as flat, or as square, as the standard's section, likewise."""
EXPONENT_RANGE: Final = (0.5, 2.0)
"""0.5: the time grows with the size, not with its square, as if only the face held water back."""

_IMPLAUSIBLE: Final = 3.0
_SHAPE_SPAN: Final = math.log(1.5)
_SHORT: Final = 0.05
_NOTHING_YET: Final = 1e-4
_ODD: Final = np.array([1.0, 3.0, 5.0, 7.0, 9.0])
_SIGNS: Final = np.array([1.0, -1.0, 1.0, -1.0, 1.0])
_ITERATIONS: Final = 30
_CONVERGED: Final = 1e-13
_SLACK_MIN: Final = 1e-9
_CONFIDENCE: Final = 0.95

UNDER: Final = "under"
DONE: Final = "done"
OVER: Final = "over"


@dataclass(frozen=True, slots=True)
class BoilTest:
    """A strand of this section was done after `done_min` minutes."""

    width_mm: float
    thickness_mm: float
    done_min: float


@dataclass(frozen=True, slots=True)
class Pot:
    """How long a section takes, see `calibrate` and `correct`.

    Attributes
    ----------
    width_mm, thickness_mm, boil_time_min : float
        The standard's section and the boil time that the house has set for it.
    diffusivity_mm2_per_min : float
        Of water in the dough.
    middle : float
        What the middle of a strand that is done has taken up, 0..1 of all that it could.
    standard_time_min : Estimate
        Boil time of the standard's section after the tests, with its 95 % interval. Where that
        leaves out `boil_time_min`, the tests say that the house should set another.
    exponent : Estimate
        1: the time follows the square of the size.
    covariance : tuple of float
        Of the logarithm of `standard_time_min` and of `exponent`: first variance, covariance,
        second variance.
    spread : float
        Standard deviation of one test, share of its time.
    df : float
        Degrees of freedom of `spread`.
    test_ratios : tuple of float
        For each test, its time over what is expected of its section after all tests.
    plausible : bool
        False where the tests ask for an exponent outside `EXPONENT_RANGE`, such as thick strands
        done before thin ones: the tests should be looked at, and the pot is good for nothing.
    """

    width_mm: float
    thickness_mm: float
    boil_time_min: float
    diffusivity_mm2_per_min: float
    middle: float
    standard_time_min: Estimate
    exponent: Estimate
    covariance: tuple[float, float, float]
    spread: float
    df: float
    test_ratios: tuple[float, ...]
    plausible: bool


@dataclass(frozen=True, slots=True)
class Shares:
    """How many strands are not yet done, done, and boiled for too long."""

    under: int
    done: int
    over: int

    @property
    def n(self) -> int:
        """All strands."""
        return self.under + self.done + self.over

    @property
    def under_share(self) -> float:
        """Of all strands, 0..1."""
        return self.under / self.n

    @property
    def done_share(self) -> float:
        """Of all strands, 0..1."""
        return self.done / self.n

    @property
    def over_share(self) -> float:
        """Of all strands, 0..1."""
        return self.over / self.n


@dataclass(frozen=True, slots=True)
class BoiledStrand:
    """One strand along the time in the pot.

    Attributes
    ----------
    place : int
        Where it stood in what was given, from 0.
    width_mm, thickness_mm : float
        Its section.
    done_min : float
        When it is done.
    from_min, until_min : float
        Between these it is done within the tolerance.
    state : str
        ``'under'``, ``'done'`` or ``'over'`` at the time that was asked for.
    beyond : bool
        Whether it is so far from the standard's section that its time is a guess, see `REACH` and
        `SHAPE_REACH`.
    """

    place: int
    width_mm: float
    thickness_mm: float
    done_min: float
    from_min: float
    until_min: float
    state: str
    beyond: bool


@dataclass(frozen=True, slots=True)
class Boil:
    """A batch in the pot, see `boil`.

    Attributes
    ----------
    at_min : float
        The time that was asked for.
    tolerance : float
        Share of a strand's own time.
    at : Shares
        At that time.
    best_min : float
        The time at which most strands are done.
    best_from_min, best_until_min : float
        The stretch around it in which as many are.
    best : Shares
        At `best_min`.
    strands : tuple of BoiledStrand
        In the order in which they are done.
    """

    at_min: float
    tolerance: float
    at: Shares
    best_min: float
    best_from_min: float
    best_until_min: float
    best: Shares
    strands: tuple[BoiledStrand, ...]


def middle_uptake(
    width_mm: ArrayLike, thickness_mm: ArrayLike, soaked_mm2: ArrayLike
) -> NDArray[np.float64]:
    """Return what the middle of a rectangle has taken up.

    Parameters
    ----------
    width_mm, thickness_mm : array_like of float
        Sides of the section, above 0; the three broadcast.
    soaked_mm2 : array_like of float
        Diffusivity times time, above 0.

    Returns
    -------
    ndarray of float, shape as broadcast
        0 (as it went in) to 1 (all that it can).

    Raises
    ------
    ValueError
        For a number that is not finite or not above 0.

    Notes
    -----
    What the middle still lacks is the product of that of two slabs (Carslaw and Jaeger, Conduction
    of Heat in Solids, 2nd ed. 1959, chapter V), with ``F`` = soaked over the squared side:
    ``4/pi sum (-1)^n/(2n+1) exp(-(2n+1)^2 pi^2 F)``, and for short times
    ``1 - 2 sum (-1)^n erfc((2n+1)/(4 sqrt F))`` (Crank, The Mathematics of Diffusion, 2nd ed. 1975,
    eq. 4.17 and 4.18). Maeda and others (Food Science and Technology Research 15, 2009) describe
    boiling noodles by a rectangle as well.

    Examples
    --------
    >>> round(float(middle_uptake(3.2, 3.0, 0.03 * 12)), 3)
    0.255
    """
    width = _sizes("width_mm", width_mm)
    thickness = _sizes("thickness_mm", thickness_mm)
    soaked = _sizes("soaked_mm2", soaked_mm2)
    lacking: NDArray[np.float64] = _slab(soaked / width**2)[0] * _slab(soaked / thickness**2)[0]
    return 1 - lacking


def calibrate(
    width_mm: float,
    thickness_mm: float,
    boil_time_min: float,
    diffusivity_mm2_per_min: float = DIFFUSIVITY_MM2_PER_MIN,
) -> Pot:
    """Fix when the middle counts as done by the house's boil time for the standard's section.

    Parameters
    ----------
    width_mm, thickness_mm : float
        The standard's section, above 0.
    boil_time_min : float
        Its boil time, above 0.
    diffusivity_mm2_per_min : float
        Of water in the dough while it boils, above 0.

    Returns
    -------
    Pot
        Without tests. `middle` follows from the diffusivity; where it would leave `MIDDLE_RANGE`
        it is held there and the diffusivity follows from it. The boil time of the standard's
        section is met either way. For sections of the standard's shape nothing but the square of
        the size counts; `middle` says only how much flatter or squarer ones differ.

    Raises
    ------
    ValueError
        For a number that is not finite or not above 0.

    Notes
    -----
    Diffusivities of 4 to 7e-6 cm2/s (0.024 to 0.042 mm2/min) in boiling noodles of wheat and
    buckwheat, the higher ones in buckwheat: Maeda and others, Food Science and Technology
    Research 15 (2009). `MIDDLE_RANGE` is a house definition.

    Examples
    --------
    >>> pot = calibrate(3.2, 3.0, 12)
    >>> done_times(pot, [3.2, 6.4], [3.0, 6.0]).round(2).tolist()
    [12.0, 48.0]
    """
    _require_positive(
        width_mm=width_mm,
        thickness_mm=thickness_mm,
        boil_time_min=boil_time_min,
        diffusivity_mm2_per_min=diffusivity_mm2_per_min,
    )
    found = float(middle_uptake(width_mm, thickness_mm, diffusivity_mm2_per_min * boil_time_min))
    middle = min(max(found, MIDDLE_RANGE[0]), MIDDLE_RANGE[1])
    if middle != found:
        section = np.array([width_mm]), np.array([thickness_mm])
        diffusivity_mm2_per_min = float(_soaked_mm2(*section, middle)[0]) / boil_time_min
    return _fit(
        (width_mm, thickness_mm, boil_time_min, diffusivity_mm2_per_min, middle),
        np.empty(0),
        np.empty(0),
        COUNTS_AS,
    )


def correct(pot: Pot, tests: Sequence[BoilTest], counts_as: float = COUNTS_AS) -> Pot:
    """Correct the calibration by boil tests, as far as these are many.

    Parameters
    ----------
    pot : Pot
        From `calibrate`; tests that it has seen already are forgotten, so give all of them.
    tests : sequence of BoilTest
        In any order; may be empty.
    counts_as : float
        Tests that the calibration weighs as much as, above 0.

    Returns
    -------
    Pot

    Raises
    ------
    ValueError
        For a number that is not finite or not above 0, or a test more than three times as long or
        short as the calibration has it: that is a slip of the pen.

    Notes
    -----
    Least squares of ``ln(done / boil time) = shift + exponent x``, where ``x`` is the logarithm of
    the time by the law of the square over the boil time; a test's error is a share of its time.
    The calibration enters as ``counts_as`` tests of the standard's section that found exactly its
    boil time, and the law of the square as a quarter as many (`LAW_PART`) that found it for a
    section that takes half as long again. So with the default one test of the standard's section
    moves its time by a fifth of what it is off, four tests by half; one test of that other section
    moves the standard's time by a ninth and its own by five ninths. An exponent of 1.3, as of dried
    pasta, is two and a half standard deviations off before any test; where a house's noodles are as
    far off as that, 95 % intervals of other sections hold the truth in some 85 of 100 cases with
    eight tests, some 90 with twenty. The spread starts with `TEST_SPREAD` at ``counts_as`` degrees
    of freedom. This is the regression with a conjugate prior (Gelman and others, Bayesian Data
    Analysis, 3rd ed. 2013, 14.8); intervals are Student's.

    Examples
    --------
    >>> pot = correct(calibrate(3.0, 3.0, 12), [BoilTest(3.0, 3.0, 13.2)])
    >>> round(pot.standard_time_min.value, 2)
    12.23
    """
    _require_positive(counts_as=counts_as)
    for test in tests:
        _require_positive(done_min=test.done_min)
    found = np.log([test.done_min / pot.boil_time_min for test in tests])
    expected = _log_ratios(pot, [test.width_mm for test in tests], [t.thickness_mm for t in tests])
    off = np.abs(found - expected)
    if (off > math.log(_IMPLAUSIBLE)).any():
        test = tests[int(off.argmax())]
        raise ValueError(
            f"A section of {test.width_mm} x {test.thickness_mm} mm cannot be done after "
            f"{test.done_min} min: that is over {_IMPLAUSIBLE:.0f} times off the house's boil time."
        )
    calibration = (
        pot.width_mm,
        pot.thickness_mm,
        pot.boil_time_min,
        pot.diffusivity_mm2_per_min,
        pot.middle,
    )
    return _fit(calibration, expected, found, counts_as)


def done_times(pot: Pot, widths_mm: ArrayLike, thicknesses_mm: ArrayLike) -> NDArray[np.float64]:
    """Return when each strand is done, in minutes.

    Parameters
    ----------
    pot : Pot
    widths_mm, thicknesses_mm : array_like of float, shape (n,) or ()
        Sections, above 0; the two broadcast, so that one thickness may stand for all.

    Returns
    -------
    ndarray of float, shape (n,)

    Raises
    ------
    ValueError
        For a number that is not finite or not above 0, shapes that do not agree, or a pot that is
        not plausible.

    Notes
    -----
    The boil time after tests, times the soaking that the section needs over that of the standard
    (see `middle_uptake`) to the power of the exponent.

    Examples
    --------
    >>> done_times(calibrate(3.2, 3.0, 12), [3.2, 3.5, 3.5], [3.0, 3.0, 3.3]).round(1).tolist()
    [12.0, 12.9, 14.4]
    """
    return _times(pot, _log_ratios(pot, widths_mm, thicknesses_mm))


def expected_time(pot: Pot, width_mm: float, thickness_mm: float) -> Estimate:
    """Return when a section is done, in minutes, with a 95 % interval.

    Parameters
    ----------
    pot : Pot
    width_mm, thickness_mm : float
        Above 0.

    Returns
    -------
    Estimate
        The interval is that of the true time of the section, not of the next test.

    Raises
    ------
    ValueError
        As for `done_times`.

    Notes
    -----
    See `correct`.

    Examples
    --------
    >>> time = expected_time(calibrate(3.0, 3.0, 12), 3.3, 3.3)
    >>> round(time.low, 1), round(time.value, 1), round(time.high, 1)
    (13.2, 14.5, 16.0)
    """
    ratio = float(_log_ratios(pot, [width_mm], [thickness_mm])[0])
    value = float(_times(pot, np.array([ratio]))[0])
    shift, both, exponent = pot.covariance
    sd = math.sqrt(max(0.0, shift + 2 * ratio * both + ratio * ratio * exponent))
    factor = math.exp(sd * _quantile(pot.df))
    return Estimate(value, value / factor, value * factor)


def boil(
    pot: Pot,
    widths_mm: ArrayLike,
    thicknesses_mm: ArrayLike,
    at_min: float | None = None,
    tolerance: float = TOLERANCE,
) -> Boil:
    """Say which strands of a batch are done at a time, and at which time most would be.

    Parameters
    ----------
    pot : Pot
    widths_mm, thicknesses_mm : array_like of float, shape (n,) or ()
        Sections in mm, above 0; the two broadcast.
    at_min : float, optional
        Time in the pot; the boil time that the house has set where it is left out.
    tolerance : float
        Above 0 and below 1.

    Returns
    -------
    Boil
        Where several times are equally good, the one nearest to the strands' own times (their
        geometric mean) is the best.

    Raises
    ------
    ValueError
        For no strand, `at_min` not above 0, a tolerance outside 0..1, or as for `done_times`.

    Notes
    -----
    House definition. Doneness of a strand is the time it had over the time it needs. In sections
    of one shape the whole profile of water depends on diffusivity times time over squared size
    alone, so that a thin and a thick strand of the same doneness are alike from face to middle,
    and the tolerance means the same for both. A chef can set it by tasting: the standard's section
    boiled 15 % too short and too long must just still be good. As the time grows with the square,
    a strand may then be about half as much off in size, 7 % in width and thickness together.

    What the instrument adds to the unevenness is not taken off: 0.07 mm of a strand of 3 mm are
    2 % of its time.

    Examples
    --------
    >>> result = boil(calibrate(3.0, 3.0, 12), [2.5, 2.9, 3.0, 3.1, 3.8], 3.0)
    >>> result.at, round(result.best_from_min, 1), round(result.best_until_min, 1)
    (Shares(under=1, done=3, over=1), 12.4, 13.3)
    """
    at = pot.boil_time_min if at_min is None else at_min
    _require_positive(at_min=at, tolerance=tolerance)
    if tolerance >= 1:
        raise ValueError(f"tolerance must be below 1, not {tolerance}.")
    ratios = _log_ratios(pot, widths_mm, thicknesses_mm)
    if not ratios.size:
        raise ValueError("At least one strand is needed.")
    done = _times(pot, ratios)
    order = np.argsort(done, kind="stable")
    widths, thicknesses = np.broadcast_arrays(
        np.atleast_1d(_sizes("widths_mm", widths_mm)),
        np.atleast_1d(_sizes("thicknesses_mm", thicknesses_mm)),
    )
    flatter = np.abs(np.log(widths / thicknesses)) - abs(math.log(pot.width_mm / pot.thickness_mm))
    beyond = (np.abs(ratios) > math.log(REACH)) | (np.abs(flatter) > math.log(SHAPE_REACH))
    start, end = done * (1 - tolerance), done * (1 + tolerance)
    best_min, best_from_min, best_until_min = _best(start, end, float(np.log(done).mean()))
    return Boil(
        at_min=at,
        tolerance=tolerance,
        at=_shares(start, end, at),
        best_min=best_min,
        best_from_min=best_from_min,
        best_until_min=best_until_min,
        best=_shares(start, end, best_min),
        strands=tuple(
            BoiledStrand(
                place=place,
                width_mm=float(widths[place]),
                thickness_mm=float(thicknesses[place]),
                done_min=float(done[place]),
                from_min=float(start[place]),
                until_min=float(end[place]),
                state=_state(float(start[place]), float(end[place]), at),
                beyond=bool(beyond[place]),
            )
            for place in order.tolist()
        ),
    )


def _slab(fourier: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return what the middle of a slab still lacks, and how that changes with `fourier`."""
    f = np.asarray(fourier, dtype=np.float64)[..., None]
    # Each series is used where five terms of it leave nothing that a double can hold.
    long = np.maximum(f, _SHORT)
    decay = _SIGNS * np.exp(-((_ODD * math.pi) ** 2) * long)
    short = np.clip(f, _NOTHING_YET, _SHORT)
    reach = _ODD / 4
    tail = _SIGNS * np.exp(-(reach**2) / short) * reach / (math.sqrt(math.pi) * short**1.5)
    is_long = f[..., 0] > _SHORT
    return (
        np.where(
            is_long,
            4 / math.pi * (decay / _ODD).sum(axis=-1),
            1 - 2 * (_SIGNS * erfc(reach / np.sqrt(short))).sum(axis=-1),
        ),
        np.where(is_long, -4 * math.pi * (decay * _ODD).sum(axis=-1), -2 * tail.sum(axis=-1)),
    )


def _soaked_mm2(
    width: NDArray[np.float64], thickness: NDArray[np.float64], middle: float
) -> NDArray[np.float64]:
    """Return diffusivity times time at which the middle has taken up `middle`."""
    lacking = 1 - middle
    per_width, per_thickness = width**-2.0, thickness**-2.0
    # Both are late: the first terms of the series for the rectangle and for the thinner side alone.
    # From there Newton's steps on the logarithm, which bends one way only, cannot overshoot.
    soaked = np.minimum(
        math.log(16 / (math.pi**2 * lacking)) / (math.pi**2 * (per_width + per_thickness)),
        math.log(4 / (math.pi * lacking)) / (math.pi**2 * np.maximum(per_width, per_thickness)),
    )
    for _n in range(_ITERATIONS):
        across, across_slope = _slab(soaked * per_width)
        through, through_slope = _slab(soaked * per_thickness)
        missed = np.log(across * through / lacking)
        slope = across_slope * per_width / across + through_slope * per_thickness / through
        step = missed / slope
        soaked = soaked - step
        if (np.abs(step) <= _CONVERGED * soaked).all():
            break
    return soaked


def _log_ratios(pot: Pot, widths_mm: ArrayLike, thicknesses_mm: ArrayLike) -> NDArray[np.float64]:
    """Return the logarithm of each section's time by the law of the square over the boil time."""
    widths = np.atleast_1d(_sizes("widths_mm", widths_mm))
    thicknesses = np.atleast_1d(_sizes("thicknesses_mm", thicknesses_mm))
    if widths.ndim > 1 or thicknesses.ndim > 1:
        raise ValueError("Widths and thicknesses must be single rows of numbers.")
    if 1 not in (widths.size, thicknesses.size) and widths.size != thicknesses.size:
        raise ValueError(f"{widths.size} widths do not go with {thicknesses.size} thicknesses.")
    widths, thicknesses = np.broadcast_arrays(widths, thicknesses)
    # The standard goes along, so that its own time comes out to the last digit.
    soaked = _soaked_mm2(
        np.append(widths, pot.width_mm), np.append(thicknesses, pot.thickness_mm), pot.middle
    )
    ratios: NDArray[np.float64] = np.log(soaked[:-1] / soaked[-1])
    return ratios


def _times(pot: Pot, ratios: NDArray[np.float64]) -> NDArray[np.float64]:
    if not pot.plausible:
        raise ValueError(
            f"The boil tests ask for an exponent of {pot.exponent.value:.2f}, which must lie "
            f"between {EXPONENT_RANGE[0]} and {EXPONENT_RANGE[1]}; look at them again."
        )
    times: NDArray[np.float64] = pot.standard_time_min.value * np.exp(pot.exponent.value * ratios)
    return times


def _fit(
    calibration: tuple[float, float, float, float, float],
    ratios: NDArray[np.float64],
    found: NDArray[np.float64],
    counts_as: float,
) -> Pot:
    """Fit shift and exponent to tests, with the calibration as tests of its own, see `correct`."""
    weight, law_weight = math.sqrt(counts_as), math.sqrt(LAW_PART * counts_as)
    rows = np.vstack(
        [
            [[weight, 0.0], [0.0, law_weight * _SHAPE_SPAN]],
            np.column_stack([np.ones_like(ratios), ratios]),
        ]
    )
    values = np.concatenate([[0.0, law_weight * _SHAPE_SPAN], found])
    inverse = np.linalg.inv(rows.T @ rows)
    shift, exponent = (inverse @ (rows.T @ values)).tolist()
    residuals = values - rows @ (shift, exponent)
    df = counts_as + found.size
    variance = (counts_as * TEST_SPREAD**2 + float(residuals @ residuals)) / df
    covariance = variance * inverse
    boil_time_min = calibration[2]
    t = _quantile(df)
    time = boil_time_min * math.exp(shift)
    factor = math.exp(t * math.sqrt(covariance[0, 0]))
    half = t * math.sqrt(covariance[1, 1])
    return Pot(
        *calibration,
        standard_time_min=Estimate(time, time / factor, time * factor),
        exponent=Estimate(exponent, exponent - half, exponent + half),
        covariance=(float(covariance[0, 0]), float(covariance[0, 1]), float(covariance[1, 1])),
        spread=math.sqrt(variance),
        df=df,
        test_ratios=tuple(np.exp(residuals[2:]).tolist()),
        plausible=EXPONENT_RANGE[0] <= exponent <= EXPONENT_RANGE[1],
    )


def _quantile(df: float) -> float:
    return float(stdtrit(df, (1 + _CONFIDENCE) / 2))


def _best(
    start: NDArray[np.float64], end: NDArray[np.float64], log_centre: float
) -> tuple[float, float, float]:
    """Return the best time and the stretch of equally good ones around it."""
    starts, ends = np.sort(start), np.sort(end)
    # The number within the tolerance only grows where a strand comes in: one start is among the
    # best times, and what begins there lasts until the first of those within goes out.
    within = np.searchsorted(starts, starts, "right") - np.searchsorted(ends, starts, "left")
    from_min = starts[within == within.max()]
    until_min = ends[np.searchsorted(ends, from_min, "left")]
    nearest = np.clip(math.exp(log_centre), from_min, until_min)
    chosen = int(np.abs(np.log(nearest) - log_centre).argmin())
    return float(nearest[chosen]), float(from_min[chosen]), float(until_min[chosen])


def _state(start: float, end: float, at: float) -> str:
    if at < start - _SLACK_MIN:
        return UNDER
    return OVER if at > end + _SLACK_MIN else DONE


def _shares(start: NDArray[np.float64], end: NDArray[np.float64], at: float) -> Shares:
    under = int(np.count_nonzero(at < start - _SLACK_MIN))
    over = int(np.count_nonzero(at > end + _SLACK_MIN))
    return Shares(under, start.size - under - over, over)


def _sizes(name: str, values: ArrayLike) -> NDArray[np.float64]:
    sizes = np.asarray(values, dtype=np.float64)
    if not (np.isfinite(sizes) & (sizes > 0)).all():
        raise ValueError(f"{name} must be finite and above 0.")
    return sizes


def _require_positive(**numbers: float) -> None:
    for name, number in numbers.items():
        if not (number > 0 and math.isfinite(number)):
            raise ValueError(f"{name} must be above 0, not {number}.")
