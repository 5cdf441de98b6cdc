"""What a template is given: every text made printable, and levels from roomy to tight; it takes the first that fits.

First the letters shrink, then instructions lose their last sentences, at last every text is cut, cautions less than
others. What is cut says so.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from plans.sheets.letters import BREAK, GAP, Printed, printable
from plans.sheets.values import FloorSheet, FloorWork, PlanSheet, SheetWork

MORE = "…more on your progress page."
LETTERS = f"Some letters cannot be printed here and stand as “{GAP}”. The page on the screen shows them."
STOP = (
    "Stop at once when the elbow or shoulder hurts, when fingers go numb, or when pain changes the throw. "
    "Tell your coach the same day. See a doctor or a physical therapist before you throw again."
)
FOOT = "What your doctor, your therapist or the rules of your league say comes before this sheet."
CUT_OFF = f" ,;:{BREAK}"
"""What does not stand before the … of a text that was cut."""
EMPTY = "There is no work on this sheet yet. When your coach gives you some, print it again."


@dataclass(frozen=True, slots=True)
class Level:
    """`size`: of the letters in points; `sentences` of instructions at most; `signs` of any one text at most.

    `in_steps`: each instruction on a line of its own, while there is room.
    """

    size: float
    sentences: int = 99
    signs: int = 9999
    in_steps: bool = False


ROOMY = (Level(12), Level(11.5), Level(11), Level(10.5), Level(10), Level(9.5), Level(9))
PLAN_LEVELS = (
    *(Level(size, in_steps=True) for size in (14, 13, 12, 11, 10)),
    *(Level(size) for size in (10.5, 10, 9.5, 9)),
    *(Level(9, sentences) for sentences in (4, 3, 2)),
    *(Level(8.5, sentences) for sentences in (2, 1)),
    Level(8, 1),
    Level(8, 1, 220),
    Level(8, 1, 150),
    Level(8, 0, 110),
    Level(7.5, 0, 70),
)
FLOOR_LEVELS = (
    *ROOMY,
    Level(8.5),
    Level(8.5, signs=240),
    Level(8, signs=140),
    Level(7.5, signs=90),
    Level(7.5, signs=60),
)


class Letters:
    """Makes texts printable, and remembers whether letters went missing."""

    def __init__(self, *, alone: bool = False) -> None:
        self._alone = alone
        self._known: dict[str, Printed] = {}

    def line(self, text: str) -> str:
        """Read once, however many levels ask for it."""
        if text not in self._known:
            self._known[text] = printable(text, alone=self._alone)
        return self._known[text].text

    @property
    def is_whole(self) -> bool:
        return all(one.is_whole for one in self._known.values())

    def name(self, text: str) -> str:
        """ "" where letters are missing: a name is written by hand then, not guessed."""
        found = printable(text, alone=self._alone)
        return found.text if found.is_whole else ""


def fill_plan(sheet: PlanSheet, letters: Letters) -> dict[str, Any]:
    given_name = letters.name(sheet.given_name)
    levels = [{"size": one.size, "works": _plan_works(sheet.works, one, letters)} for one in PLAN_LEVELS]
    return {
        **_head(sheet, f"Work for {sheet.given_name}", letters),
        "given_name": given_name,
        "stopped": letters.line(sheet.stop),
        "warning": _warning(sheet),
        "next": _next_look(sheet),
        "empty": EMPTY,
        "more": _left_out(sheet),
        "stop": STOP,
        "foot": [FOOT, *([] if letters.is_whole else [LETTERS])],
        "levels": levels,
    }


def fill_floor(sheet: FloorSheet, letters: Letters) -> dict[str, Any]:
    name = letters.name(sheet.name)
    levels = [{"size": one.size, **_floor_level(sheet, one, letters)} for one in FLOOR_LEVELS]
    left_out = f"{sheet.left_out} more in the plan have no room here." if sheet.left_out else ""
    return {
        **_head(sheet, f"Floor sheet of {sheet.name}", letters),
        "name": name,
        "facts": " · ".join(map(letters.line, sheet.facts)),
        "left_out": left_out,
        "foot": [] if letters.is_whole else [LETTERS],
        "levels": levels,
    }


def cut(text: str, signs: int) -> str:
    """At most so many signs, ending in … where something was cut, after a whole word where there is one."""
    if len(text) <= signs:
        return text
    kept = text[: signs - 1]
    words = kept if text[signs - 1] == " " else kept.rpartition(" ")[0] or kept
    return f"{words.rstrip(CUT_OFF)}{GAP}"


def date_words(date: dt.date) -> str:
    return f"{date.day} {date:%B %Y}"


def _head(sheet: PlanSheet | FloorSheet, title: str, letters: Letters) -> dict[str, Any]:
    printed = sheet.printed_on
    return {
        "title": title,
        "paper": sheet.paper,
        "facility": cut(letters.line(sheet.facility), 80),
        "printed": {
            "year": printed.year, "month": printed.month, "day": printed.day, "words": date_words(printed),
        },
    }  # fmt: skip


def _plan_works(works: Iterable[SheetWork], level: Level, letters: Letters) -> list[dict[str, Any]]:
    return [_plan_work(one, level, letters) for one in works]


def _plan_work(one: SheetWork, level: Level, letters: Letters) -> dict[str, Any]:
    def line(text: str) -> str:
        return cut(letters.line(text), level.signs)

    return {
        "name": line(one.name),
        "short_name": cut(letters.line(one.name), 60),
        "dose": line(one.dose),
        "supervision": one.supervision,
        "minutes": one.minutes,
        "starts": one.starts,
        "steps": [letters.line(step) for step in one.instructions] if level.in_steps and not one.held else [],
        "instructions": "" if level.in_steps or one.held else _instructions(one.instructions, level, letters),
        "cautions": cut(letters.line(" ".join(one.cautions)), 2 * level.signs),
        "note": line(one.note),
        "held": one.held,
        "days": one.days,
        "boxes": "once" if one.is_once else "week",
    }


def _instructions(sentences: Sequence[str], level: Level, letters: Letters) -> str:
    """The first sentences that the level has room for; what is missing is said."""
    shown = [letters.line(one) for one in sentences[: level.sentences]]
    whole = " ".join(shown)
    text = cut(whole, level.signs)
    missing = len(shown) < len(sentences) or text != whole
    return " ".join(part for part in (text, MORE if missing else "") if part)


def _warning(sheet: PlanSheet) -> str:
    if not sheet.unshown:
        return ""
    them = "1 work here is" if sheet.unshown == 1 else f"{sheet.unshown} works here are"
    return f"For staff: {them} not shown to the family yet."


def _next_look(sheet: PlanSheet) -> str:
    if sheet.next_look is None:
        return ""
    day = f"{sheet.next_look:%A} {date_words(sheet.next_look)}"
    if sheet.next_look < sheet.printed_on:
        return f"We planned to measure again on {day}. That day is past. Ask your coach for a new one."
    return f"We measure again around {day}."


def _left_out(sheet: PlanSheet) -> str:
    if not sheet.left_out:
        return ""
    more = "1 more work is" if sheet.left_out == 1 else f"{sheet.left_out} more works are"
    return f"These are the first {len(sheet.works)}. {more} on your progress page."


def _floor_level(sheet: FloorSheet, level: Level, letters: Letters) -> dict[str, Any]:
    def line(text: str) -> str:
        return cut(letters.line(text), level.signs)

    return {
        "state": letters.line(sheet.state),
        "state_note": letters.line(sheet.state_note),
        "points": [
            {
                "name": line(one.name),
                "kind": one.kind,
                "value": one.value,
                "target": one.target,
                "measured": one.measured,
            }
            for one in sheet.points
        ],
        "points_note": line(sheet.points_note),
        "cues": [line(one) for one in sheet.cues],
        "works": [_floor_work(one, level, letters) for one in sheet.works],
        "changes": [
            {"name": line(one.name), "then": one.then, "then_on": one.then_on, "now": one.now, "now_on": one.now_on}
            for one in sheet.changes
        ],
        "throwing": [line(one) for one in sheet.throwing],
    }


def _floor_work(one: FloorWork, level: Level, letters: Letters) -> dict[str, str]:
    return {
        "name": cut(letters.line(one.name), level.signs),
        "dose": cut(letters.line(one.dose), level.signs),
        "supervision": one.supervision,
        "cautions": cut(letters.line(" ".join(one.cautions)), 2 * level.signs),
        "note": cut(letters.line(one.note), level.signs),
        "held": one.held,
    }
