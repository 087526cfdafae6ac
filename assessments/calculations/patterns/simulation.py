"""How often patterns are found in made batches that have them, and in batches that have none.

The made hand: 60 strands, of which n are chosen as the site chooses them, 3.0 mm wide with a
tolerance of 0.5 mm and a standard deviation of 0.15 mm; their ends differ by 0.05 mm at random.
A sheet of nine points, 3.0 mm with a tolerance of 0.4 mm, and a standard deviation of 0.10 mm.
Water is weighed to 0.3 points. Strengths are in those standard deviations.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from assessments.calculations.instruments import choose_strands
from assessments.calculations.patterns.effects import Effect
from assessments.calculations.patterns.findings import (
    BatchFindings,
    RecipeReading,
    SheetReadings,
    StrandReadings,
    find_patterns,
)
from assessments.calculations.patterns.history import change_since, habits
from assessments.calculations.patterns.level import Tolerance
from assessments.calculations.patterns.null import Floats

SEED: Final = 2031
STRANDS_CUT: Final = 60
WIDTH: Final = Tolerance(2.5, 3.0, 3.5)
THICKNESS: Final = Tolerance(2.6, 3.0, 3.4)
WIDTH_SD: Final = 0.15
THICKNESS_SD: Final = 0.10
TAPER_SD: Final = 0.05
WATER_SIGMA: Final = 0.3

POWERS: Final = (
    ("width", "drift", 2.0),
    ("width", "drift", 3.0),
    ("width", "alternation", 1.5),
    ("width", "alternation", 2.0),
    ("width", "step", 1.5),
    ("width", "step", 2.0),
    ("width", "neighbours", 0.7),
    ("width", "groups", 5.0),
    ("width", "outliers", 5.0),
    ("width", "outliers", 7.0),
    ("width", "off_target", 2.0),
    ("width", "uneven", 2.5),
    ("taper", "wedge", 1.0),
    ("taper", "fan", 2.0),
    ("thickness", "tilt", 4.0),
    ("thickness", "tilt", 6.0),
    ("thickness", "bowl", 4.0),
    ("thickness", "bowl", 6.0),
    ("thickness", "ridge_along_rows", 4.0),
    ("thickness", "ridge_along_rows", 6.0),
    ("thickness", "spot", 7.0),
    ("hydration", "off_recipe", 4.0),
)
"""Part, kind and strength of what is looked for in `power`."""

SCATTERS: Final = ("normal", "rounded", "skewed", "heavy")


@dataclass(frozen=True, slots=True)
class PowerRow:
    """How often a pattern was found among all findings, first, and anything that was not there."""

    part: str
    kind: str
    strength: float
    strands: int
    found: float
    first: float
    others: float


@dataclass(frozen=True, slots=True)
class AlarmRow:
    """How often even batches brought up anything, and how often anything of one part."""

    scatter: str
    strands: int
    any: float
    by_kind: dict[str, float]


def made_batch(
    rng: np.random.Generator,
    strands: int,
    part: str = "",
    kind: str = "",
    strength: float = 0.0,
    scatter: str = "normal",
) -> BatchFindings:
    """Make a batch with one pattern, or none, and look for patterns in it.

    Parameters
    ----------
    rng : numpy Generator
    strands : int
        Strands measured, of 60 cut.
    part, kind, strength
        As in `POWERS`: change from first to last, difference of every second strand, of two
        groups, from one edge to the other, of the middle from the corners, distance of one strand
        in ten, in standard deviations; for neighbours their correlation, for uneven the factor of
        the standard deviation, for water its distance in standard uncertainties.
    scatter : str
        Of `SCATTERS`: rounded to 0.1 mm, log-normal with a skewness of 0.8, or Student's t with 5
        degrees of freedom, all with the same standard deviation.
    """
    positions = np.array(choose_strands(STRANDS_CUT, strands, int(rng.integers(1 << 30))))
    width = _scattered(rng, scatter, strands)
    sheet = _scattered(rng, scatter, 9)
    taper = rng.standard_normal(strands)
    water = rng.standard_normal() + (strength if part == "hydration" else 0)
    if part == "width":
        width = _with_width(rng, positions, width, kind, strength)
    elif part == "taper":
        taper += strength * (1.0 if kind == "wedge" else positions % 2 - 0.5)
    elif part == "thickness":
        y, x = (axis.ravel() for axis in np.mgrid[-1:2, -1:2].astype(np.float64))
        turn = rng.uniform(0, 2 * np.pi)
        shape = {
            "tilt": (np.cos(turn) * x + np.sin(turn) * y) / 2,
            "bowl": -(x * x + y * y) / 2,
            "ridge_along_rows": -y * y,
            "spot": np.eye(9)[rng.integers(9)],
        }[kind]
        sheet += strength * (shape - shape.mean())
    width_mm = WIDTH.target_mm + WIDTH_SD * width
    sheet_mm = THICKNESS.target_mm + THICKNESS_SD * sheet
    if scatter == "rounded":
        width_mm, sheet_mm = np.round(width_mm, 1), np.round(sheet_mm, 1)
    half = TAPER_SD * taper / 2
    return find_patterns(
        StrandReadings(
            positions=positions.tolist(),
            widths_mm=width_mm.tolist(),
            tolerance=WIDTH,
            ends_mm=list(zip((width_mm - half).tolist(), (width_mm + half).tolist(), strict=True)),
        ),
        SheetReadings(rows=3, columns=3, thickness_mm=sheet_mm.tolist(), tolerance=THICKNESS),
        [
            RecipeReading(
                part="hydration",
                actual=46 + WATER_SIGMA * float(water),
                target=46,
                tol_minus=1,
                tol_plus=1,
                sigma=WATER_SIGMA,
            )
        ],
    )


def power(
    batches: int,
    *,
    strands: Sequence[int] = (20, 40),
    advance: Callable[[], object] | None = None,
) -> list[PowerRow]:
    """Return how often each pattern of `POWERS` is found; ``advance`` is called after each."""
    rows = []
    for i, (part, kind, strength) in enumerate(POWERS):
        for n in strands:
            rng = np.random.default_rng([SEED, i, n])
            counts = np.zeros(3)
            for _ in range(batches):
                listed = [
                    (finding.part, finding.kind)
                    for finding in made_batch(rng, n, part, kind, strength).findings
                ]
                counts += (
                    (part, kind) in listed,
                    listed[:1] == [(part, kind)],
                    any(name != (part, kind) for name in listed),
                )
            found, first, others = (counts / batches).tolist()
            rows.append(PowerRow(part, kind, strength, n, found, first, others))
            if advance is not None:
                advance()
    return rows


def false_alarms(
    batches: int,
    *,
    strands: Sequence[int] = (20, 40),
    scatters: Sequence[str] = SCATTERS,
    advance: Callable[[], object] | None = None,
) -> list[AlarmRow]:
    """Return how often even, random batches bring up anything; ``advance`` after each row."""
    rows = []
    for i, scatter in enumerate(scatters):
        for n in strands:
            rng = np.random.default_rng([SEED, 100 + i, n])
            alarms, by_kind = 0, dict[str, int]()
            for _ in range(batches):
                findings = made_batch(rng, n, scatter=scatter).findings
                alarms += bool(findings)
                for finding in findings:
                    name = f"{finding.part}.{finding.kind}"
                    by_kind[name] = by_kind.get(name, 0) + 1
            shares = {name: count / batches for name, count in sorted(by_kind.items())}
            rows.append(AlarmRow(scatter, n, alarms / batches, shares))
            if advance is not None:
                advance()
    return rows


def changes(cooks: int, *, drift: float = 2.5, kept: float = 1.0, strands: int = 20) -> Floats:
    """Return how often a cook is told gone, better, worse, or cannot tell, in this order.

    Each cook cuts until a batch shows a drift (at most ten batches with a true drift of ``drift``
    standard deviations), and then one more batch with ``kept`` of it: 1 when nothing was changed.
    Cooks without such a batch are left out.
    """
    rng = np.random.default_rng([SEED, 200])
    names = ("gone", "better", "worse", "cannot_tell")
    told: list[str] = []
    for _ in range(cooks):
        before: list[Sequence[Effect]] = []
        for _batch in range(10):
            batch = made_batch(rng, strands, "width", "drift", drift)
            before.append(batch.effects)
            if any(finding.kind == "drift" for finding in batch.findings):
                after = made_batch(rng, strands, "width", "drift", drift * kept)
                change = change_since("width", "drift", before, after.effects)
                if change is not None:
                    told.append(change.verdict)
                break
    return np.array([told.count(name) / max(1, len(told)) for name in names])


def false_habits(cooks: int, *, batches: int = 5, strands: int = 20) -> float:
    """Return how often ``batches`` even batches together bring up any habit."""
    rng = np.random.default_rng([SEED, 300])
    return float(
        np.mean(
            [
                bool(habits([made_batch(rng, strands).effects for _ in range(batches)]))
                for _ in range(cooks)
            ]
        )
    )


def _scattered(rng: np.random.Generator, scatter: str, n: int) -> Floats:
    """Return scatter with mean 0 and a standard deviation of 1."""
    if scatter == "heavy":
        return np.asarray(rng.standard_t(5, n) / np.sqrt(5 / 3), dtype=np.float64)
    z = rng.standard_normal(n)
    if scatter == "skewed":
        # exp(s z) has the skewness (w + 2) sqrt(w - 1) with w = exp(s^2): 0.8 for s = 0.2577.
        s = 0.2577
        w = np.exp(s * s)
        return np.asarray((np.exp(s * z) - np.sqrt(w)) / np.sqrt(w * (w - 1)), dtype=np.float64)
    return z


def _with_width(
    rng: np.random.Generator, positions: Floats, width: Floats, kind: str, strength: float
) -> Floats:
    n = width.size
    if kind == "off_target":
        return width + strength
    if kind == "uneven":
        return width * strength
    if kind == "outliers":
        out = rng.permutation(n) < n // 20
        return width + strength * out * float(rng.choice((-1, 1)))
    if kind == "neighbours":
        # Each strand follows the one measured before it (autoregression of order 1).
        for i in range(1, n):
            width[i] = strength * width[i - 1] + math.sqrt(1 - strength**2) * width[i]
        return width
    shape = {
        "drift": positions / STRANDS_CUT,
        "alternation": positions % 2,
        "step": positions > rng.uniform(0.3, 0.7) * STRANDS_CUT,
        "groups": rng.permutation(n) < n // 2,
    }[kind].astype(np.float64)
    moved: Floats = width + strength * (shape - shape.mean())
    return moved
