"""Patterns of a batch: looked for in its current readings and kept with it."""

from datetime import timedelta
from decimal import Decimal

import numpy as np
import pytest
from django.core.management import call_command
from django.utils import timezone

from assessments.actions import rescore
from assessments.actions.find_patterns import WATER_SIGMA_PP, patterns_of
from assessments.actions.import_readings import import_readings
from assessments.actions.log_batch import finish_batch, record_readings
from assessments.actions.publish_standard import weigh_change
from assessments.calculations.import_rows import COLUMNS
from assessments.calculations.instruments import choose_strands
from assessments.calculations.patterns.findings import PATTERNS_VERSION
from assessments.calculations.scoring import hydration_share
from assessments.models import BatchPatterns, FoundPattern, Stage
from tests import factories

PLACES = choose_strands(60, 20, 1)
ACROSS = np.array([-0.5, 0.0, 0.5] * 3)


def widths_mm(*, drift_mm=0.0, mean_mm=3.2, seed=7):
    """Return widths of an even hand, wider by ``drift_mm`` at the last cut than at the first."""
    places = np.array(PLACES)
    along = (places - places[0]) / (places[-1] - places[0]) - 0.5
    chance = np.random.default_rng(seed).normal(0, 0.12, places.size)
    return np.round(mean_mm + drift_mm * along + chance, 2).tolist()


def grid_mm(*, right_mm=0.0, seed=7):
    """Return a sheet that is thicker by ``right_mm`` at the right edge than at the left."""
    chance = np.random.default_rng(seed).normal(0, 0.04, 9)
    return np.round(3.0 + right_mm * ACROSS + chance, 2).tolist()


@pytest.fixture
def made(house):
    return {"cook": house.cook, "branch": house.branch, "standard": house.standard}


def finished(made, widths=None, grid=None, **fields):
    """Return a finished batch with its widths at the places that its seed chooses."""
    batch = factories.BatchFactory(**made, **fields)
    if widths:
        record_readings(batch, "width", widths, positions=PLACES, by=batch.cook)
    if grid:
        record_readings(batch, "thickness", grid, by=batch.cook)
    return finish_batch(batch, by=batch.cook)


def named(batch):
    return [(row.part, row.kind, row.direction) for row in FoundPattern.objects.filter(batch=batch)]


def test_a_drift_is_found_and_kept_with_its_size(made):
    batch = finished(made, widths_mm(drift_mm=0.7), grid_mm())
    row = FoundPattern.objects.get(batch=batch)
    assert (row.place, row.part, row.kind, row.direction) == (0, "width", "drift", "wider")
    assert row.size == pytest.approx(0.7, abs=0.2)
    assert (row.unit, row.places) == ("mm", [PLACES[0], PLACES[-1]])
    assert row.p <= 0.05
    assert (row.branch, row.style, row.made_on) == (batch.branch, batch.style, batch.made_on)


def test_an_even_batch_of_the_same_chance_keeps_its_effects_and_no_finding(made):
    batch = finished(made, widths_mm(), grid_mm())
    assert named(batch) == []
    kept = batch.patterns
    assert kept.version == PATTERNS_VERSION
    assert {("width", "drift"), ("thickness", "bowl")} <= {
        (effect["part"], effect["kind"]) for effect in kept.effects
    }
    # This error has no end of degrees of freedom, and JSON knows no infinity.
    assert {effect["df"] for effect in kept.effects if effect["kind"] == "uneven"} == {None}


def test_the_grid_is_read_as_the_standard_lays_it(made):
    batch = finished(made, grid=grid_mm(right_mm=0.6))
    assert named(batch) == [("thickness", "tilt", "right")]
    assert batch.patterns.sheet_kinds


def test_several_findings_stay_in_the_order_in_which_they_are_said(made):
    batch = finished(made, widths_mm(drift_mm=0.7, mean_mm=3.6), grid_mm())
    rows = list(FoundPattern.objects.filter(batch=batch))
    assert [row.place for row in rows] == list(range(len(rows)))
    assert {row.kind for row in rows} == {"drift", "off_target"}
    costs = [row.score_points for row in rows]
    assert costs == sorted(costs, reverse=True)


def test_an_instrument_too_coarse_for_the_tolerance_says_nothing(made):
    batch = factories.BatchFactory(**made)
    coarse = factories.InstrumentFactory(repeatability_mm=Decimal("0.20"))
    record_readings(
        batch,
        "width",
        widths_mm(drift_mm=0.9),
        positions=PLACES,
        by=batch.cook,
        instrument=coarse,
    )
    finish_batch(batch, by=batch.cook)
    assert named(batch) == []
    kept = BatchPatterns.objects.get(batch=batch)
    assert kept.effects == []
    assert kept.untested == [{"part": "width", "kind": "all", "reason": "too_coarse"}]


@pytest.mark.parametrize(
    ("salt_g", "water_g", "found"),
    [
        (50, 460, []),
        (54, 460, []),
        (44, 460, [("salt", "off_recipe", "below")]),
        (50, 478, [("hydration", "off_recipe", "above")]),
    ],
)
def test_water_and_salt_are_held_against_what_was_wanted(made, salt_g, water_g, found):
    batch = factories.BatchFactory(**made)
    for quantity, value in (("flour", 1000), ("water", water_g), ("salt", salt_g)):
        record_readings(batch, quantity, [value], by=batch.cook)
    record_readings(batch, "thickness", grid_mm(), by=batch.cook)
    finish_batch(batch, by=batch.cook)
    assert named(batch) == found


def test_water_is_as_sure_as_the_score_takes_it():
    assert hydration_share(46.7, 46, 1, 1, WATER_SIGMA_PP) == hydration_share(46.7, 46, 1, 1)


@pytest.mark.parametrize(
    ("rested_min", "found"),
    [
        ((30, 30), []),
        ((28, 30), []),
        ((12, 30), [("rest", "off_recipe", "below")]),
        # A rest that was long does not make up for a short one, and is no fault.
        ((12, 90), [("rest", "off_recipe", "below")]),
        ((30, 90), []),
        # Without its timer nobody knows when a rest began.
        ((None, 30), []),
        ((None, None), []),
    ],
)
def test_a_rest_is_too_short_only_where_its_timer_says_so(made, rested_min, found):
    batch = factories.BatchFactory(**made)
    batch.stages.filter(kind=Stage.Kind.REST).delete()
    now = timezone.now()
    for number, minutes in enumerate(rested_min, start=1):
        Stage.objects.create(
            batch=batch,
            kind=Stage.Kind.REST,
            round=number,
            position=20 + number,
            planned_min=30,
            timer_started_at=None if minutes is None else now - timedelta(minutes=minutes),
            done_at=now,
        )
    record_readings(batch, "thickness", grid_mm(), by=batch.cook)
    finish_batch(batch, by=batch.cook)
    assert named(batch) == found


def test_photos_tell_that_strands_are_wedges(made):
    batch = factories.BatchFactory(**made)
    reading = factories.photo_reading(widths_mm())
    tapers = np.random.default_rng(3).normal(0.25, 0.05, 20)
    strands = [
        {**strand, "taper_mm": round(float(taper), 3)}
        for strand, taper in zip(reading.as_dict()["strands"], tapers, strict=True)
    ]
    photograph = factories.photographed(batch, widths_mm())
    type(photograph).objects.filter(pk=photograph.pk).update(
        result={**photograph.result, "strands": strands}
    )
    finish_batch(batch, by=batch.cook)
    row = FoundPattern.objects.get(batch=batch)
    assert (row.part, row.kind, row.direction) == ("taper", "wedge", "last")
    assert row.size == pytest.approx(0.25, abs=0.05)


def test_typed_widths_leave_the_photos_behind(made):
    batch = factories.BatchFactory(**made)
    factories.photographed(batch, widths_mm())
    record_readings(batch, "width", widths_mm(seed=8), positions=PLACES, by=batch.cook)
    finish_batch(batch, by=batch.cook)
    assert "taper" not in {reason["part"] for reason in batch.patterns.untested}


def test_a_correction_looks_again(made):
    batch = finished(made, widths_mm(drift_mm=0.7), grid_mm())
    record_readings(batch, "width", widths_mm(), positions=PLACES, by=batch.cook)
    assert named(batch) == []
    assert BatchPatterns.objects.filter(batch=batch).count() == 1


def test_readings_beyond_the_grid_do_not_stop_a_batch(made):
    batch = factories.BatchFactory(**made)
    record_readings(batch, "thickness", [*grid_mm(), 3.0, 3.1], by=batch.cook)
    assert finish_batch(batch, by=batch.cook).patterns.effects


def test_a_file_of_readings_brings_its_patterns(house):
    rows = [
        f"b1,2026-03-01,thick wheat,strand width,{place},{width},mm,"
        for place, width in zip(PLACES, widths_mm(drift_mm=0.7), strict=True)
    ]
    data = "\n".join([",".join(COLUMNS), *rows]).encode()
    import_readings(
        data,
        file_name="b.csv",
        cook=house.cook,
        branch=house.branch,
        by=house.cook,
        today=timezone.localdate().replace(year=2026, month=5, day=1),
    )
    row = FoundPattern.objects.get(batch__reference="b1")
    assert (row.kind, row.direction, row.branch) == ("drift", "wider", house.branch)


def test_rescore_looks_where_nobody_has_looked(made, capsys):
    without, old = (finished(made, widths_mm(drift_mm=0.7)) for _n in range(2))
    finished(made, widths_mm())
    BatchPatterns.objects.filter(batch=without).delete()
    FoundPattern.objects.filter(batch=without).delete()
    BatchPatterns.objects.filter(batch=old).update(version="0", effects=[])
    call_command("rescore")
    told = "2 batches scored again, 0 of them came out differently. Patterns looked for anew in 2."
    assert told in capsys.readouterr().out
    assert named(without) == named(old) == [("width", "drift", "wider")]
    assert set(BatchPatterns.objects.values_list("version", flat=True)) == {PATTERNS_VERSION}
    call_command("rescore")
    assert "0 batches scored again" in capsys.readouterr().out


def test_another_formula_alone_looks_for_no_pattern(made):
    batch = finished(made, widths_mm(drift_mm=0.7))
    type(batch.score).objects.update(formula_version="0")
    result = rescore.rescore_cook(batch.cook_id)
    assert (result.looked_at, result.searched) == (1, 0)


def test_queries_do_not_grow_with_the_batches(made, django_assert_max_num_queries):
    for _n in range(4):
        finished(made, widths_mm(drift_mm=0.7))
    old = BatchPatterns.objects.all()
    old.filter(batch__in=list(old.values_list("batch", flat=True)[:1])).update(version="0")
    with django_assert_max_num_queries(40) as one:
        assert rescore.rescore_cook(made["cook"].pk).searched == 1
    old.update(version="0")
    with django_assert_max_num_queries(len(one.captured_queries)):
        assert rescore.rescore_cook(made["cook"].pk).searched == 4


def test_a_draft_of_a_standard_is_weighed_without_looking_for_patterns(made, monkeypatch):
    finished(made, widths_mm(drift_mm=0.7))
    draft = factories.StandardFactory(style=made["standard"].style, recipe=False)
    monkeypatch.setattr("assessments.actions.find_patterns.find_patterns", None)
    assert weigh_change(draft).batches == 1


def test_a_batch_of_another_standard_is_held_against_its_own(made):
    """The same widths are on target under one version and too wide under another."""
    narrow = factories.StandardFactory(width_target_mm=Decimal("2.70"))
    batch = factories.BatchFactory(cook=made["cook"], branch=made["branch"], standard=narrow)
    record_readings(batch, "width", widths_mm(), positions=PLACES, by=batch.cook)
    readings = {row.quantity: row for row in batch.reading_sets.current()}
    assert [f.kind for f in patterns_of(batch, readings).findings] == ["off_target"]
