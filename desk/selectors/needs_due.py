"""Work that is to be looked at again: what was measured and waits for a decision, and what is due and not measured."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple
from uuid import UUID

from django.db.models import QuerySet
from django.urls import reverse

from athletes.models import User
from athletes.worded import worded_once
from athletes.words import counted
from desk.selectors.addresses import address_of
from desk.selectors.need import FIRST_NAMES, NOTHING, Need, Needs, Person
from desk.selectors.watched import Watched
from plans.models import FollowUp
from plans.responding.values import ResponseWord
from plans.selectors.due_words import due_words

FIELDS = (
    "uuid",
    "due",
    "prescription__athlete",
    "prescription__athlete__given_name",
    "prescription__athlete__family_name",
    "prescription__version__fields__name",
    "response__word",
)
NOT_MEASURED = ("", None, ResponseWord.NOT_COMPARABLE)


class Due(NamedTuple):
    """A follow-up that is due or late. `word`: of its response; None where none can be computed."""

    uuid: UUID
    date: dt.date
    athlete: int
    given_name: str
    family_name: str
    work: str
    word: str | None

    @property
    def person(self) -> Person:
        return Person(f"{self.given_name} {self.family_name}", address_of("plans:follow-up", self.uuid))


def follow_ups_needed(watched: Watched) -> Needs:
    """Of those whom one looks after: a line for what can be decided, one for what is to be measured. One query."""
    due = [Due._make(row) for row in _due(watched.reader, watched.today, watched.has_own)]
    if not due:
        return NOTHING
    measured = [one for one in due if one.word not in NOT_MEASURED]
    waiting = [one for one in due if one.word in NOT_MEASURED]
    lines = [
        *([_measured(measured)] if measured else []),
        *([_waiting(waiting, watched.today)] if waiting else []),
    ]
    return Needs(tuple(lines), len(due))


def _measured(due: list[Due]) -> Need:
    if len(due) == 1:
        one = due[0]
        reason = f"{one.work}: {one.word}."
        return Need("due", "Measured, to decide: ", (one.person,), reason=reason, step="Decide", url=one.person.url)
    words = {word: sum(one.word == word for one in due) for word in ResponseWord}
    told = ", ".join(f"{count} {word}" for word, count in words.items() if count)
    return _many("Measured, to decide: ", due, f"{told}.", "measured")


def _waiting(due: list[Due], today: dt.date) -> Need:
    if len(due) == 1:
        one = due[0]
        reason = f"{one.work}: {due_words(one.date, today)}, not measured."
        return Need("due", "Follow-up due: ", (one.person,), reason=reason, step="Open", url=one.person.url)
    late = sum(one.date < today for one in due)
    told = f"{counted(late, 'late', 'late')}, not measured." if late else "Due today, not measured."
    return _many("Follow-ups due: ", due, told, "waiting")


def _many(title: str, due: list[Due], reason: str, state: str) -> Need:
    """The longest late first; each name leads to the first of its follow-ups, the step to all of them."""
    first: dict[int, Due] = {}
    for one in due:
        first.setdefault(one.athlete, one)
    people = tuple(one.person for one in list(first.values())[:FIRST_NAMES])
    more = len(first) - len(people)
    url = f"{reverse('plans:follow-ups')}?state={state}"
    return Need("due", title, people, more, reason=reason, step="Follow-ups", url=url)


@worded_once
def _due(user: User, today: dt.date, own: bool) -> QuerySet:
    found = FollowUp.objects.visible_to(user).open().filter(due__lte=today)
    mine = found.filter(prescription__athlete__responsible_coach=user) if own else found
    return mine.order_by("due", "pk").values_list(*FIELDS)
