"""Settings: safe without anything set, and a production that refuses to start half-configured."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PRODUCTION = {
    "PRODUCTION": "true",
    "SECRET_KEY": "k" * 20 + "-a1b2c3d4e5f6g7h8i9j0-" + "z" * 20,
    "ALLOWED_HOSTS": "evenhand.example",
    "DATABASE_URL": "postgres://evenhand@localhost/evenhand",
    "SITE_URL": "https://evenhand.example",
    "EMAIL_URL": "smtp://mail.example",
}


def run(code="", command=(), **environment):
    """Run Python, or a management command, with nothing but ``environment`` set."""
    arguments = ["manage.py", *command] if command else ["-c", code]
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], **environment},
        capture_output=True,
        text=True,
        check=False,
    )


def setting(name, **environment):
    result = run(f"from training import settings; print(repr(settings.{name}))", **environment)
    assert result.returncode == 0, result.stderr
    return eval(result.stdout)  # noqa: S307


@pytest.mark.parametrize("name", [n for n in PRODUCTION if n != "PRODUCTION"])
def test_production_names_the_secret_that_is_missing(name):
    result = run(command=["check"], **{k: v for k, v in PRODUCTION.items() if k != name})
    assert result.returncode != 0
    assert f"not set: {name}." in result.stderr


def test_production_refuses_debug():
    result = run(command=["check"], **PRODUCTION, DEBUG="true")
    assert result.returncode != 0
    assert "unset DEBUG" in result.stderr


def test_production_passes_the_deployment_check():
    result = run(command=["check", "--deploy", "--fail-level", "WARNING"], **PRODUCTION)
    assert result.returncode == 0, result.stderr


def test_a_local_start_is_reachable_from_this_machine_only():
    assert setting("DEBUG") is False
    assert setting("ALLOWED_HOSTS") == ["localhost", "127.0.0.1", "[::1]"]
    assert len(setting("SECRET_KEY")) >= 50


def test_sqlite_waits_for_other_writers():
    options = setting("DATABASES")["default"]["OPTIONS"]
    assert options["transaction_mode"] == "IMMEDIATE"
    assert options["timeout"] >= 10
    assert "journal_mode=WAL" in options["init_command"]
    assert "foreign_keys=ON" in options["init_command"]


def test_database_url_chooses_postgresql():
    database = setting("DATABASES", DATABASE_URL="postgres://e:p%40ss@db/evenhand?sslmode=require")
    assert database["default"]["ENGINE"] == "django.db.backends.postgresql"
    assert database["default"]["PASSWORD"] == "p@ss"
    assert database["default"]["OPTIONS"]["sslmode"] == "require"


def test_photos_are_measured_at_once_unless_a_worker_is_asked_for():
    assert setting("TASKS['default']['BACKEND']").endswith("ImmediateBackend")
    assert setting("TASKS['default']['BACKEND']", TASKS="database").endswith("DatabaseBackend")
    result = run(command=["check"], TASKS="later")
    assert result.returncode != 0
    assert "TASKS must be one of immediate, database" in result.stderr


def test_photographs_lie_apart_from_what_everybody_may_see():
    uploads, photographs = setting("MEDIA_ROOT.as_posix()"), setting("PHOTOGRAPHS_ROOT.as_posix()")
    assert Path(uploads) not in [Path(photographs), *Path(photographs).parents]
