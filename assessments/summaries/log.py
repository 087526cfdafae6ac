"""The batch log: a batch with its stages, and what the page of each stage asks for."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import Prefetch, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.dough import WaterTemperature
from assessments.calculations.instruments import choose_strands, measurement_check
from assessments.calculations.requirements import DEFAULT_RULE
from assessments.models import Batch, Instrument, Practice, ReadingSet, Stage
from assessments.summaries.batch_photographs import CutPhotographs, cut_photographs
from assessments.summaries.bench import Bench, bench_for, water_for
from assessments.summaries.lessons import Lesson, lessons_of
from assessments.summaries.patterns import asked_for
from training.models import StandardVersion

Quantity = ReadingSet.Quantity
Kind = Stage.Kind

QUANTITIES = {
    Kind.WEIGH: (Quantity.FLOUR, Quantity.WATER, Quantity.SALT),
    Kind.MIX: (Quantity.ROOM_TEMPERATURE, Quantity.WATER_TEMPERATURE, Quantity.DOUGH_TEMPERATURE),
    Kind.ROLL: (Quantity.THICKNESS,),
    Kind.CUT: (Quantity.WIDTH,),
    Kind.BOIL: (Quantity.BOIL_TIME,),
}
"""What each stage reads; stages that are not named read nothing."""

JUDGED_KINDS = (Kind.WEIGH, Kind.ROLL, Kind.CUT)
TOOLS = {
    Kind.WEIGH: (Instrument.Kind.SCALE,),
    Kind.MIX: (Instrument.Kind.THERMOMETER,),
    Kind.ROLL: (Instrument.Kind.CALIPER, Instrument.Kind.RULER, Instrument.Kind.OTHER),
    Kind.CUT: (Instrument.Kind.CALIPER, Instrument.Kind.RULER, Instrument.Kind.OTHER),
}


MENDED_AT = {
    Kind.WEIGH: ("hydration", "salt"),
    Kind.REST: ("rest",),
    Kind.ROLL: ("thickness",),
    Kind.CUT: ("width", "taper"),
}
"""At which stage a finding of which part can be mended."""


@dataclass(frozen=True, slots=True)
class LastTime:
    """What the cook's last batch of the style asked for, to be tried in this one."""

    batch_id: int
    made_on: date
    lesson: Lesson


@dataclass(frozen=True, slots=True)
class Plausible:
    """Around which value a reading is believed, and between which factors of it."""

    target: float
    low_factor: float
    high_factor: float

    @property
    def low(self):
        return self.target * self.low_factor

    @property
    def high(self):
        return self.target * self.high_factor


@dataclass(frozen=True, slots=True)
class Point:
    """One value that a stage asks for, in the unit of its quantity.

    ``least`` and ``most`` are what can be at all; ``plausible`` is what is believed unasked.
    ``saved`` is on record, ``proposed`` is only offered.
    """

    name: str
    quantity: str
    position: int
    label: str
    least: float
    most: float
    plausible: Plausible | None = None
    saved: float | None = None
    proposed: float | None = None

    @property
    def unit(self):
        return ReadingSet.UNITS[self.quantity]


@dataclass(frozen=True, slots=True)
class Tool:
    """An instrument to choose, with a word of warning where it is coarse for the tolerance."""

    instrument: Instrument
    warning: str

    @property
    def label(self):
        if not self.warning:
            return str(self.instrument)
        return _("%(tool)s (%(warning)s)") % {"tool": self.instrument, "warning": self.warning}


@dataclass(frozen=True, slots=True)
class Timer:
    """A timer by wall clock; ``ends_at`` is None until it is started."""

    key: str
    label: str
    url: str
    minutes: float
    started_at: datetime | None
    ends_at: datetime | None
    is_over: bool


@dataclass(frozen=True, slots=True)
class StageSheet:
    """Everything that the page of a stage shows."""

    batch: Batch
    stage: Stage
    label: str
    count: int
    following: Stage | None
    following_label: str
    timer: Timer | None
    points: tuple[Point, ...]
    chosen: tuple[int, ...]
    wanted: int
    tools: tuple[Tool, ...]
    tool_id: int | None
    basis: str
    bench: Bench | None
    water: WaterTemperature | None
    needs_confirmation: bool
    photos: CutPhotographs | None = None
    last_time: LastTime | None = None

    @property
    def has_live_timer(self):
        """Whether the timer can be started or runs."""
        return self.timer is not None and self.batch.is_open and self.stage.done_at is None

    @property
    def aim(self):
        """Target and limits, mm, of the length that the stage measures."""
        standard = self.batch.standard
        if self.stage.kind == Kind.ROLL:
            return in_figures(standard.thickness_target_mm), *map(
                in_figures, standard.thickness_limits_mm
            )
        return in_figures(standard.width_target_mm), *map(in_figures, standard.width_limits_mm)

    @property
    def strands_in_10_cm(self):
        """How many strands 100 mm of folded sheet give."""
        return round(100 / self.batch.standard.width_target_mm)

    @property
    def can_change_total(self):
        """Whether the number of strands may still be set."""
        measured = any(point.saved is not None for point in self.points) or self.photos.lines
        return self.stage.kind == Kind.CUT and self.batch.is_open and not measured


@dataclass(frozen=True, slots=True)
class Measured:
    """How much of one part is measured, and what that is worth in words."""

    part: str
    label: str
    n: int
    wanted: int
    text: str

    @property
    def is_enough(self):
        return self.n >= self.wanted


@dataclass(frozen=True, slots=True)
class LogLine:
    """One stage in the list of a batch."""

    stage: Stage
    label: str
    url: str
    is_next: bool


@dataclass(frozen=True, slots=True)
class BatchLog:
    """A batch with its stages in the order of work."""

    batch: Batch
    lines: tuple[LogLine, ...]
    following: LogLine | None
    timers: tuple[Timer, ...]
    measured: tuple[Measured, ...]
    can_finish: bool
    last_time: LastTime | None


def standards_practised(cook):
    """Return the versions in force today of the styles that ``cook`` practises."""
    return (
        StandardVersion.objects.in_force(timezone.localdate())
        .filter(style__practices__person=cook, style__practices__ended_on__isnull=True)
        .distinct()
        .order_by("style__position", "style__name")
    )


def practises_anything(cook) -> bool:
    return Practice.objects.filter(person=cook, ended_on__isnull=True).exists()


def open_batches(cook):
    """Return the newest batches of ``cook`` that are not finished."""
    return Batch.objects.filter(cook=cook, state=Batch.State.OPEN).for_log().newest_first()[:5]


def usual_batch(cook):
    """Return the cook's last batch, from which a new one takes style and portions, or None."""
    return Batch.objects.filter(cook=cook).newest_first().first()


def batches_in_log():
    """Return batches with what every page of the log needs, in three queries."""
    return Batch.objects.select_related("style", "standard", "branch", "cook").prefetch_related(
        "stages",
        Prefetch(
            "reading_sets",
            ReadingSet.objects.current().select_related("instrument"),
            to_attr="current_sets",
        ),
    )


def in_figures(value):
    """Return a number as a field shows it: no grouping, no idle zeros."""
    plain = Decimal(str(round(float(value), 3))).normalize()
    return number_format(f"{plain:f}", use_l10n=True, force_grouping=False)


def stage_label(stage) -> str:
    """Return the name of a stage as a heading, with its round where it has one."""
    name = capfirst(stage.get_kind_display())
    if not stage.round:
        return name
    return _("%(stage)s, round %(round)d") % {"stage": name, "round": stage.round}


def stage_url(stage) -> str:
    return reverse("assessments:stage", args=[stage.batch_id, stage.position])


def stage_timer(stage, *, now) -> Timer | None:
    """Return the timer of a stage that has planned minutes, else None."""
    if stage.planned_min is None:
        return None
    minutes = float(stage.planned_min)
    ends_at = None
    if stage.timer_started_at is not None:
        ends_at = stage.timer_started_at + timedelta(minutes=minutes)
    return Timer(
        key=f"{stage.batch_id}-{stage.position}",
        label=stage_label(stage),
        url=stage_url(stage),
        minutes=minutes,
        started_at=stage.timer_started_at,
        ends_at=ends_at,
        is_over=ends_at is not None and ends_at <= now,
    )


def running_timers(stages, *, now) -> tuple[Timer, ...]:
    """Return the timers that were started in stages not done yet, the first to end first."""
    started = [
        stage for stage in stages if stage.timer_started_at is not None and stage.done_at is None
    ]
    timers = [timer for stage in started if (timer := stage_timer(stage, now=now)) is not None]
    return tuple(sorted(timers, key=lambda timer: timer.ends_at or now))


def next_stage(stages, *, after=0):
    """Return the first stage not done behind place ``after``, else the first not done at all."""
    open_stages = [stage for stage in stages if stage.done_at is None]
    behind = [stage for stage in open_stages if stage.position > after]
    return next(iter(behind or open_stages), None)


def batch_log(batch) -> BatchLog:
    """Return the overview of ``batch``, loaded by ``batches_in_log``."""
    now = timezone.now()
    stages = list(batch.stages.all())
    following = next_stage(stages) if batch.is_open else None
    lines = tuple(
        LogLine(
            stage=stage,
            label=stage_label(stage),
            url=stage_url(stage),
            is_next=stage is following,
        )
        for stage in stages
    )
    measured = measured_parts(batch)
    return BatchLog(
        batch=batch,
        lines=lines,
        following=next((line for line in lines if line.is_next), None),
        timers=running_timers(stages, now=now) if batch.is_open else (),
        measured=measured,
        can_finish=batch.is_open and any(part.n for part in measured if part.part != "hydration"),
        last_time=last_time(batch),
    )


def last_time(batch, *, parts=None) -> LastTime | None:
    """Return what the last batch of the style asked for, while ``batch`` is open.

    With ``parts`` only what concerns one of them. Two queries.
    """
    asked = asked_for(batch) if batch.is_open else None
    if asked is None or (parts is not None and asked.finding.part not in parts):
        return None
    (lesson,) = lessons_of([asked.finding])
    return LastTime(asked.earlier.pk, asked.earlier.made_on, lesson)


def measured_parts(batch) -> tuple[Measured, ...]:
    """Return what is measured of width, thickness and water, and what that is worth."""
    sets = {readings.quantity: readings for readings in batch.current_sets}
    flour, water = sets.get(Quantity.FLOUR), sets.get(Quantity.WATER)
    weighed = flour is not None and water is not None
    return (
        _counted(
            "width",
            _("Strand width"),
            sets.get(Quantity.WIDTH),
            wanted_strands(batch),
            _("strands"),
        ),
        _counted(
            "thickness",
            _("Sheet thickness"),
            sets.get(Quantity.THICKNESS),
            batch.standard.thickness_points,
            _("points"),
        ),
        Measured(
            part="hydration",
            label=_("Water"),
            n=int(weighed),
            wanted=1,
            text=_("weighed") if weighed else _("Confirm flour and water at “weigh”."),
        ),
    )


def wanted_strands(batch) -> int:
    """Return how many strands are to be measured: all of them where the dough gives fewer."""
    wanted = batch.standard.strands_to_measure
    return min(wanted, batch.strands_expected or wanted)


def chosen_strands(batch) -> tuple[int, ...]:
    """Return the places, in cutting order, of the strands to measure; none before it is known
    how many the dough gives."""
    if batch.strands_expected is None:
        return ()
    return tuple(
        choose_strands(batch.strands_expected, batch.standard.strands_to_measure, batch.strand_seed)
    )


def worth(n: int, wanted: int, things: str) -> str:
    """Say plainly how far ``n`` readings of ``wanted`` go; ``things`` is what was measured."""
    words = {
        "n": n,
        "wanted": wanted,
        "things": things,
        "score": DEFAULT_RULE.minimum_readings,
        "points": DEFAULT_RULE.earning_readings,
    }
    if not n:
        return _("Nothing measured yet.") % words
    if n < DEFAULT_RULE.minimum_readings:
        return _("%(n)d of %(wanted)d %(things)s: fewer than %(score)d give no score.") % words
    if n < DEFAULT_RULE.earning_readings:
        return _("%(n)d of %(wanted)d %(things)s: fewer than %(points)d can earn nothing.") % words
    return _("%(n)d of %(wanted)d %(things)s") % words


def _counted(part, label, readings, wanted, things):
    n = 0 if readings is None else readings.n
    return Measured(part, label, n, wanted, worth(n, wanted, things))


def stage_sheet(batch, position, *, types_widths=False) -> StageSheet | None:
    """Return the page of the stage at ``position`` of ``batch``, or None without such a stage.

    Where the widths came from photos, they are asked for only with ``types_widths``.
    """
    stages = list(batch.stages.all())
    stage = next((stage for stage in stages if stage.position == position), None)
    if stage is None:
        return None
    stage.batch = batch
    sets = {readings.quantity: readings for readings in batch.current_sets}
    chosen = chosen_strands(batch) if stage.kind == Kind.CUT else ()
    photos = None
    if stage.kind == Kind.CUT:
        photos = cut_photographs(batch, chosen, sets.get(Quantity.WIDTH))
    from_photos = photos is not None and photos.readings is not None
    basis = saved_basis(stage, sets)
    if from_photos:
        # What is typed is read anew: nothing of the photos is shown as if it were the caliper's.
        del sets[Quantity.WIDTH]
    bench = bench_for(batch) if stage.kind == Kind.WEIGH else None
    tools = available_tools(batch, stage, sets)
    following = next_stage([row for row in stages if row is not stage], after=position)
    return StageSheet(
        batch=batch,
        stage=stage,
        label=stage_label(stage),
        count=len(stages),
        following=following,
        following_label="" if following is None else stage_label(following),
        timer=stage_timer(stage, now=timezone.now()),
        points=()
        if from_photos and not types_widths
        else asked_points(batch, stage, sets, chosen, bench),
        chosen=chosen,
        wanted=batch.standard.thickness_points
        if stage.kind == Kind.ROLL
        else wanted_strands(batch),
        tools=tools,
        tool_id=usual_tool(batch, stage, sets) if tools else None,
        basis=basis,
        bench=bench,
        water=_water(batch, sets) if stage.kind == Kind.MIX else None,
        needs_confirmation=batch.state == Batch.State.FINISHED
        and batch.score_seen_at is not None
        and stage.kind in JUDGED_KINDS,
        photos=photos,
        last_time=last_time(batch, parts=MENDED_AT[stage.kind])
        if stage.kind in MENDED_AT
        else None,
    )


def current_basis(stage) -> str:
    """Return the mark of what is on record for a stage just now."""
    sets = stage.batch.reading_sets.current().defer("values", "positions")
    return saved_basis(stage, {readings.quantity: readings for readings in sets})


def saved_basis(stage, sets: Mapping[str, ReadingSet]) -> str:
    """Return a mark of what is on record, which a page sends back to show how old it is."""
    return " ".join(
        f"{quantity}.{sets[quantity].revision}.{sets[quantity].n}"
        for quantity in QUANTITIES.get(stage.kind, ())
        if quantity in sets
    )


def asked_points(batch, stage, sets, chosen, bench) -> tuple[Point, ...]:
    """Return the values that the stage asks for, with what is on record."""
    standard = batch.standard
    if stage.kind == Kind.WEIGH:
        return _points_to_weigh(bench, sets)
    if stage.kind == Kind.MIX:
        return _temperatures(batch, sets)
    if stage.kind == Kind.ROLL:
        cells = [
            (row, column)
            for row in range(1, standard.thickness_rows + 1)
            for column in range(1, standard.thickness_columns + 1)
        ]
        labels = {
            place: _("row %(row)d, column %(column)d") % {"row": row, "column": column}
            for place, (row, column) in enumerate(cells, start=1)
        }
        return _lengths(Quantity.THICKNESS, labels, standard.thickness_target_mm, sets)
    if stage.kind == Kind.CUT:
        places = set(chosen) | set(_saved(sets, Quantity.WIDTH))
        labels = {place: _("strand %(number)d") % {"number": place} for place in sorted(places)}
        return _lengths(Quantity.WIDTH, labels, standard.width_target_mm, sets)
    if stage.kind == Kind.BOIL:
        target = float(standard.boil_time_min)
        return (
            _single(
                Quantity.BOIL_TIME, _("boiled for"), sets, 0.01, 600, Plausible(target, 1 / 3, 3)
            ),
        )
    return ()


def _saved(sets, quantity):
    if quantity not in sets:
        return {}
    readings = sets[quantity]
    return {
        place: value
        for place, value in zip(readings.places.tolist(), readings.array.tolist(), strict=True)
        if value == value  # a missing reading is NaN
    }


def _lengths(quantity, labels, target_mm, sets):
    saved = _saved(sets, quantity)
    return tuple(
        Point(
            name=f"{quantity}_{place}",
            quantity=quantity,
            position=place,
            label=label,
            least=0.001,
            most=1000,
            plausible=Plausible(float(target_mm), 1 / 3, 3),
            saved=saved.get(place),
        )
        for place, label in labels.items()
    )


def _single(quantity, label, sets, least, most, plausible=None, proposed=None):
    return Point(
        name=str(quantity),
        quantity=quantity,
        position=1,
        label=label,
        least=least,
        most=most,
        plausible=plausible,
        saved=_saved(sets, quantity).get(1),
        proposed=proposed,
    )


def _points_to_weigh(bench, sets):
    flour_label = bench.flours[0].name
    if len(bench.flours) > 1:
        flour_label = _("flour and starch together")
    wanted = [
        (Quantity.FLOUR, flour_label, 0.1, bench.flour_g),
        (Quantity.WATER, _("water"), 0, bench.water.mass_g),
    ]
    if bench.salt.mass_g:
        wanted.append((Quantity.SALT, _("salt"), 0, bench.salt.mass_g))
    return tuple(
        _single(quantity, label, sets, least, 1_000_000, Plausible(mass_g, 0.5, 2), mass_g)
        for quantity, label, least, mass_g in wanted
    )


def _temperatures(batch, sets):
    dough_c = float(batch.standard.dough_temperature_c)
    points = []
    if batch.room_c is None:
        points.append(_single(Quantity.ROOM_TEMPERATURE, _("room"), sets, -5, 50))
    # Believed: water from just above freezing to hot from the tap, dough from cool to warm.
    water = Plausible(25, 0.04, 2.4)
    dough = Plausible(dough_c, 0.4, 1.6)
    points.append(_single(Quantity.WATER_TEMPERATURE, _("water"), sets, 0, 100, water))
    points.append(_single(Quantity.DOUGH_TEMPERATURE, _("dough after mixing"), sets, 0, 100, dough))
    return tuple(points)


def _water(batch, sets):
    room_c = batch.room_c
    if room_c is None:
        room_c = _saved(sets, Quantity.ROOM_TEMPERATURE).get(1)
    return water_for(batch.standard, room_c=room_c)


def available_tools(batch, stage, sets) -> tuple[Tool, ...]:
    """Return the instruments in use that read what the stage asks for."""
    if stage.kind not in TOOLS:
        return ()
    used = [sets[quantity].instrument_id for quantity in QUANTITIES[stage.kind] if quantity in sets]
    instruments = Instrument.objects.filter(
        Q(is_active=True, kind__in=TOOLS[stage.kind]) | Q(pk__in=[pk for pk in used if pk])
    )
    return tuple(Tool(row, _tool_warning(batch, stage, row)) for row in instruments)


def _tool_warning(batch, stage, instrument):
    limits = {
        Kind.ROLL: batch.standard.thickness_limits_mm,
        Kind.CUT: batch.standard.width_limits_mm,
    }.get(stage.kind)
    if limits is None or instrument.repeatability_mm is None:
        return ""
    low, high = limits
    check = measurement_check(float(instrument.repeatability_mm), (high - low) / 2)
    if check.grade == "too coarse":
        return _("too coarse here: earns nothing")
    if check.grade == "coarse":
        return _("coarse for this tolerance")
    return ""


def usual_tool(batch, stage, sets) -> int | None:
    """Return the instrument on record, else the one that the cook used last for this."""
    quantities = QUANTITIES[stage.kind]
    for quantity in quantities:
        if quantity in sets:
            return sets[quantity].instrument_id
    return (
        ReadingSet.objects.filter(
            read_by=batch.cook_id,
            quantity__in=quantities,
            instrument__is_active=True,
            # A photo measures by itself: nothing is typed as read with it.
            instrument__kind__in=TOOLS[stage.kind],
        )
        .order_by("-read_at")
        .values_list("instrument_id", flat=True)
        .first()
    )


def few_readings(sheet, entries) -> str:
    """Return a sentence when fewer values are recorded than the standard asks for, else ""."""
    if sheet.stage.kind not in (Kind.ROLL, Kind.CUT):
        return ""
    n = sum(len(entry.values) for entry in entries)
    if not n and sheet.photos is not None and sheet.photos.readings is not None:
        n = sheet.photos.readings.n
    if n >= sheet.wanted:
        return ""
    if not n:
        return _("Nothing measured at “%(stage)s”: this part gets no score and earns nothing.") % {
            "stage": sheet.label
        }
    things = ngettext("strand", "strands", sheet.wanted)
    if sheet.stage.kind == Kind.ROLL:
        things = ngettext("point", "points", sheet.wanted)
    return worth(n, sheet.wanted, things)
