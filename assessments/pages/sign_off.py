"""Observe, sign off, withdraw, and the record of a sign-off."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from assessments.actions import sign_off as actions
from assessments.models import Practice
from assessments.pages.assess_forms import ObservationForm, SignForm, WithdrawForm, posted
from assessments.summaries.assessors import is_to_be_seen_by_two
from assessments.summaries.sign_off import record_page, sign_offs, sign_page
from training.access import can_assess, can_read_record, require


def practice_to_assess(request, pk):
    """Return a practice that goes on, if the viewer may judge its cook."""
    practice = get_object_or_404(Practice.objects.for_board(), pk=pk)
    require(can_assess(request.user, practice.person))
    return practice


def decided(request, pk):
    """Return a sign-off that the viewer may read, with whether they may judge its cook."""
    decision = get_object_or_404(sign_offs(), pk=pk)
    require(can_read_record(request.user, decision.cook))
    return decision, can_assess(request.user, decision.cook)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def observe(request, pk):
    """Write down what was seen at the bench."""
    practice = practice_to_assess(request, pk)
    initial = {"batch": request.GET.get("batch")}
    form = ObservationForm(posted(request), practice=practice, initial=initial)
    if form.is_valid() and form.attempt(actions.observe, practice, by=request.user):
        messages.success(request, _("Your observation is recorded."))
        return redirect("assessments:evidence", practice.person_id, practice.style.slug)
    context = {
        "practice": practice,
        "form": form,
        "is_by_two": is_to_be_seen_by_two(request.user, form["batch"].value()),
    }
    return render(request, "assessments/sign_off/observe.html", context)


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def sign(request, pk):
    """Show what the decision rests on and record it with the head chef's own password."""
    practice = practice_to_assess(request, pk)
    page = sign_page(practice, viewer=request.user)
    form = SignForm(
        posted(request),
        is_complete=not page.missing,
        initial={"seen_missing": ",".join(page.missing_codes)},
    )
    if form.is_valid():
        decision = form.attempt(actions.sign_off, practice, by=request.user)
        if decision:
            messages.success(request, _("Signed off. This is the record."))
            return redirect("assessments:sign_off_record", decision.pk)
        practice.refresh_from_db()
        page = sign_page(practice, viewer=request.user)
        form.look_again(page.missing_codes)
    context = {"page": page, "form": form}
    return render(request, "assessments/sign_off/sign.html", context)


@require_safe
@login_required
def record(request, pk):
    """Show a sign-off with its evidence as it stood."""
    decision, may_assess = decided(request, pk)
    page = record_page(decision, can_withdraw=may_assess)
    return render(request, "assessments/sign_off/record.html", {"page": page})


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def withdraw(request, pk):
    """Withdraw a sign-off with a reason and the head chef's own password."""
    decision, may_assess = decided(request, pk)
    require(may_assess)
    form = WithdrawForm(posted(request))
    if form.is_valid() and form.attempt(actions.withdraw, decision, by=request.user):
        messages.success(request, _("Withdrawn. The evidence starts anew."))
        return redirect("assessments:sign_off_record", decision.pk)
    page = record_page(decision, can_withdraw=may_assess)
    return render(request, "assessments/sign_off/withdraw.html", {"page": page, "form": form})
