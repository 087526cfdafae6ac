"""Settings: one file; whatever differs between houses is read from the environment.

Started with nothing set, the site runs on this machine only (SQLite, names of this machine as the
only allowed hosts, a secret key of its own kept in ``.local/``). ``PRODUCTION=true`` asks for the
rest by name. README, "A real house", lists every variable.
"""

import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured
from environs import Env

BASE_DIR = Path(__file__).resolve().parent.parent

env = Env()
env.read_env(BASE_DIR / ".env", recurse=False)

PRODUCTION = env.bool("PRODUCTION", False)
DEBUG = env.bool("DEBUG", False)

if PRODUCTION:
    missing = [
        name
        for name in ("SECRET_KEY", "ALLOWED_HOSTS", "DATABASE_URL", "SITE_URL", "EMAIL_URL")
        if not env.str(name, "")
    ]
    if missing:
        raise ImproperlyConfigured(
            "PRODUCTION is on, but these environment variables are not set: "
            f"{', '.join(missing)}. Set them (README, 'A real house', says how) and start again."
        )
    if DEBUG:
        raise ImproperlyConfigured(
            "PRODUCTION and DEBUG are both on. Debug pages show secrets to visitors: unset DEBUG."
        )

LOCAL_DIR = BASE_DIR / ".local"


def local_secret_key() -> str:
    """Return the key of this machine's own trial site, made at the first start."""
    path = LOCAL_DIR / "secret-key"
    if not path.exists():
        LOCAL_DIR.mkdir(exist_ok=True)
        path.touch(mode=0o600)
        path.write_text(secrets.token_urlsafe(50))
    return path.read_text()


SECRET_KEY = (
    env.str("SECRET_KEY") if PRODUCTION else env.str("SECRET_KEY", "") or local_secret_key()
)
SECRET_KEY_FALLBACKS = env.list("SECRET_KEY_FALLBACKS", [])
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", ["localhost", "127.0.0.1", "[::1]"])
SITE_URL = env.str("SITE_URL", "http://localhost:8000").rstrip("/")
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", [SITE_URL] if PRODUCTION else [])

INSTALLED_APPS = [
    "training",
    "assessments",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "wagtail.contrib.settings",
    "wagtail.contrib.simple_translation",
    "wagtail.embeds",
    "wagtail.sites",
    "training.apps.PeopleConfig",
    "wagtail.snippets",
    "wagtail.documents",
    "wagtail.images",
    "wagtail.search",
    "wagtail.admin",
    "wagtail",
    "modelcluster",
    "taggit",
    "django_filters",
    "django_tasks",
    "django_tasks_db",
    "csp",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django.forms",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "training.languages.PersonsLanguage",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "csp.middleware.CSPMiddleware",
    "training.security.AdminScripts",
    "training.security.SharedTablet",
    "allauth.account.middleware.AccountMiddleware",
]

ROOT_URLCONF = "training.urls"
WSGI_APPLICATION = "training.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "training.navigation.navigation",
            ],
        },
    },
]

DATABASES = {
    "default": env.dj_db_url("DATABASE_URL", f"sqlite:///{LOCAL_DIR / 'evenhand.sqlite3'}")
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    LOCAL_DIR.mkdir(exist_ok=True)
    # Writers wait for one another instead of failing: the lock is taken when a transaction
    # begins, and readers go on beside it in the write-ahead log. Foreign keys are Django's default.
    DATABASES["default"]["OPTIONS"] = {
        "timeout": 20,
        "transaction_mode": "IMMEDIATE",
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;"
        ),
    }
else:
    DATABASES["default"].setdefault("CONN_MAX_AGE", env.int("CONN_MAX_AGE", 60))
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
FORM_RENDERER = "training.forms.HouseRenderer"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "training.User"
AUTHENTICATION_BACKENDS = [
    "django.contrib.auth.backends.ModelBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "assessments:today"
LOGOUT_REDIRECT_URL = "account_login"

ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_ADAPTER = "training.accounts.HouseAdapter"
ACCOUNT_FORMS = {"login": "training.accounts.SignInForm"}
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_RATE_LIMITS = {"login_failed": "10/m/ip,5/5m/key"}
ALLAUTH_TRUSTED_PROXY_COUNT = env.int("TRUSTED_PROXY_COUNT", 0)
MFA_SUPPORTED_TYPES = ["webauthn", "totp", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_PASSKEY_SIGNUP_ENABLED = False
MFA_FORMS = {"add_webauthn": "training.accounts.AddPasskeyForm"}
# Browsers give passkeys to https, and to plain http on localhost only.
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = not PRODUCTION
MFA_TOTP_ISSUER = "Evenhand"

LANGUAGE_CODE = "en"
# Each by its own name: it is looked for by those who do not read the others.
LANGUAGES = [("en", "English"), ("es", "Español"), ("ja", "日本語")]
WAGTAIL_CONTENT_LANGUAGES = LANGUAGES
WAGTAILADMIN_PERMITTED_LANGUAGES = LANGUAGES
WAGTAIL_I18N_ENABLED = True
LOCALE_PATHS = [BASE_DIR / "training" / "locale", BASE_DIR / "assessments" / "locale"]
TIME_ZONE = env.str("TIME_ZONE", "UTC")
USE_I18N = True
USE_TZ = True

STATIC_URL = "/static/"
STATIC_ROOT = env.path("STATIC_ROOT", LOCAL_DIR / "static")
STATICFILES_DIRS = [("illustrations", BASE_DIR / "media" / "illustrations")]
# For the measuring card, where a language has letters that PDF's own fonts lack.
PDF_FONT = env.path("PDF_FONT", None)
MEDIA_URL = "/uploads/"
MEDIA_ROOT = env.path("MEDIA_ROOT", BASE_DIR / "media" / "uploads")
# Photos of strands belong to one cook's record: no address leads to them but its own pages.
PHOTOGRAPHS_ROOT = env.path("PHOTOGRAPHS_ROOT", LOCAL_DIR / "photographs")
STORAGES: dict[str, dict[str, object]] = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "photographs": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {
            "location": PHOTOGRAPHS_ROOT,
            "file_permissions_mode": 0o600,
            "directory_permissions_mode": 0o700,
        },
    },
    "staticfiles": {"BACKEND": "training.static_files.HashedFiles"},
}
if env.str("MEDIA_BUCKET", ""):
    bucket = {
        "bucket_name": env.str("MEDIA_BUCKET"),
        "endpoint_url": env.str("MEDIA_ENDPOINT", None),
        "default_acl": "private",
        "querystring_auth": True,
    }
    STORAGES["default"] = {"BACKEND": "storages.backends.s3.S3Storage", "OPTIONS": bucket}
    STORAGES["photographs"] = {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": {**bucket, "location": "photographs"},
    }
# A larger body is read to its end and dropped, so that the form can say so: it fills neither
# memory nor disk. What a form takes at most, the form itself decides.
UPLOAD_LIMIT_BYTES = 64 * 1024 * 1024
FILE_UPLOAD_HANDLERS = [
    "training.upload_limit.LimitedUpload",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

# Photos are measured at once, in the request that brings them, or by workers beside the site
# (`manage.py db_worker`) that find their work in the database.
TASK_BACKENDS = {
    "immediate": "django_tasks.backends.immediate.ImmediateBackend",
    "database": "django_tasks_db.DatabaseBackend",
}
if (tasks := env.str("TASKS", "immediate")) not in TASK_BACKENDS:
    raise ImproperlyConfigured(f"TASKS must be one of {', '.join(TASK_BACKENDS)}, not {tasks!r}.")
TASKS = {"default": {"BACKEND": TASK_BACKENDS[tasks]}}

# Make the short videos of a house small. Without them all else works, and no video can be added.
FFMPEG = env.str("FFMPEG", "ffmpeg")
FFPROBE = env.str("FFPROBE", "ffprobe")

WHITENOISE_USE_FINDERS = DEBUG
WHITENOISE_KEEP_ONLY_HASHED_FILES = not DEBUG

if env.str("CACHE_URL", ""):
    CACHES = {"default": env.dj_cache_url("CACHE_URL")}

MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
CSRF_FAILURE_VIEW = "training.account_pages.csrf_failure"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
# How long a tablet that several people share stays signed in without being touched.
SHARED_TABLET_IDLE_S = env.int("SHARED_TABLET_IDLE_S", 600)

X_FRAME_OPTIONS = "DENY"  # Wagtail lifts it for its own preview
SECURE_REFERRER_POLICY = "same-origin"
if PRODUCTION:
    SECURE_SSL_REDIRECT = env.bool("SECURE_SSL_REDIRECT", True)
    SECURE_HSTS_SECONDS = env.int("SECURE_HSTS_SECONDS", 31_536_000)
    SECURE_HSTS_INCLUDE_SUBDOMAINS = env.bool("SECURE_HSTS_INCLUDE_SUBDOMAINS", True)
    SECURE_HSTS_PRELOAD = env.bool("SECURE_HSTS_PRELOAD", True)
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    if env.bool("TRUST_FORWARDED_PROTO", False):
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        "img-src": ["'self'", "data:", "blob:"],
        "object-src": ["'none'"],
        "base-uri": ["'none'"],
        "form-action": ["'self'"],
        "frame-ancestors": ["'self'"],
    }
}

# Names the backend, host, port, sign-in and encryption in one address.
globals().update(env.dj_email_url("EMAIL_URL", "console:"))
DEFAULT_FROM_EMAIL = env.str("DEFAULT_FROM_EMAIL", "evenhand@localhost")
SERVER_EMAIL = DEFAULT_FROM_EMAIL

WAGTAIL_SITE_NAME = "Evenhand"
WAGTAILADMIN_BASE_URL = SITE_URL
WAGTAILADMIN_LOGIN_URL = LOGIN_URL
# Nothing leaves the house: no faces or version questions fetched from elsewhere.
WAGTAIL_GRAVATAR_PROVIDER_URL = None
WAGTAIL_ENABLE_UPDATE_CHECK = False
WAGTAIL_ENABLE_WHATS_NEW_BANNER = False
WAGTAIL_WORKFLOW_ENABLED = False
WAGTAILADMIN_COMMENTS_ENABLED = False
WAGTAILSEARCH_BACKENDS = {"default": {"BACKEND": "wagtail.search.backends.database"}}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": env.str("LOG_LEVEL", "WARNING")},
}
