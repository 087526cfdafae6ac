"""Water of the dough against what the season asks for."""

import altair as alt
from django.utils.translation import gettext as _

from assessments.charts.drawing import (
    DOUGH,
    INDIGO,
    INK,
    INK_SOFT,
    Row,
    Table,
    decimals_of,
    draw,
    number,
    values,
)

HEIGHT_PX = 76
ROOM_BANDS = 0.35


def hydration_chart(water):
    """Draw a ``Water``; outside the tolerance it is a triangle that points away from it."""
    room = ROOM_BANDS * (water.high_percent - water.low_percent)
    lowest = min(water.low_percent, water.percent) - room
    highest = max(water.high_percent, water.percent) + room
    if water.percent > water.high_percent:
        shape, color, word = "triangle-right", INK, _("too wet")
    elif water.percent < water.low_percent:
        shape, color, word = "triangle-left", INK, _("too dry")
    else:
        shape, color, word = "circle", INDIGO, _("within the tolerance")

    ticks = [water.low_percent, water.target_percent, water.high_percent]

    def specification(width):
        x = alt.X(
            "percent:Q",
            scale=alt.Scale(domain=[lowest, highest], nice=False, zero=False),
            axis=alt.Axis(
                title=_("water, percent of flour and starch"),
                values=ticks,
                format=f".{decimals_of(ticks)}f",
            ),
        )
        this = alt.Chart(values([{"percent": water.percent}])).encode(x=x)
        return (
            alt.layer(
                alt.Chart(values([{"low": water.low_percent, "high": water.high_percent}]))
                .mark_rect(color=DOUGH, aria=False)
                .encode(x="low:Q", x2="high:Q"),
                alt.Chart(values([{"percent": water.target_percent}]))
                .mark_rule(color=INK_SOFT, strokeDash=[6, 4], aria=False)
                .encode(x=x),
                this.mark_point(
                    shape=shape,
                    color=color,
                    filled=True,
                    opacity=1,
                    size=220,
                    yOffset=14,
                    aria=False,
                ),
                this.mark_text(
                    text=number(water.percent, 1), dy=-14, fontWeight="bold", aria=False
                ),
            )
            .properties(width=width, height=HEIGHT_PX)
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    words = {
        "percent": number(water.percent, 1),
        "target": number(water.target_percent, 1),
        "low": number(water.low_percent, 1),
        "high": number(water.high_percent, 1),
    }
    return draw(
        "water",
        water,
        specification,
        title=_("Water in the dough"),
        description=_(
            "The dough has %(percent)s percent. The season asks for %(target)s; the shaded band "
            "is the house tolerance, %(low)s to %(high)s."
        )
        % words,
        table=Table(
            (_("water, percent"), _("wanted"), _("from"), _("to"), _("tolerance")),
            (Row((words["percent"], words["target"], words["low"], words["high"], word)),),
        ),
    )
