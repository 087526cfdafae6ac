"""The house's boil tests: when a strand of a known section was done."""

from urllib.parse import urlencode

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from assessments.actions import boil_tests as actions
from assessments.charts.pot import boil_tests_chart
from assessments.models import BoilTest
from assessments.pages.assess_forms import posted
from assessments.pages.boil_test_forms import BoilTestForm
from assessments.summaries.pot import boil_tests_page
from training.access import can_record_boil_tests, role_required


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(can_record_boil_tests)
def boil_tests(request):
    """Show the boil tests of a style and what they change; write one down."""
    page = boil_tests_page(request.GET.get("style"))
    if page is None:
        return render(request, "assessments/boil_tests/boil_tests.html", {"page": None})
    form = BoilTestForm(posted(request), styles=page.styles, style=page.style)
    if form.is_valid():
        test = form.attempt(actions.record_boil_test, by=request.user)
        if test:
            messages.success(request, _("The boil test is recorded. Below is what it changes."))
            return redirect(address_of(test.style))
    context = {"page": page, "form": form, "chart": boil_tests_chart(page.lines)}
    return render(request, "assessments/boil_tests/boil_tests.html", context)


@require_POST
@role_required(can_record_boil_tests)
def remove_boil_test(request, pk):
    """Take a boil test back."""
    test = actions.remove_boil_test(get_object_or_404(BoilTest, pk=pk), by=request.user)
    messages.success(request, _("The boil test is taken back. It no longer counts."))
    return redirect(address_of(test.style))


def address_of(style):
    """Return where the boil tests of a style are."""
    return f"{reverse('assessments:boil_tests')}?{urlencode({'style': style.slug})}"
