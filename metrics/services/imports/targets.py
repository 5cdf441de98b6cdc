"""Which session a unit's throws go to, and what that session holds already."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from metrics.models import ImportUnit, Reading
from metrics.services.imports.payloads import Payload
from sessions.models import CaptureSession
from sessions.quick_json import JsonText, sorted_text


def target_session(unit: ImportUnit, payload: Payload) -> CaptureSession | None:
    if unit.target != ImportUnit.Target.ADD:
        return None
    return same_day_sessions(unit, payload.setup).order_by("-ordinal").first()


def same_day_sessions(unit: ImportUnit, setup: str) -> QuerySet[CaptureSession]:
    """Sessions of the unit's athlete on its day by the same method and this setup.

    The setup is asked for, since a recording that is measured anew can come by another than its draft had.
    """
    if unit.athlete is None or unit.date is None:
        return CaptureSession.objects.none()
    return CaptureSession.objects.filter(athlete=unit.athlete, date=unit.date, method=unit.method, setup=setup)


Day = tuple[Any, ...]
"""An athlete's day by one method and setup: all that tells whether a file brings more of a session."""


def day_of(unit: ImportUnit) -> Day:
    return (unit.athlete_id, unit.date, unit.method, unit.payload.get("setup", ""))


def last_ordinals(days: Iterable[Day]) -> Counter[Day]:
    """The last session's ordinal on each of the days, 0 where there is none."""
    days = set(days)
    found = CaptureSession.objects.filter(
        athlete__in={athlete for athlete, *_ in days}, date__in={date for _, date, *_ in days}
    )
    last: Counter[Day] = Counter()
    for *day, ordinal in found.values_list("athlete_id", "date", "method", "setup", "ordinal"):
        last[tuple(day)] = max(last[tuple(day)], ordinal)
    return last


def default_targets(units: Iterable[ImportUnit]) -> list[str]:
    """A second file of the same athlete, day, method and setup is more of that session.

    So is each recording, also while the session's first is not accepted yet: a room writes a file a throw.
    """
    units = list(units)
    last = last_ordinals(map(day_of, units))
    more = [last[day_of(unit)] or unit.payload.get("source") == Reading.Source.MARKERS for unit in units]
    return [ImportUnit.Target.ADD if each else ImportUnit.Target.NEW for each in more]


def checksum_of(values: dict) -> str:
    """The same values in any order have the same checksum."""
    return checksum_of_text(sorted_text(values))


def checksum_of_text(values: JsonText) -> str:
    """Of values that are text already, by `sorted_text`."""
    return hashlib.sha256(values.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Overlap:
    """Throws of a unit whose numbers the target session has already."""

    same: tuple[int, ...]
    different: tuple[int, ...]


def overlap_with_target(unit: ImportUnit, payload: Payload) -> Overlap:
    """Which throws are stored already, and which of those hold other values."""
    session = target_session(unit, payload)
    if session is None:
        return Overlap((), ())
    stored = dict(
        Reading.objects.filter(
            throw__session=session, throw__withdrawn_at=None, source=Reading.Source.TABLE
        ).values_list("throw__number", "checksum")
    )
    numbers = set(session.throws.values_list("number", flat=True))
    known = [one for one in payload.throws if one.number in numbers]
    same = tuple(one.number for one in known if stored.get(one.number) == checksum_of(one.values))
    return Overlap(same, tuple(one.number for one in known if one.number not in same))
