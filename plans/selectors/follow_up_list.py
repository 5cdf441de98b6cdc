"""The list of open follow-ups: narrowed, sorted, in pages; as many queries for five of them as for five thousand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from django.core.paginator import Page, Paginator
from django.db.models import Case, CharField, Count, IntegerField, Q, Value, When
from django.db.models.fields.json import KeyTextTransform
from django.db.models.functions import Cast, Lower

from athletes.models import Athlete, User
from plans.models import FollowUp
from plans.models.prescriptions import FollowUpQuerySet
from plans.responding.values import ResponseWord
from plans.selectors.follow_up_rows import FollowUpRow, loaded, rows_of

PAGE_SIZE = 50
SAVED_AT_ONCE = 500
MINE, EVERYONE = "mine", "everyone"
STATES = {
    "": "all",
    "late": "late",
    "today": "due today",
    "coming": "coming",
    "measured": "measured, to decide",
    "waiting": "due, not measured",
}
BY_NAME = ("prescription__athlete__family_name", "prescription__athlete__given_name", "pk")
SORTS: dict[str, tuple[str, ...]] = {
    "due": ("due", *BY_NAME),
    "name": BY_NAME,
    "work": ("work_name", "due", *BY_NAME),
    "response": ("response_place", "due", *BY_NAME),
}
SORT_WORDS = {"due": "date", "name": "name", "work": "work", "response": "response"}
FIRST_WORDS = (
    ResponseWord.WORSE,
    ResponseWord.NO_REAL_CHANGE,
    ResponseWord.CANT_TELL,
    ResponseWord.BETTER,
    ResponseWord.NOT_COMPARABLE,
)
"""Sorted by response: what asks most for a decision first, what was not measured last."""


@dataclass(frozen=True, slots=True)
class FollowUpChoice:
    """What was chosen above the list; empty means all. `day`: only those due on it."""

    who: str = EVERYONE
    q: str = ""
    state: str = ""
    sort: str = "due"
    day: dt.date | None = None

    @property
    def sort_words(self) -> str:
        return SORT_WORDS[self.sort]

    @property
    def is_narrowed(self) -> bool:
        return bool(self.q or self.state or self.day)

    @property
    def by_week(self) -> bool:
        """Whether the weeks stand as headings between the rows."""
        return self.sort == "due"


@dataclass(frozen=True, slots=True)
class FollowUpCounts:
    """Open follow-ups. `late` and `today` are of those that the reader opens the page on."""

    mine: int
    everyone: int
    late: int
    today: int


def has_athletes(user: User) -> bool:
    """Whether the page opens on *mine*."""
    return Athlete.objects.visible_to(user).filter(responsible_coach=user).exists()


def follow_up_counts(user: User, today: dt.date, who: str) -> FollowUpCounts:
    own = Q(prescription__athlete__responsible_coach=user)
    shown = own if who == MINE else Q()
    found = (
        FollowUp.objects.visible_to(user)
        .open()
        .aggregate(
            mine=Count("pk", filter=own),
            everyone=Count("pk"),
            late=Count("pk", filter=shown & Q(due__lt=today)),
            today=Count("pk", filter=shown & Q(due=today)),
        )
    )
    return FollowUpCounts(**found)


def chosen_follow_ups(user: User, choice: FollowUpChoice, today: dt.date) -> FollowUpQuerySet:
    """The open follow-ups chosen, not sorted."""
    found = FollowUp.objects.visible_to(user).open()
    if choice.who == MINE:
        found = found.filter(prescription__athlete__responsible_coach=user)
    if choice.q:
        found = found.filter(prescription__athlete__in=Athlete.objects.visible_to(user).named(choice.q))
    if choice.day:
        found = found.filter(due=choice.day)
    return found.filter(_in_state(choice.state, today)) if choice.state else found


def _in_state(state: str, today: dt.date) -> Q:
    measured = Q(response__word__in=[one for one in ResponseWord if one != ResponseWord.NOT_COMPARABLE])
    return {
        "late": Q(due__lt=today),
        "today": Q(due=today),
        "coming": Q(due__gt=today),
        "measured": measured,
        "waiting": Q(due__lte=today) & ~measured,
    }.get(state, Q())


def _sorted(rows: FollowUpQuerySet, sort: str) -> FollowUpQuerySet:
    if sort == "work":
        name = KeyTextTransform("name", "prescription__version__fields")
        rows = rows.annotate(work_name=Lower(Cast(name, CharField())))
    if sort == "response":
        places = [When(response__word=word, then=Value(place)) for place, word in enumerate(FIRST_WORDS)]
        last = Value(len(places))
        rows = rows.annotate(response_place=Case(*places, default=last, output_field=IntegerField()))
    return rows.order_by(*SORTS[sort])


def follow_up_page(user: User, choice: FollowUpChoice, today: dt.date, number: str | int, system: str) -> Page:
    """One page of FollowUpRow."""
    found = _sorted(chosen_follow_ups(user, choice, today), choice.sort)
    page = Paginator(loaded(found), PAGE_SIZE).get_page(number)
    page.object_list = rows_of(page.object_list, today, system)
    return page


def all_rows(user: User, choice: FollowUpChoice, today: dt.date, system: str) -> Iterator[FollowUpRow]:
    """All that the choice gives, for saving."""
    keys = list(_sorted(chosen_follow_ups(user, choice, today), choice.sort).values_list("pk", flat=True))
    for start in range(0, len(keys), SAVED_AT_ONCE):
        part = keys[start : start + SAVED_AT_ONCE]
        found = {one.pk: one for one in loaded(FollowUp.objects.filter(pk__in=part))}
        yield from rows_of([found[key] for key in part if key in found], today, system)
