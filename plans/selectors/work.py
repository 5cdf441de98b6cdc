"""Work that runs for an athlete, as pages show it: what, how much, with whom, and whether it is held today."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from athletes.models import Athlete
from athletes.worded import Keys, worded_once
from plans.library import Dose, dose_from_fields, hold, tell_dose, tell_supervision
from plans.models import FollowUp, Prescription
from plans.selectors.situation import situation_of

LOOKING_AGAIN = "looking_again"
"""Where the prefetch of `with_open_follow_up` puts the open follow-up of a prescription: none or one."""


@dataclass(frozen=True, slots=True)
class OpenWork:
    """One open prescription on a day.

    `minutes`: the most that a day of it takes; `held`: the sentence why it must not be done on that day, "" where it
    goes on; `is_ahead`: it begins later; `follow_up_due` is None where nobody looks again.
    """

    prescription: Prescription
    name: str
    kind: str
    dose: Dose
    dose_words: str
    supervision_words: str
    minutes: int
    cautions: tuple[str, ...]
    instructions: tuple[str, ...]
    has_throws: bool
    held: str
    is_ahead: bool
    follow_up_due: dt.date | None
    is_shown: bool


def open_work(athlete: Athlete, on: dt.date, *, rows: Iterable[Prescription] | None = None) -> tuple[OpenWork, ...]:
    """What runs, the oldest first. `athlete` best loaded `with_facts()`; `rows` of `with_open_follow_up`, else read."""
    found = list(with_open_follow_up(Prescription.objects.open().filter(athlete=athlete)) if rows is None else rows)
    if not found:
        return ()
    now = situation_of(athlete, on)
    return tuple(work_on(one, on, hold(one.version.value, now)) for one in found)


def with_open_follow_up(rows: QuerySet[Prescription]) -> QuerySet[Prescription]:
    """Prescriptions with what the library said of them and their open follow-up."""
    return rows.select_related("version__intervention").prefetch_related(
        Prefetch("follow_ups", FollowUp.objects.filter(decision=""), to_attr=LOOKING_AGAIN)
    )


def look_again(rows: Sequence[Prescription]) -> Sequence[Prescription]:
    """The same, each with its open follow-up as by `with_open_follow_up`; the query is put into SQL once."""
    found = {one.prescription_id: [one] for one in _open_follow_ups(Keys.of(row.pk for row in rows))} if rows else {}
    for row in rows:
        setattr(row, LOOKING_AGAIN, found.get(row.pk, []))
    return rows


def next_look(days: Collection[dt.date], today: dt.date) -> dt.date | None:
    """The soonest day ahead, today among them. Only where none is ahead the last that is past; None without a day.

    A day that went by must not hide one that is still to come, or a family asks for a day that it already has.
    """
    ahead = [day for day in days if day >= today]
    return min(ahead) if ahead else max(days, default=None)


@worded_once
def _open_follow_ups(prescriptions: Keys) -> QuerySet:
    return FollowUp.objects.filter(prescription__in=prescriptions.places, decision="")


def work_on(row: Prescription, on: dt.date, held: str = "") -> OpenWork:
    """`row` of `with_open_follow_up`."""
    value = row.version.value
    dose = dose_from_fields(row.dose, f"prescription {row.uuid}")
    due = [one.due for one in getattr(row, LOOKING_AGAIN)]
    return OpenWork(
        prescription=row,
        name=value.name,
        kind=value.kind,
        dose=dose,
        dose_words=tell_dose(dose),
        supervision_words=tell_supervision(dose),
        minutes=dose.minutes,
        cautions=value.cautions,
        instructions=value.instructions,
        has_throws=value.has_throws,
        held=held,
        is_ahead=row.start > on,
        follow_up_due=due[0] if due else None,
        is_shown=row.is_shown,
    )
