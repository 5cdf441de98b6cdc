"""A station on a team day: one screen or some, many athletes, the next by one tap; and the sheet of paper."""

from __future__ import annotations

from collections.abc import Sequence

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe

from athletes.models import Athlete, TrainingGroup
from athletes.models.people import AthleteQuerySet
from athletes.pages import who_of
from athletes.policy import Action, require
from athletes.requests import account_of, facility_of
from athletes.view_notes import note_view
from athletes.views.answers import system_of, today_of
from metrics.catalogue.screen_form import PARTS, load_screen_form
from metrics.forms_screens import ScreensForm, StationForm
from metrics.screen_access import athlete_to_screen
from metrics.selectors.screens import FormNeeds, blocks_of, last_values
from metrics.selectors.screens_page import Station, station_of
from metrics.services.screens.saving import save_screens
from metrics.views.import_pages import many_uuids
from metrics.views.screens import UNPROCESSABLE, page_of, say_saved


@require_http_methods(["GET", "HEAD", "POST"])
def station(request: HttpRequest) -> HttpResponse:
    """Asked for without screens or people, the choice of both; with them, one athlete after another."""
    require(account_of(request), Action.ENTER_SCREENS)
    chosen = _choice(request)
    people = _people(request, chosen) if chosen.is_valid() else []
    if not people or not chosen.cleaned_data["only"]:
        return _choose(request, chosen)
    line = station_of(
        people, chosen.cleaned_data["only"], chosen.cleaned_data["at"], today_of(request), facility_of(request)
    )
    if line.at is None:
        return render(request, "metrics/screens_station.html", {"station": line, "page": None, "base": _base(request)})
    note_view(request, line.at, "screens at a station")
    form = ScreensForm(request.POST or None)
    if form.is_valid() and form.hand_to(save_screens, athlete=line.at, by=account_of(request)):
        say_saved(request, form.result, back=f"{_base(request)}&at={line.at.uuid}")
        return redirect(f"{_base(request)}{f'&at={line.following}' if line.following else ''}")
    return _form_at(request, line, form, chosen.cleaned_data["only"])


def _form_at(request: HttpRequest, line: Station, form: ScreensForm, only: list[str]) -> HttpResponse:
    assert line.at is not None
    context = {
        "station": line,
        "page": page_of(request, line.at, form, only),
        "form": form,
        "base": _base(request),
        "may_drop": False,
        "who": who_of(line.at, today_of(request), account_of(request)),
    }
    return render(request, "metrics/screens_station.html", context, status=UNPROCESSABLE if form.errors else 200)


def _choice(request: HttpRequest) -> StationForm:
    """`?only=` takes names of screens and keys of their metrics, also several with commas between."""
    data = request.GET.copy()
    said = [name for text in request.GET.getlist("only") for name in text.split(",")]
    data.setlist("only", [one.screen for one in load_screen_form().asked(said)])
    groups = TrainingGroup.objects.filter(athletes__in=_visible(request)).distinct()
    return StationForm(data, athletes=_visible(request), groups=groups)


def _visible(request: HttpRequest) -> AthleteQuerySet:
    return Athlete.objects.visible_to(account_of(request))


def _people(request: HttpRequest, chosen: StationForm) -> Sequence[Athlete]:
    """Whom the station sees: a list, a group, the reader's own, or everyone whom the reader may see.

    *Mine* stands chosen from the start: somebody who then names athletes or a group means those.
    """
    who, said = chosen.cleaned_data["who"], chosen.cleaned_data
    if who == "mine":
        who = "list" if said["athlete"] else "group" if said["group"] else who
    shown = _visible(request).with_facts()
    if who == "list":
        return list(shown.filter(pk__in=said["athlete"]))
    if who == "group":
        return list(shown.filter(groups=said["group"])) if said["group"] else []
    if who == "mine" and account_of(request).is_coaching_staff:
        return list(shown.filter(responsible_coach=account_of(request)))
    return list(shown) if who else []


def _choose(request: HttpRequest, chosen: StationForm) -> HttpResponse:
    form = load_screen_form()
    said = chosen.cleaned_data if chosen.is_bound else {}
    context = {
        "chosen": form.chosen,
        "rest": [(part, [s for s in form.screens if s.part == part and not s.chosen]) for part in PARTS],
        "picked": said.get("only", []),
        "whose": said.get("who") or "mine",
        "groups": chosen.fields["group"].queryset,  # type: ignore[attr-defined]
        "athletes": _visible(request),
        "asked": "who" in request.GET,
    }
    return render(request, "metrics/screens_station_choice.html", context)


def _base(request: HttpRequest) -> str:
    """The station's address without the athlete who stands there."""
    kept = [
        (name, value) for name in ("only", "who", "group", "athlete") for value in request.GET.getlist(name) if value
    ]
    return f"{reverse('metrics:screens-station')}?{urlencode(kept)}"


@require_safe
def blank(request: HttpRequest) -> HttpResponse:
    """One page to print: the chosen twelve, empty; `?athlete=` puts the name and the last values on it."""
    require(account_of(request), Action.ENTER_SCREENS)
    named = request.GET.get("athlete", "")
    athlete = None
    if named:
        uuid = next(iter(many_uuids([named])), None)
        if uuid is None:
            raise Http404
        athlete = athlete_to_screen(request, uuid, what="blank sheet of screens")
    arm = athlete.throws if athlete else ""
    needs = FormNeeds(arm, system_of(request), last_values(athlete, account_of(request)) if athlete else {}, {}, {})
    today = today_of(request)
    context = {
        "blocks": blocks_of(load_screen_form().chosen, needs),
        "athlete": athlete,
        "today": today,
        "who": who_of(athlete, today, account_of(request)) if athlete else None,
    }
    return render(request, "metrics/screens_blank.html", context)
