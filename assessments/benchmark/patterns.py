"""Time of finding patterns, over one pass of NumPy over the same readings."""

from dataclasses import replace

import numpy as np
from django.db.models import Count, Prefetch

from assessments.actions.find_patterns import patterns_of
from assessments.benchmark.scoring import measured
from assessments.calculations.patterns.history import habits, recurrences
from assessments.demo_house.histories import WHEAT
from assessments.models import Batch, ReadingSet
from assessments.summaries.patterns import last_said

HARDEST = 15
COOK_BATCHES = 100
# A batch is looked at in milliseconds, not in their thousandths: one call tells enough.
CALLS_PER_REPEAT = 1


def measure_findings(cook, repeats):
    """Return the measures of finding the patterns of one batch: a usual one, and the slowest.

    They are the cook's newest, and that of the ``HARDEST`` batches of the house, those with the
    most patterns, which takes longest: every pattern found is another round of testing.
    """
    usual = _measured(_batches().filter(cook=cook, style__slug=WHEAT).newest_first()[0], repeats)
    most_found = (
        _batches().annotate(patterns_found=Count("found")).order_by("-patterns_found", "pk")
    )
    slowest = max((_measured(batch, repeats) for batch in most_found[:HARDEST]), key=_ms)
    return [usual, replace(slowest, name=f"find patterns (slowest of {HARDEST} hard ones)")]


def measure_all_findings(cook, repeats):
    """Return the measure of reading back and comparing what a cook's batches said."""
    batches = _batches().filter(cook=cook, style__slug=WHEAT).newest_first()[:COOK_BATCHES]
    lengths_mm = np.concatenate([_lengths_mm(batch) for batch in batches])
    style = batches[0].style_id

    def compare():
        said = last_said(cook.pk, style, limit=COOK_BATCHES)
        habits([one.effects for one in said])
        recurrences([one.findings for one in said])

    return measured(
        f"patterns of one cook (up to {COOK_BATCHES} batches)",
        compare,
        lambda: np.sum(lengths_mm),
        repeats,
        CALLS_PER_REPEAT,
    )


def _measured(batch, repeats):
    """Return the measure of finding the patterns of one batch, its readings loaded."""
    readings = {row.quantity: row for row in batch.current_sets}
    lengths_mm = _lengths_mm(batch)
    return measured(
        f"find patterns ({lengths_mm.size} lengths)",
        lambda: patterns_of(batch, readings),
        lambda: np.sum(lengths_mm),
        repeats,
        CALLS_PER_REPEAT,
    )


def _batches():
    """Return batches in which patterns were looked for, with their readings."""
    current = Prefetch("reading_sets", ReadingSet.objects.current(), to_attr="current_sets")
    return (
        Batch.objects.finished()
        .filter(patterns__isnull=False)
        .select_related("standard")
        .prefetch_related(current)
    )


def _lengths_mm(batch):
    """Return all widths and thicknesses of a batch."""
    wanted = (ReadingSet.Quantity.WIDTH, ReadingSet.Quantity.THICKNESS)
    return np.concatenate([row.array for row in batch.current_sets if row.quantity in wanted])


def _ms(measure):
    return measure.ms
