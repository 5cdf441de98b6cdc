"""Text files (CSV and its kin) → cells."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from itertools import chain, islice
from typing import Final

from sessions.formats import limits
from sessions.formats.cells import Cell, CellReader
from sessions.formats.decoding import decode
from sessions.formats.delimiters import DECIMAL_MARKS, DELIMITERS, DecimalMark, find_decimal_mark, find_delimiter
from sessions.formats.grid import EvenRows, Row, Table, TableFile
from sessions.formats.problems import Problem, problem, quote, unreadable

_SEPARATOR_LINE = re.compile(r"sep=(.)[\r\n]", re.IGNORECASE)
_SAMPLE_ROWS: Final = 2_000
_BATCH_ROWS: Final = 200
_BLANK: Row = ()


def read_text_table(
    data: bytes,
    *,
    encoding: str | None = None,
    delimiter: str | None = None,
    decimal_mark: str | None = None,
) -> TableFile:
    """One table of a text file. What is None is found, and stands in the answer.

    Raises UnreadableFile when there is no table; ValueError for a choice that is not offered.
    """
    _check_choices(delimiter, decimal_mark)
    csv.field_size_limit(limits.CELL_CHARACTERS)
    decoded = decode(data, encoding)
    if not decoded.text.strip():
        raise unreadable("empty")
    announced = _SEPARATOR_LINE.match(decoded.text)
    chosen = delimiter or (announced.group(1) if announced else None) or find_delimiter(decoded.text)
    if chosen not in DELIMITERS:
        raise _no_columns(decoded.text)
    mark = DecimalMark(decimal_mark) if decimal_mark else _decimal_mark(decoded.text, chosen)
    problems = [*decoded.problems, *_doubts(mark), *_open_quote(decoded.text, chosen)]
    rows = _read_rows(data, decoded.codec, chosen, CellReader(mark.mark))
    if announced:
        rows = (_BLANK, *rows[1:])  # the line that names the delimiter keeps its number and says nothing
    return TableFile("csv", decoded.encoding, chosen, mark.mark, (Table("", rows),), tuple(problems))


def _check_choices(delimiter: str | None, decimal_mark: str | None) -> None:
    if delimiter is not None and delimiter not in DELIMITERS:
        raise ValueError(f"unknown delimiter {delimiter!r}")
    if decimal_mark is not None and decimal_mark not in DECIMAL_MARKS:
        raise ValueError(f"unknown decimal mark {decimal_mark!r}")


def _no_columns(text: str) -> Exception:
    """A field that is too long also leaves no delimiter consistent; that is the sentence that helps."""
    try:
        for _ in csv.reader(io.StringIO(text[: 4 * limits.CELL_CHARACTERS], newline="")):
            pass
    except csv.Error:
        return unreadable("cell_too_long", most=f"{limits.CELL_CHARACTERS:,}")
    return unreadable("not_a_table")


def _decimal_mark(text: str, delimiter: str) -> DecimalMark:
    sample = io.StringIO(text[:400_000], newline="")
    rows: list[list[str]] = []
    with suppress(csv.Error):  # told when the rows are read
        rows.extend(islice(csv.reader(sample, delimiter=delimiter), _SAMPLE_ROWS))
    return find_decimal_mark((cell for row in rows for cell in row), delimiter)


def _doubts(mark: DecimalMark) -> list[Problem]:
    if not mark.doubt:
        return []
    return [problem(mark.doubt, example=quote(mark.example), mark=f"the {DECIMAL_MARKS[mark.mark]}")]


def _open_quote(text: str, delimiter: str) -> list[Problem]:
    """The row in which a quotation mark opens that never closes. An odd number of them is the cheap sign of it."""
    if text.count('"') % 2 == 0:
        return []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    number = 1
    try:
        for _ in reader:
            number += 1
    except csv.Error as error:
        if "unexpected end of data" in str(error):
            return [problem("unclosed_quote", row=number)]
    return []


def _read_rows(data: bytes, codec: str, delimiter: str, reader: CellReader) -> Sequence[Row]:
    """All rows up to the last that holds anything. Raises UnreadableFile at the first limit that is passed."""
    raw_rows = csv.reader(io.TextIOWrapper(io.BytesIO(data), encoding=codec, newline=""), delimiter=delimiter)
    batches: list[Sequence[Row]] = []
    count = filled = cells = 0
    while raw := _next_rows(raw_rows, count):
        widest = max(map(len, raw))
        wide = None if widest <= limits.COLUMNS else _first_wide(raw)
        batches.append(made := _cells_of(raw[:wide], reader))
        count += len(made)
        filled += len(made) if isinstance(made, EvenRows) else len(made) - made.count(_BLANK)
        cells += len(made) * len(made.columns) if isinstance(made, EvenRows) else sum(map(len, made))
        if wide or filled > limits.FILLED_ROWS or cells > limits.CELLS or count > limits.ALL_ROWS:
            break
    check_size(count, len(batches[-1][-1]) if batches else 0, filled, cells)
    return _joined(batches)


def _joined(batches: Sequence[Sequence[Row]]) -> Sequence[Row]:
    """All rows by columns where they are alike, else one by one and without the blank ones at the end."""
    even = [batch for batch in batches if isinstance(batch, EvenRows)]
    if even and len(even) == len(batches) and len({len(batch.columns) for batch in even}) == 1:
        return EvenRows(map(_chained, zip(*(batch.columns for batch in even), strict=True)))
    rows = list(chain.from_iterable(batches))
    while rows and not rows[-1]:
        rows.pop()
    return tuple(rows)


def _chained(parts: Iterable[Sequence[Cell]]) -> tuple[Cell, ...]:
    return tuple(chain.from_iterable(parts))


def _first_wide(batch: Sequence[list[str]]) -> int | None:
    return next((place for place, raw in enumerate(batch, start=1) if len(raw) > limits.COLUMNS), None)


def _next_rows(raw_rows: Iterator[list[str]], before: int) -> list[list[str]]:
    """Some more rows. What comes before an error stays in the list, which tells the row of the error."""
    batch: list[list[str]] = []
    try:
        batch.extend(islice(raw_rows, _BATCH_ROWS))
    except csv.Error as error:
        row = before + len(batch) + 1
        raise unreadable("cell_too_long", row=row, most=f"{limits.CELL_CHARACTERS:,}") from error
    return batch


def _cells_of(batch: Sequence[list[str]], reader: CellReader) -> Sequence[Row]:
    """Rows of text as rows of cells, blank ones as (). Rows of one width, the usual case, are read as one."""
    width = len(batch[0])
    if not width or set(map(len, batch)) != {width}:
        return _with_blank_ones(tuple([reader[text] for text in raw]) for raw in batch)
    cells = list(map(reader.__getitem__, chain.from_iterable(batch)))
    even = EvenRows(cells[index::width] for index in range(width))
    if None not in even.columns[0]:
        return even
    rows = _with_blank_ones(even)
    return rows if _BLANK in rows else even


def _with_blank_ones(rows: Iterable[Row]) -> list[Row]:
    return [row if row and (row[0] is not None or row.count(None) != len(row)) else _BLANK for row in rows]


def check_size(count: int, width: int, filled: int, cells: int, sheet: str = "") -> None:
    """Raises UnreadableFile when a table that is being read has passed a limit.

    So far it has `count` rows, `filled` of them not blank, and `cells` cells; the last row is `width` wide.
    """
    if width > limits.COLUMNS:
        raise unreadable("too_many_columns", sheet=sheet, row=count, found=f"{width:,}", most=f"{limits.COLUMNS:,}")
    if filled > limits.FILLED_ROWS:
        raise unreadable("too_many_rows", sheet=sheet, most=f"{limits.FILLED_ROWS:,}")
    if count > limits.ALL_ROWS:
        raise unreadable("too_many_rows", sheet=sheet, most=f"{limits.ALL_ROWS:,}")
    if cells > limits.CELLS:
        raise unreadable("too_many_cells", sheet=sheet, most=f"{limits.CELLS:,}")


__all__ = ["check_size", "read_text_table"]
