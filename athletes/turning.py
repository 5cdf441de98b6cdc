"""The screen that is turned to the person beside the coach: what is kept of it in the signed-in session.

While it is kept, only that person's page answers (desk.turning), and what is not for them is left out of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from django.contrib.sessions.backends.base import SessionBase
from django.http import HttpRequest

KEY = "turned"


@dataclass(frozen=True, slots=True)
class Turned:
    """`page`: the name of the page's address; `subject`: the uuid in it; `wrong`: PINs that were wrong so far."""

    page: str
    path: str
    subject: str
    athlete: str
    name: str
    wrong: int = 0


def turned_of(request: HttpRequest) -> Turned | None:
    """To whom the screen is turned; None for a screen that is not."""
    session = getattr(request, "session", None)
    return None if session is None else turned_in(session)


def turned_in(session: SessionBase) -> Turned | None:
    kept: Mapping[str, Any] | None = session.get(KEY)
    return Turned(**kept) if kept else None


def is_turned(request: HttpRequest) -> bool:
    return turned_of(request) is not None


def keep_turned(session: SessionBase, turned: Turned | None) -> None:
    """None turns it back."""
    if turned is None:
        session.pop(KEY, None)
    else:
        session[KEY] = asdict(turned)
