"""Time of drawing a chart that is not kept yet, over drawing two empty pictures."""

import vl_convert
from django.core.cache import cache

from assessments.benchmark.measures import Measure, median_ms
from assessments.charts.strands import strands_chart
from assessments.demo_house.histories import WHEAT
from assessments.models import Batch, ReadingSet
from assessments.summaries.batch import strands_of

EMPTY = {"data": {"values": []}, "mark": "point"}


def measure_drawing(cook, repeats):
    """Return the measure of the strands of the cook's newest batch, drawn for phone and laptop.

    The cache is emptied: call it under ``site_without_files``, which has one of its own.
    """
    batch = Batch.objects.finished().filter(cook=cook, style__slug=WHEAT).newest_first().first()
    widths = batch.reading_sets.current().get(quantity=ReadingSet.Quantity.WIDTH)
    strands = strands_of(batch, widths)

    def draw():
        cache.clear()
        strands_chart(strands)

    def draw_nothing():
        for _width in ("narrow", "wide"):
            vl_convert.vegalite_to_svg(EMPTY)

    return Measure("draw a chart", *median_ms(draw, draw_nothing, repeats=repeats))
