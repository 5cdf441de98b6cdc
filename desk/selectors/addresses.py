"""Addresses of pages about one thing, for lists that need many of them."""

from __future__ import annotations

from functools import cache
from uuid import UUID

from django.urls import reverse

NOBODY = UUID(int=0)


def address_of(page: str, uuid: UUID) -> str:
    """What `reverse(page, args=[uuid])` gives; working that out for each line takes as long as the line."""
    return str(uuid).join(_around(page))


@cache
def _around(page: str) -> list[str]:
    """What stands before and behind the uuid."""
    return reverse(page, args=[NOBODY]).split(str(NOBODY))
