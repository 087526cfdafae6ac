"""One layout on several photos: how far each photo is from the strand's mean over all of them."""

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
    draw,
    number,
    values,
)

HEIGHT_PX = 240
ROOM = 0.12
FEW_STRANDS = 30
SHAPES = ["circle", "triangle-up", "square", "diamond", "triangle-down", "cross"]
COLORS = [INDIGO, INK, INK_SOFT]


def repeats_chart(repeated, people):
    """Draw a ``Repeats``; ``people`` are the names of those who took the photos, in its order."""
    two_sd = 2 * repeated.study.grr.sd
    # Two people of one name are still two.
    names = [name if people.count(name) == 1 else f"{name} {i}" for i, name in enumerate(people, 1)]
    rows, spans = [], []
    for place, strand in zip(repeated.places, repeated.widths_mm, strict=True):
        read = [width for of_person in strand for width in of_person]
        mean = sum(read) / len(read)
        spans.append({"place": place, "low": min(read) - mean, "high": max(read) - mean})
        rows += [
            {"place": place, "off": width - mean, "person": name}
            for name, of_person in zip(names, strand, strict=True)
            for width in of_person
        ]
    shown = [row["off"] for row in rows] + [-two_sd, two_sd]
    room = ROOM * (max(shown) - min(shown)) or 0.01
    last = max(repeated.places)
    size = 60 if last <= FEW_STRANDS else 28

    def specification(width):
        x = alt.X(
            "place:Q",
            scale=alt.Scale(domain=[0.5, last + 0.5], nice=False, zero=False),
            axis=alt.Axis(
                title=_("strand, in the order laid"),
                tickCount=width // 80,
                tickMinStep=1,
                format="d",
            ),
        )
        y = alt.Y(
            "off:Q",
            scale=alt.Scale(domain=[min(shown) - room, max(shown) + room], nice=False, zero=False),
            axis=alt.Axis(
                title=_("mm"),
                titleAngle=0,
                titleAlign="right",
                titleX=-6,
                titleY=-8,
                values=[-two_sd, 0, two_sd],
                format=".3f",
                grid=False,
            ),
        )
        legend = alt.Legend(
            title=None,
            columns=2 if width < 400 else 4,
            labelLimit=150,
        )
        several = len(names) > 1
        return (
            alt.layer(
                alt.Chart(values([{"low": -two_sd, "high": two_sd}]))
                .mark_rect(color=DOUGH, aria=False)
                .encode(y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
                alt.Chart(values([{"off": 0}]))
                .mark_rule(color=INK_SOFT, strokeDash=[6, 4], aria=False)
                .encode(y=y),
                alt.Chart(values(spans))
                .mark_rule(color=LINE_STRONG, aria=False)
                .encode(x=x, y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
                alt.Chart(values(rows))
                .mark_point(filled=True, opacity=1, size=size, aria=False)
                .encode(
                    x=x,
                    y=y,
                    shape=alt.Shape(
                        "person:N",
                        scale=alt.Scale(domain=names, range=SHAPES),
                        legend=legend if several else None,
                    ),
                    color=alt.Color(
                        "person:N",
                        scale=alt.Scale(domain=names, range=COLORS),
                        legend=legend if several else None,
                    ),
                ),
            )
            .properties(width=width, height=HEIGHT_PX)
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    photos = sum(len(numbers) for numbers in repeated.photos)
    return draw(
        "repeats",
        (repeated, *names),
        specification,
        title=_("Each photo against the mean of all photos, strand by strand"),
        description=ngettext(
            "%(photos)d photos of the same %(strands)d strands by %(count)d person.",
            "%(photos)d photos of the same %(strands)d strands by %(count)d people.",
            len(names),
        )
        % {"photos": photos, "strands": len(repeated.places), "count": len(names)}
        + " "
        + _("The shaded band is twice the scatter of one photo, %(two_sd)s mm to either side.")
        % {"two_sd": number(two_sd, 3)},
        table=Table(
            (
                _("strand"),
                *(
                    _("%(name)s, photo %(number)d") % {"name": name, "number": photo}
                    for name, numbers in zip(names, repeated.photos, strict=True)
                    for photo in numbers
                ),
            ),
            tuple(
                Row(
                    (
                        str(place),
                        *(number(width, 3) for of_person in strand for width in of_person),
                    )
                )
                for place, strand in zip(repeated.places, repeated.widths_mm, strict=True)
            ),
        ),
    )
