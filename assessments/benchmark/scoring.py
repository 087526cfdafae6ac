"""Time of scoring, over one pass of NumPy over the same numbers."""

import numpy as np

from assessments.actions.score_batch import compute_score
from assessments.benchmark.measures import Measure, median_ms
from assessments.calculations.requirements import signoff_state
from assessments.calculations.scoring import cook_score
from assessments.demo_house.histories import WHEAT
from assessments.models import Batch, Part, ReadingSet, Score
from assessments.models.evidence import evidence_batches
from training.models import HousePolicy

COOK_BATCHES = 300
CALLS_PER_REPEAT = 10


def measure_one_batch(cook, repeats):
    """Return the measure of scoring the cook's newest batch from its stored readings."""
    batch = (
        Batch.objects.finished()
        .select_related("standard")
        .filter(cook=cook, style__slug=WHEAT)
        .newest_first()
        .first()
    )
    readings = {row.quantity: row for row in batch.reading_sets.current()}
    lengths = np.concatenate(
        [
            readings[name].array
            for name in (ReadingSet.Quantity.WIDTH, ReadingSet.Quantity.THICKNESS)
        ]
    )
    policy = HousePolicy.load()
    return measured(
        f"score one batch ({lengths.size} lengths)",
        lambda: compute_score(batch, readings, batch.standard, policy=policy),
        lambda: np.sum(lengths),
        repeats,
    )


def measure_one_cook(cook, repeats):
    """Return the measure of balances and score of a cook with 300 batches.

    Fewer real ones are repeated in order, day after day, until there are as many.
    """
    style = Batch.objects.filter(cook=cook, style__slug=WHEAT).values_list("style", flat=True)[0]
    batches = [batch for _pk, batch in evidence_batches(cook.pk, style)]
    fields = [f"{part}_share" for part in Part.values]
    shares = [
        dict(zip(Part.values, row, strict=True))
        for row in Score.objects.filter(batch__cook=cook, batch__style=style)
        .order_by("batch__made_on", "batch__opened_at", "batch_id")
        .values_list(*fields)
    ]
    times = COOK_BATCHES // min(len(batches), len(shares)) + 1
    batches = sorted(batches * times, key=lambda batch: batch.day)[:COOK_BATCHES]
    shares = (shares * times)[:COOK_BATCHES]
    points = np.array(
        [[batch.points.get(part) or 0.0 for part in Part.values] for batch in batches]
    )

    def judge():
        signoff_state(batches)
        cook_score(shares)

    return measured(
        f"score one cook ({COOK_BATCHES} batches)", judge, lambda: np.sum(points), repeats
    )


def measured(name, work, floor, repeats, calls=CALLS_PER_REPEAT):
    """Return a measure of a function called so many times per timing, over a very short floor."""

    def often(function, times):
        def call():
            for _ in range(times):
                function()

        return call

    ms, floor_ms = median_ms(often(work, calls), often(floor, CALLS_PER_REPEAT), repeats=repeats)
    return Measure(name, ms / calls, floor_ms / CALLS_PER_REPEAT)
