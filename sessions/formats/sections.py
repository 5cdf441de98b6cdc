"""One sheet that holds several tables below each other, each with lines above it that hold for it alone."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from sessions.formats.grid import EvenRows, Row, Table
from sessions.formats.headers import find_heading, trimmed_length
from sessions.formats.lines_above import lines_above
from sessions.formats.turning import find_turned, is_header_again

_MOST_FILLED: Final = 4
"""A line above a table names one or two things; a throw has more cells than that."""


def sections(table: Table) -> tuple[Table, ...]:
    """The tables of a sheet: a new one begins with the lines above a row that names the columns once more.

    Names that are said again without such lines, as on a new page, divide nothing.
    """
    starts = [start for start in _starts(table) if start]
    edges = [0, *starts, len(table.rows)]
    return tuple(Table(table.sheet, table.rows[start:end], table.first_row + start) for start, end in pairwise(edges))


def _starts(table: Table) -> list[int]:
    """Row indices where another section begins."""
    headers = _header_rows(table)
    found = []
    for before, header in pairwise(headers):
        start = header
        while start > before + 1 and _may_stand_above(table.rows[start - 1]):
            start -= 1
        start = _after_gap(table.rows, start, header)
        if lines_above((index, table.rows[index]) for index in range(start, header)):
            found.append(start)
    return found


def _header_rows(table: Table) -> list[int]:
    """Where the names of the columns stand, the first and each time again."""
    turned = find_turned(table)
    first = turned.header if turned else find_heading(table).names
    if first is None:
        return []
    if turned:
        again = [i for i in range(first + 1, len(table.rows)) if is_header_again(table, first, i)]
    else:
        names = table.rows[first]
        width = trimmed_length(names)
        alike = _with_first_cell_of(table.rows, first)
        again = [i for i in alike if i > first and table.rows[i][:width] == names[:width]]
    return [first, *again]


def _with_first_cell_of(rows: Sequence[Row], index: int) -> list[int]:
    """The rows that begin as this one does."""
    leading = rows[index][:1]
    if isinstance(rows, EvenRows):
        (cell,) = leading
        return [i for i, other in enumerate(rows.columns[0]) if other == cell]
    return [i for i, row in enumerate(rows) if row[:1] == leading]


def _may_stand_above(row: Row) -> bool:
    """A blank row, or a few cells that begin with a word."""
    filled = [cell for cell in row if cell is not None]
    return not filled or (len(filled) <= _MOST_FILLED and isinstance(filled[0], str))


def _after_gap(rows: Sequence[Row], start: int, header: int) -> int:
    """The first row after a blank one: what stands before that still belongs to the table above."""
    blank = next((i for i in range(start, header) if all(cell is None for cell in rows[i])), None)
    return start if blank is None or start == 0 else blank
