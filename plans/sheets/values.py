"""What stands on the two sheets, in words. Whoever fills them has asked who may read it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

US_LETTER, A4 = "us-letter", "a4"


@dataclass(frozen=True, slots=True)
class SheetWork:
    """One work. `days`: "3 to 4", "" where the dose counts none; `starts`: "from 20 April", "" once it runs.

    `held`: why it must not be done today, "" where it goes on. `is_once`: an errand, no work of every week.
    """

    name: str
    dose: str
    supervision: str
    minutes: str = ""
    starts: str = ""
    instructions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    note: str = ""
    held: str = ""
    days: str = ""
    is_once: bool = False


@dataclass(frozen=True, slots=True)
class PlanSheet:
    """`stop`: that throwing is stopped now, "" where it goes on. `left_out`: open works that the page has no room for;
    `unshown`: of the printed ones, what the family reads not.

    `next_look`: the soonest day ahead, the last that is past where none is, None without one.
    """

    paper: str
    given_name: str
    facility: str
    printed_on: dt.date
    works: tuple[SheetWork, ...] = ()
    left_out: int = 0
    unshown: int = 0
    next_look: dt.date | None = None
    stop: str = ""


@dataclass(frozen=True, slots=True)
class FloorPoint:
    """One of the three points: what (with its direction), whether it is the start, last value, range, date."""

    name: str
    kind: str
    value: str
    target: str
    measured: str


@dataclass(frozen=True, slots=True)
class FloorWork:
    name: str
    dose: str
    supervision: str
    cautions: tuple[str, ...] = ()
    note: str = ""
    held: str = ""


@dataclass(frozen=True, slots=True)
class Then:
    """A metric that the plan answers: what it was when the work was given, and last. `now` "" : not measured since."""

    name: str
    then: str
    then_on: str
    now: str = ""
    now_on: str = ""


@dataclass(frozen=True, slots=True)
class FloorSheet:
    """`facts`: age, arm, height, mass, level in words. `state`: availability or pain; `state_note` what it asks for."""

    paper: str
    name: str
    facility: str
    printed_on: dt.date
    facts: tuple[str, ...] = ()
    state: str = ""
    state_note: str = ""
    points: tuple[FloorPoint, ...] = ()
    points_note: str = ""
    cues: tuple[str, ...] = ()
    works: tuple[FloorWork, ...] = ()
    left_out: int = 0
    changes: tuple[Then, ...] = ()
    throwing: tuple[str, ...] = ()
