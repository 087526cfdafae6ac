"""The strands of a batch along the time in the pot, and the house's boil tests."""

import altair as alt
from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from assessments.calculations.pot import DONE, OVER, UNDER
from assessments.charts.drawing import (
    INDIGO,
    INK,
    INK_SOFT,
    LINE_STRONG,
    Chart,
    Row,
    Table,
    draw,
    number,
    values,
)
from assessments.summaries.pot import PotResult, clock

STRAND_PX = 11
LEAST_PX, MOST_PX = 110, 420
# Above the strands, for the times at the two lines, and beside the outer one of them.
TIMES_PX = 24
TIME_SHARE = 0.2
MANY_STRANDS = 40
TESTS_PX = 220


def pot_chart(pot: PotResult | None) -> Chart | None:
    """Draw a ``PotResult``: each strand from just done to too soft, the first done on top."""
    if pot is None:
        return None
    words = {DONE: _("just right"), UNDER: _("hard core"), OVER: _("too soft")}
    shapes = {DONE: "circle", UNDER: "triangle-right", OVER: "triangle-left"}
    strands = pot.boil.strands
    rows = [
        {
            "row": row,
            "from": strand.from_min,
            "done": strand.done_min,
            "until": strand.until_min,
            "word": words[strand.state],
        }
        for row, strand in enumerate(strands, start=1)
    ]
    states = [state for state in words if any(strand.state == state for strand in strands)]
    height = min(max(STRAND_PX * len(rows), LEAST_PX), MOST_PX)
    # The line of the house and, unless it is the same, that of the batch.
    times = [pot.boil.at_min] if pot.is_best_already else [pot.boil.at_min, pot.best_min]
    domain = _domain(strands, times)

    def specification(width):
        x = alt.X(
            "done:Q",
            scale=alt.Scale(domain=domain, nice=False, zero=False),
            axis=alt.Axis(
                title=_("minutes in the pot"), tickCount=width // 60, tickMinStep=0.5, format="~g"
            ),
        )
        y = alt.Y(
            "row:Q",
            scale=alt.Scale(
                domain=[0.5 - TIMES_PX * len(rows) / height, len(rows) + 0.5],
                nice=False,
                zero=False,
                reverse=True,
            ),
            axis=None,
        )
        strand = alt.Chart(values(rows)).encode(y=y)
        return (
            alt.layer(
                strand.mark_rule(
                    color=LINE_STRONG,
                    strokeWidth=3 if len(rows) <= MANY_STRANDS else 1,
                    aria=False,
                ).encode(x=alt.X("from:Q"), x2=alt.X2("until:Q")),
                *_lines(times, x, height + TIMES_PX),
                strand.mark_point(
                    filled=True,
                    opacity=1,
                    size=70 if len(rows) <= MANY_STRANDS else 24,
                    aria=False,
                ).encode(
                    x=x,
                    shape=alt.Shape(
                        "word:N",
                        scale=alt.Scale(
                            domain=[words[state] for state in states],
                            range=[shapes[state] for state in states],
                        ),
                        legend=_legend(_("at the house time")),
                    ),
                    color=alt.condition(
                        alt.FieldEqualPredicate(field="word", equal=words[DONE]),
                        alt.value(INDIGO),
                        alt.value(INK),
                    ),
                ),
            )
            .properties(width=width, height=height + TIMES_PX)
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    return draw(
        "pot",
        pot,
        specification,
        title=_("When each strand is done"),
        description=_pot_description(pot),
        table=Table(
            (
                _("strand"),
                _("width × thickness, mm"),
                pgettext("of a strand, minutes in the pot", "done at"),
                _("good"),
                _("at house time"),
            ),
            tuple(
                Row(
                    (
                        str(place),
                        _section(strand),
                        clock(strand.done_min),
                        _("%(from)s to %(until)s")
                        % {"from": clock(strand.from_min), "until": clock(strand.until_min)},
                        words[strand.state],
                    )
                )
                for place, strand in zip(pot.places, strands, strict=True)
            ),
        ),
    )


def _domain(strands, times):
    """Return from when to when is shown; the times at the lines have room beside them."""
    first = min(strand.from_min for strand in strands)
    last = max(strand.until_min for strand in strands)
    margin = 0.04 * (max(last, *times) - min(first, *times))
    return [
        min(first - margin, min(times) - TIME_SHARE * (max(last, *times) - min(times))),
        max(last + margin, max(times) + TIME_SHARE * (max(times) - min(first, *times))),
    ]


def _lines(times, x, bottom_px):
    """Return the upright lines, the first solid and the second dashed, each with its time."""
    # Side by side, they write away from each other.
    aligns = ["center"] if len(times) == 1 else ["right", "left"]
    if times != sorted(times):
        aligns.reverse()
    for time, align, dash in zip(times, aligns, ([1, 0], [6, 4]), strict=False):
        at = alt.Chart(values([{"done": time}])).encode(x=x)
        yield at.mark_rule(color=INK, strokeWidth=2, strokeDash=dash, aria=False).encode(
            y=alt.value(TIMES_PX - 4), y2=alt.value(bottom_px)
        )
        yield at.mark_text(
            text=clock(time),
            align=align,
            dx={"right": -4, "left": 4, "center": 0}[align],
            aria=False,
        ).encode(y=alt.value(TIMES_PX / 3))


def _legend(title):
    return alt.Legend(
        title=title,
        columns=3,
    )


def _section(strand):
    return f"{number(strand.width_mm, 2)} × {number(strand.thickness_mm, 2)}"


def _pot_description(pot):
    said = [
        _(
            "Each line is a strand, from just done to nearly too soft; the mark is where it is "
            "done. The solid upright line is the house time, %(time)s min."
        )
        % {"time": clock(pot.boil.at_min)}
    ]
    if not pot.is_best_already:
        said.append(
            _("The dashed one is the best time for this batch, %(time)s min.")
            % {"time": clock(pot.best_min)}
        )
    return " ".join(said)


def boil_tests_chart(lines) -> Chart | None:
    """Draw the ``BoilTestLine`` that are used: the minute found over the one that the model has."""
    used = [line for line in lines if line.is_used]
    if not used:
        return None
    rows = [{"expected": line.expected_min, "found": float(line.test.done_at_min)} for line in used]
    shown = [value for row in rows for value in row.values()]
    margin = 0.06 * max(shown)
    domain = [max(0.0, min(shown) - margin), max(shown) + margin]
    scale = alt.Scale(domain=domain, nice=False, zero=False)

    def specification(width):
        x = alt.X(
            "expected:Q",
            scale=scale,
            axis=alt.Axis(title=_("minutes by the model"), tickCount=4, format="~g"),
        )
        y = alt.Y(
            "found:Q",
            scale=scale,
            axis=alt.Axis(
                title=_("found, min"),
                titleAngle=0,
                titleAlign="left",
                titleX=-30,
                titleY=-8,
                tickCount=4,
                format="~g",
                grid=False,
            ),
        )
        return (
            alt.layer(
                alt.Chart(values({"expected": at, "found": at} for at in domain))
                .mark_line(color=INK_SOFT, strokeDash=[6, 4], aria=False)
                .encode(x=x, y=y),
                alt.Chart(values(rows))
                .mark_point(filled=True, opacity=1, size=90, color=INDIGO, aria=False)
                .encode(x=x, y=y),
            )
            .properties(width=width, height=TESTS_PX)
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    return draw(
        "boil-tests",
        tuple((line.test.pk, line.expected_min, str(line.test.done_at_min)) for line in used),
        specification,
        title=_("Each boil test against the model"),
        description=_(
            "On the dashed line the test found what the model has. Above it the strand took longer "
            "than the model says, below it less long."
        ),
        table=Table(
            (
                _("day"),
                _("width × thickness, mm"),
                pgettext("minutes that a boil test took", "found"),
                _("model"),
                _("difference"),
            ),
            tuple(
                Row(
                    (
                        formats.date_format(line.test.tested_on, "SHORT_DATE_FORMAT"),
                        _section(line.test),
                        clock(line.test.done_at_min),
                        clock(line.expected_min),
                        line.difference,
                    )
                )
                for line in used
            ),
        ),
    )
