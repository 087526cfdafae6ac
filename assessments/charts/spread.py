"""All readings of a part by size, with their mean and spread, against the tolerance."""

from collections import Counter

import altair as alt
import numpy as np
from django.utils.translation import gettext as _

from assessments.calculations.patterns.level import EVEN_Z
from assessments.charts.drawing import (
    DOUGH,
    INDIGO,
    INK,
    INK_SOFT,
    decimals_of,
    draw,
    number,
    step_mm,
    values,
)

HEIGHT_PX = 170
# For the bar under the dots, and for the mean over them.
FOOT_PX = 44
HEAD_PX = 26
MOST_BINS = 24
DOT_PX = 13


def spread_chart(finding, limits, shown, table):
    """Draw the readings ``shown`` by size, against the limits of their ``Strands`` or ``Sheet``."""
    mean, sd = float(np.mean(shown)), float(np.std(shown, ddof=1))
    if finding.kind == "uneven":
        bar = (mean - EVEN_Z * sd, mean + EVEN_Z * sd)
        bar_text = _("95 of 100")
    else:
        bar = (min(mean, limits.target_mm), max(mean, limits.target_mm))
        bar_text = _("%(size)s mm off") % {"size": number(bar[1] - bar[0], 2)}
    lowest, highest = min(limits.low_mm, bar[0], *shown), max(limits.high_mm, bar[1], *shown)
    room = 0.05 * (highest - lowest)
    lowest, highest = lowest - room, highest + room
    step = step_mm(highest - lowest, MOST_BINS)
    counts, dots = Counter(), []
    for value in sorted(shown):
        place = round(value / step)
        dots.append({"value": place * step, "row": counts[place]})
        counts[place] += 1
    ticks = [limits.low_mm, limits.target_mm, limits.high_mm]
    free = HEIGHT_PX - FOOT_PX - HEAD_PX

    def specification(width):
        dot = min(DOT_PX, free / max(counts.values()), width * step / (highest - lowest) - 1)
        x = alt.X(
            "value:Q",
            scale=alt.Scale(domain=[lowest, highest], nice=False, zero=False),
            axis=alt.Axis(title=_("mm"), values=ticks, format=f".{decimals_of(ticks)}f"),
        )
        y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[0, HEIGHT_PX], nice=False))
        placed = [{"value": one["value"], "y": FOOT_PX + dot * (one["row"] + 0.5)} for one in dots]
        foot = FOOT_PX - 10
        ends = [{"value": end, "y": foot - 6, "to": foot + 6} for end in bar]
        return (
            alt.layer(
                alt.Chart(values([{"low": limits.low_mm, "high": limits.high_mm}]))
                .mark_rect(color=DOUGH, aria=False)
                .encode(x=alt.X("low:Q"), x2=alt.X2("high:Q")),
                alt.Chart(values([{"value": limits.target_mm}]))
                .mark_rule(color=INK_SOFT, strokeDash=[6, 4], aria=False)
                .encode(x=x),
                alt.Chart(values(placed))
                .mark_point(
                    shape="circle",
                    filled=True,
                    opacity=1,
                    size=0.78 * (dot - 1) ** 2,
                    color=INDIGO,
                    aria=False,
                )
                .encode(x=x, y=y),
                alt.Chart(values([{"value": mean, "y": foot, "to": HEIGHT_PX - HEAD_PX}]))
                .mark_rule(color=INK, strokeWidth=2.5, aria=False)
                .encode(x=x, y=y, y2=alt.Y2("to:Q")),
                alt.Chart(values([{"value": bar[0], "to": bar[1], "y": foot}]))
                .mark_rule(color=INK, strokeWidth=2.5, aria=False)
                .encode(x=x, x2=alt.X2("to:Q"), y=y),
                alt.Chart(values(ends))
                .mark_rule(color=INK, strokeWidth=2.5, aria=False)
                .encode(x=x, y=y, y2=alt.Y2("to:Q")),
                *(
                    alt.Chart(values([{"value": at, "y": height}]))
                    .mark_text(
                        text=text,
                        align=_align_in(at, lowest, highest),
                        fontWeight="bold",
                        aria=False,
                    )
                    .encode(x=x, y=y)
                    for at, height, text in (
                        (
                            mean,
                            HEIGHT_PX - HEAD_PX / 2,
                            _("mean %(mean)s") % {"mean": number(mean, 2)},
                        ),
                        (sum(bar) / 2, 14, bar_text),
                    )
                ),
            )
            .properties(width=width, height=HEIGHT_PX)
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    if finding.kind == "uneven":
        said = _(
            "The bar under the dots spans 95 of 100 readings; that of an even hand is no longer "
            "than the band."
        )
    else:
        said = _("The upright line is the mean, the dashed line the target.")
    return draw(
        f"spread-{finding.part}-{finding.kind}",
        (limits, finding),
        specification,
        title=_("All readings against the tolerance"),
        description=_("Each dot is a reading; the shaded band is the house tolerance.")
        + " "
        + said
        + " "
        + _("Mean %(mean)s mm, spread %(sd)s mm.") % {"mean": number(mean, 2), "sd": number(sd, 2)},
        table=table,
    )


def _align_in(at, lowest, highest):
    part = (at - lowest) / (highest - lowest)
    return "left" if part < 0.2 else "right" if part > 0.8 else "center"
