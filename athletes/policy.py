"""Who may do what with whom: the one table of rights. Views, API, tasks and files ask it, and nothing else decides.

A right reaches only the athletes that the person is tied to (`Athlete.objects.visible_to`). docs/access.md says the
same in words, page by page, and a test holds both together.
"""

from __future__ import annotations

from enum import StrEnum

from django.core.exceptions import PermissionDenied

from athletes.models import Athlete, Role, User


class Action(StrEnum):
    SEE_RECORD = "see the record"
    SEE_AVAILABILITY = "see the word of availability"
    SEE_OWN_PAGE = "see the progress page"
    READ_SHARED = "read what was shared"
    CHANGE = "change what is recorded"
    SHARE = "share an assessment"
    INVITE = "invite somebody"
    CHECK_IN = "say how the athlete feels"
    CONSENT = "consent, and take it back"
    SET_AVAILABILITY = "set availability"
    ENTER_SCREENS = "enter hands-on screens"
    RECORD_CLEARANCE = "record a clearance"
    REPORT_PAIN = "report pain"
    READ_VIEW_LOG = "read who looked"
    SEE_PLAN = "see the plan and its reasons"
    WRITE_PLAN = "give, change and close work"
    SEE_WORK = "see the work that is shown"
    TICK_WORK = "tick work as done"
    LOG_THROWS = "see and enter throws of a day"
    SEE_LIBRARY = "read the library of interventions"
    EDIT_LIBRARY = "change the library of interventions"


STAFF = frozenset({Role.ADMIN, Role.COACH})
CARE = STAFF | {Role.CLINICIAN}
FAMILY = frozenset({Role.ATHLETE, Role.GUARDIAN})

RIGHTS: dict[Action, frozenset[Role]] = {
    Action.SEE_RECORD: CARE,
    Action.SEE_AVAILABILITY: CARE | FAMILY | {Role.VISITING_COACH},
    Action.SEE_OWN_PAGE: STAFF | FAMILY,
    Action.READ_SHARED: STAFF | FAMILY | {Role.VISITING_COACH},
    Action.CHANGE: STAFF,
    Action.SHARE: STAFF,
    Action.INVITE: STAFF,
    Action.CHECK_IN: STAFF | FAMILY,
    Action.CONSENT: FAMILY,
    Action.SET_AVAILABILITY: CARE,
    Action.ENTER_SCREENS: CARE,
    Action.RECORD_CLEARANCE: CARE,
    Action.REPORT_PAIN: CARE | FAMILY,
    Action.READ_VIEW_LOG: FAMILY | {Role.ADMIN},
    Action.SEE_PLAN: CARE,
    Action.WRITE_PLAN: STAFF,
    Action.SEE_WORK: CARE | FAMILY | {Role.VISITING_COACH},
    Action.TICK_WORK: STAFF | FAMILY,
    Action.LOG_THROWS: CARE | FAMILY | {Role.VISITING_COACH},
    Action.SEE_LIBRARY: CARE,
    Action.EDIT_LIBRARY: frozenset({Role.ADMIN}),
}


def role_may(user: User, action: Action) -> bool:
    """Whether the role has this right over the athletes it is tied to."""
    return user.is_authenticated and user.is_active and user.role in RIGHTS[action]


def may(user: User, action: Action, athlete: Athlete) -> bool:
    return role_may(user, action) and Athlete.objects.visible_to(user).filter(pk=athlete.pk).exists()


def may_read_measured(user: User, athlete: Athlete) -> bool:
    """For a person who may see the record: whether also what was measured. Without consent only admins may."""
    return role_may(user, Action.SEE_RECORD) and (user.role == Role.ADMIN or athlete.consent_withdrawn_on is None)


def require(user: User, action: Action) -> None:
    """For a person who may see the athlete: 403 unless the role has this right."""
    if not role_may(user, action):
        raise PermissionDenied
