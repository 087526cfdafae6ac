"""A picture of each pattern found in a batch, over the readings in which it was found."""

from django.utils.translation import gettext as _

from assessments.calculations.patterns.findings import RECIPE_PARTS
from assessments.charts.cut_patterns import ordered_chart, taper_chart
from assessments.charts.drawing import Row, Table, draw, number
from assessments.charts.hydration import against_band
from assessments.charts.sheet import sheet_table
from assessments.charts.sheet_map import map_chart
from assessments.charts.spread import spread_chart
from assessments.charts.strands import strands_table


def finding_chart(finding, strands, sheet, sheet_kinds, *, ends_mm=()):
    """Draw what a ``Finding`` says of a batch; None where its readings are not at hand.

    Parameters
    ----------
    finding : Finding
    strands, sheet : Strands, Sheet or None
    sheet_kinds : collection of str
        Patterns found in the sheet, as the batch keeps them.
    ends_mm : sequence of (float, float) or None, optional
        Width at the first and at the last end of each strand, in the order of ``strands.places``.
        Without them wedges are drawn as one strand, the mean of all.
    """
    if finding.part in RECIPE_PARTS:
        return _recipe_chart(finding)
    if finding.part == "thickness":
        if sheet is None:
            return None
        if finding.kind in ("off_target", "uneven"):
            shown = tuple(value for value in sheet.thicknesses_mm if value is not None)
            return spread_chart(finding, sheet, shown, sheet_table(sheet))
        return map_chart(finding, sheet, tuple(sheet_kinds))
    if strands is None:
        return None
    if finding.kind in ("off_target", "uneven"):
        return spread_chart(finding, strands, strands.widths_mm, strands_table(strands))
    if finding.part == "taper":
        return taper_chart(finding, strands, tuple(ends_mm))
    return ordered_chart(finding, strands)


def _recipe_chart(finding):
    """Draw how far a part of the recipe is from what was asked for, and how far it may be."""
    allowed = finding.size / finding.of_tolerance
    above = finding.direction == "above"
    unit = _("minutes") if finding.unit == "min" else _("g for each 100 g of flour and starch")
    off, limit = (finding.size, allowed) if above else (-finding.size, -allowed)
    titles = {
        "hydration": _("Water against the recipe"),
        "salt": _("Salt against the recipe"),
        "rest": _("Rest against the recipe"),
    }
    decimals = 0 if finding.unit == "min" else 1
    signed = ("+" if above else "−") + number(finding.size, decimals)
    return draw(
        "recipe",
        (finding,),
        against_band(off, (min(0, limit), 0, max(0, limit)), text=signed, axis=unit),
        title=titles[finding.part],
        description=_(
            "The dashed line is what was asked for; the shaded band is how far it may be off, "
            "%(allowed)s. This batch is off by %(off)s (%(unit)s)."
        )
        % {"allowed": number(allowed, 1), "off": signed, "unit": unit},
        table=Table(
            (_("off by"), _("allowed"), _("unit")),
            (Row((signed, number(allowed, 1), unit)),),
        ),
    )
