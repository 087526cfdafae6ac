"""What is said of a photo: every refusal in words, every strand with its place."""

import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from assessments.actions.log_batch import finish_batch, record_readings
from assessments.actions.measure_photograph import (
    keep_photograph,
    leave_out,
    measure_photograph,
    remove_photograph,
    say_missing,
)
from assessments.calculations.measuring import results
from assessments.calculations.measuring.refusals import Reason, RefusedError
from assessments.models import Photograph, ReadingSet
from assessments.models.photographs import chosen_places
from assessments.summaries.batch import batch_result, result_batches
from assessments.summaries.evidence import batch_line, last_batches
from assessments.summaries.photographs import (
    DETAILS,
    FLAGS,
    REFUSALS,
    REMARKS,
    left_out_of,
    photograph_sheet,
    photographs_to_show,
    refusal,
)
from assessments.summaries.waiting import review_page, reviewable
from tests import factories
from tests.factories import photo_bytes, photographed


@pytest.fixture
def batch(house):
    return factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)


def sheet_of(photograph):
    return photograph_sheet(photographs_to_show().get(pk=photograph.pk))


def finished(batch):
    record_readings(batch, ReadingSet.Quantity.THICKNESS, factories.GOOD_GRID_MM, by=batch.cook)
    finish_batch(batch, by=batch.cook)
    return result_batches(batch.cook).get(pk=batch.pk)


@pytest.mark.parametrize("reason", Reason)
def test_every_refusal_says_what_to_do(reason):
    said = refusal(reason)
    assert said.title.endswith(".")
    assert said.advice.endswith(".")
    assert len(str(said)) < 300
    with_figures = refusal(reason.value, found=2.25, limit=3.0)
    assert bool(with_figures.detail) == (reason in DETAILS)
    if reason in DETAILS:
        assert "2.2" in with_figures.detail
        assert "3" in with_figures.detail


def test_every_code_has_its_words():
    assert set(REFUSALS) == set(Reason)
    flags = {results.TOUCHING, results.CROSSING, results.GLARE, results.OFF_FIELD}
    assert set(FLAGS) == flags
    documented = results.PhotoReading.__doc__
    assert all(f"'{code}'" in documented for code in REMARKS)


def test_a_sheet_shows_every_strand_with_its_number_in_the_cut(batch):
    chosen = chosen_places(batch)
    photograph = photographed(batch, [2.6, 3.2, None, 3.8, *[3.2] * 14])
    leave_out(photograph, 2, "torn", by=batch.cook)
    say_missing(photograph, [1, 20], by=batch.cook)
    sheet = sheet_of(photograph)
    assert [strand.cut_number for strand in sheet.strands] == chosen[1:19]
    assert [strand.state for strand in sheet.strands[:5]] == [
        "narrow",
        "left-out",
        "not-measured",
        "wide",
        "within",
    ]
    assert (sheet.n_found, sheet.n_measured, sheet.n_left_out, sheet.n_counted) == (18, 17, 1, 16)
    assert sheet.left_out == "Left out: 1 of 17 strands measured."
    assert sheet.strands[1].left_out.reason == "torn"
    assert sheet.strands[1].left_out.by == batch.cook
    assert sheet.strands[2].flags == ("touches another strand",)
    assert sheet.missing == (chosen[0], chosen[19])
    assert sheet.places[0] == (1, chosen[0])
    assert sheet.is_recorded
    assert sheet.may_change
    assert not sheet.spoils_evidence
    assert (sheet.low_mm, sheet.high_mm) == (2.7, 3.7)
    # The mean of 2.6, 3.8 and 14 times 3.2.
    assert sheet.mean_mm == pytest.approx(3.2)


def test_the_surplus_is_shown_until_it_is_left_out(batch):
    photograph = photographed(batch, [3.2] * 21)
    sheet = sheet_of(photograph)
    assert (sheet.surplus, sheet.is_recorded) == (1, False)
    assert [strand.number for strand in sheet.strands if strand.is_surplus] == [21]
    assert sheet.strands[20].cut_number is None
    leave_out(photograph, 4, "not_chosen", by=batch.cook)
    sheet = sheet_of(photograph)
    assert (sheet.surplus, sheet.is_recorded) == (0, True)
    assert sheet.strands[3].cut_number is None


def test_more_than_a_tenth_left_out_is_said(batch):
    photograph = photographed(batch)
    for number in (1, 2):
        leave_out(photograph, number, "torn", by=batch.cook)
    assert not sheet_of(photograph).spoils_evidence
    leave_out(photograph, 3, "torn", by=batch.cook)
    assert sheet_of(photograph).spoils_evidence


@pytest.mark.parametrize(
    ("u_mm", "said"), [(0.07, None), (0.10, "is coarse"), (0.16, "is too coarse")]
)
def test_a_photo_too_coarse_for_the_style_says_so(batch, u_mm, said):
    # House limits 0.15 and 0.30 of half the tolerance, ± 0.5 mm.
    sheet = sheet_of(photographed(batch, u_mm=u_mm))
    assert (sheet.coarse == "") if said is None else (said in sheet.coarse)
    result = batch_result(finished(batch), may_correct=False)
    notes = " ".join(result.parts[0].notes)
    assert (said in notes) if said else ("coarse" not in notes)


def test_remarks_and_verdict_are_said(batch):
    sheet = sheet_of(photographed(batch, verdict="poor", remarks=("soft", "glare")))
    assert sheet.is_poor
    assert sheet.remarks == (
        str(REMARKS["soft"]),
        str(REMARKS["thickness_assumed"]),
        str(REMARKS["glare"]),
    )


@pytest.mark.parametrize(
    ("answer", "title", "detail"),
    [
        (RefusedError(Reason.STEEP, found=41.2, limit=30.0), "from the side", "41.2°; 30°"),
        (RefusedError(Reason.NO_CARD), "No measuring card", ""),
        (ZeroDivisionError(), "failed", ""),
    ],
)
def test_a_photo_without_widths_says_why(batch, monkeypatch, answer, title, detail):
    def measure(*_args, **_kwargs):
        raise answer

    monkeypatch.setattr("assessments.calculations.measuring.measure.measure_strands", measure)
    photograph = keep_photograph(batch, photo_bytes(), client_key=uuid.uuid4(), by=batch.cook)
    waiting = sheet_of(photograph)
    assert (waiting.refusal, waiting.strands) == (None, ())
    measure_photograph.call(photograph.pk)
    said = sheet_of(photograph).refusal
    assert title in said.title
    assert detail in said.detail
    assert said.advice


def test_a_sheet_takes_as_many_queries_for_many_photos(batch):
    def queries(photograph):
        with CaptureQueriesContext(connection) as captured:
            sheet_of(photograph)
        return len(captured)

    first = photographed(batch, [3.2] * 4)
    one = queries(first)
    for _n in range(3):
        other = photographed(batch, [3.2] * 4)
        for number in (1, 2, 3):
            leave_out(other, number, "torn", by=batch.cook)
    assert queries(first) == one <= 4


def test_the_head_chef_sees_how_many_were_left_out(batch):
    photograph = photographed(batch)
    leave_out(photograph, 3, "torn", by=batch.cook)
    leave_out(photograph, 4, "torn", by=batch.cook)
    leave_out(photograph, 5, "stuck", by=batch.cook)
    batch = finished(batch)
    [width, *_others] = batch_result(batch, may_correct=False).parts
    assert "Left out: 3 of 20 strands measured." in width.notes
    assert any("more than a tenth" in note for note in width.notes)
    readings = batch_result(batch, may_correct=False).readings
    assert "version 1.0, standard uncertainty 0.030 mm" in readings[0].instrument
    [line] = map(batch_line, last_batches(batch.cook, batch.style, viewer=batch.cook))
    assert "more than a tenth" in line.parts[0].remark
    assert line.parts[0].remark.endswith("3 of 20 strands left out")
    page = review_page(reviewable(batch.cook).get(pk=batch.pk))
    assert page.parts[0].remark == line.parts[0].remark
    found = left_out_of([batch])
    assert str(found[batch.pk]) == "Left out: 3 of 20 strands measured."
    assert found[batch.pk].reasons == ("Torn: 2", "Stuck to another: 1")


def test_the_head_chef_sees_photos_that_were_removed(client, house, batch):
    remove_photograph(photographed(batch, [2.0] * 20), by=batch.cook)
    photograph = photographed(batch)
    leave_out(photograph, 3, "torn", by=batch.cook)
    batch = finished(batch)
    found = left_out_of([batch])[batch.pk]
    assert (found.n, found.n_measured, found.n_removed) == (1, 20, 1)
    client.force_login(house.chef)
    page = client.get(reverse("assessments:review_batch", args=[batch.pk])).content.decode()
    assert "1 photo was measured and then removed by the cook." in page
    assert "Torn: 1" in page
    assert reverse("assessments:photograph", args=[photograph.pk]) in page


def test_nothing_is_said_where_nothing_was_left_out(batch):
    photographed(batch)
    batch = finished(batch)
    assert left_out_of([batch]) == {}
    [line] = map(batch_line, last_batches(batch.cook, batch.style, viewer=batch.cook))
    assert line.parts[0].remark == ""


def test_the_uncertainty_grades_the_photo_on_every_page(batch):
    # 0.10 of ± 0.5 mm is coarse, although the photo repeats to 0.02 mm.
    photographed(batch, u_mm=0.10, random_mm=0.02)
    batch = finished(batch)
    [line] = map(batch_line, last_batches(batch.cook, batch.style, viewer=batch.cook))
    assert line.parts[0].remark == "instrument coarse for this tolerance"
    assert Photograph.objects.get().readings.graded_mm == pytest.approx(0.10)
