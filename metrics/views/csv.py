"""Tables to take away as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from metrics.selectors.session_csv import Cell, findings_table, throws_table
from metrics.selectors.session_rows import RELATED, read_session
from sessions.access import session_or_404
from sessions.models import CaptureSession

STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def neutral(cell: Cell) -> Cell:
    """Text that a spreadsheet would take for a formula gets a quote in front; numbers stay numbers."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(STARTS_A_FORMULA) else cell


def csv_answer(table: Iterable[Sequence[Cell]], filename: str) -> HttpResponse:
    """UTF-8 with a byte-order mark, so that spreadsheets read the accents."""
    text = io.StringIO()
    csv.writer(text).writerows([neutral(cell) for cell in row] for row in table)
    answer = HttpResponse("\ufeff" + text.getvalue(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer


@require_GET
def session_findings(request: HttpRequest, uuid: UUID) -> HttpResponse:
    capture, _ = session_or_404(request, uuid, what="session findings as CSV", related=RELATED)
    return csv_answer(findings_table(read_session(capture)), file_name(capture, "findings"))


@require_GET
def session_throws(request: HttpRequest, uuid: UUID) -> HttpResponse:
    capture, _ = session_or_404(request, uuid, what="session readings as CSV")
    return csv_answer(throws_table(capture), file_name(capture, "readings"))


def file_name(capture: CaptureSession, what: str) -> str:
    name = slugify(capture.athlete.family_name) or "session"
    return f"{name}-{capture.date}-{capture.method.replace('_', '-')}-{what}.csv"
