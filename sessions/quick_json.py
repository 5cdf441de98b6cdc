"""JSON columns that hold a season's numbers, read and written by a quicker library than Python's own."""

from __future__ import annotations

import json
from typing import Any

import orjson
from django.db.models import Expression, JSONField
from django.db.models.fields.json import KeyTransform


class JsonText(str):
    """JSON that is text already, for a QuickJSONField: nothing is gained by reading and writing it once more."""

    __slots__ = ()


def to_text(value: object) -> str:
    """JSON. The quick library takes no number types and half characters of others; the slow one does."""
    if isinstance(value, JsonText):
        return str(value)
    try:
        return orjson.dumps(value).decode()
    except TypeError:
        return json.dumps(value)


def from_text(text: str) -> Any:
    try:
        return orjson.loads(text)
    except ValueError:
        return json.loads(text)


def sorted_text(value: object) -> JsonText:
    """One text for equal values, whatever the order of their keys."""
    return JsonText(orjson.dumps(value, option=orjson.OPT_SORT_KEYS).decode())


class QuickJSONField(JSONField):
    """A JSON column like Django's, for migrations too. PostgreSQL's driver has a way of its own to write it."""

    def deconstruct(self) -> Any:
        name, _, args, kwargs = super().deconstruct()
        return name, "django.db.models.JSONField", args, kwargs

    def get_db_prep_value(self, value: Any, connection: Any, prepared: bool = False) -> Any:
        if connection.vendor != "sqlite" or isinstance(value, Expression):
            plain = from_text(value) if isinstance(value, JsonText) else value
            return super().get_db_prep_value(plain, connection, prepared)
        return to_text(value)

    def from_db_value(self, value: Any, expression: Any, connection: Any) -> Any:
        if value is None or isinstance(expression, KeyTransform):
            return super().from_db_value(value, expression, connection)
        return from_text(value)
