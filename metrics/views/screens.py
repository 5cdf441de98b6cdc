"""Screens entered by hand: the form of one athlete, its draft, what was saved and its undo."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from athletes.models import Athlete
from athletes.pages import who_of
from athletes.requests import account_of
from athletes.tabs import SCREENS, athlete_tabs
from athletes.views.answers import system_of, today_of
from metrics.forms_screens import ScreensForm, asked_screens, new_key, rounds_in
from metrics.models import ScreenDraft, ScreenEntry
from metrics.screen_access import athlete_being_typed, athlete_to_screen, draft_of, entry_or_404
from metrics.selectors.screens_page import Asked, EntryPage, entry_page, saved_page
from metrics.services.screens.drafts import keep_draft, throw_away_drafts
from metrics.services.screens.saving import save_screens, take_back_screens
from metrics.views.import_pages import many_uuids

UNPROCESSABLE = 422


@require_http_methods(["GET", "HEAD", "POST"])
def screens(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """`?screen=` opens at that screen, `?only=` shows just these first, `?draft=` goes on with what was typed."""
    athlete = athlete_to_screen(request, uuid)
    form = ScreensForm(request.POST or None)
    if form.is_valid() and form.hand_to(save_screens, athlete=athlete, by=account_of(request)):
        return _saved(request, form.result)
    context = {
        "page": page_of(request, athlete, form),
        "form": form,
        "who": who_of(athlete, today_of(request), account_of(request)),
        "tabs": athlete_tabs(athlete, account_of(request), SCREENS),
        "may_drop": True,
    }
    return render(request, "metrics/screens.html", context, status=UNPROCESSABLE if form.errors else 200)


def page_of(request: HttpRequest, athlete: Athlete, form: ScreensForm, only: list[str] | None = None) -> EntryPage:
    """The form as it was sent, else as its draft has it, else empty."""
    draft = None if form.is_bound else draft_of(request, athlete)
    sent = form.sent if form.is_bound else draft.payload if draft else {}
    rounds = sent.get("rounds", "")
    asked = Asked(
        key=_key_of(form, draft),
        screens=asked_screens(request) if only is None else only,
        sent=sent,
        errors=form.value_errors,
        arm=request.GET.get("arm", ""),
        system=system_of(request),
        rounds=int(rounds) if rounds.isdecimal() and "1" <= rounds <= "3" else rounds_in(request),
    )
    return entry_page(athlete, account_of(request), today_of(request), asked)


def _key_of(form: ScreensForm, draft: ScreenDraft | None) -> str:
    """The number that this form keeps until it is saved; one that was used up is replaced."""
    sent = str(form.data.get("key", "")) if form.is_bound and "key" not in form.errors else ""
    if sent and ScreenEntry.objects.filter(uuid=sent).exists():
        return new_key()
    return sent or (str(draft.uuid) if draft else new_key())


def _saved(request: HttpRequest, entry: ScreenEntry) -> HttpResponse:
    """On to the session, whose findings stand already; where pain was said, to the question what to do about it."""
    say_saved(request, entry, back=reverse("metrics:screens", args=[entry.session.athlete.uuid]))
    if saved_page(entry).pain:
        return redirect("metrics:screens-saved", entry.uuid)
    return redirect("metrics:session", entry.session.uuid)


def say_saved(request: HttpRequest, entry: ScreenEntry, *, back: str) -> None:
    """The notice with its Undo, which leads back to where it was typed."""
    count, name = len(entry.placed), entry.session.athlete.name
    place = f", session {entry.session.ordinal} of that day" if entry.session.ordinal > 1 else ""
    on = f"{entry.session.date:%-d %B %Y}{place}"
    sentence = f"{name}: {count} screen{'' if count == 1 else 's'} saved, measured on {on}."
    undo = f"{reverse('metrics:screens-undo', args=[entry.uuid])}?{urlencode({'next': back})}"
    messages.success(request, sentence, extra_tags=f"undo:{undo}")


@require_safe
def saved(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """After saving where pain was said: report it, or not; nothing is reported by itself."""
    entry = entry_or_404(request, uuid)
    if entry.undone_at or entry.session.withdrawn_at:
        raise Http404
    who = who_of(entry.session.athlete, today_of(request), account_of(request))
    return render(request, "metrics/screens_saved.html", {"saved": saved_page(entry), "who": who})


@require_POST
def undo(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Takes one act of saving back; what was typed stands in the form again."""
    entry = entry_or_404(request, uuid, to_change=True)
    athlete = entry.session.athlete
    back = request.GET.get("next", "")
    if not url_has_allowed_host_and_scheme(back, allowed_hosts=None, require_https=request.is_secure()):
        back = reverse("metrics:screens", args=[athlete.uuid])
    try:
        draft = take_back_screens(entry=entry, by=account_of(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(back)
    messages.success(request, f"Taken back from {athlete}. What was typed is in the form again.")
    return redirect(f"{back}{'&' if '?' in back else '?'}draft={draft.uuid}")


@require_POST
def draft(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Keeps what the form holds. The page sends it after each value; without script a button does."""
    athlete = athlete_being_typed(request, uuid)
    form = ScreensForm(request.POST)
    form.full_clean()
    quiet = request.headers.get("X-Requested-With") == "fetch"
    if "key" in form.errors:
        return HttpResponse(status=UNPROCESSABLE) if quiet else redirect("metrics:screens", uuid)
    try:
        kept = keep_draft(athlete=athlete, by=account_of(request), key=form.cleaned_data["key"], sent=form.sent)
    except ValidationError as error:
        return HttpResponse(" ".join(error.messages), status=UNPROCESSABLE, content_type="text/plain; charset=utf-8")
    if quiet:
        return HttpResponse(status=204)
    messages.success(request, "Kept as a draft for a week. Only you see it." if kept else "Nothing was typed yet.")
    return redirect(f"{reverse('metrics:screens', args=[uuid])}{f'?draft={kept.uuid}' if kept else ''}")


@require_POST
def throw_away(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Every draft of this athlete but that of the form which is open."""
    athlete = athlete_being_typed(request, uuid)
    keep = next(iter(many_uuids([request.POST.get("keep", "")])), None)
    throw_away_drafts(athlete=athlete, by=account_of(request), keep=keep)
    messages.success(request, "The draft is thrown away.")
    return redirect(f"{reverse('metrics:screens', args=[uuid])}{f'?draft={keep}' if keep else ''}")
