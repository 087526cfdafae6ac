"""The measuring card: what it is for, how it is used, and its PDF."""

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import translation
from django.views.decorators.http import require_safe

from assessments.charts.card_pdf import (
    PAPERS,
    FontUnreadableError,
    measuring_card_pdf,
    missing_letters,
)
from assessments.summaries.card import CAUTION, PARTS


@require_safe
@login_required
def card(request):
    """Show how the card is made and used, and where to get it."""
    context = {"parts": PARTS, "caution": CAUTION, "is_pdf_english": not has_letters()}
    return render(request, "assessments/card/card.html", context)


@require_safe
@login_required
def card_pdf(request, paper):
    """Send the card for one size of paper; its how-to in English where the font cannot do else."""
    if paper not in PAPERS:
        raise Http404
    if has_letters():
        pdf = measuring_card_pdf(PAPERS[paper], font=settings.PDF_FONT)
    else:
        with translation.override("en"):
            pdf = measuring_card_pdf(PAPERS[paper])
    # Saved and opened in a reader, which is told to print at 100 %; a browser's tab may shrink it.
    name = f'attachment; filename="measuring-card-{paper}.pdf"'
    return HttpResponse(pdf, content_type="application/pdf", headers={"Content-Disposition": name})


def has_letters():
    """Whether the font of the house can be read, and writes the how-to in the active language."""
    try:
        return not missing_letters(settings.PDF_FONT)
    except FontUnreadableError:
        return False
