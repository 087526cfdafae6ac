"""Every strand's width against the tolerance band, in cutting order."""

from dataclasses import dataclass

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


@dataclass(frozen=True, slots=True)
class Marks:
    """A word for each strand, and by word the shape of its point; the first word is in indigo."""

    words: tuple[str, ...]
    shapes: dict[str, str]
    named: bool = False


class Cut:
    """Strands in the order of cutting as a picture: the house's band, points, and what lies over.

    ``beside`` is the room left free at both ends of the cut, as a part of it; ``also_mm`` are
    widths that must be within the picture too.
    """

    def __init__(self, strands, *, beside=(0.0, 0.0), also_mm=()):
        self.strands = strands
        shown = [strands.low_mm, strands.high_mm, *strands.widths_mm, *also_mm]
        room = ROOM * (max(shown) - min(shown))
        self.low_mm, self.high_mm = min(shown) - room, max(shown) + room
        left, right = (part * strands.total for part in beside)
        self.first, self.last = 0.5 - left, strands.total + 0.5 + right

    def x(self, field="place", *, width=0):
        """Return the place in the cut as an encoding; with the axis where ``width`` is given."""
        strands = self.strands
        axis = alt.Axis(
            title=_("strand, in the order of cutting"),
            tickCount=width // 80,
            tickMinStep=1,
            format="d",
        )
        if self.last > strands.total + 0.5:
            # No number where no strand can be.
            step = max(1, -(-strands.total // (width // 80 or 1) // 10) * 10)
            axis.values = [1, *range(step, strands.total + 1, step)]
        return alt.X(
            f"{field}:Q",
            scale=alt.Scale(domain=[self.first, self.last], nice=False, zero=False),
            axis=axis,
        )

    def y(self, field="width"):
        ticks = [self.strands.low_mm, self.strands.target_mm, self.strands.high_mm]
        return alt.Y(
            f"{field}:Q",
            scale=alt.Scale(domain=[self.low_mm, self.high_mm], nice=False, zero=False),
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

    def apart_px(self, width_mm, other_mm):
        """Return how far apart two widths are drawn."""
        return HEIGHT_PX * abs(width_mm - other_mm) / (self.high_mm - self.low_mm)

    def points(self, marks, width, pairs=None):
        """Return points, each in the shape of its word: the strands, or ``pairs`` instead.

        A pair is a place in the cut and a width.
        """
        if pairs is None:
            pairs = zip(self.strands.places, self.strands.widths_mm, strict=True)
        rows = [
            {"place": place, "width": width_mm, "word": word}
            for (place, width_mm), word in zip(pairs, marks.words, strict=True)
        ]
        scale = alt.Scale(domain=list(marks.shapes), range=list(marks.shapes.values()))
        return (
            alt.Chart(values(rows))
            .mark_point(
                filled=True,
                opacity=1,
                size=90 if len(rows) <= MANY_STRANDS else 36,
                aria=False,
            )
            .encode(
                x=self.x(width=width),
                y=self.y(),
                shape=alt.Shape(
                    "word:N", scale=scale, legend=legend(width) if marks.named else None
                ),
                color=alt.condition(
                    alt.FieldEqualPredicate(field="word", equal=next(iter(marks.shapes))),
                    alt.value(INDIGO),
                    alt.value(INK),
                ),
            )
        )

    def specification(self, layers):
        """Return what ``draw`` asks for; ``layers`` gives the layers over the band by width."""
        strands = self.strands

        def specification(width):
            return (
                alt.layer(
                    alt.Chart(values([{"low": strands.low_mm, "high": strands.high_mm}]))
                    .mark_rect(color=DOUGH, aria=False)
                    .encode(y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
                    alt.Chart(values([{"width": strands.target_mm}]))
                    .mark_rule(color=INK_SOFT, strokeDash=[6, 4], aria=False)
                    .encode(y=self.y()),
                    *layers(width),
                )
                .properties(width=width, height=HEIGHT_PX)
                .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
            )

        return specification


def strands_chart(strands):
    """Draw a ``Strands``; a strand outside is a triangle that points away from the band."""
    words = words_of(strands.widths_mm, strands)
    above, below, within = _words()
    marks = Marks(words, {within: "circle", above: "triangle-up", below: "triangle-down"})
    cut = Cut(strands)
    pairs = list(zip(strands.places, strands.widths_mm, strict=True))
    thinnest, thickest = min(pairs, key=_width), max(pairs, key=_width)

    def layers(width):
        rows = [{"place": place, "width": width_mm} for place, width_mm in pairs]
        x, y = cut.x(width=width), cut.y()
        yield (
            alt.Chart(values(rows))
            .mark_rule(color=LINE_STRONG, aria=False)
            .encode(x=x, y=y, y2=alt.Y2(datum=strands.target_mm))
        )
        yield cut.points(marks, width)
        for (place, width_mm), dy in ((thickest, -16), (thinnest, 18)):
            yield (
                alt.Chart(values([{"place": place, "width": width_mm}]))
                .mark_text(
                    text=number(width_mm, 2), dy=dy, align=align_of(place, strands), aria=False
                )
                .encode(x=x, y=y)
            )

    return draw(
        "strands",
        strands,
        cut.specification(layers),
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
        table=strands_table(strands),
    )


def strands_table(strands, heading="", words=None):
    """Return every strand with its width; ``words`` stand under ``heading`` for the tolerance."""
    return Table(
        (_("strand"), _("width, mm"), heading or _("tolerance")),
        tuple(
            Row((str(place), number(width, 2), word))
            for place, width, word in zip(
                strands.places,
                strands.widths_mm,
                words or words_of(strands.widths_mm, strands),
                strict=True,
            )
        ),
    )


def words_of(widths_mm, limits):
    """Say of each width on which side of the tolerance it lies."""
    above, below, within = _words()
    return tuple(
        above if width > limits.high_mm else below if width < limits.low_mm else within
        for width in widths_mm
    )


def align_of(place, strands):
    """Keep a label within the picture where its strand lies at an end of the cut."""
    if place < 0.12 * strands.total:
        return "left"
    return "right" if place > 0.88 * strands.total else "center"


def legend(width):
    """Return the shapes of points in words, under the picture."""
    return alt.Legend(
        title=None,
        columns=1,
        labelLimit=width - 40,
        symbolFillColor=INK,
        symbolStrokeColor=INK,
        symbolSize=90,
    )


def _words():
    return _("too wide"), _("too narrow"), _("within the tolerance")


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
