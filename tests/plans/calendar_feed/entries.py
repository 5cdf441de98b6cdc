"""Follow-ups as the tests of the feed need them, and a reader of content lines that shares nothing with the writer."""

from __future__ import annotations

import datetime
import re
from uuid import UUID

from plans.calendar_feed import Entry

CHANGED = datetime.datetime(2026, 11, 26, 4, 30, 15, tzinfo=datetime.UTC)


def entry(**changes) -> Entry:
    values = {
        "uuid": UUID("3f0f6d1e-9f5a-4a43-8b61-0f7d8d1f2a10"),
        "date": datetime.date(2026, 12, 8),
        "title": "Look again: Ada Moreau",
        "changed_at": CHANGED,
    }
    return Entry(**{**values, **changes})


def unfolded(text: str) -> list[str]:
    """RFC 5545, section 3.1: a CRLF that one white-space sign follows is no line break. By pattern, over the whole."""
    whole = re.sub(r"\r\n[ \t]", "", text)
    assert whole.endswith("\r\n")
    return whole[:-2].split("\r\n")


def unescaped(value: str) -> str:
    """RFC 5545, section 3.3.11, read sign by sign."""
    return re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], value, flags=re.DOTALL)


def properties(text: str) -> list[tuple[str, str]]:
    """Name with parameters, and value, a content line each; none of ours has a quoted parameter."""
    return [tuple(line.split(":", 1)) for line in unfolded(text)]
