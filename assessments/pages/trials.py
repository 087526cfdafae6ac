"""Trust the tool: photo and caliper on the same strands, and one layout on several photos."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import Http404, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from assessments.actions import trials as actions
from assessments.charts.agreement import agreement_chart
from assessments.charts.repeats import repeats_chart
from assessments.models import Trial
from assessments.pages.assess_forms import posted
from assessments.pages.batches import wants_json
from assessments.pages.trial_forms import CaliperForm, NewTrialForm, PhotosForm
from assessments.summaries.trials import trial_list, trial_page
from training.access import can_read_trial, can_run_trials, can_see_trials, require, role_required


@require_safe
@role_required(can_see_trials)
def trials(request):
    """Show the trials that the viewer may read, newest first."""
    viewer = request.user
    context = {
        "trials": trial_list(viewer, request.GET.get("page")),
        "may_run": viewer.is_owner or viewer.is_head_chef,
        "several_branches": viewer.is_owner or len(viewer.headed_branch_ids) > 1,
    }
    return render(request, "assessments/trials/trials.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(lambda person: person.is_owner or person.is_head_chef)
def new_trial(request):
    """Open a trial."""
    form = NewTrialForm(posted(request), viewer=request.user)
    if form.is_valid():
        trial = form.attempt(actions.open_trial, by=request.user)
        if trial:
            return redirect("assessments:trial", trial.pk)
    return render(request, "assessments/trials/new_trial.html", {"form": form})


def trial_to_read(request, pk):
    """Return a trial that the viewer may read, and whether they may go on with it."""
    trial = get_object_or_404(Trial.objects.with_names(), pk=pk)
    require(can_read_trial(request.user, trial.branch_id, is_open=trial.is_open))
    return trial, can_run_trials(request.user, trial.branch_id)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def trial(request, pk):
    """Show what a trial found and, while it is open, what it needs."""
    trial, may_run = trial_to_read(request, pk)
    if request.method == "POST":
        require(may_run)
        answer = ANSWERS.get(request.POST.get("action"), add_photos)
        return answer(request, trial)
    return show(request, trial, may_run=may_run)


def show(request, trial, *, may_run, form=None, status=200):
    """Draw the page of a trial."""
    page = trial_page(trial)
    context = {
        "page": page,
        "trial": trial,
        "chart": chart_of(page),
        "may_run": may_run,
        "may_change": may_run and trial.is_open,
        "form": form or PhotosForm(trial=trial, viewer=request.user),
    }
    return render(request, "assessments/trials/trial.html", context, status=status)


def chart_of(page):
    """Return the picture of a result, or None without one."""
    if page.result is None:
        return None
    if page.trial.is_comparison:
        return agreement_chart(page.result)
    return repeats_chart(page.result, page.people)


def add_photos(request, trial):
    """Keep the photos sent and have them measured; say which were refused."""
    if not trial.is_open:
        messages.error(request, _("This trial is closed: it stays as it was. Open a new one."))
        return redirect("assessments:trial", trial.pk)
    form = PhotosForm(request.POST, request.FILES, trial=trial, viewer=request.user)
    kept = form.keep() if form.is_valid() else 0
    if kept:
        words = ngettext("%(count)d photo is kept.", "%(count)d photos are kept.", kept)
        messages.success(request, words % {"count": kept})
    if form.errors:
        return show(request, trial, may_run=True, form=form, status=422)
    return redirect("assessments:trial", trial.pk)


def close(request, trial):
    """Close the trial: from then on it stays as it is."""
    if attempt(request, actions.close_trial, trial):
        messages.success(request, _("The trial is closed. The cooks of the branch may read it."))
    return redirect("assessments:trial", trial.pk)


def discard(request, trial):
    """Take the trial away, with its photos."""
    if attempt(request, actions.discard_trial, trial):
        messages.success(request, _("The trial is discarded, with its photos."))
        return redirect("assessments:trials")
    return redirect("assessments:trial", trial.pk)


def take_over(request, trial):
    """Enter the repeatability found at the caliper."""
    caliper = attempt(request, actions.take_over_repeatability, trial)
    if caliper:
        words = _("%(caliper)s: readings are scored with this repeatability from now on.")
        messages.success(request, words % {"caliper": caliper})
    return redirect("assessments:trial", trial.pk)


def attempt(request, action, *args):
    """Call ``action``; return what it gives (True for nothing), or None and say why not."""
    try:
        return action(*args, by=request.user) or True
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
        return None


ANSWERS = {
    "photos": add_photos,
    "close": close,
    "discard": discard,
    "take_over": take_over,
}


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def caliper(request, pk, number):
    """Type one reading of every strand; the second is typed without the first in view."""
    trial, may_run = trial_to_read(request, pk)
    require(may_run)
    if not trial.is_comparison or number not in (1, 2):
        raise Http404
    if request.method != "POST" and not trial.is_open:
        return redirect("assessments:trial", trial.pk)
    form = CaliperForm(posted(request), trial=trial, number=number)
    saved = form.is_valid() and read(request, trial, number, form)
    if wants_json(request):
        return JsonResponse(
            {
                "saved": bool(saved),
                "errors": form.errors.get_json_data(),
                "next": reverse("assessments:trial", args=[trial.pk]),
            }
        )
    if saved:
        return redirect("assessments:trial", trial.pk)
    context = {"trial": trial, "form": form, "number": number}
    return render(request, "assessments/trials/caliper.html", context)


def read(request, trial, number, form):
    """Keep the reading, or put the reason why not into ``form`` and return None."""
    try:
        return actions.read_caliper(
            trial, number, form.widths_mm, caliper=form.cleaned_data["caliper"], by=request.user
        )
    except ValidationError as refusal:
        form.add_error(None, refusal)
        return None
