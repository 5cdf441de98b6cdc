"""Matching the columns of one header: the page, one row anew while choosing, and the sheet that holds no throws."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from athletes.requests import account_of
from metrics.import_access import answer_to_preview, draft_or_404
from metrics.match.page import MatchPage, sheet_of_header, sheets_to_match
from metrics.services.imports.answers import leave_sheet_out
from metrics.views.import_pages import problems_asked
from sessions.forms import ReadAgainForm
from sessions.models import Upload
from sessions.upload_access import upload_or_404

UNPROCESSABLE = 422


def _page(request: HttpRequest, upload: Upload, data: QueryDict | None = None) -> MatchPage:
    """The match page of the header that was asked for. A header that this upload has not is no page."""
    draft = draft_or_404(upload)
    sheet = sheet_of_header(draft, request.POST.get("sheet") or request.GET.get("sheet", ""))
    if sheet is None or upload.is_working or draft.is_motion:
        raise Http404
    with_screens = "screens" in request.GET or "screens" in request.POST
    return MatchPage(upload, draft, sheet, data, with_screens=with_screens)


@require_http_methods(["GET", "POST"])
def match(request: HttpRequest, uuid: UUID) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    page = _page(request, upload, request.POST if request.method == "POST" else None)
    if request.method == "POST" and page.save(account_of(request)):
        messages.success(
            request, f"Kept as “{page.form.cleaned_data['name']}”: the same header is read so from now on."
        )
        return redirect("metrics:import", upload.uuid)
    context = {
        "upload": upload,
        "part": "metrics/_import_match.html",
        "match": page,
        "to_match": len(sheets_to_match(page.draft)),
        "again": ReadAgainForm.of(upload.read_options),
        **problems_asked(request, page.draft),
    }
    return render(request, "metrics/import.html", context, status=UNPROCESSABLE if page.data is not None else 200)


@require_safe
def row(request: HttpRequest, uuid: UUID) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    page = _page(request, upload, request.GET)
    found = page.row(request.GET.get("row", ""))
    if found is None:
        raise Http404
    return render(request, "metrics/_import_match_row.html", {"row": found, "match": page, "upload": upload})


@answer_to_preview
def sheet_out(request: HttpRequest, upload: Upload) -> None:
    draft = draft_or_404(upload)
    sheet = sheet_of_header(draft, request.POST.get("sheet", ""))
    if sheet is None:
        raise Http404
    leave_sheet_out(draft=draft, fingerprint=sheet["fingerprint"])
    messages.success(request, f"Sheet “{sheet['sheet']}” is left out." if sheet["sheet"] else "The table is left out.")
