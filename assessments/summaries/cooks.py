"""The cooks whom a person may see, and what is known of one of them."""

from dataclasses import dataclass
from datetime import date, datetime

from django.core.paginator import Page, Paginator
from django.db.models import Exists, OuterRef, Prefetch, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.calculations.standing import State
from assessments.models import Batch, Event, Practice, Review
from training.models import HousePolicy, Role, Style, User
from training.names import told

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
    return PracticeMark(
        practice_id=practice.pk,
        style=str(practice.style),
        style_slug=practice.style.slug,
        station=str(practice.station),
        state=practice.standing(today=today, policy=policy).state,
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
    """A style that the cook practises or has practised, with the states at its stations."""

    name: str
    slug: str
    marks: tuple[PracticeMark, ...]


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
    marks = [
        practice_mark(practice, today=today, policy=policy)
        for practice in current_practices().filter(person=cook)
    ]
    made = Batch.objects.filter(cook=cook, style=OuterRef("pk"))
    styles = Style.objects.filter(
        Exists(made) | Q(slug__in=[mark.style_slug for mark in marks])
    ).order_by("position", "name")
    return CookPage(
        cook=cook,
        branches=tuple(
            role.branch.name for role in cook.held_roles if role.kind == Role.Kind.TRAINEE
        ),
        is_own=viewer.pk == cook.pk,
        styles=tuple(
            StyleLine(
                name=str(style),
                slug=style.slug,
                marks=tuple(mark for mark in marks if mark.style_slug == style.slug),
            )
            for style in styles
        ),
        events=last_events(cook),
    )


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
