"""What the database itself refuses: changing or deleting rows of a table that is only ever added to.

Both servers answer with an integrity error. SQLite drops a table's triggers when Django rebuilds the table, so a
migration that alters such a table ends with `read_only_table` again; a test looks for the triggers.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db import migrations

EVENTS = ("UPDATE", "DELETE")


def _name(table: str, event: str) -> str:
    return f"{table}_no_{event.lower()}"


def _sentence(table: str) -> str:
    return f"Rows of {table} cannot be changed or deleted."


def _sqlite_install(table: str, condition: str) -> list[str]:
    when = f"WHEN {condition} " if condition else ""
    return [
        f'CREATE TRIGGER "{_name(table, event)}" BEFORE {event} ON "{table}" {when}'
        f"BEGIN SELECT RAISE(ABORT, '{_sentence(table)}'); END"
        for event in EVENTS
    ]


def _sqlite_remove(table: str, condition: str) -> list[str]:
    return [f'DROP TRIGGER IF EXISTS "{_name(table, event)}"' for event in EVENTS]


def _postgresql_install(table: str, condition: str) -> list[str]:
    when = f"WHEN ({condition}) " if condition else ""
    function = (
        f'CREATE OR REPLACE FUNCTION "{table}_stays"() RETURNS trigger LANGUAGE plpgsql AS $$ '
        f"BEGIN RAISE EXCEPTION '{_sentence(table)}' USING ERRCODE = 'restrict_violation'; END $$"
    )
    return [function] + [
        f'CREATE TRIGGER "{_name(table, event)}" BEFORE {event} ON "{table}" FOR EACH ROW {when}'
        f'EXECUTE FUNCTION "{table}_stays"()'
        for event in EVENTS
    ]


def _postgresql_remove(table: str, condition: str) -> list[str]:
    drops = [f'DROP TRIGGER IF EXISTS "{_name(table, event)}" ON "{table}"' for event in EVENTS]
    return [*drops, f'DROP FUNCTION IF EXISTS "{table}_stays"()']


Statements = Callable[[str, str], list[str]]
INSTALL: dict[str, Statements] = {"sqlite": _sqlite_install, "postgresql": _postgresql_install}
REMOVE: dict[str, Statements] = {"sqlite": _sqlite_remove, "postgresql": _postgresql_remove}


def read_only_table(table: str, when: str = "") -> migrations.RunPython:
    """An operation of a migration. `when` is SQL over OLD that names the rows that stay; empty means all."""

    def run(*steps: dict[str, Statements]) -> Callable[[Any, Any], None]:
        def execute(apps: Any, schema_editor: Any) -> None:
            for step in steps:
                for statement in step[schema_editor.connection.vendor](table, when):
                    schema_editor.execute(statement, params=None)

        return execute

    return migrations.RunPython(run(REMOVE, INSTALL), run(REMOVE))
