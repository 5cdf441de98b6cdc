"""Typed screens as readings of a session's rounds, and taken out again. A round is a throw row without a throw."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from django.db.models import Max

from athletes.models import User
from metrics.models import Reading, ScreenEntry
from metrics.services.imports.targets import checksum_of
from metrics.services.screens import typed
from sessions.models import CaptureSession, Throw
from sessions.services.inputs import input_service, raise_input_revision

ALGORITHM = "screens by hand 1"
"""How what a person types becomes readings; rises when the same typing would give other readings."""

TAKEN_BACK = "The screens were taken back."
WITHDRAWN_FIELDS = ["withdrawn_at", "withdrawn_by", "withdrawn_reason"]

Placed = list[list[object]]
"""[throw uuid, reading key, what stood there before or None, what was put there] each."""


@input_service
def store_screens(*, capture: CaptureSession, rounds: Sequence[Mapping[str, typed.Reading]]) -> Placed:
    """Each value goes to the first round that has none of its screen yet: measured twice is a second round.

    So sides that were measured minutes apart stand in one round, from which the difference is worked out. A reason why
    nothing was measured gives way to a value. Rounds that a file made are not written to.
    """
    held = [row for row in _rounds_of(capture) if not row.throw.is_excluded]
    placed: Placed = []
    for one in rounds:
        for key, reading in one.items():
            place = next((row for row in held if _takes(row, key, reading)), None)
            if place is None:
                place = _new_round(capture)
                held.append(place)
            placed.append([str(place.throw.uuid), key, place.values.get(key), reading])
            place.values[key] = reading
    _save(held)
    raise_input_revision(capture)
    return placed


@input_service
def remove_screens(*, capture: CaptureSession, entry: ScreenEntry, by: User) -> None:
    """Takes out what the entry put in, where it still stands; rounds that are empty then are withdrawn."""
    held = {str(row.throw.uuid): row for row in _rounds_of(capture)}
    for throw_uuid, key, before, now in entry.placed:
        row = held.get(throw_uuid)
        if row is None or row.values.get(key) != now:
            continue
        if before is None:
            del row.values[key]
        else:
            row.values[key] = before
    _save(held.values())
    for row in held.values():
        if not row.values:
            row.throw.mark_withdrawn(by, TAKEN_BACK)
            row.throw.save(update_fields=WITHDRAWN_FIELDS)
    raise_input_revision(capture)


def keys_measured(capture: CaptureSession) -> set[str]:
    """The metrics of which the session holds a value, from whichever source."""
    rows = Reading.objects.filter(throw__session=capture, throw__withdrawn_at=None).values_list("values", flat=True)
    return {key.partition("@")[0] for values in rows for key, reading in values.items() if "value" in reading}


def _rounds_of(capture: CaptureSession) -> list[Reading]:
    """Rounds that were entered by hand, in order, with their readings; also those that somebody left out."""
    rows = Reading.objects.filter(
        throw__session=capture,
        throw__withdrawn_at=None,
        throw__source_upload=None,
        source=Reading.Source.SCREEN,
    )
    return list(rows.select_related("throw").order_by("throw__number"))


def _takes(row: Reading, key: str, reading: typed.Reading) -> bool:
    there = row.values.get(key)
    return there is None or ("value" not in there and "value" in reading)


def _new_round(capture: CaptureSession) -> Reading:
    """Its number is never that of a round that was withdrawn."""
    last = Throw.everything.filter(session=capture).aggregate(last=Max("number"))["last"] or 0
    throw = Throw.objects.create(session=capture, number=last + 1)
    return Reading(throw=throw, source=Reading.Source.SCREEN, values={})


def _save(rows: Iterable[Reading]) -> None:
    for row in rows:
        row.algorithm, row.checksum = ALGORITHM, checksum_of(row.values)
        row.save()
