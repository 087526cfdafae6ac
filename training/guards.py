"""Triggers that keep rows as they were written, on SQLite and PostgreSQL alike.

Used by migrations. On PostgreSQL a guarded row can be neither changed nor deleted. On SQLite it
cannot be changed; deleting is left to the models' own refusal, because emptying a table (as a
test database does) is done by DELETE there. A later migration that alters a guarded table on
SQLite makes the table anew and loses its triggers: it must call these operations again.
"""

from django.db import migrations

MESSAGE = "This row is kept as it was written and cannot be changed."

POSTGRES_REFUSE = f"""
CREATE OR REPLACE FUNCTION evenhand_refuse() RETURNS trigger AS $$
BEGIN
  RAISE EXCEPTION '{MESSAGE}' USING ERRCODE = 'integrity_constraint_violation';
END;
$$ LANGUAGE plpgsql;
"""


def _forwards(statements):
    def run(_apps, schema_editor):
        for statement in statements.get(schema_editor.connection.vendor, []):
            schema_editor.execute(statement)

    return run


def keep_rows(table, *, when=""):
    """Return an operation that refuses changes to rows of ``table``.

    ``when`` is a condition on ``OLD`` in SQL that both databases understand.
    """
    condition = f"WHEN ({when})" if when else ""
    name = f"keep_{table}"
    forwards = {
        "sqlite": [
            f"CREATE TRIGGER {name} BEFORE UPDATE ON {table} {condition} "
            f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END;"
        ],
        "postgresql": [
            POSTGRES_REFUSE,
            f"CREATE TRIGGER {name} BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW {condition} "
            "EXECUTE FUNCTION evenhand_refuse();",
        ],
    }
    backwards = {
        "sqlite": [f"DROP TRIGGER IF EXISTS {name};"],
        "postgresql": [f"DROP TRIGGER IF EXISTS {name} ON {table};"],
    }
    return migrations.RunPython(_forwards(forwards), _forwards(backwards))


def keep_children(table, *, parent, foreign_key, when):
    """Return an operation that refuses changes below a kept row.

    Rows of ``table`` whose ``foreign_key`` points to a row of ``parent`` that fulfils ``when``
    (SQL on the alias ``p``) can be neither added nor changed, nor, on PostgreSQL, deleted.
    """
    name = f"keep_{table}"
    # Names of tables, written by a migration: nothing here comes from outside.
    found = f"EXISTS (SELECT 1 FROM {parent} p WHERE p.id = %s.{foreign_key} AND {when})"  # noqa: S608
    forwards = {
        "sqlite": [
            f"CREATE TRIGGER {name}_{event.lower()} BEFORE {event} ON {table} "
            f"WHEN {found % row} BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END;"
            for event, row in (("INSERT", "NEW"), ("UPDATE", "OLD"))
        ],
        "postgresql": [
            f"""
            CREATE OR REPLACE FUNCTION {name}() RETURNS trigger AS $$
            BEGIN
              IF TG_OP <> 'DELETE' AND {found % "NEW"} OR TG_OP <> 'INSERT' AND {found % "OLD"} THEN
                RAISE EXCEPTION '{MESSAGE}' USING ERRCODE = 'integrity_constraint_violation';
              END IF;
              IF TG_OP = 'DELETE' THEN RETURN OLD; END IF;
              RETURN NEW;
            END;
            $$ LANGUAGE plpgsql;
            """,
            f"CREATE TRIGGER {name} BEFORE INSERT OR UPDATE OR DELETE ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {name}();",
        ],
    }
    backwards = {
        "sqlite": [f"DROP TRIGGER IF EXISTS {name}_{e};" for e in ("insert", "update")],
        "postgresql": [
            f"DROP TRIGGER IF EXISTS {name} ON {table};",
            f"DROP FUNCTION IF EXISTS {name}();",
        ],
    }
    return migrations.RunPython(_forwards(forwards), _forwards(backwards))
