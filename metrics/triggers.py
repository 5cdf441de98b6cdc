"""What the database itself refuses: changing or deleting a published range profile version or one of its rules.

Both servers answer with an integrity error. SQLite drops a table's triggers when Django rebuilds that table, so a
migration that alters one of the two tables ends with `keep_published()` again; a test looks for the triggers.
"""

from __future__ import annotations

from typing import Any

from django.db import migrations

from athletes.triggers import read_only_table

VERSIONS = "metrics_rangeprofileversion"
RULES = "metrics_rangerule"
SENTENCE = "The rules of a published range profile version cannot be changed."

# event → the ids of the versions that it touches
TOUCHED = {
    "INSERT": "NEW.version_id",
    "UPDATE": "OLD.version_id, NEW.version_id",
    "DELETE": "OLD.version_id",
}


def _name(event: str) -> str:
    return f"{RULES}_no_{event.lower()}"


def _sqlite_install() -> list[str]:
    published = f"SELECT 1 FROM {VERSIONS} WHERE status = 'published' AND id IN"  # noqa: S608 - constants
    return [
        f"CREATE TRIGGER {_name(event)} BEFORE {event} ON {RULES} WHEN EXISTS ({published} ({touched})) "
        f"BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END"
        for event, touched in TOUCHED.items()
    ]


def _sqlite_remove() -> list[str]:
    return [f"DROP TRIGGER IF EXISTS {_name(event)}" for event in TOUCHED]


# The lock makes whoever writes a rule wait for a publication that is under way, and the other way round.
POSTGRESQL_FUNCTION = f"""
CREATE OR REPLACE FUNCTION {RULES}_stay() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM {VERSIONS} WHERE id IN (OLD.version_id, NEW.version_id) FOR SHARE;
    IF EXISTS (SELECT 1 FROM {VERSIONS} WHERE status = 'published' AND id IN (OLD.version_id, NEW.version_id)) THEN
        RAISE EXCEPTION '{SENTENCE}' USING ERRCODE = 'restrict_violation';
    END IF;
    IF TG_OP = 'DELETE' THEN RETURN OLD; END IF;
    RETURN NEW;
END $$
"""  # noqa: S608 - constants


def _postgresql_install() -> list[str]:
    return [POSTGRESQL_FUNCTION] + [
        f"CREATE TRIGGER {_name(event)} BEFORE {event} ON {RULES} FOR EACH ROW EXECUTE FUNCTION {RULES}_stay()"
        for event in TOUCHED
    ]


def _postgresql_remove() -> list[str]:
    return [
        *(f"DROP TRIGGER IF EXISTS {_name(event)} ON {RULES}" for event in TOUCHED),
        f"DROP FUNCTION IF EXISTS {RULES}_stay()",
    ]


INSTALL = {"sqlite": _sqlite_install, "postgresql": _postgresql_install}
REMOVE = {"sqlite": _sqlite_remove, "postgresql": _postgresql_remove}


def _remove(apps: Any, schema_editor: Any) -> None:
    for statement in REMOVE[schema_editor.connection.vendor]():
        schema_editor.execute(statement, params=None)


def _install(apps: Any, schema_editor: Any) -> None:
    _remove(apps, schema_editor)
    for statement in INSTALL[schema_editor.connection.vendor]():
        schema_editor.execute(statement, params=None)


def keep_published() -> list[migrations.RunPython]:
    """The operations of a migration; a draft can still become published."""
    return [read_only_table(VERSIONS, "OLD.status = 'published'"), migrations.RunPython(_install, _remove)]
