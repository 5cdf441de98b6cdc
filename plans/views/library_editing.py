"""What an admin does with the library: write a version, add, withdraw, bring back."""

from __future__ import annotations

import re
from uuid import uuid4

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST

from athletes.requests import account_of
from plans.forms_library import InterventionForm
from plans.library_access import intervention_to_change, require_editor
from plans.models import Intervention
from plans.services.library import (
    add_intervention,
    restore_intervention,
    withdraw_intervention,
    write_again,
    write_version,
)

UNPROCESSABLE = 422
KEEPS = "Work that runs keeps the version it was given in."
KEY_LENGTH = 60
TAKEN = ("add",)
"""Addresses of the library itself."""


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, key: str) -> HttpResponse:
    """Form and latest version; what is refused stands at its field, and what was typed stays."""
    row = intervention_to_change(request, key)
    latest = row.versions.order_by("-number").first()
    kept, seen = (latest.fields, latest.number) if latest else (None, 0)
    form = InterventionForm(request.POST or None, key=row.key, kept=kept, seen=seen)
    if form.is_valid() and form.cleaned_data["fields"] == kept:
        return _back(request, row, "Nothing was changed.")
    if form.is_valid() and form.write(write_version, intervention=row, by=account_of(request)):
        undo = reverse("plans:library-version-again", args=[row.key, form.result.number - 1])
        return _back(request, row, f"Saved as version {form.result.number}. {KEEPS}", undo=undo)
    return _form_page(request, form, row)


@require_http_methods(["GET", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    require_editor(request)
    form = InterventionForm(request.POST or None, key=key_for(request.POST.get("name", "")))
    if form.is_valid() and form.write(add_intervention, by=account_of(request)):
        return _back(request, form.result.intervention, "Added to the library.")
    return _form_page(request, form, None)


@require_POST
def version_again(request: HttpRequest, key: str, number: int) -> HttpResponse:
    """What an older version said, written as the newest: nothing of the history is lost by it."""
    row = intervention_to_change(request, key)
    old = get_object_or_404(row.versions, number=number)
    try:
        version = write_again(version=old, by=account_of(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return HttpResponseRedirect(_address(row))
    return _back(request, row, f"Version {number} is in force again, as version {version.number}. {KEEPS}")


@require_POST
def withdraw(request: HttpRequest, key: str) -> HttpResponse:
    row = intervention_to_change(request, key)
    withdraw_intervention(intervention=row, by=account_of(request), reason=request.POST.get("reason", ""))
    undo = reverse("plans:library-restore", args=[row.key])
    return _back(request, row, "Withdrawn: it is suggested no more. Work that runs goes on.", undo=undo)


@require_POST
def restore(request: HttpRequest, key: str) -> HttpResponse:
    row = intervention_to_change(request, key)
    restore_intervention(intervention=row, by=account_of(request))
    return _back(request, row, "It is in the library again.", undo=reverse("plans:library-withdraw", args=[row.key]))


def key_for(name: str) -> str:
    """The name in small letters, numbers and _; some letters by chance for a name that has none of these."""
    key = re.sub(r"[^a-z0-9]+", "_", slugify(name)).strip("_") or uuid4().hex[:8]
    return (key if key[0].isalpha() and key not in TAKEN else f"own_{key}")[:KEY_LENGTH]


def _form_page(request: HttpRequest, form: InterventionForm, row: Intervention | None) -> HttpResponse:
    context = {"form": form, "row": row, "back": _address(row) if row else reverse("plans:library")}
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "plans/intervention_form.html", context, status=status)


def _back(request: HttpRequest, row: Intervention, sentence: str, *, undo: str = "") -> HttpResponse:
    messages.success(request, sentence, extra_tags=f"undo:{undo}" if undo else "")
    return HttpResponseRedirect(_address(row))


def _address(row: Intervention) -> str:
    return reverse("plans:intervention", args=[row.key])
