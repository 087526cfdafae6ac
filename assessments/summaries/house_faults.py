"""Which faults a house has most, and whether the modules that mend them made hands more even.

Counted by the database over days that are bounded; nobody is named.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.paginator import Page, Paginator
from django.db.models import Count, Q
from django.template.defaultfilters import floatformat
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.calculations.changes import MeanChange, change_beyond, mean_change
from assessments.calculations.scoring import MINIMUM_READINGS
from assessments.models import Batch, BatchPatterns, FoundPattern, Part, ReadingSet
from assessments.summaries.lessons import lesson_title, mending_step, steps_of
from training.models import ModuleProgress, Role

# Beyond so many the days are cut: the share of a fault is known well enough by then.
MOST_FINDINGS = 50_000
MOST_COOKS = 300
FAULTS_SHOWN = 8
BRANCHES_ON_A_PAGE = 20
BATCHES_EACH_SIDE = 5
FEWEST_COOKS = 5
# Batches before a module may lie so far before the days that are looked at.
DAYS_BEFORE = 90
# Whose spread a fault shows in. Those of the recipe show in neither.
SPREAD_OF = {"width": "width", "taper": "width", "thickness": "thickness"}

STEP = ("step_title", "step_url", "module_title")

FaultName = tuple[str, str, str]
"""Part, kind and direction of a finding."""

Pair = tuple[float, float]
"""Mean spread of one cook before and after."""


@dataclass(frozen=True, slots=True)
class Scope:
    """What is counted: branches and style by id (no style for all), first and last day."""

    branches: tuple[int, ...]
    style: int | None
    since: date
    until: date

    def of_found(self) -> Q:
        """Return the patterns found within it as a condition."""
        within = Q(branch__in=self.branches, made_on__range=(self.since, self.until))
        return within & Q(style=self.style) if self.style else within

    def of_batches(self, prefix="batch__") -> Q:
        """Return its batches as a condition on something that belongs to a batch."""
        within = {
            f"{prefix}branch__in": self.branches,
            f"{prefix}made_on__range": (self.since, self.until),
        }
        return Q(**within, **({f"{prefix}style": self.style} if self.style else {}))


@dataclass(frozen=True, slots=True)
class FaultLine:
    """One fault: in how many of the measured batches, and the step that mends it ("" without)."""

    title: str
    batches: int
    share: float
    step_title: str
    step_url: str
    module_title: str

    @property
    def percent(self):
        return 100 * self.share


@dataclass(frozen=True, slots=True)
class BranchLine:
    """A branch with its most common fault; no title where nothing was found there."""

    name: str
    slug: str
    measured: int
    title: str
    share: float

    @property
    def percent(self):
        return 100 * self.share


@dataclass(frozen=True, slots=True)
class Hands:
    """Spread of several cooks before and after, in halves of the tolerance.

    ``change`` is its mean with an interval, None for too few cooks.
    """

    cooks: int
    before: float
    after: float
    change: MeanChange | None


@dataclass(frozen=True, slots=True)
class MendingLine:
    """A module: cooks over the last batches before they finished it and the first after.

    ``spread_of`` is a ``Part``. ``without`` are cooks who have not finished it, over as many
    batches; ``beyond`` is what the module has over them, None for too few cooks on either side.
    """

    title: str
    url: str
    spread_of: str
    finished: Hands
    without: Hands
    beyond: MeanChange | None

    @property
    def spread_name(self):
        return Part(self.spread_of).label

    @property
    def changes(self):
        """The name of each change with its mean and the limits of its interval, as text."""
        named = (
            (_("with the module"), self.finished.change),
            (_("without"), self.without.change),
            (_("difference"), self.beyond),
        )
        return [(name, change_words(change)) for name, change in named if change]


@dataclass(frozen=True, slots=True)
class HouseFaults:
    """The page of faults; ``is_cut`` tells that the days were too many findings."""

    since: date
    until: date
    is_cut: bool
    measured: int
    with_any: int
    faults: tuple[FaultLine, ...]
    branches: tuple[BranchLine, ...]
    page: Page
    mending: tuple[MendingLine, ...]
    newest_cooks: int | None

    @property
    def without(self):
        return self.measured - self.with_any

    @property
    def mended(self):
        """The common faults with the step that mends each, where the house has it."""
        return [fault for fault in self.faults[:FAULTS_SHOWN] if fault.step_url]


@dataclass(frozen=True, slots=True)
class FaultCounts:
    """Measured batches and those with each fault, by branch id; ``with_any`` in all."""

    measured: dict[int, int]
    by_branch: dict[int, dict[str, int]]
    names: dict[str, FaultName]
    with_any: int

    def total(self) -> dict[str, int]:
        """Return the batches with each fault in all branches, the most common first."""
        counts: dict[str, int] = defaultdict(int)
        for of_branch in self.by_branch.values():
            for title, batches in of_branch.items():
                counts[title] += batches
        return dict(sorted(counts.items(), key=lambda item: (-item[1], item[0])))

    @property
    def all_measured(self) -> int:
        return sum(self.measured.values())


def fault_counts(scope: Scope) -> FaultCounts:
    """Count measured batches, and those with each fault, in two queries.

    Faults that are taught in the same words are one: which of two directions every second strand
    leans to makes no other lesson.
    """
    measured = dict(
        BatchPatterns.objects.filter(scope.of_batches())
        .values_list("batch__branch")
        .annotate(Count("pk"))
    )
    rows = (
        FoundPattern.objects.filter(scope.of_found())
        .order_by()
        .values_list("branch", "part", "kind", "direction")
        .annotate(batches=Count("batch", distinct=True), said_first=Count("pk", filter=Q(place=0)))
    )
    by_branch: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    names: dict[str, FaultName] = {}
    with_any = 0
    for branch, *name, batches, said_first in rows:
        title = lesson_title(*name)
        by_branch[branch][title] += batches
        names.setdefault(title, tuple(name))
        with_any += said_first
    return FaultCounts(measured, by_branch, names, with_any)


def house_faults(branches, style, *, days, today, number=1) -> HouseFaults:
    """Return the faults of ``branches`` over the last ``days``; ``style`` is None for all."""
    scope, is_cut = bounded(
        Scope(
            branches=tuple(branch.pk for branch in branches),
            style=style.pk if style else None,
            since=today - timedelta(days=days - 1),
            until=today,
        )
    )
    counts = fault_counts(scope)
    faults = fault_lines(counts)
    page = Paginator(branches, BRANCHES_ON_A_PAGE).get_page(number)
    cooks = newest_cooks(scope.branches)
    return HouseFaults(
        since=scope.since,
        until=scope.until,
        is_cut=is_cut,
        measured=counts.all_measured,
        with_any=counts.with_any,
        faults=faults,
        branches=tuple(branch_line(branch, counts) for branch in page.object_list),
        page=page,
        mending=mending_lines(counts, faults, cooks, style, today - timedelta(days=days - 1)),
        newest_cooks=MOST_COOKS if len(cooks) == MOST_COOKS else None,
    )


def bounded(scope: Scope) -> tuple[Scope, bool]:
    """Return ``scope`` from a later day on where more was found than is counted at once."""
    day = (
        FoundPattern.objects.filter(scope.of_found())
        .order_by("-made_on")
        .values_list("made_on", flat=True)[MOST_FINDINGS : MOST_FINDINGS + 1]
        .first()
    )
    if day is None:
        return scope, False
    # Whole days only, so that batches and findings are counted over the same.
    since = min(day + timedelta(days=1), scope.until)
    return Scope(scope.branches, scope.style, since, scope.until), True


def fault_lines(counts: FaultCounts) -> tuple[FaultLine, ...]:
    """Return the faults with the steps that mend them, the most common first, in one query."""
    total = counts.total()
    mended_at = {title: mending_step(*counts.names[title]) for title in total}
    steps = steps_of(set(mended_at.values()))
    return tuple(
        FaultLine(
            title=title,
            batches=batches,
            share=share_of(batches, counts.all_measured),
            **{name: steps.get(mended_at[title], {}).get(name, "") for name in STEP},
        )
        for title, batches in total.items()
    )


def share_of(batches, measured) -> float:
    """Return the share of batches with a fault, 0 to 1."""
    return min(1.0, batches / measured) if measured else 0.0


def branch_line(branch, counts: FaultCounts) -> BranchLine:
    """Return a branch with its most common fault."""
    measured = counts.measured.get(branch.pk, 0)
    found = counts.by_branch.get(branch.pk, {})
    title = min(found, key=lambda one: (-found[one], one), default="")
    return BranchLine(
        name=branch.name,
        slug=branch.slug,
        measured=measured,
        title=title,
        share=share_of(found[title], measured) if title else 0.0,
    )


def newest_cooks(branches) -> list[int]:
    """Return the ids of who practises in these branches, the newest where they are many."""
    people = Role.objects.filter(kind=Role.Kind.TRAINEE, branch__in=branches)
    return list(people.order_by("-person").values_list("person", flat=True).distinct()[:MOST_COOKS])


# Spread before and after a module


@dataclass(frozen=True, slots=True)
class Spread:
    """Spread of one quantity of a batch in halves of the tolerance."""

    style: int
    at: datetime
    value: float


def mending_lines(
    counts: FaultCounts, faults: Sequence[FaultLine], cooks, style, since: date
) -> tuple[MendingLine, ...]:
    """Return the modules that mend faults found, with the spread of cooks before and after."""
    wanted: dict[tuple[str, str], str] = {}
    for fault in faults:
        name = counts.names[fault.title]
        if fault.module_title and name[0] in SPREAD_OF:
            slug, _drawing = mending_step(*name)
            wanted.setdefault((slug, SPREAD_OF[name[0]]), fault.module_title)
    if not wanted:
        return ()
    finished = finished_at(cooks, {slug for slug, _quantity in wanted})
    spreads = spreads_of(cooks, style, since - timedelta(days=DAYS_BEFORE))
    lines = [
        mending_line(slug, title, quantity, cooks, finished[slug], spreads[quantity], since)
        for (slug, quantity), title in wanted.items()
    ]
    return tuple(sorted(lines, key=lambda line: (-line.finished.cooks, line.title, line.spread_of)))


def finished_at(cooks, slugs: Collection[str]) -> dict[str, dict[int, datetime]]:
    """Return by module when each of these cooks had read and answered it."""
    done: dict[str, dict[int, datetime]] = defaultdict(dict)
    rows = ModuleProgress.objects.filter(
        person__in=cooks,
        module__slug__in=slugs,
        read_at__isnull=False,
        answered_at__isnull=False,
    ).values_list("module__slug", "person", "read_at", "answered_at")
    for slug, person, *moments in rows:
        done[slug][person] = max(moment for moment in moments if moment is not None)
    return done


def spreads_of(cooks, style, since: date) -> dict[str, dict[int, list[Spread]]]:
    """Return by quantity and cook the spreads of their batches since a day, oldest first."""
    quantities = (ReadingSet.Quantity.WIDTH, ReadingSet.Quantity.THICKNESS)
    rows = ReadingSet.objects.current().filter(
        quantity__in=quantities,
        n__gte=MINIMUM_READINGS,
        sd__isnull=False,
        batch__cook__in=cooks,
        batch__state=Batch.State.FINISHED,
        batch__made_on__gte=since,
    )
    if style:
        rows = rows.filter(batch__style=style)
    found: dict[str, dict[int, list[Spread]]] = {
        str(quantity): defaultdict(list) for quantity in quantities
    }
    for cook, of_style, at, quantity, sd, *tolerances in rows.order_by(
        "batch__cook", "batch__opened_at", "batch"
    ).values_list(
        "batch__cook",
        "batch__style",
        "batch__opened_at",
        "quantity",
        "sd",
        "batch__standard__width_tolerance_minus_mm",
        "batch__standard__width_tolerance_plus_mm",
        "batch__standard__thickness_tolerance_minus_mm",
        "batch__standard__thickness_tolerance_plus_mm",
    ):
        first = 0 if quantity == ReadingSet.Quantity.WIDTH else 2
        half_mm = float(sum(tolerances[first : first + 2])) / 2
        found[quantity][cook].append(Spread(of_style, at, sd / half_mm))
    return found


def mending_line(slug, title, quantity, cooks, finished, spreads, since) -> MendingLine:
    """Return what became of the spread of cooks who finished a module since a day."""
    pairs = [
        pair
        for cook, at in finished.items()
        if timezone.localdate(at) >= since and (pair := around(spreads.get(cook, ()), at))
    ]
    others = [
        pair
        for cook in cooks
        if cook not in finished and (pair := in_the_middle(spreads.get(cook, ())))
    ]
    with_module, without = hands_of(pairs), hands_of(others)
    comparable = with_module.change and without.change
    return MendingLine(
        title=title,
        url=reverse("module", args=[slug]),
        spread_of=quantity,
        finished=with_module,
        without=without,
        beyond=change_beyond(changes(pairs), changes(others)) if comparable else None,
    )


def change_words(change: MeanChange) -> tuple[str, ...]:
    numbers = (change.mean, change.low, change.high)
    return tuple(floatformat(value, 2).replace("-", "−") for value in numbers)


def hands_of(pairs: Sequence[Pair]) -> Hands:
    """Return the mean spread before and after, and the change where the cooks are not too few."""
    return Hands(
        cooks=len(pairs),
        before=mean([before for before, _after in pairs]),
        after=mean([after for _before, after in pairs]),
        change=mean_change(changes(pairs)) if len(pairs) >= FEWEST_COOKS else None,
    )


def changes(pairs: Sequence[Pair]) -> list[float]:
    return [after - before for before, after in pairs]


def around(spreads: Sequence[Spread], at: datetime) -> Pair | None:
    """Return the mean spread of the last batches before a moment and of the first after it.

    Both of the style that was made last before it: styles differ in how even they come out.
    """
    before = [one for one in spreads if one.at < at]
    if not before:
        return None
    style = before[-1].style
    return sides(
        [one.value for one in before if one.style == style],
        [one.value for one in spreads if one.at >= at and one.style == style],
    )


def in_the_middle(spreads: Sequence[Spread]) -> Pair | None:
    """Return the same for the middle of the last batches, where nothing happened."""
    values = [one.value for one in spreads if one.style == spreads[-1].style]
    values = values[-2 * BATCHES_EACH_SIDE :]
    return sides(values[: len(values) // 2], values[len(values) // 2 :])


def sides(before: Sequence[float], after: Sequence[float]) -> Pair | None:
    """Return the means of the batches next to the middle; None where one side has none."""
    if not before or not after:
        return None
    return mean(before[-BATCHES_EACH_SIDE:]), mean(after[:BATCHES_EACH_SIDE])


def mean(values: Sequence[float]) -> float:
    return sum(values) / len(values) if values else 0.0
