"""Many rows of one model by one prepared statement."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from functools import lru_cache
from operator import itemgetter
from typing import Any

from django.db import connection, models

from sessions.quick_json import QuickJSONField, to_text

PLAIN_FIELDS = (models.BooleanField, models.CharField, models.FloatField, models.IntegerField, models.TextField)
"""Kinds of field whose value the database driver takes as it is."""


def insert_rows(model: type[models.Model], rows: Iterable[Mapping[str, Any]]) -> None:
    """Inserts rows given by attribute (`session_id`, `metric`); what a row leaves out takes its default.

    `bulk_create` compiles every value of every batch into its statement, which takes ten times as long as writing
    it. Keys are not handed back, and what sets itself on saving (auto_now) must be given.
    """
    fields, (plain, made) = _fields(model), _defaults(model)
    of_row = itemgetter(*(field.attname for field in fields))
    values = [
        of_row({**plain, **{name: make() for name, make in made.items() if name not in row}, **row}) for row in rows
    ]
    if not values:
        return
    columns: list[Sequence[Any]] = list(zip(*values, strict=True))
    for index, field in enumerate(fields):
        if not _is_plain(field):
            columns[index] = _prepared(field, columns[index])
    with connection.cursor() as cursor:
        cursor.executemany(_statement(model, connection.vendor), list(zip(*columns, strict=True)))


def update_rows(rows: Collection[models.Model], names: Sequence[str]) -> None:
    """Writes the named fields of rows that are stored; one statement, run for each row."""
    if not rows:
        return
    model, quote = type(next(iter(rows))), connection.ops.quote_name
    fields = [field for field in _fields(model) if field.name in names]
    changes = ", ".join(f"{quote(str(field.column))} = %s" for field in fields)
    sql = f"UPDATE {quote(model._meta.db_table)} SET {changes} WHERE id = %s"  # noqa: S608 - names of ours
    values = [
        [*(field.get_db_prep_save(getattr(row, field.attname), connection) for field in fields), row.pk] for row in rows
    ]
    with connection.cursor() as cursor:
        cursor.executemany(sql, values)


@lru_cache(maxsize=32)
def _fields(model: type[models.Model]) -> tuple[models.Field, ...]:
    return tuple(field for field in model._meta.concrete_fields if not field.primary_key)


@lru_cache(maxsize=32)
def _defaults(model: type[models.Model]) -> tuple[dict[str, Any], dict[str, Callable[[], Any]]]:
    """By attribute: defaults that are the same for every row, and what makes a new one for each."""
    made = {field.attname: field.get_default for field in _fields(model) if _is_made(field)}
    return {field.attname: field.get_default() for field in _fields(model) if not _is_made(field)}, made


def _is_made(field: models.Field) -> bool:
    return field.has_default() and callable(field.default)


def _prepared(field: models.Field, values: Sequence[Any]) -> list[Any]:
    """The values as the driver takes them."""
    if isinstance(field, QuickJSONField) and connection.vendor == "sqlite":
        return list(map(to_text, values))
    return [None if value is None else field.get_db_prep_save(value, connection) for value in values]


def _is_plain(field: models.Field) -> bool:
    target = field.target_field if isinstance(field, models.ForeignKey) else field
    return isinstance(target, PLAIN_FIELDS)


@lru_cache(maxsize=32)
def _statement(model: type[models.Model], vendor: str) -> str:
    quote = connection.ops.quote_name
    columns = ", ".join(quote(str(field.column)) for field in _fields(model))
    marks = ", ".join(["%s"] * len(_fields(model)))
    return f"INSERT INTO {quote(model._meta.db_table)} ({columns}) VALUES ({marks})"  # noqa: S608 - names of ours
