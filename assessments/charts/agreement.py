"""Photo against caliper: the difference of each strand over its width (Bland and Altman 1986)."""

import altair as alt
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.charts.drawing import (
    DOUGH,
    INDIGO,
    INK,
    INK_SOFT,
    Row,
    Table,
    draw,
    number,
    values,
)

HEIGHT_PX = 240
# Above and below the outermost of points and limits, of the height between them.
ROOM = 0.12
MANY_STRANDS = 60


def agreement_chart(compared):
    """Draw a ``Comparison``; a strand beyond the limits is a triangle that points away."""
    found = compared.agreement
    lower, bias, upper = found.lower.value, found.bias.value, found.upper.value
    above, below, within = _("above the limits"), _("below the limits"), _("within the limits")
    rows = []
    for place, photo, caliper in zip(
        compared.places, compared.photo_mm, compared.caliper_mm, strict=True
    ):
        difference = photo - caliper
        word = above if difference > upper else below if difference < lower else within
        rows.append(
            {
                "place": place,
                "photo": photo,
                "caliper": caliper,
                "mean": (photo + caliper) / 2,
                "difference": difference,
                "word": word,
            }
        )
    shown = [row["difference"] for row in rows] + [lower, upper, 0.0]
    room = ROOM * (max(shown) - min(shown)) or 0.01
    widths = [row["mean"] for row in rows]
    margin = 0.04 * (max(widths) - min(widths)) or 0.05
    size = 90 if len(rows) <= MANY_STRANDS else 36

    def specification(width):
        x = alt.X(
            "mean:Q",
            scale=alt.Scale(
                domain=[min(widths) - margin, max(widths) + margin], nice=False, zero=False
            ),
            axis=alt.Axis(title=_("mean of both, mm"), tickCount=width // 90, format=".2f"),
        )
        y = alt.Y(
            "difference:Q",
            scale=alt.Scale(domain=[min(shown) - room, max(shown) + room], nice=False, zero=False),
            axis=alt.Axis(
                title=_("mm"),
                titleAngle=0,
                titleAlign="right",
                titleX=-6,
                titleY=-8,
                values=[lower, bias, upper],
                format=".3f",
                grid=False,
            ),
        )

        def line(at, **style):
            return (
                alt.Chart(values([{"difference": at}])).mark_rule(aria=False, **style).encode(y=y)
            )

        return (
            alt.layer(
                alt.Chart(values([{"low": lower, "high": upper}]))
                .mark_rect(color=DOUGH, aria=False)
                .encode(y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
                line(0.0, color=INK_SOFT, strokeDash=[6, 4]),
                line(bias, color=INK, strokeWidth=2),
                alt.Chart(values(rows))
                .mark_point(filled=True, opacity=1, size=size, aria=False)
                .encode(
                    x=x,
                    y=y,
                    shape=alt.Shape(
                        "word:N",
                        legend=None,
                        scale=alt.Scale(
                            domain=[within, above, below],
                            range=["circle", "triangle-up", "triangle-down"],
                        ),
                    ),
                    color=alt.condition(
                        alt.FieldEqualPredicate(field="word", equal=within),
                        alt.value(INDIGO),
                        alt.value(INK),
                    ),
                ),
            )
            .properties(width=width, height=HEIGHT_PX)
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    return draw(
        "agreement",
        compared,
        specification,
        title=_("Photo less caliper, strand by strand"),
        description=_(
            "The thick line is the mean difference, %(bias)s mm; the dashed line is no difference. "
            "About 95 of 100 differences lie in the shaded band, from %(lower)s to %(upper)s mm."
        )
        % {"bias": _mm(bias), "lower": _mm(lower), "upper": _mm(upper)}
        + " "
        + _outside(sum(row["word"] != within for row in rows), len(rows)),
        table=Table(
            (_("strand"), _("photo, mm"), _("caliper, mm"), _("difference, mm"), _("limits")),
            tuple(
                Row(
                    (
                        str(row["place"]),
                        number(row["photo"], 3),
                        number(row["caliper"], 3),
                        _mm(row["difference"]),
                        row["word"],
                    )
                )
                for row in rows
            ),
        ),
    )


def _mm(value):
    return number(value, 3).replace("-", "−")


def _outside(outside, n):
    if not outside:
        return _("All %(n)d do.") % {"n": n}
    return ngettext(
        "%(outside)d of %(n)d lies outside and is a triangle.",
        "%(outside)d of %(n)d lie outside and are triangles.",
        outside,
    ) % {"outside": outside, "n": n}
