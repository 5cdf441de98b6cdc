"""Open follow-ups as rows of a list: who, what, when, what is needed, and what the measurements say so far."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Prefetch

from athletes.pages import record_url
from athletes.words import day_words
from plans.models import FollowUp, PrescriptionReason
from plans.models.prescriptions import FollowUpQuerySet
from plans.selectors.due_words import due_words, week_of
from plans.selectors.needed import needed_words
from plans.selectors.response_words import ResponseWords, response_of


@dataclass(frozen=True, slots=True)
class FollowUpRow:
    """`week`: the heading under which it stands; `measured`: whether what it needs was measured since it was due."""

    uuid: UUID
    athlete: str
    athlete_url: str
    work: str
    due: dt.date
    due_day: str
    due_words: str
    week: str
    is_late: bool
    is_coming: bool
    needed: str
    measured: str
    response: ResponseWords
    coach: str

    @property
    def step(self) -> str:
        """What is done with it now: nothing is decided before it is due or measured."""
        return "Open" if self.is_coming and self.response.stays_due else "Decide"


def loaded(rows: FollowUpQuerySet) -> FollowUpQuerySet:
    """With all that a row asks for, in two queries."""
    reasons = PrescriptionReason.objects.order_by("place").select_related("session__scoring")
    return rows.select_related(
        "response",
        "prescription__athlete__responsible_coach",
        "prescription__version__intervention",
    ).prefetch_related(Prefetch("prescription__reasons", reasons))


def rows_of(found: Iterable[FollowUp], today: dt.date, system: str) -> list[FollowUpRow]:
    """`found` is `loaded`."""
    return [row_of(one, today, system) for one in found]


def row_of(one: FollowUp, today: dt.date, system: str) -> FollowUpRow:
    athlete, response = one.prescription.athlete, response_of(one, system)
    return FollowUpRow(
        uuid=one.uuid,
        athlete=athlete.name,
        athlete_url=record_url(athlete.uuid),
        work=one.prescription.version.name,
        due=one.due,
        due_day=day_words(one.due, today),
        due_words=due_words(one.due, today),
        week=week_of(one.due, today),
        is_late=one.due < today,
        is_coming=one.due > today,
        needed=needed_words(one.prescription),
        measured=measured_words(response, today),
        response=response,
        coach=str(athlete.responsible_coach or ""),
    )


def measured_words(response: ResponseWords, today: dt.date) -> str:
    """measured on 26 May; measured in another way; not measured yet"""
    decides = response.decides
    if decides is not None and decides.measured_on is not None:
        return f"measured on {day_words(decides.measured_on, today)}"
    return "measured in another way" if response.word else "not measured yet"
