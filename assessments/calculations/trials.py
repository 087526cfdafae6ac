"""What a trial of the photos shows: the same strands, matched by their order."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assessments.calculations.gauge import (
    ENOUGH_STRANDS,
    Agreement,
    GaugeStudy,
    agreement,
    gauge_study,
    sd_of_one,
)
from assessments.calculations.instruments import (
    MeasurementCheck,
    Repeatability,
    measurement_check,
    repeatability,
)

TOO_FEW: Final = "too few"
BIASED: Final = "biased"


@dataclass(frozen=True, slots=True)
class PhotoWidths:
    """What one measured photo says of the strands on it, in their order across the card.

    Attributes
    ----------
    person : int
        Who took it.
    widths_mm : tuple of float or None
        None for a strand that was found and could not be measured.
    u_mm, random_mm : tuple of float or None
        Standard uncertainty, and its part that differs from strand to strand.
    """

    person: int
    widths_mm: tuple[float | None, ...]
    u_mm: tuple[float | None, ...]
    random_mm: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """Why a trial shows nothing, or leaves a photo aside.

    Attributes
    ----------
    code : str
        ``'no_photo'``; ``'no_caliper'``; ``'strands'``: the photos together show another number
        than were laid; ``'photo_strands'``: this photo does; ``'few_pairs'``: fewer than 2
        strands have both widths; ``'few_photos'``: this person took fewer than 2 photos;
        ``'few_common'``: fewer than 2 strands have a width on every photo.
    photo : int or None
        Which photo, from 1.
    person : int or None
        Whose photos.
    found, wanted : int or None
        Numbers of strands or photos.
    """

    code: str
    photo: int | None = None
    person: int | None = None
    found: int | None = None
    wanted: int | None = None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Photo against caliper, see `compare`.

    Attributes
    ----------
    places : tuple of int
        Strands with both widths, from 1 in the order laid.
    photo_mm, caliper_mm : tuple of float
        Their widths; the caliper's is the mean of its two readings where there are two.
    agreement : Agreement
    caliper : Repeatability or None
        The caliper's own repeatability where it was read twice.
    caliper_sd_mm : float or None
        Standard deviation of the caliper's width above; None where nothing is known of it.
    photo_sd_mm : float
        The photo's own scatter: that of the differences without the caliper's, and at least the
        scatter that the photo itself states.
    within_two_u : int or None
        Strands whose difference lies within two standard uncertainties of photo and caliper
        together, about 95 in 100 where these are honest; None where the caliper's is unknown.
    left_out : int
        Strands without one of the widths.
    """

    places: tuple[int, ...]
    photo_mm: tuple[float, ...]
    caliper_mm: tuple[float, ...]
    agreement: Agreement
    caliper: Repeatability | None
    caliper_sd_mm: float | None
    photo_sd_mm: float
    within_two_u: int | None
    left_out: int


@dataclass(frozen=True, slots=True)
class Repeats:
    """One layout photographed several times, see `repeat`.

    Attributes
    ----------
    places : tuple of int
        Strands with a width on every photo used, from 1 in their order across the card.
    people : tuple of int
        Who took the photos, in the order of their first.
    photos : tuple of tuple of int
        Photos used, from 1, of each person.
    widths_mm : tuple of tuple of tuple of float
        By strand, person and photo.
    study : GaugeStudy
    left_out : int
        Strands without a width on one of the photos.
    unused : tuple of int
        Photos over the number that every person took.
    """

    places: tuple[int, ...]
    people: tuple[int, ...]
    photos: tuple[tuple[int, ...], ...]
    widths_mm: tuple[tuple[tuple[float, ...], ...], ...]
    study: GaugeStudy
    left_out: int
    unused: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether the photo is fine enough for a tolerance, see `verdict`.

    Attributes
    ----------
    grade : str
        ``'good'``, ``'biased'`` (good but for a bias), ``'coarse'``, ``'too coarse'`` or, with too
        little to tell, ``'too few'``.
    sd_mm : float
        The scatter that was graded.
    check : MeasurementCheck
    n, wanted : int
        Pairs of readings that the scatter rests on, and how many are wanted.
    """

    grade: str
    sd_mm: float
    check: MeasurementCheck
    n: int
    wanted: int


def compare(
    photos: Sequence[PhotoWidths],
    strands: int,
    first_mm: ArrayLike,
    second_mm: ArrayLike,
    instrument_sd_mm: float | None = None,
) -> tuple[Comparison | None, tuple[Problem, ...]]:
    """Match photos with caliper readings by the order of the strands.

    Parameters
    ----------
    photos : sequence of PhotoWidths
        The strands of the second go on where those of the first end.
    strands : int
        Strands laid.
    first_mm, second_mm : array_like of float, shape (strands,) or (0,)
        The caliper's readings, NaN for a missing one.
    instrument_sd_mm : float, optional
        The caliper's repeatability as known before; taken where it was read only once.

    Returns
    -------
    tuple of (Comparison or None, tuple of Problem)
        None together with the problems that stand in the way.

    Raises
    ------
    ValueError
        For caliper readings of another number than `strands`.

    Notes
    -----
    Scatter of the mean of two readings: that of one over sqrt(2).

    Examples
    --------
    >>> photo = PhotoWidths(1, (3.0, 3.2), (0.02, 0.02), (0.01, 0.01))
    >>> [problem.code for problem in compare([photo], 3, [], [])[1]]
    ['strands', 'no_caliper']
    """
    readings = _readings(first_mm, second_mm, strands)
    widths = _numbers(width for photo in photos for width in photo.widths_mm)
    problems = []
    if not photos:
        problems.append(Problem("no_photo"))
    elif len(widths) != strands:
        problems.append(Problem("strands", found=len(widths), wanted=strands))
    if np.isnan(readings).all():
        problems.append(Problem("no_caliper"))
    if problems:
        return None, tuple(problems)
    read = (~np.isnan(readings)).sum(axis=0)
    both = (read > 0) & ~np.isnan(widths)
    if both.sum() < 2:
        return None, (Problem("few_pairs", found=int(both.sum()), wanted=2),)
    caliper_mm = np.nansum(readings[:, both], axis=0) / read[both]
    twice = None
    if (read == 2).sum() >= 2:
        twice = repeatability(*readings[:, read == 2].tolist())
    one_mm = twice.sigma_m if twice else instrument_sd_mm
    # The mean of two scatters less; a few strands read once are taken along with the others.
    caliper_sd_mm = None if one_mm is None else one_mm * math.sqrt(float((1 / read[both]).mean()))
    result = agreement(widths[both].tolist(), caliper_mm.tolist())
    stated_mm = _numbers(value for photo in photos for value in photo.random_mm)[both]
    u_mm = _numbers(value for photo in photos for value in photo.u_mm)[both]
    return (
        Comparison(
            places=_places(both),
            photo_mm=tuple(widths[both].tolist()),
            caliper_mm=tuple(caliper_mm.tolist()),
            agreement=result,
            caliper=twice,
            caliper_sd_mm=caliper_sd_mm,
            photo_sd_mm=max(
                sd_of_one(result.sd, caliper_sd_mm or 0.0), _root_mean_square(stated_mm)
            ),
            within_two_u=_within(widths[both] - caliper_mm, u_mm, caliper_sd_mm),
            left_out=int((~both).sum()),
        ),
        (),
    )


def repeat(
    photos: Sequence[PhotoWidths], strands: int, tolerance_mm: float | None = None
) -> tuple[Repeats | None, tuple[Problem, ...]]:
    """Match repeated photos of one layout by the order of the strands.

    Parameters
    ----------
    photos : sequence of PhotoWidths
        In the order taken. One that shows another number of strands than were laid is left aside.
    strands : int
        Strands laid.
    tolerance_mm : float, optional
        Width of the tolerance band.

    Returns
    -------
    tuple of (Repeats or None, tuple of Problem)
        Problems may stand beside a result: they name the photos left aside. Everybody counts
        with as many photos as the one who took fewest, for the study must be balanced.

    Notes
    -----
    See `gauge_study`.

    Examples
    --------
    >>> photo = PhotoWidths(1, (3.0, 3.2), (0.02, 0.02), (0.01, 0.01))
    >>> [problem.code for problem in repeat([photo], 2)[1]]
    ['few_photos']
    """
    if not photos:
        return None, (Problem("no_photo"),)
    aside = tuple(
        Problem("photo_strands", photo=number, found=len(photo.widths_mm), wanted=strands)
        for number, photo in enumerate(photos, start=1)
        if len(photo.widths_mm) != strands
    )
    taken: dict[int, list[int]] = {}
    for number, photo in enumerate(photos, start=1):
        if len(photo.widths_mm) == strands:
            taken.setdefault(photo.person, []).append(number)
    if not taken:
        return None, aside
    trials = min(map(len, taken.values()))
    if trials < 2:
        short = tuple(
            Problem("few_photos", person=person, found=len(numbers), wanted=2)
            for person, numbers in taken.items()
            if len(numbers) < 2
        )
        return None, (*aside, *short)
    used = tuple(tuple(numbers[:trials]) for numbers in taken.values())
    widths = np.stack(
        [
            np.stack([_numbers(photos[number - 1].widths_mm) for number in numbers], axis=-1)
            for numbers in used
        ],
        axis=1,
    )
    on_all = np.isfinite(widths.reshape(strands, -1).sum(axis=1))
    if on_all.sum() < 2:
        return None, (*aside, Problem("few_common", found=int(on_all.sum()), wanted=2))
    values = widths[on_all]
    return (
        Repeats(
            places=_places(on_all),
            people=tuple(taken),
            photos=used,
            widths_mm=tuple(tuple(map(tuple, strand)) for strand in values.tolist()),
            study=gauge_study(values, tolerance_mm),
            left_out=int((~on_all).sum()),
            unused=tuple(number for numbers in taken.values() for number in numbers[trials:]),
        ),
        aside,
    )


def verdict(result: Comparison | Repeats, half_tolerance_mm: float) -> Verdict:
    """Grade the photo's scatter against a tolerance.

    Parameters
    ----------
    result : Comparison or Repeats
        A comparison is graded by the photo's own scatter, repeats by repeatability and
        reproducibility together.
    half_tolerance_mm : float
        Half the width of the tolerance band, mm, above 0.

    Returns
    -------
    Verdict
        ``'too few'`` below 20 pairs, whatever the scatter: a comparison has one from each strand,
        repeats one from each strand and each further photo of a person. A bias counts when its
        95 % interval leaves out 0.

    Raises
    ------
    ValueError
        For a half tolerance that is not above 0.

    Notes
    -----
    House limits, see `measurement_check`.

    Examples
    --------
    >>> photo = PhotoWidths(1, (3.0, 3.2), (0.02, 0.02), (0.01, 0.01))
    >>> result, _problems = repeat([photo, photo], 2)
    >>> verdict(result, 0.5).grade
    'too few'
    """
    if isinstance(result, Comparison):
        sd_mm, n = result.photo_sd_mm, len(result.places)
    else:
        study = result.study
        sd_mm, n = study.grr.sd, study.parts * study.appraisers * (study.trials - 1)
    check = measurement_check(sd_mm, half_tolerance_mm)
    grade = check.grade if n >= ENOUGH_STRANDS else TOO_FEW
    if grade == "good" and isinstance(result, Comparison) and result.agreement.bias.leaves_out_zero:
        grade = BIASED
    return Verdict(grade=grade, sd_mm=sd_mm, check=check, n=n, wanted=ENOUGH_STRANDS)


def _readings(first_mm: ArrayLike, second_mm: ArrayLike, strands: int) -> NDArray[np.float64]:
    """Return both readings as rows, NaN where there is none."""
    rows = np.full((2, strands), np.nan)
    for row, given in zip(rows, (first_mm, second_mm), strict=True):
        values = np.asarray(given, dtype=np.float64)
        if values.size not in (0, strands):
            raise ValueError(f"{strands} caliper readings are needed, not {values.size}.")
        if values.size:
            row[:] = values
    return rows


def _numbers(values: Iterable[float | None]) -> NDArray[np.float64]:
    return np.array([math.nan if value is None else value for value in values], dtype=np.float64)


def _places(mask: NDArray[np.bool_]) -> tuple[int, ...]:
    return tuple(int(place) + 1 for place in np.flatnonzero(mask))


def _root_mean_square(values: NDArray[np.float64]) -> float:
    known = values[~np.isnan(values)]
    return math.sqrt(float((known**2).mean())) if known.size else 0.0


def _within(
    differences_mm: NDArray[np.float64], u_mm: NDArray[np.float64], caliper_sd_mm: float | None
) -> int | None:
    if caliper_sd_mm is None or np.isnan(u_mm).any():
        return None
    return int((np.abs(differences_mm) <= 2 * np.hypot(u_mm, caliper_sd_mm)).sum())
