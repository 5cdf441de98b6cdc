"""The page of the athlete and the family. Nothing of a session stands here before a coach shares it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from django.utils import timezone

from athletes.facts import AvailabilityOn, SizesOn, Stopped, availability_on, body_size_on, stopped_on
from athletes.models import Athlete, Role, User, ViewLog
from sessions.models import CaptureSession, Method

SESSIONS_SHOWN = 5
LOOKS_SHOWN = 12
LOOKS_READ = 400  # rows of the log read at most: a page may be looked at often in one day


@dataclass(frozen=True, slots=True)
class Measured:
    """That somebody was measured, when and how: no more."""

    on: dt.date
    method: str


@dataclass(frozen=True, slots=True)
class Look:
    name: str
    role: str
    on: dt.date


@dataclass(frozen=True, slots=True)
class OwnPage:
    uuid: UUID
    given_name: str
    is_self: bool
    coach: str
    stopped: Stopped | None
    availability: AvailabilityOn
    measured: tuple[Measured, ...]
    sizes: SizesOn
    looks: tuple[Look, ...]

    @property
    def may_throw(self) -> bool:
        return self.stopped is None and self.availability.state != "away"


@dataclass(frozen=True, slots=True)
class Child:
    uuid: UUID
    given_name: str
    is_stopped: bool


def own_page(athlete: Athlete, user: User, today: dt.date) -> OwnPage:
    return OwnPage(
        uuid=athlete.uuid,
        given_name=athlete.given_name,
        is_self=athlete.account_id is not None and athlete.account_id == user.pk,
        coach=str(athlete.responsible_coach or ""),
        stopped=stopped_on(athlete, today),
        availability=availability_on(athlete, today),
        measured=_measured(athlete),
        sizes=body_size_on(athlete, today),
        looks=tuple(_looks(athlete, user)),
    )


def own_athletes(user: User, today: dt.date) -> tuple[Child, ...]:
    """Whose page an athlete or guardian may open."""
    rows = Athlete.objects.visible_to(user).with_facts()
    return tuple(Child(row.uuid, row.given_name, stopped_on(row, today) is not None) for row in rows)


def _measured(athlete: Athlete) -> tuple[Measured, ...]:
    """Date and method only. The family may not see the session, so this does not go through `visible_to`."""
    rows = CaptureSession.objects.filter(athlete=athlete).values_list("date", "method")[:SESSIONS_SHOWN]
    return tuple(Measured(date, Method(method).label) for date, method in rows)


def _looks(athlete: Athlete, reader: User) -> Iterator[Look]:
    """Who looked, once a person and day, the newest first."""
    rows = ViewLog.objects.filter(athlete_uuid=athlete.uuid).values_list("who", "role", "when")[:LOOKS_READ]
    days = dict.fromkeys((who, role, timezone.localtime(when).date()) for who, role, when in rows)
    shown = list(days)[:LOOKS_SHOWN]
    names = {row.uuid: str(row) for row in User.objects.filter(uuid__in={who for who, _, _ in shown})}
    for who, role, day in shown:
        name = "You" if who == reader.uuid else names.get(who, "Somebody whose account is gone")
        yield Look(name, Role(role).label if role in Role.values else role, day)
