"""Rows that facts rest on, read ahead on the pages that are opened most."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from django.db.models import QuerySet

from athletes.models import Athlete, Availability, BodySize, CheckIn, Consent, PainReport
from athletes.worded import Keys, worded_once


def know(athletes: Sequence[Athlete], on: dt.date, *, consents: bool = False) -> None:
    """What the facts of sizes, availability and pain ask for, the check-ins of one date, and consents where wanted.

    Four or five queries for any number of athletes, as `with_facts()` asks, but put into SQL once.
    """
    keys = Keys.of(one.pk for one in athletes)
    read = {name: ask(keys) for name, ask in READ_AHEAD.items() if consents or name != "consents"}
    for name, rows in {**read, "check_ins": _check_ins(keys, on)}.items():
        found = defaultdict(list)
        for row in rows:
            found[row.athlete_id].append(row)
        for one in athletes:
            setattr(one, f"known_{name}", found[one.pk])


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
