"""Score batches anew, and look for their patterns, after a formula has changed, cook by cook."""

import math
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Count, Prefetch, Q

from assessments.actions.evidence import refresh_practices
from assessments.actions.find_patterns import store_patterns
from assessments.actions.score_batch import compute_score
from assessments.calculations.patterns.findings import PATTERNS_VERSION
from assessments.calculations.requirements import RULE_VERSION
from assessments.calculations.scoring import FORMULA_VERSION
from assessments.models import Batch, Event, ReadingSet, Score
from training.models import HousePolicy, User

CHUNK = 200
VERSIONS = ("formula_version", "rule_version")
FIGURES = tuple(
    field.name
    for field in Score._meta.concrete_fields
    if field.name not in ("id", "batch", "scored_at", *VERSIONS)
)
CURRENT = Q(
    score__formula_version=FORMULA_VERSION,
    score__rule_version=RULE_VERSION,
    patterns__version=PATTERNS_VERSION,
)


@dataclass(frozen=True, slots=True)
class Rescored:
    """How many batches of a cook were scored again, and how many came out differently.

    ``searched`` counts those in which patterns were looked for anew.
    """

    looked_at: int
    changed: int
    searched: int


def for_scoring(batches):
    """Load what a score is made of: standard, present score and patterns, current readings."""
    current = Prefetch("reading_sets", ReadingSet.objects.current(), to_attr="current_sets")
    return batches.select_related("standard", "score", "patterns").prefetch_related(current)


def score_batches(batches, *, policy) -> list[tuple[Score | None, Score]]:
    """Score batches loaded by ``for_scoring`` and store what is new.

    Returns the earlier score, if any, and the new one for each batch whose figures differ.
    """
    stale, differing = [], []
    for batch in batches:
        readings = {row.quantity: row for row in batch.current_sets}
        old = getattr(batch, "score", None)
        new = compute_score(batch, readings, batch.standard, policy=policy)
        differs = old is None or not all(
            same_figure(getattr(old, name), getattr(new, name)) for name in FIGURES
        )
        if differs:
            differing.append((old, new))
        if differs or any(getattr(old, name) != getattr(new, name) for name in VERSIONS):
            stale.append(new)
    Score.objects.bulk_create(
        stale,
        batch_size=CHUNK,
        update_conflicts=True,
        unique_fields=["batch"],
        update_fields=[*FIGURES, *VERSIONS, "scored_at"],
    )
    return differing


def find_in_batches(batches) -> None:
    """Look for the patterns of batches loaded by ``for_scoring`` and keep them."""
    store_patterns((batch, {row.quantity: row for row in batch.current_sets}) for batch in batches)


def has_present_patterns(batch) -> bool:
    """Whether patterns were looked for as they are today; a correction looks for them at once."""
    patterns = getattr(batch, "patterns", None)
    return patterns is not None and patterns.version == PATTERNS_VERSION


def same_figure(old, new) -> bool:
    """Return whether two stored figures are the same but for the last digits."""
    if isinstance(old, float) and isinstance(new, float):
        return math.isclose(old, new, rel_tol=1e-9, abs_tol=1e-9)
    return bool(old == new)


def due_for_rescore(*, everything=False):
    """Return the finished batches with a score or patterns of an earlier version, or all."""
    batches = Batch.objects.finished()
    return batches if everything else batches.exclude(CURRENT)


def cooks_to_rescore(*, everything=False, after=0) -> list[tuple[int, int]]:
    """Return id and number of batches due of each cook, in order of the ids above ``after``."""
    due = due_for_rescore(everything=everything).filter(cook__gt=after)
    return list(due.order_by("cook").values_list("cook").annotate(n=Count("pk")))


@transaction.atomic
def rescore_cook(cook_id, *, everything=False) -> Rescored:
    """Score the batches of one cook again and bring the cook's practices up to date.

    Patterns are looked for only where they are missing or of an earlier version: it takes some
    hundred times as long as a score, and no house rule enters into them.
    Sign-offs keep the evidence that was frozen with them. A batch that comes out differently
    leaves one event with the old and the new figures.
    """
    policy = HousePolicy.load()
    due = due_for_rescore(everything=everything).filter(cook=cook_id).order_by("pk")
    looked_at = changed = searched = last_pk = 0
    styles: set[int] = set()
    while batches := list(
        for_scoring(due.filter(pk__gt=last_pk)).select_for_update(of=("self",))[:CHUNK]
    ):
        differing = score_batches(batches, policy=policy)
        stale = [batch for batch in batches if not has_present_patterns(batch)]
        find_in_batches(stale)
        Event.objects.bulk_create(rescored_event(cook_id, old, new) for old, new in differing)
        styles.update(batch.style_id for batch in batches)
        last_pk = batches[-1].pk
        looked_at += len(batches)
        changed += len(differing)
        searched += len(stale)
    cook = User.objects.get(pk=cook_id)
    for style_id in sorted(styles):
        refresh_practices(cook, style_id)
    return Rescored(looked_at, changed, searched)


def rescored_event(cook_id, old, new):
    """Return the unsaved event of a batch whose score has changed."""
    names = [
        name
        for name in (*FIGURES, *VERSIONS)
        if old is None or not same_figure(getattr(old, name), getattr(new, name))
    ]
    return Event(
        verb=Event.Verb.BATCH_RESCORED,
        actor=None,
        subject_id=cook_id,
        object_type="batch",
        object_id=new.batch_id,
        data={
            "old": None if old is None else {name: getattr(old, name) for name in names},
            "new": {name: getattr(new, name) for name in names},
        },
    )
