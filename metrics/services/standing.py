"""An athlete's standing, for roster and today: rebuilt from findings, never edited."""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import NamedTuple

from django.utils import timezone

from athletes.models import Athlete
from metrics.models import Finding, Standing
from sessions.models import CaptureSession, Method

LINE_DAYS = 120
"""How far the roster's line of sessions looks back."""

THROWING_METHODS = (Method.MOTION_CAPTURE, Method.VIDEO)


_followers: list[Callable[[Collection[int]], None]] = []


def follow_standings(follower: Callable[[Collection[int]], None]) -> None:
    """Called from a higher room's AppConfig.ready(): what else rests on these athletes' findings is rebuilt too."""
    _followers.append(follower)


class Seen(NamedTuple):
    """One session of an athlete."""

    pk: int
    date: datetime.date
    method: str


class Off(NamedTuple):
    """A finding that counts and is not in range."""

    metric: str
    zone: str
    side: str
    sure: str
    confirmation: str
    priority: float


def rebuild_standing(athlete: Athlete) -> Standing:
    """Replaces the athlete's standing by what the present findings give."""
    rebuild_standings([athlete.pk])
    return Standing.objects.get(athlete=athlete)


def rebuild_standings(athlete_ids: Collection[int]) -> None:
    """The standings of many athletes at once, in as many queries as for one. All must exist."""
    sessions: defaultdict[int, list[Seen]] = defaultdict(list)
    for athlete_id, pk, date, method in (
        CaptureSession.objects.filter(athlete__in=athlete_ids)
        .order_by("-date", "-ordinal", "-id")
        .values_list("athlete_id", "pk", "date", "method")
    ):
        sessions[athlete_id].append(Seen(pk, date, method))
    latest = {one: _latest_by_method(sessions[one]) for one in athlete_ids}
    judged = {one: _judged(latest[one]) for one in athlete_ids}
    off = _off_by_session([pk for pk in judged.values() if pk is not None])
    now = timezone.now()
    rows = [
        _standing(one, sessions[one], latest[one], off.get(judged[one] or 0, []), now)
        for one in sorted(set(athlete_ids))
    ]
    changing = [field.name for field in Standing._meta.concrete_fields if field.name not in {"id", "athlete"}]
    Standing.objects.bulk_create(rows, update_conflicts=True, unique_fields=["athlete"], update_fields=changing)
    for follower in _followers:
        follower(athlete_ids)


def _latest_by_method(sessions: Sequence[Seen]) -> dict[str, Seen]:
    """`sessions`: the latest first."""
    return {seen.method: seen for seen in reversed(sessions)}


def _judged(latest: Mapping[str, Seen]) -> int | None:
    """The latest session that was thrown in: its findings are the athlete's."""
    thrown = [latest[method] for method in THROWING_METHODS if method in latest]
    return max(thrown, key=lambda seen: (seen.date, seen.pk)).pk if thrown else None


def _off_by_session(session_ids: Collection[int]) -> Mapping[int, list[Off]]:
    """What counts and is off in each session, most important first."""
    heads = Finding.objects.filter(session__in=session_ids, is_family_head=True, priority__gt=0).exclude(
        sure=Finding.Sure.CANT_TELL
    )
    found: defaultdict[int, list[Off]] = defaultdict(list)
    for session_id, *off in (
        heads.exclude(zone=Finding.Zone.IN_RANGE)
        .order_by("-priority", "metric")
        .values_list("session_id", *Off._fields)
    ):
        found[session_id].append(Off(*off))
    return found


def _standing(
    athlete_id: int, sessions: list[Seen], latest: Mapping[str, Seen], off: list[Off], now: datetime.datetime
) -> Standing:
    flags = [row for row in off if row.zone == Finding.Zone.FLAG]
    top = next(iter(flags or off), None)
    counts = Counter(flag.confirmation for flag in flags)
    first = sessions[0] if sessions else None
    return Standing(
        athlete_id=athlete_id,
        last_session_id=first.pk if first else None,
        last_date=first.date if first else None,
        last_method=first.method if first else "",
        last_by_method={method: str(seen.date) for method, seen in latest.items()},
        session_dates=_line(sessions),
        flags_new=counts[Finding.Confirmation.TO_CONFIRM],
        flags_confirmed=counts[Finding.Confirmation.CONFIRMED],
        flags_recurring=counts[Finding.Confirmation.RECURRING],
        flags=[[flag.metric, flag.side, flag.sure, flag.confirmation] for flag in flags],
        top_metric=top.metric if top else "",
        top_side=top.side if top else "",
        top_priority=top.priority if top else 0.0,
        rebuilt_at=now,
    )


def _line(sessions: list[Seen]) -> list[list[str]]:
    if not sessions:
        return []
    oldest = sessions[0].date - datetime.timedelta(days=LINE_DAYS)
    return [[str(s.date), s.method] for s in sessions if s.date >= oldest]
