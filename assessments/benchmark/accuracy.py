"""How near measured widths come to those of photos whose strands are known exactly.

A folder holds pictures and, beside each, a JSON file of the same name with the truth: whether it is
to be measured (``expect``), the sheet's ``thickness_mm``, and per strand its ``centreline`` on the
card, ``mean_width_mm`` and whether it is ``touching`` another. ``media/photographs`` is one.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np

from assessments.calculations.measuring.measure import measure_strands
from assessments.calculations.measuring.pictures import open_picture
from assessments.calculations.measuring.refusals import RefusedError
from assessments.calculations.measuring.results import StrandReading

PICTURES: Final = (".jpg", ".jpeg", ".png", ".webp", ".heic")
THIN_MM: Final = 2.5
"""Mean width of a batch below which its style counts as thin."""
LEAST_IN_FIELD: Final = 0.3
"""Part of a strand's length within the field from which on it has to be found."""
BIAS_MM: Final = 0.03
"""Error of a batch's mean that is aimed at."""


@dataclass(frozen=True, slots=True)
class PhotoScore:
    """What became of one photo.

    Attributes
    ----------
    name : str
    expected : str or None
        Reason for which it has to be refused, None where it has to be measured.
    reason : str or None
        Reason for which it was refused, None where it was measured.
    mean_width_mm : float
        True mean of the free strands; 0 without any.
    free : int
        Strands that touch no other: all of them have to be found.
    found : int
        Those of them that have a width.
    false : int
        Widths that belong to no strand, or to one that has a width already.
    errors_mm : tuple of float
        Measured minus true width of the free strands found.
    u_mm : tuple of float
        Their standard uncertainties.
    spread_error_mm : float
        Their standard deviation as measured minus the true one; 0 for fewer than three.
    touching_errors_mm : tuple of float
        The same errors of strands that touch others, where they have a width.
    """

    name: str
    expected: str | None
    reason: str | None
    mean_width_mm: float = 0.0
    free: int = 0
    found: int = 0
    false: int = 0
    errors_mm: tuple[float, ...] = ()
    u_mm: tuple[float, ...] = ()
    spread_error_mm: float = 0.0
    touching_errors_mm: tuple[float, ...] = ()

    @property
    def wrong(self) -> bool:
        """Whether it was measured and should not have been, or the other way round."""
        return (self.expected is None) != (self.reason is None)

    @property
    def thin(self) -> bool:
        """Whether its style is a thin one."""
        return self.mean_width_mm < THIN_MM

    @property
    def bias_mm(self) -> float:
        """Error of the batch's mean."""
        return float(np.mean(self.errors_mm)) if self.errors_mm else 0.0

    @property
    def rms_mm(self) -> float:
        """Root mean square error of a strand."""
        return root_mean_square(self.errors_mm)

    @property
    def within(self) -> float:
        """Part of the errors within two standard uncertainties."""
        return part_within(self.errors_mm, self.u_mm)

    def __str__(self) -> str:
        if self.wrong:
            if self.reason:
                return f"{self.name}: REFUSED ({self.reason}), should be measured"
            return f"{self.name}: MEASURED, should be refused ({self.expected})"
        if self.reason:
            return f"{self.name}: refused ({self.reason}), as it should be"
        return (
            f"{self.name}: found {self.found}/{self.free}, false {self.false}, "
            f"bias {self.bias_mm:+.3f}, rms {self.rms_mm:.3f}, spread {self.spread_error_mm:+.3f}, "
            f"u {np.median(self.u_mm or [0]):.3f}, within 2u {self.within:.2f}"
        )


@dataclass(frozen=True, slots=True)
class Total:
    """Figures of several photos together; those of widths in mm.

    ``found`` is the part of the free strands found; ``bias`` the mean of the photos' biases and
    ``worst_bias`` the largest; ``near`` the part of the photos with a bias of at most `BIAS_MM`;
    ``rms_thin`` and ``rms_thick`` root mean square errors of a strand of thin styles and of thick
    and flat ones; ``spread_error`` and ``worst_spread_error`` root mean square and largest error of
    a batch's spread; ``within`` the part of errors within two standard uncertainties and
    ``error_over_u`` the root mean square of error over uncertainty, 1 where it is neither too wide
    nor too narrow; ``wrong`` the photos refused or measured that should not be.
    """

    photos: int
    found: float
    false: int
    bias: float
    worst_bias: float
    near: float
    rms_thin: float
    rms_thick: float
    spread_error: float
    worst_spread_error: float
    within: float
    error_over_u: float
    wrong: int

    def __str__(self) -> str:
        return (
            f"{self.photos} photos: {self.wrong} wrongly refused or measured; free strands found "
            f"{self.found:.1%}, false {self.false}; bias {self.bias:+.3f} (largest "
            f"{self.worst_bias:+.3f}, within {BIAS_MM} mm in {self.near:.0%} of the photos), rms "
            f"{self.rms_thin:.3f} thin, {self.rms_thick:.3f} thick and flat, spread "
            f"{self.spread_error:.3f} (largest {self.worst_spread_error:+.3f}); within 2u "
            f"{self.within:.1%}, error/u {self.error_over_u:.2f}"
        )


def root_mean_square(values: Iterable[float]) -> float:
    """Return the root mean square, 0 without values."""
    squares = [value**2 for value in values]
    return float(np.sqrt(np.mean(squares))) if squares else 0.0


def part_within(errors: Iterable[float], u: Iterable[float]) -> float:
    """Return the part of the errors within two standard uncertainties, 1 without any."""
    inside = [abs(error) <= 2 * own for error, own in zip(errors, u, strict=True)]
    return float(np.mean(inside)) if inside else 1.0


def folder_scores(folder: Path) -> list[PhotoScore]:
    """Measure every picture of a folder that has its truth beside it."""
    scores = []
    for path in sorted(folder.iterdir()):
        beside = path.with_suffix(".json")
        if path.suffix.lower() in PICTURES and beside.exists():
            scores.append(score(path.stem, path.read_bytes(), json.loads(beside.read_text())))
    return scores


def score(name: str, data: bytes, truth: dict[str, Any]) -> PhotoScore:
    """Measure one picture file, with the thickness given, and compare it with its truth."""
    expected = truth["reason"] or "refusal" if truth["expect"] == "reject" else None
    try:
        reading = measure_strands(open_picture(data), truth["thickness_mm"])
    except RefusedError as refusal:
        return PhotoScore(name, expected, refusal.reason.value)
    if expected is not None:
        return PhotoScore(name, expected, None)
    there = [row for row in truth["strands"] if row.get("share_in_field", 1.0) >= LEAST_IN_FIELD]
    pairs, false = paired(truth["strands"], reading.measured)
    free = [row for row in there if not row["touching"]]
    ids = {row["id"] for row in free}
    own = [(true_width(row), strand) for row, strand in pairs if row["id"] in ids]
    errors = [_width(strand) - width for width, strand in own]
    spread = 0.0
    if len(own) > 2:
        measured, true = [_width(strand) for _w, strand in own], [width for width, _s in own]
        spread = float(np.std(measured, ddof=1) - np.std(true, ddof=1))
    return PhotoScore(
        name,
        None,
        None,
        float(np.mean([true_width(row) for row in free])) if free else 0.0,
        len(free),
        len(own),
        false,
        tuple(errors),
        tuple(strand.u_mm or 0.0 for _w, strand in own),
        spread,
        tuple(_width(strand) - true_width(row) for row, strand in pairs if row["touching"]),
    )


def total(scores: Iterable[PhotoScore]) -> Total:
    """Return the figures of several photos together."""
    scores = list(scores)
    measured = [one for one in scores if one.expected is None and one.reason is None]
    with_errors = [one for one in measured if one.errors_mm]
    errors = [error for one in measured for error in one.errors_mm]
    u = [own for one in measured for own in one.u_mm]
    biases = [one.bias_mm for one in with_errors]
    spreads = [one.spread_error_mm for one in with_errors]
    free = sum(one.free for one in measured)
    return Total(
        photos=len(scores),
        found=sum(one.found for one in measured) / max(free, 1),
        false=sum(one.false for one in measured),
        bias=float(np.mean(biases or [0.0])),
        worst_bias=max(biases, key=abs, default=0.0),
        near=sum(abs(bias) <= BIAS_MM for bias in biases) / max(len(biases), 1),
        rms_thin=root_mean_square(e for one in measured if one.thin for e in one.errors_mm),
        rms_thick=root_mean_square(e for one in measured if not one.thin for e in one.errors_mm),
        spread_error=root_mean_square(spreads),
        worst_spread_error=max(spreads, key=abs, default=0.0),
        within=part_within(errors, u),
        error_over_u=root_mean_square(e / own for e, own in zip(errors, u, strict=True)),
        wrong=sum(one.wrong for one in scores),
    )


def paired(
    rows: list[dict[str, Any]], strands: Iterable[StrandReading]
) -> tuple[list[tuple[dict[str, Any], StrandReading]], int]:
    """Return which width belongs to which strand, and how many belong to none.

    A width belongs to the strand on whose middle it lies, at most 0.4 of its width, or half a
    millimetre, aside: one of two strands taken together lies beside both. One strand has one.
    """
    pairs: list[tuple[dict[str, Any], StrandReading]] = []
    false = 0
    taken = set()
    for strand in strands:
        row, off = min(
            ((row, distance(row["centreline"], strand.centre_mm)) for row in rows),
            key=lambda pair: pair[1],
            default=(None, np.inf),
        )
        if row is None or off > max(0.5, 0.4 * row["mean_width_mm"]) or row["id"] in taken:
            false += 1
            continue
        taken.add(row["id"])
        pairs.append((row, strand))
    return pairs, false


def distance(line: list[list[float]], point: tuple[float, float]) -> float:
    """Return how far a point is from a line of points, mm."""
    corners = np.asarray(line, dtype=float)
    start, step = corners[:-1], np.diff(corners, axis=0)
    share = ((np.asarray(point) - start) * step).sum(axis=1) / (step**2).sum(axis=1)
    nearest = start + np.clip(share, 0, 1)[:, None] * step
    return float(np.hypot(*(nearest - np.asarray(point)).T).min())


def true_width(row: dict[str, Any]) -> float:
    """Return the true mean width, of the part within the field where the strand leaves it."""
    inside = row.get("mean_width_in_field_mm")
    return float(row["mean_width_mm"] if inside is None else inside)


def _width(strand: StrandReading) -> float:
    if strand.width_mm is None:
        raise ValueError("Strands without a width have no error.")
    return strand.width_mm
