"""What a table reader returns: cells in rows, sheet by sheet, with how the file was understood."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, overload

from sessions.formats.cells import Cell, cells_from_json, cells_to_json
from sessions.formats.problems import Problem

Row = tuple[Cell, ...]


class EvenRows(Sequence[Row]):
    """Rows of one width, none of them blank, kept by columns: a season has many of the ones and few of the others."""

    __hash__ = None  # type: ignore[assignment]
    __slots__ = ("columns",)

    def __init__(self, columns: Iterable[Sequence[Cell]]) -> None:
        self.columns = tuple(columns)

    def __len__(self) -> int:
        return len(self.columns[0])

    def __iter__(self) -> Iterator[Row]:
        return zip(*self.columns, strict=True)

    @overload
    def __getitem__(self, index: int) -> Row: ...
    @overload
    def __getitem__(self, index: slice) -> EvenRows: ...
    def __getitem__(self, index: int | slice) -> Row | EvenRows:
        if isinstance(index, slice):
            return EvenRows(column[index] for column in self.columns)
        return tuple([column[index] for column in self.columns])

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and len(self) == len(other) and all(map(Row.__eq__, self, other))


def columns_of(rows: Sequence[Row]) -> Sequence[Sequence[Cell]]:
    """The columns of rows of one width; none of no row."""
    return rows.columns if isinstance(rows, EvenRows) else tuple(zip(*rows, strict=True))


@dataclass(frozen=True, slots=True)
class NumberedRows:
    """Rows that hold anything, with their numbers as a spreadsheet shows them beside them."""

    numbers: Sequence[int]
    rows: Sequence[Row]

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[tuple[int, Row]]:
        return zip(self.numbers, self.rows, strict=True)

    @classmethod
    def of(cls, pairs: Sequence[tuple[int, Row]]) -> NumberedRows:
        return cls([number for number, _ in pairs], [row for _, row in pairs])


@dataclass(frozen=True, slots=True)
class Table:
    """One sheet: rows as they stand, blank ones as () or all None; `first_row` is the number of rows[0]."""

    sheet: str
    rows: Sequence[Row]
    first_row: int = 1

    def numbered(self) -> Iterator[tuple[int, Row]]:
        """(row number as a spreadsheet shows it, row) for every row that holds anything."""
        for number, row in enumerate(self.rows, self.first_row):
            if row and (row[0] is not None or row.count(None) != len(row)):
                yield number, row

    def numbered_from(self, index: int) -> NumberedRows:
        """The same from a row index on."""
        rows, first = self.rows[index:], self.first_row + index
        if isinstance(rows, EvenRows):
            return NumberedRows(range(first, first + len(rows)), rows)
        return NumberedRows.of(list(Table(self.sheet, rows, first).numbered()))

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
