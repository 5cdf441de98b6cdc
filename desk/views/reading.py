"""The page about reading by program."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from desk.selectors.api_lists import api_lists


@require_GET
def reading_by_program(request: HttpRequest) -> HttpResponse:
    return render(request, "desk/reading_by_program.html", {"lists": api_lists()})
