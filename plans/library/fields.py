"""An intervention as plain fields (texts, numbers, lists), as a file or a database keeps it, and back.

`from_fields(to_fields(one)) == one`. Here only the form is checked; what an intervention must keep to, `problems_of`
says.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

from plans.library.checks import SPANS
from plans.library.errors import BadLibrary
from plans.library.model import Dose, End, Intervention
from plans.library.words import BANDS

TEXTS = ("key", "name", "kind", "effort", "load", "source", "status")
LISTS = ("instructions", "cautions")
NEEDED_SWITCHES = ("has_throws",)
SWITCHES = ("is_restraint", "is_return", "has_impact", "needs_pain")
OTHERS = ("answers", "recheck_weeks", "doses")
DOSE_TEXTS = ("supervision", "basis")


def to_fields(one: Intervention) -> dict[str, Any]:
    """Texts, numbers, switches, lists and tables of them, fit for JSON; what says nothing is left out."""
    fields: dict[str, Any] = {name: getattr(one, name) for name in (*TEXTS, *NEEDED_SWITCHES)}
    fields |= {name: list(getattr(one, name)) for name in (*LISTS, "recheck_weeks")}
    fields |= {name: True for name in SWITCHES if getattr(one, name)}
    fields["answers"] = [list(end) for end in one.answers]
    fields["doses"] = {band: dose_to_fields(dose) for band, dose in one.doses.items()}
    if one.not_in:
        fields["not_in"] = dict(one.not_in)
    return fields


def from_fields(fields: Mapping[str, Any], place: str) -> Intervention:
    """The intervention of these fields. Raises BadLibrary with ``place`` and the field, for what has another form."""
    _check_fields(fields, (*TEXTS, *LISTS, *NEEDED_SWITCHES, *OTHERS), (*SWITCHES, "not_in"), place)
    values: dict[str, Any] = {name: _text(fields[name], f"{place}, {name}") for name in TEXTS}
    values |= {name: _texts(fields[name], f"{place}, {name}") for name in LISTS}
    for name in (*NEEDED_SWITCHES, *SWITCHES):
        values[name] = _switch(fields.get(name, False), f"{place}, {name}")
    return Intervention(
        **values,
        answers=_answers(fields["answers"], f"{place}, answers"),
        recheck_weeks=_span(fields["recheck_weeks"], (int,), f"{place}, recheck_weeks"),
        doses=MappingProxyType(_doses(fields["doses"], f"{place}, doses")),
        not_in=MappingProxyType(_table_of_texts(fields.get("not_in", {}), f"{place}, not_in")),
    )


def dose_to_fields(dose: Dose) -> dict[str, Any]:
    """One dose, as `to_fields` writes it."""
    fields: dict[str, Any] = {name: getattr(dose, name) for name in DOSE_TEXTS}
    fields |= {name: list(span) for name in (*SPANS, "load_kg") if (span := getattr(dose, name)) is not None}
    fields |= {"each_side": True} if dose.each_side else {}
    fields |= {"moves": dose.moves} if dose.moves != 1 else {}
    return fields | ({"words": dose.words} if dose.words else {})


def _answers(value: object, place: str) -> tuple[End, ...]:
    found: list[End] = []
    for pair in value if isinstance(value, list) else [value]:
        if not (isinstance(pair, list) and len(pair) == 2 and all(isinstance(part, str) for part in pair)):
            raise BadLibrary(f'{place}: pairs of metric and direction are needed. Write ["stride_length", "low"].')
        found.append((pair[0], pair[1]))
    return tuple(found)


def _check_fields(entry: Mapping[str, Any], needed: Iterable[str], allowed: Iterable[str], place: str) -> None:
    for name in needed:
        if name not in entry:
            raise BadLibrary(f"{place}, {name}: the field is missing. Add it.")
    for name in entry:
        if name not in (*needed, *allowed):
            raise BadLibrary(f"{place}, {name}: no such field. Take it away.")


def _doses(table: object, place: str) -> dict[str, Dose]:
    """Band of age → dose, the youngest first."""
    if not isinstance(table, dict):
        raise BadLibrary(f"{place}: a table of bands of age is needed. Write doses.adult = {{ … }}.")
    for band in table:
        if band not in BANDS:
            raise BadLibrary(f"{place}, {band}: not one of {', '.join(BANDS)}. Write one of these.")
    return {band: dose_from_fields(table[band], f"{place}.{band}") for band in BANDS if band in table}


def dose_from_fields(entry: object, place: str) -> Dose:
    """The dose of these fields; whether it is one that may be given, `problems_of` says. Raises BadLibrary."""
    if not isinstance(entry, dict):
        raise BadLibrary(f"{place}: a table is needed. Write {{ sets = [2, 3], … }}.")
    _check_fields(entry, DOSE_TEXTS, (*SPANS, "load_kg", "each_side", "moves", "words"), place)
    moves = entry.get("moves", 1)
    if not isinstance(moves, int) or isinstance(moves, bool):
        raise BadLibrary(f"{place}, moves: a whole number is needed. Write one.")
    return Dose(
        supervision=_text(entry["supervision"], f"{place}, supervision"),
        basis=_text(entry["basis"], f"{place}, basis"),
        load_kg=_span(entry["load_kg"], (int, float), f"{place}, load_kg") if "load_kg" in entry else None,
        each_side=_switch(entry.get("each_side", False), f"{place}, each_side"),
        moves=moves,
        words=_text(entry["words"], f"{place}, words") if "words" in entry else "",
        **{name: _span(entry[name], (int,), f"{place}, {name}") for name in SPANS if name in entry},
    )


def _span(value: object, types: tuple[type, ...], place: str) -> Any:
    """Two numbers; whether they are a dose, the checks say."""
    ends = value if isinstance(value, list) else []
    if len(ends) != 2 or not all(isinstance(end, types) and not isinstance(end, bool) for end in ends):
        what = "two numbers" if float in types else "two whole numbers"
        raise BadLibrary(f"{place}: {what} are needed, least and most. Write [2, 3].")
    return tuple(ends)


def _text(value: object, place: str) -> str:
    if not isinstance(value, str) or not value.strip():
        raise BadLibrary(f"{place}: text is needed. Fill it in.")
    return value


def _texts(value: object, place: str) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise BadLibrary(f"{place}: a list of sentences is needed. Write one.")
    return tuple(_text(text, place) for text in value)


def _table_of_texts(value: object, place: str) -> dict[str, str]:
    if not isinstance(value, dict):
        raise BadLibrary(f'{place}: a table of season phases is needed. Write {{ in_season = "…" }}.')
    return {name: _text(text, f"{place}, {name}") for name, text in value.items()}


def _switch(value: object, place: str) -> bool:
    if not isinstance(value, bool):
        raise BadLibrary(f"{place}: true or false is needed. Write one of them.")
    return value
