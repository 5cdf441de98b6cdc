"""Tables of a session to take away, as CSV or as a workbook."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from athletes.saving import save_answer
from metrics.selectors.session_csv import findings_table, throws_table
from metrics.selectors.session_rows import RELATED, read_session
from sessions.access import session_or_404
from sessions.models import CaptureSession


@require_GET
def session_findings(request: HttpRequest, uuid: UUID) -> HttpResponse:
    capture, _ = session_or_404(request, uuid, what="session findings saved", related=RELATED)
    return save_answer(request, file_name(capture, "findings"), findings_table(read_session(capture)))


@require_GET
def session_throws(request: HttpRequest, uuid: UUID) -> HttpResponse:
    capture, _ = session_or_404(request, uuid, what="session readings saved")
    return save_answer(request, file_name(capture, "readings"), throws_table(capture))


def file_name(capture: CaptureSession, what: str) -> str:
    name = slugify(capture.athlete.family_name) or "session"
    return f"{name}-{capture.date}-{capture.method.replace('_', '-')}-{what}"
