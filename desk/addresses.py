"""Addresses of pages, for lines that carry their next step."""

from __future__ import annotations

from django.urls import NoReverseMatch, reverse


def address_of(name: str, *args: object) -> str:
    """The page's address; empty while this installation has no such page, and the line then has no link."""
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return ""
