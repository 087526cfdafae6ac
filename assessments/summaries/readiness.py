"""Who can hold which station of which branch on a day.

Counts and states of many cooks are told apart by the database, on one page of branches; the cooks
that are shown by name are few, and their state is the word of ``Practice.standing``.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from django.core.paginator import Page, Paginator
from django.db.models import Case, CharField, Count, F, IntegerField, Q, Value, When, Window
from django.db.models.functions import RowNumber
from django.utils.translation import gettext as _

from assessments.calculations.standing import State
from assessments.models import Practice
from assessments.summaries.currency import HOLDS, due_condition, due_conditions, due_words
from assessments.summaries.sentence import state_word
from training.models import Branch, HousePolicy, Role, Station, User
from training.names import told

BRANCHES_ON_A_PAGE = 20
NAMES_IN_A_CELL = 6
COOKS_ON_A_PAGE = 100
ROWS_AT_A_TIME = 2000
# Those who can hold the station first, then those who are nearest to it.
ORDER = (
    State.SIGNED_OFF,
    State.RENEWAL_DUE,
    State.EVIDENCE_COMPLETE,
    State.PRACTISING,
    State.WITHDRAWN,
    State.NOT_STARTED,
)
HOLDING = ORDER[:2]


@dataclass(frozen=True, slots=True)
class Filters:
    """What the board is narrowed to; slugs, empty for everything."""

    style: str = ""
    branch: str = ""
    state: str = ""

    @property
    def any(self):
        return bool(self.style or self.branch or self.state)


@dataclass(frozen=True, slots=True)
class Mark:
    """One cook at a station with the styles that share a state, and why a renewal is due."""

    cook: str
    styles: tuple[str, ...]
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StateGroup:
    """The cooks at a station who share a state."""

    state: State
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """A station of a branch: how many people can hold it, some cooks by state, how many more."""

    station: str
    can_hold: int
    groups: tuple[StateGroup, ...]
    more: int


@dataclass(frozen=True, slots=True)
class BranchRow:
    """A branch with its stations; ``opens_on`` is None for one that is open."""

    name: str
    slug: str
    opens_on: date | None
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """One page of branches by stations."""

    today: date
    stations: tuple[str, ...]
    rows: tuple[BranchRow, ...]
    page: Page


@dataclass(frozen=True, slots=True)
class CookRow:
    """A cook of a branch with the marks at each station, in the order of the stations."""

    pk: int
    name: str
    cells: tuple[tuple[str, tuple[StateGroup, ...]], ...]


@dataclass(frozen=True, slots=True)
class BranchBoard:
    """All cooks of one branch by stations."""

    today: date
    name: str
    slug: str
    opens_on: date | None
    cells: tuple[Cell, ...]
    cooks: tuple[CookRow, ...]
    page: Page


def visible_branches(viewer) -> list[Branch]:
    """Return the branches whose readiness ``viewer`` may see, by name."""
    if viewer.is_owner:
        return list(Branch.objects.all())
    return list(Branch.objects.filter(pk__in=viewer.headed_branch_ids))


def opens_later(branch, today):
    """Return the day on which a branch opens, None when it is open."""
    return branch.opens_on if branch.opens_on and branch.opens_on > today else None


def state_conditions(today, policy) -> tuple[tuple[Q, State], ...]:
    """Return the states of ``standing`` as conditions on a practice; the first that holds.

    A test compares every case with ``Practice.standing``.
    """
    recent_from = today - timedelta(days=policy.observation_recent_days)
    nothing_missing = (
        (Q(station__measured=False) | Q(evidence_complete=True))
        & Q(modules_done__gte=F("modules_required"))
        & Q(observations_met__gte=policy.observations_needed, last_met_on__gte=recent_from)
    )
    begun = Q(counted__gt=0) | Q(modules_done__gt=0) | Q(observations_met__gt=0)
    return (
        (due_condition(today, policy), State.RENEWAL_DUE),
        (HOLDS, State.SIGNED_OFF),
        (nothing_missing, State.EVIDENCE_COMPLETE),
        (Q(withdrawn_at__isnull=False), State.WITHDRAWN),
        (begun, State.PRACTISING),
    )


def with_state(practices, today, policy):
    """Annotate practices with ``state_order``, the place of their state in ``ORDER``."""
    whens = [
        When(condition, then=Value(ORDER.index(state)))
        for condition, state in state_conditions(today, policy)
    ]
    order = Case(*whens, default=Value(ORDER.index(State.NOT_STARTED)), output_field=IntegerField())
    return practices.annotate(state_order=order)


def practices_for(branch_ids, filters, today, policy):
    """Return the running practices in these branches that the filters let through."""
    practices = Practice.objects.filter(
        ended_on__isnull=True, person__is_active=True, branch__in=branch_ids
    )
    if filters.style:
        practices = practices.filter(style__slug=filters.style)
    practices = with_state(practices, today, policy)
    if filters.state:
        practices = practices.filter(state_order=ORDER.index(State(filters.state)))
    return practices


def readiness_board(branches, filters, *, today, number=1) -> Board:
    """Return one page of these branches by stations."""
    policy = HousePolicy.load()
    stations = list(Station.objects.practised())
    wanted = [branch for branch in branches if filters.branch in ("", branch.slug)]
    page = Paginator(wanted, BRANCHES_ON_A_PAGE).get_page(number)
    cells = branch_cells(page.object_list, stations, filters, today, policy)
    rows = tuple(
        BranchRow(branch.name, branch.slug, opens_later(branch, today), cells[branch.pk])
        for branch in page.object_list
    )
    return Board(today, tuple(str(station) for station in stations), rows, page)


def holders(branch_ids, filters) -> dict[tuple[int, int], int]:
    """Return how many people can hold each station, by (branch id, station id)."""
    held = Practice.objects.filter(
        HOLDS, ended_on__isnull=True, person__is_active=True, branch__in=branch_ids
    )
    if filters.style:
        held = held.filter(style__slug=filters.style)
    counts = held.values_list("branch", "station").annotate(Count("person", distinct=True))
    return {(branch, station): count for branch, station, count in counts}


def branch_cells(branches, stations, filters, today, policy) -> dict[int, tuple[Cell, ...]]:
    """Return the cells of these branches, by branch id, in three queries."""
    branch_ids = [branch.pk for branch in branches]
    can_hold = holders(branch_ids, filters)
    practices = practices_for(branch_ids, filters, today, policy)
    counts = practices.values_list("branch", "station").annotate(Count("pk"))
    total = {(branch, station): count for branch, station, count in counts}
    place = Window(
        RowNumber(),
        partition_by=[F("branch"), F("station")],
        order_by=["state_order", "person__first_name", "person__last_name", "pk"],
    )
    shown = defaultdict(list)
    few = practices.annotate(place=place).filter(place__lte=NAMES_IN_A_CELL).order_by("place")
    for practice in few.with_names():
        shown[practice.branch_id, practice.station_id].append(practice)
    return {
        branch.pk: tuple(
            Cell(
                station=str(station),
                can_hold=can_hold.get((branch.pk, station.pk), 0),
                groups=by_state(shown[branch.pk, station.pk], today, policy),
                more=total.get((branch.pk, station.pk), 0) - len(shown[branch.pk, station.pk]),
            )
            for station in stations
        )
        for branch in branches
    }


def by_state(practices, today, policy) -> tuple[StateGroup, ...]:
    """Gather practices at one station by state and cook, those who can hold the station first."""
    states: dict[State, dict[int, list]] = defaultdict(lambda: defaultdict(list))
    for practice in practices:
        standing = practice.standing(today=today, policy=policy)
        why = due_words(standing.due_for, policy)
        states[standing.state][practice.person_id].append((practice, why))
    return tuple(
        StateGroup(state, tuple(_mark(some) for some in states[state].values()))
        for state in ORDER
        if state in states
    )


def _mark(practices):
    return Mark(
        cook=str(practices[0][0].person),
        styles=tuple(str(practice.style) for practice, _why in practices),
        reasons=tuple(dict.fromkeys(why for _practice, why in practices if why)),
    )


def branch_board(branch, filters, *, today, number=1) -> BranchBoard:
    """Return the cooks of a branch by stations, a hundred at a time."""
    policy = HousePolicy.load()
    stations = list(Station.objects.practised())
    practices = practices_for([branch.pk], filters, today, policy)
    people = Q(pk__in=practices.values("person"))
    if not filters.style and not filters.state:
        # Somebody who practises nothing yet belongs on the page too.
        trainees = Role.objects.filter(kind=Role.Kind.TRAINEE, branch=branch)
        people |= Q(pk__in=trainees.values("person"))
    cooks = User.objects.filter(people, is_active=True).order_by("first_name", "last_name", "pk")
    page = Paginator(cooks, COOKS_ON_A_PAGE).get_page(number)
    shown = list(page.object_list)
    running = defaultdict(list)
    for practice in practices.filter(person__in=shown).with_names().order_by("style__position"):
        running[practice.person_id, practice.station_id].append(practice)
    can_hold = holders([branch.pk], filters)
    return BranchBoard(
        today=today,
        name=branch.name,
        slug=branch.slug,
        opens_on=opens_later(branch, today),
        cells=tuple(
            Cell(str(station), can_hold.get((branch.pk, station.pk), 0), (), 0)
            for station in stations
        ),
        cooks=tuple(
            CookRow(
                cook.pk,
                str(cook),
                tuple(
                    (str(station), by_state(running[cook.pk, station.pk], today, policy))
                    for station in stations
                ),
            )
            for cook in shown
        ),
        page=page,
    )


def readiness_rows(branches, filters, *, today) -> Iterator[tuple]:
    """Yield heading and rows of the board for a spreadsheet: one for each cook, station and style.

    A station of which the filters leave nobody has one row, too. Rows are read as they are sent.
    """
    policy = HousePolicy.load()
    stations = list(Station.objects.practised())
    branches = [branch for branch in branches if filters.branch in ("", branch.slug)]
    branch_ids = [branch.pk for branch in branches]
    can_hold = holders(branch_ids, filters)
    # A quarter of a million rows in a large house: plain values, states told by the database.
    reasons = [When(condition, then=Value(why)) for condition, why in due_conditions(today, policy)]
    practices = (
        practices_for(branch_ids, filters, today, policy)
        .annotate(due_for=Case(*reasons, default=Value(""), output_field=CharField()))
        .order_by(
            "branch__name",
            "station__position",
            "station__name",
            "state_order",
            "person__first_name",
            "person__last_name",
            "pk",
        )
        .values_list(
            "branch",
            "station",
            "state_order",
            "person__first_name",
            "person__last_name",
            "person__username",
            "style__name",
            "sign_off__due_on",
            "due_for",
        )
    )
    yield (
        _("branch"),
        _("opens on"),
        _("station"),
        _("people who can hold it"),
        _("cook"),
        _("style"),
        _("state"),
        _("renewal due on"),
        _("renewal due because"),
    )
    found = groupby(practices.iterator(chunk_size=ROWS_AT_A_TIME), lambda row: row[:2])
    place, group = next(found, (None, ()))
    for branch in branches:
        opens_on = opens_later(branch, today)
        for station in stations:
            start = (
                branch.name,
                opens_on.isoformat() if opens_on else "",
                str(station),
                can_hold.get((branch.pk, station.pk), 0),
            )
            if place != (branch.pk, station.pk):
                yield (*start, _("nobody"), "", "", "", "")
                continue
            for _branch, _station, order, *name, username, style, due_on, due_for in group:
                state = ORDER[order]
                yield (
                    *start,
                    " ".join(name).strip() or username,
                    told(style),
                    state_word(state),
                    due_on.isoformat() if state in HOLDING else "",
                    due_words(due_for, policy),
                )
            place, group = next(found, (None, ()))
