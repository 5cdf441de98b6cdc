"""What stands above a table and is said of all of it: "Athlete: Jordan Reyes", a date, a room."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from sessions.formats.cells import Cell, column_letter, is_missing_word
from sessions.formats.grid import Row

MOST_LINES: Final = 20
"""More are no head of a table; the first are kept."""

_LABEL_CHARACTERS: Final = 40
_ONE_CELL = re.compile(r"[#;\s]*([^\W\d][^\d:=]{0,39}?)\s*[:=]\s*(?!//)(\S.*)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Line:
    """One name with its value, and the cell that holds the value, as a spreadsheet names it ("B2")."""

    name: str
    value: Cell
    place: str


def lines_above(numbered: Iterable[tuple[int, Row]]) -> tuple[Line, ...]:
    """Names with values in the rows above a table; what is no such pair (a title, a remark) is passed over.

    `numbered` holds (row number, row). A name that comes again is passed over too: the first is meant.
    """
    found: dict[str, Line] = {}
    for number, row in numbered:
        filled = [(index, cell) for index, cell in enumerate(row) if cell is not None]
        for name, index, value in _in_one_cell(filled) if len(filled) == 1 else _side_by_side(filled):
            found.setdefault(name.casefold(), Line(name, value, f"{column_letter(index)}{number}"))
    return tuple(found.values())[:MOST_LINES]


def _in_one_cell(filled: Sequence[tuple[int, Cell]]) -> list[tuple[str, int, Cell]]:
    ((index, cell),) = filled
    match = _ONE_CELL.fullmatch(cell) if isinstance(cell, str) else None
    return [(match[1].strip(), index, match[2].strip())] if match else []


def _side_by_side(filled: Sequence[tuple[int, Cell]]) -> list[tuple[str, int, Cell]]:
    """Names and values in turn; of an uneven number only those whose name ends in a colon."""
    if len(filled) % 2:
        pairs = [
            (name, value)
            for name, value in pairwise(filled)
            if isinstance(name[1], str) and name[1].rstrip().endswith(":")
        ]
    else:
        pairs = list(zip(filled[::2], filled[1::2], strict=True))
    found = [(_name_of(name), index, value) for (_, name), (index, value) in pairs]
    return [(name, index, value) for name, index, value in found if name]


def _name_of(cell: Cell) -> str:
    if not isinstance(cell, str) or is_missing_word(cell) or len(cell) > _LABEL_CHARACTERS:
        return ""
    name = cell.strip(" #;:=\t")
    return name if re.search(r"[^\W\d_]", name) and not re.search(r"\d", name) else ""
