"""Cells: what a table is made of, and how the text of one becomes a number or a missing value."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from typing import Any, Final

from sessions.formats import limits

Cell = str | float | bool | dt.date | dt.datetime | None
"""One cell as read. Numbers are finite floats below 1e15; blank is None; anything that is no number stays text."""


def word_set(text: str) -> frozenset[str]:
    """Words written between bars, over as many lines as they need."""
    return frozenset(word.strip() for word in text.split("|"))


MISSING_WORDS: Final = word_set(
    """na|n/a|n.a.|n.a|#n/a|#n/a n/a|#na|<na>|nan|-nan|+nan|1.#qnan|-1.#ind|nil|none|null|missing|-|--|---|–|—|.|..|?|
    #div/0!|#value!|#ref!|#name?|#num!|#null!|#error!|err|error|invalid|not measured|not_measured|not available|
    no data"""
)
"""Words that stand where a value is missing (common practice, no published source); compared without case."""

INFINITE_WORDS: Final = frozenset(
    sign + word for sign in ("", "+", "-", "−") for word in ("inf", "infinity", "∞", "1.#inf")
)

_BEYOND = re.compile(r"[+\-−]?\d[\d.,' ]*(?:[eE][+\-]?\d+)?", re.ASCII)
_FORMULA_GUARD = re.compile(r'="(.*)"', re.DOTALL)
_UNPRINTABLE = dict.fromkeys((*range(9), 11, 12, *range(14, 32), 127, 0xFEFF))
_PLAIN = frozenset({str, float, bool, type(None)})
_WORDS = frozenset({str, type(None)})
MEMORY_ENTRIES: Final = 200_000


def column_letter(index: int) -> str:
    """The spreadsheet's letter of a column counted from 0: 0 → A, 25 → Z, 26 → AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def cell_text(cell: Cell) -> str:
    """A cell as a person would type it: 1043.0 → "1043", a date in ISO form, blank → ""."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() else repr(cell)
    return cell if isinstance(cell, str) else cell.isoformat()


def is_missing_word(text: str) -> bool:
    return text.casefold() in MISSING_WORDS


def unusable_number(text: str) -> str | None:
    """The problem's code when a text is a number that nothing can measure: infinite, or 1e15 and more."""
    if text.casefold() in INFINITE_WORDS:
        return "infinite_number"
    if len(text) <= 400 and _BEYOND.fullmatch(text) and not re.match(r"[+\-−]?0\d", text):
        commas = "" if text.count(",") > 1 else "."
        try:
            value = float(text.replace("−", "-").replace(" ", "").replace("'", "").replace(",", commas))
        except ValueError:
            return None
        return "number_out_of_reach" if abs(value) >= limits.LARGEST_NUMBER else None
    return None


def cells_to_json(cells: Iterable[Cell]) -> list[Any]:
    """Cells as JSON holds them: text, numbers, truth and null as they are, dates as {"date": …}."""
    cells = list(cells)
    if set(map(type, cells)) <= _PLAIN:
        return cells
    return [cell if type(cell) in _PLAIN else _date_to_json(cell) for cell in cells]


def cells_from_json(stored: list[Any]) -> tuple[Cell, ...]:
    if dict not in set(map(type, stored)):
        return tuple(stored)
    return tuple([_date_from_json(cell) if type(cell) is dict else cell for cell in stored])


def column_to_json(cells: Sequence[Cell]) -> list[Any] | dict[str, list[Any]]:
    """A column of words as its distinct words and where each stands: they come again row after row."""
    if type(next(iter(cells), None)) is float or not set(map(type, cells)) <= _WORDS:
        return cells_to_json(cells)
    places = {word: place for place, word in enumerate(dict.fromkeys(cells))}
    return {"words": list(places), "at": list(map(places.__getitem__, cells))}


def column_from_json(stored: list[Any] | dict[str, list[Any]]) -> tuple[Cell, ...]:
    if isinstance(stored, dict):
        return tuple(map(stored["words"].__getitem__, stored["at"]))
    return cells_from_json(stored)


def _date_to_json(cell: Any) -> dict[str, str]:
    kind = "instant" if isinstance(cell, dt.datetime) else "date"
    return {kind: cell.isoformat()}


def _date_from_json(stored: dict[str, str]) -> Cell:
    if "instant" in stored:
        return dt.datetime.fromisoformat(stored["instant"])
    return dt.date.fromisoformat(stored["date"])


_EXPONENT = r"(?:[eE][+\-]?\d{1,4})?"
_NUMBER = {
    ".": re.compile(
        r"[+\-]?(?:\d{1,3}(?:,\d{3})+|\d{1,3}(?:'\d{3})+|\d{1,3}(?: \d{3})+|\d+)?(?:\.\d*)?" + _EXPONENT, re.ASCII
    ),
    ",": re.compile(
        r"[+\-]?(?:\d{1,3}(?:\.\d{3})+|\d{1,3}(?:'\d{3})+|\d{1,3}(?: \d{3})+|\d+)?(?:,\d*)?" + _EXPONENT, re.ASCII
    ),
}
_PLAIN_NUMBER = {
    ".": re.compile(r"-?(?:0|[1-9]\d{0,11})(?:\.\d{1,20})?", re.ASCII),
    ",": re.compile(r"-?(?:0|[1-9]\d{0,11})(?:,\d{1,20})?", re.ASCII),
}
_LEADING_ZERO = re.compile(r"[+\-]?0\d", re.ASCII)
_SIGNS_AND_SPACES = str.maketrans({"−": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "’": "'"})
_GROUPING = {".": str.maketrans("", "", ",' "), ",": str.maketrans(",", ".", ".' ")}


class CellReader(dict[str, Cell]):
    """Text of a cell → Cell, remembering what it has read: tables repeat themselves, and a look-up is 20 times faster.

    `reader[text]` gives the cell. Leading zeros ("007"), and numbers of 1e15 and more, stay text: the first are
    names, the second are shown as problems.
    """

    def __init__(self, decimal_mark: str = ".") -> None:
        super().__init__()
        self.plain = _PLAIN_NUMBER[decimal_mark]
        self.number = _NUMBER[decimal_mark]
        self.grouping = _GROUPING[decimal_mark]

    def __missing__(self, raw: str) -> Cell:
        if len(self) >= MEMORY_ENTRIES:
            self.clear()
        # Nearly all cells of a table are plain numbers, and reading those needs none of the care of the rest.
        cell = float(raw.replace(",", ".")) if self.plain.fullmatch(raw) else self.read(raw)
        self[raw] = cell
        return cell

    def read(self, raw: str) -> Cell:
        text = raw.translate(_UNPRINTABLE).strip()
        guarded = _FORMULA_GUARD.fullmatch(text)
        if guarded:
            return guarded.group(1).strip() or None
        if not text:
            return None
        number = self._as_number(text)
        return text if number is None else number

    def _as_number(self, text: str) -> float | None:
        if len(text) > 40:
            return None
        plain = text.translate(_SIGNS_AND_SPACES)
        if not self.number.fullmatch(plain) or _LEADING_ZERO.match(plain):
            return None
        try:
            value = float(plain.translate(self.grouping))
        except ValueError:  # the pattern lets a lone sign, mark or exponent through
            return None
        return value if abs(value) < limits.LARGEST_NUMBER else None
