"""Thickness at the points of the sheet, as it lies on the bench."""

import altair as alt
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.charts.drawing import (
    DOUGH,
    INDIGO,
    LINE_STRONG,
    PAPER,
    Row,
    Table,
    draw,
    number,
    values,
)

POINT_PX = 64
# The name of the axis beside it must have room.
LOWEST_PX = 130
# Narrower points have no room for a second decimal; the table has both.
TWO_DECIMALS_PX = 50


def sheet_chart(sheet):
    """Draw a ``Sheet``; a point outside has a triangle and no tint."""
    thick, thin, within, _missing = _words()
    points = points_of(sheet)

    def specification(width):
        rows = [
            point | {"text": text}
            for point, text in zip(points, texts_of(sheet, width), strict=True)
        ]
        x = alt.X(
            "column:O",
            scale=alt.Scale(padding=0),
            axis=alt.Axis(title=_("across the sheet"), orient="top", labelAngle=0, ticks=False),
        )
        y = alt.Y(
            "row:O",
            scale=alt.Scale(padding=0),
            axis=alt.Axis(title=_("along the sheet"), ticks=False),
        )
        point = alt.Chart(values(rows)).encode(x=x, y=y)
        return (
            alt.layer(
                point.mark_rect(stroke=LINE_STRONG, strokeWidth=1, aria=False).encode(
                    fill=alt.condition(
                        alt.FieldEqualPredicate(field="word", equal=within),
                        alt.value(DOUGH),
                        alt.value(PAPER),
                    )
                ),
                point.mark_text(dy=8, aria=False).encode(text=alt.Text("text:N")),
                *(
                    point.transform_filter(
                        alt.FieldEqualPredicate(field="word", equal=outside)
                    ).mark_point(
                        shape=shape,
                        filled=True,
                        opacity=1,
                        size=90,
                        color=INDIGO,
                        yOffset=-14,
                        aria=False,
                    )
                    for outside, shape in ((thick, "triangle-up"), (thin, "triangle-down"))
                ),
            )
            .properties(width=width, height=max(POINT_PX * sheet.rows, LOWEST_PX))
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    words = [point["word"] for point in points]
    outside = words.count(thick) + words.count(thin)
    return draw(
        "sheet",
        sheet,
        specification,
        title=_("Thickness of the sheet as it lies, in mm"),
        description=_("Tinted points lie within the house tolerance, %(low)s to %(high)s mm.")
        % {"low": number(sheet.low_mm, 2), "high": number(sheet.high_mm, 2)}
        + " "
        + _outside(outside, outside + words.count(within)),
        table=sheet_table(sheet),
    )


def points_of(sheet):
    """Return the points of the grid: row and column from 1, and the word for the thickness."""
    thick, thin, within, missing = _words()

    def word(value):
        if value is None:
            return missing
        if value > sheet.high_mm:
            return thick
        return thin if value < sheet.low_mm else within

    return [
        {
            "row": index // sheet.columns + 1,
            "column": index % sheet.columns + 1,
            "word": word(value),
        }
        for index, value in enumerate(sheet.thicknesses_mm)
    ]


def texts_of(sheet, width):
    """Return what is written at the points in a picture of this width."""
    decimals = 2 if width / sheet.columns >= TWO_DECIMALS_PX else 1
    return ["–" if value is None else number(value, decimals) for value in sheet.thicknesses_mm]


def sheet_table(sheet):
    """Return every point of the sheet with its thickness."""
    return Table(
        (_("along"), _("across"), _("thickness, mm"), _("tolerance")),
        tuple(
            Row(
                (
                    str(point["row"]),
                    str(point["column"]),
                    "–" if value is None else number(value, 2),
                    point["word"],
                )
            )
            for point, value in zip(points_of(sheet), sheet.thicknesses_mm, strict=True)
        ),
    )


def _words():
    return _("too thick"), _("too thin"), _("within the tolerance"), _("not measured")


def _outside(outside, n):
    if not outside:
        return _("All %(n)d do.") % {"n": n}
    return ngettext(
        "%(outside)d of %(n)d lies outside: a triangle upward is too thick, downward too thin.",
        "%(outside)d of %(n)d lie outside: a triangle upward is too thick, downward too thin.",
        outside,
    ) % {"outside": outside, "n": n}
