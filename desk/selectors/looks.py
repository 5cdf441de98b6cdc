"""Who looked at an athlete's record: the view log as the athlete, the family and an admin read it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.core.paginator import Page, Paginator
from django.db.models import Count, Max, Q, QuerySet
from django.db.models.functions import TruncDate
from django.utils import timezone

from athletes.models import Athlete, Role, User, ViewLog
from athletes.models.accounts import account_name
from athletes.saving import Cell
from athletes.worded import Keys, worded_once
from desk.page_words import page_words
from desk.selectors.addresses import NOBODY

LOOKS_A_PAGE = 50
LATEST_SHOWN = 5
LATEST_READ = 400  # rows of the log read at most for the short list: a page may be looked at often in one day

GONE = "Somebody whose account is gone"
YOU = "You"
COLUMNS = ("Day", "Last time", "Who", "Role", "Page", "Times")


@dataclass(frozen=True, slots=True)
class Look:
    """One person on one day, at one page; `page` and `times` are left out of the short list."""

    name: str
    role: str
    last: dt.datetime
    page: str = ""
    times: int = 1

    @property
    def is_reader(self) -> bool:
        return self.name == YOU

    @property
    def on(self) -> dt.date:
        """The date in the time zone at work, which in a request is the facility's."""
        return timezone.localtime(self.last).date()


def looks_page(athlete: Athlete, reader: User, number: str | int, role: str = "") -> tuple[Page[Any], tuple[Look, ...]]:
    """The page of the list and its lines: one a person, day and page, the newest first; three queries."""
    lines = _grouped(athlete)
    page = Paginator(lines.filter(role=role) if role in Role.values else lines, LOOKS_A_PAGE).get_page(number)
    return page, tuple(_looks(page.object_list, reader))


def roles_that_looked(athlete: Athlete) -> dict[str, str]:
    """To choose from: the roles of the list, with their words."""
    rows = ViewLog.objects.filter(athlete_uuid=athlete.uuid).order_by("role")
    return {role: _role(role) for role in rows.values_list("role", flat=True).distinct()}


def looks_table(athlete: Athlete, reader: User) -> Iterator[Sequence[Cell]]:
    """The header, then every line; times are those of the facility's clock."""
    yield COLUMNS
    for look in _looks(list(_grouped(athlete)), reader):
        yield look.on, f"{timezone.localtime(look.last):%H:%M}", look.name, look.role, look.page, look.times


def latest_looks(athlete: Athlete, reader: User, names: Names) -> tuple[Look, ...]:
    """The last few, once a person and day. `names` learns of them, and of the athlete's coach in the same query."""
    days: dict[tuple[UUID, str, dt.date], dt.datetime] = {}
    for who, role, when in _latest(Keys.of([athlete.uuid])):
        days.setdefault((who, role, timezone.localtime(when).date()), when)
    shown = list(days.items())[:LATEST_SHOWN]
    names.learn((who for (who, _, _), _ in shown), coach_id=athlete.responsible_coach_id)
    return tuple(Look(names.of(who, role, reader), _role(role), when) for (who, role, _), when in shown)


@worded_once
def _latest(athletes: Keys) -> QuerySet:
    rows = ViewLog.objects.filter(athlete_uuid__in=athletes.places)
    return rows.values_list("who", "role", "when")[:LATEST_READ]


class Names:
    """What accounts are called, in one query; an account that is gone has no name left."""

    def __init__(self) -> None:
        self.known: dict[UUID, str] = {}
        self.coach = ""

    def learn(self, accounts: Iterable[UUID], *, coach_id: int | None = None) -> None:
        coach = Keys.of([] if coach_id is None else [coach_id])
        for key, uuid, *names in _accounts(Keys.of({*accounts, NOBODY}), coach):
            self.known[uuid] = account_name(*names)
            if key == coach_id:
                self.coach = self.known[uuid]

    def of(self, who: UUID, role: str, reader: User) -> str:
        """One guardian learns of another that a guardian looked, and no name: the athlete and an admin read it."""
        if who == reader.uuid:
            return YOU
        if role == Role.GUARDIAN and reader.role == Role.GUARDIAN:
            return "Another guardian"
        return self.known.get(who, GONE)


@worded_once
def _accounts(uuids: Keys, keys: Keys) -> QuerySet:
    rows = User.objects.filter(Q(uuid__in=uuids.places) | Q(pk__in=keys.places))
    return rows.values_list("pk", "uuid", "first_name", "last_name", "username")


def _grouped(athlete: Athlete) -> QuerySet[Any, Any]:
    rows = ViewLog.objects.filter(athlete_uuid=athlete.uuid).annotate(day=TruncDate("when"))
    lines = rows.values("who", "role", "what", "day").annotate(times=Count("id"), last=Max("when"), newest=Max("id"))
    return lines.order_by("-day", "-newest")


def _looks(lines: Iterable[dict[str, Any]], reader: User) -> Iterator[Look]:
    rows, names = list(lines), Names()
    names.learn(row["who"] for row in rows)
    for row in rows:
        name = names.of(row["who"], row["role"], reader)
        yield Look(name, _role(row["role"]), row["last"], page_words(row["what"]), row["times"])


def _role(role: str) -> str:
    return Role(role).label if role in Role.values else role
