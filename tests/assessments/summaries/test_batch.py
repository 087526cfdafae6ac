from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from assessments.actions.log_batch import abandon_batch, finish_batch, record_readings
from assessments.models import Batch, ReadingSet
from assessments.summaries.batch import batch_result, result_batches
from tests import factories
from training.models import HousePolicy, StandardVersion

pytestmark = pytest.mark.django_db
Quantity = ReadingSet.Quantity


def result_of(batch, *, may_correct=False):
    return batch_result(result_batches(batch.cook).get(pk=batch.pk), may_correct=may_correct)


def measured(house, *, widths_mm=None, grid_mm=None, instrument=None, positions=None, **fields):
    """Return a finished batch whose lengths were read with ``instrument``."""
    batch = factories.BatchFactory(
        cook=house.cook, branch=house.branch, standard=house.standard, **fields
    )
    if grid_mm:
        record_readings(batch, Quantity.THICKNESS, grid_mm, by=house.cook, instrument=instrument)
    if widths_mm:
        record_readings(
            batch,
            Quantity.WIDTH,
            widths_mm,
            by=house.cook,
            instrument=instrument,
            positions=positions,
        )
    return finish_batch(batch, by=house.cook)


def notes_of(result, part):
    return " ".join(next(shown.notes for shown in result.parts if shown.part == part))


def good(house, **fields):
    return factories.finished_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, **fields
    )


@pytest.mark.parametrize(
    ("fields", "meaning", "weakest"),
    [
        ({"widths_mm": [2.6, 3.8] * 5 + [3.2] * 10}, "Of 100 strands cut this way", "width"),
        ({"grid_mm": [2.5, 3.5, 3.0] * 3}, "Of 100 points of a sheet rolled this way", "thickness"),
        ({"water_g": 470}, "The chance that the water in this dough", "water"),
    ],
)
def test_the_meaning_speaks_of_the_weakest_part(house, fields, meaning, weakest):
    batch = good(house, **fields)
    result = result_of(batch)
    assert result.meaning.startswith(meaning)
    assert f" {round(batch.score.score)} " in result.meaning
    assert result.weakest == weakest


def test_counts_and_shares_are_told_apart(house):
    result = result_of(good(house, widths_mm=[2.6, 3.2, 3.3, 3.1, 3.2, 3.0, 3.4, 3.2, 3.1, 3.3]))
    width = result.parts[0]
    assert (width.n_in, width.n) == (9, 10)
    assert width.low < width.share < width.high


def test_at_least_about_is_said_when_all_three_parts_are_there(house):
    assert result_of(good(house)).at_least
    assert not result_of(good(house, grid_mm=None)).at_least


def test_too_few_readings_give_no_score_and_say_why(house):
    result = result_of(measured(house, widths_mm=[3.1, 3.2, 3.3]))
    assert result.score is None
    assert result.no_score_notes == (
        ("width", "3 readings are too few to tell a share: it takes five at least."),
        ("thickness", "Not measured."),
    )


def test_six_readings_have_a_share_but_cannot_earn(house):
    result = result_of(measured(house, widths_mm=[3.1, 3.2, 3.3, 3.1, 3.2, 3.3]))
    assert result.score is not None
    assert "too few to earn points" in notes_of(result, "width")


@pytest.mark.parametrize(
    ("repeatability_mm", "said"),
    [
        (None, "Nobody has measured how well the instrument repeats"),
        ("0.0700", None),
        # 0.10 of ± 0.5 mm is a ratio of 0.20; (0.20 / 0.15)² = 1.8, so two readings.
        ("0.1000", "coarse for this tolerance. The mean of 2 readings"),
        ("0.1600", "too coarse for this tolerance"),
    ],
)
def test_what_is_said_of_the_instrument(house, repeatability_mm, said):
    instrument = factories.InstrumentFactory(
        repeatability_mm=repeatability_mm and Decimal(repeatability_mm)
    )
    widths_mm = [2.75, 3.65] * 10
    result = result_of(measured(house, widths_mm=widths_mm, instrument=instrument))
    notes = notes_of(result, "width")
    assert notes == "" if said is None else said in notes


def test_readings_without_an_instrument_say_so(house):
    assert "No instrument was named" in notes_of(result_of(good(house)), "width")


def test_spread_that_the_instrument_makes_is_said(house):
    instrument = factories.InstrumentFactory(repeatability_mm=Decimal("0.0700"))
    # Spread 0.05 mm: less than the instrument's own.
    batch = measured(house, widths_mm=[3.15, 3.25] * 10, instrument=instrument)
    assert "The instrument, not the hand" in notes_of(result_of(batch), "width")


def test_a_part_changed_after_the_score_was_seen_counts_no_more(house):
    batch = good(house)
    Batch.objects.filter(pk=batch.pk).update(score_seen_at=timezone.now())
    record_readings(batch, Quantity.WIDTH, [3.2] * 20, by=house.cook)
    result = result_of(batch)
    assert "changed after the score was seen" in notes_of(result, "width")
    assert result.evidence[0].parts[0].points == "does not count"
    assert result.evidence[0].parts[1].points == "+20 points"
    [readings] = [row for row in result.readings if row.quantity == "Strand width"]
    assert readings.after_score
    assert readings.revision == 2


def test_strands_nobody_chose_are_said_not_to_count(house):
    policy = HousePolicy.load()
    policy.only_chosen_strands = True
    policy.save()
    batch = measured(house, widths_mm=[3.2, 3.1] * 10, strands_chosen_here=False)
    assert "the strands were not chosen by the site" in notes_of(result_of(batch), "width")


def test_strands_keep_their_places_and_leave_out_missing_ones(house):
    batch = measured(
        house, widths_mm=[3.3, 3.1, None, 3.2, 3.0, 3.4], positions=[40, 3, 7, 12, 25, 58]
    )
    strands = result_of(batch).strands
    assert strands.places == (3, 12, 25, 40, 58)
    assert strands.widths_mm == (3.1, 3.2, 3.0, 3.3, 3.4)
    assert (strands.total, strands.target_mm) == (60, 3.2)
    assert (strands.low_mm, strands.high_mm) == pytest.approx((2.7, 3.7))


def test_sheet_has_a_hole_where_nothing_was_measured(house):
    batch = measured(house, grid_mm=[3.0, 3.1, 2.9, None, 3.0, 3.0, 3.0, 3.0])
    sheet = result_of(batch).sheet
    assert (sheet.rows, sheet.columns) == (3, 3)
    assert sheet.thicknesses_mm == (3.0, 3.1, 2.9, None, 3.0, 3.0, 3.0, 3.0, None)


def test_points_beyond_the_grid_lie_in_further_rows(house):
    sheet = result_of(measured(house, grid_mm=[3.0] * 11)).sheet
    assert sheet.rows == 4
    assert len(sheet.thicknesses_mm) == 12


def test_water_stands_against_the_season_of_the_batch(house):
    water = result_of(good(house, water_g=465, hydration_target_percent=Decimal("45.5"))).water
    assert water.percent == pytest.approx(46.5)
    assert (water.low_percent, water.target_percent, water.high_percent) == (44.5, 45.5, 46.5)


def test_evidence_before_and_after_and_the_points_between(house):
    good(house, made_on=factories.days_ago(2))
    second = good(house, made_on=factories.days_ago(1))
    [step] = result_of(second).evidence
    assert step.stations == ("cutting",)
    assert [(part.before.text, part.after.text) for part in step.parts[1:]] == [
        ("20 of 100", "40 of 100"),
        ("20 of 100", "40 of 100"),
    ]
    assert step.parts[2].points == "+20 points"
    assert step.is_newest
    assert step.practice == house.practice


def test_an_earlier_batch_shows_what_it_added_then(house):
    first = good(house, made_on=factories.days_ago(2))
    good(house, made_on=factories.days_ago(1))
    [step] = result_of(first).evidence
    assert step.parts[2].after.text == "20 of 100"
    assert not step.is_newest


def test_losses_have_a_minus_and_the_balance_stops_at_nothing(house):
    batch = good(house, water_g=470)
    [step] = result_of(batch).evidence
    # Off by the whole tolerance: 20 (1 - (1/0.45)²) = -78.8 points.
    assert step.parts[2].points == "−79 points"
    assert step.parts[2].after.text == "0 of 100"


def test_the_third_batch_of_a_day_can_only_lose(house):
    batches = [
        good(house, opened_at=timezone.now() + timedelta(minutes=number)) for number in range(3)
    ]
    assert [result_of(batch).evidence[0].only_loses for batch in batches] == [False, False, True]
    assert result_of(batches[2]).evidence[0].parts[2].after.text == "40 of 100"


def test_a_batch_given_up_shows_its_cost(house):
    good(house, made_on=factories.days_ago(1))
    batch = factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    abandon_batch(batch, by=house.cook)
    result = result_of(batch)
    assert result.score is None
    assert {part.points for part in result.evidence[0].parts} == {"−20 points"}
    assert result.evidence[0].parts[1].after.text == "0 of 100"


def test_stations_that_share_their_evidence_share_one_step(house):
    rolling = factories.StationFactory(name="rolling", slug="rolling", position=2)
    for station in (rolling, house.serving):
        factories.PracticeFactory(
            person=house.cook, branch=house.branch, style=house.style, station=station
        )
    [step] = result_of(good(house)).evidence
    assert step.stations == ("rolling", "cutting")


def test_a_cook_without_a_practice_still_sees_the_balance(house):
    batch = factories.finished_batch(
        cook=house.other_cook, branch=house.other_branch, standard=house.standard
    )
    [step] = result_of(batch).evidence
    assert step.practice is None
    assert step.parts[2].after.text == "20 of 100"


def test_corrections_lead_to_the_stage_of_each_part(house):
    batch = good(house)
    places = dict(batch.stages.values_list("kind", "position"))
    assert result_of(batch, may_correct=True).corrections == (
        ("width", places["cut"]),
        ("thickness", places["roll"]),
        ("water", places["weigh"]),
    )
    assert result_of(batch).corrections == ()


def test_readings_name_instrument_and_reader(house):
    instrument = factories.InstrumentFactory(name="caliper of the bench")
    batch = measured(house, widths_mm=[3.1, 3.25, 3.3, 3.0, 3.2], instrument=instrument)
    [row] = result_of(batch).readings
    assert row.values == "3.10 · 3.25 · 3.30 · 3.00 · 3.20"
    assert (row.unit, row.instrument, row.read_by) == (
        "mm",
        "caliper of the bench",
        str(house.cook),
    )


def test_an_old_batch_keeps_its_own_limits(house):
    batch = good(house)
    newer = factories.StandardFactory(
        style=house.style,
        in_force_from=factories.days_ago(0),
        width_tolerance_minus_mm=Decimal("0.10"),
    )
    assert StandardVersion.objects.in_force(factories.days_ago(0)).get() == newer
    assert result_of(batch).strands.low_mm == pytest.approx(2.7)


def test_nothing_is_said_to_change_where_nothing_could_be_looked_at(house):
    batch = factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    assert result_of(batch).to_change is None
    abandon_batch(batch, by=house.cook)
    assert result_of(batch).to_change is None


def test_the_finding_that_costs_most_is_the_first_lesson(house):
    # Wider from cut to cut, and all points of the sheet alike but far too thick (invented).
    drifting_mm = [2.9 + 0.03 * n + (n * 7 % 5) / 50 for n in range(20)]
    thick_mm = [3.5, 3.55, 3.45, 3.5, 3.6, 3.5, 3.45, 3.5, 3.55]
    change = result_of(good(house, widths_mm=drifting_mm, grid_mm=thick_mm)).to_change
    assert change.first.title == "Too thick throughout"
    assert [lesson.finding.part for lesson in change.others] == ["width"]
    assert change.last_time is None


def test_what_the_batch_before_asked_for_is_compared(house):
    drifting_mm = [2.9 + 0.03 * n + (n * 7 % 5) / 50 for n in range(20)]
    earlier = good(house, widths_mm=drifting_mm, made_on=factories.days_ago(2))
    assert result_of(good(house)).to_change.last_time is None, "its result was never read"
    Batch.objects.filter(pk=earlier.pk).update(score_seen_at=timezone.now())
    last = result_of(good(house, made_on=factories.days_ago(1))).to_change.last_time
    assert (last.day, last.answer) == (earlier.made_on, "")
    assert last.says.startswith("The strands get wider")
    assert last.came_of_it.startswith("It got smaller: from 0.")
