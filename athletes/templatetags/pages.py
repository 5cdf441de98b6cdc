"""Tags for the frame that every page stands in."""

from __future__ import annotations

from django import template
from django.contrib.messages.storage.base import Message

register = template.Library()

UNDO_PREFIX = "undo:"


@register.simple_tag
def undo_address(message: Message) -> str:
    """Return where a notice's Undo button posts to, or "" when the notice has none.

    A view offers undo by ``messages.success(request, "Throw 13 excluded.", extra_tags="undo:/address")``.
    Only addresses on this site count.
    """
    for tag in (getattr(message, "extra_tags", "") or "").split():
        address = tag.removeprefix(UNDO_PREFIX)
        if tag != address and address.startswith("/") and not address.startswith(("//", "/\\")):
            return address
    return ""
