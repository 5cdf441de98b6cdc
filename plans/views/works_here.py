"""What works here: the table, the same as a file, and working it out again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from athletes.policy import Action, require
from athletes.requests import account_of
from athletes.saving import save_answer
from plans.library.words import KINDS
from plans.responding.works_here import FEWEST_ATHLETES
from plans.selectors.works_here_page import WORDS, WorksPage, works_here_page, works_table
from plans.works_here_asked import ask_for_table, is_asked_for


@require_GET
def works_here(request: HttpRequest) -> HttpResponse:
    """`?for=` a metric, `?kind=` of interventions. Asked for the first time it is worked out by the worker."""
    page = _page(request)
    is_waiting = is_asked_for() or (page.at is None and ask_for_table())
    context = {
        "page": page,
        "is_waiting": is_waiting,
        "words": WORDS,
        "fewest": FEWEST_ATHLETES,
        "kinds": KINDS,
        "metric": request.GET.get("for", ""),
        "kind": request.GET.get("kind", ""),
    }
    return render(request, "plans/works_here.html", context)


@require_GET
def save_works_here(request: HttpRequest) -> HttpResponse:
    return save_answer(request, "what-works-here", works_table(_page(request).rows))


@require_POST
def again(request: HttpRequest) -> HttpResponse:
    require(account_of(request), Action.WRITE_PLAN)
    if not ask_for_table():
        messages.error(request, "Nobody is there to work it out now. It is tried again tonight.")
    return redirect("plans:works-here")


def _page(request: HttpRequest) -> WorksPage:
    reader = account_of(request)
    require(reader, Action.WRITE_PLAN)
    return works_here_page(reader, metric=request.GET.get("for", ""), kind=request.GET.get("kind", ""))
