"""The readiness board: which stations of which branch can be held by whom."""

from django.core.exceptions import BadRequest
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from assessments.pages.readiness_forms import FilterForm
from assessments.pages.spreadsheets import csv_response
from assessments.summaries.readiness import branch_board, readiness_board, readiness_rows
from training.access import can_see_readiness, require, role_required
from training.models import Branch


@require_safe
@role_required(can_see_readiness)
def board(request):
    """Branches by stations: the owner sees all, a head chef the own ones."""
    form = FilterForm(request.GET, viewer=request.user)
    page_of_branches = readiness_board(
        form.branches, form.filters, today=timezone.localdate(), number=request.GET.get("page", 1)
    )
    context = {"board": page_of_branches, "form": form, "query": query_of(request)}
    return render(request, "assessments/readiness/board.html", context)


@require_safe
@role_required(can_see_readiness)
def board_csv(request):
    """Send the board, narrowed in the same way, as a file for a spreadsheet."""
    form = FilterForm(request.GET, viewer=request.user)
    if not form.is_valid():
        raise BadRequest(_("Style, branch and state must be chosen from the lists of the board."))
    today = timezone.localdate()
    rows = readiness_rows(form.branches, form.filters, today=today)
    return csv_response(rows, f"readiness-{today.isoformat()}.csv")


@require_safe
@role_required(can_see_readiness)
def branch(request, branch):
    """All cooks of one branch by stations."""
    place = get_object_or_404(Branch, slug=branch)
    form = FilterForm(request.GET, viewer=request.user)
    require(place in form.branches)
    del form.fields["branch"]
    cooks = branch_board(
        place, form.filters, today=timezone.localdate(), number=request.GET.get("page", 1)
    )
    context = {"board": cooks, "form": form, "query": query_of(request)}
    return render(request, "assessments/readiness/branch.html", context)


def query_of(request):
    """Return the filters of an address without its page."""
    query = request.GET.copy()
    query.pop("page", None)
    return query.urlencode()
