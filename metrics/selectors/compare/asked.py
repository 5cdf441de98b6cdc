"""What the address of a comparison asks for; every part of it stands there, so that a link brings the view back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from athletes.models import Athlete
from metrics.measuring import curves
from sessions.models import CaptureSession
from sessions.models.recordings import EVENTS

SIDE, OVER = "side", "over"
LAID = {SIDE: "Side by side", OVER: "Over each other"}
FIRST_EVENT = "fp"
EVENT_NAMES = dict(EVENTS)
LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class Asked:
    """`a`, `b`: sessions; `whom`: whose the second is, when not the athlete's own; `event`: from which time is counted.

    `until`: sessions up to this day are offered. `name`: of somebody to compare with. `wrong`: what could not be used,
    in sentences.
    """

    a: UUID | None = None
    b: UUID | None = None
    a_throw: UUID | None = None
    b_throw: UUID | None = None
    whom: UUID | None = None
    event: str = FIRST_EVENT
    laid: str = SIDE
    curve: str = ""
    until: dt.date | None = None
    name: str = ""
    wrong: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Compared:
    """`other`: whose the second session is, often the athlete's own. `withdrawn`: named, but taken away since."""

    asked: Asked
    athlete: Athlete
    other: Athlete
    a: CaptureSession | None
    b: CaptureSession | None
    withdrawn: tuple[CaptureSession, ...]

    @property
    def is_of_one(self) -> bool:
        return self.athlete.pk == self.other.pk


def asked_by(query: Mapping[str, str]) -> Asked:
    """Reads an address. Raises ValueError for an id that cannot be one."""
    wrong: list[str] = []

    def one_of(key: str, known: Mapping[str, object], otherwise: str, words: str) -> str:
        value = query.get(key, "")
        if value and value not in known:
            wrong.append(words)
        return value if value in known else otherwise

    return Asked(
        **{key: UUID(query[key]) if query.get(key) else None for key in ("a", "b", "a_throw", "b_throw", "whom")},
        event=one_of(
            "from", EVENT_NAMES, FIRST_EVENT, "The link names a moment that is not known; foot plant is used."
        ),
        laid=one_of("laid", LAID, SIDE, "The link names a way to lay the figures that is not known."),
        curve=one_of("curve", curves.BY_NAME, "", "The link names a curve that is not known; the first one is shown."),
        until=_day(query.get("until", ""), wrong),
        name=query.get("name", "").strip()[:LONGEST_NAME],
        wrong=tuple(wrong),
    )


def _day(text: str, wrong: list[str]) -> dt.date | None:
    if not text:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        wrong.append("The day up to which sessions are listed is no date: write it as 2026-04-30.")
        return None
