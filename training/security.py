"""Middleware: what the editor's pages need beyond the strict policy, and shared tablets."""

from django.conf import settings

SHARED_TABLET = "shared_tablet"


class AdminScripts:
    """Allow the page editor, and nothing else, the inline code that Wagtail still uses."""

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


class SharedTablet:
    """Sign a shared tablet out when nobody has touched it for a while.

    Every request puts the end of the session off by ``SHARED_TABLET_IDLE_S``; the page's own
    script goes to the sign-in page at that moment, so that the next cook does not see the last
    one's record.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        if request.user.is_authenticated and request.session.get(SHARED_TABLET):
            request.session.set_expiry(settings.SHARED_TABLET_IDLE_S)
        return self.get_response(request)
