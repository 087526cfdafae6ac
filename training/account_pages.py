"""The person's own page, and the pages that answer errors."""

from django.contrib.auth.decorators import login_required
from django.shortcuts import render
from django.views.decorators.http import require_safe


@require_safe
@login_required
def account(request):
    """Show who is signed in, with the ways to sign in."""
    return render(request, "training/account.html")


def csrf_failure(request, reason=""):
    """Answer a form whose page is older than the last signing in or out."""
    return render(request, "403_csrf.html", status=403)
