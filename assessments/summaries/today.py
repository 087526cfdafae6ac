"""The day's page: the next thing for a trainee, what waits for a head chef, an owner's counts."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Count, Exists, F, OuterRef, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.standing import Missing, Standing, State
from assessments.models import Batch, Practice
from assessments.summaries.currency import due_condition, near_condition, nudge
from assessments.summaries.log import Timer, next_stage, running_timers, stage_label, stage_url
from assessments.summaries.progress import progress_line, stuck_words
from assessments.summaries.sentence import count_in_words, evidence_sentence
from training.again import due_today
from training.models import Branch, HousePolicy, ModulePage, ModuleProgress, Station
from training.names import told

OPEN_BATCHES = 5
NAMES = 5
BRANCHES = 12


@dataclass(frozen=True, slots=True)
class OpenBatch:
    """An open batch and the stage that comes next; no stage when all are done."""

    batch: Batch
    url: str
    stage: str


@dataclass(frozen=True, slots=True)
class NextModule:
    """The module to read next; ``is_first``: before practising at all."""

    title: str
    summary: str
    minutes: int
    url: str
    is_begun: bool
    is_first: bool


@dataclass(frozen=True, slots=True)
class StationLine:
    """Where the cook stands at one station, in a line or two.

    ``nudge`` says that a renewal is due or draws near; ``forecast`` how far it still is, said once
    for the stations of a style.
    """

    practice: Practice
    state: State
    sentence: str
    nudge: str
    forecast: str
    url: str


@dataclass(frozen=True, slots=True)
class TraineeDay:
    """What a trainee does next, and how far it is to each sign-off."""

    timers: tuple[Timer, ...]
    open_batches: tuple[OpenBatch, ...]
    module: NextModule | None
    questions_again: int
    can_start: bool
    last_batch: Batch | None
    stations: tuple[StationLine, ...]


@dataclass(frozen=True, slots=True)
class CookLine:
    """A cook at a station, with the page of the evidence; ``why`` is a sentence or nothing."""

    practice: Practice
    url: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class ChefDay:
    """What waits for a head chef; the lists are cut to a few names, the numbers are not."""

    waiting: int
    complete_count: int
    complete: tuple[CookLine, ...]
    due_count: int
    due: tuple[CookLine, ...]
    near_count: int
    near: tuple[CookLine, ...]
    stuck_count: int
    stuck: tuple[CookLine, ...]


@dataclass(frozen=True, slots=True)
class BranchCount:
    """How many cooks can hold each station of a branch, in the order of ``stations``."""

    name: str
    url: str
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OwnerDay:
    """Who can hold what, in numbers; branches with an empty station first."""

    stations: tuple[str, ...]
    branches: tuple[BranchCount, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Today:
    """The sections that the roles of a person open; None where a role is not held."""

    trainee: TraineeDay | None
    chef: ChefDay | None
    owner: OwnerDay | None
    is_editor: bool

    @property
    def is_empty(self):
        return not (self.trainee or self.chef or self.owner or self.is_editor)


def today_of(person) -> Today:
    """Return the day of ``person``."""
    day = timezone.localdate()
    policy = HousePolicy.load() if person.is_trainee or person.is_head_chef else None
    return Today(
        trainee=trainee_day(person, day, policy) if person.is_trainee else None,
        chef=chef_day(person, day, policy) if person.is_head_chef else None,
        owner=owner_day() if person.is_owner else None,
        is_editor=person.is_editor,
    )


def trainee_day(cook, day, policy) -> TraineeDay:
    """Return what ``cook`` does next."""
    now = timezone.now()
    batches = Batch.objects.filter(cook=cook)
    still_open = list(
        batches.filter(state=Batch.State.OPEN)
        .select_related("style")
        .prefetch_related("stages")
        .newest_first()[:OPEN_BATCHES]
    )
    stages = [stage for batch in still_open for stage in batch.stages.all()]
    # Asked for within another query: the page of somebody with three roles has none to spare.
    practices = list(
        Practice.objects.for_board().filter(person=cook).annotate(questions_again=due_today(cook))
    )
    return TraineeDay(
        timers=running_timers(stages, now=now),
        open_batches=tuple(_open_batch(batch) for batch in still_open),
        module=next_module(cook, {practice.station_id for practice in practices}),
        questions_again=max((one.questions_again or 0 for one in practices), default=0),
        can_start=bool(practices),
        last_batch=batches.finished().select_related("style", "score").newest_first().first(),
        stations=_station_lines(practices, day, policy),
    )


def _open_batch(batch):
    stage = next_stage(list(batch.stages.all()))
    if stage is None:
        return OpenBatch(batch, reverse("assessments:batch", args=[batch.pk]), "")
    return OpenBatch(batch, stage_url(stage), stage_label(stage))


def next_module(person, stations) -> NextModule | None:
    """Return the first module of ``stations`` not read and answered.

    First what is to be read before practising, then what a sign-off asks for.
    """
    progress = ModuleProgress.objects.filter(person=person, module=OuterRef("pk"))
    done = progress.filter(read_at__isnull=False, answered_at__isnull=False)
    first = Exists(Station.objects.filter(pk__in=stations, read_first=OuterRef("pk")))
    row = (
        ModulePage.objects.originals()
        .live()
        .told("title", "summary")
        .filter(Q(station__in=stations) | first)
        .exclude(Exists(done))
        .annotate(is_first=first)
        .order_by("-is_first", "-required", "station__position", "path")
        .values("told_title", "slug", "told_summary", "minutes_to_read", "is_first")
        .annotate(is_begun=Exists(progress.filter(steps_read__gt=0)))
        .first()
    )
    if row is None:
        return None
    return NextModule(
        title=row["told_title"],
        summary=row["told_summary"],
        minutes=row["minutes_to_read"],
        url=reverse("module", args=[row["slug"]]),
        is_begun=row["is_begun"],
        is_first=row["is_first"],
    )


def _station_lines(practices, day, policy):
    lines, told = [], set()
    for practice in practices:
        standing = practice.standing(today=day, policy=policy)
        forecast = "" if practice.holds else progress_line(practice)
        # Stations of a style mostly share their batches: the same is not said twice.
        if (practice.style_id, forecast) in told:
            forecast = ""
        told.add((practice.style_id, forecast))
        why = nudge(practice, standing, today=day, policy=policy)
        lines.append(
            StationLine(
                practice=practice,
                state=standing.state,
                sentence=station_sentence(practice, standing, policy, is_nudged=bool(why)),
                nudge=why,
                forecast=forecast,
                url=_evidence_url(practice),
            )
        )
    return tuple(lines)


def _evidence_url(practice):
    return reverse("assessments:evidence", args=[practice.person_id, practice.style.slug])


def station_sentence(practice, standing: Standing, policy, *, is_nudged=False) -> str:
    """Say to the cook, in a line, how far it is to the sign-off at a station.

    ``is_nudged``: what there is to say of the renewal is said beside it.
    """
    if standing.can_hold and is_nudged:
        return _("You may hold this station alone.")
    if standing.can_hold:
        return _("You may hold this station alone. Renewal falls due on %(day)s.") % {
            "day": date_format(practice.sign_off.due_on)
        }
    if standing.ready_to_sign:
        return _("All the evidence is there. Your head chef decides.")
    return " ".join(_still_missing(practice, standing.missing, policy))


def _still_missing(practice, missing, policy):
    if Missing.MEASURED in missing:
        yield evidence_sentence(practice)
    if Missing.MODULES in missing:
        left = practice.modules_required - practice.modules_done
        text = ngettext("%(count)s module to read.", "%(count)s modules to read.", left)
        yield capfirst(text % {"count": count_in_words(left)})
    if Missing.OBSERVATIONS in missing:
        left = policy.observations_needed - practice.observations_met
        text = ngettext(
            "%(count)s observation by a head chef to come.",
            "%(count)s observations by a head chef to come.",
            left,
        )
        yield capfirst(text % {"count": count_in_words(left)})
    if Missing.RECENT_OBSERVATION in missing:
        yield _("The last observation is too old: ask your head chef to look again.")


def chef_day(chef, day, policy) -> ChefDay:
    """Return what waits in the branches that ``chef`` heads."""
    branches = chef.headed_branch_ids
    no_decision = Q(sign_off__isnull=True) | Q(withdrawn_at__isnull=False)
    near = no_decision & Q(
        Q(evidence_complete=True) | Q(station__measured=False),
        modules_done__gte=F("modules_required"),
        observations_met__gte=policy.observations_needed,
    )
    renewal = due_condition(day, policy) | near_condition(day, policy)
    flat = no_decision & Q(stuck_batches__gt=0)
    found = (
        Practice.objects.for_board()
        .filter(near | renewal | flat, branch__in=branches)
        .exclude(person=chef)
        .order_by("sign_off__due_on", "person__first_name", "pk")
    )
    # The conditions above only narrow the search; ``standing`` alone says what is complete.
    complete, due, soon, stuck = [], [], [], {}
    for practice in found:
        standing = practice.standing(today=day, policy=policy)
        why = nudge(practice, standing, today=day, policy=policy, own=False)
        if standing.state == State.EVIDENCE_COMPLETE:
            complete.append(_cook_line(practice))
        elif standing.due_for:
            due.append(_cook_line(practice, why))
        elif why:
            soon.append(_cook_line(practice, why))
        if practice.stuck_batches and not practice.holds:
            # Once for all stations of the style: they mostly share their batches.
            line = _cook_line(practice, capfirst(stuck_words(practice)))
            stuck.setdefault((practice.person_id, practice.style_id), line)
    longest = sorted(stuck.values(), key=lambda line: -line.practice.stuck_batches)
    return ChefDay(
        waiting=Batch.objects.waiting_for(chef).count(),
        complete_count=len(complete),
        complete=tuple(complete[:NAMES]),
        due_count=len(due),
        due=tuple(due[:NAMES]),
        near_count=len(soon),
        near=tuple(soon[:NAMES]),
        stuck_count=len(longest),
        stuck=tuple(longest[:NAMES]),
    )


def _cook_line(practice, why=""):
    return CookLine(practice, _evidence_url(practice), why)


def owner_day() -> OwnerDay:
    """Return, for each branch, how many cooks can hold each station."""
    holds = Q(
        practices__ended_on__isnull=True,
        practices__person__is_active=True,
        practices__sign_off__isnull=False,
        practices__withdrawn_at__isnull=True,
    )
    rows = (
        Branch.objects.order_by("name")
        .values_list("name", "slug", "practices__station__position", "practices__station__name")
        .annotate(n=Count("practices__person", filter=holds, distinct=True))
    )
    places: set[tuple[int, str]] = set()
    branches: dict[tuple[str, str], dict[str, int]] = {}
    for name, slug, position, station, n in rows:
        held = branches.setdefault((name, slug), {})
        if station is not None:
            places.add((position, station))
            held[station] = n
    stations = tuple(station for _position, station in sorted(places))
    lines = sorted(
        (_branch_count(name, slug, held, stations) for (name, slug), held in branches.items()),
        key=lambda line: min(line.counts, default=0),
    )
    return OwnerDay(
        tuple(map(told, stations)), tuple(lines[:BRANCHES]), max(0, len(lines) - BRANCHES)
    )


def _branch_count(name, slug, held: Mapping[str, int], stations):
    return BranchCount(
        name=name,
        url=reverse("assessments:readiness_branch", args=[slug]),
        counts=tuple(held.get(station, 0) for station in stations),
    )
