"""Tables to keep: CSV that a spreadsheet opens without running anything."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from django.http import HttpResponse

# A cell that begins so is taken for a formula by spreadsheet programs (OWASP, "CSV Injection").
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
# Without this mark spreadsheet programs read UTF-8 as something else and spoil names.
BYTE_ORDER_MARK = "\ufeff"

Cell = str | int | float | None


def plain_cell(cell: Cell) -> Cell:
    """Text that a spreadsheet would run gets a quote before it; numbers stay numbers."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA_STARTS) else cell


def csv_answer(filename: str, head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> HttpResponse:
    """A file to save."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([plain_cell(cell) for cell in row] for row in rows)
    answer = HttpResponse(BYTE_ORDER_MARK + text.getvalue(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer
