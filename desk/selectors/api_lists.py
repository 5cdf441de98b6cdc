"""What the page about reading by program says: taken from the lists themselves, so that it cannot differ from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import django_filters
from django.urls import reverse
from rest_framework import serializers

from desk.filters import AthleteFilter, FindingFilter, SessionFilter
from desk.serializers import AthleteSerializer, FindingSerializer, SessionDetailSerializer

MOST_CHOICES = 8
"""Longer lists of choices are named, not written out."""

# (name, address of the list, its filters, its fields, whether a row has an address of its own)
LISTS: tuple[tuple[str, str, Any, type[serializers.Serializer], bool], ...] = (
    ("Athletes", "api:athlete-list", AthleteFilter, AthleteSerializer, True),
    ("Sessions", "api:session-list", SessionFilter, SessionDetailSerializer, True),
    ("Findings", "api:finding-list", FindingFilter, FindingSerializer, False),
)
KINDS: Mapping[type, str] = {
    django_filters.UUIDFilter: "a uuid",
    django_filters.DateFilter: "a date as 2026-03-25",
    django_filters.BooleanFilter: "true or false",
    django_filters.CharFilter: "a text",
}


FIELD_KINDS: Mapping[type, str] = {
    serializers.UUIDField: "a uuid",
    serializers.FloatField: "a number",
    serializers.IntegerField: "a whole number",
    serializers.DateField: "a date",
    serializers.DateTimeField: "an instant",
    serializers.BooleanField: "true or false",
    serializers.CharField: "a text",
    serializers.DictField: "an object",
    serializers.JSONField: "an object",
    serializers.SerializerMethodField: "worked out, see the OpenAPI document",
}


@dataclass(frozen=True, slots=True)
class Line:
    """A filter or a field: its name, what it takes or is, and what is said of it."""

    name: str
    kind: str
    words: str


@dataclass(frozen=True, slots=True)
class ApiList:
    name: str
    address: str
    words: str
    by_uuid: bool
    filters: tuple[Line, ...]
    fields: tuple[Line, ...]


def api_lists() -> tuple[ApiList, ...]:
    return tuple(
        ApiList(
            name,
            reverse(address),
            (serializer.__doc__ or "").strip().split("`context`")[0].strip(),
            by_uuid,
            tuple(_filter_line(key, one) for key, one in filters.base_filters.items()),
            tuple(_field_line(key, one) for key, one in serializer().fields.items()),
        )
        for name, address, filters, serializer, by_uuid in LISTS
    )


def _filter_line(name: str, one: django_filters.Filter) -> Line:
    kind = next((words for known, words in KINDS.items() if type(one) is known), "")
    choices = [str(value) for value, _ in one.extra.get("choices", ()) if value]
    label = one.label or ""  # without one of its own a filter is called as its field
    return Line(name, _one_of(choices) or kind, label if label.endswith(".") else "")


def _field_line(name: str, field: serializers.Field) -> Line:
    kind = _one_of([str(value) for value in getattr(field, "choices", ()) if value]) or _kind_of(field)
    return Line(name, f"{kind}, or null" if field.allow_null else kind, str(field.help_text or ""))


def _one_of(choices: list[str]) -> str:
    if not choices:
        return ""
    return ", ".join(choices) if len(choices) <= MOST_CHOICES else f"one of {len(choices)} keys, as {choices[0]}"


def _kind_of(field: serializers.Field) -> str:
    if isinstance(field, serializers.BaseSerializer):
        return "a list of objects" if getattr(field, "many", False) else "an object"
    return FIELD_KINDS[type(field)]
