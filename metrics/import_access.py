"""Loaders of what an upload would become, and the frame of every answer to a preview."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from athletes.models import Athlete
from athletes.requests import account_of
from athletes.view_notes import note_view
from metrics.models import ImportDraft, ImportUnit
from sessions.models import Upload
from sessions.upload_access import upload_or_404

Answer = Callable[..., None]
ANSWERABLE = (Upload.State.NEEDS_MATCH, Upload.State.NEEDS_ANSWER, Upload.State.READY)


def draft_or_404(upload: Upload) -> ImportDraft:
    draft = ImportDraft.objects.filter(upload=upload).first()
    if draft is None:
        raise Http404
    draft.upload = upload
    return draft


def unit_or_404(request: HttpRequest, upload: Upload, unit_uuid: UUID) -> ImportUnit:
    """One session that the upload would make; a look at its athlete is noted."""
    units = ImportUnit.objects.select_related("athlete", "session", "draft__upload", "held")
    unit = units.filter(draft__upload=upload, uuid=unit_uuid).first()
    if unit is None:
        raise Http404
    if unit.athlete:
        note_view(request, unit.athlete, "import preview")
    return unit


def unit_to_read(request: HttpRequest, upload: Upload, unit_uuid: UUID) -> ImportUnit:
    """The unit with its readings. They are measurements: while consent is withdrawn, only admins read them."""
    unit = unit_or_404(request, upload, unit_uuid)
    readable = Athlete.everything.readable_by(account_of(request))
    if unit.athlete and not readable.filter(pk=unit.athlete.pk).exists():
        raise Http404
    return unit


def unit_to_answer(request: HttpRequest, upload: Upload, unit_uuid: UUID) -> ImportUnit:
    """The unit while it is no session yet. Raises ValidationError when it has become one."""
    unit = unit_or_404(request, upload, unit_uuid)
    if unit.state == ImportUnit.State.ACCEPTED:
        raise ValidationError("These throws are a session already. Change them on its page.")
    return unit


def cleaned(form: forms.Form) -> dict[str, Any]:
    """The form's values. Raises ValidationError with its sentences."""
    if not form.is_valid():
        raise ValidationError([sentence for sentences in form.errors.values() for sentence in sentences])
    return form.cleaned_data


def answer_to_preview(answer: Answer) -> Callable[..., HttpResponse]:
    """Loads the upload, lets the view answer, and goes back to the preview; what is refused stands above it."""

    @require_POST
    @wraps(answer)
    def view(request: HttpRequest, uuid: UUID, **names: Any) -> HttpResponse:
        upload = upload_or_404(request, uuid)
        try:
            if upload.state not in ANSWERABLE:
                raise ValidationError(f"Nothing was changed: this upload is {upload.get_state_display()}.")
            answer(request, upload, **names)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        return redirect("metrics:import", upload.uuid)

    return view
