"""Settings of the test run: as the site, with cheap passwords and no collected files."""

import os
import tempfile
from pathlib import Path

os.environ.setdefault("SECRET_KEY", "only-for-tests")
os.environ.pop("PRODUCTION", None)
os.environ.pop("TASKS", None)

from training.settings import *  # noqa: F403
from training.settings import DATABASES, INSTALLED_APPS, MIDDLEWARE, STORAGES

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # A file and not memory: the browser tests read it from several threads at once.
    file = Path(tempfile.gettempdir()) / f"evenhand-test-{os.getpid()}.sqlite3"
    DATABASES["default"]["TEST"] = {"NAME": file}
    # A test database need not survive a power cut.
    DATABASES["default"]["OPTIONS"]["init_command"] += "PRAGMA synchronous=OFF;"

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    **STORAGES,
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "photographs": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = True
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
# Looks for a query repeated in a loop, and fails the test that finds one.
INSTALLED_APPS = [*INSTALLED_APPS, "zeal"]
MIDDLEWARE = ["zeal.middleware.zeal_middleware", *MIDDLEWARE]
ZEAL_RAISE = True
# A page about a cook asks for the roles of two people, the viewer's and the cook's: no loop.
ZEAL_NPLUSONE_THRESHOLD = 3
# What the page editor itself repeats is not this project's to mend.
ZEAL_ALLOWLIST = [{"model": "wagtailcore.*", "field": "*"}]
