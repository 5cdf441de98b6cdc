"""The page of the athlete and the family. Nothing of a session stands here before a coach shares it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db.models import QuerySet

from athletes.facts import (
    AvailabilityOn,
    CheckInOn,
    SizesOn,
    Stopped,
    availability_on,
    body_size_on,
    check_in_on,
    has_consent,
    is_minor,
    know,
    stopped_on,
)
from athletes.models import Athlete, Availability, Facility, Role, User
from athletes.policy import FAMILY, Action, role_may
from athletes.services.family import may_agree, may_take_back
from athletes.worded import Keys, worded_once
from desk.selectors.looks import Look, Names, latest_looks
from desk.selectors.shares import Told, shares_told
from metrics.models import Share
from plans.selectors.todays_work import TodaysWork
from plans.selectors.work import next_look
from sessions.models import CaptureSession, Method

WAITING_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Measured:
    """That somebody was measured, when and how: no more."""

    on: dt.date
    method: str


@dataclass(frozen=True, slots=True)
class Agreement:
    """Whether the athlete may be measured, and what this reader decides. `withdrawn_on`: it was taken back."""

    is_missing: bool
    withdrawn_on: dt.date | None
    may_agree: bool
    may_take_back: bool
    chooses_readers: bool

    @property
    def is_needed(self) -> bool:
        return self.is_missing or self.withdrawn_on is not None


@dataclass(frozen=True, slots=True)
class OwnPage:
    """`is_self`: the athlete reads; `is_family`: the athlete or a guardian, else a coach looks at what they see."""

    uuid: UUID
    given_name: str
    today: dt.date
    is_self: bool
    is_family: bool
    coach: str
    stopped: Stopped | None
    availability: AvailabilityOn
    agreement: Agreement
    said: CheckInOn | None
    told: Told | None
    earlier: tuple[Told, ...]
    waiting: tuple[Measured, ...]
    sizes: SizesOn
    looks: tuple[Look, ...]
    may_read_looks: bool

    @property
    def throws_freely(self) -> bool:
        """Nothing but rest from pitching can ask for less than usual."""
        is_full = self.availability.state in ("", Availability.State.FULL)
        return self.stopped is None and is_full and not self.availability.limits


@dataclass(frozen=True, slots=True)
class NextLook:
    """The one day of the next measuring that the page tells. `is_measured`: somebody was measured on it or after it."""

    on: dt.date
    is_ahead: bool
    is_measured: bool


@dataclass(frozen=True, slots=True)
class Child:
    uuid: UUID
    given_name: str
    is_stopped: bool


def own_page(athlete: Athlete, user: User, facility: Facility, today: dt.date) -> OwnPage:
    know([athlete], today, consents=True)
    told = shares_told(athlete, user)
    may_read_looks = role_may(user, Action.READ_VIEW_LOG)
    is_self = athlete.account_id is not None and athlete.account_id == user.pk
    names = Names()
    looks = latest_looks(athlete, user, names) if may_read_looks else ()
    if not may_read_looks:
        names.learn((), coach_id=athlete.responsible_coach_id)
    return OwnPage(
        uuid=athlete.uuid,
        given_name=athlete.given_name,
        today=today,
        is_self=is_self,
        is_family=user.role in FAMILY,
        coach=names.coach,
        stopped=stopped_on(athlete, today),
        availability=availability_on(athlete, today),
        agreement=_agreement(athlete, user, facility, today),
        said=check_in_on(athlete, today),
        told=told[0] if told else None,
        earlier=told[1:],
        waiting=_waiting(athlete, told[0] if told else None),
        sizes=body_size_on(athlete, today),
        looks=looks,
        may_read_looks=may_read_looks,
    )


def next_look_of(page: OwnPage, work: TodaysWork) -> NextLook | None:
    """Of what was told with the newest share and of the open work, since a family can keep one day in mind."""
    told = page.told.look_again_on if page.told else None
    on = next_look([*work.look_days, *([told] if told else [])], page.today)
    if on is None:
        return None
    return NextLook(on, on >= page.today, any(row.on >= on for row in page.waiting))


def own_pages(user: User) -> list[UUID]:
    """Whose page an athlete or guardian may open."""
    return list(Athlete.objects.visible_to(user).values_list("uuid", flat=True))


def own_athletes(user: User, today: dt.date) -> tuple[Child, ...]:
    rows = Athlete.objects.visible_to(user).with_facts()
    return tuple(Child(row.uuid, row.given_name, stopped_on(row, today) is not None) for row in rows)


def _agreement(athlete: Athlete, user: User, facility: Facility, today: dt.date) -> Agreement:
    withdrawn_on = athlete.consent_withdrawn_on
    missing = withdrawn_on is None and not has_consent(athlete, today, facility=facility)
    decides = role_may(user, Action.CONSENT)
    guards = user.role == Role.GUARDIAN  # tied, or the page would not be there
    stands = not missing and withdrawn_on is None
    return Agreement(
        is_missing=missing,
        withdrawn_on=withdrawn_on,
        may_agree=decides and may_agree(user, athlete, facility=facility, is_guardian=guards),
        may_take_back=decides and stands and may_take_back(user, athlete, facility=facility, is_guardian=guards),
        chooses_readers=decides and athlete.account_id == user.pk and not is_minor(athlete.birth_date, today),
    )


def _waiting(athlete: Athlete, told: Told | None) -> tuple[Measured, ...]:
    """Measured after what was shared last, and not shared: date and method only.

    The family may not see such a session, so this does not go through `visible_to`.
    """
    if athlete.consent_withdrawn_on is not None:
        return ()
    told_on = told.measured_on if told else None
    days = dict.fromkeys(row for row in _not_shared(Keys.of([athlete.pk])) if told_on is None or row[0] > told_on)
    return tuple(Measured(date, Method(method).label) for date, method in list(days)[:WAITING_SHOWN])


@worded_once
def _not_shared(athletes: Keys) -> QuerySet:
    """The newest first."""
    shared = Share.objects.filter(athlete__in=athletes.places).values("session")
    rows = CaptureSession.objects.filter(athlete__in=athletes.places).exclude(pk__in=shared)
    return rows.order_by("-date", "-ordinal").values_list("date", "method")[: 4 * WAITING_SHOWN]
