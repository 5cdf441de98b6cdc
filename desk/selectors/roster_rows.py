"""The rows of the roster: what each athlete's shows on a date, read as plain values.

A page of athletes as model instances, with the rows behind them, takes three times as long to build.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict, namedtuple
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from uuid import UUID

from django.db.models import QuerySet, TextField
from django.db.models.functions import Cast
from django.utils import timezone

from athletes.facts import age_on, availability_of, stopped_by
from athletes.models import Athlete, Level, PainReport, Role, User
from athletes.models.accounts import account_name
from athletes.models.people import Throws
from athletes.worded import Keys, worded_once
from desk.selectors.addresses import address_of
from desk.selectors.now import with_held, with_level
from metrics.catalogue import load_catalogue
from metrics.templatetags.drawing import DRAWN_REMEMBERED
from sessions.models import Method
from sessions.quick_json import from_text

LEVEL_WORDS, THROWS_WORDS, METHOD_WORDS = dict(Level.choices), dict(Throws.choices), dict(Method.choices)
OWN = ("pk", "uuid", "given_name", "family_name", "birth_date", "throws", "consent_withdrawn_on")
COACH = tuple(f"responsible_coach__{name}" for name in ("first_name", "last_name", "username"))
COUNTS = ("flags_new", "flags_confirmed", "flags_recurring")
LAST = ("last_date", "last_method", "last_session__uuid")
TEXTS = {"flags_text": Cast("standing__flags", TextField()), "dates_text": Cast("standing__session_dates", TextField())}
"""Left as text until a row is made, so that equal rows are known by their values and made once."""
STANDING = (*(f"standing__{name}" for name in (*LAST, *COUNTS, "top_metric", "top_side")), "flags_text", "dates_text")
NOW = ("level_now", "state_now", "held__valid_from", "held__until", "held__limits")
READ = (*OWN, *COACH, *STANDING, *NOW)
Known = namedtuple("Known", READ)  # type: ignore[misc]  # the names stand above


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
    flags_new: int
    flags_confirmed: int
    flags_recurring: int
    last_words: str


def rows_of(user: User, keys: Collection[int], today: dt.date) -> list[RosterRow]:
    """Rows of athletes by primary key, in the order given; whom the user may not see is left out."""
    asked = Keys.of(keys)
    found = {row[0]: Known(*row) for row in _known(user, today, asked)}
    pain = _open_pain(asked)
    return [_row(_readable(found[key], user), tuple(pain[key]), today) for key in keys if key in found]


def _readable(known: Any, user: User) -> Any:
    """Without its standing, which is made of findings, while consent is withdrawn and the user is no admin."""
    if known.consent_withdrawn_on is None or user.role == Role.ADMIN:
        return known
    return known._replace(**dict.fromkeys(STANDING))


@worded_once
def _known(user: User, today: dt.date, keys: Keys) -> QuerySet:
    """What is read of an athlete."""
    athletes = with_level(with_held(Athlete.objects.order_by(), today), today)
    return athletes.visible_to(user).filter(pk__in=keys.places).annotate(**TEXTS).values_list(*READ)


def _open_pain(keys: Keys) -> dict[int, list[tuple[str, dt.date]]]:
    """Where and since when, the newest first, by athlete."""
    found = defaultdict(list)
    for athlete, where, reported_at in _reported(keys):
        found[athlete].append((where, timezone.localdate(reported_at)))
    return found


@worded_once
def _reported(athletes: Keys) -> QuerySet:
    reports = PainReport.objects.open().filter(athlete__in=athletes.places)
    return reports.values_list("athlete", "where", "reported_at")


@lru_cache(DRAWN_REMEMBERED)
def _row(known: Any, pain: tuple[tuple[str, dt.date], ...], today: dt.date) -> RosterRow:
    """known: an athlete's values by the names above; without a standing all of STANDING is None."""
    held = availability_of(known.state_now, known.held__valid_from, known.held__until, known.held__limits)
    stopped = stopped_by(pain, held)
    last, method = known.standing__last_date, METHOD_WORDS.get(known.standing__last_method, "")
    return RosterRow(
        uuid=known.uuid,
        name=f"{known.given_name} {known.family_name}",
        age_years=age_on(known.birth_date, today).years,
        level=LEVEL_WORDS.get(known.level_now, ""),
        throws=THROWS_WORDS[known.throws],
        last_method=method,
        last_date=last,
        last_words=f"{method}, {_days_ago((today - last).days)}" if last else "",
        address=address_of("desk:record", known.uuid),
        last_address=address_of("metrics:session", seen) if (seen := known.standing__last_session__uuid) else "",
        flags=tuple(map(tuple, from_text(known.flags_text or "[]"))),
        top=top_finding(known.standing__top_metric or "", known.standing__top_side or ""),
        sessions=_line(from_text(known.dates_text or "[]"), today),
        is_stopped=stopped is not None,
        stopped_reason=_reason(stopped.reason, held.limits) if stopped else "",
        availability=held.word if held.state else "",
        availability_note=held.limits or (f"until {held.until.day} {held.until:%B}" if held.until else ""),
        coach=_coach(known),
        flags_new=known.standing__flags_new or 0,
        flags_confirmed=known.standing__flags_confirmed or 0,
        flags_recurring=known.standing__flags_recurring or 0,
    )


def _coach(known: Any) -> str:
    if known.responsible_coach__username is None:
        return ""
    return account_name(*(getattr(known, name) for name in COACH))


def _days_ago(days: int) -> str:
    """Short, for a narrow column: "today", "12 d"."""
    return "today" if days == 0 else f"{days:,} d"


def top_finding(metric: str, side: str) -> TopFinding | None:
    """Names a finding as the catalogue does; a metric that the catalogue no longer has keeps its key."""
    if not metric:
        return None
    known = load_catalogue().metrics.get(metric)
    if known is None:
        return TopFinding(metric, side)
    return TopFinding(known.short_name, {"low": known.low_word, "high": known.high_word}.get(side, ""))


def _line(dates: Sequence[tuple[str, str]], today: dt.date) -> tuple[tuple[int, str], ...]:
    return tuple(((today - dt.date.fromisoformat(date)).days, method) for date, method in dates)


def _reason(reason: str, limits: str) -> str:
    """Beside the word *stopped*: why."""
    return reason.replace(": ", ", ") if reason.startswith("pain") else limits
