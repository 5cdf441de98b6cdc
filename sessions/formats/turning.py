"""A table with one row a metric and one column a throw, and how it is turned."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, islice, pairwise
from typing import Final

from sessions.formats.cells import Cell, cell_text, word_set
from sessions.formats.grid import Row, Table
from sessions.formats.headers import (
    GROUP_MARK,
    LONG_COLUMNS,
    LOOK_ROWS,
    is_units_row,
    is_word,
    normal_name,
    trimmed_length,
)
from sessions.formats.leftovers import SUMMARY_WORDS, WEAK_SUMMARY_WORDS
from sessions.formats.problems import ProblemList, quote

_BODY_ROWS: Final = 200
_THROW = re.compile(r"([^\W\d]{0,14})[\s_#.:-]*(\d{1,4})")
# What a throw is called when there is only one, so that no row of it says the word twice.
_THROW_WORDS: Final = word_set("throw|pitch|trial|rep|repetition|wurf|versuch|lanzamiento|tiro|lancer|essai")
_LEAST_THROWS: Final = 0.6
_LEAST_NUMBERS: Final = 0.5
_LEAST_NAMES: Final = 0.9


@dataclass(frozen=True, slots=True)
class Turned:
    """Where such a table stands: row indices of Table.rows, column indices.

    `names` are the columns whose words name a metric, `units` the one with its unit.
    """

    header: int
    body: tuple[int, ...]
    names: tuple[int, ...]
    units: int | None
    throws: tuple[int, ...]


def find_turned(table: Table) -> Turned | None:
    """The table that stands with its throws in columns; None when the sheet holds none."""
    filled = [number - table.first_row for number, _ in islice(table.numbered(), LOOK_ROWS)]
    for at, index in enumerate(filled):
        throws = throw_columns(table.rows[index])
        if throws and not _named_above(table, filled[:at], throws):
            below = [number - table.first_row for number, _ in islice(table.numbered(), at + 1, None)]
            again = next((i for i, other in enumerate(below) if is_header_again(table, index, other)), len(below))
            found = _with_body(table, index, below[:again], throws)
            if found:
                return found
    return None


def throw_columns(row: Row) -> tuple[int, ...]:
    """The columns of a row of throw names: one word, if any, and distinct numbers."""
    by_word: defaultdict[str, dict[int, int]] = defaultdict(dict)
    for index, cell in enumerate(row[1:], 1):
        match = _THROW.fullmatch(cell_text(cell).strip()) if type(cell) in (str, float) else None
        if match:
            by_word[match[1].casefold()][index] = int(match[2])
    if not by_word:
        return ()
    word, columns = max(by_word.items(), key=lambda pair: len(pair[1]))
    numbers = list(columns.values())
    enough = len(columns) >= 2 or word in _THROW_WORDS
    # Numbers alone could be a throw's values: names of throws count up.
    counts_up = bool(word) or all(later - earlier == 1 for earlier, later in pairwise(numbers))
    first = min(columns)
    beside = sum(1 for cell in row[first:] if cell is not None and _summary_word(cell) is None)
    if enough and counts_up and len(set(numbers)) == len(numbers) and len(columns) >= _LEAST_THROWS * beside:
        return tuple(columns)
    return ()


def is_header_again(table: Table, header: int, index: int) -> bool:
    """Whether a row names throws as the header does: another table of the kind begins below the first."""
    row, first = table.rows[index], table.rows[header]
    if row[:1] != first[:1]:
        return False
    throws = throw_columns(row)
    return bool(throws) and row[: throws[0]] == first[: throws[0]]


def _named_above(table: Table, above: Sequence[int], throws: Sequence[int]) -> bool:
    """Whether a row above names those columns: then the table stands upright and this is a throw of it."""
    return any(
        sum(is_word(row[i]) for i in throws if i < len(row)) >= _LEAST_THROWS * len(throws)
        for row in (table.rows[index] for index in above)
    )


def _with_body(table: Table, header: int, below: Sequence[int], throws: tuple[int, ...]) -> Turned | None:
    labels = range(throws[0])
    rows = [
        row for row in (table.rows[i] for i in below[:_BODY_ROWS]) if any(_cell(row, c) is not None for c in throws)
    ]
    columns = {c: [row[c] if c < len(row) else None for row in rows] for c in labels}
    titles = table.rows[header]
    units = next((c for c in reversed(labels) if _names_unit(titles, c) or is_units_row(tuple(columns[c]))), None)
    names = tuple(c for c in labels if c != units and _are_names(columns[c]))
    if not names or not _holds_numbers(rows, throws) or not _are_distinct([columns[c] for c in names]):
        return None
    return Turned(header, tuple(below), names, units, throws)


def _names_unit(titles: Row, column: int) -> bool:
    return column < len(titles) and normal_name(cell_text(titles[column])) in LONG_COLUMNS["unit"]


def _are_names(cells: Iterable[Cell]) -> bool:
    filled = [cell for cell in cells if cell is not None]
    return bool(filled) and sum(map(is_word, filled)) >= _LEAST_NAMES * len(filled)


def _are_distinct(columns: Sequence[Sequence[Cell]]) -> bool:
    """Nearly every row has a name of its own, as metrics have; athletes' names would come again."""
    named = [parts for parts in _names_of_rows(columns) if parts]
    return len(named) >= 2 and len(set(named)) >= _LEAST_NAMES * len(named)


def _holds_numbers(rows: Iterable[Row], throws: Sequence[int]) -> bool:
    filled = [row[i] for row in rows for i in throws if i < len(row) and row[i] is not None]
    numbers = sum(type(cell) is float or (isinstance(cell, str) and cell[:1].isdigit()) for cell in filled)
    return numbers > 0 and numbers >= _LEAST_NUMBERS * len(filled)


def _names_of_rows(columns: Sequence[Sequence[Cell]]) -> list[str]:
    """One name a row. A cell that is joined over several rows stands in the first: it is said again for the others."""
    own = [[cell_text(cell).strip() for cell in column] for column in columns]
    *groups, last = own
    spread = [list(accumulate(column, _or_before)) for column in groups]
    spread_rows = zip(*spread, strict=True) if spread else [()] * len(last)
    return [
        GROUP_MARK.join(filter(None, (*before, name) if name else cells))
        for before, name, cells in zip(spread_rows, last, zip(*own, strict=True), strict=True)
    ]


def _or_before(before: str, cell: str) -> str:
    return cell or before


def _summary_word(cell: Cell) -> str | None:
    if not isinstance(cell, str):
        return None
    word = normal_name(cell).rstrip(":")
    return cell if word in SUMMARY_WORDS or word in WEAK_SUMMARY_WORDS else None


@dataclass(frozen=True, slots=True)
class TurnedRows:
    """The table with a row a throw: `titles` name its columns, `places` are the file's row numbers of these.

    `rows` are (the file's column counted from 1, cells).
    """

    titles: list[str]
    units: list[str]
    places: list[str]
    rows: list[tuple[int, Row]]


def turn(table: Table, found: Turned, problems: ProblemList) -> TurnedRows:
    """The turned table; what sums up throws, stands beside them or holds no value becomes a problem."""
    _note_beside(table, found, problems)
    lines = [table.rows[index] for index in found.body]
    names = _names_of_rows([[_cell(row, c) for row in lines] for c in found.names])
    kept = []
    for index, row, name in zip(found.body, lines, names, strict=True):
        if any(_cell(row, c) is not None for c in found.throws):
            kept.append((index, row, name))
        else:
            said = next((cell for cell in row if cell is not None), "")
            problems.add("line_without_values", column=str(table.first_row + index), text=quote(cell_text(said)))
    header = table.rows[found.header]
    return TurnedRows(
        titles=["Throw", *(name for _, _, name in kept)],
        units=["", *(cell_text(_cell(row, found.units)) if found.units is not None else "" for _, row, _ in kept)],
        places=[str(table.first_row + index) for index in (found.header, *(index for index, _, _ in kept))],
        rows=[(c + 1, (header[c], *(_cell(row, c) for _, row, _ in kept))) for c in found.throws],
    )


def _note_beside(table: Table, found: Turned, problems: ProblemList) -> None:
    header = table.rows[found.header]
    known = {*found.names, *found.throws} | ({found.units} if found.units is not None else set())
    width = max(trimmed_length(table.rows[index]) for index in (found.header, *found.body))
    for column in islice(range(width), 1, None):
        title = _cell(header, column)
        if column in known or (title is None and column < found.throws[0]):
            continue
        if title is not None:
            code = "summary_column" if _summary_word(title) else "column_beside_throws"
            problems.add(code, row=column + 1, text=quote(cell_text(title)))


def _cell(row: Row, column: int | None) -> Cell:
    return row[column] if column is not None and column < len(row) else None
