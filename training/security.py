"""Middleware: what the editor's pages need beyond the strict policy, and shared tablets."""

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.utils.cache import add_never_cache_headers
from django.utils.translation import gettext as _

from training.access import can_edit

SHARED_TABLET = "shared_tablet"


class AdminScripts:
    """Allow the page editor the inline code that Wagtail still uses, and only editors into it."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        if request.path.startswith("/cms/"):
            response._csp_update = {
                "script-src": ["'self'", "'unsafe-inline'"],
                "style-src": ["'self'", "'unsafe-inline'"],
                "frame-src": ["'self'"],
            }
        return response

    def process_view(self, request, view, args, kwargs):
        # Wagtail sends whoever may not enter to the sign-in page, and that page sends whoever is
        # signed in already back again: without this, round and round.
        is_known = request.path.startswith("/cms/") and request.user.is_authenticated
        if is_known and not can_edit(request.user):
            raise PermissionDenied(_("This page is for another role in the house."))


class SharedTablet:
    """Sign a shared tablet out when nobody has touched it for a while.

    Every request puts the end of the session off by ``SHARED_TABLET_IDLE_S``; the page's own
    script goes to the sign-in page at that moment, so that the next cook does not see the last
    one's record; nor does the browser keep a page to go back to.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        if not (request.user.is_authenticated and request.session.get(SHARED_TABLET)):
            return self.get_response(request)
        request.session.set_expiry(settings.SHARED_TABLET_IDLE_S)
        response = self.get_response(request)
        add_never_cache_headers(response)
        return response
