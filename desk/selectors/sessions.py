"""Sessions as lines of a list: when, how, under which conditions, and the flags that they left."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import NamedTuple
from uuid import UUID

from django.db.models import Q, QuerySet

from athletes.facts import age_on
from athletes.models import User
from athletes.models.people import Throws
from athletes.worded import Keys, worded_once
from athletes.words import counted
from desk.selectors.addresses import address_of
from metrics.models import Finding
from sessions.models import Ball, CaptureSession, Intent, Method, PitchType, SessionExtract, Surface

CONDITION_WORDS = {"surface": Surface, "intent": Intent, "pitch_type": PitchType, "ball": Ball}
THROWS_WORDS, METHOD_WORDS = dict(Throws.choices), dict(Method.choices)
LATELY_DAYS = 28
Flags = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class SourceFile:
    name: str
    url: str


@dataclass(frozen=True, slots=True)
class SessionLine:
    """flags: [metric, side, sure] of the session's family heads, most important first."""

    uuid: UUID
    url: str
    athlete_url: str
    athlete_name: str
    athlete_age: int
    athlete_throws: str
    date: dt.date
    method: str
    throws: str
    conditions: str
    flags: Flags
    is_scored: bool
    is_open: bool
    files: tuple[SourceFile, ...] = ()


class SessionRow(NamedTuple):
    """What is read of a session, of its athlete, and of its scoring: without one all of it is None."""

    pk: int
    uuid: UUID
    date: dt.date
    method: str
    state: str
    athlete_uuid: UUID
    given_name: str
    family_name: str
    birth_date: dt.date
    throws_with: str
    scoring: int | None
    throws: int | None
    scored_throws: int | None
    conditions_used: dict[str, str] | None
    for_orientation: bool | None


OWN = ("pk", "uuid", "date", "method", "state")
ATHLETE = tuple(f"athlete__{name}" for name in ("uuid", "given_name", "family_name", "birth_date", "throws"))
SCORING = tuple(f"scoring__{name}" for name in ("pk", "throws", "scored_throws", "conditions_used", "for_orientation"))
READ = (*OWN, *ATHLETE, *SCORING)
"""The fields of SessionRow, in their order, as they are asked for."""


def session_lines(sessions: QuerySet[CaptureSession], today: dt.date, *, files: bool = False) -> list[SessionLine]:
    """In the order given, in two queries for any number; `files` adds, in a third, the uploads that they came from."""
    return _lines(list(sessions.values_list(*READ)), today, files=files)


def newest_lines(user: User, today: dt.date, most: int, *, own: bool) -> list[SessionLine]:
    """The last sessions up to today; `own`: of the reader's athletes alone.

    Looked for in the last four weeks first, where they mostly are: the database then sorts a few rows, not years.
    """
    lately = _newest(user, today, most, own, today - dt.timedelta(days=LATELY_DAYS))
    return _lines(lately if len(lately) == most else _newest(user, today, most, own, dt.date.min), today)


@worded_once
def _newest(user: User, today: dt.date, most: int, own: bool, since: dt.date) -> QuerySet:
    mine = Q(athlete__responsible_coach=user) if own else Q()
    return (
        CaptureSession.objects.visible_to(user).filter(mine, date__gt=since, date__lte=today).values_list(*READ)[:most]
    )


def _lines(read: list[tuple], today: dt.date, *, files: bool = False) -> list[SessionLine]:
    """Of plain values: three models a line take longer to build than to ask."""
    rows = list(map(SessionRow._make, read))
    keys = [row.pk for row in rows]
    flags = _flags_of(keys)
    sources = _files_of(keys) if files else {}
    return [_line(row, tuple(flags[row.pk]), sources.get(row.pk, ()), today) for row in rows]


def _flags_of(keys: Collection[int]) -> defaultdict[int, list[tuple[str, str, str]]]:
    """Of each session by primary key."""
    found: defaultdict[int, list[tuple[str, str, str]]] = defaultdict(list)
    for session, metric, side, sure in _heads(Keys.of(keys)):
        found[session].append((metric, side, sure))
    return found


@worded_once
def _heads(sessions: Keys) -> QuerySet:
    heads = Finding.objects.flags().filter(session__in=sessions.places, is_family_head=True, priority__gt=0)
    return heads.order_by("-priority", "metric").values_list("session", "metric", "side", "sure")


def _line(row: SessionRow, flags: Flags, files: tuple[SourceFile, ...], today: dt.date) -> SessionLine:
    return SessionLine(
        uuid=row.uuid,
        url=address_of("metrics:session", row.uuid),
        athlete_url=address_of("desk:record", row.athlete_uuid),
        athlete_name=f"{row.given_name} {row.family_name}",
        athlete_age=age_on(row.birth_date, max(today, row.birth_date)).years,
        athlete_throws=THROWS_WORDS[row.throws_with],
        date=row.date,
        method=METHOD_WORDS[row.method],
        throws=_throws(row.throws, row.scored_throws, row.method),
        conditions=conditions_words(row.conditions_used, for_orientation=row.for_orientation),
        flags=flags,
        is_scored=row.scoring is not None,
        is_open=row.state == CaptureSession.State.OPEN,
        files=files,
    )


def conditions_words(used: Mapping[str, str] | None, *, for_orientation: bool | None) -> str:
    """Mound, full effort, fastball, regulation ball; says so when the throws used were others than wanted."""
    given = used or {}
    words = [str(kinds(given[name]).label) for name, kinds in CONDITION_WORDS.items() if given.get(name)]
    return ", ".join([*words, *(["for orientation"] if for_orientation else [])])


def _throws(throws: int | None, scored: int | None, method: str) -> str:
    """How many throws, and how many of them count; a screen has no throws but repetitions."""
    if not throws:
        return ""
    if method == Method.HANDS_ON:
        return counted(throws, "repetition")
    if scored == throws:
        return counted(throws, "throw")
    return f"{scored} of {counted(throws, 'throw')} scored"


def _files_of(keys: Collection[int]) -> dict[int, tuple[SourceFile, ...]]:
    """Each upload once, though it may have given several sheets; a withdrawn one is no source any more."""
    rows = SessionExtract.objects.filter(session__in=keys, upload__isnull=False, upload__withdrawn_at=None)
    found: defaultdict[int, dict[UUID, SourceFile]] = defaultdict(dict)
    for session, name, uuid in rows.values_list("session", "upload__filename", "upload__uuid"):
        found[session].setdefault(uuid, SourceFile(name, address_of("metrics:import", uuid)))
    return {session: tuple(files.values()) for session, files in found.items()}
