"""Writes the batches of the demo house, many at a time, with everything that hangs on a batch."""

import uuid
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from decimal import Decimal

import numpy as np
from django.conf import settings
from django.utils import timezone

from assessments.actions.find_patterns import store_patterns
from assessments.actions.log_batch import finish_batch, plan_stages, reading_set, season_for
from assessments.actions.measure_photograph import keep_photograph, measure_photograph
from assessments.actions.score_batch import compute_score
from assessments.calculations.dough import DoughFormula, FormulaFlour, OtherIngredient, bench_sheet
from assessments.calculations.instruments import choose_strands
from assessments.demo_house.practice_model import (
    Drawn,
    Hand,
    Target,
    batch_rng,
    draw_batch,
    strand_seed,
)
from assessments.models import Batch, Event, Instrument, Part, ReadingSet, Review, Score, Stage
from training.models import Branch, HousePolicy, StandardVersion, Style, User

ROW_LIMIT = 2000
PORTIONS = 10
PHOTOS = settings.BASE_DIR / "media" / "photographs"
STRANDS_ON_THE_CARD = 20
WORK_MIN = {
    Stage.Kind.WEIGH: 9,
    Stage.Kind.MIX: 16,
    Stage.Kind.ROLL: 20,
    Stage.Kind.CUT: 18,
    Stage.Kind.COOL: 4,
}
WORDS_TO_A_COOK = {
    Part.WIDTH: "Look at the guide board: the knife has to land upright. One more batch, please.",
    Part.THICKNESS: "Measure the four corners before you fold. One more batch, please.",
    Part.HYDRATION: "Weigh the water again after pouring. One more batch, please.",
}
ANOTHER_BELOW = 55


@dataclass
class Bench:
    """What every batch of the house needs, read once.

    ``standards`` holds, for each style's short name, the published versions with their recipe,
    newest first; ``strands`` how many strands a dough of the style gives; ``made`` how many
    batches each cook has made of each style.
    """

    now: datetime
    policy: HousePolicy
    styles: dict[str, Style]
    standards: dict[str, list[StandardVersion]]
    strands: dict[str, int]
    instruments: dict[str, Instrument]
    made: dict[tuple[int, str], int] = field(default_factory=lambda: defaultdict(int))

    @property
    def today(self):
        return timezone.localdate(self.now)

    def moment(self, days_ago, hour, minute=0):
        """Return a local time of the day ``days_ago``, never later than now."""
        day = self.today - timedelta(days=days_ago)
        return min(self.now, timezone.make_aware(datetime.combine(day, time(hour, minute))))

    def standard_on(self, style, day):
        """Return the version of a style in force on a day."""
        return next(v for v in self.standards[style] if v.in_force_from <= day)


@dataclass(frozen=True, slots=True)
class Maker:
    """Who makes a batch, where, with which hand; ``draws_as`` names the random numbers.

    ``chefs`` are the head chefs of the branch; the first looks at the batches.
    """

    person: User
    branch: Branch
    chefs: tuple[User, ...]
    hand: Hand
    draws_as: str

    @property
    def chef(self):
        return self.chefs[0]


@dataclass(frozen=True, slots=True)
class Made:
    """A batch as drawn, with the rows that hang on it, all unsaved."""

    batch: Batch
    stages: list[Stage]
    readings: list[ReadingSet]
    drawn: Drawn


def make_batch(bench, maker, style, opened_at, *, width_tool="bench caliper") -> Made:
    """Return the cook's next batch of ``style``, open, weighed, rolled and cut."""
    made_on = timezone.localdate(opened_at)
    standard = bench.standard_on(style, made_on)
    key = (maker.person.pk, style)
    bench.made[key] += 1
    number = bench.made[key]
    seed = strand_seed(maker.draws_as, style, number)
    strands = bench.strands[style]
    positions = choose_strands(strands, standard.strands_to_measure, seed)
    tools = {
        "width": bench.instruments[width_tool],
        "thickness": bench.instruments["thickness gauge"],
    }
    drawn = draw_batch(
        maker.hand,
        target_of(standard),
        number=number,
        positions=positions,
        strands=strands,
        width_sd_mm=float(tools["width"].repeatability_mm),
        thickness_sd_mm=float(tools["thickness"].repeatability_mm),
        rng=batch_rng(maker.draws_as, style, number),
    )
    season = season_for(standard, month=made_on.month, room_c=drawn.room_c)
    batch = Batch(
        cook=maker.person,
        branch=maker.branch,
        style=bench.styles[style],
        standard=standard,
        client_key=uuid.uuid4(),
        made_on=made_on,
        opened_at=opened_at,
        opened_by=maker.person,
        portions=PORTIONS,
        room_c=Decimal(str(drawn.room_c)),
        season_name=season.name,
        hydration_target_percent=round(season.hydration_percent, 2),
        salt_target_percent=round(season.salt_percent, 2),
        strands_expected=strands,
        strand_seed=seed,
    )
    readings = read_batch(bench, batch, drawn, positions, tools)
    return Made(batch, plan_stages(batch), readings, drawn)


def target_of(standard) -> Target:
    """Return what the practice model needs of a version."""
    return Target(
        width_mm=float(standard.width_target_mm),
        width_tolerance_mm=float(standard.width_tolerance_plus_mm),
        thickness_mm=float(standard.thickness_target_mm),
        thickness_tolerance_mm=float(standard.thickness_tolerance_plus_mm),
        rows=standard.thickness_rows,
        columns=standard.thickness_columns,
        boil_min=float(standard.boil_time_min),
    )


def read_batch(bench, batch, drawn, positions, tools):
    """Return the readings of a batch as rows, unsaved."""
    quantity = ReadingSet.Quantity
    flour_g, water_g, salt_g = weigh(batch, drawn)
    scale = bench.instruments["bench scale"]
    rows = [
        (quantity.FLOUR, [flour_g], None, scale),
        (quantity.WATER, [water_g], None, scale),
        *([(quantity.SALT, [salt_g], None, scale)] if salt_g else []),
        (quantity.DOUGH_TEMPERATURE, [drawn.dough_c], None, None),
        (quantity.THICKNESS, drawn.grid_mm, None, tools["thickness"]),
        (quantity.WIDTH, drawn.widths_mm, positions, tools["width"]),
        (quantity.BOIL_TIME, [drawn.boil_min], None, None),
    ]
    return [
        reading_set(batch, name, values, by=batch.cook, positions=places, instrument=tool)
        for name, values, places, tool in rows
    ]


def weigh(batch, drawn):
    """Return grams of flour and starch, of water and of salt, the water with its error."""
    standard = batch.standard
    sheet = bench_sheet(
        DoughFormula(
            flours=tuple(
                FormulaFlour(flour.name, float(flour.percent), flour.kind)
                for flour in standard.flours.all()
            ),
            hydration_percent=float(batch.hydration_target_percent),
            salt_percent=float(batch.salt_target_percent),
            others=tuple(
                OtherIngredient(other.name, float(other.percent)) for other in standard.others.all()
            ),
        ),
        portions=batch.portions,
        portion_g=float(standard.portion_g),
        loss_percent=float(standard.allowance_percent),
    )
    flour_g = sum(line.mass_g for line in sheet.flours)
    water_percent = float(batch.hydration_target_percent) + drawn.water_off_pp
    salt_g = sheet.salt_g + flour_g * drawn.salt_off_pp / 100
    return flour_g, float(round(flour_g * water_percent / 100)), salt_g


def run_stages(made) -> datetime:
    """Set the times of all stages of a batch and of its readings; return when it was done."""
    at = made.batch.opened_at
    slowness = made.drawn.handling_min / sum(WORK_MIN.values())
    ends = {}
    for stage in made.stages:
        minutes = float(stage.planned_min or 0) or WORK_MIN[stage.kind] * slowness
        if stage.kind == Stage.Kind.REST:
            minutes *= made.drawn.rest_share
        if stage.planned_min is not None:
            stage.timer_started_at = at
        at += timedelta(minutes=minutes)
        stage.done_at = at
        ends[stage.kind] = at
    quantity, kind = ReadingSet.Quantity, Stage.Kind
    read_after = {
        quantity.THICKNESS: kind.ROLL,
        quantity.WIDTH: kind.CUT,
        quantity.BOIL_TIME: kind.BOIL,
        quantity.DOUGH_TEMPERATURE: kind.MIX,
    }
    for readings in made.readings:
        readings.read_at = ends[read_after.get(readings.quantity, kind.WEIGH)]
    return at


def finish(bench, made):
    """Close and score a batch; return its ``Score``, unsaved."""
    batch = made.batch
    batch.finished_at = min(bench.now, run_stages(made) + timedelta(minutes=2))
    batch.state = Batch.State.FINISHED
    batch.score_seen_at = min(bench.now, batch.finished_at + timedelta(minutes=1))
    readings = {row.quantity: row for row in made.readings}
    score = compute_score(batch, readings, batch.standard, policy=bench.policy)
    score.scored_at = batch.finished_at
    return score


def look_at(bench, maker, batch, score):
    """Return the head chef's review of a finished batch, unsaved."""
    poor = score.score is not None and score.score < ANOTHER_BELOW
    at = min(bench.now, batch.finished_at + timedelta(minutes=45))
    batch.reviewed_at = at
    return Review(
        batch=batch,
        reviewer=maker.chef,
        decision=Review.Decision.ANOTHER if poor else Review.Decision.AGREED,
        note=WORDS_TO_A_COOK[Part(score.limiting)] if poor else "",
        decided_at=at,
    )


def practise(bench, maker, happening):
    """Write the batches of a stretch of practice, finished, scored and looked at."""
    days = np.round(np.linspace(happening.first_day, happening.last_day, happening.batches)).astype(
        int
    )
    made, scores, reviews, on_day = [], [], [], defaultdict(int)
    for i, day in enumerate(days.tolist()):
        opened_at = bench.moment(day, 7 + 5 * min(on_day[day], 2), 10 + 7 * (i % 5))
        on_day[day] += 1
        one = make_batch(bench, maker, happening.style, opened_at, width_tool=happening.width_tool)
        score = finish(bench, one)
        if i < happening.batches - happening.waiting:
            reviews.append(look_at(bench, maker, one.batch, score))
        made.append(one)
        scores.append(score)
    save(made, scores, reviews)


def save(made, scores=(), reviews=()):
    """Write batches and what hangs on them in a few statements."""
    Batch.objects.bulk_create([one.batch for one in made], batch_size=ROW_LIMIT)
    Stage.objects.bulk_create([row for one in made for row in one.stages], batch_size=ROW_LIMIT)
    ReadingSet.objects.bulk_create(
        [row for one in made for row in one.readings], batch_size=ROW_LIMIT
    )
    Score.objects.bulk_create(scores, batch_size=ROW_LIMIT)
    finished = [one for one in made if one.batch.state == Batch.State.FINISHED]
    store_patterns((one.batch, {row.quantity: row for row in one.readings}) for one in finished)
    Review.objects.bulk_create(reviews, batch_size=ROW_LIMIT)
    Event.objects.bulk_create(events_of(made, scores, reviews), batch_size=ROW_LIMIT)


def events_of(made, scores, reviews):
    """Return the log of what happened to the batches, as the actions would have written it."""
    verb = Event.Verb
    for one in made:
        batch = one.batch
        yield event(verb.BATCH_OPENED, batch.cook, batch, batch.opened_at)
        for row in one.readings:
            data = {"quantity": row.quantity, "n": row.n}
            yield event(verb.READINGS_RECORDED, batch.cook, batch, row.read_at, data)
    for score in scores:
        batch = score.batch
        yield event(
            verb.BATCH_FINISHED, batch.cook, batch, batch.finished_at, {"score": score.score}
        )
    for review in reviews:
        yield event(
            verb.BATCH_REVIEWED,
            review.reviewer,
            review.batch,
            review.decided_at,
            {"decision": review.decision},
        )


def event(verb, actor, batch, at, data=None):
    """Return one event about a batch, unsaved."""
    return Event(
        verb=verb,
        actor=actor,
        subject=batch.cook,
        object_type="batch",
        object_id=batch.pk,
        at=at,
        data=data or {},
    )


def give_up(bench, maker, happening):
    """Write a batch that was opened, weighed and given up; return it."""
    made = make_batch(bench, maker, happening.style, bench.moment(happening.days_ago, 8, 5))
    batch = made.batch
    batch.state = Batch.State.ABANDONED
    batch.abandoned_at = batch.opened_at + timedelta(hours=2)
    save([Made(batch, made.stages, [], made.drawn)])
    Event.objects.bulk_create(
        [event(Event.Verb.BATCH_ABANDONED, maker.person, batch, batch.abandoned_at)]
    )
    return batch


def keep_open(bench, maker, happening):
    """Write a batch that is weighed, mixed and trodden once, with the timer of its rest running."""
    rest_at = bench.now - timedelta(minutes=happening.rest_started_min_ago)
    made = make_batch(bench, maker, happening.style, rest_at)
    rest = next(i for i, stage in enumerate(made.stages) if stage.kind == Stage.Kind.REST)
    at = rest_at
    made.stages[rest].timer_started_at = at
    for stage in reversed(made.stages[:rest]):
        stage.done_at = at
        minutes = float(stage.planned_min or WORK_MIN[stage.kind])
        at -= timedelta(minutes=minutes)
        if stage.planned_min is not None:
            stage.timer_started_at = at
    batch = made.batch
    batch.opened_at = at
    batch.made_on = timezone.localdate(at)
    weighed = {ReadingSet.Quantity.FLOUR, ReadingSet.Quantity.WATER, ReadingSet.Quantity.SALT}
    readings = [row for row in made.readings if row.quantity in weighed]
    for row in readings:
        row.read_at = made.stages[0].done_at
    save([Made(batch, made.stages, readings, made.drawn)])


def lay_on_card(bench, maker, happening):
    """Write a batch that is cut, with the photo of its strands on the card really measured.

    It stays open, or is finished by the site's own action.
    """
    cut_at = bench.now - timedelta(minutes=happening.cut_min_ago)
    made = make_batch(bench, maker, happening.style, cut_at)
    batch = made.batch
    batch.strands_expected = STRANDS_ON_THE_CARD
    shift = cut_at - run_stages(made)
    later = {ReadingSet.Quantity.WIDTH, ReadingSet.Quantity.BOIL_TIME}
    readings = [row for row in made.readings if row.quantity not in later]
    batch.opened_at += shift
    batch.made_on = timezone.localdate(batch.opened_at)
    for row in readings:
        row.read_at += shift
    cut = next(i for i, stage in enumerate(made.stages) if stage.kind == Stage.Kind.CUT)
    done = len(made.stages) if happening.finished else cut
    for stage in made.stages[:done]:
        stage.done_at += shift
        if stage.timer_started_at:
            stage.timer_started_at += shift
    for stage in made.stages[done:]:
        stage.done_at = stage.timer_started_at = None
    save([Made(batch, made.stages, readings, made.drawn)])
    photo = (PHOTOS / f"{happening.photo}.jpg").read_bytes()
    photograph = keep_photograph(batch, photo, client_key=uuid.uuid4(), by=maker.person)
    # At once, whatever does the house's background work: the demo shows the result.
    measure_photograph.func(photograph.pk)
    if happening.finished:
        finish_batch(batch, by=maker.person)
