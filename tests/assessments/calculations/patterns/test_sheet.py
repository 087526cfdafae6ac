import csv
from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from assessments.calculations.patterns.linear import basis
from assessments.calculations.patterns.null import joint_chances
from assessments.calculations.patterns.shape import shape_null
from assessments.calculations.patterns.sheet import (
    Sheet,
    fit_surface,
    grid_places,
    sheet_patterns,
    sheet_tests,
    surface_grid,
    terms_of,
)

PUBLISHED = Path(__file__).parent.parent / "published"


def grid(rows, columns):
    return grid_places(rows, columns, range(rows * columns))


def chances_of(sheet):
    tests, untested = sheet_tests(sheet, shape_null(sheet.spanned, 4))
    return joint_chances(tests), untested


def test_surface_meets_the_published_response_surface():
    """Montgomery, Design and Analysis of Experiments, example 11.2: coefficients printed as
    79.94, 0.995, 0.515, -1.376, -1.001, 0.250; level at (0.389, 0.306); -0.9634 and -1.4141."""
    with (PUBLISHED / "montgomery_yield.csv").open(newline="") as file:
        rows = [[float(value) for value in row.values()] for row in csv.DictReader(file)]
    x, y, z = np.array(rows).T
    surface = fit_surface(x, y, z)
    assert surface.constant_mm == pytest.approx(79.94, abs=0.005)
    printed = {"x": 0.995, "y": 0.515, "xx": -1.376, "yy": -1.001, "xy": 0.250}
    assert surface.coefficients_mm == pytest.approx(printed, abs=0.0006)
    assert surface.curvatures_mm == pytest.approx((-1.4141, -0.9634), abs=0.0003)
    assert surface.top == pytest.approx((0.389, 0.306), abs=0.0006)
    fitted = sm.OLS(z, np.column_stack([np.ones(13), x, y, x * x, y * y, x * y])).fit()
    assert list(surface.errors_mm.values()) == pytest.approx(fitted.bse[1:])
    assert surface.residual_sd_mm == pytest.approx(np.sqrt(fitted.mse_resid))
    assert surface.df == 7


@given(st.lists(st.floats(-1, 1), min_size=6, max_size=6), st.integers(0, 15))
def test_surface_with_a_missing_point_is_the_surface_it_was_made_from(values, missing):
    points = [i for i in range(16) if i != missing]
    x, y = grid_places(4, 4, points)
    c, a, b, d, e, f = values
    surface = fit_surface(x, y, c + a * x + b * y + d * x * x + e * y * y + f * x * y)
    assert surface.constant_mm == pytest.approx(c, abs=1e-9)
    assert surface.coefficients_mm == pytest.approx(
        {"x": a, "y": b, "xx": d, "yy": e, "xy": f}, abs=1e-9
    )
    assert surface_grid(surface, 3, 3)[0, 2] == pytest.approx(c + a - b + d + e - f, abs=1e-9)


@pytest.mark.parametrize(
    ("rows", "columns", "points", "terms"),
    [
        (3, 3, range(9), ("x", "y", "xx", "yy", "xy")),
        (3, 3, range(5), ("x", "y")),
        (2, 4, range(8), ("x", "y")),
        (1, 5, range(5), ("x",)),
        (3, 3, [4], ()),
        (3, 3, [0, 2], ("x",)),
    ],
)
def test_surface_is_as_much_as_the_points_allow(rows, columns, points, terms):
    x, y = grid_places(rows, columns, points)
    surface = fit_surface(x, y, 3 + 0.1 * x)
    assert surface.terms == terms
    assert surface_grid(surface, 2, 2).shape == (2, 2)


def test_tests_of_a_sheet_are_f_tests():
    """Against the least squares of statsmodels: a tilt has 2 and 6 degrees of freedom."""
    x, y = grid(3, 3)
    z = 3 + 0.1 * np.random.default_rng(4).standard_normal(9) + 0.06 * x
    chances, untested = chances_of(Sheet(x, y, z))
    assert untested == {}
    plane = np.column_stack([np.ones(9), x, y])
    assert chances["thickness.tilt"].alone == pytest.approx(
        sm.OLS(z, plane).fit().f_pvalue, abs=0.03
    )
    bowl = sm.OLS(z, np.column_stack([np.ones(9), x * x + y * y])).fit()
    assert chances["thickness.bowl"].alone == pytest.approx(bowl.f_pvalue, abs=0.03)


@pytest.mark.parametrize(
    ("kind", "shape", "direction", "size"),
    [
        ("tilt", lambda x, y: 0.2 * x, "right", 0.4),
        ("tilt", lambda x, y: -0.2 * x, "left", 0.4),
        ("tilt", lambda x, y: -0.2 * y, "top", 0.4),
        ("tilt", lambda x, y: 0.1 * (y - x), "bottom_left", 0.4),
        ("bowl", lambda x, y: -0.2 * (x * x + y * y), "thick", 0.4),
        ("bowl", lambda x, y: 0.2 * (x * x + y * y), "thin", 0.4),
        ("ridge_along_rows", lambda x, y: -0.4 * y * y, "thick", 0.4),
        ("ridge_along_columns", lambda x, y: 0.4 * x * x, "thin", 0.4),
        ("saddle", lambda x, y: 0.2 * x * y, "falling", 0.4),
        ("saddle", lambda x, y: -0.2 * x * y, "rising", 0.4),
        ("saddle", lambda x, y: 0.2 * (x * x - y * y), "left_right", 0.4),
    ],
)
def test_patterns_of_a_sheet(kind, shape, direction, size):
    x, y = grid(3, 3)
    z = 3 + shape(x, y)
    (pattern,) = sheet_patterns(Sheet(x, y, z, kinds=(kind,)))
    assert (pattern.kind, pattern.direction) == (kind, direction)
    assert pattern.size_mm == pytest.approx(size)
    assert np.ptp(pattern.put_right_mm) == pytest.approx(0, abs=1e-9)
    if kind != "tilt":
        kept = fit_surface(x, y, z, terms_of([kind]))
        assert surface_grid(kept, 3, 3).ravel() == pytest.approx(z, abs=1e-9)


def test_what_cannot_be_tested_is_named():
    x, y = grid(2, 4)
    assert chances_of(Sheet(x, y, 3 + 0.1 * np.arange(8.0) % 0.3))[1] == {
        "bowl": "one_line", "ridge_along_rows": "one_line", "saddle": "one_line",
    }  # fmt: skip
    x, y = grid_places(3, 3, range(5))
    assert set(chances_of(Sheet(x, y, np.array([3, 3.1, 3, 3, 3.2])))[1].values()) == {"too_few"}
    x, y = grid(3, 3)
    assert set(chances_of(Sheet(x, y, np.full(9, 3.0)))[1].values()) == {"no_spread"}
    # The middle column is missing: nothing tells a bowl from a ridge along the rows.
    x, y = grid_places(4, 3, [0, 2, 3, 5, 6, 8, 9, 11])
    untested = chances_of(Sheet(x, y, 3 + 0.1 * np.sin(np.arange(8.0))))[1]
    assert untested["ridge_along_columns"] == "one_line"


def test_refuses():
    with pytest.raises(ValueError, match="at least one row"):
        grid_places(0, 3, [])
    with pytest.raises(ValueError, match="numbered from 0 to 8"):
        grid_places(3, 3, [9])
    none = np.empty(0)
    with pytest.raises(ValueError, match="equal number"):
        fit_surface(none, none, none)
    one = np.ones(1)
    with pytest.raises(ValueError, match="finite"):
        fit_surface(one, one, one * np.nan)
    with pytest.raises(ValueError, match="Terms are"):
        fit_surface(one, one, one, ["z"])
    with pytest.raises(ValueError, match="At least 2"):
        surface_grid(fit_surface(one, one, one), 1, 2)


def test_basis_leaves_out_what_adds_nothing():
    column = np.arange(5.0)
    assert basis(np.column_stack([column, 2 * column + 1])).shape == (5, 2)
