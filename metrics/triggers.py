"""What the database itself refuses: changing or deleting a published version of range profiles or cause links, or
one of its rows.

Both servers answer with an integrity error. SQLite drops a table's triggers when Django rebuilds that table, so a
migration that alters one of the tables ends with `keep_published()` or `keep_published_links()` again; a test looks
for the triggers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import migrations

from athletes.triggers import read_only_table


@dataclass(frozen=True, slots=True)
class Kept:
    """The table of versions, the table of their rows (`version_id`), and what a refusal says."""

    versions: str
    rows: str
    sentence: str


RULES = Kept(
    versions="metrics_rangeprofileversion",
    rows="metrics_rangerule",
    sentence="The rules of a published range profile version cannot be changed.",
)
LINKS = Kept(
    versions="metrics_causegraphversion",
    rows="metrics_causelink",
    sentence="The links of a published version of the cause links cannot be changed.",
)

# event → the ids of the versions that it touches
TOUCHED = {
    "INSERT": "NEW.version_id",
    "UPDATE": "OLD.version_id, NEW.version_id",
    "DELETE": "OLD.version_id",
}


def _name(kept: Kept, event: str) -> str:
    return f"{kept.rows}_no_{event.lower()}"


def _sqlite_install(kept: Kept) -> list[str]:
    published = f"SELECT 1 FROM {kept.versions} WHERE status = 'published' AND id IN"  # noqa: S608 - constants
    return [
        f"CREATE TRIGGER {_name(kept, event)} BEFORE {event} ON {kept.rows} WHEN EXISTS ({published} ({touched})) "
        f"BEGIN SELECT RAISE(ABORT, '{kept.sentence}'); END"
        for event, touched in TOUCHED.items()
    ]


def _sqlite_remove(kept: Kept) -> list[str]:
    return [f"DROP TRIGGER IF EXISTS {_name(kept, event)}" for event in TOUCHED]


# The lock makes whoever writes a row wait for a publication that is under way, and the other way round.
POSTGRESQL_FUNCTION = """
CREATE OR REPLACE FUNCTION {rows}_stay() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM {versions} WHERE id IN (OLD.version_id, NEW.version_id) FOR SHARE;
    IF EXISTS (SELECT 1 FROM {versions} WHERE status = 'published' AND id IN (OLD.version_id, NEW.version_id)) THEN
        RAISE EXCEPTION '{sentence}' USING ERRCODE = 'restrict_violation';
    END IF;
    IF TG_OP = 'DELETE' THEN RETURN OLD; END IF;
    RETURN NEW;
END $$
"""


def _postgresql_install(kept: Kept) -> list[str]:
    function = POSTGRESQL_FUNCTION.format(rows=kept.rows, versions=kept.versions, sentence=kept.sentence)
    return [function] + [
        f"CREATE TRIGGER {_name(kept, event)} BEFORE {event} ON {kept.rows} "
        f"FOR EACH ROW EXECUTE FUNCTION {kept.rows}_stay()"
        for event in TOUCHED
    ]


def _postgresql_remove(kept: Kept) -> list[str]:
    return [
        *(f"DROP TRIGGER IF EXISTS {_name(kept, event)} ON {kept.rows}" for event in TOUCHED),
        f"DROP FUNCTION IF EXISTS {kept.rows}_stay()",
    ]


Statements = Callable[[Kept], list[str]]
INSTALL: dict[str, Statements] = {"sqlite": _sqlite_install, "postgresql": _postgresql_install}
REMOVE: dict[str, Statements] = {"sqlite": _sqlite_remove, "postgresql": _postgresql_remove}


def _keep(kept: Kept) -> list[migrations.RunPython]:
    def run(*steps: dict[str, Statements]) -> Callable[[Any, Any], None]:
        def execute(apps: Any, schema_editor: Any) -> None:
            for step in steps:
                for statement in step[schema_editor.connection.vendor](kept):
                    schema_editor.execute(statement, params=None)

        return execute

    return [
        read_only_table(kept.versions, "OLD.status = 'published'"),
        migrations.RunPython(run(REMOVE, INSTALL), run(REMOVE)),
    ]


def keep_published() -> list[migrations.RunPython]:
    """The operations of a migration that hold published range profiles; a draft can still become published."""
    return _keep(RULES)


def keep_published_links() -> list[migrations.RunPython]:
    """The same for cause links."""
    return _keep(LINKS)
