"""How common each fault is: a bar for each, its name above it."""

import altair as alt
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.charts.drawing import (
    DOUGH,
    INDIGO,
    Row,
    Table,
    draw,
    number,
    values,
)
from assessments.summaries.house_faults import FAULTS_SHOWN

ROW_PX = 58
# From the top of a row, in parts of it.
NAME, BAR_FROM, BAR_TO = 0.28, 0.48, 0.86
# Beside the longest bar there is room for its number in words.
WORDS_PX = 132


def faults_chart(faults, measured):
    """Draw the shares of the most common of ``FaultLine``; the table has all of them.

    None where nothing was found.
    """
    if not faults:
        return None
    rows = [
        {
            "title": fault.title,
            "share": 100 * fault.share,
            "words": share_words(fault.share),
            "name": place + NAME,
            "from": place + BAR_FROM,
            "to": place + BAR_TO,
            "middle": place + (BAR_FROM + BAR_TO) / 2,
        }
        for place, fault in enumerate(faults[:FAULTS_SHOWN])
    ]
    longest = max(row["share"] for row in rows)

    def specification(width):
        whole = longest * width / (width - WORDS_PX)
        x = alt.X("share:Q", scale=alt.Scale(domain=[0, whole], nice=False), axis=None)
        down = alt.Scale(domain=[len(rows), 0], nice=False, zero=False)
        every = alt.Chart(values(rows))
        text = {"align": "left", "baseline": "middle", "aria": False}
        return (
            alt.layer(
                every.mark_text(**text, limit=width - 8).encode(
                    x=alt.value(0),
                    y=alt.Y("name:Q", scale=down, axis=None),
                    text=alt.Text("title:N"),
                ),
                # The mark of a bar has an outline, so that it is seen in print without ink, too.
                every.mark_rect(color=DOUGH, stroke=INDIGO, strokeWidth=1.5, aria=False).encode(
                    x=x, x2=alt.datum(0), y=alt.Y("from:Q", scale=down), y2=alt.Y2("to:Q")
                ),
                every.mark_text(**text, dx=8, fontWeight="bold").encode(
                    x=x, y=alt.Y("middle:Q", scale=down), text=alt.Text("words:N")
                ),
            )
            .properties(width=width - 8, height=ROW_PX * len(rows))
            .configure(autosize=alt.AutoSizeParams(type="fit-x", contains="padding"))
        )

    return draw(
        "house-faults",
        tuple(faults),
        specification,
        title=_("In how many batches each fault shows"),
        description=ngettext(
            "Of %(count)d batch measured. A batch can have several faults.",
            "Of %(count)d batches measured. A batch can have several faults.",
            measured,
        )
        % {"count": measured}
        + " "
        + rarer_words(len(faults) - len(rows))
        + _("The most common is “%(title)s”: %(share)s.")
        % {"title": faults[0].title, "share": share_words(faults[0].share)},
        table=Table(
            (_("fault"), _("batches"), _("of 100 batches"), _("mended in")),
            tuple(
                Row(
                    (
                        fault.title,
                        str(fault.batches),
                        number(100 * fault.share, 0),
                        fault.step_title or fault.module_title or "–",
                    ),
                    fault.step_url,
                )
                for fault in faults
            ),
        ),
    )


def rarer_words(count):
    """Say how many faults are in the table only."""
    if count <= 0:
        return ""
    words = ngettext(
        "%(count)d rarer fault stands in the values only.",
        "%(count)d rarer faults stand in the values only.",
        count,
    )
    return words % {"count": count} + " "


def share_words(share):
    """Return a share as so many of 100."""
    return _("%(share)s of 100") % {"share": number(100 * share, 0)}
