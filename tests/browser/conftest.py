"""A real browser against the site as it is served in production."""

import os
import shutil

import pytest
from django.conf import settings
from django.core.management import call_command
from django.test import Client, override_settings
from django.test.testcases import LiveServerThread
from playwright.sync_api import expect
from wagtail.models import Collection, Locale, Page

from tests import factories
from training import settings as training_settings
from training.groups import create_groups

# A machine that tests on both of its cores at once can keep a page waiting for longer than usual.
expect.set_options(timeout=15_000)
PHONE = {"width": 360, "height": 740}
LAPTOP = {"width": 1280, "height": 900}


def pytest_collection_modifyitems(items):
    """Mark every test of this folder, so that ``-m "not browser"`` leaves it out."""
    for item in items:
        if item.path.is_relative_to(os.path.dirname(__file__)):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session", autouse=True)
def database_beside_the_browser():
    """Let tests read the database although the browser's event loop runs in the same thread."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        yield


@pytest.fixture(scope="session")
def browser_type_launch_args():
    """Start the browser that the system has, quiet on the network."""
    return {
        "executable_path": shutil.which("chromium") or shutil.which("google-chrome"),
        "args": [
            "--no-sandbox",
            "--disable-gpu",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--no-first-run",
        ],
    }


@pytest.fixture(scope="session")
def site(tmp_path_factory, django_db_setup):
    """Serve the site on a free port, its files collected, named by content and compressed."""
    served = {
        "STATIC_ROOT": str(tmp_path_factory.mktemp("static")),
        "STORAGES": {
            "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
            "photographs": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
            "staticfiles": training_settings.STORAGES["staticfiles"],
        },
        "WHITENOISE_USE_FINDERS": False,
        "WHITENOISE_AUTOREFRESH": False,
    }
    with override_settings(**served):
        # The page editor's files are many, and no test here opens it.
        call_command(
            "collectstatic", interactive=False, verbosity=0, ignore_patterns=["wagtail*", "rest_*"]
        )
        thread = LiveServerThread("localhost", static_handler=lambda application: application)
        thread.daemon = True
        thread.start()
        thread.is_ready.wait()
        if thread.error:
            raise thread.error
        yield f"http://localhost:{thread.port}"
        thread.terminate()


@pytest.fixture(scope="session")
def base_url(site):
    """Let tests name pages by their path."""
    return site


@pytest.fixture(autouse=True)
def _rows(transactional_db):
    """Give the server's threads rows that are really written, and empty tables afterwards.

    What migrations put into every database is written anew: the browser's event loop gives this
    thread another connection, which does not remember what there was at the start.
    """
    if not Page.objects.exists():
        Locale.objects.create(language_code=settings.LANGUAGE_CODE)
        Collection.add_root(name="Root")
        Page.add_root(title="Root", slug="root")
        create_groups()


@pytest.fixture
def browser_context_args(browser_context_args):
    """A phone, or a tablet where a test makes the page wider: both are touched."""
    return {**browser_context_args, "viewport": PHONE, "has_touch": True, "locale": "en-GB"}


@pytest.fixture
def troubles():
    """What went wrong in the browser; a test takes out what it provoked."""
    return []


def watch(context, troubles):
    """Collect console errors, policy violations, failed and refused requests of ``context``."""

    def console(message):
        # 422 answers a form with mistakes in it: the page says so to the person.
        if message.type in ("error", "warning") and "status of 422" not in message.text:
            troubles.append(f"{message.page.url if message.page else ''}: {message.text}")

    def failed(request):
        # A page left while it still loads is no trouble.
        if request.failure and "ERR_ABORTED" not in request.failure:
            troubles.append(f"{request.url}: {request.failure}")

    def answered(response):
        if response.status >= 400 and response.status != 422:
            troubles.append(f"{response.url}: status {response.status}")

    context.on("console", console)
    context.on("weberror", lambda problem: troubles.append(str(problem.error)))
    context.on("requestfailed", failed)
    context.on("response", answered)


@pytest.fixture
def new_context(new_context, troubles):
    """Make contexts that are watched; whatever went wrong in them fails the test."""

    def make(**options):
        context = new_context(**options)
        context.set_default_timeout(10_000)
        watch(context, troubles)
        return context

    yield make
    if troubles:
        pytest.fail("\n".join(dict.fromkeys(troubles)), pytrace=False)


@pytest.fixture
def context(new_context):
    """One watched context."""
    return new_context()


def sign_in(page, username, password=factories.PASSWORD, *, shared=False):
    """Sign in through the form."""
    page.goto("/sign-in/login/")
    page.get_by_label("Your sign-in name").fill(username)
    page.get_by_label("Password").fill(password)
    if shared:
        page.get_by_label("Several people use this tablet").check()
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_role("button", name="Sign out").wait_for()


@pytest.fixture
def context_of(new_context, base_url):
    """Return a function that opens a context with a session of a person, past the form."""

    def make(person, **options):
        client = Client()
        client.force_login(person)
        name = settings.SESSION_COOKIE_NAME
        context = new_context(**options)
        context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": base_url}])
        return context

    return make
