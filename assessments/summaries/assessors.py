"""Whether those who judge agree, and what is kept from them until they have judged themselves."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Exists, F, OuterRef, Q
from django.utils import timezone
from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.agreement.criteria import (
    CriterionAgreement,
    Seen,
    TwoAssessors,
    criteria_agreement,
)
from assessments.calculations.agreement.kappa import Kappa, weighted_kappa
from assessments.calculations.agreement.reliability import ENOUGH_PAIRS
from assessments.calculations.agreement.strictness import Difference, rating_difference
from assessments.calculations.multiplicity import holm
from assessments.models import Batch, BlindLook, Observation, Practice, ReadingSet, SecondLook
from training.models import Branch, HousePolicy, User

LOOK_DAYS = 3
"""So long the two who see a batch write down what they saw before each reads the other."""
LAST_DAYS = 365
# Of observations and of blind looks: no page's cost grows with the whole history.
LAST_ROWS = 4000
# Of the pairs of assessors, those with the most batches in common.
MOST_PAIRS = 6
MOST_LOOKS = 20
CLOSE = 0.6
"""From this kappa on two agree closely.

Common practice, after Landis and Koch (1977), Biometrics 33, 159-174, who call what lies above
0.6 substantial.
"""
ALPHA = 0.05


def unrated_by(viewer):
    """Return the condition of a batch that ``viewer`` rates before seeing its score and name.

    Only of those whom the viewer may judge; where the house has not chosen so, of none.
    """
    widths = ReadingSet.objects.current().filter(
        batch=OuterRef("pk"), quantity=ReadingSet.Quantity.WIDTH
    )
    return (
        Q(state=Batch.State.FINISHED, reviewed_at__isnull=True)
        & Exists(HousePolicy.objects.filter(blind_review=True))
        & Exists(widths)
        & ~Exists(BlindLook.objects.filter(batch=OuterRef("pk"), assessor=viewer.pk))
    )


def open_looks(viewer):
    """Return the second looks that ``viewer`` has yet to take."""
    own = Observation.objects.filter(batch=OuterRef("batch"), observer=viewer.pk)
    since = timezone.now() - timedelta(days=LOOK_DAYS)
    return SecondLook.objects.filter(
        Q(first=viewer.pk) | Q(second=viewer.pk), ~Exists(own), proposed_at__gt=since
    )


def kept_from(viewer):
    """Return the condition of an ``Observation`` that ``viewer`` may not read yet.

    What the other of two wrote of a batch, until the viewer has written down what they saw.
    """
    return Exists(open_looks(viewer).filter(batch=OuterRef("batch")))


@dataclass(frozen=True, slots=True)
class LookLine:
    """A batch to be seen by two; ``stations`` are name and practice of each to observe."""

    batch_id: int
    cook: str
    style: str
    day: date
    is_today: bool
    stations: tuple[tuple[str, int], ...]


def look_lines(viewer) -> tuple[LookLine, ...]:
    """Return the batches that ``viewer`` is to see as one of two, the newest first."""
    looks = list(
        open_looks(viewer)
        .select_related("batch__cook", "batch__style")
        .order_by("-proposed_at")[:MOST_LOOKS]
    )
    if not looks:
        return ()
    practices = (
        Practice.objects.filter(
            person__in={look.batch.cook_id for look in looks}, ended_on__isnull=True
        )
        .select_related("station")
        .order_by("station__position", "station__name")
    )
    stations = defaultdict(list)
    for practice in practices:
        stations[practice.person_id, practice.style_id].append((str(practice.station), practice.pk))
    return tuple(
        LookLine(
            batch_id=look.batch_id,
            cook=str(look.batch.cook),
            style=str(look.batch.style),
            day=look.batch.made_on,
            is_today=look.batch.made_on == timezone.localdate(),
            stations=tuple(stations[look.batch.cook_id, look.batch.style_id]),
        )
        for look in looks
    )


def is_to_be_seen_by_two(viewer, batch_id) -> bool:
    """Return whether ``viewer`` is one of two who have yet to write down what they saw.

    ``batch_id`` as an address brings it: anything.
    """
    looks = open_looks(viewer).values_list("batch", flat=True)[:MOST_LOOKS] if batch_id else ()
    return str(batch_id) in {str(pk) for pk in looks}


@dataclass(frozen=True, slots=True)
class PairLine:
    """Two assessors on one criterion, in words and in figures."""

    people: str
    agree: str
    stricter: str
    n: int
    equal: str
    kappa: str
    intraclass: str
    difference: str
    spread: str
    p: str


@dataclass(frozen=True, slots=True)
class CriterionLine:
    """How well the assessors agree on one criterion.

    ``more`` pairs are not listed; ``against_all`` says who is stricter or milder than the others
    where there are more than two, ``all_together`` is Fleiss' kappa.
    """

    name: str
    batches: int
    pairs: tuple[PairLine, ...]
    more: int
    against_all: tuple[str, ...]
    all_together: str


@dataclass(frozen=True, slots=True)
class Bar:
    """One interval of the chart: kappa of two assessors on one criterion."""

    criterion: str
    people: str
    value: float
    low: float
    high: float
    n: int


@dataclass(frozen=True, slots=True)
class EyeLine:
    """How one assessor rated the evenness of strands by eye, against what was measured.

    ``shares`` are rating, mean share of the strands within the tolerance in percent, and number of
    batches, for each rating that was given.
    """

    person: str
    n: int
    agree: str
    stricter: str
    shares: tuple[tuple[str, float, int], ...]
    kappa: str
    difference: str


@dataclass(frozen=True, slots=True)
class AssessorsPage:
    """How well those who judge agree, over ``days`` days; ``branches`` are those to choose from."""

    days: int
    look_percent: int
    is_blind: bool
    is_cut: bool
    criteria: tuple[CriterionLine, ...]
    bars: tuple[Bar, ...]
    by_eye: tuple[EyeLine, ...]
    branches: tuple[Branch, ...]
    branch: Branch | None


def assessors_page(viewer, branch_slug="") -> AssessorsPage:
    """Return the ``AssessorsPage`` of the branches that ``viewer`` may look at, or of one."""
    house = Branch.objects.order_by("name")
    branches = tuple(house if viewer.is_owner else house.filter(pk__in=viewer.headed_branch_ids))
    branch = next((one for one in branches if one.slug == branch_slug), None)
    where = (
        Q()
        if viewer.is_owner and branch is None
        else Q(batch__branch__in=[one.pk for one in ([branch] if branch else branches)])
    )
    since = timezone.now() - timedelta(days=LAST_DAYS)
    seen, is_cut = _seen_by_two(where, since)
    looks = _looks_by_eye(where, since)
    people = {row.assessor for row in seen} | {row[0] for row in looks}
    names = {person.pk: str(person) for person in User.objects.filter(pk__in=people)}
    found = criteria_agreement(seen, Observation.CRITERIA)
    against_all = _against_all(found, names)
    policy = HousePolicy.load()
    return AssessorsPage(
        days=LAST_DAYS,
        look_percent=policy.second_look_percent,
        is_blind=policy.blind_review,
        is_cut=is_cut or len(looks) == LAST_ROWS,
        criteria=tuple(_criterion_line(one, names, against_all[one.criterion]) for one in found),
        bars=tuple(bar for one in found for bar in _bars(one, names)),
        by_eye=_eye_lines(looks, names),
        branches=branches,
        branch=branch,
    )


def _seen_by_two(where, since):
    """Return what the two of each second look wrote down in time, and whether rows were left out.

    Of several observations of a batch by the same person the first counts.
    """
    look = "batch__second_look"
    rows = (
        Observation.objects.filter(where)
        .filter(
            Q(observer=F(f"{look}__first")) | Q(observer=F(f"{look}__second")),
            **{f"{look}__proposed_at__gt": since},
            recorded_at__lte=F(f"{look}__proposed_at") + timedelta(days=LOOK_DAYS),
        )
        .order_by("-recorded_at", "-pk")
        .values_list("batch", "observer", *Observation.CRITERIA)[:LAST_ROWS]
    )
    first = {
        (batch, observer): Seen(
            batch, observer, dict(zip(Observation.CRITERIA, ratings, strict=True))
        )
        # Newest first, so that the first of a person is what stays.
        for batch, observer, *ratings in rows
    }
    return list(first.values()), len(rows) == LAST_ROWS


def _looks_by_eye(where, since):
    """Return assessor, rating, share within the tolerance and the standard's two levels."""
    return list(
        BlindLook.objects.filter(where)
        .filter(rated_at__gt=since, batch__score__width_share__isnull=False)
        .order_by("-rated_at")
        .values_list(
            "assessor",
            "evenness",
            "batch__score__width_share",
            "batch__standard__ready_share",
            "batch__standard__not_ready_share",
        )[:LAST_ROWS]
    )


def _criterion_line(one: CriterionAgreement, names, against_all) -> CriterionLine:
    pairs = _most_seen(one)
    return CriterionLine(
        name=criterion_name(one.criterion),
        batches=one.batches,
        pairs=tuple(_pair_line(pair, names) for pair in pairs),
        more=len(one.pairs) - len(pairs),
        against_all=tuple(against_all),
        all_together="" if one.several is None else coefficient(one.several),
    )


def _most_seen(one):
    return sorted(one.pairs, key=lambda pair: (-pair.linear.n, pair.first, pair.second))[
        :MOST_PAIRS
    ]


def criterion_name(criterion):
    """Return the name of a criterion of an observation, or of the evenness of strands."""
    if criterion == "evenness":
        return capfirst(str(BlindLook._meta.get_field(criterion).verbose_name))
    return capfirst(str(Observation._meta.get_field(criterion).verbose_name))


def _pair_line(pair: TwoAssessors, names) -> PairLine:
    first, second = names[pair.first], names[pair.second]
    return PairLine(
        people=both(first, second),
        agree=agree_words(pair.linear, both(first, second)),
        stricter=stricter_words(pair.difference, pair.p_holm, first, second),
        n=pair.linear.n,
        equal=estimate(pair.linear.equal, of=100, decimals=0),
        kappa=coefficient(pair.linear),
        intraclass="–" if pair.intraclass is None else coefficient(pair.intraclass),
        difference=estimate(pair.difference.mean),
        spread=estimate(pair.difference.spread),
        p=figure(pair.p_holm, 3),
    )


def _against_all(found, names):
    """Say, by criterion, who is stricter or milder than all others where more than two judge."""
    compared = [
        (one.criterion, line)
        for one in found
        if len([line for line in one.assessors if line.n]) > 2
        for line in one.assessors
        if line.reason is None and line.effect is not None and line.p is not None
    ]
    corrected = holm([line.p for _criterion, line in compared])
    stricter = _("%(who)s is stricter than the others by about %(by)s steps.")
    milder = _("%(who)s is milder than the others by about %(by)s steps.")
    words = defaultdict(list)
    for (criterion, line), p in zip(compared, corrected, strict=True):
        if p < ALPHA:
            pattern = stricter if line.effect.value < 0 else milder
            by = figure(abs(line.effect.value), 1)
            words[criterion].append(pattern % {"who": names[line.assessor], "by": by})
    return words


def _bars(one, names):
    for pair in _most_seen(one):
        kappa = pair.linear
        if kappa.reason is None and kappa.low is not None:
            yield Bar(
                criterion=criterion_name(one.criterion),
                people=both(names[pair.first], names[pair.second]),
                value=kappa.value,
                low=kappa.low,
                high=kappa.high,
                n=kappa.n,
            )


def _eye_lines(looks, names):
    """Return one line for each assessor who rated by eye, by name."""
    of_person = defaultdict(list)
    for person, rating, share, ready, not_ready in looks:
        measured = (share >= float(not_ready)) + (share >= float(ready))
        of_person[person].append((rating, share, measured))
    people = sorted(of_person, key=lambda person: (names[person], person))
    differences = [rating_difference(*_by_eye_and_measured(of_person[person])) for person in people]
    corrected = holm([one.p for one in differences])
    return tuple(
        _eye_line(names[person], of_person[person], difference, p)
        for person, difference, p in zip(people, differences, corrected, strict=True)
    )


def _by_eye_and_measured(rows):
    return [rating for rating, *_rest in rows], [measured for *_rest, measured in rows]


def _eye_line(name, rows, difference, p):
    kappa = weighted_kappa(*_by_eye_and_measured(rows))
    at = defaultdict(list)
    for rating, share, _measured in rows:
        at[rating].append(share)
    return EyeLine(
        person=name,
        n=len(rows),
        agree=agree_words(kappa, both(name, _("the measurement"))),
        stricter=stricter_words(difference, p, name, _("the measurement")),
        shares=tuple(
            (str(rating.label), 100 * sum(at[rating]) / len(at[rating]), len(at[rating]))
            for rating in reversed(Observation.Rating)
            if at[rating]
        ),
        kappa=coefficient(kappa),
        difference=estimate(difference.mean),
    )


# In words


def both(first, second) -> str:
    """Return two names beside one another."""
    return _("%(first)s and %(second)s") % {"first": first, "second": second}


def agree_words(kappa: Kappa, people) -> str:
    """Say how well two agree, as far as it can be told."""
    words = {"people": people, "kappa": _interval_words(kappa)}
    if kappa.n < ENOUGH_PAIRS:
        return ngettext(
            "%(people)s: cannot tell yet: %(count)d batch, it takes %(enough)d.",
            "%(people)s: cannot tell yet: %(count)d batches, it takes %(enough)d.",
            kappa.n,
        ) % {"people": people, "count": kappa.n, "enough": ENOUGH_PAIRS}
    if kappa.value is None or kappa.low is None:
        return _(
            "%(people)s: cannot tell: both gave all %(count)d batches one and the same rating."
        ) % {"people": people, "count": kappa.n}
    judgement = kappa.judge(CLOSE)
    if judgement == "above":
        return _("%(people)s agree closely (%(kappa)s).") % words
    if judgement == "below":
        return _("%(people)s often differ (%(kappa)s).") % words
    if kappa.low > 0:
        return _("%(people)s agree; how closely cannot be told yet (%(kappa)s).") % words
    return _("%(people)s: cannot tell whether they agree beyond chance (%(kappa)s).") % words


def _interval_words(found):
    if found.value is None or found.low is None:
        return ""
    return _("kappa %(value)s, %(low)s to %(high)s") % {
        "value": figure(found.value),
        "low": figure(found.low),
        "high": figure(found.high),
    }


def stricter_words(difference: Difference, p_holm, first, second) -> str:
    """Say which of two is stricter, and by how much; nothing for too few batches."""
    if difference.reason is not None or difference.mean is None:
        return ""
    if p_holm >= ALPHA:
        return _("Neither is stricter, as far as can be told.")
    mean = difference.mean.value
    return capfirst(
        _("%(who)s is stricter by about %(by)s steps.")
        % {"who": first if mean < 0 else second, "by": figure(abs(mean), 1)}
    )


def figure(value, decimals=2) -> str:
    """Return a number in the reader's notation."""
    return number_format(round(value, decimals), decimal_pos=decimals).replace("-", "−")


def coefficient(found) -> str:
    """Return a coefficient of agreement with its interval; a dash where it is not defined."""
    if found.value is None:
        return "–"
    if found.low is None:
        return figure(found.value)
    return _("%(value)s (%(low)s to %(high)s)") % {
        "value": figure(found.value),
        "low": figure(found.low),
        "high": figure(found.high),
    }


def estimate(found, *, of=1, decimals=2) -> str:
    """Return an ``Estimate`` times ``of`` with its interval; a dash for None."""
    if found is None:
        return "–"
    return _("%(value)s (%(low)s to %(high)s)") % {
        "value": figure(of * found.value, decimals),
        "low": figure(of * found.low, decimals),
        "high": figure(of * found.high, decimals),
    }
