"""Two records that are one person: side by side, made one, and apart again."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.access import athlete_or_404, merged_athlete_or_404, require_change
from athletes.merge_preview import merge_preview
from athletes.models import Athlete, ChangeLog
from athletes.pages import record_url, who_of
from athletes.requests import account_of
from athletes.services.merging import MERGED, merge_athletes
from athletes.undo import CannotUndo, undo
from athletes.view_notes import note_view
from athletes.views.answers import UNPROCESSABLE, today_of


@require_http_methods(["GET", "HEAD", "POST"])
def same_person(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Who is the same; with `?other=`, both side by side; posted with which one `stays`, they are one."""
    athlete = require_change(athlete_or_404(request, uuid, what="same person"))
    asked = request.POST.get("other") or request.GET.get("other", "")
    other = _other(request, asked)
    if other is None or request.method != "POST":
        return _page(request, athlete, other, "Choose the other record from the list." if asked and not other else "")
    stays = {str(one.uuid): one for one in (athlete, other)}.get(request.POST.get("stays", ""))
    if stays is None:
        return _page(request, athlete, other, "Choose which of the two records stays.")
    goes = other if stays == athlete else athlete
    try:
        entry = merge_athletes(kept=stays, merged=goes, by=account_of(request))
    except ValidationError as error:
        return _page(request, athlete, other, " ".join(error.messages))
    messages.success(
        request, _said(stays, entry), extra_tags=f"undo:{reverse('athletes:apart-again', args=[goes.uuid])}"
    )
    return redirect(record_url(stays.uuid))


@require_POST
def apart_again(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Undoes the merging of this record into another."""
    merged = merged_athlete_or_404(request, uuid)
    kept = merged.merged_into
    assert kept is not None
    note_view(request, kept, "records parted again")
    try:
        undo(entry=ChangeLog.objects.filter(object_uuid=uuid, action=MERGED)[:1].get(), by=account_of(request))
    except CannotUndo as refused:
        messages.error(request, refused.sentence)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "They are two records again.")
    return redirect(record_url(kept.uuid))


def _other(request: HttpRequest, asked: str) -> Athlete | None:
    try:
        wanted = UUID(asked)
    except ValueError:
        return None
    other = Athlete.objects.visible_to(account_of(request)).filter(uuid=wanted).first()
    if other is not None:
        note_view(request, other, "same person")
    return other


def _said(kept: Athlete, entry: ChangeLog) -> str:
    """What was done, and what could not go along."""
    kinds = [f"{kind}: {', '.join(words)}" for kind, words in entry.after["stays"].items()]
    left = f" Left with the other record: {'; '.join(kinds)}." if kinds else ""
    return f"Both records are one: {kept.name}.{left} Findings are being worked out again."


def _page(request: HttpRequest, athlete: Athlete, other: Athlete | None, wrong: str) -> HttpResponse:
    """Choose whom, or look at both; 422 when what was sent cannot be."""
    context = {
        "athlete": athlete,
        "other": other,
        "preview": merge_preview(athlete, other) if other else None,
        "who": who_of(athlete, today_of(request), account_of(request)),
        "people": Athlete.objects.visible_to(account_of(request)).exclude(pk=athlete.pk) if other is None else (),
        "wrong": wrong,
        "back": record_url(athlete.uuid),
    }
    return render(request, "athletes/same_person.html", context, status=UNPROCESSABLE if wrong else 200)
