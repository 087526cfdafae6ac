"""Say what a draft of a house standard would change in recent scores, and publish it."""

from dataclasses import dataclass
from datetime import timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Prefetch
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.actions.score_batch import compute_score
from assessments.models import Batch, Event, Part, ReadingSet
from training.models import HousePolicy, StandardVersion, publish_version

DAYS = 90
MOST_BATCHES = 2000
MOST_SHOWN = 10
SCORED = [
    ReadingSet.Quantity.WIDTH,
    ReadingSet.Quantity.THICKNESS,
    ReadingSet.Quantity.FLOUR,
    ReadingSet.Quantity.WATER,
]


@dataclass(frozen=True, slots=True)
class ChangedBatch:
    """One batch with its score (0..100, None where nothing was measured) before and after."""

    batch: Batch
    before: float | None
    after: float | None
    difference: float


@dataclass(frozen=True, slots=True)
class StandardChange:
    """What a draft would change in the batches of the last ``days``.

    ``parts`` counts widths, thicknesses and water contents that would earn other evidence points.
    ``left_out`` is True where there are more batches than are looked at.
    """

    days: int
    batches: int
    left_out: bool
    changed: int
    up: int
    down: int
    parts: int
    biggest: tuple[ChangedBatch, ...]


def weigh_change(draft, *, today=None) -> StandardChange:
    """Score the newest batches of the last 90 days under ``draft`` and compare; store nothing.

    The water wanted on the day stays what it was: of the water, only the tolerance is compared.
    """
    today = today or timezone.localdate()
    current = ReadingSet.objects.current().filter(quantity__in=SCORED)
    batches = list(
        Batch.objects.finished()
        .filter(style=draft.style_id, made_on__gt=today - timedelta(days=DAYS))
        .select_related("standard", "branch")
        .prefetch_related(Prefetch("reading_sets", queryset=current, to_attr="scored"))
        .newest_first()[: MOST_BATCHES + 1]
    )
    left_out, batches = len(batches) > MOST_BATCHES, batches[:MOST_BATCHES]
    policy = HousePolicy.load()
    changes, parts = [], 0
    for batch in batches:
        readings = {row.quantity: row for row in batch.scored}
        before = compute_score(batch, readings, batch.standard, policy=policy)
        after = compute_score(batch, readings, draft, policy=policy)
        parts += sum(_points(before, part) != _points(after, part) for part in Part.values)
        if _shown(before) != _shown(after):
            difference = (after.score or 0) - (before.score or 0)
            changes.append(ChangedBatch(batch, before.score, after.score, difference))
    biggest = sorted(changes, key=lambda change: -abs(change.difference))[:MOST_SHOWN]
    return StandardChange(
        days=DAYS,
        batches=len(batches),
        left_out=left_out,
        changed=len(changes),
        up=sum(change.difference > 0 for change in changes),
        down=sum(change.difference < 0 for change in changes),
        parts=parts,
        biggest=tuple(biggest),
    )


def _points(score, part):
    points = getattr(score, f"{part}_points")
    return None if points is None else round(points, 6)


def _shown(score):
    """Return a score as it is shown: a whole number, or None."""
    return None if score.score is None else round(score.score)


def earliest_day(draft, *, today=None):
    """Return the first day from which ``draft`` may be in force; None where any day will do.

    A first version may begin in the past, so that batches already made can be logged.
    """
    others = StandardVersion.objects.published().filter(style=draft.style_id)
    return (today or timezone.localdate()) if others.exists() else None


@transaction.atomic
def publish_standard(draft, *, in_force_from, by) -> StandardVersion:
    """Put ``draft`` into force from a day and write it down.

    Raises ``ValidationError`` when the day lies in the past or is taken, or the recipe is not
    whole.
    """
    draft = StandardVersion.objects.select_for_update().get(pk=draft.pk)
    earliest = earliest_day(draft)
    if earliest is not None and in_force_from < earliest:
        raise ValidationError(
            {
                "in_force_from": _(
                    "Choose today or a later day: batches already made keep their version."
                )
            }
        )
    draft.in_force_from = in_force_from
    draft.save(update_fields=["in_force_from"])
    version = publish_version(draft, by=by)
    Event.record(
        Event.Verb.STANDARD_PUBLISHED,
        actor=by,
        about=version,
        style=version.style.slug,
        number=version.number,
        in_force_from=in_force_from.isoformat(),
    )
    return version
