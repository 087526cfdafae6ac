"""How far a cook still is from a sign-off, and whether the evenness since one holds."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.forecast import (
    FEWEST_BATCHES,
    Forecast,
    ForecastStatus,
    fan,
    forecast_dates,
)
from assessments.calculations.monitoring import FALSE_ALARM_BATCHES, WATCH
from assessments.models import Part, Practice
from assessments.models.evidence import (
    EvidenceRun,
    JudgedBatch,
    evenness_since,
    evidence_run,
    part_histories,
    since,
)

HORIZON = 40
"""Further batches that ``refresh_practices`` lets the forecast look at."""

SHOWN_AHEAD = 10
"""Batches to come that a picture shows at least."""

PACE_DAYS = 28


@dataclass(frozen=True, slots=True)
class PastBatch:
    """The share of one part of a batch, 0..1; ``number`` counts from the beginning of the run."""

    batch_id: int
    number: int
    day: date
    share: float


@dataclass(frozen=True, slots=True)
class PartFan:
    """The learning curve of one part with what may come, for its picture.

    ``level`` has the quantiles ``FAN_QUANTILES`` of the share of all strands, 0..1, each for all
    ``numbers``: those of the past batches and of those to come.
    """

    part: str
    past: tuple[PastBatch, ...]
    numbers: tuple[int, ...]
    level: tuple[tuple[float, ...], ...]
    ready_share: float
    low: int | None
    median: int | None
    high: int | None


@dataclass(frozen=True, slots=True)
class WatchedBatch:
    """Where the chart of evenness stood after a batch, 0..100; None after its alarm."""

    batch_id: int
    day: date
    width: float | None
    thickness: float | None


@dataclass(frozen=True, slots=True)
class Watched:
    """The chart of evenness since a sign-off, or of the last batches of it."""

    signed_on: date
    batches: tuple[WatchedBatch, ...]
    is_cut: bool


@dataclass(frozen=True, slots=True)
class Progress:
    """How far it is at stations that share their evidence, or what came after their sign-off.

    ``sentences`` say it in words, the one to read first at the start; ``fans`` and ``watched`` are
    for the pictures: fans before a sign-off, the chart of evenness after one.
    """

    stations: tuple[str, ...]
    sentences: tuple[str, ...]
    stuck: str
    fans: tuple[PartFan, ...] = ()
    watched: Watched | None = None


# From a practice alone


def progress_line(practice) -> str:
    """Say in a line how far it is, or how evenness holds, from the row of a ``Practice``.

    Nothing where there is nothing to say: before the first batch, once the evidence is complete,
    and at a station that is judged without batches. Asks the database for nothing when station
    and sign-off are loaded.
    """
    if not practice.station.measured:
        return ""
    if practice.holds:
        return evenness_words(practice)
    if not practice.counted:
        return ""
    return forecast_words(practice)


def forecast_words(practice) -> str:
    """Say after how many further batches the evidence will be complete, if that can be told."""
    low, median, high = (
        practice.forecast_low,
        practice.forecast_median,
        practice.forecast_high,
    )
    match practice.forecast_status:
        case ForecastStatus.INTERVAL if low == high:
            return ngettext("About %(count)d more batch.", "About %(count)d more batches.", low) % {
                "count": low
            }
        case ForecastStatus.INTERVAL:
            return _(
                "About %(low)d to %(high)d more batches, as likely as not within %(median)d."
            ) % {"low": low, "high": high, "median": median}
        case ForecastStatus.OPEN:
            return ngettext(
                "Not before %(low)d more batch, as likely as not within %(median)d; it may take "
                "longer.",
                "Not before %(low)d more batches, as likely as not within %(median)d; it may take "
                "longer.",
                low,
            ) % {"low": low, "median": median}
        case ForecastStatus.NOT_BEFORE if low > HORIZON:
            return _("Not within the next %(count)d batches.") % {"count": HORIZON}
        case ForecastStatus.NOT_BEFORE:
            return ngettext(
                "Not before %(count)d more batch.", "Not before %(count)d more batches.", low
            ) % {"count": low}
        case ForecastStatus.CANNOT_TELL:
            return _cannot_tell(practice)
    return ""


def _cannot_tell(practice):
    if practice.counted < FEWEST_BATCHES:
        return _(
            "Cannot tell yet how many more batches: that takes %(needed)d measured ones, and there "
            "are %(count)d."
        ) % {"needed": FEWEST_BATCHES, "count": practice.counted}
    return _(
        "Cannot tell yet how many more batches: a few would fit what was measured, and so would "
        "many. Measure width, thickness and water each time; every batch makes it clearer."
    )


def stuck_words(practice) -> str:
    """Say for how long and on what a cook has been flat; nothing where that is not so."""
    if not practice.stuck_batches:
        return ""
    return ngettext(
        "flat for %(count)d batch, on %(part)s",
        "flat for %(count)d batches, on %(part)s",
        practice.stuck_batches,
    ) % {"count": practice.stuck_batches, "part": Part(practice.stuck_part).label}


def evenness_words(practice) -> str:
    """Say whether the evenness holds since the sign-off."""
    signed_on = timezone.localdate(practice.sign_off.decided_at)
    if practice.alarm_on:
        return _("Evenness slipped: on %(day)s the warning reached 100 of 100.") % {
            "day": date_format(practice.alarm_on)
        }
    if practice.last_batch_on is None or practice.last_batch_on < signed_on:
        return _("No batch since the sign-off yet.")
    if practice.warning >= WATCH:
        return _(
            "Watch the evenness: the warning stands at %(warning)d of 100. At 100 renewal falls "
            "due."
        ) % {"warning": practice.warning}
    return _("Evenness holds: the warning stands at %(warning)d of 100.") % {
        "warning": practice.warning
    }


# With the batches


def pace_words(practice, days: Sequence[date], today: date, *, own: bool) -> str:
    """Say when that will be if the cook goes on at the pace of the last four weeks."""
    status = practice.forecast_status
    if status not in (ForecastStatus.INTERVAL, ForecastStatus.OPEN, ForecastStatus.NOT_BEFORE):
        return ""
    told = Forecast(
        ForecastStatus(status),
        practice.forecast_median,
        practice.forecast_low,
        practice.forecast_high,
        None,
        None,
    )
    dates = forecast_dates(told, days, today, PACE_DAYS)
    if dates.low is None:
        return _("No batch in the last four weeks, so that no date can be told.")
    words = {
        "pace": _pace(round(PACE_DAYS * dates.rate_per_day)),
        "low": _day(dates.low, today),
        "high": _day(dates.high, today) if dates.high else "",
    }
    if dates.high is None:
        pattern = _("At this pace of %(pace)s that is not before %(low)s.")
        if own:
            pattern = _("At your pace of %(pace)s that is not before %(low)s.")
    elif dates.low == dates.high:
        pattern = _("At this pace of %(pace)s that is about %(low)s.")
        if own:
            pattern = _("At your pace of %(pace)s that is about %(low)s.")
    else:
        pattern = _("At this pace of %(pace)s that is between %(low)s and %(high)s.")
        if own:
            pattern = _("At your pace of %(pace)s that is between %(low)s and %(high)s.")
    return pattern % words


def _pace(batches):
    """Say a number of batches in four weeks as a pace."""
    if batches % 4:
        text = ngettext("%(count)d batch in four weeks", "%(count)d batches in four weeks", batches)
        return text % {"count": batches}
    weekly = batches // 4
    return ngettext("%(count)d batch a week", "%(count)d batches a week", weekly) % {
        "count": weekly
    }


def _day(day, today):
    """Return a day without its year where that can be no other."""
    near = 0 <= (day - today).days < 300
    return date_format(day, "MONTH_DAY_FORMAT" if near else "DATE_FORMAT")


def progress_of(
    practices: Sequence[Practice],
    batches: Sequence[JudgedBatch],
    began_anew,
    *,
    today: date,
    own: bool,
    all_loaded: bool = True,
) -> tuple[Progress, ...]:
    """Return how far a cook is at the measured stations of a style, without a query.

    ``practices`` have station and sign-off loaded; ``batches`` are the last ones, oldest first
    (``all_loaded`` says whether they are all); ``began_anew`` is from ``turning_points_of``.
    Stations that share a sign-off's day, or the evidence so far, are told together.
    """
    groups: dict[EvidenceRun | date, list[Practice]] = {}
    for practice in practices:
        if practice.station.measured:
            key: EvidenceRun | date = evidence_run(*began_anew[practice.pk])
            if practice.sign_off is not None and practice.holds:
                key = timezone.localdate(practice.sign_off.decided_at)
            groups.setdefault(key, []).append(practice)
    told = []
    for key, sharing in groups.items():
        stations = tuple(str(practice.station) for practice in sharing)
        if isinstance(key, EvidenceRun):
            told.append(_before(stations, sharing[0], key, batches, today, own))
        else:
            told.append(_after(stations, sharing[0], batches, all_loaded))
    return tuple(told)


def _before(stations, practice, run, batches, today, own):
    line = progress_line(practice) or _told_by_stations(practice)
    pace = pace_words(practice, [batch.day for batch in batches if batch.counts], today, own=own)
    return Progress(
        stations=stations,
        sentences=tuple(filter(None, (line, pace))),
        stuck=stuck_words(practice),
        fans=part_fans(practice, since(batches, run.after)),
    )


def _told_by_stations(practice):
    """Say why nothing can be foretold: it is reached already, or nothing counts yet."""
    if practice.counted:
        return _("Width, thickness and water are shown. What else it takes stands at each station.")
    return _("No batch is counted yet.")


def part_fans(practice, batches: Sequence[JudgedBatch]) -> tuple[PartFan, ...]:
    """Return the fans of the parts that are open; none where there is nothing to foretell."""
    if practice.forecast_status in ("", ForecastStatus.MET):
        return ()
    counted = [batch for batch in batches if batch.counts]
    features, _water = part_histories(
        counted,
        {part: getattr(practice, f"{part}_balance") for part in Part.values},
        {part: getattr(practice, f"{part}_shown") for part in Part.values},
        last_number=max(practice.counted, len(counted)),
    )
    ahead = practice.forecast_high or HORIZON
    ahead = min(HORIZON, max(SHOWN_AHEAD, ahead + 2))
    fans = fan(features, ahead)
    return tuple(
        _part_fan(practice, part, fans[part], features[part], counted)
        for part in (Part.WIDTH, Part.THICKNESS)
        if part in fans and not features[part].shown
    )


def _part_fan(practice, part, drawn, history, counted):
    having = [batch for batch in counted if part in batch.shares][-drawn.past :]
    return PartFan(
        part=part.value,
        past=tuple(
            PastBatch(batch.pk, number, batch.day, share)
            for batch, number, share in zip(
                having,
                history.index[-drawn.past :],
                history.share[-drawn.past :],
                strict=True,
            )
        ),
        numbers=tuple(drawn.index.tolist()),
        level=tuple(tuple(round(value, 4) for value in row) for row in drawn.level.tolist()),
        ready_share=counted[-1].p_ready,
        low=practice.forecast_low,
        median=practice.forecast_median,
        high=practice.forecast_high,
    )


def _after(stations, practice, batches, all_loaded):
    later = since(batches, practice.sign_off.decided_at)
    is_cut = not all_loaded and len(later) == len(batches)
    later = [batch for batch in later if batch.counts]
    charts = evenness_since(later)
    paths = {
        part: (*charts[part].path, *[None] * (len(later) - len(charts[part].path)))
        for part in charts
    }
    return Progress(
        stations=stations,
        sentences=(evenness_words(practice), false_alarm_words()),
        stuck="",
        watched=Watched(
            signed_on=timezone.localdate(practice.sign_off.decided_at),
            batches=tuple(
                WatchedBatch(batch.pk, batch.day, width, thickness)
                for batch, width, thickness in zip(
                    later, paths[Part.WIDTH], paths[Part.THICKNESS], strict=True
                )
            ),
            is_cut=is_cut,
        ),
    )


def false_alarm_words() -> str:
    """Say how often the chart of evenness gives an alarm for nothing."""
    return _(
        "To a cook who stays at 95 of 100 strands a false alarm comes at most about once in "
        "%(count)d batches, for each part."
    ) % {"count": FALSE_ALARM_BATCHES}
