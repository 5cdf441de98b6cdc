"""One line of what needs the coach."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from django.urls import reverse

from athletes.models import Athlete

Kind = Literal["pain", "stopped", "answer", "refused", "flags", "unseen", "size", "more"]
FIRST_NAMES = 3  # a line names this many people and counts the others


@dataclass(frozen=True, slots=True)
class Person:
    name: str
    url: str


@dataclass(frozen=True, slots=True)
class FlagWords:
    """A flag as a list shows it: its mark, the metric, and what is known of it (new, to confirm)."""

    side: str
    sure: str
    name: str
    known: str


@dataclass(frozen=True, slots=True)
class Need:
    """`title` stands before the people, `ending` and `sentence` after, `reason` under them.

    `step` and `url` are the next step.
    """

    kind: Kind
    title: str
    people: tuple[Person, ...] = ()
    more_people: int = 0
    ending: str = ""
    sentence: str = ""
    reason: str = ""
    flags: tuple[FlagWords, ...] = ()
    step: str = ""
    url: str = ""

    @property
    def is_reversed(self) -> bool:
        return self.kind in ("pain", "stopped")


@dataclass(frozen=True, slots=True)
class Needs:
    """Lines of one reason; `count` is how many athletes or files they stand for."""

    lines: tuple[Need, ...]
    count: int


NOTHING = Needs((), 0)


def person(athlete: Athlete, page: str = "desk:record") -> Person:
    return Person(athlete.name, reverse(page, args=[athlete.uuid]))


def several(athletes: list[Athlete], page: str = "desk:record") -> tuple[tuple[Person, ...], int]:
    """The first names, and how many more there are."""
    return tuple(person(row, page) for row in athletes[:FIRST_NAMES]), max(0, len(athletes) - FIRST_NAMES)
