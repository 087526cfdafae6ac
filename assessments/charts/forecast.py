"""How far to go: the share of each open part so far, and the fan of what may come."""

import math

import altair as alt
from django.urls import reverse
from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.charts.drawing import (
    INDIGO,
    INK,
    INK_SOFT,
    LINE_STRONG,
    Row,
    Table,
    draw,
    link,
    number,
    values,
)
from assessments.charts.progress import AXIS_PX, PANEL_PX
from assessments.models import Part

LIGHT, DARK = 0.16, 0.3
# Rows of the table for the batches to come.
TOLD_AHEAD = (1, 2, 3, 5, 8, 10, 15, 20, 30, 40)


def forecast_chart(fans):
    """Draw ``PartFan``s one below the other; None without any."""
    if not fans:
        return None
    shares = [batch.share for fan in fans for batch in fan.past]
    lowest = max(0, min(50, math.floor(10 * min([*shares, fans[0].level[0][-1]])) * 10))
    return draw(
        "forecast",
        tuple(fans),
        lambda width: alt.vconcat(*(_panel(fan, width, lowest) for fan in fans), spacing=18),
        title=_("So far, and what may come"),
        description=_description(fans[0]),
        table=_table(fans),
        linked=True,
    )


def _panel(fan, width, lowest):
    ready = 100 * fan.ready_share
    last = fan.past[-1].number
    x_scale = alt.Scale(
        domain=[fan.numbers[0] - 0.5, fan.numbers[-1] + 0.5], nice=False, zero=False
    )
    x = alt.X(
        "number:Q",
        scale=x_scale,
        axis=alt.Axis(
            title=_("batch"), tickCount=width // 80, tickMinStep=1, format="d", labelFlush=True
        ),
    )
    y_scale = alt.Scale(domain=[lowest, 100], nice=False, zero=False, clamp=True)
    y = alt.Y(
        "value:Q",
        scale=y_scale,
        axis=alt.Axis(
            values=[lowest, (lowest + ready) // 20 * 10, ready],
            title=None,
            minExtent=AXIS_PX,
            maxExtent=AXIS_PX,
        ),
    )
    curve = [
        {"number": batch, **{f"q{place}": 100 * row[at] for place, row in enumerate(fan.level)}}
        for at, batch in enumerate(fan.numbers)
    ]
    bands = alt.Chart(values(curve)).encode(x=x)

    def band(low, high, opacity):
        return bands.mark_area(color=INDIGO, opacity=opacity, aria=False).encode(
            y=alt.Y(f"{low}:Q", scale=y_scale), y2=f"{high}:Q"
        )

    past = [
        {
            "number": batch.number,
            "value": 100 * batch.share,
            "from": batch.number - 0.5,
            "to": batch.number + 0.5,
            "url": link(reverse("assessments:result", args=[batch.batch_id])),
            "label": _label(fan, batch),
        }
        for batch in fan.past
    ]
    layers = [
        band("q0", "q4", LIGHT),
        band("q1", "q3", DARK),
        bands.mark_line(color=INDIGO, strokeWidth=1.5, aria=False).encode(
            y=alt.Y("q2:Q", scale=y_scale)
        ),
        alt.Chart(values([{"value": ready}]))
        .mark_rule(strokeDash=[6, 4], color=INK_SOFT, aria=False)
        .encode(y=y),
        alt.Chart(values([{"number": last + 0.5}]))
        .mark_rule(color=LINE_STRONG, aria=False)
        .encode(x=x),
        alt.Chart(values(past))
        .mark_point(filled=True, opacity=1, size=60, color=INDIGO, aria=False)
        .encode(x=x, y=y),
        *_when(fan, last, ready, x, y),
        alt.Chart(values(past))
        .mark_rect(opacity=0, color=INDIGO)
        .encode(
            x=alt.X("from:Q"),
            x2=alt.X2("to:Q"),
            href=alt.Href("url:N"),
            description=alt.Description("label:N"),
        ),
    ]
    return alt.layer(*layers).properties(
        width=width - AXIS_PX - 12,
        height=PANEL_PX,
        # What the library would read out for a title is English; the table has the same words.
        title=alt.TitleParams(str(Part(fan.part).label), aria=False),
    )


def _when(fan, last, ready, x, y):
    """Draw when the evidence is complete, 8 times in 10, along the line of a ready cook."""
    if fan.low is None:
        return
    end = fan.numbers[-1]
    if last + fan.low > end:
        return
    span = {"value": ready, "number": last + fan.low}
    span["until"] = end + 0.5 if fan.high is None else last + fan.high
    yield (
        alt.Chart(values([span]))
        .mark_rule(color=INK, strokeWidth=4, strokeCap="round", aria=False)
        .encode(x=x, x2=alt.X2("until:Q"), y=y)
    )
    if fan.median is not None and last + fan.median <= end:
        yield (
            alt.Chart(values([{"value": ready, "number": last + fan.median}]))
            .mark_point(filled=True, opacity=1, shape="diamond", size=160, color=INK, aria=False)
            .encode(x=x, y=y)
        )


def _description(fan):
    text = _(
        "Points are the batches so far, the line what lies behind them. Right of the upright line "
        "it goes on within the light band 8 times in 10. The dashed line is a ready cook: "
        "%(share)s of 100."
    ) % {"share": number(100 * fan.ready_share, 0)}
    if fan.low is None or fan.low > fan.numbers[-1] - fan.past[-1].number:
        return text
    return f"{text} " + _("The thick line is when the evidence may be complete.")


def _label(fan, batch):
    return _("Batch of %(day)s: %(part)s %(share)s of 100") % {
        "day": formats.date_format(batch.day, "DATE_FORMAT"),
        "part": Part(fan.part).label,
        "share": number(100 * batch.share, 0),
    }


def _table(fans):
    ahead = [
        k for k in TOLD_AHEAD if k <= min(fan.numbers[-1] - fan.past[-1].number for fan in fans)
    ]
    to_come = [
        Row(
            (
                ngettext("in %(count)d batch", "in %(count)d batches", k) % {"count": k},
                *(_range(fan, k) for fan in fans),
            )
        )
        for k in reversed(ahead)
    ]
    shares = [{batch.batch_id: batch.share for batch in fan.past} for fan in fans]
    past = {batch.batch_id: batch for fan in fans for batch in fan.past}
    so_far = [
        Row(
            (
                formats.date_format(batch.day, "DATE_FORMAT"),
                *(
                    number(100 * part[batch.batch_id], 0) if batch.batch_id in part else "–"
                    for part in shares
                ),
            ),
            reverse("assessments:result", args=[batch.batch_id]),
        )
        for batch in sorted(past.values(), key=lambda one: one.number, reverse=True)
    ]
    return Table(
        (_("batch"), *(str(Part(fan.part).label) for fan in fans)), tuple(to_come + so_far)
    )


def _range(fan, k):
    at = fan.numbers.index(fan.past[-1].number) + k
    return _("%(low)s to %(high)s") % {
        "low": number(100 * fan.level[0][at], 0),
        "high": number(100 * fan.level[-1][at], 0),
    }
