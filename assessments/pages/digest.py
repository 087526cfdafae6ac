"""The weekly digest as a mail, and the page that stops it without signing in."""

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.http import HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from assessments.actions.digest import person_of, stop, stop_token
from assessments.summaries.digest import Digest, address


def language_of(person) -> str:
    """Return the language in which ``person`` gets mail."""
    return person.language or settings.LANGUAGE_CODE


def digest_mail(person, digest: Digest) -> EmailMultiAlternatives:
    """Return the mail in the active language, with a text and an HTML part."""
    stop_url = address("assessments:stop_digest", stop_token(person))
    context = {
        "digest": digest,
        "person": person,
        "stop_url": stop_url,
        "account_url": address("account"),
        "today_url": address("assessments:today"),
        "language": translation.get_language(),
    }
    message = EmailMultiAlternatives(
        subject=_("Evenhand: the week to %(day)s") % {"day": date_format(digest.day)},
        body=render_to_string("assessments/digest/mail.txt", context),
        to=[person.email],
        # Mail programs show a button of their own and send its form at once: RFC 8058.
        headers={
            "List-Unsubscribe": f"<{stop_url}>",
            "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
        },
    )
    message.attach_alternative(
        render_to_string("assessments/digest/mail.html", context), "text/html"
    )
    return message


# The mail program that sends the form has no page of ours, and nobody need be signed in: all that
# it can do is to stop a mail, and the token says whose.
@csrf_exempt
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def stop_digest(request, token) -> HttpResponse:
    """Show a page with one button, which stops the digest; a mail program presses it by itself."""
    person = person_of(token)
    if person is None:
        return render(request, "assessments/digest/unknown.html", status=404)
    if request.method == "POST":
        stop(person)
    with translation.override(person.language or translation.get_language()):
        return render(request, "assessments/digest/stop.html", {"is_on": person.weekly_digest})
