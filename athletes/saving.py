"""Tables to take away: CSV and XLSX that a spreadsheet opens without running anything. The first row is the head."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Callable, Iterable, Sequence

from django.http import HttpRequest, HttpResponse
from openpyxl import Workbook

Cell = str | int | float | dt.date | None
Rows = Iterable[Sequence[Cell]]

# A cell that begins so is taken for a formula by spreadsheet programs (OWASP, "CSV Injection").
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
# Without this mark spreadsheet programs read UTF-8 as something else and spoil names.
BYTE_ORDER_MARK = "\ufeff"
# Characters that XML, and so a workbook, cannot hold.
UNPRINTABLE = dict.fromkeys(number for number in range(32) if number not in (9, 10, 13))


def plain_cell(cell: Cell) -> Cell:
    """Text that a spreadsheet would run gets a quote before it; numbers stay numbers."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA_STARTS) else cell


def as_csv(rows: Rows) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerows([plain_cell(cell) for cell in row] for row in rows)
    return (BYTE_ORDER_MARK + text.getvalue()).encode()


def as_workbook(rows: Rows) -> bytes:
    """One sheet; numbers and dates keep their type."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Table")
    for row in rows:
        sheet.append([cell.translate(UNPRINTABLE) if isinstance(cell, str) else cell for cell in map(plain_cell, row)])
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


Writer = Callable[[Rows], bytes]
KINDS: dict[str, tuple[Writer, str]] = {
    "csv": (as_csv, "text/csv; charset=utf-8"),
    "xlsx": (as_workbook, "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
}


def save_answer(request: HttpRequest, name: str, rows: Rows) -> HttpResponse:
    """The table as a file to save: `?as=xlsx` a workbook, else CSV. `name` has no ending."""
    kind = request.GET.get("as", "csv")
    write, content_type = KINDS.get(kind, KINDS["csv"])
    answer = HttpResponse(write(rows), content_type=content_type)
    answer["Content-Disposition"] = f'attachment; filename="{name}.{kind if kind in KINDS else "csv"}"'
    return answer
