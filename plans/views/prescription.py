"""One work of a plan: changed while it runs, stopped, gone on with, shown to the family."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.pages import NO_READER, family_reader, who_of
from athletes.requests import account_of, facility_of
from athletes.tabs import PLAN, athlete_tabs
from athletes.today import facility_today
from plans.forms_prescribing import ChangeForm, RevisionForm, ShowForm, StopForm
from plans.library import tell_dose
from plans.models import Prescription
from plans.plan_access import prescription_to_change
from plans.services.prescribing import CHANGED_MEANWHILE, Order, change_order, dose_of, stop_work
from plans.services.showing import show_work
from plans.services.undoing import go_on_with

CONFLICT, UNPROCESSABLE = 409, 422


@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, uuid: UUID, prescription_uuid: UUID) -> HttpResponse:
    """Another dose, note or date. A form that comes late keeps what was typed beside what stands now."""
    row = prescription_to_change(request, uuid, prescription_uuid, what="form to change work")
    if row.ended_on is not None:
        messages.error(request, f"“{row.version.name}” has ended. Give it again to change it.")
        return redirect("plans:plan", uuid)
    form = _change_form(request, row)
    if request.method != "POST" or not form.is_valid():
        return _page(request, row, form)
    typed = form.cleaned_data
    order = Order(form.dose, typed["start"], typed["due"], typed["note"], typed["is_shown"])
    try:
        change_order(prescription=row, order=order, seen=typed["revision"], by=account_of(request))
    except ValidationError as error:
        form.refuse(error)
        return _page(request, row, form, late=CHANGED_MEANWHILE in error.messages)
    messages.success(request, f"Changed: “{row.version.name}”.")
    return redirect("plans:plan", uuid)


@require_POST
def stop(request: HttpRequest, uuid: UUID, prescription_uuid: UUID) -> HttpResponse:
    row = prescription_to_change(request, uuid, prescription_uuid, what="work stopped")
    form = StopForm(request.POST)

    def act() -> Prescription:
        note = form.cleaned_data["note"]
        return stop_work(prescription=row, seen=form.cleaned_data["revision"], by=account_of(request), note=note)

    return _do(request, row, form, act, f"Stopped: “{row.version.name}”.", undo="plans:go-on")


@require_POST
def go_on(request: HttpRequest, uuid: UUID, prescription_uuid: UUID) -> HttpResponse:
    """`?seen=` in the address of an undo, or posted."""
    row = prescription_to_change(request, uuid, prescription_uuid, what="work gone on with")
    form = RevisionForm(request.POST if "revision" in request.POST else {"revision": request.GET.get("seen")})

    def act() -> Prescription:
        return go_on_with(prescription=row, seen=form.cleaned_data["revision"], by=account_of(request))

    return _do(request, row, form, act, f"“{row.version.name}” runs again.")


@require_POST
def show(request: HttpRequest, uuid: UUID, prescription_uuid: UUID) -> HttpResponse:
    """Shows it to the family, or no longer."""
    row = prescription_to_change(request, uuid, prescription_uuid, what="work shown")
    form = ShowForm(request.POST)

    def act() -> Prescription:
        told = form.cleaned_data
        return show_work(prescription=row, is_shown=told["is_shown"], seen=told["revision"], by=account_of(request))

    return _do(request, row, form, act, _shown(row, is_shown="is_shown" in request.POST))


def _shown(row: Prescription, *, is_shown: bool) -> str:
    name = f"“{row.version.name}”"
    if not is_shown:
        return f"The family no longer reads it: {name}."
    return f"The family reads it now: {name}." if family_reader(row.athlete) else f"Shown: {name}. {NO_READER}"


def _do(
    request: HttpRequest,
    row: Prescription,
    form: RevisionForm,
    act: Callable[[], Prescription],
    said: str,
    undo: str = "",
) -> HttpResponse:
    """Does it and leads back to the plan, with words where it was refused."""
    try:
        if not form.is_valid():
            raise ValidationError(CHANGED_MEANWHILE)
        done = act()
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        back = reverse(undo, args=[row.athlete.uuid, row.uuid]) + f"?seen={done.revision}" if undo else ""
        messages.success(request, said, extra_tags=f"undo:{back}" if back else "")
    return redirect("plans:plan", row.athlete.uuid)


def _change_form(request: HttpRequest, row: Prescription) -> ChangeForm:
    follow_up = row.follow_ups.filter(decision="").first()
    shown = {
        "start": row.start,
        "due": follow_up.due if follow_up else None,
        "is_shown": row.is_shown,
        "note": row.note,
        "revision": row.revision,
    }
    return ChangeForm(request.POST if request.method == "POST" else None, base=dose_of(row), shown=shown)


def _page(request: HttpRequest, row: Prescription, form: ChangeForm, *, late: bool = False) -> HttpResponse:
    reader, today = account_of(request), facility_today(facility_of(request))
    if late:
        row.refresh_from_db()
        form.show_revision(row.revision)
    context = {
        "athlete": row.athlete,
        "row": row,
        "value": row.version.value,
        "form": form,
        "now": _as_it_stands(row) if late else "",
        "who": who_of(row.athlete, today, reader),
        "tabs": athlete_tabs(row.athlete, reader, PLAN),
    }
    status = 200 if request.method != "POST" else CONFLICT if late else UNPROCESSABLE
    return render(request, "plans/change.html", context, status=status)


def _as_it_stands(row: Prescription) -> str:
    due = row.follow_ups.filter(decision="").values_list("due", flat=True).first()
    shown = "shown to the family" if row.is_shown else "not shown to the family"
    note = f", “{row.note}”" if row.note else ""
    again = f", look again on {due:%-d %B %Y}" if due else ""
    return f"{tell_dose(dose_of(row))}, from {row.start:%-d %B %Y}{again}, {shown}{note}."
