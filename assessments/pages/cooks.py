"""The cooks of a branch or of the house, and one cook."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from assessments.actions.practice import end_practice, enter_practice
from assessments.pages.assess_forms import CookFilterForm, EndPracticeForm, EnterPracticeForm
from assessments.summaries.cooks import cook_list as list_cooks
from assessments.summaries.cooks import cook_page, person_with_roles
from training.access import can_assess, can_read_record, require, role_required


@require_safe
@role_required(lambda person: person.is_head_chef or person.is_owner)
def cook_list(request):
    """List the cooks whom the viewer may see, with their states."""
    form = CookFilterForm(request.GET or None, viewer=request.user)
    wanted = form.cleaned_data if form.is_valid() else {}
    cooks = list_cooks(
        request.user,
        branch=wanted.get("branch"),
        words=wanted.get("q", ""),
        number=request.GET.get("page", 1),
    )
    context = {"cooks": cooks, "form": form, "is_filtered": any(wanted.values())}
    return render(request, "assessments/cooks/cooks.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def cook(request, pk):
    """Show one cook; a head chef enters and ends what the cook practises."""
    person = person_with_roles(pk, viewer=request.user)
    require(can_read_record(request.user, person))
    may_assess = can_assess(request.user, person) and person.is_active
    if request.method == "POST":
        require(may_assess)
    form = EnterPracticeForm(None) if may_assess else None
    if request.method == "POST":
        form, done = change_practice(request, person)
        if done:
            messages.success(request, done)
            return redirect("assessments:cook", pk)
    page = cook_page(person, viewer=request.user)
    context = {"page": page, "form": form, "may_assess": may_assess}
    return render(request, "assessments/cooks/cook.html", context)


def change_practice(request, person):
    """End or enter a practice as asked; return the form to show and, when done, what to say."""
    if "practice" in request.POST:
        form = EndPracticeForm(request.POST, cook=person)
        if form.is_valid() and form.attempt(end_practice, by=request.user):
            return form, _("The practice has ended. Its record is kept.")
        return EnterPracticeForm(None), ""
    form = EnterPracticeForm(request.POST)
    branch_id = next(b for b in person.home_branch_ids if b in request.user.headed_branch_ids)
    if form.is_valid() and form.attempt(
        enter_practice, person, branch_id=branch_id, by=request.user
    ):
        return form, _("Entered: the cook now practises there.")
    return form, ""
