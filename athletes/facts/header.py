"""The header that stands on every page of an athlete, for one or for a whole roster."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from athletes.facts.ages import Age, age_on
from athletes.facts.care import AvailabilityOn, Stopped, availability_on, stopped_on
from athletes.facts.growth import Growth, growing_fast_on
from athletes.facts.levels import level_on
from athletes.facts.sizes import SizeOn, body_size_on
from athletes.models import Athlete, Level
from athletes.models.people import AthleteQuerySet


@dataclass(frozen=True, slots=True)
class AthleteHeader:
    """Who this is, on a date. `height` in cm, `mass` in kg; `growing_fast` where the height grows over 7 cm a year."""

    athlete_id: int
    uuid: UUID
    name: str
    on: dt.date
    birth_date: dt.date
    age: Age
    level: Level | None
    throws: str
    height: SizeOn | None
    mass: SizeOn | None
    arm_span: SizeOn | None
    growing_fast: Growth | None
    playing_role: str
    availability: AvailabilityOn
    coach_uuid: UUID | None
    coach_name: str
    stopped: Stopped | None
    consent_withdrawn_on: dt.date | None = None

    @property
    def level_word(self) -> str:
        return self.level.label if self.level else "not recorded"


def header_of(athlete: Athlete, today: dt.date) -> AthleteHeader:
    sizes = body_size_on(athlete, today)
    coach = athlete.responsible_coach
    return AthleteHeader(
        athlete_id=athlete.pk,
        uuid=athlete.uuid,
        name=athlete.name,
        on=today,
        birth_date=athlete.birth_date,
        age=age_on(athlete.birth_date, today),
        level=level_on(athlete, today),
        throws=athlete.get_throws_display(),
        height=sizes.height,
        mass=sizes.mass,
        arm_span=sizes.arm_span,
        growing_fast=growing_fast_on(athlete, today),
        playing_role=athlete.playing_role,
        availability=availability_on(athlete, today),
        coach_uuid=coach.uuid if coach else None,
        coach_name=str(coach) if coach else "",
        stopped=stopped_on(athlete, today),
        consent_withdrawn_on=athlete.consent_withdrawn_on,
    )


def headers_of(athletes: AthleteQuerySet | Iterable[Athlete], today: dt.date) -> list[AthleteHeader]:
    """In the order given; as many queries for a hundred athletes as for one, given a queryset."""
    rows = athletes.with_facts() if isinstance(athletes, AthleteQuerySet) else athletes
    return [header_of(athlete, today) for athlete in rows]
