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
_LEAST_OVER_NUMBERS: Final = 0.6
_BODY_ROWS: Final = 8

GROUP_MARK: Final = " · "
"""Between the two parts of a name that a table keeps in two cells: the moment and the metric."""

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


@dataclass(frozen=True, slots=True)
class Heading:
    """Rows are indices into Table.rows; None when there is no such row.

    `groups` is a second row of names, above the first, whose words hold for several columns.
    """

    names: int | None
    units: int | None
    groups: int | None = None

    @property
    def last(self) -> int:
        """The last of these rows; -1 when there is none."""
        return max((i for i in (self.names, self.units, self.groups) if i is not None), default=-1)

    @property
    def first(self) -> int:
        """The first of these rows; 0 when there is none."""
        return min((i for i in (self.names, self.units, self.groups) if i is not None), default=0)


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
    """The row of names (words that fill the width, the fullest and then the first), its units, and its groups."""
    filled = [number - table.first_row for number, _ in islice(table.numbered(), _WIDTH_ROWS)]
    width = _usual_width(table, filled)
    names, best = None, 0.0
    for index in filled[:LOOK_ROWS]:
        score = _name_score(table.rows[index], width)
        if score > best and not is_units_row(table.rows[index]):
            names, best = index, score
    if names is None:
        return Heading(None, None)
    above, below = [i for i in filled if i < names], [i for i in filled if i > names]
    if below and is_units_row(table.rows[below[0]]):
        return Heading(names, below[0], _groups_above(table, names, above, below[1:]))
    if below and _is_second_name_row(table, below):
        units = below[1] if len(below) > 1 and is_units_row(table.rows[below[1]]) else None
        return Heading(below[0], units, names)
    units = above.pop() if above and is_units_row(table.rows[above[-1]]) else None
    return Heading(names, units, _groups_above(table, names, above, below))


def _groups_above(table: Table, names: int, above: Sequence[int], below: Sequence[int]) -> int | None:
    """A row of words over columns of numbers, fewer than there are columns: each holds for those to its right too."""
    if not above:
        return None
    row, named = table.rows[above[-1]], table.rows[names]
    words = [index for index, cell in enumerate(row) if cell is not None]
    if not all(is_word(row[index]) and not str(row[index]).endswith(":") for index in words) or words[
        -1
    ] >= trimmed_length(named):
        return None
    if _is_line_of_a_block(row) and not _told_apart(row, named):
        return None
    over_numbers = _numeric_columns(table, below) & set(words)
    return above[-1] if len(over_numbers) >= 2 and len(over_numbers) >= _LEAST_OVER_NUMBERS * len(words) else None


def _is_line_of_a_block(row: Row) -> bool:
    """ "Athlete | Jordan Reyes": a name with its value begins at the edge, a name of a group stands over numbers."""
    return row[0] is not None and len(row) > 1 and row[1] is not None


def _told_apart(groups: Row, names: Row) -> bool:
    """Whether names that stand twice have different groups above them."""
    texts = [cell_text(cell) for cell in names]
    pairs = list(zip(group_of_columns(groups, len(names)), texts, strict=True))
    return len(set(texts)) < len(texts) and len(set(pairs)) == len(pairs)


def group_of_columns(row: Row, width: int) -> list[str]:
    """The word of each column: a cell that is joined over several columns stands in the first of them."""
    said = ""
    groups = []
    for cell in (*row, *(None,) * width)[:width]:
        said = cell_text(cell).strip() or said
        groups.append(said)
    return groups


def _usual_width(table: Table, filled: Sequence[int]) -> int:
    lengths = Counter(trimmed_length(table.rows[index]) for index in filled)
    return max(lengths, key=lambda length: (lengths[length], length), default=0)


def _name_score(row: Row, width: int) -> float:
    filled = [cell for cell in row if cell is not None]
    words = sum(map(is_word, filled))
    if any(isinstance(cell, str) and cell.endswith(":") for cell in filled):
        return 0.0  # "Athlete:" beside its value stands above a table
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


def _is_second_name_row(table: Table, below: Sequence[int]) -> bool:
    """Words straight under the names, in columns that hold numbers from the next row on."""
    second = table.rows[below[0]]
    numbers = _numeric_columns(table, below[1:])
    words = {i for i, cell in enumerate(second) if is_word(cell)}
    return len(numbers) >= 2 and len(words & numbers) >= _LEAST_OVER_NUMBERS * len(numbers)


def _numeric_columns(table: Table, below: Sequence[int]) -> set[int]:
    body = [table.rows[index] for index in below[:_BODY_ROWS]]
    return {i for row in body for i, cell in enumerate(row) if type(cell) is float}


def long_columns(headers: Sequence[str]) -> dict[str, int]:
    """Which columns of a long table hold "metric", "value" and, where there is one, "unit"; {} when it is wide."""
    found: dict[str, int] = {}
    for part, names in LONG_COLUMNS.items():
        matches = [i for i, header in enumerate(headers) if normal_name(header) in names]
        if len(matches) == 1:
            found[part] = matches[0]
    return found if {"metric", "value"} <= found.keys() else {}
