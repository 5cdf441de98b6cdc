"""What a table reader returns: cells in rows, sheet by sheet, with how the file was understood."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sessions.formats.cells import Cell, cells_from_json, cells_to_json
from sessions.formats.problems import Problem

Row = tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """One sheet: rows as they stand, blank ones as () or all None; `first_row` is the number of rows[0]."""

    sheet: str
    rows: tuple[Row, ...]
    first_row: int = 1

    def numbered(self) -> Iterator[tuple[int, Row]]:
        """(row number as a spreadsheet shows it, row) for every row that holds anything."""
        for number, row in enumerate(self.rows, self.first_row):
            if row and (row[0] is not None or row.count(None) != len(row)):
                yield number, row

    def numbered_from(self, index: int) -> list[tuple[int, Row]]:
        """The same from a row index on."""
        rows, first = self.rows[index:], self.first_row + index
        if () not in rows and None not in {row[0] for row in rows}:  # no blank one, which is quickly seen
            return list(enumerate(rows, first))
        return list(Table(self.sheet, rows, first).numbered())

    def to_json(self) -> dict[str, Any]:
        return {"sheet": self.sheet, "first_row": self.first_row, "rows": [cells_to_json(row) for row in self.rows]}

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> Table:
        rows = tuple(cells_from_json(row) for row in stored["rows"])
        return cls(stored["sheet"], rows, stored["first_row"])


@dataclass(frozen=True, slots=True)
class FileFacts:
    """How a file was understood, without its cells. Text files have encoding, delimiter and decimal mark."""

    kind: str
    encoding: str = ""
    delimiter: str = ""
    decimal_mark: str = "."
    sheets: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        return {
            "kind": self.kind,
            "encoding": self.encoding,
            "delimiter": self.delimiter,
            "decimal_mark": self.decimal_mark,
            "sheets": list(self.sheets),
        }

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> FileFacts:
        return cls(**{**stored, "sheets": tuple(stored["sheets"])})


@dataclass(frozen=True, slots=True)
class TableFile:
    """A file that was read: kind "csv" or "xlsx", its tables, and the problems of reading it."""

    kind: str
    encoding: str
    delimiter: str
    decimal_mark: str
    tables: tuple[Table, ...]
    problems: tuple[Problem, ...] = ()

    @property
    def facts(self) -> FileFacts:
        sheets = tuple(table.sheet for table in self.tables)
        return FileFacts(self.kind, self.encoding, self.delimiter, self.decimal_mark, sheets)

    def to_json(self) -> dict[str, Any]:
        return {
            **self.facts.to_json(),
            "tables": [table.to_json() for table in self.tables],
            "problems": [p.to_json() for p in self.problems],
        }

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> TableFile:
        return cls(
            stored["kind"],
            stored["encoding"],
            stored["delimiter"],
            stored["decimal_mark"],
            tuple(Table.from_json(table) for table in stored["tables"]),
            tuple(Problem.from_json(p) for p in stored["problems"]),
        )
