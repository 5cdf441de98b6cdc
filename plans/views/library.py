"""The library of interventions: the list, one of them, and its older versions."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from athletes.requests import account_of
from athletes.saving import save_answer
from plans.library import tell_dose, tell_supervision
from plans.library.words import BAND_WORDS, BANDS, KINDS
from plans.library_access import intervention_or_404, require_library
from plans.selectors.library import (
    STATES,
    THROWS,
    Choice,
    LibraryRow,
    by_kind,
    library_entry,
    library_rows,
    purposes_in_use,
)

LIST = "plans/_library_list.html"


def _dose_cell(band: str, row: LibraryRow) -> str:
    dose = row.value.doses.get(band)
    return f"{tell_dose(dose)}, {tell_supervision(dose)}" if dose else ""


COLUMNS: dict[str, Callable[[LibraryRow], Any]] = {
    "Kind": lambda row: row.value.kind,
    "Name": lambda row: row.value.name,
    "For": lambda row: "; ".join(row.purposes),
    "Instructions": lambda row: " ".join(row.value.instructions),
    "Cautions": lambda row: " ".join(row.value.cautions),
    **{f"Dose, {BAND_WORDS[band]}": partial(_dose_cell, band) for band in BANDS},
    "Throws": lambda row: "yes" if row.value.has_throws else "no",
    "Look again": lambda row: row.weeks,
    "Source": lambda row: row.value.source,
    "Status": lambda row: row.status,
    "Athletes who have it now": lambda row: row.running,
}


def choice_of(request: HttpRequest) -> Choice:
    """Words of no list are as good as none."""
    asked = request.GET
    return Choice(
        words=asked.get("q", "")[:100],
        kind=_known(asked.get("kind", ""), KINDS),
        purpose=asked.get("for", "")[:80],
        band=_known(asked.get("age", ""), BANDS),
        throws=_known(asked.get("throws", ""), THROWS),
        state=_known(asked.get("state", ""), STATES),
    )


@require_GET
@vary_on_headers("HX-Request")
def library(request: HttpRequest) -> HttpResponse:
    may_change = require_library(request)
    reader, choice = account_of(request), choice_of(request)
    rows = library_rows(reader, choice)
    context = {"kinds": by_kind(rows), "count": len(rows), "choice": choice, "may_change": may_change}
    if request.headers.get("HX-Request"):
        return render(request, LIST, context)
    return render(request, "plans/library.html", {**context, "selects": _selects(choice, purposes_in_use(reader))})


@require_GET
def save_library(request: HttpRequest) -> HttpResponse:
    """The rows that the same choices show."""
    require_library(request)
    rows = library_rows(account_of(request), choice_of(request))
    return save_answer(request, "library", [list(COLUMNS), *map(_cells, rows)])


@require_GET
def intervention(request: HttpRequest, key: str, number: int | None = None) -> HttpResponse:
    """`number`: an older version, as it was."""
    row, may_change = intervention_or_404(request, key)
    entry = library_entry(row, account_of(request), number)
    if entry is None:
        raise Http404
    return render(request, "plans/intervention.html", {"entry": entry, "may_change": may_change})


def _cells(row: LibraryRow) -> list[Any]:
    return [read(row) for read in COLUMNS.values()]


def _selects(choice: Choice, purposes: list[tuple[str, str]]) -> list[dict[str, Any]]:
    kinds = [("", "Every kind"), *((kind, kind.capitalize()) for kind in KINDS)]
    ages = [("", "Every age"), *((band, f"Age {BAND_WORDS[band]}") for band in BANDS)]
    throws = [("", "With or without throws"), *((key, word.capitalize()) for key, word in THROWS.items())]
    states = [(key, word.capitalize()) for key, word in STATES.items()]
    return [
        {"name": "kind", "label": "Kind", "chosen": choice.kind, "options": kinds},
        {"name": "for", "label": "For", "chosen": choice.purpose, "options": [("", "For anything"), *purposes]},
        {"name": "age", "label": "Age", "chosen": choice.band, "options": ages},
        {"name": "throws", "label": "Throws", "chosen": choice.throws, "options": throws},
        {"name": "state", "label": "State", "chosen": choice.state, "options": states},
    ]


def _known(word: str, words: Any) -> str:
    return word if word in words else ""
