"""Writing a note, taking it back, and bringing it back."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.access import athlete_or_404, require_change
from athletes.forms import NoteForm
from athletes.models import Note
from athletes.requests import account_of
from athletes.services.notes import add_note, undo_withdraw_note, withdraw_note
from athletes.views.answers import done, form_page


@require_http_methods(["GET", "POST"])
def add(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = require_change(athlete_or_404(request, uuid, what="notes"))
    form = NoteForm(request.POST or None)
    if form.is_valid() and form.hand_to(add_note, athlete=athlete, by=account_of(request)):
        undo = reverse("athletes:note-withdraw", args=[athlete.uuid, form.result.uuid])
        return done(request, athlete, "Note saved.", undo=undo)
    return form_page(request, form, heading="Note", button="Save", athlete=athlete)


@require_POST
def withdraw(request: HttpRequest, uuid: UUID, note_uuid: UUID) -> HttpResponse:
    athlete = require_change(athlete_or_404(request, uuid, what="notes"))
    note = get_object_or_404(Note.everything, athlete=athlete, uuid=note_uuid)
    withdraw_note(note=note, by=account_of(request))
    return done(request, athlete, "Note withdrawn.", undo=reverse("athletes:note-restore", args=[uuid, note_uuid]))


@require_POST
def restore(request: HttpRequest, uuid: UUID, note_uuid: UUID) -> HttpResponse:
    athlete = require_change(athlete_or_404(request, uuid, what="notes"))
    note = get_object_or_404(Note.everything, athlete=athlete, uuid=note_uuid)
    undo_withdraw_note(note=note, by=account_of(request))
    return done(request, athlete, "The note is back.")
