"""The day's page."""

from django.contrib.auth.decorators import login_required
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assessments.summaries.today import today_of


@require_safe
@login_required
def today(request):
    """The next thing for this person, by role."""
    return render(request, "assessments/today/today.html", {"today": today_of(request.user)})
