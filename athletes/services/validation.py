"""Saving a row only when it is valid, and what stands in the change log of it."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import JSONField, Model

from athletes.words import date_words


def save_valid(row: Model, *, fields: Iterable[str] | None = None) -> None:
    """Checks every field and constraint, then saves. Raises ValidationError and stores nothing.

    A field that may be null may be empty here, whatever a form would say.
    """
    empty = [
        field.name
        for field in row._meta.fields
        if not field.primary_key
        and ((getattr(row, field.attname) is None and field.null) or isinstance(field, JSONField))
    ]
    row.full_clean(exclude=empty)
    row.save(update_fields=None if row._state.adding or fields is None else list(fields))


def logged(row: Model | None, fields: Iterable[str]) -> dict[str, Any]:
    """The named fields as the change log keeps them."""
    return {} if row is None else {name: plain_value(getattr(row, name)) for name in fields}


def plain_value(value: Any) -> Any:
    """A field's value as JSON holds it; a row by its uuid."""
    if isinstance(value, dt.date | dt.datetime):
        return value.isoformat()
    if isinstance(value, Model):
        return str(getattr(value, "uuid", value.pk))
    return value


def require_text(value: str, field: str, what: str) -> str:
    """The text without surrounding space. Raises ValidationError when nothing is left."""
    text = " ".join(value.split()) if "\n" not in value else value.strip()
    if not text:
        raise ValidationError({field: f"{what} is missing."})
    return text


def require_not_future(on: dt.date, today: dt.date, field: str, what: str) -> None:
    if on > today:
        raise ValidationError({field: f"{what} of {date_words(on)} lies in the future (today is {date_words(today)})."})


def require_finite(value: float | None, field: str, what: str) -> None:
    if value is not None and not math.isfinite(value):
        raise ValidationError({field: f"{what} is no finite number."})
