"""A coach decides what the family reads of a session."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.pages import NO_READER, family_reader, who_of
from athletes.policy import Action, require
from athletes.requests import account_of, facility_of, htmx_of, units_of
from athletes.today import facility_today
from metrics.forms_sharing import ShareForm
from metrics.models import Share
from metrics.selectors.session_rows import RELATED, SessionRows, findings_lag, read_session
from metrics.selectors.sharing import content_of, findings_digest, offer_of
from metrics.services.sharing import leave_share, restore_share, share_assessment, take_back_share
from metrics.sharing import SharedContent
from sessions.access import session_or_404
from sessions.models import CaptureSession

UNPROCESSABLE = 422


@require_http_methods(["GET", "HEAD", "POST"])
def share(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Points, words, and beside them what the family will read; posted with `preview`, nothing is shared yet."""
    rows = read_session(_session_to_share(request, uuid))
    form = ShareForm(request.POST or None, offer=offer_of(rows, units_of(request)))
    if request.method != "POST" or "preview" in request.POST or not form.is_valid():
        return _page(request, rows, form)
    content = _content(form, rows)
    made = form.hand_to(
        share_assessment,
        session=rows.capture,
        content=content,
        findings_digest=findings_digest(rows.findings, content.metrics),
        by=account_of(request),
    )
    if not made:
        return _page(request, rows, form)
    undo = reverse("metrics:share-take-back", args=[uuid, form.result.uuid])
    reader = family_reader(rows.capture.athlete)
    said = f"Shared: {reader} reads it now." if reader else f"Shared. {NO_READER}"
    messages.success(request, said, extra_tags=f"undo:{undo}")
    return redirect("metrics:session", uuid)


def _page(request: HttpRequest, rows: SessionRows, form: ShareForm) -> HttpResponse:
    """The whole page, or for the page's own script what the family will read; 422 when a share was refused."""
    previewing = request.method == "POST" and "preview" in request.POST
    readable = not form.is_bound or form.is_valid()
    context = {
        "form": form,
        "capture": rows.capture,
        "content": _content(form, rows) if readable else None,
        "summary": form.cleaned_data["summary"] if form.is_bound and readable else form.offer.summary,
        "look_again_on": form.cleaned_data["look_again_on"] if form.is_bound and readable else None,
        "is_lagging": findings_lag(rows.capture),
    }
    if previewing and htmx_of(request):
        return render(request, "metrics/_share_preview.html", context)
    athlete = rows.capture.athlete
    context["who"] = who_of(athlete, facility_today(facility_of(request)), account_of(request))
    refused = form.is_bound and bool(form.errors) and not previewing
    return render(request, "metrics/share.html", context, status=UNPROCESSABLE if refused else 200)


def _content(form: ShareForm, rows: SessionRows) -> SharedContent:
    return content_of(form.chosen(form.work), form.chosen(form.better), rows)


@require_POST
def take_back(request: HttpRequest, uuid: UUID, share_uuid: UUID) -> HttpResponse:
    found = _share_to_change(request, uuid, share_uuid)
    take_back_share(share=found, by=account_of(request))
    undo = reverse("metrics:share-restore", args=[uuid, share_uuid])
    messages.success(request, "Taken back. The family no longer reads it.", extra_tags=f"undo:{undo}")
    return redirect("metrics:session", uuid)


@require_POST
def bring_back(request: HttpRequest, uuid: UUID, share_uuid: UUID) -> HttpResponse:
    found = _share_to_change(request, uuid, share_uuid)
    restore_share(share=found, by=account_of(request))
    has_reader = family_reader(found.athlete)
    messages.success(request, "The family reads it again." if has_reader else f"Shared again. {NO_READER}")
    return redirect("metrics:session", uuid)


@require_POST
def leave(request: HttpRequest, uuid: UUID, share_uuid: UUID) -> HttpResponse:
    leave_share(share=_share_to_change(request, uuid, share_uuid), by=account_of(request))
    messages.success(request, "Left as it is: the family goes on reading what you told them then.")
    return redirect("metrics:session", uuid)


def _session_to_share(request: HttpRequest, uuid: UUID) -> CaptureSession:
    capture = session_or_404(request, uuid, what="sharing", related=RELATED).capture
    require(account_of(request), Action.SHARE)
    return capture


def _share_to_change(request: HttpRequest, uuid: UUID, share_uuid: UUID) -> Share:
    """A share of that session, taken back or not."""
    capture = _session_to_share(request, uuid)
    found = Share.everything.filter(session=capture, athlete=capture.athlete_id, uuid=share_uuid).first()
    if found is None:
        raise Http404
    return found
