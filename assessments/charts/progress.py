"""Batch after batch: the scores, and the shares of each part with their intervals.

Both return a ``Chart`` for ``{% load charts %}{% chart scores %}``, or None without points. Every
batch is a link to its result.
"""

import json
import math

import altair as alt
from django.urls import reverse
from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from assessments.charts.drawing import (
    INDIGO,
    INK_SOFT,
    LINE_STRONG,
    Row,
    Table,
    draw,
    link,
    number,
    values,
)
from assessments.models import Part

AXIS_PX = 44
PANEL_PX = 120
SCORES_PX = 200
# First and last day stand flush with the ends of the axis, however close they are.
WHOLE_ROW_PX = 200
SHAPES = {Part.WIDTH: "circle", Part.THICKNESS: "square", Part.HYDRATION: "triangle-up"}


def score_chart(points, *, ready_share):
    """Draw the scores, the weakest part by the shape of the point, with its 80 % interval.

    ``points`` are ``HistoryPoint``; ``ready_share`` (0..1) is drawn as a dashed line.
    """
    if not points:
        return None
    words = {part: str(part.label) for part in Part}
    given_up = _("given up")
    rows = []
    for place, point in enumerate(points, start=1):
        row = _place(place, point)
        if point.abandoned:
            rows.append(row | {"value": 0, "shape": given_up, "off_line": True})
        elif point.score is not None:
            rows.append(row | {"value": point.score, "shape": words[point.limiting]})
            if point.limiting in point.intervals:
                low, high = point.intervals[point.limiting]
                rows[-1] |= {"low": 100 * low, "high": 100 * high}
    lowest = _lowest([row.get("low", row["value"]) for row in rows if "off_line" not in row])

    def specification(width):
        shapes = [*SHAPES.values(), "cross"]
        used = [
            word for word in [*words.values(), given_up] if any(r["shape"] == word for r in rows)
        ]
        places = dict(zip([*words.values(), given_up], shapes, strict=True))
        shape = alt.Shape(
            "shape:N",
            scale=alt.Scale(domain=used, range=[places[word] for word in used]),
            legend=alt.Legend(
                title=_("weakest part"),
                columns=2,
            ),
        )
        return _panel(
            points,
            rows,
            width,
            height=SCORES_PX,
            y=_share_axis(lowest, ready_share),
            line_at=100 * ready_share,
            shape=shape,
        )

    return draw(
        "scores",
        tuple(points),
        specification,
        title=_("Score of each batch"),
        description=_count(points)
        + " "
        + _(
            "The thin upright line is where the true share of the weakest part lies four times "
            "in five. The dashed line is a ready cook: %(share)s of 100."
        )
        % {"share": number(100 * ready_share, 0)},
        table=_table(
            points,
            (_("score"), _("weakest part")),
            lambda point: (
                _whole(point.score),
                given_up if point.abandoned else words.get(point.limiting, "–"),
            ),
        ),
        linked=True,
    )


def shares_chart(points, *, ready_share):
    """Draw the share within tolerance of each part, 0..100, with its 80 % interval."""
    if not points:
        return None
    lowest = _lowest(
        [
            100 * point.intervals.get(part, (share,))[0]
            for point in points
            for part, share in point.shares.items()
            if share is not None
        ]
    )

    def panel(part, width):
        rows = []
        for place, point in enumerate(points, start=1):
            if point.shares[part] is None:
                continue
            rows.append(_place(place, point) | {"value": 100 * point.shares[part]})
            if part in point.intervals:
                low, high = point.intervals[part]
                rows[-1] |= {"low": 100 * low, "high": 100 * high}
        return _panel(
            points,
            rows,
            width,
            height=PANEL_PX,
            y=_share_axis(lowest, ready_share),
            line_at=100 * ready_share,
            title=str(part.label),
        )

    return draw(
        "shares",
        tuple(points),
        lambda width: alt.vconcat(*(panel(part, width) for part in Part), spacing=18),
        title=_("Share within the house tolerance, part by part"),
        description=_count(points)
        + " "
        + _(
            "The thin upright line is where the true share lies four times in five. "
            "The dashed line is a ready cook: %(share)s of 100."
        )
        % {"share": number(100 * ready_share, 0)},
        table=_table(
            points,
            tuple(str(part.label) for part in Part),
            lambda point: tuple(_share_text(point, part) for part in Part),
        ),
        linked=True,
    )


def _panel(points, rows, width, *, height, y, line_at, title=None, shape=None):
    x = alt.X(
        "place:Q",
        scale=alt.Scale(domain=[0.5, len(points) + 0.5], nice=False, zero=False),
        axis=day_axis(points),
    )
    y = alt.Y("value:Q", **y)
    base = alt.Chart(values(rows)).encode(x=x)
    point = base.mark_point(filled=True, opacity=1, size=70, color=INDIGO, aria=False).encode(y=y)
    if shape is not None:
        point = point.encode(shape=shape)
    every = alt.Chart(values(_place(place, point) for place, point in enumerate(points, start=1)))
    layers = [
        alt.Chart(values([{"value": line_at}]))
        .mark_rule(strokeDash=[6, 4], color=INK_SOFT, aria=False)
        .encode(y=y),
        base.transform_filter("isValid(datum.low)")
        .mark_rule(color=LINE_STRONG, strokeWidth=1.5, aria=False)
        .encode(y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
        base.transform_filter("!datum.off_line")
        .mark_line(color=INDIGO, strokeWidth=1.5, aria=False)
        .encode(y=y),
        point,
        # The whole height above a batch is its link: a point alone is too small to touch.
        every.mark_rect(opacity=0, color=INDIGO).encode(
            x=alt.X("from:Q"),
            x2=alt.X2("to:Q"),
            href=alt.Href("url:N"),
            description=alt.Description("label:N"),
        ),
    ]
    # What the library would read out for a title is English; the table has the same words.
    options = {"title": alt.TitleParams(title, aria=False)} if title else {}
    return alt.layer(*layers).properties(width=width - AXIS_PX - 12, height=height, **options)


def _axis(domain, ticks):
    return {
        "scale": alt.Scale(domain=domain, nice=False, zero=False, clamp=True),
        "axis": alt.Axis(values=ticks, title=None, minExtent=AXIS_PX, maxExtent=AXIS_PX),
    }


def _share_axis(lowest, ready_share):
    ready = 100 * ready_share
    return _axis([lowest, 100], [lowest, (lowest + ready) // 20 * 10, ready])


def day_axis(points):
    """Return the axis of batches in their order, with the days of the first and the last."""
    days = {1: points[0].day, len(points): points[-1].day}
    # Two of them stand side by side on a phone: short where months have long names.
    day_format = pgettext("date format, of a day on the axis of a narrow chart", "M j")
    labels = {place: formats.date_format(day, day_format) for place, day in days.items()}
    return alt.Axis(
        values=list(labels),
        title=None,
        labelExpr=f"({json.dumps(labels)})[datum.value]",
        labelFlush=WHOLE_ROW_PX,
    )


def _place(place, point):
    return {
        "place": place,
        "from": place - 0.5,
        "to": place + 0.5,
        "url": link(reverse("assessments:result", args=[point.batch_id])),
        "label": _label(point),
    }


def _label(point):
    day = formats.date_format(point.day, "DATE_FORMAT")
    if point.abandoned:
        return _("Batch of %(day)s: given up") % {"day": day}
    if point.score is None:
        return _("Batch of %(day)s: no score") % {"day": day}
    return _("Batch of %(day)s: score %(score)s, weakest part %(part)s") % {
        "day": day,
        "score": number(point.score, 0),
        "part": Part(point.limiting).label,
    }


def _table(points, headings, cells):
    return Table(
        (_("batch"), *headings),
        tuple(
            Row(
                (formats.date_format(point.day, "DATE_FORMAT"), *cells(point)),
                reverse("assessments:result", args=[point.batch_id]),
            )
            for point in reversed(points)
        ),
    )


def _count(points):
    return ngettext(
        "%(count)d batch, of %(first)s.",
        "%(count)d batches, from %(first)s to %(last)s.",
        len(points),
    ) % {
        "count": len(points),
        "first": formats.date_format(points[0].day, "DATE_FORMAT"),
        "last": formats.date_format(points[-1].day, "DATE_FORMAT"),
    }


def _lowest(shown):
    return max(0, min(50, math.floor(min(shown, default=50) / 10) * 10))


def _whole(value):
    return "–" if value is None else number(value, 0)


def _share_text(point, part):
    if point.shares[part] is None:
        return "–"
    share = number(100 * point.shares[part], 0)
    if part not in point.intervals:
        return share
    low, high = (number(100 * limit, 0) for limit in point.intervals[part])
    return _("%(share)s (%(low)s to %(high)s)") % {"share": share, "low": low, "high": high}
