"""Time, queries and bytes of the pages that are opened most, over a page that does nothing."""

from django.conf import settings
from django.db import connection
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from assessments.benchmark.database import COOK, HEAD_CHEF, OWNER
from assessments.benchmark.measures import Measure, median_ms
from assessments.demo_house.histories import WHEAT
from assessments.models import Batch
from training.models import ModulePage, User

BROWSER = {"HTTP_ACCEPT_ENCODING": "gzip"}


class PageFailedError(RuntimeError):
    """A page that is to be measured did not answer as it should."""


def site_without_files():
    """Return settings under which pages can be asked for here: no collected files, no https.

    What they keep is not mixed with what the house's own pages keep.
    """
    plain = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    in_memory = {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": "measured"}
    return override_settings(
        DEBUG=False,
        CACHES={"default": in_memory},
        ALLOWED_HOSTS=["testserver"],
        ROOT_URLCONF="assessments.benchmark.urls",
        SECURE_SSL_REDIRECT=False,
        STATIC_ROOT=None,
        STORAGES={**settings.STORAGES, "staticfiles": plain},
    )


def pages():
    """Return name, sign-in name and address of every measured page."""
    cook = User.objects.get(username=COOK)
    batch = Batch.objects.finished().filter(cook=cook, style__slug=WHEAT).newest_first().first()
    return [
        ("trainee's home", COOK, reverse("assessments:today")),
        ("module", COOK, ModulePage.objects.live().order_by("path").first().address),
        ("result of a batch", COOK, reverse("assessments:result", args=[batch.pk])),
        ("evidence of a cook", HEAD_CHEF, reverse("assessments:evidence", args=[cook.pk, WHEAT])),
        ("readiness board", OWNER, reverse("assessments:readiness")),
    ]


def measure_pages(repeats):
    """Return the measures of the floor and of all pages, under the settings above."""
    floor = reverse("benchmark_floor")
    ask_nothing = visit(COOK, floor)
    measures = []
    for name, username, address in [("empty signed-in page", COOK, floor), *pages()]:
        ask = visit(username, address)
        ms, floor_ms = median_ms(ask, ask_nothing, repeats=repeats)
        with CaptureQueriesContext(connection) as queries:
            response = ask()
        measures.append(Measure(name, ms, floor_ms, len(queries), len(response.content)))
    return measures


def visit(username, address):
    """Return a function by which a signed-in person asks for a page once."""
    client = Client()
    client.force_login(
        User.objects.get(username=username), backend=settings.AUTHENTICATION_BACKENDS[0]
    )

    def ask():
        response = client.get(address, **BROWSER)
        if response.status_code != 200:
            raise PageFailedError(f"{address} answered {response.status_code} to {username}.")
        return response

    return ask
