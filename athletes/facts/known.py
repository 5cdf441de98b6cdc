"""Rows that facts rest on, read ahead for one athlete on the page that families open."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db.models import QuerySet

from athletes.models import Athlete, Availability, BodySize, CheckIn, Consent, PainReport
from athletes.worded import Keys, worded_once


def know(athlete: Athlete, on: dt.date) -> None:
    """What the facts of sizes, availability, consent and pain ask for, and the check-ins of one date.

    Five queries that are put into SQL once; for a list of athletes `with_facts()` takes as many for all of them.
    """
    keys = Keys.of([athlete.pk])
    for name, ask in READ_AHEAD.items():
        setattr(athlete, f"known_{name}", ask(keys))
    athlete.known_check_ins = _check_ins(keys, on)  # type: ignore[attr-defined]  # as by `check_ins_of`


def rows_of(athlete: Athlete, name: str) -> list[Any]:
    """Of a relation by its name: those read ahead, else those of the database or its prefetch."""
    known: list[Any] | None = getattr(athlete, f"known_{name}", None)
    return list(getattr(athlete, name).all()) if known is None else known


@worded_once
def _body_sizes(athletes: Keys) -> QuerySet:
    return BodySize.objects.filter(athlete__in=athletes.places)


@worded_once
def _availabilities(athletes: Keys) -> QuerySet:
    return Availability.objects.filter(athlete__in=athletes.places)


@worded_once
def _consents(athletes: Keys) -> QuerySet:
    return Consent.objects.filter(athlete__in=athletes.places)


@worded_once
def _open_pain(athletes: Keys) -> QuerySet:
    return PainReport.objects.open().filter(athlete__in=athletes.places)


@worded_once
def _check_ins(athletes: Keys, on: dt.date) -> QuerySet:
    return CheckIn.objects.filter(athlete__in=athletes.places, date=on)


READ_AHEAD = {
    "body_sizes": _body_sizes,
    "availabilities": _availabilities,
    "consents": _consents,
    "open_pain": _open_pain,
}
