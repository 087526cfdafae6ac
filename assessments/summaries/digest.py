"""The weekly digest: what waits for a head chef or an owner, in a few lines each.

A head chef is told of the branches that they head, an owner of the whole house. It is written in
the active language; a person's own is set by who sends it.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from django.conf import settings
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.standing import State
from assessments.models import Batch, Practice
from assessments.summaries.currency import HOLDS, due_condition, near_condition, nudge
from assessments.summaries.house_faults import Scope, fault_counts
from assessments.summaries.progress import stuck_words
from assessments.summaries.readiness import Filters, holders, visible_branches
from assessments.summaries.waiting import COUNTED_AT_MOST
from training.models import HousePolicy, Role, Station
from training.names import listed

DAYS = 7
LINES = 5
FAULTS = 3
# In a large house more than these are not read for one mail.
PRACTICES_AT_MOST = 1000


@dataclass(frozen=True, slots=True)
class Line:
    """One line, with the address of its page where that is not the section's."""

    text: str
    url: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """A heading that says how many, the first lines, and how many more there are."""

    title: str
    url: str
    lines: tuple[Line, ...] = ()
    more: int = 0


@dataclass(frozen=True, slots=True)
class Digest:
    """What one mail says; ``has_cooks``: whether anybody practises where the reader looks."""

    day: date
    place: str
    sections: tuple[Section, ...]
    has_cooks: bool

    @property
    def is_empty(self):
        """Whether there is nothing to say and nobody to say it of: such a mail is not sent."""
        return not self.sections and not self.has_cooks


def address(name, *args) -> str:
    """Return the whole address of one of our pages, for a mail."""
    return settings.SITE_URL + reverse(name, args=args)


def digest_of(person, *, today) -> Digest:
    """Return the digest of a head chef or an owner, in as many queries for any number of cooks."""
    branches = visible_branches(person)
    ids = tuple(branch.pk for branch in branches)
    policy = HousePolicy.load()
    sections = [
        waiting_section(person),
        *practice_sections(person, ids, policy, today),
        empty_posts_section(branches, today) if person.is_owner else None,
        faults_section(ids, today),
    ]
    practising = Role.objects.filter(kind=Role.Kind.TRAINEE, branch__in=ids, person__is_active=True)
    return Digest(
        day=today,
        place=_("the whole house") if person.is_owner else listed(b.name for b in branches),
        sections=tuple(section for section in sections if section),
        has_cooks=practising.exists(),
    )


def waiting_section(person) -> Section | None:
    """Return how many batches wait for a look: for the head chef's, in an owner's whole house."""
    if person.is_head_chef:
        waiting, url = Batch.objects.waiting_for(person), address("assessments:waiting")
    else:
        waiting = Batch.objects.filter(
            state__in=[Batch.State.FINISHED, Batch.State.ABANDONED], reviewed_at__isnull=True
        )
        url = address("assessments:cooks")
    count = waiting[:COUNTED_AT_MOST].count()
    if not count:
        return None
    if count == COUNTED_AT_MOST:
        return Section(_("%(count)d batches or more wait for a look") % {"count": count}, url)
    title = ngettext("%(count)d batch waits for a look", "%(count)d batches wait for a look", count)
    return Section(title % {"count": count}, url)


def practice_sections(person, branches, policy, today) -> list[Section | None]:
    """Return who is ready to be decided on, whose renewal is due or near, and who is stuck."""
    complete, due, near = [], [], []
    stuck: dict[tuple[int, int], Line] = {}
    for practice in noteworthy(branches, policy, today).exclude(person=person)[:PRACTICES_AT_MOST]:
        standing = practice.standing(today=today, policy=policy)
        why = nudge(practice, standing, today=today, policy=policy, own=False)
        if standing.state == State.EVIDENCE_COMPLETE:
            complete.append(line_of(practice))
        elif standing.state == State.RENEWAL_DUE:
            due.append(line_of(practice, why))
        elif why:
            near.append(line_of(practice, why))
        elif practice.stuck_part and not practice.holds:
            # Kept with each station of the style: it is one hand.
            one_hand = practice.person_id, practice.style_id
            stuck.setdefault(one_hand, line_of(practice, stuck_words(practice)))
    return [
        section(
            ngettext(
                "Evidence complete: %(count)d decision to take",
                "Evidence complete: %(count)d decisions to take",
                len(complete),
            ),
            complete,
        ),
        section(ngettext("%(count)d renewal is due", "%(count)d renewals are due", len(due)), due),
        section(
            ngettext("%(count)d renewal is near", "%(count)d renewals are near", len(near)), near
        ),
        section(
            ngettext("%(count)d cook is stuck", "%(count)d cooks are stuck", len(stuck)),
            list(stuck.values()),
        ),
    ]


def noteworthy(branches, policy, today):
    """Return the practices that may belong in the digest; ``standing`` alone says which do."""
    complete = ~HOLDS & Q(
        Q(station__measured=False) | Q(evidence_complete=True),
        modules_done__gte=F("modules_required"),
        observations_met__gte=policy.observations_needed,
    )
    stuck = ~HOLDS & ~Q(stuck_part="")
    renewal = due_condition(today, policy) | near_condition(today, policy)
    return (
        Practice.objects.for_board()
        .filter(complete | renewal | stuck, branch__in=branches)
        # Renewals first: whatever is cut off, they are not.
        .order_by(
            F("sign_off__due_on").asc(nulls_last=True),
            "person__first_name",
            "person__last_name",
            "pk",
        )
    )


def section(title, lines) -> Section | None:
    """Return a section of the first lines; None where there are none."""
    if not lines:
        return None
    return Section(
        title % {"count": len(lines)},
        address("assessments:cooks"),
        tuple(lines[:LINES]),
        max(0, len(lines) - LINES),
    )


def line_of(practice, reason="") -> Line:
    """Return a cook at a station, and why."""
    words = f"{practice.person} · {practice.style} · {practice.station}"
    if reason:
        words = _("%(who)s: %(reason)s") % {"who": words, "reason": reason}
    return Line(words, address("assessments:evidence", practice.person_id, practice.style.slug))


def empty_posts_section(branches, today) -> Section | None:
    """Return the stations of open branches that nobody can hold, branch by branch."""
    is_open = [one for one in branches if one.opens_on is None or one.opens_on <= today]
    held = holders([one.pk for one in is_open], Filters())
    stations = list(Station.objects.practised())
    lines = []
    posts = 0
    for branch in is_open:
        empty = [station for station in stations if not held.get((branch.pk, station.pk))]
        posts += len(empty)
        if empty:
            text = _("%(branch)s: %(stations)s") % {
                "branch": branch.name,
                "stations": listed(empty),
            }
            lines.append(Line(text, address("assessments:readiness_branch", branch.slug)))
    if not lines:
        return None
    title = ngettext(
        "%(count)d post that nobody can hold", "%(count)d posts that nobody can hold", posts
    )
    return Section(
        title % {"count": posts},
        address("assessments:readiness"),
        tuple(lines[:LINES]),
        max(0, len(lines) - LINES),
    )


def faults_section(branches, today) -> Section | None:
    """Return the most common faults of the week."""
    since = today - timedelta(days=DAYS - 1)
    counts = fault_counts(Scope(branches, None, since, today))
    measured = counts.all_measured
    lines = tuple(
        Line(
            _("%(fault)s · %(count)d of %(measured)d")
            % {"fault": title, "count": batches, "measured": measured}
        )
        for title, batches in list(counts.total().items())[:FAULTS]
    )
    if not lines:
        return None
    title = ngettext(
        "The week's most common faults in %(count)d batch measured",
        "The week's most common faults in %(count)d batches measured",
        measured,
    )
    return Section(title % {"count": measured}, address("assessments:faults"), lines)
