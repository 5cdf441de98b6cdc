"""Who is tied to whom, by role: the rule behind `visible_to`."""

from __future__ import annotations

import datetime as dt

from django.db.models import Q
from django.utils import timezone

from athletes.models.accounts import Role, User

# Growth, supervision and what guardians may read go by this age whatever the facility’s age of consent is.
ADULT_YEARS = 18


def _tie_of_guardian(user: User) -> Q:
    """Until the child is of age; afterwards only where the child said that this guardian may go on reading."""
    still_minor = Q(birth_date__gt=adult_when_born_by())
    return Q(guardianships__guardian=user) & (still_minor | Q(guardianships__kept_on__isnull=False))


def adult_when_born_by() -> dt.date:
    """Who was born on or before this day is of age today, by the clock of the time zone at work."""
    today = timezone.localdate()
    try:
        return today.replace(year=today.year - ADULT_YEARS)
    except ValueError:  # 29 February: the birthday is kept on 1 March
        return today.replace(year=today.year - ADULT_YEARS, month=2, day=28)


def tie_of(user: User) -> Q | None:
    """Admins and coaches: everyone, an empty tie; others: only those they are tied to. None means nobody."""
    if not user.is_authenticated or not user.is_active:
        return None
    ties = {
        Role.ADMIN: Q(),
        Role.COACH: Q(),
        Role.VISITING_COACH: Q(groups__visiting_coaches=user),
        Role.CLINICIAN: Q(referrals__clinician=user),
        Role.ATHLETE: Q(account=user),
        Role.GUARDIAN: _tie_of_guardian(user),
    }
    return ties.get(Role(user.role))


def sees_everyone(user: User) -> bool:
    tie = tie_of(user)
    return tie is not None and not tie


def reads_withdrawn(user: User) -> bool:
    return user.is_authenticated and user.role == Role.ADMIN
