"""Table → Layout: which row names the columns, what their units are, one row a throw or one row a value."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from sessions.formats.cells import (
    Cell,
    cell_text,
    cells_from_json,
    cells_to_json,
    column_letter,
    is_missing_word,
    unusable_number,
)
from sessions.formats.grid import Row, Table
from sessions.formats.headers import (
    Heading,
    find_heading,
    long_columns,
    normal_name,
    throws_stand_in_columns,
    trimmed_length,
)
from sessions.formats.leftovers import body_rows
from sessions.formats.problems import Problem, ProblemList, quote
from sessions.formats.unit_words import is_placeholder, is_unit, split_unit, without_brackets


@dataclass(frozen=True, slots=True)
class Column:
    """One column below its name. `values` stand beside Layout.row_numbers.

    `header` is the name without its unit, `title` the header as it stands in the file. `missing` keeps the word
    that stood where a value is None: (row number, word).
    """

    index: int
    letter: str
    header: str
    unit_text: str
    values: tuple[Cell, ...]
    title: str = ""
    missing: tuple[tuple[int, str], ...] = ()

    def to_json(self) -> dict[str, Any]:
        return {
            "index": self.index,
            "letter": self.letter,
            "header": self.header,
            "unit_text": self.unit_text,
            "values": cells_to_json(self.values),
            "title": self.title,
            "missing": [list(pair) for pair in self.missing],
        }

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> Column:
        missing = tuple((row, word) for row, word in stored["missing"])
        return cls(**{**stored, "values": cells_from_json(stored["values"]), "missing": missing})


@dataclass(frozen=True, slots=True)
class Layout:
    """A sheet understood as a table. `header_row` is 0 when no row names the columns; `unit_row` may be None.

    shape "wide": one row a throw, one column a metric. "long": one row a value, with a column for the metric's
    name and one for the value (`headers.long_columns` finds them). `row_numbers` are those of the file.
    """

    sheet: str
    shape: str
    header_row: int
    unit_row: int | None
    columns: tuple[Column, ...]
    row_numbers: tuple[int, ...]
    problems: tuple[Problem, ...]
    fingerprint: str

    @property
    def headers(self) -> tuple[str, ...]:
        return tuple(column.header for column in self.columns)

    def head(self, rows: int) -> Layout:
        """The same layout with its first rows only."""
        if len(self.row_numbers) <= rows:
            return self
        columns = tuple(replace(column, values=column.values[:rows]) for column in self.columns)
        return replace(self, columns=columns, row_numbers=self.row_numbers[:rows])

    @property
    def readable(self) -> bool:
        """Whether throws can be made of it: columns with names, rows below them, each row one throw or value."""
        blocking = {"no_header", "no_rows", "two_header_rows", "throws_in_columns"}
        return not any(p.code in blocking for p in self.problems)

    def to_json(self) -> dict[str, Any]:
        return {
            "sheet": self.sheet,
            "shape": self.shape,
            "header_row": self.header_row,
            "unit_row": self.unit_row,
            "columns": [column.to_json() for column in self.columns],
            "row_numbers": list(self.row_numbers),
            "problems": [p.to_json() for p in self.problems],
            "fingerprint": self.fingerprint,
        }

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> Layout:
        return cls(
            **{
                **stored,
                "columns": tuple(Column.from_json(column) for column in stored["columns"]),
                "row_numbers": tuple(stored["row_numbers"]),
                "problems": tuple(Problem.from_json(p) for p in stored["problems"]),
            }
        )


def understand_layout(table: Table) -> Layout:
    """The layout of one sheet. Never raises for what a file holds: what is odd stands in `problems`."""
    problems = ProblemList(table.sheet)
    heading = find_heading(table)
    names: Row = () if heading.names is None else table.rows[heading.names]
    width = _table_width(table, heading, names)
    titles = [cell_text(cell) for cell in (*names, *(None,) * width)[:width]]
    split = [split_unit(title) for title in titles]
    units = _units(table, heading, split)
    headers = [name for name, _ in split]
    long = long_columns(headers)
    skipped = [index for part, index in long.items() if part != "unit"]
    body = body_rows(_below(table, heading), names, width, skipped, problems)
    numbers = tuple(number for number, _ in body)
    cells = zip(*(row for _, row in body), strict=True) if body else [()] * width
    columns = tuple(
        _column(index, titles[index], headers[index], units[index], values, numbers, problems)
        for index, values in enumerate(cells)
    )
    used = tuple(column for column in columns if column.title or any(v is not None for v in column.values))
    _check_heading(table, heading, used, numbers, bool(long), problems)
    shape = "long" if long else "wide"
    return Layout(
        table.sheet,
        shape,
        0 if heading.names is None else table.first_row + heading.names,
        None if heading.units is None else table.first_row + heading.units,
        used,
        numbers,
        problems.result(),
        fingerprint(shape, [(column.header, column.unit_text) for column in used]),
    )


def fingerprint(shape: str, columns: Sequence[tuple[str, str]]) -> str:
    """A hash that is the same for every export with these names and units in this order, whatever its rows."""
    named = [[normal_name(header), normal_name(unit)] for header, unit in columns]
    return hashlib.sha256(json.dumps([shape, named], ensure_ascii=True).encode()).hexdigest()


def _table_width(table: Table, heading: Heading, names: Row) -> int:
    """The names' own width; names may be blank at the end when most rows have values there."""
    if heading.names is None:
        return max((trimmed_length(row) for _, row in table.numbered()), default=0)
    width = trimmed_length(names)
    lengths = [trimmed_length(row) for _, row in _below(table, heading)]
    longer = [length for length in lengths if width < length <= len(names)]
    return max(longer) if len(longer) > 0.5 * len(lengths) else width


def _below(table: Table, heading: Heading) -> list[tuple[int, Row]]:
    last = max((i for i in (heading.names, heading.units, heading.second_names) if i is not None), default=-1)
    return [(number, row) for number, row in table.numbered() if number - table.first_row > last]


def _units(table: Table, heading: Heading, split: Sequence[tuple[str, str]]) -> list[str]:
    """The unit of each column: from the row of units where it names one, else from the header."""
    row: Row = () if heading.units is None else table.rows[heading.units]
    below = [without_brackets(cell_text(row[i])) if i < len(row) else "" for i in range(len(split))]
    return [
        written if written and (is_unit(written) or not is_placeholder(written)) else unit
        for written, (_, unit) in zip(below, split, strict=True)
    ]


def _column(
    index: int,
    title: str,
    header: str,
    unit: str,
    values: tuple[Cell, ...],
    numbers: tuple[int, ...],
    problems: ProblemList,
) -> Column:
    """A column with its missing values as None, and numbers that nothing can measure as problems."""
    letter = column_letter(index)
    texts = {cell for cell in set(values) if isinstance(cell, str)}
    words = {text for text in texts if is_missing_word(text)}
    beyond: dict[str, str] = {}
    if any(type(cell) is float for cell in values):
        beyond = {text: code for text in texts - words if (code := unusable_number(text))}
    if not words and not beyond:
        return Column(index, letter, header, unit, values, title)
    missing: list[tuple[int, str]] = []
    for number, cell in zip(numbers, values, strict=True):
        if cell in words:
            missing.append((number, str(cell)))
        elif cell in beyond:
            problems.add(beyond[str(cell)], row=number, column=letter, text=quote(cell))
    if missing:
        said = ", ".join(quote(word) for word in sorted(words)[:4])
        problems.add("missing_words", column=letter, count=len(missing), words=said)
    kept = tuple([None if cell in words or cell in beyond else cell for cell in values])
    return Column(index, letter, header, unit, kept, title, tuple(missing))


def _check_heading(
    table: Table,
    heading: Heading,
    columns: Sequence[Column],
    numbers: Sequence[int],
    is_long: bool,
    problems: ProblemList,
) -> None:
    if heading.names is None:
        problems.add("no_header")
        return
    if not numbers:
        problems.add("no_rows", row=table.first_row + heading.names)
    if heading.second_names is not None:
        problems.add("two_header_rows", row=table.first_row + heading.second_names)
    if columns and not is_long and throws_stand_in_columns([c.header for c in columns], columns[0].values):
        problems.add("throws_in_columns", row=table.first_row + heading.names)
    seen: dict[tuple[str, str], str] = {}
    for column in columns:
        if not column.title:
            problems.add("blank_header", column=column.letter)
            continue
        key = (normal_name(column.header), normal_name(column.unit_text))
        if key in seen:
            problems.add("duplicate_header", column=column.letter, other=seen[key], header=quote(column.header))
        seen.setdefault(key, column.letter)
