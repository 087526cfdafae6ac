"""Bring in a file of readings, and an example of one."""

from django.contrib.auth.decorators import login_required
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from assessments.calculations.import_rows import COLUMNS
from assessments.pages.import_forms import ImportForm
from assessments.pages.spreadsheets import csv_response
from assessments.summaries.import_example import example_rows
from training.access import can_import, require, role_required


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(lambda person: person.is_trainee or person.is_head_chef)
def import_readings(request):
    """Read a file into one's own record, or a head chef into that of a cook of the branch."""
    sent = request.method == "POST"
    form = ImportForm(
        request.POST if sent else None,
        request.FILES if sent else None,
        viewer=request.user,
        initial={"cook": request.GET.get("cook")},
    )
    report = None
    if sent and form.is_valid():
        require(can_import(request.user, form.person))
        report = form.bring_in()
    context = {"form": form, "report": report, "columns": COLUMNS}
    status = 422 if sent and (report is None or report.refused) else 200
    return render(request, "assessments/imports/import.html", context, status=status)


@require_safe
@login_required
def example(request):
    """Send an example that this house could read today."""
    return csv_response(example_rows(timezone.localdate()), "readings-example.csv")
