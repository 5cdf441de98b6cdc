"""Who may do what with whom: the one table of rights, and the loader of athletes.

A stranger and a missing row get the same 404. Somebody tied to the athlete who may not do what was asked
gets 403. Every look by somebody else than the athlete is noted and written at the end of the request.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest

from athletes.models import Athlete, Role, User
from athletes.requests import account_of
from athletes.view_notes import note_view


class Action(StrEnum):
    SEE_RECORD = "see the record"
    SEE_AVAILABILITY = "see the word of availability"
    SEE_OWN_PAGE = "see the progress page"
    CHANGE = "change what is recorded"
    SET_AVAILABILITY = "set availability"
    ENTER_SCREENS = "enter hands-on screens"
    RECORD_CLEARANCE = "record a clearance"
    REPORT_PAIN = "report pain"


STAFF = frozenset({Role.ADMIN, Role.COACH})
CARE = STAFF | {Role.CLINICIAN}
FAMILY = frozenset({Role.ATHLETE, Role.GUARDIAN})

# Each right reaches only the athletes that the role is tied to (Athlete.objects.visible_to).
RIGHTS: dict[Action, frozenset[Role]] = {
    Action.SEE_RECORD: CARE,
    Action.SEE_AVAILABILITY: CARE | FAMILY | {Role.VISITING_COACH},
    Action.SEE_OWN_PAGE: STAFF | FAMILY,
    Action.CHANGE: STAFF,
    Action.SET_AVAILABILITY: CARE,
    Action.ENTER_SCREENS: CARE,
    Action.RECORD_CLEARANCE: CARE,
    Action.REPORT_PAIN: CARE | FAMILY,
}


class LoadedAthlete(NamedTuple):
    athlete: Athlete
    may_change: bool


def role_may(user: User, action: Action) -> bool:
    """Whether the role has this right over the athletes it is tied to."""
    return user.is_authenticated and user.is_active and user.role in RIGHTS[action]


def may(user: User, action: Action, athlete: Athlete) -> bool:
    return role_may(user, action) and Athlete.objects.visible_to(user).filter(pk=athlete.pk).exists()


def require(user: User, action: Action) -> None:
    """For a person who may see the athlete: 403 unless the role has this right."""
    if not role_may(user, action):
        raise PermissionDenied


def require_change(loaded: LoadedAthlete) -> Athlete:
    """403 for a reader who may not change."""
    if not loaded.may_change:
        raise PermissionDenied
    return loaded.athlete


def athlete_or_404(request: HttpRequest, uuid: UUID, *, what: str, action: Action = Action.SEE_RECORD) -> LoadedAthlete:
    """The athlete, and whether the person may change what is recorded. `what` names the page in the view log."""
    reader = account_of(request)
    athlete = Athlete.objects.visible_to(reader).filter(uuid=uuid).first()
    if athlete is None:
        raise Http404
    require(reader, action)
    note_view(request, athlete, what)
    return LoadedAthlete(athlete, role_may(reader, Action.CHANGE))
