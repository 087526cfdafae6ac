"""Forecast and currency in words, and what their pictures are drawn from."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from assessments.actions.evidence import outlook, write_outlook, write_state
from assessments.calculations.forecast import FAN_QUANTILES
from assessments.calculations.monitoring import monitor_points
from assessments.calculations.requirements import DEFAULT_RULE, EvidenceBatch, evidence_points
from assessments.models import Practice, SignOff
from assessments.models.evidence import JudgedBatch
from assessments.summaries.progress import (
    evenness_words,
    forecast_words,
    pace_words,
    part_fans,
    progress_line,
    progress_of,
    stuck_words,
)
from training.models import Station

TODAY = date(2026, 12, 1)
OPENED = timezone.now().replace(year=2026, month=3, day=1, hour=12)


def batches(widths, *, thickness=0.99):
    """Return invented batches, one every second day."""
    made = []
    for number, width in enumerate(widths):
        at = OPENED + timedelta(days=2 * number)
        points = {
            "width": evidence_points(width, 20),
            "thickness": evidence_points(thickness, 9),
            "hydration": 15.0,
        }
        made.append(
            JudgedBatch(
                pk=100 + number,
                style_id=1,
                opened_at=at,
                day=at.date(),
                evidence=EvidenceBatch(day=at.date(), points=points),
                shares={"width": width, "thickness": thickness},
                readings={"width": 20, "thickness": 9},
                p_ready=0.95,
                p_not=0.80,
            )
        )
    return made


def practice(**fields):
    """Return an unsaved practice at a measured station."""
    usual = {"pk": 7, "station": Station(name="cutting", measured=True), "counted": 9}
    return Practice(**usual | fields)


def after(made, **fields):
    """Return the practice as it is kept after these batches."""
    one = practice(**fields)
    told = outlook(made, DEFAULT_RULE)
    write_state(one, told.state)
    write_outlook(one, told)
    return one


def signed(day, **fields):
    one = practice(**fields)
    one.sign_off = SignOff(pk=1, decided_at=day, missing=[])
    return one


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        (
            {"status": "interval", "low": 6, "median": 9, "high": 14},
            "About 6 to 14 more batches, as likely as not within 9.",
        ),
        ({"status": "interval", "low": 1, "median": 1, "high": 1}, "About 1 more batch."),
        (
            {"status": "open", "low": 8, "median": 20},
            "Not before 8 more batches, as likely as not within 20; it may take longer.",
        ),
        ({"status": "not before", "low": 12}, "Not before 12 more batches."),
        ({"status": "not before", "low": 41}, "Not within the next 40 batches."),
        ({"status": "met", "low": 0, "median": 0, "high": 0}, ""),
        ({}, ""),
    ],
)
def test_each_forecast_has_its_words(fields, words):
    one = practice(**{f"forecast_{name}": value for name, value in fields.items()})
    assert forecast_words(one) == words
    assert progress_line(one) == words


@pytest.mark.parametrize(
    ("counted", "words"),
    [
        (2, "Cannot tell yet how many more batches: that takes 4 measured ones, and there are 2."),
        (6, "Cannot tell yet how many more batches: a few would fit what was measured, and so"),
    ],
)
def test_what_cannot_be_told_says_why_and_what_would_help(counted, words):
    one = practice(counted=counted, forecast_status="cannot tell")
    assert forecast_words(one).startswith(words)


def test_the_line_is_empty_where_there_is_nothing_to_say():
    assert progress_line(practice(counted=0, forecast_status="cannot tell")) == ""
    serving = Station(name="serving", measured=False)
    assert progress_line(practice(station=serving, forecast_status="interval")) == ""


@pytest.mark.parametrize(
    ("fields", "days", "words"),
    [
        (
            {"status": "interval", "low": 6, "median": 9, "high": 14},
            range(12),
            "At your pace of 3 batches a week that is between December 15 and January 3.",
        ),
        (
            {"status": "interval", "low": 2, "median": 2, "high": 2},
            range(14),
            "At your pace of 14 batches in four weeks that is about December 5.",
        ),
        (
            {"status": "not before", "low": 12},
            [3],
            "At your pace of 1 batch in four weeks that is not before Nov. 2, 2027.",
        ),
        (
            {"status": "open", "low": 12, "median": 20},
            [28, 40],
            "No batch in the last four weeks, so that no date can be told.",
        ),
        ({"status": "cannot tell"}, range(3), ""),
        ({"status": "met", "low": 0, "median": 0, "high": 0}, range(3), ""),
    ],
)
def test_the_pace_of_four_weeks_gives_the_dates(fields, days, words):
    one = practice(**{f"forecast_{name}": value for name, value in fields.items()})
    made = [TODAY - timedelta(days=ago) for ago in days]
    assert pace_words(one, made, TODAY, own=True) == words
    assert pace_words(one, made, TODAY, own=False) == words.replace("your pace", "this pace")


def test_who_is_stuck_is_told_on_what():
    assert stuck_words(practice()) == ""
    one = practice(stuck_part="hydration", stuck_batches=12)
    assert stuck_words(one) == "flat for 12 batches, on water"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"last_batch_on": None}, "No batch since the sign-off yet."),
        ({"last_batch_on": date(2026, 2, 27)}, "No batch since the sign-off yet."),
        ({"warning": 12.7}, "Evenness holds: the warning stands at 12 of 100."),
        (
            {"warning": 62.0},
            "Watch the evenness: the warning stands at 62 of 100. At 100 renewal falls due.",
        ),
        (
            {"warning": 100.0, "alarm_on": date(2026, 3, 5)},
            "Evenness slipped: on March 5, 2026 the warning reached 100 of 100.",
        ),
    ],
)
def test_after_a_sign_off_the_evenness_is_told(fields, words):
    one = signed(OPENED, **{"last_batch_on": date(2026, 3, 9)} | fields)
    assert evenness_words(one) == words
    assert progress_line(one) == words


LEARNING = [0.70, 0.78, 0.80, 0.86, 0.88, 0.91, 0.90, 0.93]


def told(practices, made, began_anew=None, **more):
    usual = {"today": TODAY, "own": True}
    points = began_anew or {one.pk: (None, None) for one in practices}
    return progress_of(practices, made, points, **usual | more)


def test_the_fan_goes_on_where_the_batches_end():
    made = batches(LEARNING, thickness=0.9)
    [progress] = told([after(made)], made)
    assert progress.stations == ("cutting",)
    assert progress.watched is None
    assert [one.part for one in progress.fans] == ["width", "thickness"]
    width = progress.fans[0]
    assert [(one.batch_id, one.number, one.share) for one in width.past] == [
        (100 + place, place + 1, share) for place, share in enumerate(LEARNING)
    ]
    assert width.numbers[:8] == tuple(range(1, 9))
    assert len(width.numbers) >= 8 + 10
    assert len(width.level) == len(FAN_QUANTILES)
    assert all(len(row) == len(width.numbers) for row in width.level)
    for lower, higher in zip(width.level, width.level[1:], strict=False):
        assert all(a <= b for a, b in zip(lower, higher, strict=True))


def test_of_a_long_run_the_last_batches_keep_their_numbers():
    made = batches([*[0.8] * 10, *LEARNING])
    one = after(made)
    [fan] = part_fans(one, made[6:])
    assert [batch.number for batch in fan.past] == list(range(7, 19))


def test_a_part_that_is_shown_is_not_foretold():
    made = batches(LEARNING)
    one = after(made)
    assert one.thickness_shown
    assert [fan.part for fan in part_fans(one, made)] == ["width"]


def test_nothing_is_drawn_of_a_row_that_was_never_refreshed():
    assert part_fans(practice(counted=0), batches(LEARNING)) == ()


def test_stations_that_share_their_evidence_are_told_together():
    made = batches(LEARNING)
    rolling = after(made, pk=8, station=Station(name="rolling", measured=True))
    serving = after(made, pk=9, station=Station(name="serving", measured=False))
    [progress] = told([after(made), rolling, serving], made)
    assert progress.stations == ("cutting", "rolling")
    anew = {7: (None, None), 8: (OPENED + timedelta(days=9), None)}
    assert [one.stations for one in told([after(made), rolling], made, anew)] == [
        ("cutting",),
        ("rolling",),
    ]


def test_the_chart_of_evenness_adds_up_the_batches_since_the_sign_off():
    made = batches([0.99, 0.5, 0.99, 0.88, 0.85, 0.70, 0.99], thickness=0.97)
    one = signed(OPENED + timedelta(days=3), last_batch_on=made[-1].day, warning=100.0)
    [progress] = told([one], made)
    expected, warning = [], 0.0
    for share in (0.99, 0.88, 0.85, 0.70):
        warning = min(100.0, max(0.0, warning + monitor_points(share, 20)))
        expected.append(warning)
    shown = progress.watched.batches
    assert [batch.batch_id for batch in shown] == [102, 103, 104, 105, 106]
    assert [batch.width for batch in shown[:4]] == pytest.approx(expected)
    assert 0 < expected[1] < expected[2] < expected[3] == 100
    # The chart stops at its alarm; that of the other part goes on.
    assert shown[4].width is None
    assert [batch.thickness for batch in shown] == [0.0] * 5
    assert "once in 110 batches" in progress.sentences[1]
    assert not progress.watched.is_cut


def test_a_chart_of_evenness_that_does_not_begin_at_the_sign_off_says_so():
    made = batches(LEARNING)
    one = signed(OPENED - timedelta(days=9), last_batch_on=made[-1].day)
    assert told([one], made, all_loaded=False)[0].watched.is_cut


def test_what_was_given_up_is_in_neither_picture():
    made = batches(LEARNING)
    at = made[3].opened_at
    made[3] = JudgedBatch(
        pk=999,
        style_id=1,
        opened_at=at,
        day=at.date(),
        evidence=EvidenceBatch(day=at.date(), abandoned=True),
        shares={},
        readings={},
        p_ready=0.95,
        p_not=0.80,
    )
    [before] = told([after(made)], made)
    assert 999 not in [batch.batch_id for batch in before.fans[0].past]
    assert [batch.number for batch in before.fans[0].past] == list(range(1, 8))
    [since] = told([signed(OPENED - timedelta(days=1), last_batch_on=TODAY)], made)
    assert 999 not in [batch.batch_id for batch in since.watched.batches]
