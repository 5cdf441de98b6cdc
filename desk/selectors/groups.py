"""Training groups, and the homes of the people who are tied to some athletes only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Prefetch, QuerySet

from athletes.facts import age_on, availability_on, stopped_on
from athletes.models import PainReport, Referral, Role, TrainingGroup, User
from athletes.models.people import Athlete, AthleteQuerySet
from athletes.worded import worded_once


@dataclass(frozen=True, slots=True)
class Member:
    """An athlete by name and word of availability; the rest only for those who may read the record."""

    uuid: UUID
    name: str
    is_stopped: bool
    availability: str
    note: str = ""
    age_years: int | None = None
    referred_for: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    uuid: UUID
    name: str
    members: tuple[Member, ...]


def groups_visible_to(user: User) -> QuerySet[TrainingGroup]:
    """A visiting coach knows the groups that they are assigned, staff and clinicians all, a family none."""
    if user.role == Role.VISITING_COACH:
        return TrainingGroup.objects.filter(visiting_coaches=user)
    if user.is_coaching_staff or user.role == Role.CLINICIAN:
        return TrainingGroup.objects.all()
    return TrainingGroup.objects.none()


@worded_once
def group_choices(user: User) -> QuerySet[TrainingGroup]:
    """Those groups, to choose from."""
    return groups_visible_to(user)


def visited_groups(user: User, today: dt.date) -> tuple[Group, ...]:
    """A visiting coach's groups: names and the word of availability, no reason for it."""
    members = with_care(Athlete.objects.visible_to(user))
    groups = groups_visible_to(user).prefetch_related(Prefetch("athletes", members))
    return tuple(
        Group(group.uuid, group.name, tuple(word_of(athlete, today) for athlete in group.athletes.all()))
        for group in groups
    )


def referred_athletes(user: User, today: dt.date) -> tuple[Member, ...]:
    """A clinician's athletes, those stopped first, with the reason."""
    referrals = Prefetch("referrals", Referral.objects.filter(clinician=user), to_attr="own_referrals")
    athletes = with_care(Athlete.objects.visible_to(user)).prefetch_related(referrals)
    members = [_referred(athlete, today) for athlete in athletes]
    return tuple(sorted(members, key=lambda member: not member.is_stopped))


def with_care(athletes: AthleteQuerySet) -> AthleteQuerySet:
    """Loads what the word of availability needs."""
    open_pain = Prefetch("pain_reports", PainReport.objects.open(), to_attr="known_open_pain")
    return athletes.prefetch_related("availabilities", open_pain)


def word_of(athlete: Athlete, today: dt.date) -> Member:
    """Only the word: why somebody is stopped or limited is not for everybody."""
    stopped, held = stopped_on(athlete, today), availability_on(athlete, today)
    return Member(athlete.uuid, athlete.name, stopped is not None, "stopped" if stopped else held.word)


def _referred(athlete: Athlete, today: dt.date) -> Member:
    stopped, held = stopped_on(athlete, today), availability_on(athlete, today)
    own: list[Referral] = athlete.own_referrals  # type: ignore[attr-defined]  # the prefetch above
    reasons = [referral.reason for referral in own if referral.reason]
    return Member(
        uuid=athlete.uuid,
        name=athlete.name,
        is_stopped=stopped is not None,
        availability="stopped" if stopped else held.word,
        note=stopped.headline if stopped else held.limits,
        age_years=age_on(athlete.birth_date, today).years,
        referred_for=", ".join(reasons),
    )
