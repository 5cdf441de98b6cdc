"""Rows of a table that are no throws: sums, names said again, remarks, and rows of another length."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from sessions.formats.cells import Cell, word_set
from sessions.formats.delimiters import DELIMITERS
from sessions.formats.grid import EvenRows, NumberedRows, Row, columns_of
from sessions.formats.headers import normal_name, trimmed_length
from sessions.formats.problems import ProblemList, quote

SUMMARY_WORDS: Final = word_set(
    """mean|average|avg|sd|std|stdev|std dev|std. dev.|st dev|standard deviation|standard dev|cv|cv%|cv (%)|cv %|
    sem|median|variance|mean ± sd|group mean|session mean|session average|mittelwert"""
)
"""Words that make a row a summary wherever it stands."""

WEAK_SUMMARY_WORDS: Final = word_set("min|max|minimum|maximum|n|sum|total|range|count|best|worst")
"""Words that do so only beside another summary row: an athlete may be called Max."""

_LEADING_COLUMNS: Final = 4
"""A summary says what it is in one of the first columns."""


def body_rows(
    numbered: NumberedRows, names: Row, width: int, skipped: Iterable[int], problems: ProblemList
) -> NumberedRows:
    """The rows that hold throws, each cut or filled to `width` cells; what is left out becomes a problem.

    `numbered` are the rows below the heading; `skipped` are columns whose words mean nothing here (the metric's name
    in a long table).
    """
    numbered = NumberedRows(numbered.numbers, _by_columns(numbered.rows))
    summaries = _summary_rows(numbered, [i for i in range(min(width, _LEADING_COLUMNS)) if i not in set(skipped)])
    if not summaries and _are_plain(numbered.rows, names, width):
        return numbered
    first_name = names[0] if names else None
    kept: list[tuple[int, Row]] = []
    for number, row in numbered:
        if number in summaries:
            problems.add("summary_row", row=number, text=quote(summaries[number]))
        elif len(row) == width and (row[0] != first_name or row != names) and width - row.count(None) > 1:
            kept.append((number, row))
        else:
            odd = _odd_row(number, row, names, width, problems)
            if odd is not None:
                kept.append((number, odd))
    return NumberedRows.of(kept)


def _by_columns(rows: Sequence[Row]) -> Sequence[Row]:
    """The rows by columns where all are of one width: a season has few of those, and looks at them many times."""
    is_even = isinstance(rows, EvenRows) or len(set(map(len, rows))) == 1
    return EvenRows(columns_of(rows)) if is_even else rows


def _are_plain(rows: Sequence[Row], names: Row, width: int) -> bool:
    """Whether every row is a throw as it stands."""
    if not isinstance(rows, EvenRows) or len(rows.columns) != width or _hold(rows, names):
        return False
    return sum(None not in column for column in rows.columns) >= min(2, width)


def _hold(rows: EvenRows, names: Row) -> bool:
    """Whether one of the rows says the names again."""
    return bool(names) and names[0] in rows.columns[0] and names in rows


def _odd_row(number: int, row: Row, names: Row, width: int, problems: ProblemList) -> Row | None:
    length = trimmed_length(row)
    filled = [cell for cell in row if cell is not None]
    if row[:length] == names[: trimmed_length(names)]:
        problems.add("repeated_header", row=number)
        return None
    if len(filled) == 1 and width >= 3 and isinstance(filled[0], str):
        code = "other_delimiter" if _divided_otherwise(filled[0], width) else "comment_row"
        problems.add(code, row=number, text=quote(filled[0]))
        return None
    if length > width:
        problems.add("row_too_long", row=number, found=length, expected=width)
        return None
    if len(row) < width:
        problems.add("row_too_short", row=number, found=len(row), expected=width)
    return (*row[:width], *(None,) * (width - len(row)))


def _divided_otherwise(text: str, width: int) -> bool:
    """Whether one of the other delimiters would cut the text into just as many cells as the table has columns."""
    return any(text.count(delimiter) == width - 1 for delimiter in DELIMITERS)


def _summary_rows(numbered: NumberedRows, columns: Sequence[int]) -> dict[int, str]:
    """Row number → the word that makes it a summary."""
    strong: dict[int, str] = {}
    weak: dict[int, str] = {}
    order = numbered.numbers
    for column in columns:
        cells = _cells_at(column, numbered.rows)
        words = {cell: normal_name(cell) for cell in set(cells) if isinstance(cell, str) and len(cell) <= 40}
        for target, vocabulary in ((strong, SUMMARY_WORDS), (weak, WEAK_SUMMARY_WORDS)):
            _collect(target, cells, order, {cell for cell, word in words.items() if word.rstrip(":") in vocabulary})
    if strong and weak:
        _join_neighbours(strong, weak, order)
    return strong


def _cells_at(column: int, rows: Sequence[Row]) -> Sequence[Cell]:
    if isinstance(rows, EvenRows):
        return rows.columns[column] if column < len(rows.columns) else (None,) * len(rows)
    return [row[column] if column < len(row) else None for row in rows]


def _collect(target: dict[int, str], cells: Sequence[Cell], order: Sequence[int], wanted: set[str]) -> None:
    if wanted:
        target.update({n: str(cell) for n, cell in zip(order, cells, strict=True) if cell in wanted})


def _join_neighbours(strong: dict[int, str], weak: dict[int, str], order: Sequence[int]) -> None:
    """Weak summary rows that touch a summary row, directly or through one another, become summary rows."""
    for sequence in (order, order[::-1]):
        previous = None
        for number in sequence:
            if number in weak and number not in strong and previous in strong:
                strong[number] = weak[number]
            previous = number
