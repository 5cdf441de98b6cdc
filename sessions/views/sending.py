"""Original files on their way out: as attachments that no browser opens in place."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.http import FileResponse, Http404, HttpRequest
from django.views.decorators.http import require_safe

from sessions.upload_access import original_or_404

TEXT_ENDINGS = (".csv", ".tsv", ".txt")


@require_safe
def original(request: HttpRequest, uuid: UUID) -> FileResponse:
    """The bytes as they came, piece by piece, under the name that they came with."""
    upload = original_or_404(request, uuid)
    try:
        file = (settings.ORIGINALS_DIR / upload.original.stored_name).open("rb")
    except FileNotFoundError:
        raise Http404 from None
    is_text = upload.filename.lower().endswith(TEXT_ENDINGS)
    answer = FileResponse(
        file,
        as_attachment=True,
        filename=upload.filename,
        content_type="text/csv" if is_text else "application/octet-stream",
    )
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "private, no-store"
    return answer
