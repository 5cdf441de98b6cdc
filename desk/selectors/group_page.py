"""Training groups as the staff sees them: who belongs to each, who visits, and where it is in its year."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, Q

from athletes.facts import PhaseOn, age_on, availability_on, group_phase_on, stopped_on
from athletes.models import Athlete, SeasonPhase, TrainingGroup
from desk.selectors.groups import with_care


@dataclass(frozen=True, slots=True)
class GroupMember:
    uuid: UUID
    name: str
    age_years: int
    is_stopped: bool
    availability: str
    coach: str


@dataclass(frozen=True, slots=True)
class GroupPage:
    """`phase`: in force today; `phases`: all that were set, the newest first."""

    uuid: UUID
    name: str
    members: tuple[GroupMember, ...]
    visiting_coaches: tuple[str, ...]
    phase: PhaseOn | None
    phases: tuple[SeasonPhase, ...]


@dataclass(frozen=True, slots=True)
class GroupLine:
    uuid: UUID
    name: str
    count: int
    phase: PhaseOn | None


def training_groups(today: dt.date) -> tuple[GroupLine, ...]:
    """All groups with how many athletes they have, in two queries."""
    present = Count("athletes", filter=Q(athletes__withdrawn_at=None))
    groups = TrainingGroup.objects.annotate(count=present).prefetch_related("season_phases")
    return tuple(GroupLine(row.uuid, row.name, row.count, group_phase_on(row, today)) for row in groups)


def group_page(group: TrainingGroup, today: dt.date) -> GroupPage:
    """In a fixed number of queries."""
    members = with_care(Athlete.objects.filter(groups=group).select_related("responsible_coach"))
    phases = group.season_phases.select_related("set_by").order_by("-valid_from")
    return GroupPage(
        uuid=group.uuid,
        name=group.name,
        members=tuple(_member(athlete, today) for athlete in members),
        visiting_coaches=tuple(str(row) for row in group.visiting_coaches.filter(is_active=True)),
        phase=group_phase_on(group, today),
        phases=tuple(phases),
    )


def _member(athlete: Athlete, today: dt.date) -> GroupMember:
    stopped, held = stopped_on(athlete, today), availability_on(athlete, today)
    return GroupMember(
        uuid=athlete.uuid,
        name=athlete.name,
        age_years=age_on(athlete.birth_date, today).years,
        is_stopped=stopped is not None,
        availability=stopped.reason if stopped else held.words,
        coach=str(athlete.responsible_coach or ""),
    )
