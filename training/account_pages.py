"""The person's own page, the choice of a language, and the pages that answer errors."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe
from wagtail.users.models import UserProfile

from training.access import can_have_digest, role_required
from training.forms import DigestForm


@require_safe
@login_required
def account(request):
    """Show who is signed in, with the ways to sign in."""
    form = DigestForm(instance=request.user) if can_have_digest(request.user) else None
    return render(request, "training/account.html", {"form": form})


@require_POST
@role_required(can_have_digest)
def digest(request):
    """Switch the weekly digest on or off."""
    form = DigestForm(request.POST, instance=request.user)
    if not form.is_valid():
        return render(request, "training/account.html", {"form": form})
    form.save(commit=False).save(update_fields=["weekly_digest"])
    if form.cleaned_data["weekly_digest"]:
        messages.success(request, _("The weekly digest will be sent to your address."))
    else:
        messages.success(request, _("No weekly digest will be sent to you."))
    return redirect("account")


@require_POST
def choose_language(request):
    """Show the site in another language from now on, to this person or at least in this browser."""
    target = request.POST.get("next", "")
    if not url_has_allowed_host_and_scheme(target, {request.get_host()}, request.is_secure()):
        target = "/"
    response = HttpResponseRedirect(target)
    code = request.POST.get("language", "")
    if code not in dict(settings.LANGUAGES):
        messages.error(request, _("Choose one of the languages at the foot of the page."))
        return response
    if request.user.is_authenticated:
        request.user.language = code
        request.user.save(update_fields=["language"])
        # The editor has a setting of its own.
        UserProfile.objects.update_or_create(
            user=request.user, defaults={"preferred_language": code}
        )
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        code,
        max_age=settings.SESSION_COOKIE_AGE,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
    return response


def csrf_failure(request, reason=""):
    """Answer a form whose page is older than the last signing in or out."""
    return render(request, "403_csrf.html", status=403)
