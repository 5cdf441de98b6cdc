"""Who is here today, and whom to check in: found by a few letters of the name, or by their group.

Of whom work is to be looked at again, it is said.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple
from urllib.parse import urlencode
from uuid import UUID

from django.db.models import BooleanField, ExpressionWrapper, Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from athletes.check_in_parts import CheckInPart, check_in_part
from athletes.facts import age_on, availability_on, came_at, know
from athletes.models import Athlete, CheckIn, Role, User
from athletes.worded import Keys, worded_once
from desk.selectors.addresses import address_of
from desk.selectors.groups import groups_visible_to
from desk.selectors.roster_rows import top_finding
from desk.words import days_ago
from plans.models import FollowUp
from sessions.models import CaptureSession, Method

# House opinion: a whole group fits; of those that a letter finds as many as a phone shows in two screens.
MOST_OF_A_GROUP, MOST_BY_NAME = 60, 12

METHOD_WORDS = {"": "", **dict(Method.choices)}
OWN = ("uuid", "given_name", "family_name", "birth_date", "throws", "consent_withdrawn_on")
SEEN = ("last_date", "last_session__uuid", "last_session__method", "top_metric", "top_side")


class Seen(NamedTuple):
    """What was measured last, None where nothing was, and whether work is to be looked at again."""

    last_date: dt.date | None
    session: UUID | None
    method: str | None
    top_metric: str | None
    top_side: str | None
    has_follow_up: bool


@dataclass(frozen=True, slots=True)
class HereChoice:
    """What was typed and chosen above the list; nothing of both lists nobody."""

    name: str = ""
    group: UUID | None = None

    @property
    def is_made(self) -> bool:
        return bool(self.name or self.group)

    @property
    def most(self) -> int:
        """How many are listed."""
        return MOST_OF_A_GROUP if self.group else MOST_BY_NAME

    @property
    def address(self) -> str:
        """Of the first page with this choice open: where one comes back to."""
        given = {"here": self.name, "here_group": str(self.group or "")}
        query = urlencode({name: value for name, value in given.items() if value})
        return f"{reverse('desk:today')}{f'?{query}' if query else ''}"


@dataclass(frozen=True, slots=True)
class Next:
    """What comes next with an athlete, and where; `detail` stands under it."""

    words: str
    url: str
    detail: str = ""


@dataclass(frozen=True, slots=True)
class PersonHere:
    """An athlete in one of the two lists. `came` is an instant and `since` its time of day, for those who are here.

    The addresses: of the record, to say it anew, to take the height, to open a session.
    """

    part: CheckInPart
    url: str
    change_url: str
    height_url: str
    open_url: str
    age_years: int
    side: str
    availability: str
    came: dt.datetime | None
    since: str
    next: Next

    @property
    def held(self) -> str:
        """What keeps somebody from all throwing, short of a stop: limits, a return to throw, away; "" for nobody."""
        is_open = self.availability in ("full", "not recorded")
        return "" if is_open or self.part.stopped else self.availability


@dataclass(frozen=True, slots=True)
class CheckingIn:
    """`here`: checked in at the facility today, the newest first; `listed`: whom the choice names."""

    here: tuple[PersonHere, ...]
    listed: tuple[PersonHere, ...]
    choice: HereChoice
    there_are_more: bool


def here_choice(asked: Mapping[str, str]) -> HereChoice:
    """What is not understood is as if not chosen."""
    try:
        group = UUID(asked.get("here_group", ""))
    except ValueError:
        group = None
    return HereChoice(" ".join(asked.get("here", "").split())[:80], group)


def checking_in(user: User, today: dt.date, choice: HereChoice) -> CheckingIn:
    """Both lists in a fixed number of queries."""
    found = _chosen(user, choice)
    listed, more = found[: choice.most], len(found) > choice.most
    keys = Keys.of({key for (key,) in _arrived(user, today)} | set(listed))
    rows = _people(user, keys) if keys.keys else []
    know(rows, today)
    seen = {key: Seen(*values) for key, *values in _seen(today, keys)} if rows else {}
    opened = {row.athlete_id: row for row in _open_sessions(user, keys)} if rows else {}
    present = [row for row in rows if row.pk in seen]  # somebody may be withdrawn between the two
    people = {row.pk: _person(row, seen[row.pk], opened.get(row.pk), user, today) for row in present}
    here = [person for person in people.values() if person.came]
    return CheckingIn(
        here=tuple(sorted(here, key=lambda person: person.came or dt.datetime.min, reverse=True)),
        listed=tuple(people[key] for key in listed if key in people),
        choice=choice,
        there_are_more=more,
    )


@worded_once
def _arrived(user: User, today: dt.date) -> QuerySet:
    """Who was checked in at the facility that day, by primary key."""
    return CheckIn.objects.visible_to(user).filter(date=today, is_here=True).order_by().values_list("athlete")


def _chosen(user: User, choice: HereChoice) -> list[int]:
    """Primary keys in the order of the names, one more than are listed."""
    if not choice.is_made:
        return []
    athletes = Athlete.objects.visible_to(user).named(choice.name)
    if choice.group:
        athletes = athletes.filter(groups__in=groups_visible_to(user).filter(uuid=choice.group))
    return list(athletes.values_list("pk", flat=True)[: choice.most + 1])


@worded_once
def _people(user: User, keys: Keys) -> QuerySet:
    return Athlete.objects.visible_to(user).filter(pk__in=keys.places).only(*OWN)


@worded_once
def _seen(today: dt.date, athletes: Keys) -> QuerySet:
    due = FollowUp.objects.open().filter(due__lte=today).order_by().values("prescription__athlete")
    is_due = ExpressionWrapper(Q(pk__in=due), output_field=BooleanField())  # one list for all; Exists looks for each
    rows = Athlete.objects.filter(pk__in=athletes.places).order_by().annotate(has_follow_up=is_due)
    return rows.values_list("pk", *(f"standing__{name}" for name in SEEN), "has_follow_up")


@worded_once
def _open_sessions(user: User, athletes: Keys) -> QuerySet:
    """The newest last."""
    found = CaptureSession.objects.visible_to(user).filter(athlete__in=athletes.places)
    return found.filter(state=CaptureSession.State.OPEN).order_by("date", "pk").only("athlete", "uuid", "method")


def _person(athlete: Athlete, seen: Seen, opened: CaptureSession | None, user: User, today: dt.date) -> PersonHere:
    came = came_at(athlete, today)
    return PersonHere(
        part=check_in_part(athlete, today),
        url=address_of("desk:record", athlete.uuid),
        change_url=address_of("athletes:check-in", athlete.uuid),
        height_url=address_of("athletes:body-size", athlete.uuid),
        open_url=address_of("sessions:session-open", athlete.uuid),
        age_years=age_on(athlete.birth_date, today).years,
        side=athlete.get_throws_display(),
        availability=availability_on(athlete, today).words,
        came=came,
        since=f"{timezone.localtime(came):%H:%M}" if came else "",
        next=_next(athlete, seen, opened, user, today),
    )


def _next(athlete: Athlete, seen: Seen, opened: CaptureSession | None, user: User, today: dt.date) -> Next:
    """The session that is open, else the last one and what to look at, else that there is none yet."""
    if athlete.consent_withdrawn_on and user.role != Role.ADMIN:
        return Next("Consent withdrawn", address_of("desk:record", athlete.uuid), "Nothing is measured until then.")
    look = top_finding(seen.top_metric or "", seen.top_side or "")
    due = "Follow-up due" if seen.has_follow_up else ""
    detail = ". ".join(part for part in (due, f"Look at: {look}" if look else "") if part)
    if opened is not None:
        words = f"Session open, {Method(opened.method).label}"
        return Next(words, address_of("metrics:session", opened.uuid), detail)
    if seen.session is None or seen.last_date is None:
        return Next("Baseline missing", address_of("desk:record", athlete.uuid), due or "Nothing was measured yet.")
    words = f"Last: {METHOD_WORDS[seen.method or '']}, {days_ago(seen.last_date, today)}"
    return Next(words, address_of("metrics:session", seen.session), detail)
