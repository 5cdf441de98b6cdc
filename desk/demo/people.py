"""Creates the demo's facility, accounts and athletes, through the services that people use."""

from __future__ import annotations

import datetime as dt
from typing import Any

from athletes.models import (
    Athlete,
    ConsentText,
    Facility,
    Guardianship,
    Referral,
    Role,
    TrainingGroup,
    User,
)
from athletes.services.care import report_pain, set_availability
from athletes.services.consent import record_consent
from athletes.services.groups import assign_group
from athletes.services.notes import add_note
from athletes.services.people import add_external_id, create_athlete, set_level
from athletes.services.sizes import record_body_size
from desk.demo.accounts import DEMO_PASSWORD, PEOPLE
from desk.demo.cast import Cast, Story
from desk.demo.days import SPREAD_DAYS
from desk.demo.files import LEVEL_CHANGE_DAYS

CONSENT = """We measure how you pitch and keep the numbers, to show you and your coach what to work on.
You and your family can look at them, ask for a copy, and take this consent back at any time."""
MEASURED_DAYS = (SPREAD_DAYS, 190, 100, 12)
"""Days before today on which heights were measured."""


def create_people(cast: Cast, today: dt.date) -> list[Athlete]:
    """Everybody of the cast, in its order."""
    _create_facility(cast)
    accounts = {name: _account(role, name, given, family) for role, name, given, family in PEOPLE}
    groups = {entry["name"]: _group(entry, accounts) for entry in cast.groups}
    ConsentText.objects.get_or_create(
        version="1", defaults={"body": CONSENT, "valid_from": today - dt.timedelta(days=2 * SPREAD_DAYS)}
    )
    return [_create(number, story, accounts, groups, today) for number, story in enumerate(cast.athletes, start=1)]


def _create_facility(cast: Cast) -> None:
    Facility.objects.update_or_create(id=1, defaults=cast.facility)


def _account(role: str, name: str, given: str, family: str) -> User:
    word = role.replace(" ", "_")
    return User.objects.create_user(
        name,
        password=DEMO_PASSWORD,
        role=word,
        first_name=given,
        last_name=family,
        is_staff=word == Role.ADMIN,
        is_superuser=word == Role.ADMIN,
    )


def _group(entry: dict[str, Any], accounts: dict[str, User]) -> TrainingGroup:
    group = TrainingGroup.objects.create(name=entry["name"])
    if "visiting_coach" in entry:
        group.visiting_coaches.add(accounts[entry["visiting_coach"]])
    return group


def _create(
    number: int, story: Story, accounts: dict[str, User], groups: dict[str, TrainingGroup], today: dt.date
) -> Athlete:
    coach, start = accounts[story.coach], today - dt.timedelta(days=SPREAD_DAYS + 7)
    athlete = create_athlete(
        given_name=story.name[0],
        family_name=story.name[1],
        birth_date=today - dt.timedelta(days=round(story.age * 365.25)),
        throws=story.throws,
        sex=story.sex,
        level=story.level_before or story.level,
        level_from=start - dt.timedelta(days=200),
        playing_role=story.playing_role,
        responsible_coach=coach,
        by=coach,
    )
    if story.level_before:
        changed = today - dt.timedelta(days=LEVEL_CHANGE_DAYS)
        set_level(athlete=athlete, level=story.level, valid_from=changed, by=coach)
    _measure(athlete, story, coach, today)
    add_external_id(athlete=athlete, value=story.external_id(number), by=coach)
    assign_group(athlete=athlete, group=groups[story.group], by=coach)
    _care_for(athlete, story, accounts, coach, today)
    return athlete


def _measure(athlete: Athlete, story: Story, coach: User, today: dt.date) -> None:
    for days in (380,) if story.old_height else MEASURED_DAYS:
        height = story.height_cm + story.grows_cm * (SPREAD_DAYS - days) / 365.25
        mass = story.mass_kg - (0.4 if story.grows_cm > 3 else 0.0) * days / 30
        on = today - dt.timedelta(days=days)
        record_body_size(athlete=athlete, on=on, height_cm=round(height, 1), mass_kg=round(mass, 1), by=coach)


def _care_for(athlete: Athlete, story: Story, accounts: dict[str, User], coach: User, today: dt.date) -> None:
    since = today - dt.timedelta(days=60)
    if story.consent and story.age < 18:
        record_consent(
            athlete=athlete,
            given_by_name=f"Parent of {story.name[0]} {story.name[1]}",
            relation="parent",
            given_on=since - dt.timedelta(days=SPREAD_DAYS),
            by=coach,
        )
    state, limits = story.availability
    until = today + dt.timedelta(days=30) if state == "away" else None
    set_availability(athlete=athlete, state=state, limits=limits, valid_from=since, until=until, by=coach)
    if story.pain:
        report_pain(
            athlete=athlete, where=story.pain, how_much=4, since=today - dt.timedelta(days=2), by=accounts["coach"]
        )
    if story.pain or story.availability[0] == "return_to_throw":
        Referral.objects.create(athlete=athlete, clinician=accounts["clinician"], reason=story.pain or "shoulder")
    if story.note:
        add_note(athlete=athlete, text=story.note, by=coach, is_cue=True)
    if story.account:
        Athlete.objects.filter(pk=athlete.pk).update(account=accounts[story.account])
    if story.guardian:
        Guardianship.objects.create(athlete=athlete, guardian=accounts[story.guardian], relation="mother")
