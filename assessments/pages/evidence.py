"""Batches that wait for a look, and all evidence of one cook in one style."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from assessments.actions.assessors import rate_blind
from assessments.actions.sign_off import review_batch
from assessments.charts.forecast import forecast_chart
from assessments.charts.monitoring import evenness_chart
from assessments.charts.progress import score_chart, shares_chart
from assessments.charts.strands import strands_chart
from assessments.pages.assess_forms import ReviewForm, posted
from assessments.pages.assessor_forms import EvennessForm
from assessments.summaries.cooks import person_with_roles
from assessments.summaries.evidence import evidence_page
from assessments.summaries.waiting import (
    blind_page,
    next_waiting,
    review_page,
    reviewable,
    waiting_page,
)
from training.access import can_assess, can_read_record, require, role_required
from training.models import Style

# Beyond this page nobody looks, and a database cannot count.
LAST_PAGE = 10_000


def page_number(request):
    """Return the wanted page from 1; anything else than a number is the first."""
    wanted = request.GET.get("page", "")
    return min(max(1, int(wanted)), LAST_PAGE) if wanted.isdecimal() and len(wanted) < 6 else 1


@require_safe
@role_required(lambda person: person.is_head_chef)
def waiting(request):
    """List the batches that nobody has looked at yet."""
    page = waiting_page(request.user, page_number(request))
    return render(request, "assessments/waiting/waiting.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def review(request, pk):
    """Show a batch in short and record the head chef's decision; then go on to the next."""
    batch = get_object_or_404(reviewable(request.user), pk=pk)
    require(can_assess(request.user, batch.cook))
    if batch.is_blind:
        return rate_first(request, batch)
    if "evenness" in request.POST:
        # The form before the score, sent twice: the first look stands.
        return redirect("assessments:review_batch", pk)
    form = ReviewForm(posted(request), batch=batch)
    if form.is_valid():
        if form.attempt(review_batch, batch, by=request.user):
            messages.success(request, _("Recorded: batch of %(cook)s.") % {"cook": batch.cook})
            return to_next_waiting(request)
        batch = reviewable(request.user).get(pk=pk)
    context = {"page": review_page(batch), "form": form}
    return render(request, "assessments/waiting/review.html", context)


def rate_first(request, batch):
    """Ask how even the strands look before score and name are shown."""
    form = EvennessForm(posted(request))
    if form.is_valid() and form.attempt(rate_blind, batch, by=request.user):
        return redirect("assessments:review_batch", batch.pk)
    page = blind_page(batch)
    context = {"page": page, "chart": strands_chart(page.strands), "form": form}
    return render(request, "assessments/waiting/rate_first.html", context)


def to_next_waiting(request):
    """Go to the batch that has waited longest, or to the empty list."""
    pk = next_waiting(request.user)
    return redirect("assessments:review_batch", pk) if pk else redirect("assessments:waiting")


@require_safe
@login_required
def evidence(request, pk, style):
    """Show all evidence of one cook in one style."""
    cook = person_with_roles(pk, viewer=request.user)
    require(can_read_record(request.user, cook))
    try:
        page = evidence_page(cook, style, viewer=request.user)
    except Style.DoesNotExist as unknown:
        raise Http404(_("The house makes no such style.")) from unknown
    context = {
        "page": page,
        "progress": [
            (one, forecast_chart(one.fans) or evenness_chart(one.watched)) for one in page.progress
        ],
        "scores": score_chart(page.points, ready_share=page.ready_share),
        "shares": shares_chart(page.points, ready_share=page.ready_share),
        "may_assess": can_assess(request.user, cook) and cook.is_active,
    }
    return render(request, "assessments/evidence/evidence.html", context)
