"""XLSX workbooks → cells, sheet by sheet.

The library streams the sheets and raises whatever its parts raise for a damaged file; that is caught here as a
whole and becomes one sentence. What the library does not say is added: formulas without a stored result.
"""

from __future__ import annotations

import datetime as dt
import math
import re
import warnings
import zipfile
from collections.abc import Callable, Iterator
from typing import Any, Final

from sessions.formats import limits
from sessions.formats.archives import checked_archive, has_macros
from sessions.formats.cells import Cell, CellReader
from sessions.formats.delimiters import DECIMAL_MARKS, find_decimal_mark
from sessions.formats.grid import Row, Table, TableFile
from sessions.formats.problems import Problem, ProblemList, UnreadableFile, problem, quote, unreadable
from sessions.formats.text_tables import check_size

_PADDED_CELLS: Final = 20_000_000
"""Cells that the library may make up between those that a sheet holds; a sheet of stray cells reaches it soon."""

_CHUNK_BYTES: Final = 1 << 20
_TAIL_BYTES: Final = 1 << 22


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
            for sheet in _sheets(data):
                table, found, mark = _read_sheet(sheet, archive, decimal_mark)
                problems += found
                if table:
                    tables.append(table)
                    marks.add(mark)
    except (UnreadableFile, MemoryError):
        raise
    except Exception as error:  # the library raises KeyError, ValueError, zlib.error, ParseError … alike
        raise unreadable("damaged_workbook") from error
    if not tables:
        raise unreadable("empty")
    mark = decimal_mark or ("," if marks == {","} else ".")
    return TableFile("xlsx", "", "", mark, tuple(tables), tuple(problems))


def _sheets(data: bytes) -> list[Any]:
    """The workbook's sheets of cells. The import stands here since it is slow and text files need none of it."""
    import io

    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    sheets = [sheet for sheet in book.worksheets if hasattr(sheet, "reset_dimensions")]
    if len(sheets) > limits.SHEETS:
        raise unreadable("too_many_sheets", found=len(sheets), most=limits.SHEETS)
    return sheets


def _read_sheet(
    sheet: Any, archive: zipfile.ZipFile, decimal_mark: str | None
) -> tuple[Table | None, tuple[Problem, ...], str]:
    problems = ProblemList(sheet.title)
    mark = decimal_mark or "."
    if sheet.sheet_state != "visible":
        problems.add("hidden_sheet")
        return None, problems.result(), mark
    raw = _raw_rows(sheet)
    if not raw:
        problems.add("empty_sheet")
        return None, problems.result(), mark
    texts = [cell for row in raw[:2_000] for cell in row if type(cell) is str]
    found = find_decimal_mark(texts, "")
    mark = decimal_mark or found.mark
    if found.doubt and not decimal_mark:
        problems.add(found.doubt, example=quote(found.example), mark=f"the {DECIMAL_MARKS[mark]}")
    converter = _Converter(CellReader(mark))
    width = max(len(row) for row in raw)
    rows = tuple(converter.row(row) + (None,) * (width - len(row)) if row else () for row in raw)
    if converter.numbers_as_text:
        problems.add("number_as_text", count=converter.numbers_as_text)
    for reference in _formulas_without_value(archive, sheet):
        letters, number = _split_reference(reference)
        problems.add("formula_without_value", row=number, column=letters)
    return Table(sheet.title, rows), problems.result(), mark


def _raw_rows(sheet: Any) -> list[tuple[Any, ...]]:
    """The rows as the library gives them, without what is blank at the end of each and of the sheet.

    What the sheet declares as its dimension is not believed: it may name cells that are not there.
    """
    sheet.reset_dimensions()
    rows: list[tuple[Any, ...]] = []
    filled = cells = padded = last = 0
    for row in sheet.iter_rows(values_only=True):
        padded += len(row)
        end = len(row)
        while end and row[end - 1] is None:
            end -= 1
        rows.append(tuple(row[:end]) if end else ())
        if end:
            filled, cells, last = filled + 1, cells + end, len(rows)
        check_size(rows, filled, cells, sheet.title)
        if padded > _PADDED_CELLS:
            raise unreadable("too_many_cells", sheet=sheet.title, most=f"{limits.CELLS:,}")
    return rows[:last]


class _Converter:
    """Values of the library → cells; counts the numbers that were stored as text."""

    def __init__(self, reader: CellReader) -> None:
        self.reader = reader
        self.numbers_as_text = 0
        self.by_type: dict[type, Callable[[Any], Cell]] = {
            type(None): lambda value: None,
            bool: lambda value: value,
            int: self._number,
            float: self._number,
            str: self._text,
            dt.datetime: _date,
            dt.date: lambda value: value,
        }

    def row(self, row: tuple[Any, ...]) -> Row:
        kinds = self.by_type
        return tuple([kinds.get(type(value), str)(value) for value in row])

    def _number(self, value: float) -> Cell:
        if isinstance(value, int) and abs(value) >= limits.LARGEST_NUMBER:
            return str(value)[:40]
        if not math.isfinite(value) or abs(value) >= limits.LARGEST_NUMBER:
            return str(value)  # stays text, and is shown as a problem at its place
        return float(value)

    def _text(self, value: str) -> Cell:
        if len(value) > limits.CELL_CHARACTERS:
            raise unreadable("cell_too_long", most=f"{limits.CELL_CHARACTERS:,}")
        cell = self.reader[value]
        if type(cell) is float:
            self.numbers_as_text += 1
        return cell


def _date(value: dt.datetime) -> Cell:
    """A day without a time is a date: spreadsheets store both alike."""
    return value.date() if value.time() == dt.time(0) else value.replace(tzinfo=None)


_FORMULA_CELL = re.compile(
    rb"<(?:\w+:)?c\b([^>]*)>\s*<(?:\w+:)?f\b(?:[^>]*/>|[^>]*>[^<]*</(?:\w+:)?f>)\s*"
    rb"(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v>\s*</(?:\w+:)?v>)?\s*</(?:\w+:)?c>"
)
_REFERENCE = re.compile(rb"""\br=["']([A-Z]{1,3}\d{1,7})["']""")
_TEXT_RESULT = re.compile(rb"""\bt=["']str["']""")


def _formulas_without_value(archive: zipfile.ZipFile, sheet: Any) -> Iterator[str]:
    """References ("D3") of the cells whose formula has no stored result; an empty text is a result."""
    with archive.open(sheet._worksheet_path) as source:
        tail = b""
        while chunk := source.read(_CHUNK_BYTES):
            piece = tail + chunk
            cut = piece.rfind(b"c>") + 2
            if cut > 1:
                for match in _FORMULA_CELL.finditer(piece, 0, cut):
                    reference = _REFERENCE.search(match.group(1))
                    if reference and not _TEXT_RESULT.search(match.group(1)):
                        yield reference.group(1).decode()
                piece = piece[cut:]
            tail = piece[-_TAIL_BYTES:]


def _split_reference(reference: str) -> tuple[str, int]:
    letters = reference.rstrip("0123456789")
    return letters, int(reference[len(letters) :])
