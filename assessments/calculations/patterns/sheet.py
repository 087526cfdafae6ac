"""What the thickness of a sheet says: tilted, thick in the middle, a ridge, one thick spot."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from assessments.calculations.patterns.level import Tolerance
from assessments.calculations.patterns.linear import (
    Pattern,
    basis,
    directions,
    explained,
    information,
    left_over,
)
from assessments.calculations.patterns.null import Floats, Test, compare
from assessments.calculations.patterns.shape import (
    FEWEST_FOR_OUTLIERS,
    ShapeNull,
    outlier_evidence,
    studentised_extremes,
)

FEWEST_FOR_TILT: Final = 6
FEWEST_FOR_CURVATURE: Final = 8
FEWEST_TO_SPARE: Final = 2
"""Points beyond those that a whole quadratic surface needs, for it to be tested."""
TERMS: Final = ("x", "y", "xx", "yy", "xy")
CURVED: Final = ("bowl", "ridge_along_rows", "ridge_along_columns", "saddle")
KINDS: Final = ("tilt", *CURVED)
_PARAMETERS: Final = {"tilt": 2, "saddle": 2}
_NO_SPREAD: Final = 1e-9
_DISTINCT: Final = 1e-6
# Eight directions, a quarter turn being two: x grows to the right, y downward, as rows do.
_TOWARD: Final = (
    "right", "bottom_right", "bottom", "bottom_left", "left", "top_left", "top", "top_right",
)  # fmt: skip
_AXES: Final = ("left_right", "falling", "top_bottom", "rising")


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """Thickness of a sheet at points of it, and what has been found so far.

    Attributes
    ----------
    x, y : ndarray, shape (n,)
        Place of each point: x from -1 at the left to 1 at the right edge of the grid, y from -1
        at the top (first row) to 1 at the bottom.
    thickness_mm : ndarray, shape (n,)
    kinds : tuple of str
        Found so far, of `KINDS`.
    spots : tuple of (float, float, float)
        x, y and thickness of the point that was taken out, if any.
    """

    x: Floats
    y: Floats
    thickness_mm: Floats
    kinds: tuple[str, ...] = ()
    spots: tuple[tuple[float, float, float], ...] = ()

    @property
    def spanned(self) -> Floats:
        """Orthonormal basis of the mean and of all that was found."""
        return basis(self.columns(self.kinds))

    def columns(self, kinds: Sequence[str]) -> Floats:
        """Return the columns of ``kinds`` side by side, shape (n, k)."""
        found = [np.empty((self.x.size, 0))]
        found += [column for kind in kinds if (column := _columns(self, kind)) is not None]
        return np.column_stack(found)


@dataclass(frozen=True, slots=True)
class Surface:
    """A surface fitted to the thickness of a sheet, see `fit_surface`.

    Attributes
    ----------
    terms : tuple of str
        Terms fitted, of `TERMS`.
    constant_mm : float
    coefficients_mm, errors_mm : dict
        By term: coefficient and its standard error (None without readings to spare).
    residual_sd_mm : float or None
        What the surface leaves, with `df` degrees of freedom.
    df : int
    curvatures_mm : tuple of float or None
        With all terms: the two principal curvatures, smaller first (below 0: thick in the
        middle along that axis).
    top : tuple of float or None
        Place (x, y) where the surface is level, which may lie off the sheet. None without all
        terms, or where there is no one place.
    """

    terms: tuple[str, ...]
    constant_mm: float
    coefficients_mm: dict[str, float]
    errors_mm: dict[str, float | None]
    residual_sd_mm: float | None
    df: int
    curvatures_mm: tuple[float, float] | None
    top: tuple[float, float] | None


def grid_places(rows: int, columns: int, points: Sequence[int]) -> tuple[Floats, Floats]:
    """Return where points of a grid lie, x and y from -1 to 1.

    Parameters
    ----------
    rows, columns : int
        Of the grid, at least 1; a single row or column lies in the middle.
    points : sequence of int
        Numbers of the points, row by row from 0.

    Raises
    ------
    ValueError
        For a grid without points or a number outside it.

    Examples
    --------
    >>> grid_places(3, 3, [0, 4, 5])
    (array([-1.,  0.,  1.]), array([-1.,  0.,  0.]))
    """
    if rows < 1 or columns < 1:
        raise ValueError(f"A grid has at least one row and column, not {rows} and {columns}.")
    at = np.asarray(points, dtype=np.int64)
    if at.size and not (at.min() >= 0 and at.max() < rows * columns):
        raise ValueError(f"Points are numbered from 0 to {rows * columns - 1}.")
    row, column = np.divmod(at, columns)
    x = 2.0 * column / (columns - 1) - 1 if columns > 1 else np.zeros(at.size)
    y = 2.0 * row / (rows - 1) - 1 if rows > 1 else np.zeros(at.size)
    return x, y


def fit_surface(
    x: Floats, y: Floats, thickness_mm: Floats, terms: Collection[str] | None = None
) -> Surface:
    """Fit a quadratic surface, or as much of it as the points allow, by least squares.

    Parameters
    ----------
    x, y, thickness_mm : ndarray, shape (n,)
        Places from -1 to 1 and thickness; a place may come more than once.
    terms : collection of str, optional
        Terms wanted, of `TERMS`; all by default. `terms_of` gives those of what was found.

    Returns
    -------
    Surface
        Curved terms are left out together where the points cannot tell all that are wanted,
        then those of the plane. With one point it is level.

    Raises
    ------
    ValueError
        For arrays of unequal length or without a point, a number that is not finite, or an
        unknown term.

    Notes
    -----
    z = c + a x + b y + d x^2 + e y^2 + f x y. Principal curvatures are the eigenvalues of
    ((d, f/2), (f/2, e)): Box and Wilson (1951), Journal of the Royal Statistical Society B 13,
    1-45; Myers, Montgomery and Anderson-Cook, Response Surface Methodology, canonical analysis.
    """
    if not x.size == y.size == thickness_mm.size or x.size == 0:
        raise ValueError("Places and thickness must be of equal number, at least one.")
    if not (np.isfinite(x).all() and np.isfinite(y).all() and np.isfinite(thickness_mm).all()):
        raise ValueError("Every number must be finite; leave a missing reading out.")
    wanted = tuple(term for term in TERMS if terms is None or term in terms)
    if terms is not None and set(terms) - set(TERMS):
        raise ValueError(f"Terms are {', '.join(TERMS)}, not {sorted(set(terms) - set(TERMS))}.")
    powers = {"x": x, "y": y, "xx": x * x, "yy": y * y, "xy": x * y}
    flat = tuple(term for term in wanted if len(term) == 1 and np.ptp(powers[term]) > 0)
    for kept in (wanted, flat, flat[:1], ()):
        design = np.column_stack([np.ones(x.size), *(powers[term] for term in kept)])
        if np.linalg.matrix_rank(design) == design.shape[1]:
            break
    solved = np.linalg.lstsq(design, thickness_mm, rcond=None)[0]
    df = x.size - design.shape[1]
    rest = thickness_mm - design @ solved
    sd = math.sqrt(float(rest @ rest) / df) if df > 0 else None
    spread = np.sqrt(np.diag(np.linalg.inv(design.T @ design)))
    values = dict(zip(kept, solved[1:].tolist(), strict=True))
    curvatures, top = _canonical(values) if len(kept) == len(TERMS) else (None, None)
    return Surface(
        terms=kept,
        constant_mm=float(solved[0]),
        coefficients_mm=values,
        errors_mm={
            term: None if sd is None else sd * float(e)
            for term, e in zip(kept, spread[1:], strict=True)
        },
        residual_sd_mm=sd,
        df=df,
        curvatures_mm=curvatures,
        top=top,
    )


def surface_grid(surface: Surface, rows: int, columns: int) -> Floats:
    """Return the fitted thickness, mm, on a grid over the whole sheet; shape (rows, columns).

    The first row is the top (y = -1), the first column the left edge. At least 2 of each.
    """
    if rows < 2 or columns < 2:
        raise ValueError(f"At least 2 rows and columns are needed, not {rows} and {columns}.")
    y, x = np.meshgrid(np.linspace(-1, 1, rows), np.linspace(-1, 1, columns), indexing="ij")
    powers = {"x": x, "y": y, "xx": x * x, "yy": y * y, "xy": x * y}
    z = np.full((rows, columns), surface.constant_mm)
    for term, value in surface.coefficients_mm.items():
        z += value * powers[term]
    return z


def terms_of(kinds: Collection[str]) -> tuple[str, ...]:
    """Return the terms of a surface that shows what was found, and nothing that may be chance."""
    shown = {
        "tilt": ("x", "y"),
        "bowl": ("xx", "yy"),
        "ridge_along_rows": ("yy",),
        "ridge_along_columns": ("xx",),
        "saddle": ("xx", "yy", "xy"),
    }
    wanted = {term for kind in kinds for term in shown.get(kind, ())}
    return tuple(term for term in TERMS if term in wanted)


def sheet_tests(sheet: Sheet, null: ShapeNull) -> tuple[list[Test], dict[str, str]]:
    """Return the tests of a sheet, and for what cannot be tested the reason.

    Each statistic is the part of the sum of squares, of what is left after all found before, that
    a tilt, a bowl (x^2 + y^2), a ridge (x^2 or y^2) or a saddle (x^2 - y^2 and xy) explains.
    Curved ones are first freed of any tilt, so that a missing corner does not make one of the
    other. ``surface`` is all of them together: where there are two, each is noise to the other.
    A spot is one reading that stands out by itself (Grubbs 1950). All are compared with
    normal readings, which makes the first an exact F test (Snedecor; Draper and Smith, Applied
    Regression Analysis, 6): nine points can be put in too few orders that differ (a ridge has 84)
    for anything to be beyond chance.
    """
    n = sheet.x.size
    rest = left_over(sheet.thickness_mm, sheet.spanned)
    left = [kind for kind in KINDS if kind not in sheet.kinds]
    if n < FEWEST_FOR_TILT:
        return [], dict.fromkeys((*left, "spot"), "too_few")
    if float(np.abs(rest).max()) <= _NO_SPREAD:
        return [], dict.fromkeys((*left, "spot"), "no_spread")
    rows = np.vstack([rest, null.rest])
    tests, untested = [], {}
    for kind in left:
        if kind in CURVED and n < FEWEST_FOR_CURVATURE:
            untested[kind] = "too_few"
        elif _columns(sheet, kind) is None:
            untested[kind] = "one_line"
        elif (unit := _directions(sheet, kind)) is None:
            # What lies within a curved pattern already found is no gap in the points.
            if not set(CURVED) & set(sheet.kinds):
                untested[kind] = "not_apart"
        else:
            s = explained(rows, unit)
            tests.append(compare(f"thickness.{kind}", float(s[0]), s[1:]))
    if n >= FEWEST_FOR_CURVATURE and (unit := _surface(sheet)) is not None:
        s = explained(rows, unit)
        tests.append(compare("thickness.surface", float(s[0]), s[1:]))
    if n < FEWEST_FOR_OUTLIERS:
        untested["spot"] = "too_few"
    elif not sheet.spots:
        evidence, _count = outlier_evidence(rest[None, :], 1)
        tests.append(compare("thickness.spot", float(evidence[0]), null.outliers))
    return tests, untested


def take_from_sheet(
    sheet: Sheet, significant: Collection[str], tolerance: Tolerance
) -> Sheet | None:
    """Take the pattern out that describes the sheet best, of those beyond chance.

    A spot outside the tolerance goes first, as it hides the rest; then the kind that Schwarz's
    criterion prefers. None when there is nothing to take.
    """
    n = sheet.x.size
    rest = left_over(sheet.thickness_mm, sheet.spanned)
    if "spot" in significant:
        _deviations, at = studentised_extremes(rest[None, :], 1)
        i = int(at[0, 0])
        spot = (float(sheet.x[i]), float(sheet.y[i]), float(sheet.thickness_mm[i]))
        if not tolerance.allows(spot[2]):
            keep = np.arange(n) != i
            return replace(
                sheet,
                x=sheet.x[keep],
                y=sheet.y[keep],
                thickness_mm=sheet.thickness_mm[keep],
                spots=(*sheet.spots, spot),
            )
    # Where only the surface as a whole is beyond chance, any kind may be what it is made of.
    kinds = [kind for kind in KINDS if kind in significant]
    if not kinds and "surface" in significant:
        kinds = [kind for kind in KINDS if kind not in sheet.kinds]
    candidates = []
    for kind in kinds:
        if (unit := _directions(sheet, kind)) is not None:
            part = float(explained(rest, unit))
            candidates.append((information(part, n, _PARAMETERS.get(kind, 1)), kind))
    if not candidates:
        return None
    return replace(sheet, kinds=(*sheet.kinds, min(candidates)[1]))


def sheet_patterns(sheet: Sheet) -> list[Pattern]:
    """Return what was found in the sheet, sizes fitted together, see `findings.Finding`."""
    z = sheet.thickness_mm
    found: list[Pattern] = []
    for x, y, thickness in sheet.spots:
        away = thickness - float(z.mean())
        found.append(Pattern("spot", "thick" if away > 0 else "thin", abs(away), (x, y), z))
    if not sheet.kinds:
        return found
    design = np.column_stack([np.ones(z.size), sheet.columns(sheet.kinds)])
    solved = np.asarray(np.linalg.lstsq(design, z, rcond=None)[0], dtype=np.float64)
    at = 1
    for kind in sheet.kinds:
        columns = sheet.columns([kind])
        part = solved[at : at + columns.shape[1]]
        at += columns.shape[1]
        component = columns @ part
        direction, places = _described(sheet, kind, part)
        found.append(
            Pattern(
                kind,
                direction,
                float(np.ptp(component)),
                places,
                z - (component - component.mean()),
            )
        )
    return found


def _columns(sheet: Sheet, kind: str) -> Floats | None:
    """Return the columns of a kind, (n, d); None where the points do not spread that way."""
    x, y = sheet.x, sheet.y
    xx, yy = x * x, y * y
    if kind == "tilt":
        flat = [column for column in (x, y) if np.ptp(column) > 0]
        return np.column_stack(flat) if flat else None
    # Two rows have an edge each and no middle.
    bent_x, bent_y = np.ptp(xx) > 0, np.ptp(yy) > 0
    if kind == "ridge_along_columns":
        return xx[:, None] if bent_x else None
    if kind == "ridge_along_rows":
        return yy[:, None] if bent_y else None
    if not (bent_x and bent_y):
        return None
    return (xx + yy)[:, None] if kind == "bowl" else np.column_stack([xx - yy, x * y])


def _directions(sheet: Sheet, kind: str) -> Floats | None:
    columns = _columns(sheet, kind)
    if columns is None:
        return None
    spanned = sheet.spanned
    if kind in CURVED and "tilt" not in sheet.kinds:
        spanned = basis(sheet.columns((*sheet.kinds, "tilt")))
    return directions(columns, spanned)


def _surface(sheet: Sheet) -> Floats | None:
    """Return what a quadratic surface adds to what was found, (n, d); None for one direction."""
    x, y = sheet.x, sheet.y
    spanned = sheet.spanned
    whole = basis(np.column_stack([x, y, x * x, y * y, x * y]))
    if x.size - whole.shape[1] < FEWEST_TO_SPARE:
        return None
    left, sizes, _right = np.linalg.svd(left_over(whole.T, spanned).T, full_matrices=False)
    added = sizes > _DISTINCT
    return np.asarray(left[:, added], dtype=np.float64) if added.sum() > 1 else None


def _described(sheet: Sheet, kind: str, part: Floats) -> tuple[str, tuple[float, ...]]:
    if kind == "tilt":
        gx, gy = 0.0, 0.0
        if part.size == 2:
            gx, gy = part.tolist()
        elif np.ptp(sheet.x) > 0:
            gx = float(part[0])
        else:
            gy = float(part[0])
        steep = math.hypot(gx, gy)
        toward = _TOWARD[round(math.atan2(gy, gx) / (math.pi / 4)) % 8]
        return toward, (gx / steep, gy / steep)
    if kind == "saddle":
        # a cos 2t + b/2 sin 2t, by the angle t at which the sheet is looked along.
        thick = math.atan2(float(part[1]) / 2, float(part[0])) / 2
        return _AXES[round(thick / (math.pi / 4)) % 4], (math.cos(thick), math.sin(thick))
    return ("thick" if part[0] < 0 else "thin"), ()


def _canonical(
    values: dict[str, float],
) -> tuple[tuple[float, float], tuple[float, float] | None]:
    bend = np.array(
        [[values["xx"], values["xy"] / 2], [values["xy"] / 2, values["yy"]]], dtype=np.float64
    )
    low, high = np.linalg.eigvalsh(bend).tolist()
    if min(abs(low), abs(high)) <= 1e-9 * max(abs(low), abs(high), 1e-12):
        return (low, high), None
    x, y = np.linalg.solve(-2 * bend, np.array([values["x"], values["y"]])).tolist()
    return (low, high), (x, y)
