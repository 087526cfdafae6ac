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
    if water.percent > water.high_percent:
        word = _("too wet")
    elif water.percent < water.low_percent:
        word = _("too dry")
    else:
        word = _("within the tolerance")
    words = {
        "percent": number(water.percent, 1),
        "target": number(water.target_percent, 1),
        "low": number(water.low_percent, 1),
        "high": number(water.high_percent, 1),
    }
    return draw(
        "water",
        water,
        against_band(
            water.percent,
            (water.low_percent, water.target_percent, water.high_percent),
            text=number(water.percent, 1),
            axis=_("water, percent of flour and starch"),
        ),
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


def against_band(value, band, *, text, axis):
    """Return the specification of one number against a band: its low, its target, its high.

    ``text`` stands over the number's mark, ``axis`` under the scale.
    """
    low, target, high = band
    room = ROOM_BANDS * (high - low)
    lowest, highest = min(low, value) - room, max(high, value) + room
    shape = "triangle-right" if value > high else "triangle-left" if value < low else "circle"
    ticks = sorted(set(band))

    def specification(width):
        x = alt.X(
            "value:Q",
            scale=alt.Scale(domain=[lowest, highest], nice=False, zero=False),
            axis=alt.Axis(title=axis, values=ticks, format=f".{decimals_of(ticks)}f"),
        )
        this = alt.Chart(values([{"value": value}])).encode(x=x)
        return (
            alt.layer(
                alt.Chart(values([{"low": low, "high": high}]))
                .mark_rect(color=DOUGH, aria=False)
                .encode(x=alt.X("low:Q"), x2=alt.X2("high:Q")),
                alt.Chart(values([{"value": target}]))
                .mark_rule(color=INK_SOFT, strokeDash=[6, 4], aria=False)
                .encode(x=x),
                this.mark_point(
                    shape=shape,
                    color=INDIGO if shape == "circle" else INK,
                    filled=True,
                    opacity=1,
                    size=220,
                    yOffset=14,
                    aria=False,
                ),
                this.mark_text(text=text, dy=-14, fontWeight="bold", aria=False),
            )
            .properties(width=width, height=HEIGHT_PX)
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    return specification
