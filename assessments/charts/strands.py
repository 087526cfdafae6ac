"""Every strand's width against the tolerance band, in cutting order."""

import altair as alt
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.charts.drawing import (
    DOUGH,
    INDIGO,
    INK,
    INK_SOFT,
    LINE_STRONG,
    Row,
    Table,
    decimals_of,
    draw,
    number,
    values,
)

HEIGHT_PX = 230
# Above and below the outermost strands, for their labels; of the height between them.
ROOM = 0.14
MANY_STRANDS = 60


def strands_chart(strands):
    """Draw a ``Strands``; a strand outside is a triangle that points away from the band."""
    above, below, within = _("too wide"), _("too narrow"), _("within the tolerance")
    words = [
        above if width > strands.high_mm else below if width < strands.low_mm else within
        for width in strands.widths_mm
    ]
    pairs = list(zip(strands.places, strands.widths_mm, strict=True))
    rows = [
        {"place": place, "width": width, "word": word}
        for (place, width), word in zip(pairs, words, strict=True)
    ]
    thinnest, thickest = min(pairs, key=_width), max(pairs, key=_width)
    lowest, highest = min(strands.low_mm, thinnest[1]), max(strands.high_mm, thickest[1])
    room = ROOM * (highest - lowest)
    ticks = [strands.low_mm, strands.target_mm, strands.high_mm]

    size = 90 if len(pairs) <= MANY_STRANDS else 36

    def specification(width):
        x = alt.X(
            "place:Q",
            scale=alt.Scale(domain=[0.5, strands.total + 0.5], nice=False, zero=False),
            axis=alt.Axis(
                title=_("strand, in the order of cutting"),
                tickCount=width // 80,
                tickMinStep=1,
                format="d",
            ),
        )
        y = alt.Y(
            "width:Q",
            scale=alt.Scale(domain=[lowest - room, highest + room], nice=False, zero=False),
            axis=alt.Axis(
                title=_("mm"),
                titleAngle=0,
                titleAlign="right",
                titleX=-6,
                titleY=-8,
                values=ticks,
                format=f".{decimals_of(ticks)}f",
                grid=False,
            ),
        )
        strand = alt.Chart(values(rows)).encode(x=x)
        return (
            alt.layer(
                alt.Chart(values([{"low": strands.low_mm, "high": strands.high_mm}]))
                .mark_rect(color=DOUGH, aria=False)
                .encode(y="low:Q", y2="high:Q"),
                alt.Chart(values([{"width": strands.target_mm}]))
                .mark_rule(color=INK_SOFT, strokeDash=[6, 4], aria=False)
                .encode(y=y),
                strand.mark_rule(color=LINE_STRONG, aria=False).encode(
                    y=y, y2=alt.Y2(datum=strands.target_mm)
                ),
                strand.mark_point(filled=True, opacity=1, size=size, aria=False).encode(
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
                *(
                    alt.Chart(values([{"place": place, "width": value}]))
                    .mark_text(
                        text=number(value, 2), dy=dy, align=_align(place, strands.total), aria=False
                    )
                    .encode(x=x, y=y)
                    for (place, value), dy in ((thickest, -16), (thinnest, 18))
                ),
            )
            .properties(width=width, height=HEIGHT_PX)
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    return draw(
        "strands",
        strands,
        specification,
        title=_("Every strand measured, in the order of cutting"),
        description=_(
            "The shaded band is the house tolerance, %(low)s to %(high)s mm; the dashed line is "
            "the target. The narrowest strand has %(thinnest)s mm, the widest %(thickest)s mm."
        )
        % {
            "low": number(strands.low_mm, 2),
            "high": number(strands.high_mm, 2),
            "thinnest": number(thinnest[1], 2),
            "thickest": number(thickest[1], 2),
        }
        + " "
        + _outside(sum(word != within for word in words), len(words)),
        table=Table(
            (_("strand"), _("width, mm"), _("tolerance")),
            tuple(
                Row((str(place), number(width, 2), word))
                for (place, width), word in zip(pairs, words, strict=True)
            ),
        ),
    )


def _outside(outside, n):
    if not outside:
        return _("All %(n)d lie within.") % {"n": n}
    return ngettext(
        "%(outside)d of %(n)d lies outside and is a triangle.",
        "%(outside)d of %(n)d lie outside and are triangles.",
        outside,
    ) % {"outside": outside, "n": n}


def _width(pair):
    return pair[1]


def _align(place, total):
    """Keep a label within the picture where its strand lies at an end of the cut."""
    if place < 0.12 * total:
        return "left"
    return "right" if place > 0.88 * total else "center"
