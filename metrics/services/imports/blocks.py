"""What keeps a unit from becoming a session until a person has answered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from athletes.facts import has_consent
from athletes.models import Facility
from athletes.today import facility_today
from metrics.models import ImportUnit


@dataclass(frozen=True, slots=True)
class Block:
    """A question to answer first; the sentence says what and what to do."""

    code: str
    sentence: str


def blocks_of(unit: ImportUnit, facility: Facility | None = None) -> list[Block]:
    """The open questions of one unit; empty when it can be accepted. Give the facility when there are many."""
    here = facility or Facility.current()
    return [block for check in CHECKS if (block := check(unit, here))]


def _athlete_unknown(unit: ImportUnit, facility: Facility) -> Block | None:
    if unit.athlete_id:
        return None
    words = unit.athlete_reference.get("words")
    if not words and unit.draft.is_motion:
        return Block("athlete_unknown", "Whose throws are these? The recording does not say. Choose the athlete.")
    if not words:
        return Block(
            "athlete_unknown",
            "Whose throws are these? No column says who threw, so that all of them would be one athlete’s. "
            "If they are not, match the column with the name first.",
        )
    return Block(
        "athlete_unknown", f"Whose throws are these? The file says {words}. Choose the athlete, or leave this out."
    )


def _date_missing(unit: ImportUnit, facility: Facility) -> Block | None:
    return (
        None
        if unit.date
        else Block("date_missing", "The file gives no date for these throws. Enter the day they were thrown.")
    )


def _date_in_future(unit: ImportUnit, facility: Facility) -> Block | None:
    if unit.date is None or unit.date <= facility_today(facility):
        return None
    return Block("date_in_future", f"{unit.date:%-d %B %Y} lies in the future. Enter the day the throws were made.")


def _before_birth(unit: ImportUnit, facility: Facility) -> Block | None:
    if unit.athlete is None or unit.date is None or unit.date > unit.athlete.birth_date:
        return None
    return Block(
        "date_before_birth", f"{unit.date:%-d %B %Y} is before {unit.athlete} was born. Check the date and the athlete."
    )


def _no_consent(unit: ImportUnit, facility: Facility) -> Block | None:
    if unit.athlete is None or has_consent(unit.athlete, facility_today(facility), facility=facility):
        return None
    return Block(
        "consent_missing",
        f"No guardian’s consent is recorded for {unit.athlete}, who is under age. "
        "Record it on the athlete’s page first.",
    )


def _no_throws(unit: ImportUnit, facility: Facility) -> Block | None:
    if unit.has_throws:
        return None
    return Block("no_throws", "No throw of this part could be read. Look at its problems, or leave it out.")


CHECKS: tuple[Callable[[ImportUnit, Facility], Block | None], ...] = (
    _athlete_unknown,
    _date_missing,
    _date_in_future,
    _before_birth,
    _no_consent,
    _no_throws,
)
