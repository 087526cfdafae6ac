"""Thickness over the sheet as a map: tints and lines of equal thickness under the readings."""

import json
from dataclasses import replace
from itertools import pairwise

import altair as alt
import numpy as np
from django.utils.translation import gettext as _

from assessments.calculations.patterns.sheet import fit_surface, grid_places, surface_grid, terms_of
from assessments.charts.contours import outlines
from assessments.charts.drawing import (
    DOUGH,
    INDIGO,
    INK,
    INK_SOFT,
    LINE_STRONG,
    PAPER,
    decimals_of,
    draw,
    number,
    step_mm,
    values,
)
from assessments.charts.sheet import sheet_table, texts_of

MOST_STEPS = 6
LEVEL_MM = 1e-6
FINE = 25
# The tint goes on a little beyond the outermost points, so that their numbers lie on it.
EDGE = 1.25
THINNEST = f"color-mix(in srgb, {INDIGO} 45%, {PAPER})"
THICKEST = f"color-mix(in srgb, {DOUGH} 65%, {INK_SOFT})"
# What axes and outline need beside the map.
SIDES_PX = 14
ROW_PX = 62
HEIGHT_PX = (200, 380)
RING_PX2 = 1300
LEGEND_PX = 18
# Within this of both sides there is room for a number under the ends of the legend.
LEGEND_ENDS_PX = 30


def map_chart(finding, sheet, kinds):
    """Draw a ``Sheet`` with its readings, over the surface of the ``kinds`` found in it."""
    across, along = grid_places(sheet.rows, sheet.columns, range(sheet.rows * sheet.columns))
    spot = finding.places if finding.kind == "spot" else None
    fitted = [
        i
        for i, value in enumerate(sheet.thicknesses_mm)
        if value is not None
        and not (spot and np.hypot(across[i] - spot[0], along[i] - spot[1]) < 1e-6)
    ]
    thickness = np.array([sheet.thicknesses_mm[i] for i in fitted])
    surface = fit_surface(across[fitted], along[fitted], thickness, terms_of(kinds))
    # A term of two letters is of the second degree.
    wider = {term: mm * EDGE ** len(term) for term, mm in surface.coefficients_mm.items()}
    on_grid = surface_grid(replace(surface, coefficients_mm=wider), FINE, FINE)
    bounds = _bounds(on_grid, sheet.target_mm)
    tints = _tints(bounds, sheet.target_mm)
    areas = _areas(on_grid, bounds, tints)
    height = min(max(ROW_PX * sheet.rows, HEIGHT_PX[0]), HEIGHT_PX[1])

    def specification(width):
        x = alt.X("x:Q", scale=alt.Scale(domain=[-EDGE, EDGE], nice=False), axis=_edges())
        y = alt.Y("y:Q", scale=alt.Scale(domain=[EDGE, -EDGE], nice=False), axis=None)
        readings = [
            {"x": float(at), "y": float(row), "text": text}
            for at, row, text in zip(across, along, texts_of(sheet, width), strict=True)
        ]
        layers = [
            *(
                alt.Chart(values({"x": a, "y": b, "order": i} for i, (a, b) in enumerate(line)))
                .mark_line(
                    fill=tint,
                    stroke=LINE_STRONG,
                    strokeWidth=1,
                    interpolate="linear-closed",
                    aria=False,
                )
                .encode(x=x, y=y, order=alt.Order("order:Q"))
                for line, tint in areas
            ),
            alt.Chart(values(readings))
            .mark_text(aria=False)
            .encode(x=x, y=y, text=alt.Text("text:N")),
        ]
        if spot:
            layers.append(
                alt.Chart(values([{"x": spot[0], "y": spot[1]}]))
                .mark_point(shape="circle", size=RING_PX2, color=INK, strokeWidth=2.5, aria=False)
                .encode(x=x, y=y)
            )
        map_ = alt.layer(*layers).properties(
            width=width - SIDES_PX,
            height=height,
            title=alt.TitleParams(
                _("far edge"), anchor="middle", color=INK_SOFT, offset=4, aria=False
            ),
        )
        if len(bounds) < 3:
            return map_
        return alt.vconcat(map_, _legend(bounds, tints, width), spacing=14)

    return draw(
        "surface",
        (sheet, finding, *kinds),
        specification,
        title=_("Thickness over the sheet, in mm"),
        description=_map_description(spot, bounds, sheet),
        table=sheet_table(sheet),
    )


def _map_description(spot, bounds, sheet):
    said = [_("The numbers are the readings, as the sheet lies on the bench.")]
    if spot:
        said.append(_("The ring marks the point that stands out by itself."))
    if len(bounds) > 2:
        said.append(
            _("Lines join places of equal thickness; they follow the pattern, not each reading.")
        )
    said.append(_("Wanted: %(target)s mm.") % {"target": number(sheet.target_mm, 2)})
    if None in sheet.thicknesses_mm:
        said.append(_("A point with – was not measured."))
    return " ".join(said)


def _bounds(on_grid, target_mm):
    """Return the limits of the steps of thickness, whole steps from the target; two if level."""
    low, high = float(on_grid.min()), float(on_grid.max())
    if high - low < LEVEL_MM:
        return [low, high]
    step = step_mm(high - low, MOST_STEPS)
    first, last = np.floor((low - target_mm) / step), np.ceil((high - target_mm) / step)
    return [target_mm + step * k for k in np.arange(first, last + 1).tolist()]


def _tints(bounds, target_mm):
    """Return the colour of each step, indigo where thinner than wanted, of dough where thicker.

    The further from the target, the stronger. A level sheet has none.
    """
    if len(bounds) == 2:
        return [PAPER]
    away = [(low + high) / 2 - target_mm for low, high in pairwise(bounds)]
    most = max(abs(off) for off in away)
    return [
        f"color-mix(in srgb, {THINNEST if off < 0 else THICKEST} {100 * abs(off) / most:.0f}%, "
        f"{PAPER})"
        for off in away
    ]


def _areas(on_grid, bounds, tints):
    """Return outlines and tints to be painted one over the other.

    From the side on which areas of a level have no hole: with a thin middle these are the thinner
    ones, as all of these surfaces are of the second degree.
    """
    ground = np.linspace(-EDGE, EDGE, FINE)
    whole = on_grid
    middle = on_grid[FINE // 2, FINE // 2]
    edges = np.concatenate([on_grid[0], on_grid[-1], on_grid[:, 0], on_grid[:, -1]])
    if middle < edges.mean():
        whole, bounds, tints = -whole, [-bound for bound in reversed(bounds)], tints[::-1]
    return [
        (line, tint)
        for level, tint in zip([whole.min(), *bounds[1:-1]], tints, strict=True)
        for line in outlines(ground, ground, whole, level)
    ]


def _edges():
    names = [_("left"), _("edge towards you"), _("right")]
    return alt.Axis(
        title=None,
        values=[-EDGE, 0, EDGE],
        labelExpr=f"({json.dumps(names)})[1 + round(datum.value / {EDGE})]",
        labelFlush=True,
        labelBound=False,
        labelOverlap=False,
        ticks=False,
        domain=False,
    )


def _legend(bounds, tints, width):
    steps = [
        {"from": low, "to": high, "tint": tint}
        for (low, high), tint in zip(pairwise(bounds), tints, strict=True)
    ]
    x = alt.X(
        "from:Q",
        scale=alt.Scale(
            domain=[bounds[0], bounds[-1]],
            range=[LEGEND_ENDS_PX, width - SIDES_PX - LEGEND_ENDS_PX],
            nice=False,
            zero=False,
        ),
        axis=alt.Axis(
            title=None, values=bounds, format=f".{decimals_of(bounds)}f", labelFlush=False
        ),
    )
    return alt.layer(
        *(
            alt.Chart(values([step]))
            .mark_rect(fill=step["tint"], stroke=LINE_STRONG, strokeWidth=1, aria=False)
            .encode(x=x, x2=alt.X2("to:Q"))
            for step in steps
        ),
        *(
            alt.Chart(values([{"from": bounds[end]}]))
            .mark_text(text=text, align=align, dy=-LEGEND_PX / 2 - 12, color=INK_SOFT, aria=False)
            .encode(x=x)
            for end, text, align in (
                (0, _("← thinner"), "left"),
                (-1, _("thicker →"), "right"),
            )
        ),
    ).properties(width=width - SIDES_PX, height=LEGEND_PX)
