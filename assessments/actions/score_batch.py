"""Score a batch from its current readings and keep the result, and its patterns, with it."""

from dataclasses import dataclass

import numpy as np
from django.utils import timezone

from assessments.actions.find_patterns import is_too_coarse, store_patterns
from assessments.calculations.requirements import RULE_VERSION, evidence_points, hydration_points
from assessments.calculations.scoring import (
    FORMULA_VERSION,
    batch_score,
    hydration_share,
    share_in_tolerance,
)
from assessments.models import NotCounted, ReadingSet, Score
from training.models import HousePolicy


@dataclass(frozen=True, slots=True)
class PartResult:
    """Share, interval, counts and points of the width or the thickness."""

    share: float | None = None
    low: float | None = None
    high: float | None = None
    n: int = 0
    n_in: int = 0
    points: float | None = None
    not_counted: str = ""


def score_part(readings, limits_mm, standard, *, chosen=True, policy) -> PartResult:
    """Return what one set of lengths is worth under ``limits_mm``.

    ``readings`` is a ``ReadingSet`` or None. An instrument that is too coarse for the tolerance
    gives readings and counts but neither share nor points. The share takes off what differs from
    strand to strand only; what shifts all of them is no spread.
    """
    if readings is None:
        return PartResult()
    lo, hi = limits_mm
    sigma_mm = readings.repeatability_mm or 0.0
    values = readings.array
    result = share_in_tolerance(values[~np.isnan(values)], lo, hi, sigma_mm)
    if is_too_coarse(readings, limits_mm):
        return PartResult(n=result.n, n_in=result.n_in, not_counted=NotCounted.TOO_COARSE)
    not_counted = ""
    if readings.after_score:
        not_counted = NotCounted.CHANGED
    elif readings.spoils_evidence:
        not_counted = NotCounted.LEFT_OUT
    elif policy.only_chosen_strands and not chosen:
        not_counted = NotCounted.NOT_CHOSEN
    points = None
    if not not_counted:
        points = evidence_points(
            result.share, result.n, float(standard.ready_share), float(standard.not_ready_share)
        )
    return PartResult(
        result.share, result.low, result.high, result.n, result.n_in, points, not_counted
    )


def compute_score(batch, readings, standard, *, policy) -> Score:
    """Return an unsaved ``Score`` of ``batch`` under ``standard``.

    ``readings`` maps each quantity to its current ``ReadingSet``. With another version than the
    batch's own this answers "what would it have scored?".
    """
    quantity = ReadingSet.Quantity
    width = score_part(
        readings.get(quantity.WIDTH),
        standard.width_limits_mm,
        standard,
        chosen=batch.strands_chosen_here,
        policy=policy,
    )
    thickness = score_part(
        readings.get(quantity.THICKNESS), standard.thickness_limits_mm, standard, policy=policy
    )
    flour, water = readings.get(quantity.FLOUR), readings.get(quantity.WATER)
    hydration_percent = share = points = None
    not_counted = ""
    if flour is not None and water is not None:
        hydration_percent = 100 * water.mean / flour.mean
        wanted = (
            hydration_percent,
            float(batch.hydration_target_percent),
            float(standard.hydration_tolerance_minus_pp),
            float(standard.hydration_tolerance_plus_pp),
        )
        share = hydration_share(*wanted)
        if flour.after_score or water.after_score:
            not_counted = NotCounted.CHANGED
        else:
            points = hydration_points(*wanted)
    total = batch_score(width.share, thickness.share, share)
    return Score(
        batch=batch,
        score=total.score,
        limiting=total.limiting or "",
        complete=total.complete,
        width_share=width.share,
        width_low=width.low,
        width_high=width.high,
        width_n=width.n,
        width_n_in=width.n_in,
        width_points=width.points,
        width_not_counted=width.not_counted,
        thickness_share=thickness.share,
        thickness_low=thickness.low,
        thickness_high=thickness.high,
        thickness_n=thickness.n,
        thickness_n_in=thickness.n_in,
        thickness_points=thickness.points,
        thickness_not_counted=thickness.not_counted,
        hydration_percent=hydration_percent,
        hydration_share=share,
        hydration_points=points,
        hydration_not_counted=not_counted,
        formula_version=FORMULA_VERSION,
        rule_version=RULE_VERSION,
        scored_at=timezone.now(),
    )


def score_batch(batch) -> Score:
    """Score ``batch`` under its own version of the standard; store the result and the patterns."""
    readings = {row.quantity: row for row in batch.reading_sets.current()}
    score = compute_score(batch, readings, batch.standard, policy=HousePolicy.load())
    score.pk = Score.objects.filter(batch=batch).values_list("pk", flat=True).first()
    score.save()
    batch.score = score
    store_patterns([(batch, readings)])
    return score
