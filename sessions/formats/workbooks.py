"""XLSX workbooks → cells, sheet by sheet.

The library raises whatever its parts raise for a damaged file; that is caught here as a whole and becomes one
sentence.
"""

from __future__ import annotations

import datetime as dt
import math
import warnings
from collections.abc import Callable
from typing import Any, Final

from sessions.formats import limits
from sessions.formats.archives import WorkbookArchive, checked_archive, has_macros
from sessions.formats.cells import Cell, CellReader
from sessions.formats.delimiters import DECIMAL_MARKS, find_decimal_mark
from sessions.formats.grid import Row, Table, TableFile
from sessions.formats.problems import Problem, ProblemList, UnreadableFile, problem, quote, times, unreadable
from sessions.formats.sheet_xml import Context, RawValue, SheetCells
from sessions.formats.workbook_parts import SheetPart, open_parts

MOST_NAMED: Final = 3
"""As many hidden sheets are named; the rest are counted."""


def read_workbook(data: bytes, *, decimal_mark: str | None = None) -> TableFile:
    """Every visible sheet that holds anything. `decimal_mark` is for numbers that are stored as text.

    Raises UnreadableFile when the workbook cannot be opened, is unsafe, or passes a limit.
    """
    archive = checked_archive(data)
    problems: list[Problem] = [problem("macros")] if has_macros(archive) else []
    tables: list[Table] = []
    marks: set[str] = set()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of extensions that the library does not know: none changes a value
            sheets, context = open_parts(data, archive)
        for sheet in sheets:
            table, found, mark = _read_sheet(sheet, archive, context, decimal_mark)
            problems += found
            if table:
                tables.append(table)
                marks.add(mark)
    except (UnreadableFile, MemoryError):
        raise
    except Exception as error:  # KeyError, ValueError, zlib.error, ExpatError … alike
        raise unreadable("damaged_workbook") from error
    if not tables:
        raise _nothing_to_read(sheets)
    mark = decimal_mark or ("," if marks == {","} else ".")
    return TableFile("xlsx", "", "", mark, tuple(tables), tuple(problems))


def _nothing_to_read(sheets: list[SheetPart]) -> UnreadableFile:
    hidden = [quote(sheet.title) for sheet in sheets if not sheet.visible]
    if not hidden:
        return unreadable("empty")
    more = [f"{len(hidden) - MOST_NAMED} more"] if len(hidden) > MOST_NAMED else []
    return unreadable("only_hidden_sheets", sheets=", ".join(hidden[:MOST_NAMED] + more))


def _read_sheet(
    sheet: SheetPart, archive: WorkbookArchive, context: Context, decimal_mark: str | None
) -> tuple[Table | None, tuple[Problem, ...], str]:
    problems = ProblemList(sheet.title)
    mark = decimal_mark or "."
    if not sheet.visible:
        problems.add("hidden_sheet")
        return None, problems.result(), mark
    with archive.open(sheet.path) as source:
        raw = SheetCells(source, sheet.title, context)
    if not raw.rows:
        problems.add("empty_sheet")
        return None, problems.result(), mark
    if not decimal_mark:
        texts = (cell for row in raw.rows[:2_000] for cell in row if type(cell) is str)
        found = find_decimal_mark(texts, "")
        mark = found.mark
        if found.doubt:
            problems.add(found.doubt, example=quote(found.example), mark=f"the {DECIMAL_MARKS[mark]}")
    table, numbers_as_text = _converted(sheet.title, raw.rows, mark)
    if numbers_as_text:
        problems.add("number_as_text", times=times(numbers_as_text))
    for number, letters in raw.no_result:
        problems.add("formula_without_value", row=number, column=letters)
    return table, problems.result(), mark


def _converted(title: str, raw: list[tuple[RawValue, ...]], mark: str) -> tuple[Table, int]:
    """The sheet's cells, all rows of one width, and how many numbers were stored as text."""
    converter = _Converter(CellReader(mark))
    width = max(len(row) for row in raw)
    rows = tuple(converter.row(row) + (None,) * (width - len(row)) if row else () for row in raw)
    return Table(title, rows), converter.numbers_as_text


class _Converter:
    """Values as the sheet stores them → cells; counts the numbers that were stored as text."""

    def __init__(self, reader: CellReader) -> None:
        self.reader = reader
        self.numbers_as_text = 0
        self.by_type: dict[type, Callable[[Any], Cell]] = {
            type(None): lambda value: None,
            bool: lambda value: value,
            float: self._number,
            str: self._text,
            dt.datetime: _date,
            dt.date: lambda value: value,
        }

    def row(self, row: tuple[Any, ...]) -> Row:
        kinds = self.by_type
        return tuple([kinds.get(type(value), str)(value) for value in row])

    def _number(self, value: float) -> Cell:
        if not math.isfinite(value) or abs(value) >= limits.LARGEST_NUMBER:
            return str(value)  # stays text, and is shown as a problem at its place
        return value

    def _text(self, value: str) -> Cell:
        cell = self.reader[value]
        if type(cell) is float:
            self.numbers_as_text += 1
        return cell


def _date(value: dt.datetime) -> Cell:
    """A day without a time is a date: spreadsheets store both alike."""
    return value.date() if value.time() == dt.time(0) else value.replace(tzinfo=None)
