"""What the demo house judges by: boil tests, second looks, a calibration set; and drills."""

import uuid
from datetime import timedelta
from decimal import Decimal
from itertools import groupby, pairwise

from django.db.models import Count

from assessments.actions.assessors import (
    make_calibration,
    open_calibration,
    put_piece,
    rate_piece,
)
from assessments.actions.boil_tests import record_boil_test
from assessments.actions.drills import keep_drill
from assessments.demo_house.histories import WHEAT
from assessments.demo_house.practice_model import batch_rng
from assessments.models import Batch, Drill, SecondLook, Tried

# Width and thickness of a strand in mm and minutes until it was done: invented.
BOIL_TESTS = (
    ("3.20", "3.00", "12.75"),
    ("3.00", "2.60", "10.50"),
    ("3.60", "3.40", "15.75"),
    ("2.80", "3.00", "12.00"),
    ("3.40", "2.80", "11.75"),
    ("3.20", "3.30", "14.50"),
)
DRILL_SPREADS_MM = (0.24, 0.21, 0.17, 0.15)
SEEN = (
    "The board slid between two folds and was pushed back by hand. The knife lay down flat after "
    "each fold. Flour was swept once, at the end.",
    "Cut in one go without a pause. The blade was wiped before and after. Two strands fell to the "
    "floor and went into the bin at once.",
)
# Evenness, handling, order at the bench, hygiene, safety.
REFERENCE = ((0, 1, 1, 2, 2), (0, 1, 2, 2, 1))
RATED_BY = {"davo": ((0, 1, 1, 2, 2), (1, 1, 2, 2, 1)), "orlen": ((0, 1, 2, 2, 2),)}
CRITERIA = ("evenness", "handling", "bench_order", "hygiene", "knife_safety")
COACHED = ("joric", "wenna", "pio", "kefan", "nialle")
ANSWERS = (Tried.Answer.YES, Tried.Answer.YES, Tried.Answer.PARTLY, Tried.Answer.NO)


def judge(bench, people):
    """Write what head chefs and cooks did beside making batches and looking at them."""
    test_the_pot(bench, by=people["isbel"])
    note_second_looks()
    calibrate_assessors(people)
    drill(bench, people["joric"])
    answer_what_was_tried()


def test_the_pot(bench, *, by):
    """Write the boil tests of thick wheat, a week apart."""
    for i, (width_mm, thickness_mm, done_at_min) in enumerate(BOIL_TESTS):
        record_boil_test(
            request_key=uuid.uuid4(),
            by=by,
            style=bench.styles[WHEAT],
            width_mm=Decimal(width_mm),
            thickness_mm=Decimal(thickness_mm),
            done_at_min=Decimal(done_at_min),
            tested_on=bench.today - timedelta(days=7 * i + 2),
        )


def note_second_looks():
    """Write that the batches which two have observed were proposed for it."""
    seen_by_two = (
        Batch.objects.annotate(observers=Count("observations__observer", distinct=True))
        .filter(observers=2)
        .order_by("pk")
        .prefetch_related("observations")
    )
    looks = []
    for batch in seen_by_two:
        first, second = sorted({row.observer_id for row in batch.observations.all()})
        looks.append(
            SecondLook(batch=batch, first_id=first, second_id=second, proposed_at=batch.opened_at)
        )
    SecondLook.objects.bulk_create(looks)


def calibrate_assessors(people):
    """Write an open calibration set of the batches with photos, rated by some already."""
    made = make_calibration(title="Two ways to hold the knife", by=people["ressa"])
    batches = Batch.objects.finished().filter(photographs__isnull=False).order_by("pk")
    pieces = [
        put_piece(made, batch, seen=seen, **dict(zip(CRITERIA, ratings, strict=True)))
        for batch, seen, ratings in zip(batches, SEEN, REFERENCE, strict=True)
    ]
    open_calibration(made, by=people["ressa"])
    for name, rated in RATED_BY.items():
        for piece, ratings in zip(pieces, rated, strict=False):
            rate_piece(
                piece,
                by=people[name],
                request_key=uuid.uuid4(),
                **dict(zip(CRITERIA, ratings, strict=True)),
            )


def drill(bench, cook):
    """Write four drills of twenty strands, each evener than the one before."""
    standard = bench.standard_on(WHEAT, bench.today)
    for i, spread_mm in enumerate(DRILL_SPREADS_MM):
        rng = batch_rng(cook.username, "drill", i + 1)
        widths = rng.normal(float(standard.width_target_mm), spread_mm, 20)
        keep_drill(
            cook,
            standard,
            Drill.Kind.STRANDS,
            {place: round(float(width), 2) for place, width in enumerate(widths, start=1)},
            client_key=uuid.uuid4(),
            by=cook,
            instrument=bench.instruments["bench caliper"],
            at=bench.moment(12 - 3 * i, 15, 30),
        )


def answer_what_was_tried():
    """Write for some cooks whether they tried what the batch before had asked for first."""
    batches = (
        Batch.objects.finished()
        .filter(cook__username__in=COACHED)
        .order_by("cook", "style", "made_on", "opened_at", "pk")
        .prefetch_related("found")
    )
    said = []
    for _key, made in groupby(batches, key=lambda batch: (batch.cook_id, batch.style_id)):
        for earlier, batch in pairwise(made):
            first = next(iter(earlier.found.all()), None)
            if first is None:
                continue
            said.append(
                Tried(
                    batch=batch,
                    earlier=earlier,
                    part=first.part,
                    kind=first.kind,
                    direction=first.direction,
                    answer=ANSWERS[len(said) % len(ANSWERS)],
                    answered_by_id=batch.cook_id,
                    answered_at=batch.finished_at,
                )
            )
    Tried.objects.bulk_create(said)
