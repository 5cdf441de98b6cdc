"""A recording that waits: its markers matched to landmarks, and the setup by which it is read."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from athletes.requests import account_of
from metrics.forms_motion import ChooseSetupForm, LabelsForm
from metrics.import_access import cleaned, draft_or_404
from metrics.models import ImportDraft
from metrics.selectors.recordings import labels_page
from metrics.services.motion.setups import save_names
from sessions.models import Upload
from sessions.services.uploads import read_again
from sessions.upload_access import upload_or_404

UNPROCESSABLE = 422


@require_http_methods(["GET", "HEAD", "POST"])
def labels(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Which marker of the file is which landmark; kept, every file with these names is read so."""
    upload = upload_or_404(request, uuid)
    draft = _motion_draft(upload)
    if request.method != "POST":
        return _labels(request, upload, draft)
    form = LabelsForm(request.POST)
    try:
        kept = save_names(upload=upload, by=account_of(request), names=names_sent(request.POST), **cleaned(form))
    except ValidationError as error:
        return _labels(request, upload, draft, wrong=error.messages)
    messages.success(request, f"Kept in “{kept}”: files with these marker names are read so from now on.")
    return redirect("metrics:import", upload.uuid)


def _labels(
    request: HttpRequest, upload: Upload, draft: ImportDraft, *, wrong: list[str] | None = None
) -> HttpResponse:
    sent = names_sent(request.POST) if request.method == "POST" else None
    context = {
        "upload": upload,
        "part": "metrics/_import_labels.html",
        "labels": labels_page(draft, sent),
        "form": LabelsForm(request.POST or None),
        "wrong": wrong,
    }
    return render(request, "metrics/import.html", context, status=UNPROCESSABLE if wrong else 200)


@require_POST
def choose_setup(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Reads the file by another setup, or for another of the people in it; what it has become waits for a look."""
    upload = upload_or_404(request, uuid)
    _motion_draft(upload)
    form = ChooseSetupForm(request.POST)
    if form.is_valid():
        chosen = {name: value for name, value in form.cleaned_data.items() if value}
        read_again(upload=upload, by=account_of(request), options=chosen)
    else:
        messages.error(request, " ".join(str(error) for errors in form.errors.values() for error in errors))
    return redirect("metrics:import", upload.uuid)


def names_sent(sent: QueryDict) -> dict[str, str]:
    """The file's name → the landmark that was chosen for it; what is not used is left out."""
    pairs = zip(sent.getlist("label"), sent.getlist("landmark"), strict=False)
    return {label: landmark for label, landmark in pairs if landmark}


def _motion_draft(upload: Upload) -> ImportDraft:
    draft = draft_or_404(upload)
    if upload.is_working or not draft.is_motion:
        raise Http404
    return draft
