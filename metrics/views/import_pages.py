"""Which part of the upload's one page is shown in which state, and with what."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse

from athletes.requests import account_of
from athletes.saving import save_answer
from athletes.view_notes import note_view
from metrics.forms_imports import ConditionsForm
from metrics.forms_motion import LabelsForm
from metrics.import_access import draft_or_404
from metrics.match.page import MatchPage, sheets_to_match
from metrics.models import ImportDraft
from metrics.selectors.imports import PROBLEMS_SHOWN, Problems, athlete_options, preview_of, problems_of
from metrics.selectors.recordings import labels_page
from metrics.services.imports.preview import settle_state
from sessions.forms import ReadAgainForm
from sessions.models import Upload

StatePage = tuple[str, dict[str, Any]]


def _working(request: HttpRequest, upload: Upload) -> StatePage:
    return "metrics/_import_progress.html", {}


def _refused(request: HttpRequest, upload: Upload) -> StatePage:
    return "metrics/_import_refused.html", {"again": ReadAgainForm.of(upload.read_options)}


def _needs_match(request: HttpRequest, upload: Upload) -> StatePage:
    """The first header without a recipe; when all have one by now, the preview."""
    draft = draft_or_404(upload)
    if draft.is_motion:
        return "metrics/_import_labels.html", {"labels": labels_page(draft), "form": LabelsForm()}
    waiting = sheets_to_match(draft)
    if not waiting:
        return _preview(request, upload)
    context = {
        "match": MatchPage(upload, draft, waiting[0]),
        "to_match": len(waiting),
        **problems_asked(request, draft),
    }
    return "metrics/_import_match.html", {**context, "again": ReadAgainForm.of(upload.read_options)}


def _preview(request: HttpRequest, upload: Upload) -> StatePage:
    draft = draft_or_404(upload)
    settle_state(draft)  # what a question waits for, such as a consent, is recorded elsewhere
    preview = preview_of(draft, account_of(request), all_problems=request.GET.get("problems") == "all")
    for one in preview.units:
        if one.unit.athlete:
            note_view(request, one.unit.athlete, "import preview")
    asks_for_athlete = any("athlete_unknown" in one.codes for one in preview.units)
    context = {
        "preview": preview,
        "conditions": ConditionsForm.of(draft.answers),
        "again": ReadAgainForm.of(upload.read_options),
        "athletes": athlete_options(account_of(request)) if asks_for_athlete else (),
    }
    return "metrics/_import_preview.html", context


def _accepted(request: HttpRequest, upload: Upload) -> StatePage:
    _, context = _preview(request, upload)
    return "metrics/_import_done.html", context


STATE_PAGES: dict[Upload.State, Callable[[HttpRequest, Upload], StatePage]] = {
    **dict.fromkeys(Upload.WORKING, _working),
    Upload.State.REFUSED: _refused,
    Upload.State.NEEDS_MATCH: _needs_match,
    Upload.State.NEEDS_ANSWER: _preview,
    Upload.State.READY: _preview,
    Upload.State.ACCEPTED: _accepted,
}


def problems_asked(request: HttpRequest, draft: ImportDraft) -> dict[str, Problems]:
    """What was found in the file, for the page: the gravest, or all when these are asked for."""
    return {"problems": problems_of(draft, None if request.GET.get("problems") == "all" else PROBLEMS_SHOWN)}


def many_uuids(texts: Iterable[str]) -> list[UUID]:
    """The texts that are uuids; others are no address of anything."""
    found = []
    for text in texts:
        try:
            found.append(UUID(text))
        except ValueError:
            continue
    return found


def problems_saved(request: HttpRequest, draft: ImportDraft) -> HttpResponse:
    """All problems that were kept, one a row."""
    head = ("severity", "sheet", "row", "column", "what")
    rows = [(p["severity"], p["sheet"], p["row"], p["column"] or "", p["sentence"]) for p in draft.problems]
    return save_answer(request, "problems", [head, *rows])
