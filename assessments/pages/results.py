"""The result of one batch."""

from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from assessments.actions.log_batch import see_score
from assessments.charts.hydration import hydration_chart
from assessments.charts.sheet import sheet_chart
from assessments.charts.strands import strands_chart
from assessments.models import Batch
from assessments.summaries.batch import batch_result
from assessments.summaries.waiting import next_waiting
from training.access import can_assess, can_log, can_read_record, require


@require_safe
@login_required
def result(request, pk):
    """Show what a batch scored and why; noting the cook's first look changes nothing later."""
    batch = get_object_or_404(Batch.objects.for_log().select_related("review__reviewer"), pk=pk)
    viewer = request.user
    require(can_read_record(viewer, batch.cook))
    is_own = viewer.pk == batch.cook_id
    if is_own:
        see_score(batch)
    assesses = can_assess(viewer, batch.cook)
    shown = batch_result(batch, may_correct=can_log(viewer, batch.cook))
    context = {
        "result": shown,
        "batch": batch,
        "parts": list(zip(shown.parts, charts_of(shown), strict=False)),
        "is_own": is_own,
        "assesses": assesses,
        "next_waiting": next_waiting(viewer) if assesses else None,
    }
    return render(request, "assessments/results/result.html", context)


def charts_of(shown):
    """Return the picture of each part, None for a part that was not measured."""
    return (
        shown.strands and strands_chart(shown.strands),
        shown.sheet and sheet_chart(shown.sheet),
        shown.water and hydration_chart(shown.water),
    )
