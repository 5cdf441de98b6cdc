"""Who knocks at every door: an account each, and what is true of the athlete while that person knocks.

The athlete of every address is always the same one. A persona whose tie ended, or who comes while consent is
withdrawn, changes the world first; the change is rolled back with the request.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from athletes.models import Athlete, Guardianship, TrainingGroup, User
from tests import factories
from tests.factories import DAY

Change = Callable[[Athlete, User], None]
ADULT_SINCE = dt.date(DAY.year - 18, DAY.month, DAY.day)
"""Who was born then is of age on the tests' day, and was not the day before."""


def as_it_is(athlete: Athlete, account: User) -> None:
    pass


def consent_is_withdrawn(athlete: Athlete, account: User) -> None:
    Athlete.everything.filter(pk=athlete.pk).update(consent_withdrawn_on=DAY)
    athlete.consents.update(withdrawn_on=DAY)


def athlete_is_of_age(athlete: Athlete, account: User) -> None:
    Athlete.everything.filter(pk=athlete.pk).update(birth_date=ADULT_SINCE)


def athlete_kept_the_guardian(athlete: Athlete, account: User) -> None:
    athlete_is_of_age(athlete, account)
    Guardianship.objects.filter(athlete=athlete, guardian=account).update(kept_on=DAY)


def account_is_disabled(athlete: Athlete, account: User) -> None:
    User.objects.filter(pk=account.pk).update(is_active=False)


def left_the_group(athlete: Athlete, account: User) -> None:
    for group in TrainingGroup.objects.filter(visiting_coaches=account):
        group.visiting_coaches.remove(account)


@dataclass(frozen=True, slots=True)
class Persona:
    """`column`: the column of the table that says what this person may do; `account`: key of the world's accounts."""

    name: str
    column: str
    account: str | None
    change: Change = as_it_is
    is_stranger: bool = False
    is_without_consent: bool = False


PERSONAS = (
    Persona("nobody", "signed out", None),
    Persona("a disabled coach", "signed out", "coach", account_is_disabled),
    Persona("the admin", "admin", "admin"),
    Persona("the responsible coach", "coach", "coach"),
    Persona("another coach", "coach", "other_coach"),
    Persona("the clinician in charge", "clinician", "clinician"),
    Persona("the visiting coach of the group", "visiting coach", "visiting_coach"),
    Persona("the athlete", "athlete", "athlete"),
    Persona("the guardian", "guardian", "guardian"),
    Persona("the guardian whom the grown athlete kept", "guardian", "guardian", athlete_kept_the_guardian),
    Persona("a visiting coach of another group", "visiting coach", "other_visiting_coach", is_stranger=True),
    Persona("a former visiting coach", "visiting coach", "visiting_coach", left_the_group, is_stranger=True),
    Persona("a clinician without a referral", "clinician", "other_clinician", is_stranger=True),
    Persona("another athlete", "athlete", "other_athlete", is_stranger=True),
    Persona("another guardian", "guardian", "other_guardian", is_stranger=True),
    Persona("the guardian of an athlete of age", "guardian", "guardian", athlete_is_of_age, is_stranger=True),
    Persona("the admin, without consent", "admin", "admin", consent_is_withdrawn, is_without_consent=True),
    Persona("the coach, without consent", "coach", "coach", consent_is_withdrawn, is_without_consent=True),
    Persona("the clinician, without consent", "clinician", "clinician", consent_is_withdrawn, is_without_consent=True),
    Persona(
        "the visiting coach, without consent",
        "visiting coach",
        "visiting_coach",
        consent_is_withdrawn,
        is_without_consent=True,
    ),
    Persona("the athlete, without consent", "athlete", "athlete", consent_is_withdrawn, is_without_consent=True),
    Persona("the guardian, without consent", "guardian", "guardian", consent_is_withdrawn, is_without_consent=True),
)
BY_NAME = {persona.name: persona for persona in PERSONAS}

ROLES = {
    "admin": "admin",
    "coach": "coach",
    "other_coach": "coach",
    "clinician": "clinician",
    "other_clinician": "clinician",
    "visiting_coach": "visiting_coach",
    "other_visiting_coach": "visiting_coach",
    "athlete": "athlete",
    "other_athlete": "athlete",
    "guardian": "guardian",
    "other_guardian": "guardian",
}


def make_accounts() -> dict[str, User]:
    """Names that occur in no planted word; passwords nobody has."""
    return {
        key: factories.UserFactory(role=role, username=f"account-{key.replace('_', '-')}", first_name="", last_name="")
        for key, role in ROLES.items()
    }
