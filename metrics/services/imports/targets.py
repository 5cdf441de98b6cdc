"""Which session a unit's throws go to, and what that session holds already."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from django.db.models import QuerySet

from metrics.models import ImportUnit, Reading
from metrics.services.imports.payloads import Payload
from sessions.models import CaptureSession
from sessions.quick_json import JsonText, sorted_text


def target_session(unit: ImportUnit) -> CaptureSession | None:
    if unit.target != ImportUnit.Target.ADD:
        return None
    return same_day_sessions(unit).order_by("-ordinal").first()


def same_day_sessions(unit: ImportUnit) -> QuerySet[CaptureSession]:
    """Sessions of the unit's athlete on its day by the same method and setup."""
    if unit.athlete is None or unit.date is None:
        return CaptureSession.objects.none()
    setup = unit.payload.get("setup", "")
    return CaptureSession.objects.filter(athlete=unit.athlete, date=unit.date, method=unit.method, setup=setup)


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
    session = target_session(unit)
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
