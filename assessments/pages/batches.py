"""The batch log of a trainee: batches, their stages, timers, the end."""

from datetime import timedelta

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from assessments.actions.log_batch import (
    abandon_batch,
    expect_strands,
    finish_batch,
    open_batch,
    save_stage,
    start_timer,
)
from assessments.models import Batch
from assessments.pages.forms import FinishForm, NewBatchForm, StageForm, StrandsForm
from assessments.pages.photo_forms import PhotoForm
from assessments.summaries import log
from training.access import can_log, require, role_required
from training.models import Branch

BATCHES_A_PAGE = 20
LONGEST_DELAY = timedelta(hours=24)
# In the address of the cut: type the widths, although photos gave some.
TYPES_WIDTHS = "type"


@require_safe
@role_required(lambda person: person.is_trainee)
def batch_list(request):
    """The cook's own batches, newest first."""
    batches = Batch.objects.filter(cook=request.user).for_log().newest_first()
    page = Paginator(batches, BATCHES_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "assessments/batches/batches.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(lambda person: person.is_trainee)
def new_batch(request):
    """Open a batch: style, portions, room temperature."""
    choices = {
        "standards": log.standards_practised(request.user),
        "branches": Branch.objects.filter(pk__in=request.user.home_branch_ids),
    }
    usual = log.usual_batch(request.user)
    form = NewBatchForm(request.POST or None, usual=usual, **choices)
    if form.is_valid():
        batch = opened_batch(request, form)
        if batch is not None:
            return redirect("assessments:stage", pk=batch.pk, position=1)
    page = {"form": form, "open_batches": log.open_batches(request.user), **choices}
    page["practises"] = bool(choices["standards"]) or log.practises_anything(request.user)
    return render(request, "assessments/batches/new_batch.html", page)


def opened_batch(request, form):
    """Open the batch, or put the reason why not into ``form`` and return None."""
    try:
        return open_batch(cook=request.user, by=request.user, **form.wanted())
    except ValidationError as refusal:
        form.add_error(None, refusal)
        return None


def own_batch(request, pk):
    """Return a batch of the signed-in cook with what the log shows."""
    batch = get_object_or_404(log.batches_in_log(), pk=pk)
    require(can_log(request.user, batch.cook))
    return batch


def own_sheet(request, pk, position):
    """Return the page of a stage of one of the signed-in cook's batches."""
    types_widths = TYPES_WIDTHS in request.GET or any(
        name.startswith("width_") for name in request.POST
    )
    sheet = log.stage_sheet(own_batch(request, pk), position, types_widths=types_widths)
    if sheet is None:
        raise Http404
    return sheet


@require_safe
@login_required
def batch(request, pk):
    """One batch: its stages in order, what is measured, how it ends."""
    return show_batch(request, own_batch(request, pk))


def show_batch(request, batch, form=None):
    """Draw the page of a batch."""
    page = log.batch_log(batch)
    last_time = page.last_time
    form = form or FinishForm(asked_by=last_time and last_time.batch_id)
    return render(request, "assessments/batches/batch.html", {"log": page, "form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def stage(request, pk, position):
    """One stage of a batch: what it asks for, saved as it is left."""
    sheet = own_sheet(request, pk, position)
    if request.method != "POST":
        return show_stage(request, sheet, StageForm(sheet))
    answer = ANSWERS.get(request.POST.get("action"), save)
    return answer(request, sheet)


def show_stage(request, sheet, form, strands_form=None, photo_form=None, status=200):
    """Draw the page of a stage."""
    total = {"strands_expected": sheet.batch.strands_expected}
    page = {
        "sheet": sheet,
        "form": form,
        "strands_form": strands_form or StrandsForm(initial=total),
        "photo_form": photo_form or PhotoForm(),
        "water": form.water() if sheet.stage.kind == "mix" else None,
    }
    return render(request, "assessments/batches/stage.html", page, status=status)


def save(request, sheet):
    """Record what was typed, close the stage and go on to the next; else say what is amiss."""
    form = StageForm(sheet, request.POST)
    saved = store(request, form, done=True)
    few = log.few_readings(sheet, form.entries()) if saved else ""
    if few:
        messages.info(request, few)
    if wants_json(request):
        return told_in_json(form, saved)
    return redirect(after_stage(sheet)) if saved else show_stage(request, sheet, form)


def keep(request, sheet):
    """Record what can be read so far; the stage stays open. Answers in JSON, to the page itself."""
    form = StageForm(sheet, request.POST)
    saved = sheet.batch.is_open and store(request, form, done=False)
    return told_in_json(form, saved)


def store(request, form, *, done):
    """Record the values of ``form``; return whether nothing was amiss.

    In an open batch the values that can be read are recorded even when others cannot.
    """
    sheet, valid = form.sheet, form.is_valid()
    try:
        if valid or sheet.batch.is_open:
            save_stage(sheet.stage, form.entries(), by=request.user, done=done and valid)
            form.renew_basis(log.current_basis(sheet.stage))
    except ValidationError as refusal:
        form.add_error(None, refusal)
    return form.is_valid()


def wants_json(request):
    return request.get_preferred_type(["text/html", "application/json"]) == "application/json"


def told_in_json(form, saved):
    """Tell the page's script what was saved, which fields are amiss and where to go."""
    return JsonResponse(
        {
            "saved": bool(saved),
            "errors": form.errors.get_json_data(),
            "basis": form.data.get("basis", ""),
            "next": after_stage(form.sheet),
        }
    )


def after_stage(sheet):
    """Return the address of what follows a stage: the next one, or the batch."""
    if sheet.following is None or not sheet.batch.is_open:
        return reverse("assessments:batch", args=[sheet.batch.pk])
    return log.stage_url(sheet.following)


def set_total(request, sheet):
    """Fix the number of strands, which chooses the ones to measure; typed widths stay."""
    strands_form = StrandsForm(request.POST)
    if strands_form.is_valid():
        try:
            expect_strands(sheet.batch, strands_form.cleaned_data["strands_expected"])
        except ValidationError as refusal:
            strands_form.add_error("strands_expected", refusal)
    sheet = log.stage_sheet(sheet.batch, sheet.stage.position)
    form = StageForm(sheet, request.POST)
    if strands_form.is_valid() and not form.has_typed():
        return redirect(log.stage_url(sheet.stage))
    return show_stage(request, sheet, form, strands_form)


def distribute(request, sheet):
    """Put pasted readings into the fields, for the cook to look over before they are saved."""
    form = StageForm(sheet, request.POST)
    form.distribute()
    return show_stage(request, sheet, form)


def reckon_water(request, sheet):
    """Show how warm the water must be for the temperatures typed; nothing is recorded."""
    form = StageForm(sheet, request.POST)
    form.is_valid()
    return show_stage(request, sheet, form)


def add_photo(request, sheet):
    """Keep a photo of the strands and go to its page; else say at the field why not."""
    if sheet.photos is None:
        raise Http404
    form = PhotoForm(request.POST, request.FILES)
    photograph = form.keep(sheet.batch, by=request.user)
    if photograph is not None:
        address = reverse("assessments:photograph", args=[photograph.pk])
        return JsonResponse({"next": address}) if wants_json(request) else redirect(address)
    if wants_json(request):
        return JsonResponse({"errors": form.errors.get_json_data()}, status=422)
    if form.non_field_errors():
        # No photo can be added any more, so that there may be no field to say it at.
        messages.error(request, form.non_field_errors()[0])
        return redirect(log.stage_url(sheet.stage))
    return show_stage(request, sheet, StageForm(sheet), photo_form=form, status=422)


ANSWERS = {
    "photo": add_photo,
    "save": save,
    "keep": keep,
    "total": set_total,
    "paste": distribute,
    "water": reckon_water,
}


@require_POST
@login_required
def timer(request, pk, position):
    """Start the timer of a stage at the moment when it was pressed."""
    sheet = own_sheet(request, pk, position)
    try:
        started = start_timer(
            sheet.stage, at=pressed_at(request.POST), again="again" in request.POST
        )
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
        started = sheet.stage
    if wants_json(request):
        return JsonResponse({"started_at": started.timer_started_at})
    return redirect(log.stage_url(sheet.stage))


def pressed_at(data):
    """Return when a button was pressed: so many milliseconds ago as the page says, at most a day.

    The page counts the time between press and arrival, so that neither a bad signal nor a phone
    with a wrong clock shifts the timer.
    """
    now = timezone.now()
    try:
        ago = timedelta(milliseconds=int(data.get("pressed_ms_ago", "0")))
    except (ValueError, OverflowError):
        return now
    return now - min(max(ago, timedelta(0)), LONGEST_DELAY)


@require_POST
@login_required
def finish(request, pk):
    """Close the batch and show what it is worth; else say why not, with the answer kept."""
    batch = own_batch(request, pk)
    form = FinishForm(request.POST)
    if not form.is_valid():
        return show_batch(request, batch, form)
    try:
        finish_batch(batch, by=request.user, tried=form.answer())
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
        return show_batch(request, batch, form)
    return redirect("assessments:result", pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def give_up(request, pk):
    """Ask whether the batch is to be given up, and what that costs; then do it."""
    batch = own_batch(request, pk)
    if request.method != "POST" and batch.is_open:
        return render(request, "assessments/batches/give_up.html", {"batch": batch})
    try:
        abandon_batch(batch, by=request.user)
        messages.info(request, _("The batch is given up. A head chef can excuse it."))
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    return redirect("assessments:batch", pk=pk)
