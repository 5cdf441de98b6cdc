"""One address for an upload: its progress, its match page, its preview, and what it became; and the answers to it."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from athletes.models import Athlete
from athletes.policy import Action, require
from athletes.requests import account_of
from metrics.forms_imports import AcceptForm, AthleteForm, ConditionsForm, DateForm, TargetForm
from metrics.import_access import answer_to_preview, cleaned, draft_or_404, unit_to_answer, unit_to_read
from metrics.models import ImportUnit
from metrics.selectors.import_units import readings_table
from metrics.selectors.imports import athlete_options, upload_lines
from metrics.services.imports import accepting, answers, undoing
from metrics.services.imports.payloads import Payload
from metrics.views.import_pages import STATE_PAGES, many_uuids, problems_saved
from sessions.models import Method, Upload
from sessions.upload_access import upload_or_404


@require_safe
def page(request: HttpRequest, uuid: UUID) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    template, context = STATE_PAGES[Upload.State(upload.state)](request, upload)
    return render(request, "metrics/import.html", {"upload": upload, "part": template, **context})


@require_safe
def unit(request: HttpRequest, uuid: UUID, unit_uuid: UUID) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    one = unit_to_read(request, upload, unit_uuid)
    context = {
        "upload": upload,
        "unit": one,
        "method_word": Method(one.method).label,
        "table": readings_table(Payload.from_json(one.payload)),
        "athletes": athlete_options(account_of(request)),
        "athlete_uuid": str(one.athlete.uuid) if one.athlete else "",
        "can_change": one.state != one.State.ACCEPTED and not upload.is_working,
    }
    return render(request, "metrics/import_unit.html", context)


@require_safe
def lines(request: HttpRequest) -> HttpResponse:
    found = upload_lines(account_of(request), many_uuids(request.GET.getlist("upload")))
    return render(request, "metrics/_import_lines.html", {"lines": found})


@require_safe
def problems(request: HttpRequest, uuid: UUID) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    return problems_saved(request, draft_or_404(upload))


@answer_to_preview
def conditions(request: HttpRequest, upload: Upload) -> None:
    form = ConditionsForm(request.POST)
    warm_up = cleaned(form)["warm_up_first"] or 0
    answers.choose_conditions(draft=draft_or_404(upload), conditions=form.conditions(), warm_up_first=warm_up)
    messages.success(request, "The conditions hold for all throws of this file.")


@answer_to_preview
def keep_values(request: HttpRequest, upload: Upload) -> None:
    answers.keep_implausible_values(draft=draft_or_404(upload), by=account_of(request))


@answer_to_preview
def choose_athlete(request: HttpRequest, upload: Upload, unit_uuid: UUID) -> None:
    one = unit_to_answer(request, upload, unit_uuid)
    key = cleaned(AthleteForm(request.POST))["athlete"]
    athlete = get_object_or_404(Athlete.objects.visible_to(account_of(request)), uuid=key)
    count = answers.choose_athlete(unit=one, athlete=athlete, by=account_of(request))
    messages.success(request, f"{_parts(one, count)} {athlete}’s.")


@answer_to_preview
def set_date(request: HttpRequest, upload: Upload, unit_uuid: UUID) -> None:
    one = unit_to_answer(request, upload, unit_uuid)
    count = answers.set_date(unit=one, date=cleaned(DateForm(request.POST))["date"])
    if count > 1:
        messages.success(request, f"{_parts(one, count)} of that day.")


def _parts(unit: ImportUnit, count: int) -> str:
    """One answer for several parts, in words."""
    if count == 1:
        return "These throws are"
    return f"{count} recordings that came together are" if unit.draft.is_motion else f"{count} parts of the file are"


@answer_to_preview
def set_target(request: HttpRequest, upload: Upload, unit_uuid: UUID) -> None:
    one = unit_to_answer(request, upload, unit_uuid)
    answers.set_target(unit=one, target=cleaned(TargetForm(request.POST))["target"])


@answer_to_preview
def leave_out(request: HttpRequest, upload: Upload, unit_uuid: UUID) -> None:
    answers.leave_out(unit=unit_to_answer(request, upload, unit_uuid), out=True)
    undo = reverse("metrics:unit-take-back", args=[upload.uuid, unit_uuid])
    messages.success(request, "Left out: these throws become no session.", extra_tags=f"undo:{undo}")


@answer_to_preview
def take_back(request: HttpRequest, upload: Upload, unit_uuid: UUID) -> None:
    answers.leave_out(unit=unit_to_answer(request, upload, unit_uuid), out=False)


@require_POST
def accept(request: HttpRequest, uuid: UUID) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    from_list = request.POST.get("back") == "list"
    accept_as_seen(request, upload)
    return redirect("sessions:uploads") if from_list else redirect("metrics:import", upload.uuid)


def accept_as_seen(request: HttpRequest, upload: Upload) -> None:
    """Accepts what the person saw; anything else is said."""
    form = AcceptForm(request.POST)
    draft_or_404(upload)
    try:
        accepting.accept(upload=upload, by=account_of(request), read_at=cleaned(form)["read_at"])
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))


@require_POST
def accept_ready(request: HttpRequest) -> HttpResponse:
    """Accepts every upload that asks nothing."""
    require(account_of(request), Action.CHANGE)
    ready = Upload.objects.visible_to(account_of(request)).filter(state=Upload.State.READY)
    count = sum(_accept_if_it_asks_nothing(request, upload) for upload in ready)
    messages.success(request, f"{count} upload{'' if count == 1 else 's'} accepted. They are stored and judged now.")
    return redirect("sessions:uploads")


def _accept_if_it_asks_nothing(request: HttpRequest, upload: Upload) -> bool:
    """What was ready may ask something by now, such as a consent that was withdrawn; then that is said."""
    try:
        return accepting.accept(upload=upload, by=account_of(request))
    except ValidationError as error:
        messages.error(request, f"“{upload.filename}” was not accepted. {' '.join(error.messages)}")
        return False


@require_POST
def undo(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Withdraws all that the upload made, as one act."""
    return _as_a_whole(request, uuid, undoing.undo_import, "withdrawn", undo_name="metrics:import-bring-back")


@require_POST
def bring_back(request: HttpRequest, uuid: UUID) -> HttpResponse:
    return _as_a_whole(request, uuid, undoing.bring_back, "back", undo_name="metrics:import-undo")


def _as_a_whole(
    request: HttpRequest, uuid: UUID, act: Callable[..., int], word: str, *, undo_name: str
) -> HttpResponse:
    upload = upload_or_404(request, uuid)
    draft_or_404(upload)
    try:
        count = act(upload=upload, by=account_of(request))
        said = f"{count} session{'' if count == 1 else 's'} of this file {'is' if count == 1 else 'are'} {word}."
        messages.success(request, said, extra_tags=f"undo:{reverse(undo_name, args=[upload.uuid])}")
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect("metrics:import", upload.uuid)
