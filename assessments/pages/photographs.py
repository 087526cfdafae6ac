"""The page of a photo of strands: what was measured on it, and what the cook says about it."""

from collections import Counter
from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_http_methods, require_safe

from assessments.actions.measure_photograph import (
    pick_up_stale,
    queue_again,
    remove_photograph,
    take_back,
)
from assessments.charts.photograph import PROFILE_SIZE, Profile, overlay, profile
from assessments.models import Photograph, Stage
from assessments.pages.photo_forms import LeaveOutForm, NumberForm, PlacesForm
from assessments.summaries.calibrations import is_on_open_set
from assessments.summaries.photographs import (
    StrandLine,
    photograph_sheet,
    photographs_to_show,
)
from training.access import can_log, can_read_record, can_read_trial, can_run_trials, require

STATES = {
    Photograph.State.WAITING: gettext_lazy("Waiting for its turn to be measured."),
    Photograph.State.MEASURING: gettext_lazy("Measuring every strand. This takes a few seconds."),
}
PICTURES = {"page": "rendition", "list": "thumbnail"}
"""Which column of a photograph holds the picture for which use."""


@dataclass(frozen=True, slots=True)
class Row:
    """One strand in the list, with its widths along it and the form that leaves it out."""

    line: StrandLine
    profile: Profile | None
    form: LeaveOutForm | None


def may_read(viewer, photograph):
    """Return whether ``viewer`` may see a photograph: as the record or the trial it belongs to."""
    if photograph.batch is not None:
        return can_read_record(viewer, photograph.batch.cook)
    trial = photograph.trial
    return can_read_trial(viewer, trial.branch_id, is_open=trial.is_open)


def may_change(viewer, photograph):
    """Return whether ``viewer`` may say something about a photograph's strands, or remove it."""
    if photograph.batch is not None:
        return can_log(viewer, photograph.batch.cook)
    return can_run_trials(viewer, photograph.trial.branch_id)


def shown_photograph(request, pk):
    """Return a photograph that the signed-in person may see."""
    found = get_object_or_404(photographs_to_show(), pk=pk)
    require(may_read(request.user, found))
    return found


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@never_cache
def photograph(request, pk):
    """Show a photo with its strands, or how far it is; or do what the cook says about it."""
    shown = shown_photograph(request, pk)
    if request.method == "POST":
        require(may_change(request.user, shown))
        answer = ANSWERS.get(request.POST.get("action"), ask_again)
        return answer(request, shown)
    if shown.is_under_way:
        pick_up_stale(shown)
    return show(request, shown)


def show(request, shown, *, leaving_out=None, places_form=None, status=200):
    """Draw the page; the forms are those that could not be read, if any."""
    sheet = photograph_sheet(shown)
    changes = sheet.may_change and may_change(request.user, shown)
    if places_form is None and changes and sheet.places and sheet.strands:
        places_form = PlacesForm(sheet=sheet)
    page = {
        "sheet": sheet,
        "photograph": shown,
        "changes": changes,
        "back": way_back(request.user, shown),
        "rows": [strand_row(line, sheet, changes, leaving_out) for line in sheet.strands],
        "counts": Counter(line.state for line in sheet.strands).most_common(),
        "overlay": overlay(sheet.size_px, sheet.strands),
        "profile_size": PROFILE_SIZE,
        "places_form": places_form,
        "waits": STATES.get(shown.state),
    }
    return render(request, "assessments/photographs/photograph.html", page, status=status)


def strand_row(line, sheet, changes, leaving_out):
    """Return a strand's row; ``leaving_out`` is a form that could not be read, of any strand."""
    form = None
    if changes and line.left_out is None:
        form = LeaveOutForm.of(line.number)
        if leaving_out is not None and leaving_out.data.get("number") == str(line.number):
            form = leaving_out
    return Row(line, profile(line.profile_mm, sheet.low_mm, sheet.high_mm), form)


def way_back(viewer, shown):
    """Return the address of the page that a photograph belongs to, as the viewer may see it."""
    if shown.batch is None:
        return reverse("assessments:trial", args=[shown.trial_id])
    if not can_log(viewer, shown.batch.cook):
        return reverse("assessments:result", args=[shown.batch_id])
    cut = Stage.objects.filter(batch=shown.batch_id, kind=Stage.Kind.CUT)
    position = cut.values_list("position", flat=True).first()
    if position is None:
        return reverse("assessments:batch", args=[shown.batch_id])
    return reverse("assessments:stage", args=[shown.batch_id, position])


def page_of(shown, number=None):
    """Return to the page of a photograph, to the row of a strand where one is named."""
    part = "" if number is None else f"#strand-{number}"
    return redirect(reverse("assessments:photograph", args=[shown.pk]) + part)


def attempt(request, action, *args, **kwargs):
    """Call ``action``; return whether it was done, else tell why not."""
    try:
        action(*args, **kwargs)
    except ValidationError as refused:
        messages.error(request, refused.messages[0])
        return False
    return True


def measure_again(request, shown):
    """Put the photograph back in the queue."""
    attempt(request, queue_again, shown)
    return page_of(shown)


def leave_strand_out(request, shown):
    """Leave a strand out for a reason; without one, ask for it."""
    form = LeaveOutForm.of(request.POST.get("number"), request.POST)
    done = form.leave_out(shown, by=request.user)
    if "reason" in form.errors and "number" not in form.errors:
        return show(request, shown, leaving_out=form, status=422)
    if not done:
        messages.error(request, next(iter(form.errors.values()))[0])
        return page_of(shown)
    number = form.cleaned_data["number"]
    messages.success(request, _("Strand %(number)d is left out.") % {"number": number})
    return page_of(shown, number)


def take_strand_back(request, shown):
    """Let a strand count again."""
    form = NumberForm(request.POST)
    if not form.is_valid():
        return page_of(shown)
    number = form.cleaned_data["number"]
    attempt(request, take_back, shown, number, by=request.user)
    return page_of(shown, number)


def put_at_places(request, shown):
    """Say which of the chosen strands lie on the photograph."""
    form = PlacesForm(request.POST, sheet=photograph_sheet(shown))
    done = form.say(shown, by=request.user)
    if form.non_field_errors():
        messages.error(request, form.non_field_errors()[0])
    elif not done:
        return show(request, shown, places_form=form, status=422)
    return page_of(shown)


def remove(request, shown):
    """Take a wrong photo away."""
    back = way_back(request.user, shown)
    if not attempt(request, remove_photograph, shown, by=request.user):
        return page_of(shown)
    messages.success(request, _("The photo is removed."))
    return redirect(back)


def ask_again(_request, shown):
    """Show the page again for a command that it does not know."""
    return page_of(shown)


ANSWERS = {
    "again": measure_again,
    "leave_out": leave_strand_out,
    "take_back": take_strand_back,
    "places": put_at_places,
    "remove": remove,
}


@require_safe
@login_required
@never_cache
def state(request, pk):
    """Tell the page's script how far a photograph is; one that was lost goes on from here."""
    shown = shown_photograph(request, pk)
    if shown.is_under_way:
        pick_up_stale(shown)
    return JsonResponse(
        {
            "state": shown.state,
            "done": not shown.is_under_way,
            "text": STATES.get(shown.state, shown.get_state_display()),
        }
    )


@require_safe
@login_required
@cache_control(private=True, max_age=86_400)
def picture(request, pk, use):
    """Send the picture of a photograph for its page or for a list.

    To an assessor who is asked to rate it, too: the picture names nobody.
    """
    if use not in PICTURES:
        raise Http404
    shown = get_object_or_404(photographs_to_show(), pk=pk)
    require(may_read(request.user, shown) or is_on_open_set(request.user, shown))
    file = getattr(shown, PICTURES[use])
    if not file:
        raise Http404
    try:
        response = FileResponse(file.open("rb"), content_type="image/webp")
    except FileNotFoundError as gone:
        raise Http404 from gone
    # Whatever somebody managed to send, it is shown as a picture or not at all.
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["X-Content-Type-Options"] = "nosniff"
    return response
