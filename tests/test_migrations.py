"""Migrations say what the models say, and guarded tables keep their triggers."""

import pytest
from django.core.management import call_command
from django.db import connection

GUARDED = [
    "training_standardversion",
    "training_flour",
    "training_otheringredient",
    "training_season",
    "training_round",
    "assessments_event",
    "assessments_observation",
    "assessments_review",
    "assessments_signoff",
    "assessments_withdrawal",
]


@pytest.mark.django_db
def test_no_migration_is_missing():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


@pytest.mark.django_db
@pytest.mark.parametrize("table", GUARDED)
def test_guarded_tables_have_their_triggers(table):
    """A later migration that makes a table anew on SQLite would lose them silently."""
    if connection.vendor == "sqlite":
        sql = "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s"
    else:
        sql = (
            "SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid "
            "WHERE relname = %s AND NOT tgisinternal"
        )
    with connection.cursor() as cursor:
        cursor.execute(sql, [table])
        assert cursor.fetchall()
