"""The warning since a sign-off, batch after batch: whether the evenness holds."""

import altair as alt
from django.urls import reverse
from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.monitoring import WATCH
from assessments.charts.drawing import (
    INDIGO,
    INK,
    INK_SOFT,
    Row,
    Table,
    draw,
    link,
    number,
    values,
)
from assessments.charts.progress import AXIS_PX, SHAPES, day_axis
from assessments.models import Part

HEIGHT_PX = 180
ALARM = 100
PARTS = (Part.WIDTH, Part.THICKNESS)


def evenness_chart(watched):
    """Draw a ``Watched``: a line for each part, and marks at 50 and 100; None without batches."""
    if watched is None or not watched.batches:
        return None
    batches = watched.batches
    words = {part: str(part.label) for part in PARTS}
    rows = [
        {"place": place, "value": getattr(batch, part), "part": words[part]}
        for part in PARTS
        for place, batch in enumerate(batches, start=1)
        if getattr(batch, part) is not None
    ]
    every = [
        {
            "from": place - 0.5,
            "to": place + 0.5,
            "url": link(reverse("assessments:result", args=[batch.batch_id])),
            "label": _label(batch),
        }
        for place, batch in enumerate(batches, start=1)
    ]

    def specification(width):
        x = alt.X(
            "place:Q",
            scale=alt.Scale(domain=[0.5, len(batches) + 0.5], nice=False, zero=False),
            axis=day_axis(batches),
        )
        y = alt.Y(
            "value:Q",
            scale=alt.Scale(domain=[0, 105], nice=False),
            axis=alt.Axis(
                values=[0, WATCH, ALARM], title=None, minExtent=AXIS_PX, maxExtent=AXIS_PX
            ),
        )
        domain = list(words.values())
        shape = alt.Shape(
            "part:N",
            scale=alt.Scale(domain=domain, range=[SHAPES[part] for part in PARTS]),
            legend=alt.Legend(
                title=None,
            ),
        )
        base = alt.Chart(values(rows)).encode(x=x, y=y)
        return alt.layer(
            alt.Chart(values([{"value": WATCH}]))
            .mark_rule(strokeDash=[6, 4], color=INK_SOFT, aria=False)
            .encode(y=y),
            alt.Chart(values([{"value": ALARM}]))
            .mark_rule(color=INK, strokeWidth=2, aria=False)
            .encode(y=y),
            # Dashes by a scale of their own would take the legend of the shapes along.
            *(
                base.transform_filter(alt.FieldEqualPredicate(field="part", equal=word))
                .mark_line(color=INDIGO, strokeWidth=1.5, strokeDash=dash, aria=False)
                .encode()
                for word, dash in zip(domain, ([1, 0], [5, 3]), strict=True)
            ),
            base.mark_point(filled=True, opacity=1, size=70, color=INDIGO, aria=False).encode(
                shape=shape
            ),
            # The whole height above a batch is its link: a point alone is too small to touch.
            alt.Chart(values(every))
            .mark_rect(opacity=0, color=INDIGO)
            .encode(
                x=alt.X("from:Q"),
                x2=alt.X2("to:Q"),
                href=alt.Href("url:N"),
                description=alt.Description("label:N"),
            ),
        ).properties(width=width - AXIS_PX - 12, height=HEIGHT_PX)

    return draw(
        "evenness",
        watched,
        specification,
        title=_("Warning since the sign-off"),
        description=_description(watched),
        table=Table(
            (_("batch"), *words.values()),
            tuple(
                Row(
                    (
                        formats.date_format(batch.day, "DATE_FORMAT"),
                        *(_whole(getattr(batch, part)) for part in PARTS),
                    ),
                    reverse("assessments:result", args=[batch.batch_id]),
                )
                for batch in reversed(batches)
            ),
        ),
        linked=True,
    )


def _description(watched):
    count = len(watched.batches)
    if watched.is_cut:
        text = ngettext(
            "The last batch since the sign-off of %(day)s.",
            "The last %(count)d batches since the sign-off of %(day)s.",
            count,
        )
    else:
        text = ngettext(
            "%(count)d batch since the sign-off of %(day)s.",
            "%(count)d batches since the sign-off of %(day)s.",
            count,
        )
    text = text % {
        "count": count,
        "day": formats.date_format(watched.signed_on, "DATE_FORMAT"),
    }
    return f"{text} " + _(
        "An uneven batch raises the warning, by 60 at most; an even one lowers it. From the dashed "
        "line on, at 50, watch it. At the thick line, 100, renewal falls due."
    )


def _label(batch):
    return _("Batch of %(day)s: warning %(width)s for the width, %(thickness)s for thickness") % {
        "day": formats.date_format(batch.day, "DATE_FORMAT"),
        "width": _whole(batch.width),
        "thickness": _whole(batch.thickness),
    }


def _whole(value):
    return "–" if value is None else number(value, 0)
