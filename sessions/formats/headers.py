"""Where a table begins: its row of names, its row of units, and which of the two shapes it has."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final

from sessions.formats.cells import Cell, cell_text, is_missing_word, word_set
from sessions.formats.grid import Row, Table
from sessions.formats.unit_words import is_placeholder, is_unit, without_brackets

LOOK_ROWS: Final = 60
"""The row of names is sought among this many rows that hold anything."""

_WIDTH_ROWS: Final = 200
_LEAST_TEXT_SHARE: Final = 0.6
"""Of the filled cells of a row of names, how many must be words: a throw's number may be a column's name."""

_LEAST_FILL: Final = 0.5
"""How much of the table's width a row of names must fill; what stands above it fills less."""

_LEAST_UNITS: Final = 0.6

# Names of the columns of a long table (terms of the trade and plain words; no published source).
LONG_COLUMNS: Final[Mapping[str, frozenset[str]]] = {
    "metric": word_set(
        """metric|metric name|metric key|measure|measurement|measured|variable|variable name|parameter|
        parameter name|quantity|test|outcome|attribute|screen|screening test|metrik|messgröße"""
    ),
    "value": word_set("value|values|reading|result|val|measured value|metric value|number|score|wert"),
    "unit": word_set("unit|units|unit of measure|uom|metric unit|einheit"),
}

_DATE = re.compile(r"\d{1,4}[-/. ](?:\d{1,2}|[A-Za-zäé]{3,9})[-/. ]\d{1,4}(?:[ T,].*)?|\d{1,2}:\d{2}(?::\d{2})?.*")
_THROW_NAME = re.compile(r"(?:throw|pitch|trial|rep|t|p|#)?[\s_#.-]*\d{1,3}", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Heading:
    """Rows are indices into Table.rows; None when there is no such row."""

    names: int | None
    units: int | None
    second_names: int | None = None


def normal_name(text: str) -> str:
    """A name as it is compared: one case, one kind of space, no accents of width, "_" as a space."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().replace("_", " ").split())


def is_word(cell: Cell) -> bool:
    """A text that could be a column's name: no number, date, time or missing value."""
    return isinstance(cell, str) and not is_missing_word(cell) and not _DATE.fullmatch(cell)


def trimmed_length(row: Row) -> int:
    end = len(row)
    while end and row[end - 1] is None:
        end -= 1
    return end


def find_heading(table: Table) -> Heading:
    """The row of names (words that fill the width, the fullest and then the first), and the units below it."""
    filled = [number - table.first_row for number, _ in islice(table.numbered(), _WIDTH_ROWS)]
    width = _usual_width(table, filled)
    names, best = None, 0.0
    for index in filled[:LOOK_ROWS]:
        score = _name_score(table.rows[index], width)
        if score > best:
            names, best = index, score
    if names is None:
        return Heading(None, None)
    below = [index for index in filled if index > names]
    units = below[0] if below and is_units_row(table.rows[below[0]]) else None
    rest = below[1:] if units is not None else below
    second = rest[0] if rest and units is None and _is_second_name_row(table, names, rest) else None
    return Heading(names, units, second)


def _usual_width(table: Table, filled: Sequence[int]) -> int:
    lengths = Counter(trimmed_length(table.rows[index]) for index in filled)
    return max(lengths, key=lambda length: (lengths[length], length), default=0)


def _name_score(row: Row, width: int) -> float:
    filled = [cell for cell in row if cell is not None]
    words = sum(map(is_word, filled))
    if len(filled) < 2 or words < _LEAST_TEXT_SHARE * len(filled) or len(filled) < _LEAST_FILL * width:
        return 0.0
    return words / max(width, len(filled))


def is_units_row(row: Row) -> bool:
    """No number, at least one unit, and mostly units where anything but a placeholder stands."""
    texts = [cell for cell in row if cell is not None]
    if not texts or not all(isinstance(cell, str) for cell in texts):
        return False
    named = [without_brackets(str(cell)) for cell in texts if not is_placeholder(without_brackets(str(cell)))]
    units = sum(map(is_unit, named))
    return units > 0 and units >= _LEAST_UNITS * len(named)


def _is_second_name_row(table: Table, names: int, below: Sequence[int]) -> bool:
    """Words straight under the names, in columns that hold numbers from the next row on."""
    second = table.rows[below[0]]
    body = [table.rows[index] for index in below[1:8]]
    numbers = {i for row in body for i, cell in enumerate(row) if type(cell) is float}
    words = {i for i, cell in enumerate(second) if is_word(cell)}
    return len(numbers) >= 2 and len(words & numbers) >= 0.6 * len(numbers)


def long_columns(headers: Sequence[str]) -> dict[str, int]:
    """Which columns of a long table hold "metric", "value" and, where there is one, "unit"; {} when it is wide."""
    found: dict[str, int] = {}
    for part, names in LONG_COLUMNS.items():
        matches = [i for i, header in enumerate(headers) if normal_name(header) in names]
        if len(matches) == 1:
            found[part] = matches[0]
    return found if {"metric", "value"} <= found.keys() else {}


def throws_stand_in_columns(headers: Sequence[str], first_column: Sequence[Cell]) -> bool:
    """One row a metric and one column a throw: names such as "Throw 1" in a row, different words below the first."""
    throws = sum(1 for header in headers[1:] if _THROW_NAME.fullmatch(header.strip()))
    words = [normal_name(cell_text(cell)) for cell in first_column if is_word(cell)]
    filled = sum(cell is not None for cell in first_column)
    mostly_words = filled > 0 and len(words) >= 0.7 * filled and len(set(words)) == len(words)
    return throws >= 2 and throws >= 0.6 * (len(headers) - 1) and mostly_words
