"""Patterns of the strands: over the cut in its order, and from end to end of a strand."""

import altair as alt
import numpy as np
from django.utils.translation import gettext as _

from assessments.calculations.patterns.shape import best_split, smallest_group
from assessments.charts.drawing import (
    DOUGH,
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
from assessments.charts.strands import Cut, Marks, align_of, strands_table
from training.names import listed

# Room at the ends of the cut for the numbers of a line; of the strands cut.
BESIDE = 0.3
# Two numbers one over the other need so much, two side by side so much.
LINE_PX = 20
LABEL_PX = 46
WEDGE_PX = 80
# On both sides, for the width there.
WEDGE_TEXT_PX = 84
NARROW_END = 0.6


def _drift_chart(finding, strands):
    first, last = finding.places
    along = [(place - first) / (last - first) for place in strands.places]
    low_mm, high_mm = _ends_of(finding, strands, along, finding.direction == "wider")
    cut = Cut(strands, beside=(BESIDE, BESIDE), also_mm=(low_mm, high_mm))

    def layers(width):
        yield cut.points(_plain(strands), width)
        yield _level(cut, (first, low_mm), (last, high_mm))
        yield _beside(cut, low_mm, "first")
        yield _beside(cut, high_mm, "last")

    return _ordered(
        finding,
        strands,
        cut,
        layers,
        title=_("The cut, from the first strand to the last"),
        description=_(
            "The thick line is the mean along the cut, from %(first)s mm at the first strand to "
            "%(last)s mm at the last."
        )
        % {"first": number(low_mm, 2), "last": number(high_mm, 2)},
    )


def _alternation_chart(finding, strands):
    odd = [place % 2 for place in strands.places]
    even_mm, odd_mm = _ends_of(finding, strands, odd, finding.direction == "odd")
    names = {1: _("strands 1, 3, 5 and so on"), 0: _("strands 2, 4, 6 and so on")}
    marks = Marks(
        tuple(names[one] for one in odd), {names[1]: "circle", names[0]: "square"}, named=True
    )
    return _two_levels(
        finding,
        strands,
        marks,
        ((even_mm, INK), (odd_mm, INDIGO)),
        title=_("Every second strand"),
        description=_(
            "Circles are strands 1, 3, 5 and so on, mean %(odd)s mm. Squares are those between, "
            "mean %(even)s mm."
        )
        % {"odd": number(odd_mm, 2), "even": number(even_mm, 2)},
    )


def _groups_chart(finding, strands):
    widths = np.sort(strands.widths_mm)
    _part, lower = best_split(widths[None, :], smallest_group(widths.size))
    at = int(lower[0])
    narrow_mm, wide_mm = float(widths[:at].mean()), float(widths[at:].mean())
    names = {True: _("wide group"), False: _("narrow group")}
    marks = Marks(
        tuple(names[bool(width > widths[at - 1])] for width in strands.widths_mm),
        {names[True]: "circle", names[False]: "square"},
        named=True,
    )
    return _two_levels(
        finding,
        strands,
        marks,
        ((narrow_mm, INK), (wide_mm, INDIGO)),
        groups_mm=((widths[0], widths[at - 1]), (widths[at], widths[-1])),
        title=_("Two groups of widths"),
        description=_(
            "Each group is in its frame: %(narrow)d strands around %(narrow_mm)s mm and %(wide)d "
            "around %(wide_mm)s mm."
        )
        % {
            "narrow": at,
            "narrow_mm": number(narrow_mm, 2),
            "wide": widths.size - at,
            "wide_mm": number(wide_mm, 2),
        },
    )


def _two_levels(finding, strands, marks, levels, *, groups_mm=(), title, description):
    """Draw strands of two kinds with a line for the mean of each, in its own colour."""
    (low_mm, _color), (high_mm, _other) = levels
    cut = Cut(strands, beside=(0, BESIDE), also_mm=(low_mm, high_mm))
    ends = (1, strands.total)

    def layers(width):
        for low, high in groups_mm:
            margin = 0.02 * (cut.high_mm - cut.low_mm)
            frame = {"from": 0.5, "to": ends[1] + 0.5, "low": low - margin, "high": high + margin}
            yield (
                alt.Chart(values([frame]))
                .mark_rect(filled=False, stroke=INK_SOFT, strokeWidth=1.5, aria=False)
                .encode(
                    x=cut.x("from", width=width),
                    x2=alt.X2("to:Q"),
                    y=cut.y("low"),
                    y2=alt.Y2("high:Q"),
                )
            )
        yield cut.points(marks, width)
        for level_mm, color in levels:
            yield _level(cut, (ends[0], level_mm), (ends[1], level_mm), color)
        for (level_mm, _color), dy in zip(levels, _apart(cut, low_mm, high_mm), strict=True):
            yield _beside(cut, level_mm, "last", dy=dy)

    return _ordered(
        finding,
        strands,
        cut,
        layers,
        title=title,
        description=description,
        table=strands_table(strands, _("kind"), marks.words),
    )


def _step_chart(finding, strands):
    before, after = finding.places
    since = [float(place >= after) for place in strands.places]
    low_mm, high_mm = _ends_of(finding, strands, since, finding.direction == "wider")
    cut = Cut(strands, beside=(BESIDE, BESIDE), also_mm=(low_mm, high_mm))
    middle = (before + after) / 2

    def layers(width):
        yield (
            alt.Chart(values([{"place": middle}]))
            .mark_rule(color=INK, strokeWidth=1.5, strokeDash=[2, 3], aria=False)
            .encode(x=cut.x(width=width))
        )
        yield cut.points(_plain(strands), width)
        yield _level(cut, (strands.places[0], low_mm), (middle, low_mm))
        yield _level(cut, (middle, high_mm), (strands.places[-1], high_mm))
        yield _beside(cut, low_mm, "first")
        yield _beside(cut, high_mm, "last")

    return _ordered(
        finding,
        strands,
        cut,
        layers,
        title=_("Before and after the step"),
        description=_(
            "The upright line is the step, between strand %(before)d and strand %(after)d. The "
            "mean is %(first)s mm before it and %(last)s mm after it."
        )
        % {
            "before": before,
            "after": after,
            "first": number(low_mm, 2),
            "last": number(high_mm, 2),
        },
        table=strands_table(
            strands, _("place"), [_("after") if one else _("before") for one in since]
        ),
    )


def _neighbours_chart(finding, strands):
    cut = Cut(strands)

    def layers(width):
        yield (
            alt.Chart(values(_rows(strands)))
            .mark_line(color=INK_SOFT, strokeWidth=2, aria=False)
            .encode(x=cut.x(width=width), y=cut.y())
        )
        yield cut.points(_plain(strands), width)

    alike = _(
        "The line joins the strands in the order of cutting: wide ones follow wide ones, narrow "
        "ones follow narrow ones."
    )
    opposed = _(
        "The line joins the strands in the order of cutting: a wide one is followed by a narrow "
        "one."
    )
    return _ordered(
        finding,
        strands,
        cut,
        layers,
        title=_("From strand to strand"),
        description=alike if finding.direction == "alike" else opposed,
    )


def _outliers_chart(finding, strands):
    width_of = dict(zip(strands.places, strands.widths_mm, strict=True))
    out = [(int(place), width_of[place]) for place in finding.places if place in width_of]
    cut = Cut(strands)
    middle = float(np.median(strands.widths_mm))

    def layers(width):
        yield cut.points(_plain(strands), width)
        x, y = cut.x(width=width), cut.y()
        yield (
            alt.Chart(values({"place": place, "width": mm} for place, mm in out))
            .mark_point(shape="circle", size=420, color=INK, strokeWidth=2.5, aria=False)
            .encode(x=x, y=y)
        )
        px = width / (cut.last - cut.first)
        labelled = []
        # The furthest first: where two lie close together one number stands for both.
        for place, mm in sorted(out, key=lambda pair: -abs(pair[1] - middle)):
            if any(
                px * abs(place - other) < LABEL_PX and cut.apart_px(mm, other_mm) < LINE_PX
                for other, other_mm in labelled
            ):
                continue
            labelled.append((place, mm))
            yield (
                alt.Chart(values([{"place": place, "width": mm}]))
                .mark_text(
                    text=number(mm, 2),
                    dx=_inward(place, strands) * 18,
                    align=align_of(place, strands) if _inward(place, strands) else "left",
                    xOffset=0 if _inward(place, strands) else 16,
                    fontWeight="bold",
                    aria=False,
                )
                .encode(x=x, y=y)
            )

    far = {place for place, _mm in out}
    return _ordered(
        finding,
        strands,
        cut,
        layers,
        title=_("Strands far from all others"),
        description=_("The rings mark the strands that lie far from all others: %(places)s.")
        % {"places": listed(place for place, _mm in sorted(out))},
        table=strands_table(
            strands,
            _("place"),
            [
                _("far from the others") if place in far else _("among the others")
                for place in strands.places
            ],
        ),
    )


_ORDERED = {
    "drift": _drift_chart,
    "alternation": _alternation_chart,
    "step": _step_chart,
    "neighbours": _neighbours_chart,
    "groups": _groups_chart,
    "outliers": _outliers_chart,
}


def _ordered(finding, strands, cut, layers, *, title, description, table=None, ends_mm=()):
    band = _("The shaded band is the house tolerance, %(low)s to %(high)s mm.") % {
        "low": number(strands.low_mm, 2),
        "high": number(strands.high_mm, 2),
    }
    return draw(
        f"strands-{finding.kind}",
        (strands, finding, *ends_mm),
        cut.specification(layers),
        title=title,
        description=f"{description} {band}",
        table=table or strands_table(strands),
    )


def _ends_of(finding, strands, column, is_rise):
    """Return the widths where the pattern's ``column`` is 0 and 1, fitted with the given size."""
    size = finding.size if is_rise else -finding.size
    rest = [width - size * part for width, part in zip(strands.widths_mm, column, strict=True)]
    start = sum(rest) / len(rest)
    return start, start + size


def _plain(strands):
    return Marks(("",) * len(strands.places), {"": "circle"})


def _rows(strands):
    return [
        {"place": place, "width": width}
        for place, width in zip(strands.places, strands.widths_mm, strict=True)
    ]


def _level(cut, start, end, color=INK):
    points = [{"place": place, "width": width} for place, width in (start, end)]
    return (
        alt.Chart(values(points))
        .mark_line(color=color, strokeWidth=3.5, aria=False)
        .encode(x=cut.x(), y=cut.y())
    )


def _beside(cut, width_mm, end, *, dy=0):
    """Write the number of a line into the room beside the first or last strand of the cut."""
    place = 0.5 if end == "first" else cut.strands.total + 0.5
    return (
        alt.Chart(values([{"place": place, "width": width_mm}]))
        .mark_text(
            text=number(width_mm, 2),
            align="right" if end == "first" else "left",
            dx=-6 if end == "first" else 6,
            dy=dy,
            fontWeight="bold",
            aria=False,
        )
        .encode(x=cut.x(), y=cut.y())
    )


def _apart(cut, width_mm, other_mm):
    """Return by how much two numbers are moved, down and up, so that both can be read."""
    short = max(0, LINE_PX - cut.apart_px(width_mm, other_mm)) / 2
    lower, upper = (short, -short) if width_mm < other_mm else (-short, short)
    return lower, upper


def _inward(place, strands):
    """Return on which side of a strand there is room for a number: 0 to the right, as usual."""
    return -1 if place > 0.8 * strands.total else 0


def ordered_chart(finding, strands):
    """Draw a pattern of the order of cutting, or of the widths, over the strands that show it."""
    return _ORDERED[finding.kind](finding, strands)


def taper_chart(finding, strands, ends_mm):
    """Draw strands that are wider at one end; ``ends_mm`` as ``finding_chart`` takes them."""
    pairs = [
        (place, ends)
        for place, ends in zip(strands.places, ends_mm, strict=False)
        if ends is not None
    ]
    if not pairs:
        return _wedge_chart(finding, strands)
    names = _end_names()
    cut = Cut(strands, also_mm=[width for _place, ends in pairs for width in ends])
    marks = Marks(names * len(pairs), dict(zip(names, ("circle", "square"), strict=True)), True)

    def layers(width):
        bars = [{"place": place, "width": a, "to": b} for place, (a, b) in pairs]
        yield (
            alt.Chart(values(bars))
            .mark_rule(color=LINE_STRONG, strokeWidth=3, aria=False)
            .encode(x=cut.x(width=width), y=cut.y(), y2=alt.Y2("to:Q"))
        )
        ends = [(place, width_mm) for place, both in pairs for width_mm in both]
        yield cut.points(marks, width, ends)

    return _ordered(
        finding,
        strands,
        cut,
        layers,
        ends_mm=tuple(pairs),
        title=_("Both ends of each strand"),
        description=_(
            "Each upright bar is a strand, from its width at one end to its width at the other, "
            "as it lay on the photo."
        ),
        table=Table(
            (_("strand"), *names),
            tuple(
                Row((str(place), *(number(width, 2) for width in both))) for place, both in pairs
            ),
        ),
    )


def _wedge_chart(finding, strands):
    """Draw the mean strand, odd and even ones apart for a fan, from one end to the other."""
    mean = float(np.mean(strands.widths_mm))
    off = (finding.size if finding.direction == "last" else -finding.size) / 2
    shapes = [("", (mean - off, mean + off))]
    if finding.kind == "fan":
        off /= 2
        shapes = [
            (_("strands 1, 3, 5 and so on"), (mean - off, mean + off)),
            (_("strands 2, 4, 6 and so on"), (mean + off, mean - off)),
        ]

    def one(name, both, width):
        beside = WEDGE_TEXT_PX / (width - 8 - 2 * WEDGE_TEXT_PX)
        x = alt.X(
            "x:Q",
            axis=None,
            scale=alt.Scale(domain=[-beside, 1 + beside], nice=False, zero=False),
        )
        y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[-1.1, 1.1], nice=False, zero=False))
        # Not to scale: a few tenths of a millimetre could not be seen.
        height = [1 if width_mm == max(both) else NARROW_END for width_mm in both]
        corners = [(0, -1), (1, -1), (1, 1), (0, 1)]
        outline = [
            {"x": end, "y": side * height[end], "order": i} for i, (end, side) in enumerate(corners)
        ]
        named = {"title": alt.TitleParams(name, aria=False)} if name else {}
        return alt.layer(
            alt.Chart(values(outline))
            .mark_line(
                fill=DOUGH, stroke=INK, strokeWidth=2, interpolate="linear-closed", aria=False
            )
            .encode(x=x, y=y, order=alt.Order("order:Q")),
            *(
                alt.Chart(values([{"x": end, "y": 0}]))
                .mark_text(
                    text=_("%(width)s mm") % {"width": number(both[end], 2)},
                    align=("right", "left")[end],
                    dx=(-6, 6)[end],
                    fontWeight="bold",
                    aria=False,
                )
                .encode(x=x, y=y)
                for end in (0, 1)
            ),
        ).properties(width=width - 8, height=WEDGE_PX, **named)

    names = _end_names()
    if finding.kind == "fan":
        said = _("Every second strand is wide at the other end.")
    else:
        said = _("The strands are wide at the same end.")
    return draw(
        f"strands-{finding.kind}",
        (strands, finding),
        lambda width: alt.vconcat(*(one(*shape, width) for shape in shapes), spacing=6),
        title=_("The mean strand from end to end"),
        description=said
        + " "
        + _("The wedge is drawn stronger than it is. Left is the left or upper end on the photo."),
        table=Table(
            (_("strand"), *names),
            tuple(
                Row((name or _("mean of all"), *(number(width, 2) for width in both)))
                for name, both in shapes
            ),
        ),
    )


def _end_names():
    return _("left or upper end"), _("right or lower end")
