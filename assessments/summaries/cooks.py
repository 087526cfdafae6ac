"""The cooks whom a person may see, and what is known of one of them."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime

from django.core.paginator import Page, Paginator
from django.db.models import Exists, F, OuterRef, Prefetch, Q, Window
from django.db.models.functions import RowNumber
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from assessments.calculations.standing import State
from assessments.models import Batch, Event, Practice, Review
from assessments.summaries.assessors import unrated_by
from assessments.summaries.currency import due_words
from assessments.summaries.habits import first_habit
from assessments.summaries.patterns import LATELY, said_of
from assessments.summaries.progress import progress_line, stuck_words
from training.access import can_assess
from training.models import HousePolicy, Role, Style, User
from training.names import listed, told

PAGE_SIZE = 50
LAST_EVENTS = 20


@dataclass(frozen=True, slots=True)
class PracticeMark:
    """One style and station of a cook, with the state there."""

    practice_id: int
    style: str
    style_slug: str
    station: str
    state: State
    why: str
    stuck: str
    is_override: bool
    since: date


@dataclass(frozen=True, slots=True)
class CookLine:
    """One cook of the list."""

    pk: int
    name: str
    branches: tuple[str, ...]
    is_active: bool
    marks: tuple[PracticeMark, ...]


@dataclass(frozen=True, slots=True)
class CookList:
    """One page of the cooks whom a viewer may see."""

    lines: tuple[CookLine, ...]
    page: Page


def person_with_roles(pk, *, viewer):
    """Return a person by key, the roles of both read in one query; Http404 for nobody."""
    roles = (
        Role.objects.filter(person__in=[viewer.pk, pk])
        .select_related("branch", "person")
        .order_by("kind", "branch__name")
    )
    held = {viewer.pk: [], pk: []}
    people = {}
    for role in roles:
        held[role.person_id].append(role)
        people[role.person_id] = role.person
    viewer.held_roles = held[viewer.pk]
    if pk == viewer.pk:
        return viewer
    person = people.get(pk) or get_object_or_404(User, pk=pk)
    person.held_roles = held[pk]
    return person


def visible_cooks(viewer, *, branch=None, words=""):
    """Return the people who practise in ``branch``, by default wherever ``viewer`` may look.

    ``words`` are looked for in names; people who have left are found by name only.
    """
    roles = Role.objects.filter(kind=Role.Kind.TRAINEE)
    if not viewer.is_owner:
        roles = roles.filter(branch__in=viewer.headed_branch_ids)
    if branch is not None:
        roles = roles.filter(branch=branch)
    cooks = User.objects.filter(pk__in=roles.values("person"))
    for word in words.split():
        cooks = cooks.filter(
            Q(first_name__icontains=word)
            | Q(last_name__icontains=word)
            | Q(username__icontains=word)
        )
    if not words:
        cooks = cooks.filter(is_active=True)
    return cooks.order_by("first_name", "last_name", "pk")


def cook_list(viewer, *, branch=None, words="", number=1):
    """Return page ``number`` of the cooks whom ``viewer`` may see, with their states."""
    cooks = visible_cooks(viewer, branch=branch, words=words)
    page = Paginator(cooks.prefetch_related(*_of_cook()), PAGE_SIZE).get_page(number)
    today, policy = timezone.localdate(), HousePolicy.load()
    return CookList(
        lines=tuple(cook_line(cook, today=today, policy=policy) for cook in page),
        page=page,
    )


def _of_cook():
    return (
        Prefetch(
            "roles",
            queryset=Role.objects.filter(kind=Role.Kind.TRAINEE)
            .select_related("branch")
            .order_by("branch__name"),
            to_attr="practising_in",
        ),
        Prefetch("practices", queryset=current_practices(), to_attr="current_practices"),
    )


def current_practices():
    """Return the practices that go on, with what a mark shows, in the order of work."""
    return (
        Practice.objects.filter(ended_on__isnull=True)
        .select_related("style", "station", "sign_off")
        .defer("sign_off__evidence")
        .order_by("style__position", "style__name", "station__position", "station__name")
    )


def cook_line(cook, *, today, policy):
    """Return a cook of the list with the states of their practices."""
    return CookLine(
        pk=cook.pk,
        name=str(cook),
        branches=tuple(role.branch.name for role in cook.practising_in),
        is_active=cook.is_active,
        marks=tuple(
            practice_mark(practice, today=today, policy=policy)
            for practice in cook.current_practices
        ),
    )


def practice_mark(practice, *, today, policy):
    """Return a practice with its state on ``today``."""
    standing = practice.standing(today=today, policy=policy)
    return PracticeMark(
        practice_id=practice.pk,
        style=str(practice.style),
        style_slug=practice.style.slug,
        station=str(practice.station),
        state=standing.state,
        why=due_words(standing.due_for, policy),
        stuck="" if practice.holds else stuck_words(practice),
        is_override=bool(practice.holds and practice.sign_off.is_override),
        since=practice.started_on,
    )


@dataclass(frozen=True, slots=True)
class EventLine:
    """One thing that happened, as a sentence; ``url`` is empty where there is nothing to open."""

    at: datetime
    text: str
    url: str


@dataclass(frozen=True, slots=True)
class StyleLine:
    """A style that the cook practises or has practised, with the states at its stations.

    ``lines`` say how far it is, or whether the evenness holds; ``habit`` what to change first.
    """

    name: str
    slug: str
    marks: tuple[PracticeMark, ...]
    lines: tuple[str, ...]
    habit: str


@dataclass(frozen=True, slots=True)
class CookPage:
    """What is known of one cook."""

    cook: User
    branches: tuple[str, ...]
    is_own: bool
    styles: tuple[StyleLine, ...]
    events: tuple[EventLine, ...]


def cook_page(cook, *, viewer):
    """Return the ``CookPage`` of ``cook``."""
    today, policy = timezone.localdate(), HousePolicy.load()
    practices = list(current_practices().filter(person=cook))
    is_own = viewer.pk == cook.pk
    habits = first_habits(cook, viewer)
    made = Batch.objects.filter(cook=cook, style=OuterRef("pk"))
    styles = Style.objects.filter(
        Exists(made) | Q(pk__in={practice.style_id for practice in practices})
    ).order_by("position", "name")
    return CookPage(
        cook=cook,
        branches=tuple(
            role.branch.name for role in cook.held_roles if role.kind == Role.Kind.TRAINEE
        ),
        is_own=is_own,
        styles=tuple(
            style_line(
                style,
                [practice for practice in practices if practice.style_id == style.pk],
                habits.get(style.pk, ""),
                today=today,
                policy=policy,
            )
            for style in styles
        ),
        events=last_events(cook),
    )


def style_line(style, practices, habit, *, today, policy):
    """Return a style with where its practices stand; what is true of several is said once."""
    return StyleLine(
        name=str(style),
        slug=style.slug,
        marks=tuple(practice_mark(practice, today=today, policy=policy) for practice in practices),
        lines=progress_lines(practices),
        habit=habit,
    )


def progress_lines(practices):
    """Return how far it is at each station of a style, with its name where stations differ."""
    stations = defaultdict(list)
    for practice in practices:
        line = progress_line(practice)
        if line:
            stations[line].append(str(practice.station))
    if len(stations) < 2:
        return tuple(stations)
    return tuple(
        _("%(stations)s: %(line)s") % {"stations": capfirst(listed(names)), "line": line}
        for line, names in stations.items()
    )


def first_habits(cook, viewer):
    """Return what is the matter again and again, first line only, by style id; two queries.

    Only batches of which ``viewer`` may know the score.
    """
    place = Window(
        RowNumber(),
        partition_by=F("style"),
        order_by=[F("made_on").desc(), F("opened_at").desc(), F("pk").desc()],
    )
    batches = Batch.objects.finished().filter(cook=cook, patterns__isnull=False)
    # A pattern told before the score is seen would let readings be corrected for points.
    if viewer.pk == cook.pk:
        batches = batches.filter(score_seen_at__isnull=False)
    elif can_assess(viewer, cook):
        batches = batches.exclude(unrated_by(viewer))
    last = batches.annotate(place=place).filter(place__lte=LATELY).order_by("-place")
    said = defaultdict(list)
    for batch in last.select_related("patterns").prefetch_related("found"):
        one = said_of(batch)
        if one is not None:
            said[batch.style_id].append(one)
    return {style: first_habit(ones) for style, ones in said.items()}


def last_events(cook):
    """Return the last events about ``cook`` in words, without each single reading."""
    quiet = (Event.Verb.BATCH_OPENED, Event.Verb.READINGS_RECORDED)
    events = Event.objects.filter(subject=cook).exclude(verb__in=quiet).select_related("actor")
    return tuple(
        EventLine(at=event.at, text=event_text(event), url=event_url(event))
        for event in events[:LAST_EVENTS]
    )


def event_text(event):
    """Return an event as a sentence."""
    return event_pattern(event) % {
        "who": event.actor or _("The site"),
        "what": event.get_verb_display(),
        "reason": event.data.get("reason", ""),
        "style": told(event.data.get("style", "")),
        "station": told(event.data.get("station", "")),
    }


def event_pattern(event):
    """Return the sentence of an event with places for who, what and where."""
    verb = Event.Verb
    if event.verb == verb.BATCH_REVIEWED:
        return {
            Review.Decision.AGREED: _("%(who)s looked at a batch and agreed."),
            Review.Decision.ANOTHER: _("%(who)s looked at a batch and asked for another."),
            Review.Decision.EXCUSED: _("%(who)s excused the giving up of a batch."),
        }[event.data["decision"]]
    if event.verb == verb.SIGNED_OFF and event.data["override"]:
        return _("%(who)s signed off without the full evidence: %(style)s, %(station)s.")
    return {
        verb.OBSERVED: _("%(who)s added an observation: %(style)s, %(station)s."),
        verb.SIGNED_OFF: _("%(who)s signed off: %(style)s, %(station)s."),
        verb.WITHDRAWN: _("%(who)s withdrew a sign-off: %(style)s, %(station)s. “%(reason)s”"),
        verb.PRACTICE_ENTERED: _("%(who)s entered a practice: %(style)s, %(station)s."),
        verb.PRACTICE_ENDED: _("%(who)s ended a practice: %(style)s, %(station)s."),
    }.get(event.verb, _("%(who)s %(what)s."))


def event_url(event):
    """Return the address of what an event is about, or nothing."""
    if event.verb in (Event.Verb.SIGNED_OFF, Event.Verb.WITHDRAWN):
        return reverse("assessments:sign_off_record", args=[event.object_id])
    if event.verb in (Event.Verb.BATCH_FINISHED, Event.Verb.BATCH_RESCORED):
        return reverse("assessments:result", args=[event.object_id])
    return ""
