"""What the order of cutting says: drift, steps, every second strand, neighbours, wedges."""

import math
from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from assessments.calculations.patterns.level import Tolerance
from assessments.calculations.patterns.linear import (
    Pattern,
    basis,
    coefficients,
    directions,
    distinct_columns,
    explained,
    information,
    left_over,
)
from assessments.calculations.patterns.null import Floats, Test, compare, orders, signs
from assessments.calculations.patterns.shape import (
    FEWEST_FOR_GROUPS,
    FEWEST_FOR_OUTLIERS,
    ShapeNull,
    best_split,
    most_outliers,
    outlier_evidence,
    smallest_group,
    studentised_extremes,
)

FEWEST_FOR_ORDER: Final = 8
FEWEST_AT_A_SIDE: Final = 3
"""Strands before and after a step, and on even and on odd places."""
FEWEST_FOR_WEDGE: Final = 12
FEWEST_TO_REORDER: Final = 12
"""Fewer strands have too few orders that differ; they are compared with normal readings."""
_NO_SPREAD: Final = 1e-9
_ORDER_STREAM: Final = 1
_SIGN_STREAM: Final = 5
# Numbers that each description needs. Where a step was counts twice: a change point is looked for
# at every place (Zhang and Siegmund 2007, Biometrics 63, 22-32, find more than one and a half).
_PARAMETERS: Final = {"drift": 1, "alternation": 1, "step": 3}


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """Widths in the order of cutting, and what has been found in them so far.

    Attributes
    ----------
    positions, widths_mm : ndarray, shape (n,)
        Rising places in the order of cutting, and the strand there; outliers are left out.
    columns : ndarray, shape (n, k)
        One for each pattern found that is a straight sum.
    kinds, places : tuple
        Kind and place of each column.
    outliers : tuple of (float, float)
        Position and width of each strand that was taken out.
    neighbours : bool
        Whether neighbours were found to resemble each other, or to differ.
    outliers_sought : int
        Strands that may still be taken out.
    """

    positions: Floats
    widths_mm: Floats
    columns: Floats
    kinds: tuple[str, ...]
    places: tuple[tuple[float, ...], ...]
    outliers: tuple[tuple[float, float], ...]
    neighbours: bool
    outliers_sought: int

    @property
    def spanned(self) -> Floats:
        """Orthonormal basis of the mean and all columns."""
        return basis(self.columns)


def cut_of(positions: Floats, widths_mm: Floats) -> Cut:
    """Return strands in the order of cutting with nothing found in them yet."""
    n = positions.size
    return Cut(positions, widths_mm, np.empty((n, 0)), (), (), (), False, most_outliers(n))


def cut_tests(cut: Cut, null: ShapeNull) -> tuple[list[Test], dict[str, str]]:
    """Return the tests of order and shape, and for what cannot be tested the reason.

    Statistics, of the residuals after what was found before: drift, alternation and step are
    the part of the sum of squares that they explain, the step at its best place with at least
    three strands on both sides (Worsley 1979, Journal of the American Statistical Association
    74, 365-367); neighbours is the first autocorrelation, against its mean in random order, -1/n
    (Wald and Wolfowitz 1943, Annals of Mathematical Statistics 14, 378-388), and the number of
    runs at or above and below the median (Wald and Wolfowitz 1940, same journal 11, 147-162).
    All of these are compared with the same residuals in other orders, which asks nothing of their
    distribution (Freedman and Lane 1983, Journal of Business and Economic Statistics 1, 292-298).
    Groups and outliers (`shape`), and few strands, are compared with normal readings.
    """
    n = cut.positions.size
    spanned = cut.spanned
    rest = left_over(cut.widths_mm, spanned)
    untested: dict[str, str] = {}
    if float(np.abs(rest).max()) <= _NO_SPREAD:
        kinds = ("drift", "alternation", "step", "neighbours", "groups", "outliers")
        return [], dict.fromkeys(kinds, "no_spread")
    tests: list[Test] = []
    if n >= FEWEST_FOR_ORDER:
        if n >= FEWEST_TO_REORDER:
            others = left_over(rest[orders(n, _ORDER_STREAM)], spanned)
        else:
            others = null.rest
        rows = np.vstack([rest, others])
        statistics, untested = _order_statistics(cut, rows, spanned)
        tests = [compare(f"width.{kind}", float(s[0]), s[1:]) for kind, s in statistics.items()]
    else:
        untested = dict.fromkeys(("drift", "alternation", "step", "neighbours"), "too_few")
    if n < FEWEST_FOR_GROUPS:
        untested["groups"] = "too_few"
    elif "groups" not in cut.kinds:
        split = best_split(np.sort(rest)[None, :], smallest_group(n))[0]
        tests.append(compare("width.groups", float(split[0]), null.split))
    if n < FEWEST_FOR_OUTLIERS:
        untested["outliers"] = "too_few"
    elif cut.outliers_sought > 0:
        evidence, _count = outlier_evidence(rest[None, :], most_outliers(n))
        tests.append(compare("width.outliers", float(evidence[0]), null.outliers))
    return tests, untested


def take_from_cut(cut: Cut, significant: Collection[str], tolerance: Tolerance) -> Cut | None:
    """Take the pattern out that describes the strands best, of those beyond chance.

    Parameters
    ----------
    cut : Cut
    significant : collection of str
        Kinds beyond chance.
    tolerance : Tolerance
        A strand within it is no outlier, however even the others are.

    Returns
    -------
    Cut or None
        Gross outliers go first, as they hide everything else; then drift, alternation or step,
        whichever Schwarz's criterion prefers; then two groups, then neighbours. None when there
        is nothing to take.
    """
    n = cut.positions.size
    spanned = cut.spanned
    rest = left_over(cut.widths_mm, spanned)
    if "outliers" in significant:
        _evidence, count = outlier_evidence(rest[None, :], most_outliers(n))
        _deviations, at = studentised_extremes(
            rest[None, :], min(int(count[0]), cut.outliers_sought)
        )
        gone = [i for i in at[:, 0].astype(int) if not tolerance.allows(cut.widths_mm[i])]
        if gone:
            keep = np.setdiff1d(np.arange(n), gone)
            outliers = tuple((float(cut.positions[i]), float(cut.widths_mm[i])) for i in gone)
            return replace(
                cut,
                positions=cut.positions[keep],
                widths_mm=cut.widths_mm[keep],
                columns=cut.columns[keep],
                outliers=cut.outliers + outliers,
                outliers_sought=cut.outliers_sought - len(gone),
            )
    candidates = []
    for kind in _PARAMETERS:
        if kind in significant:
            column, place = _column(cut, kind, rest, spanned)
            unit = directions(column[:, None], spanned)
            if unit is not None:
                part = float(explained(rest, unit))
                candidates.append((information(part, n, _PARAMETERS[kind]), kind, column, place))
    if candidates:
        _criterion, kind, column, place = min(candidates, key=lambda item: item[0])
        return _with_column(cut, kind, column, place)
    if "groups" in significant:
        _part, lower = best_split(np.sort(rest)[None, :], smallest_group(n))
        limit = np.sort(rest)[int(lower[0]) - 1]
        column = np.where(rest > limit, 1.0, 0.0)
        return _with_column(cut, "groups", column, (n - column.sum(), column.sum()))
    if "neighbours" in significant:
        return replace(cut, neighbours=True)
    return None


def cut_patterns(cut: Cut) -> list[Pattern]:
    """Return what was found in the strands, sizes fitted together, see `findings.Finding`."""
    y = cut.widths_mm
    found: list[Pattern] = []
    if cut.outliers:
        away = [width - float(y.mean()) for _position, width in cut.outliers]
        found.append(
            Pattern(
                "outliers",
                "wide" if min(away) > 0 else "narrow" if max(away) < 0 else "both",
                max(abs(a) for a in away),
                tuple(position for position, _width in cut.outliers),
                y,
            )
        )
    sizes = coefficients(y, cut.columns) if cut.kinds else np.empty(0)
    for kind, place, column, size in zip(
        cut.kinds, cut.places, cut.columns.T, sizes.tolist(), strict=True
    ):
        names = {"alternation": ("odd", "even")}.get(kind, ("wider", "narrower"))
        found.append(
            Pattern(
                kind,
                "apart" if kind == "groups" else names[0] if size > 0 else names[1],
                abs(size),
                place,
                y - size * (column - column.mean()),
            )
        )
    if cut.neighbours:
        rest = left_over(y, cut.spanned)
        r = lag_correlation(rest)
        # Of two neighbours the one foretells r of the other: without it the spread is smaller.
        calmer = y - (1 - math.sqrt(1 - min(r * r, 1))) * rest
        found.append(
            Pattern(
                "neighbours",
                "alike" if r > -1 / y.size else "opposed",
                2 * abs(r) * float(rest.std(ddof=1)),
                (r, float(np.median(np.diff(cut.positions)))),
                calmer,
            )
        )
    return found


def lag_correlation(values: Floats) -> float:
    """Return the first autocorrelation of ``values`` (n,) in their order, n at least 2.

    Sum of products of neighbours' deviations from the mean over the sum of squares: Box, Jenkins
    and Reinsel, Time Series Analysis, 2.1.4. 0 where there is no spread.

    Examples
    --------
    >>> lag_correlation(np.array([10000001.0, 10000003.0, 10000002.0]))
    -0.5
    """
    d = values - values.mean()
    squares = float(d @ d)
    return float(d[1:] @ d[:-1]) / squares if squares > 0 else 0.0


def runs_z(rows: Floats, limit: Floats) -> Floats:
    """Return how many runs about a limit there are beyond chance, in standard deviations.

    Parameters
    ----------
    rows : ndarray, shape (draws, n)
    limit : ndarray, shape (draws, 1) or (1, 1)
        The median of each row, usually.

    Returns
    -------
    ndarray, shape (draws,)
        Below 0 where runs are long and few; 0 where all lie on one side. Values at the limit
        count as above it. Wald and Wolfowitz (1940), Annals of Mathematical Statistics 11,
        147-162.
    """
    n = rows.shape[1]
    above = rows >= limit
    a = above.sum(axis=1).astype(np.float64)
    b = n - a
    runs = 1.0 + (above[:, 1:] != above[:, :-1]).sum(axis=1)
    both = 2 * a * b
    variance = both * (both - n) / (n * n * (n - 1))
    z: Floats = np.where(
        variance > 0, (runs - 1 - both / n) / np.sqrt(np.maximum(variance, 1e-12)), 0.0
    )
    return z


def taper_tests(
    positions: Floats, taper_mm: Floats, found: Collection[str] = ()
) -> tuple[list[Test], dict[str, str]]:
    """Return the tests of wedge-shaped strands, and for what cannot be tested the reason.

    Parameters
    ----------
    positions, taper_mm : ndarray, shape (n,)
        Place in the order of cutting; width at the last end less width at the first.
    found : collection of str
        ``'wedge'`` and ``'fan'``, which are then taken out.

    Notes
    -----
    ``wedge``: all strands wider at the same end; ``fan``: odd ones at one end and even ones at
    the other, as when the knife swings. In an even batch each difference could as well have the
    other sign: Fisher (1935), The Design of Experiments, section 21. Strands that were turned
    before they were measured show neither.
    """
    n = taper_mm.size
    kinds = ("wedge", "fan")
    if n < FEWEST_FOR_WEDGE:
        return [], dict.fromkeys(kinds, "too_few")
    columns = {"wedge": np.ones(n), "fan": _odd(positions) - 0.5}
    units = {kind: column / np.linalg.norm(column) for kind, column in columns.items()}
    taken = [units[kind] for kind in kinds if kind in found]
    spanned = np.linalg.qr(np.column_stack(taken))[0] if taken else np.empty((n, 0))
    rest = left_over(taper_mm, spanned)
    if float(np.abs(rest).max()) <= _NO_SPREAD:
        return [], {kind: "no_spread" for kind in kinds if kind not in found}
    rows = np.vstack([rest, left_over(signs(n, _SIGN_STREAM) * rest, spanned)])
    tests, untested = [], {}
    for kind in kinds:
        if kind in found:
            continue
        if kind == "fan" and not _both_sides(positions):
            untested[kind] = "one_sided"
            continue
        unit = left_over(units[kind], spanned)
        s = explained(rows, (unit / np.linalg.norm(unit))[:, None])
        tests.append(compare(f"taper.{kind}", float(s[0]), s[1:]))
    return tests, untested


def _order_statistics(
    cut: Cut, rows: Floats, spanned: Floats
) -> tuple[dict[str, Floats], dict[str, str]]:
    statistics: dict[str, Floats] = {}
    untested: dict[str, str] = {}
    n = cut.positions.size
    squares = np.square(rows).sum(axis=1)
    if "drift" not in cut.kinds:
        drift = directions(cut.positions[:, None], spanned)
        if drift is None:
            untested["drift"] = "not_apart"
        else:
            statistics["drift"] = explained(rows, drift)
    if "alternation" not in cut.kinds:
        alternation = directions(_odd(cut.positions)[:, None], spanned)
        if not _both_sides(cut.positions):
            untested["alternation"] = "one_sided"
        elif alternation is None:
            untested["alternation"] = "not_apart"
        else:
            statistics["alternation"] = explained(rows, alternation)
    steps, _kept = distinct_columns(_steps(n), spanned)
    if steps.shape[1] == 0:
        untested["step"] = "not_apart"
    else:
        statistics["step"] = np.square(rows @ steps).max(axis=1) / squares
    if not cut.neighbours:
        products = (rows[:, 1:] * rows[:, :-1]).sum(axis=1)
        statistics["neighbours"] = np.abs(products / squares + 1 / n)
        # The same readings in another order have the same median.
        same = spanned.shape[1] == 1 and n >= FEWEST_TO_REORDER
        several = rows[:1] if same else rows
        statistics["runs"] = np.abs(runs_z(rows, np.median(several, axis=1, keepdims=True)))
    return statistics, untested


def _column(cut: Cut, kind: str, rest: Floats, spanned: Floats) -> tuple[Floats, tuple[float, ...]]:
    """Return the column of a kind, scaled so that its coefficient is the size in mm."""
    p = cut.positions
    if kind == "drift":
        return (p - p[0]) / (p[-1] - p[0]), (float(p[0]), float(p[-1]))
    if kind == "alternation":
        return _odd(p), ()
    steps = _steps(p.size)
    units, kept = distinct_columns(steps, spanned)
    best = int(kept[np.argmax(np.square(rest @ units))])
    last_before = best + FEWEST_AT_A_SIDE - 1
    return steps[:, best], (float(p[last_before]), float(p[last_before + 1]))


def _with_column(cut: Cut, kind: str, column: Floats, place: tuple[float, ...]) -> Cut:
    return replace(
        cut,
        columns=np.column_stack([cut.columns, column]),
        kinds=(*cut.kinds, kind),
        places=(*cut.places, place),
    )


def _odd(positions: Floats) -> Floats:
    odd: Floats = positions % 2
    return odd


def _both_sides(positions: Floats) -> bool:
    odd = int(_odd(positions).sum())
    return min(odd, positions.size - odd) >= FEWEST_AT_A_SIDE


def _steps(n: int) -> Floats:
    """Return all steps with enough strands on both sides, 0 before and 1 after: (n, n - 5)."""
    last_before = np.arange(FEWEST_AT_A_SIDE - 1, n - FEWEST_AT_A_SIDE)
    steps: Floats = (np.arange(n)[:, None] > last_before).astype(np.float64)
    return steps
