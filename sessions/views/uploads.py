"""Uploads: the door for files, the list of what came, and what a person does with one of them."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from athletes.policy import Action, require
from athletes.requests import account_of
from sessions.forms import ReadAgainForm, UploadForm
from sessions.models import Upload
from sessions.selectors import PAGE_SIZE, choices_of_list, open_sessions, uploads_in_list, with_counts
from sessions.services.uploads import read_again, restore_upload, withdraw_upload
from sessions.upload_access import upload_or_404
from sessions.views.answers import answer_for_script, tell_arrivals


@require_safe
def uploads(request: HttpRequest) -> HttpResponse:
    require(account_of(request), Action.CHANGE)
    shown = request.GET.get("show", "all")
    page = Paginator(uploads_in_list(account_of(request), shown), PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "form": UploadForm(),
        "ready": Upload.objects.visible_to(account_of(request)).filter(state=Upload.State.READY).count(),
        "open_sessions": open_sessions(account_of(request)),
        "page": page,
        "shown": shown,
        "choices": choices_of_list(account_of(request)),
        "max_bytes": settings.UPLOAD_MAX_BYTES,
        "max_mb": settings.UPLOAD_MAX_BYTES // (1024 * 1024),
    }
    return render(request, "sessions/uploads.html", context)


@require_POST
def receive(request: HttpRequest) -> HttpResponse:
    require(account_of(request), Action.CHANGE)
    form = UploadForm(request.POST, request.FILES)
    by_script = request.headers.get("X-Requested-With") == "fetch"
    return answer_for_script(form, account_of(request)) if by_script else tell_arrivals(request, form)


@require_safe
def row(request: HttpRequest, uuid: UUID) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    counted = with_counts(Upload.objects.filter(pk=upload.pk)).get()
    return render(request, "sessions/_upload_row.html", {"upload": counted, "alone": True})


@require_POST
def again(request: HttpRequest, uuid: UUID) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    form = ReadAgainForm(request.POST)
    if form.is_valid():
        read_again(upload=upload, by=account_of(request), options=form.options())
    else:
        messages.error(request, "Choose from the lists how the file is to be read.")
    return redirect("metrics:import", upload.uuid)


@require_POST
def withdraw(request: HttpRequest, uuid: UUID) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    withdraw_upload(upload=upload, by=account_of(request))
    undo = reverse("sessions:upload-restore", args=[upload.uuid])
    messages.success(request, f"“{upload.filename}” is off the list. Its sessions stay.", extra_tags=f"undo:{undo}")
    return redirect("sessions:uploads")


@require_POST
def restore(request: HttpRequest, uuid: UUID) -> HttpResponse:
    upload = restore_upload(upload=upload_or_404(request, uuid, withdrawn=True), by=account_of(request))
    messages.success(request, f"“{upload.filename}” is back.")
    return redirect("sessions:uploads")
