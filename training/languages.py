"""The language in which a person reads."""

from django.conf import settings
from django.utils import translation


class PersonsLanguage:
    """Shows the site in the language that the person has chosen.

    Whoever has chosen none, or is not signed in, has that of the browser.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        code = getattr(request.user, "language", "")
        if code in dict(settings.LANGUAGES):
            translation.activate(code)
            request.LANGUAGE_CODE = code
        return self.get_response(request)
