"""Look for patterns in the current readings of batches and keep what was found with them."""

import math
from collections import defaultdict
from dataclasses import asdict, replace
from typing import Final

from django.db import transaction
from django.utils import timezone

from assessments.calculations.instruments import measurement_check
from assessments.calculations.patterns.effects import Effect
from assessments.calculations.patterns.findings import (
    PATTERNS_VERSION,
    BatchFindings,
    RecipeReading,
    SheetReadings,
    StrandReadings,
    Untested,
    find_patterns,
)
from assessments.calculations.patterns.level import Tolerance
from assessments.models import BatchPatterns, FoundPattern, Photograph, ReadingSet, Stage
from assessments.models.photographs import chosen_places, lay_out

TOO_COARSE: Final = "too coarse"
WATER_SIGMA_PP: Final = 0.3
"""Standard uncertainty of the water weighed, percentage points: as ``hydration_share`` takes it."""
USUAL_TOLERANCE: Final = 0.1
"""Part of what is wanted by which salt may be off and a rest too short.

The house standard names no tolerance for them. A tenth is common practice, without a source:
half a gram of salt in five, three minutes of a rest of thirty.
"""
SURE_TO: Final = {"salt": 0.1, "rest": 1.0}
"""Standard uncertainty of salt (percentage points: a gram on a kilogram of flour) and of a rest
(minutes: a button pressed a little late), assumed. They enter only where two batches are compared;
against its wide tolerance, either is taken as it was read."""
CHUNK = 500
Quantity = ReadingSet.Quantity


def is_too_coarse(readings, limits_mm) -> bool:
    """Whether the instrument of ``readings`` is too coarse for what ``limits_mm`` ask.

    It is graded by its repeatability or, where it states one, by its uncertainty, whichever is
    larger.
    """
    lo, hi = limits_mm
    return measurement_check(readings.graded_mm or 0.0, (hi - lo) / 2).grade == TOO_COARSE


@transaction.atomic
def store_patterns(judged) -> None:
    """Look for the patterns of batches and keep them in place of those kept before.

    ``judged`` holds pairs of a batch, loaded with its standard, and its current readings by
    quantity. Takes as many queries for one batch as for ``CHUNK``.
    """
    judged = list(judged)
    rests, photographs = _rests(judged), _photographs(judged)
    kept, found = [], []
    for batch, readings in judged:
        said = patterns_of(
            batch, readings, rests=rests[batch.pk], photographs=photographs[batch.pk]
        )
        kept.append(_kept(batch, said))
        found += [_found(batch, place, finding) for place, finding in enumerate(said.findings)]
    BatchPatterns.objects.bulk_create(
        kept,
        batch_size=CHUNK,
        update_conflicts=True,
        unique_fields=["batch"],
        update_fields=["effects", "untested", "sheet_kinds", "version", "computed_at"],
    )
    FoundPattern.objects.filter(batch__in=[batch for batch, _readings in judged]).delete()
    FoundPattern.objects.bulk_create(found, batch_size=CHUNK)


def patterns_of(batch, readings, *, rests=(), photographs=()) -> BatchFindings:
    """Return what the readings of ``batch`` say under its own version of the standard.

    Parameters
    ----------
    readings : mapping of str to ReadingSet
        The current ones by quantity.
    rests : iterable of Stage
        The rests of the batch.
    photographs : iterable of Photograph
        Measured ones, loaded ``with_left_out``: where the current widths came from them, they
        tell how wide each strand is at both ends.

    An instrument that is too coarse for the tolerance says nothing of its part; that is reported
    as untested for the reason ``'too_coarse'``.
    """
    standard = batch.standard
    widths, grid = readings.get(Quantity.WIDTH), readings.get(Quantity.THICKNESS)
    coarse = []
    if widths is not None and is_too_coarse(widths, standard.width_limits_mm):
        widths, coarse = None, [Untested("width", "all", "too_coarse")]
    if grid is not None and is_too_coarse(grid, standard.thickness_limits_mm):
        grid, coarse = None, [*coarse, Untested("thickness", "all", "too_coarse")]
    recipe = _recipe(batch, readings, rests)
    said = find_patterns(
        None if widths is None else _strands(batch, widths, photographs),
        None if grid is None else _sheet(standard, grid),
        recipe,
    )
    return replace(
        said,
        untested=(*coarse, *said.untested),
        effects=(*said.effects, *_usual_effects(recipe)),
    )


def _strands(batch, widths, photographs) -> StrandReadings:
    places = widths.places.tolist()
    ends = _ends_mm(batch, widths, photographs)
    return StrandReadings(
        positions=places,
        widths_mm=_present(widths.array),
        tolerance=_tolerance(batch.standard.width_target_mm, batch.standard.width_limits_mm),
        sigma_m=widths.repeatability_mm or 0.0,
        ends_mm=[ends.get(place) for place in places] if ends else None,
    )


def _ends_mm(batch, widths, photographs):
    """Return both end widths of strands by their place in the cut, as the photographs show."""
    chosen = chosen_places(batch)
    recorded = [photo for photo in photographs if photo.readings_id == widths.pk]
    return {
        chosen[laid.places[strand["number"]] - 1]: (
            strand["width_mm"] - strand["taper_mm"] / 2,
            strand["width_mm"] + strand["taper_mm"] / 2,
        )
        for laid in lay_out(recorded, len(chosen))
        for strand in laid.counted
    }


def _sheet(standard, grid) -> SheetReadings:
    values = dict(zip(grid.places.tolist(), _present(grid.array), strict=True))
    columns = standard.thickness_columns
    # Readings beyond the grid, as a file may bring them, lie in further rows.
    rows = max(standard.thickness_rows, math.ceil(max(values) / columns))
    return SheetReadings(
        rows=rows,
        columns=columns,
        thickness_mm=[values.get(place) for place in range(1, rows * columns + 1)],
        tolerance=_tolerance(standard.thickness_target_mm, standard.thickness_limits_mm),
        sigma_m=grid.repeatability_mm or 0.0,
    )


def _present(values):
    return [None if math.isnan(value) else value for value in values.tolist()]


def _tolerance(target_mm, limits_mm) -> Tolerance:
    low_mm, high_mm = limits_mm
    return Tolerance(low_mm, float(target_mm), high_mm)


def _recipe(batch, readings, rests) -> list[RecipeReading]:
    flour, water, salt = (
        readings.get(name) for name in (Quantity.FLOUR, Quantity.WATER, Quantity.SALT)
    )
    items = []
    if flour is not None and water is not None:
        items.append(
            RecipeReading(
                part="hydration",
                actual=100 * water.mean / flour.mean,
                target=float(batch.hydration_target_percent),
                tol_minus=float(batch.standard.hydration_tolerance_minus_pp),
                tol_plus=float(batch.standard.hydration_tolerance_plus_pp),
                sigma=WATER_SIGMA_PP,
            )
        )
    if flour is not None and salt is not None and batch.salt_target_percent:
        wanted = float(batch.salt_target_percent)
        items.append(_usual("salt", 100 * salt.mean / flour.mean, wanted))
    planned_min, rested_min = _rested(rests)
    if planned_min:
        items.append(_usual("rest", rested_min, planned_min))
    return items


def _usual(part, actual, target) -> RecipeReading:
    allowed = USUAL_TOLERANCE * target
    return RecipeReading(
        part=part, actual=actual, target=target, tol_minus=allowed, tol_plus=allowed
    )


def _usual_effects(recipe):
    """Yield salt and rest as effects, so that two batches are compared by them too."""
    for item in recipe:
        if item.part in SURE_TO:
            off, error = item.actual - item.target, SURE_TO[item.part]
            yield Effect(item.part, "off_recipe", off, error, math.inf, item.tol_minus)


def _rested(rests):
    """Return minutes planned and minutes rested, over the rests of which both are known.

    Only a timer that was started tells when a rest began. The stage is closed when the cook comes
    back to the page, at times long after the dough was taken up: so a rest can be seen to be too
    short and never too long, and none makes up for another.
    """
    known = [
        (float(rest.planned_min), (rest.done_at - rest.timer_started_at).total_seconds() / 60)
        for rest in rests
        if rest.planned_min is not None and rest.timer_started_at and rest.done_at
    ]
    # A timer started anew after the stage was closed says nothing of the rest before.
    known = [(planned_min, rested_min) for planned_min, rested_min in known if rested_min > 0]
    return (
        math.fsum(planned_min for planned_min, _rested_min in known),
        math.fsum(min(planned_min, rested_min) for planned_min, rested_min in known),
    )


def _rests(judged):
    rests = defaultdict(list)
    batches = [batch for batch, _readings in judged]
    for stage in Stage.objects.filter(batch__in=batches, kind=Stage.Kind.REST):
        rests[stage.batch_id].append(stage)
    return rests


def _photographs(judged):
    """Return, by batch, the photographs that its current widths came from."""
    photographs = defaultdict(list)
    widths = [readings.get(Quantity.WIDTH) for _batch, readings in judged]
    from_photos = [row for row in widths if row is not None and row.software]
    if from_photos:
        for photo in Photograph.objects.measured().filter(readings__in=from_photos).with_left_out():
            photographs[photo.batch_id].append(photo)
    return photographs


def _kept(batch, said) -> BatchPatterns:
    return BatchPatterns(
        batch=batch,
        # JSON knows no infinity: None are degrees of freedom without end.
        effects=[
            asdict(effect) | {"df": None if math.isinf(effect.df) else effect.df}
            for effect in said.effects
        ],
        untested=[asdict(reason) for reason in said.untested],
        sheet_kinds=list(said.sheet_kinds),
        version=PATTERNS_VERSION,
        computed_at=timezone.now(),
    )


def _found(batch, place, finding) -> FoundPattern:
    return FoundPattern(
        batch=batch,
        place=place,
        branch_id=batch.branch_id,
        style_id=batch.style_id,
        made_on=batch.made_on,
        **asdict(finding),
    )
