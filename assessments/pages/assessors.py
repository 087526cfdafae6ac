"""Do those who judge agree: the page of agreement, and calibration sets that are rated blind."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from assessments.actions import assessors as actions
from assessments.charts.assessors import kappa_chart
from assessments.models import CalibrationSet
from assessments.pages.assess_forms import posted
from assessments.pages.assessor_forms import NewCalibrationForm, PieceForm, RatePieceForm
from assessments.summaries.assessors import assessors_page
from assessments.summaries.calibrations import (
    calibration_list,
    calibration_page,
    choices_for,
    choosable,
    next_to_rate,
    photos_of,
    piece_page,
    visible_sets,
)
from training.access import (
    can_rate_pieces,
    can_read_ratings,
    can_see_assessors,
    require,
    role_required,
)

makes_sets = role_required(lambda person: person.is_head_chef)


@require_safe
@role_required(can_see_assessors)
def assessors(request):
    """Show how well those who judge agree, in the branches that the viewer may look at."""
    page = assessors_page(request.user, request.GET.get("branch", ""))
    context = {"page": page, "chart": kappa_chart(page.bars)}
    return render(request, "assessments/assessors/assessors.html", context)


@require_safe
@role_required(can_see_assessors)
def calibrations(request):
    """Show the calibration sets that the viewer may open, newest first."""
    context = {
        "sets": calibration_list(request.user, request.GET.get("page")),
        "may_make": request.user.is_head_chef,
    }
    return render(request, "assessments/assessors/calibrations.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@makes_sets
def new_calibration(request):
    """Begin a calibration set."""
    form = NewCalibrationForm(posted(request))
    if form.is_valid():
        made = form.attempt(actions.make_calibration, by=request.user)
        if made:
            return redirect("assessments:calibration", made.pk)
    return render(request, "assessments/assessors/new_calibration.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(can_see_assessors)
def calibration(request, pk):
    """Show a set: to its maker whole, to others what is theirs to rate, then their own result."""
    found = set_to_open(request, pk)
    if request.method == "POST":
        require(can_read_ratings(request.user, found.made_by_id))
        return ANSWERS.get(request.POST.get("action"), show_again)(request, found)
    page = calibration_page(found, request.user)
    context = {"page": page, "choices": choices_of(page, request.user)}
    return render(request, "assessments/assessors/calibration.html", context)


def set_to_open(request, pk):
    """Return a set that the viewer may open; a draft is its maker's and the owner's."""
    found = get_object_or_404(CalibrationSet.objects.select_related("made_by"), pk=pk)
    require(visible_sets(request.user).filter(pk=pk).exists())
    return found


def choices_of(page, viewer):
    """Return the batches that can be added, for the maker of a draft."""
    if not (page.is_draft and page.is_maker):
        return ()
    return choices_for(page.calibration_set, viewer)


def attempt(request, action, *args, **kwargs):
    """Call ``action``; return whether it was done, else tell why not."""
    try:
        action(*args, **kwargs)
    except ValidationError as refused:
        messages.error(request, refused.messages[0])
        return False
    return True


def open_set(request, found):
    """Let the assessors rate."""
    if attempt(request, actions.open_calibration, found, by=request.user):
        messages.success(request, _("The set is open: every head chef can rate it now."))
    return redirect("assessments:calibration", found.pk)


def close_set(request, found):
    """End the rating."""
    if attempt(request, actions.close_calibration, found, by=request.user):
        messages.success(request, _("The set is closed. What was rated stays."))
    return redirect("assessments:calibration", found.pk)


def take_out(request, found):
    """Take a piece out of a draft."""
    position = request.POST.get("position", "")
    if position.isdecimal() and len(position) < 4:
        attempt(request, actions.remove_piece, found, int(position))
    return redirect("assessments:calibration", found.pk)


def discard(request, found):
    """Take a draft away."""
    if attempt(request, actions.discard_calibration, found):
        messages.success(request, _("The draft is discarded."))
        return redirect("assessments:calibrations")
    return redirect("assessments:calibration", found.pk)


def show_again(_request, found):
    """Show the page again for a command that it does not know."""
    return redirect("assessments:calibration", found.pk)


ANSWERS = {"open": open_set, "close": close_set, "take_out": take_out, "discard": discard}


@require_http_methods(["GET", "HEAD", "POST"])
@makes_sets
def calibration_piece(request, pk, position):
    """Say of a piece what was seen and how it is rated (its maker), or rate it blind (others)."""
    found = set_to_open(request, pk)
    if request.user.pk == found.made_by_id:
        return describe(request, found, position)
    return rate(request, found, position)


def describe(request, found, position):
    """Add the batch that the address names to a draft, or change the piece at the place."""
    if found.opened_at is not None:
        messages.error(request, _("This set was opened for rating: its pieces stay as they are."))
        return redirect("assessments:calibration", found.pk)
    batch = batch_to_add(request)
    pieces = found.pieces.select_related("batch__cook", "batch__style")
    # A batch that is named decides: its place may have been taken in the meantime.
    piece = (
        pieces.filter(batch=batch).first()
        if batch
        else get_object_or_404(pieces, position=position)
    )
    batch = batch or piece.batch
    form = PieceForm(posted(request), piece=piece)
    if form.is_valid() and form.attempt(actions.put_piece, found, batch):
        return redirect("assessments:calibration", found.pk)
    context = {
        "set": found,
        "batch": batch,
        "photos": photos_of(batch.pk),
        "form": form,
        "is_new": piece is None,
    }
    return render(request, "assessments/assessors/describe.html", context)


def batch_to_add(request):
    """Return the batch that ``?batch=`` names, one that the viewer may choose; None without."""
    wanted = request.GET.get("batch")
    if wanted is None:
        return None
    if not wanted.isdecimal() or len(wanted) > 18:
        raise Http404
    batches = choosable(request.user).select_related("cook", "style")
    return get_object_or_404(batches, pk=int(wanted))


def rate(request, found, position):
    """Show one piece without name, score and reference, and keep how it is rated."""
    require(can_rate_pieces(request.user, found.made_by_id))
    pieces = found.pieces.select_related("batch__cook", "calibration_set")
    piece = get_object_or_404(pieces, position=position)
    if (
        found.opened_at is None
        or found.closed_at is not None
        or piece.batch.cook_id == request.user.pk
    ):
        messages.error(request, _("This piece is not yours to rate."))
        return redirect("assessments:calibration", found.pk)
    if request.method != "POST" and piece.ratings.filter(assessor=request.user).exists():
        return to_next_piece(request, found)
    form = RatePieceForm(posted(request), piece=piece)
    if form.is_valid() and form.attempt(actions.rate_piece, piece, by=request.user):
        return to_next_piece(request, found)
    context = {"page": piece_page(found, piece, request.user), "form": form}
    return render(request, "assessments/assessors/rate.html", context)


def to_next_piece(request, found):
    """Go to the first piece that the viewer has yet to rate, or to the result."""
    position = next_to_rate(found, request.user)
    if position is None:
        return redirect("assessments:calibration", found.pk)
    return redirect("assessments:calibration_piece", found.pk, position)
