"""How well two assessors agree, criterion by criterion: kappa with its interval."""

from itertools import groupby
from operator import attrgetter

import altair as alt
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from assessments.calculations.agreement.reliability import ENOUGH_PAIRS
from assessments.charts.drawing import (
    INDIGO,
    INK,
    INK_SOFT,
    LINE_STRONG,
    Row,
    Table,
    draw,
    number,
    values,
)
from assessments.summaries.assessors import CLOSE

HEADING_PX = 40
BAR_PX = 56
# From the line of a bar up to the names that stand over it.
NAMES_PX = 20
# Half the height of the lines that mark chance and close agreement.
LEVEL_PX = 9


def kappa_chart(bars):
    """Draw ``Bar`` s; None where nothing can be told yet."""
    if not bars:
        return None
    headings, rows, height = _laid_out(bars)
    lowest = min(-0.2, *(bar.low for bar in bars))

    def specification(width):
        x_scale = alt.Scale(domain=[lowest, 1], nice=False, zero=False)
        x = alt.X(
            "value:Q",
            scale=x_scale,
            axis=alt.Axis(title=_("kappa"), values=[0, CLOSE, 1], format=".1f", grid=False),
        )
        y = alt.Y("y:Q", scale=alt.Scale(domain=[height, 0], nice=False, zero=False), axis=None)
        bar = alt.Chart(values(rows)).encode(y=y)

        def text(data, field, **style):
            return (
                alt.Chart(values(data))
                .mark_text(align="left", x=0, limit=width - 12, aria=False, **style)
                .encode(y=y, text=f"{field}:N")
            )

        return (
            alt.layer(
                # Only beside the bars, so that no line runs through a name.
                alt.Chart(
                    values(
                        {"value": level, "y": row["y"] - LEVEL_PX, "end": row["y"] + LEVEL_PX}
                        for row in rows
                        for level in (0, CLOSE)
                    )
                )
                .mark_rule(strokeDash=[4, 3], color=INK_SOFT, aria=False)
                .encode(x=x, y=y, y2=alt.Y2("end:Q")),
                bar.mark_rule(color=LINE_STRONG, strokeWidth=3, aria=False).encode(
                    x=alt.X("low:Q", scale=x_scale), x2=alt.X2("high:Q")
                ),
                bar.mark_point(
                    filled=True, opacity=1, size=110, color=INDIGO, shape="circle", aria=False
                ).encode(x=x),
                text(rows, "people", dy=-NAMES_PX, color=INK_SOFT),
                text(headings, "criterion", color=INK, fontWeight="bold"),
            )
            .properties(width=width, height=height)
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    return draw(
        "kappa",
        tuple(bars),
        specification,
        title=_("How well two agree, criterion by criterion"),
        description=_(
            "Each point is a kappa: 1 where two always agree, 0 where they agree as chance would "
            "have it. The line through it is where the true one lies 95 times in 100. The dashed "
            "lines are chance and %(close)s, from which on two agree closely."
        )
        % {"close": number(CLOSE, 1)}
        + " "
        + ngettext(
            "Pairs with fewer than %(enough)d batch in common are left out.",
            "Pairs with fewer than %(enough)d batches in common are left out.",
            ENOUGH_PAIRS,
        )
        % {"enough": ENOUGH_PAIRS},
        table=Table(
            (
                _("criterion"),
                _("assessors"),
                _("batches"),
                _("kappa"),
                pgettext("lower end of an interval", "from"),
                pgettext("upper end of an interval", "to"),
            ),
            tuple(
                Row(
                    (
                        bar.criterion,
                        bar.people,
                        str(bar.n),
                        *(
                            number(value, 2).replace("-", "−")
                            for value in (bar.value, bar.low, bar.high)
                        ),
                    )
                )
                for bar in bars
            ),
        ),
    )


def _laid_out(bars):
    """Return headings and bars with their heights in pixels from above, and the whole height."""
    headings, rows, height = [], [], 0
    for criterion, group in groupby(bars, key=attrgetter("criterion")):
        headings.append({"criterion": criterion, "y": height + HEADING_PX / 2})
        height += HEADING_PX
        for bar in group:
            rows.append(
                {
                    "people": bar.people,
                    "value": bar.value,
                    "low": bar.low,
                    "high": bar.high,
                    "y": height + 0.6 * BAR_PX,
                }
            )
            height += BAR_PX
    return headings, rows, height
