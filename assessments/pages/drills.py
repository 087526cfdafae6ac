"""Drills: short practice of one thing, with a log of its own."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import Http404, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from assessments.actions.drills import keep_drill
from assessments.charts.findings import finding_chart
from assessments.charts.sheet import sheet_chart
from assessments.charts.strands import strands_chart
from assessments.models import Drill
from assessments.pages.batches import wants_json
from assessments.pages.drill_forms import DrillForm
from assessments.summaries import drills as summaries
from training.access import can_log, can_read_record, require, role_required
from training.models import User


@require_safe
@login_required
def drill_list(request):
    """Show what to practise and the log: the cook's own, or that of the cook asked for."""
    cook = cook_asked_for(request)
    is_own = cook == request.user
    context = {
        "cook": cook,
        "is_own": is_own,
        "practice": summaries.practice_set(cook) if is_own else None,
        "page": summaries.drill_log(cook, request.GET.get("page")),
    }
    return render(request, "assessments/drills/drills.html", context)


def cook_asked_for(request):
    """Return the cook whose drills are asked for, if the viewer may read them."""
    viewer, asked = request.user, request.GET.get("cook")
    if asked is None:
        require(can_log(viewer, viewer))
        return viewer
    if not asked.isascii() or not asked.isdecimal():
        raise Http404
    cook = get_object_or_404(User, pk=asked)
    require(can_read_record(viewer, cook))
    return cook


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(lambda person: person.is_trainee)
def new_drill(request):
    """Type the values of a drill, and keep it."""
    choices = summaries.choices_for(request.user)
    # The page's script leaves out what stands behind the question mark.
    wanted = request.POST if request.method == "POST" else request.GET
    choice = summaries.chosen(choices, wanted.get("style", ""), wanted.get("kind", ""))
    if choice is None:
        if choices:
            messages.info(request, _("This is none of your drills. Choose one."))
            return redirect("assessments:drills")
        return render(request, "assessments/drills/new_drill.html", {"page": None})
    page = summaries.drill_page(request.user, choice, choices)
    if request.method != "POST":
        return show_form(request, page, DrillForm(page.sheet))
    form = DrillForm(page.sheet, request.POST)
    if request.POST.get("action") == "paste":
        form.distribute()
        return show_form(request, page, form)
    drill = keep(request, page, form)
    if wants_json(request):
        return JsonResponse(
            {
                "saved": drill is not None,
                "errors": form.errors.get_json_data(),
                "next": "" if drill is None else address_of(drill),
            }
        )
    return show_form(request, page, form) if drill is None else redirect(address_of(drill))


def show_form(request, page, form):
    """Draw the page on which a drill is typed."""
    context = {"page": page, "sheet": page.sheet, "choice": page.choice, "form": form}
    return render(request, "assessments/drills/new_drill.html", context)


def keep(request, page, form):
    """Keep the drill, or put the reason why not into ``form`` and return None."""
    if not form.is_valid():
        return None
    try:
        return keep_drill(
            request.user,
            page.choice.standard,
            page.choice.kind,
            by=request.user,
            **form.wanted(),
        )
    except ValidationError as refusal:
        form.add_error(None, refusal)
        if refusal.code == "used" and not wants_json(request):
            form.renew_key()
        return None


def address_of(drill):
    return reverse("assessments:drill", args=[drill.pk])


@require_safe
@login_required
def drill(request, pk):
    """Show what one drill says."""
    kept = get_object_or_404(
        Drill.objects.select_related("cook", "style", "standard__style", "instrument"), pk=pk
    )
    require(can_read_record(request.user, kept.cook))
    result = summaries.drill_result(kept)
    context = {
        "result": result,
        "drill": kept,
        "picture": picture_of(result),
        "is_own": request.user.pk == kept.cook_id,
    }
    return render(request, "assessments/drills/drill.html", context)


def picture_of(result):
    """Return the picture of the first finding or, where there is none to draw, of all values."""
    if result.first is not None:
        picture = finding_chart(result.first, result.strands, result.sheet, result.sheet_kinds)
        if picture is not None:
            return picture
    return strands_chart(result.strands) if result.strands else sheet_chart(result.sheet)
