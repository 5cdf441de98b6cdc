"""What a person, or the script of the upload page, is told about the files that came."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect

from athletes.models import User
from athletes.requests import account_of
from sessions.arrivals import Arrival, take_file
from sessions.forms import UploadForm

BAD_REQUEST = 400


def answer_for_script(form: UploadForm, by: User) -> JsonResponse:
    """The answer that static/js/upload.js waits for: one file a request."""
    if not form.is_valid():
        return JsonResponse({"error": form.sentence}, status=BAD_REQUEST)
    opened = form.cleaned_data["for_session"]
    arrival = [take_file(file, by, opened) for file in form.cleaned_data["table_files"]][-1]
    if arrival.upload is None:
        return JsonResponse({"error": arrival.sentence}, status=BAD_REQUEST)
    return JsonResponse({"sentence": arrival.sentence, "url": _address(arrival), "known": not arrival.is_new})


def _address(arrival: Arrival) -> str:
    return redirect("metrics:import", arrival.upload.uuid).url if arrival.upload else ""


def tell_arrivals(request: HttpRequest, form: UploadForm) -> HttpResponse:
    """Without a script: a notice a file, then the list."""
    if not form.is_valid():
        messages.error(request, form.sentence)
        return redirect("sessions:uploads")
    for file in form.cleaned_data["table_files"]:
        arrival = take_file(file, account_of(request), form.cleaned_data["for_session"])
        if arrival.upload is None:
            messages.error(request, arrival.sentence)
        elif arrival.is_new:
            messages.success(request, f"“{arrival.upload.filename}”: {arrival.sentence}")
        else:
            messages.warning(request, arrival.sentence)
    return redirect("sessions:uploads")
