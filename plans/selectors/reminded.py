"""Whom a member of staff is reminded of outside the application, and how little is said of them there."""

from __future__ import annotations

import datetime as dt

from django.db.models import Q

from athletes.models import Athlete, Role, User
from athletes.policy import Action, role_may
from plans.models import FollowUp
from plans.models.prescriptions import FollowUpQuerySet


def may_be_reminded(owner: User) -> bool:
    """An active account that gives work."""
    return role_may(owner, Action.WRITE_PLAN)


def reminded_of(owner: User) -> FollowUpQuerySet:
    """Follow-ups, decided ones too, of the athletes whose responsible coach this is; an admin is told of all.

    Also of work that was withdrawn, so that a calendar learns of it; nobody's whose consent is withdrawn, but for
    admins.
    """
    athletes = Athlete.objects.readable_by(owner)
    if owner.role != Role.ADMIN:
        athletes = athletes.filter(responsible_coach=owner)
    return FollowUp.objects.filter(prescription__athlete__in=athletes)


def changed_since(moment: dt.datetime) -> Q:
    """Decided, or their work withdrawn, from this moment on."""
    decided = Q(changed_at__gte=moment) & ~Q(decision="")
    return decided | Q(prescription__withdrawn_at__gte=moment)


def short_name(athlete: Athlete) -> str:
    """Joon B.: calendars and letters lie on telephones and in the hands of others. One line, whatever was typed."""
    given, initial = " ".join(athlete.given_name.split()), athlete.family_name.strip()[:1]
    return f"{given} {initial}." if initial else given
