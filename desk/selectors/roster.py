"""The roster: everyone, with where they stand now. As many queries for five athletes as for five thousand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from uuid import UUID

from django.core.paginator import Page, Paginator
from django.db.models import Count, F, Prefetch, Q
from django.urls import reverse

from athletes.facts import age_on, availability_on, level_on, stopped_on
from athletes.models import PainReport, User
from athletes.models.people import Athlete, AthleteQuerySet
from desk.selectors.now import with_standing, with_state
from metrics.catalogue import load_catalogue
from metrics.models import Standing
from sessions.models import Method

PAGE_SIZE = 50
NOBODY = UUID(int=0)
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
class TopFinding:
    """Short name of a metric and the word for its side: Trunk opening, early."""

    name: str
    direction: str

    def __str__(self) -> str:
        return f"{self.name}, {self.direction}" if self.direction else self.name


@dataclass(frozen=True, slots=True)
class RosterRow:
    """One athlete as the roster shows them on a date.

    flags: [metric, side, sure, confirmation], most important first; sessions: (days ago, capture method).
    """

    uuid: UUID
    name: str
    age_years: int
    level: str
    throws: str
    last_method: str
    last_date: dt.date | None
    address: str
    last_address: str
    flags: tuple[tuple[str, ...], ...]
    top: TopFinding | None
    sessions: tuple[tuple[int, str], ...]
    is_stopped: bool
    stopped_reason: str
    availability: str
    availability_note: str
    coach: str
    counts: dict[str, int]
    last_words: str


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
    found = Athlete.objects.visible_to(user).aggregate(
        everyone=Count("pk"), mine=Count("pk", filter=Q(responsible_coach=user))
    )
    return RosterCounts(**found)


def roster_athletes(user: User, choice: RosterChoice, today: dt.date) -> AthleteQuerySet:
    """The athletes chosen, sorted."""
    found = with_standing(with_state(Athlete.objects.visible_to(user), today), today)
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
    """Takes the number of rows where it is known already; None counts them."""

    def __init__(self, rows: AthleteQuerySet, total: int | None) -> None:
        super().__init__(rows, PAGE_SIZE)
        if total is not None:
            self.count = total


def roster_page(
    user: User, choice: RosterChoice, today: dt.date, number: str | int = 1, *, counts: RosterCounts | None = None
) -> Page:
    """One page of RosterRow. `counts`: of all athletes, when they are known; they are the total of an open choice."""
    total = counts.of(choice) if counts else None
    page = CountedPaginator(_loaded(roster_athletes(user, choice, today)), total).get_page(number)
    page.object_list = [roster_row(athlete, today) for athlete in page.object_list]
    return page


def roster_rows(user: User, choice: RosterChoice, today: dt.date) -> Iterable[RosterRow]:
    """All rows, for saving."""
    return (roster_row(athlete, today) for athlete in _loaded(roster_athletes(user, choice, today)))


def roster_row(athlete: Athlete, today: dt.date) -> RosterRow:
    """What a row shows; the athlete comes with standing, levels, availabilities and open pain loaded."""
    standing = _standing_of(athlete)
    stopped, held, level = stopped_on(athlete, today), availability_on(athlete, today), level_on(athlete, today)
    return RosterRow(
        uuid=athlete.uuid,
        name=athlete.name,
        age_years=age_on(athlete.birth_date, today).years,
        level=level.label if level else "",
        throws=athlete.get_throws_display(),
        last_method=Method(standing.last_method).label if standing.last_method else "",
        last_date=standing.last_date,
        last_words=_last_words(standing, today),
        address=_address("desk:record", athlete.uuid),
        last_address=_address("metrics:session", last) if (last := getattr(athlete, "last_session_uuid", None)) else "",
        flags=tuple(tuple(flag) for flag in standing.flags),
        top=top_finding(standing.top_metric, standing.top_side),
        sessions=_line(standing, today),
        is_stopped=stopped is not None,
        stopped_reason=_reason(stopped.reason, held.limits) if stopped else "",
        availability=held.word if held.state else "",
        availability_note=held.limits or (f"until {held.until.day} {held.until:%B}" if held.until else ""),
        coach=str(athlete.responsible_coach or ""),
        counts={
            "new": standing.flags_new,
            "confirmed": standing.flags_confirmed,
            "recurring": standing.flags_recurring,
        },
    )


def _last_words(standing: Standing, today: dt.date) -> str:
    """ "motion capture, today", or "video, 12 d"; empty for somebody never measured."""
    if standing.last_date is None:
        return ""
    days = (today - standing.last_date).days
    return f"{Method(standing.last_method).label}, {'today' if days == 0 else f'{days:,} d'}"


def top_finding(metric: str, side: str) -> TopFinding | None:
    """Names a finding as the catalogue does; a metric that the catalogue no longer has keeps its key."""
    if not metric:
        return None
    known = load_catalogue().metrics.get(metric)
    if known is None:
        return TopFinding(metric, side)
    return TopFinding(known.short_name, {"low": known.low_word, "high": known.high_word}.get(side, ""))


def _loaded(athletes: AthleteQuerySet) -> AthleteQuerySet:
    open_pain = Prefetch("pain_reports", PainReport.objects.open(), to_attr="known_open_pain")
    athletes = athletes.annotate(last_session_uuid=F("standing__last_session__uuid")).select_related("standing")
    return athletes.prefetch_related("levels", "availabilities", "responsible_coach", open_pain)


def _address(name: str, uuid: UUID) -> str:
    return _pattern(name).replace(str(NOBODY), str(uuid))


@cache
def _pattern(name: str) -> str:
    """The address of nobody's page: each row's differs in the uuid alone, and working it out takes as long as a row."""
    return reverse(name, args=[NOBODY])


def _standing_of(athlete: Athlete) -> Standing:
    return getattr(athlete, "standing", None) or Standing(athlete=athlete)


def _line(standing: Standing, today: dt.date) -> tuple[tuple[int, str], ...]:
    return tuple(((today - dt.date.fromisoformat(date)).days, method) for date, method in standing.session_dates)


def _reason(reason: str, limits: str) -> str:
    """Beside the word *stopped*: why."""
    return reason.replace(": ", ", ") if reason.startswith("pain") else limits
