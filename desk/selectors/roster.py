"""The roster: everyone, with where they stand now. As many queries for five athletes as for five thousand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from django.core.paginator import Page, Paginator
from django.db.models import Count, F, Q, QuerySet

from athletes.models import User
from athletes.models.people import Athlete, AthleteQuerySet
from athletes.worded import worded_once
from desk.selectors.now import SeenLimits, everyone_since, seen_limits
from desk.selectors.roster_rows import RosterRow, rows_of

PAGE_SIZE = 50
SAVED_AT_ONCE = 500
MINE, EVERYONE = "mine", "everyone"
BY_NAME = ("family_name", "given_name", "pk")
LAST_FIRST = F("standing__last_date").desc(nulls_last=True)
SORTS: dict[str, tuple] = {
    "needs": ("-is_stopped", "-urgency", "-is_unseen", *BY_NAME),
    "name": BY_NAME,
    "last": (LAST_FIRST, *BY_NAME),
    "flags": ("-flag_count", "-urgency", *BY_NAME),
}
SORT_WORDS = {"needs": "needs you first", "name": "name", "last": "last session", "flags": "flags"}


@dataclass(frozen=True, slots=True)
class RosterChoice:
    """What was chosen above the list; empty means all. `group` is the group's uuid."""

    who: str = EVERYONE
    q: str = ""
    group: UUID | None = None
    level: str = ""
    method: str = ""
    availability: str = ""
    sort: str = "needs"

    @property
    def sort_words(self) -> str:
        return SORT_WORDS[self.sort]

    @property
    def is_narrowed(self) -> bool:
        return any((self.q, self.group, self.level, self.method, self.availability))


@dataclass(frozen=True, slots=True)
class RosterCounts:
    mine: int
    everyone: int

    def of(self, choice: RosterChoice) -> int | None:
        """How many athletes a choice gives, where that is plain."""
        if choice.is_narrowed:
            return None
        return self.mine if choice.who == MINE else self.everyone


def roster_counts(user: User) -> RosterCounts:
    return RosterCounts(*next(iter(_counts(user)), (0, 0)))


@worded_once
def _counts(user: User) -> QuerySet:
    """One row at most, since nobody who is present has such a date: how many are the reader's own, and all."""
    present = Athlete.objects.visible_to(user).order_by().values("withdrawn_at")
    counted = present.annotate(mine=Count("pk", filter=Q(responsible_coach=user)), everyone=Count("pk"))
    return counted.values_list("mine", "everyone")


def roster_athletes(user: User, choice: RosterChoice, today: dt.date, limits: SeenLimits) -> AthleteQuerySet:
    """The athletes chosen, sorted."""
    found = everyone_since(today, *limits).visible_to(user)
    if choice.who == MINE:
        found = found.filter(responsible_coach=user)
    if choice.q:
        found = found.named(choice.q)
    if choice.group:
        found = found.filter(groups__uuid=choice.group)
    if choice.level:
        found = found.filter(level_now=choice.level)
    if choice.method:
        found = found.filter(standing__last_method=choice.method)
    if choice.availability == "stopped":
        found = found.filter(is_stopped=1)
    elif choice.availability:
        found = found.filter(state_now=choice.availability, is_stopped=0)
    return found.order_by(*SORTS[choice.sort])


class CountedPaginator(Paginator):
    """Of so many rows, which are read once it is known which page."""

    def __init__(self, total: int) -> None:
        super().__init__((), PAGE_SIZE)
        self.count = total


def roster_page(
    user: User, choice: RosterChoice, today: dt.date, number: str | int = 1, *, counts: RosterCounts | None = None
) -> Page:
    """One page of RosterRow. `counts`: of all athletes, when they are known; they are the total of an open choice."""
    total, limits = counts.of(choice) if counts else None, seen_limits(today)
    if total is None:
        total = _sorted_keys(user, choice, today, limits).count()
    page = CountedPaginator(total).get_page(number)
    keys = _keys_of_page(user, choice, today, limits, page.number)
    page.object_list = rows_of(user, [key for key, *_ in keys], today)
    return page


@worded_once
def _keys_of_page(user: User, choice: RosterChoice, today: dt.date, limits: SeenLimits, number: int) -> QuerySet:
    return _sorted_keys(user, choice, today, limits)[(number - 1) * PAGE_SIZE : number * PAGE_SIZE]


def roster_rows(user: User, choice: RosterChoice, today: dt.date) -> Iterator[RosterRow]:
    """All rows, for saving."""
    keys = [key for key, *_ in _sorted_keys(user, choice, today, seen_limits(today))]
    for start in range(0, len(keys), SAVED_AT_ONCE):
        yield from rows_of(user, keys[start : start + SAVED_AT_ONCE], today)


def _sorted_keys(user: User, choice: RosterChoice, today: dt.date, limits: SeenLimits) -> QuerySet:
    """Primary keys, each with what it is sorted by: the database then works that out once and sorts by place.

    The rest of an athlete is loaded afterwards, so that sorting carries no more than it compares.
    """
    compared = [term.removeprefix("-") for term in SORTS[choice.sort] if isinstance(term, str) and term != "pk"]
    return roster_athletes(user, choice, today, limits).values_list("pk", *compared)
