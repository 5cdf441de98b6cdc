"""What a sheet is understood as: columns with names, units and values, and the rows that they stand beside."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from sessions.formats.cells import Cell, column_from_json, column_to_json
from sessions.formats.problems import Problem


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
            "values": column_to_json(self.values),
            "title": self.title,
            "missing": [list(pair) for pair in self.missing],
        }

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> Column:
        missing = tuple((row, word) for row, word in stored["missing"])
        return cls(**{**stored, "values": column_from_json(stored["values"]), "missing": missing})


@dataclass(frozen=True, slots=True)
class Layout:
    """A sheet understood as a table. `header_row` is 0 when no row names the columns; `unit_row` may be None.

    shape "wide": one row a throw, one column a metric. "long": one row a value, with a column for the metric's
    name and one for the value (`headers.long_columns` finds them). `row_numbers` are those of the file.

    `turned`: each throw stood in a column of the file. Then `row_numbers` count the file's columns from 1, and a
    column's `letter` is the number of the file's row. What stands above a table and holds for all of it is a column
    too; its `letter` names its cell ("B2").
    """

    sheet: str
    shape: str
    header_row: int
    unit_row: int | None
    columns: tuple[Column, ...]
    row_numbers: tuple[int, ...]
    problems: tuple[Problem, ...]
    fingerprint: str
    turned: bool = False

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
        return not any(p.code in ("no_header", "no_rows") for p in self.problems)

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
            "turned": self.turned,
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
