"""One line of what needs the coach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol
from uuid import UUID

from desk.selectors.addresses import address_of

Kind = Literal[
    "pain", "stopped", "answer", "refused", "flags", "due", "recurring", "sore", "shared", "unseen", "size", "more"
]
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
    """Lines of one reason; `count` is how many athletes or files they stand for.

    `unworded`: further lines that no page has room for, counted alone.
    """

    lines: tuple[Need, ...]
    count: int
    unworded: int = 0


NOTHING = Needs((), 0)


class Named(Protocol):
    """An athlete, or what a list read of one."""

    @property
    def name(self) -> str: ...

    @property
    def uuid(self) -> UUID: ...


def person(athlete: Named, page: str = "desk:record") -> Person:
    return Person(athlete.name, address_of(page, athlete.uuid))


def several(athletes: Sequence[Named], page: str = "desk:record") -> tuple[tuple[Person, ...], int]:
    """The first names, and how many more there are."""
    return tuple(person(row, page) for row in athletes[:FIRST_NAMES]), max(0, len(athletes) - FIRST_NAMES)
