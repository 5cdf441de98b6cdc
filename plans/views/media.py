"""Pictures and videos of the library: adding, taking away, and their bytes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

from django.contrib import messages
from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseRedirect,
    StreamingHttpResponse,
)
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from athletes.requests import account_of
from plans.byte_ranges import NotSatisfiable, byte_range
from plans.forms_media import MediaForm
from plans.library_access import intervention_to_change, media_or_404, require_editor
from plans.models import Intervention, InterventionMedia
from plans.services.media import add_media, media_path, restore_media, withdraw_media

UNPROCESSABLE, PARTIAL, NOT_CHANGED, BEYOND = 422, 206, 304, 416
PIECE = 64 * 1024


@require_http_methods(["GET", "POST"])
def add(request: HttpRequest, key: str) -> HttpResponse:
    row = intervention_to_change(request, key)
    form = MediaForm(request.POST or None, request.FILES or None)
    if form.is_valid() and form.hand_to(add_media, intervention=row, by=account_of(request)):
        undo = reverse("plans:media-withdraw", args=[form.result.uuid])
        return _back(request, row, f"The {form.result.get_kind_display()} is there.", undo)
    context = {"form": form, "row": row, "name": row.versions.order_by("-number")[0].name}
    return render(request, "plans/media_form.html", context, status=UNPROCESSABLE if form.errors else 200)


@require_POST
def withdraw(request: HttpRequest, uuid: UUID) -> HttpResponse:
    require_editor(request)
    media = get_object_or_404(InterventionMedia.everything.select_related("intervention"), uuid=uuid)
    withdraw_media(media=media, by=account_of(request))
    return _back(request, media.intervention, "Taken away.", reverse("plans:media-restore", args=[uuid]))


@require_POST
def restore(request: HttpRequest, uuid: UUID) -> HttpResponse:
    require_editor(request)
    media = get_object_or_404(InterventionMedia.everything.select_related("intervention"), uuid=uuid)
    restore_media(media=media, by=account_of(request))
    return _back(request, media.intervention, "It is there again.")


@require_safe
def media(request: HttpRequest, uuid: UUID) -> HttpResponseBase:
    """The bytes, or the range of them that is asked for. A browser keeps them and asks each time whether it may."""
    row = media_or_404(request, uuid)
    path, tag = media_path(row), f'"{row.sha256}"'
    if not path.is_file():
        raise Http404
    if tag in request.headers.get("If-None-Match", ""):
        return _labelled(HttpResponse(status=NOT_CHANGED), row, tag)
    if request.headers.get("If-Range", tag) != tag:
        asked = None
    else:
        try:
            asked = byte_range(request.headers.get("Range", ""), row.size_bytes)
        except NotSatisfiable:
            answer = HttpResponse(status=BEYOND, headers={"Content-Range": f"bytes */{row.size_bytes}"})
            return _labelled(answer, row, tag)
    return _labelled(_bytes(path, row, asked), row, tag)


def _bytes(path: Path, row: InterventionMedia, asked: range | None) -> StreamingHttpResponse:
    part = asked if asked is not None else range(row.size_bytes)
    answer = StreamingHttpResponse(_pieces(path, part), status=200 if asked is None else PARTIAL)
    answer["Content-Length"] = str(len(part))
    if asked is not None:
        answer["Content-Range"] = f"bytes {part.start}-{part.stop - 1}/{row.size_bytes}"
    return answer


def _pieces(path: Path, part: range) -> Iterator[bytes]:
    with path.open("rb") as file:
        file.seek(part.start)
        left = len(part)
        while left and (piece := file.read(min(PIECE, left))):
            left -= len(piece)
            yield piece


def _labelled(answer: HttpResponseBase, row: InterventionMedia, tag: str) -> HttpResponseBase:
    """Shown only as what it was found to be, and as nothing that could run."""
    answer["Content-Type"] = row.content_type
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Disposition"] = f'inline; filename="{row.uuid}.{row.content_type.rpartition("/")[2]}"'
    answer["Accept-Ranges"] = "bytes"
    answer["ETag"] = tag
    answer["Cache-Control"] = "private, no-cache"
    return answer


def _back(request: HttpRequest, row: Intervention, sentence: str, undo: str = "") -> HttpResponse:
    messages.success(request, sentence, extra_tags=f"undo:{undo}" if undo else "")
    return HttpResponseRedirect(reverse("plans:intervention", args=[row.key]))
