"""What can be wrong with a file, each with a code and the sentence that a person reads.

The sentences stand in one table. A template is written to follow "Row 12, column D: ", says what was found,
and then what to do. Facts that come from the file itself are quoted and shortened before they are put in.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import asdict, dataclass, field
from typing import Any, Final

from sessions.formats import limits
from sessions.formats.cells import column_letter
from sessions.formats.sentences import SENTENCES

_CELL_NAME = re.compile(r"([A-Z]+)(\d+)")

QUOTED_CHARACTERS: Final = 40
"""A quoted cell is cut here, so that a hostile cell cannot fill a page."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that a person should know about a file, at its place.

    `severity` is "error" (something was not read), "warning" (read, but look) or "note" (read as meant).
    `row` counts from 1 as a spreadsheet shows it; `column` is the spreadsheet's letter.
    """

    code: str
    sentence: str
    severity: str = "error"
    sheet: str = ""
    row: int | None = None
    column: str | None = None

    def to_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> Problem:
        return cls(**stored)


class UnreadableFile(Exception):
    """Nothing of the file can be used. `code` is a key of SENTENCES; `sentence` is fit for a page."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(code, sentence)
        self.code = code
        self.sentence = sentence

    def __str__(self) -> str:
        return self.sentence


class ReaderDied(UnreadableFile):
    """The reading process was killed, ran out of memory or of time while it had this file."""


def quote(text: object) -> str:
    """A piece of the file as a sentence may show it: in quotation marks, one line, cut at 40 characters."""
    line = "".join(c if c.isprintable() else " " for c in str(text)[: QUOTED_CHARACTERS * 4])
    line = " ".join(line.split())
    return f"“{line[:QUOTED_CHARACTERS]}{'…' if len(line) > QUOTED_CHARACTERS else ''}”"


def _placed(sentence: str, sheet: str, row: int | None, column: str | None) -> str:
    places = (
        f"sheet {quote(sheet)}" if sheet else "",
        f"row {row}" if row is not None else "",
        f"column {column}" if column else "",
    )
    place = ", ".join(part for part in places if part)
    whole = f"{place}: {sentence}" if place else sentence
    return whole[:1].upper() + whole[1:]


def times(count: int) -> str:
    """ "once", "3 times"."""
    return "once" if count == 1 else f"{count:,} times"


def place_in_file(row: int | None, column: str | None, *, turned: bool) -> tuple[int | None, str | None]:
    """Where a layout's row and column stand in the file: turned tables swap them, and "B2" names its own cell."""
    cell = _CELL_NAME.fullmatch(column) if column else None
    if cell:
        return int(cell[2]), cell[1]
    if turned:
        return int(column) if column else None, column_letter(row - 1) if row else None
    return row, column


def problem(
    code: str, *, sheet: str = "", row: int | None = None, column: str | None = None, **facts: object
) -> Problem:
    """The problem of that code at that place; `facts` fill its sentence. KeyError when the code is unknown."""
    severity, template = SENTENCES[code]
    return Problem(code, _placed(template.format(**facts), sheet, row, column), severity, sheet, row, column)


def unreadable(
    code: str, *, sheet: str = "", row: int | None = None, column: str | None = None, **facts: object
) -> UnreadableFile:
    """The exception of that code, to be raised. KeyError when the code is unknown."""
    return UnreadableFile(code, problem(code, sheet=sheet, row=row, column=column, **facts).sentence)


@dataclass
class ProblemList:
    """Collects the problems of one sheet; of each kind the first 20 one by one, the rest as a count.

    Rows and columns are the layout's; of a `turned` table they are said as they stand in the file.
    """

    sheet: str = ""
    turned: bool = False
    found: list[Problem] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)

    def add(self, code: str, *, row: int | None = None, column: str | None = None, **facts: object) -> None:
        self.counts[code] += 1
        if self.counts[code] <= limits.REPEATS_SHOWN:
            row, column = place_in_file(row, column, turned=self.turned)
            self.found.append(problem(code, sheet=self.sheet, row=row, column=column, **facts))

    def result(self) -> tuple[Problem, ...]:
        return tuple(self.found) + tuple(
            self._rest(code, count - limits.REPEATS_SHOWN)
            for code, count in self.counts.items()
            if count > limits.REPEATS_SHOWN
        )

    def _rest(self, code: str, count: int) -> Problem:
        first = next(p for p in self.found if p.code == code)
        sentence = SENTENCES["more_like_it"][1].format(count=count, first=first.sentence)
        return Problem("more_like_it", _placed(sentence, "", None, None), first.severity, self.sheet)
