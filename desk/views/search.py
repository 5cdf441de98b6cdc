"""The search of the top bar."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from athletes.requests import account_of
from desk.context import SEARCHING
from desk.selectors.search import search
from desk.views.access import for_roles


@require_GET
@for_roles(SEARCHING)
def search_page(request: HttpRequest) -> HttpResponse:
    """A single athlete found is opened at once."""
    text = request.GET.get("q", "")[:80]
    found = search(account_of(request), text)
    if found.only_address_of:
        return redirect("desk:record", found.only_address_of)
    return render(request, "desk/search.html", {"found": found, "text": text.strip()})
