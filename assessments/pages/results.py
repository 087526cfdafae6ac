"""The result of one batch."""

from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from assessments.actions.log_batch import see_score
from assessments.charts.findings import finding_chart
from assessments.charts.hydration import hydration_chart
from assessments.charts.pot import pot_chart
from assessments.charts.sheet import sheet_chart
from assessments.charts.strands import strands_chart
from assessments.summaries.batch import batch_result, result_batches
from assessments.summaries.pot import pot_of
from training.access import can_assess, can_log, can_read_record, require


@require_safe
@login_required
def result(request, pk):
    """Show what a batch scored and why; noting the cook's first look changes nothing later."""
    viewer = request.user
    batch = get_object_or_404(result_batches(viewer), pk=pk)
    require(can_read_record(viewer, batch.cook))
    assesses = can_assess(viewer, batch.cook)
    if assesses and batch.is_blind:
        return redirect("assessments:review_batch", batch.pk)
    is_own = viewer.pk == batch.cook_id
    if is_own:
        see_score(batch)
    may_log = can_log(viewer, batch.cook)
    shown = batch_result(batch, may_correct=may_log)
    pot = pot_of(batch, shown.strands, shown.sheet) if shown.score is not None else None
    context = {
        "result": shown,
        "batch": batch,
        "parts": list(zip(shown.parts, charts_of(shown), strict=False)),
        "picture": picture_of(shown),
        "pot": pot,
        "pot_picture": pot and pot_chart(pot),
        "is_own": is_own,
        "may_log": may_log,
        "assesses": assesses,
    }
    return render(request, "assessments/results/result.html", context)


def charts_of(shown):
    """Return the picture of each part, None for a part that was not measured."""
    return (
        shown.strands and strands_chart(shown.strands),
        shown.sheet and sheet_chart(shown.sheet),
        shown.water and hydration_chart(shown.water),
    )


def picture_of(shown):
    """Return the picture of what is to be changed first, None where there is nothing to draw."""
    change = shown.to_change
    if change is None or change.first is None:
        return None
    return finding_chart(change.first.finding, shown.strands, shown.sheet, change.sheet_kinds)
