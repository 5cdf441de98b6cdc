"""Which two sessions are compared when the address does not say, and which can be chosen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from athletes.models import Athlete, User
from metrics.selectors.session_rows import RELATED, scoring_of
from sessions.models import CaptureSession, Method

LISTED = 200
"""Sessions that a list offers; older ones are reached by a day."""

FOUND = 20
"""People that a name finds."""


class Pair(NamedTuple):
    """`a` stands first: of one athlete the earlier."""

    a: CaptureSession | None
    b: CaptureSession | None


@dataclass(frozen=True, slots=True)
class Offer:
    """Sessions to choose from, the newest first; `is_cut`: there are older ones."""

    athlete: Athlete
    sessions: tuple[CaptureSession, ...]
    is_cut: bool


def offer_of(athlete: Athlete, until: dt.date | None, *chosen: CaptureSession | None) -> Offer:
    """The newest sessions up to a day, and those that are chosen, wherever they lie. One query."""
    found = CaptureSession.objects.filter(athlete=athlete).select_related(*RELATED)
    if until:
        found = found.filter(date__lte=until)
    listed = list(found.order_by("-date", "-ordinal", "-id")[: LISTED + 1])
    is_cut = len(listed) > LISTED
    listed = listed[:LISTED]
    known = {one.pk for one in listed}
    missing = {one.pk: one for one in chosen if one is not None and one.pk not in known}
    listed = sorted([*listed, *missing.values()], key=order, reverse=True)
    for one in listed:
        one.athlete = athlete
    return Offer(athlete, tuple(listed), is_cut)


def order(capture: CaptureSession) -> tuple[dt.date, int, int]:
    """The order in which an athlete's sessions came."""
    return capture.date, capture.ordinal, capture.pk


def pair_of_one(sessions: Sequence[CaptureSession], a: CaptureSession | None, b: CaptureSession | None) -> Pair:
    """Two sessions of one athlete, the earlier first; what is missing is the nearest comparable one.

    Without either: the latest and the comparable one before it.
    """
    if a is None and b is None:
        b = _latest(sessions)
    if a is None and b is not None:
        a = _before(sessions, b)
        if a is None:
            a, b = b, _after(sessions, b)
    elif b is None and a is not None:
        b = _after(sessions, a) or _before(sessions, a)
    if a is not None and b is not None and order(b) < order(a):
        a, b = b, a
    return Pair(a, b)


def partner_of(capture: CaptureSession | None, sessions: Sequence[CaptureSession]) -> CaptureSession | None:
    """Of somebody else's sessions the latest that is like this one; else their latest."""
    like = [one for one in sessions if capture is not None and are_alike(one, capture)]
    return next(iter(like), None) or _latest(sessions)


def are_alike(one: CaptureSession, other: CaptureSession) -> bool:
    """The same method, and findings that are made of the same conditions."""
    first, second = scoring_of(one), scoring_of(other)
    return (
        one.method == other.method
        and first is not None
        and second is not None
        and first.conditions_used == second.conditions_used
    )


def _latest(sessions: Sequence[CaptureSession]) -> CaptureSession | None:
    """The latest that was thrown and scored, else the latest."""
    thrown = (one for one in sessions if one.method != Method.HANDS_ON and scoring_of(one))
    return next(thrown, None) or next(iter(sessions), None)


def _before(sessions: Sequence[CaptureSession], capture: CaptureSession) -> CaptureSession | None:
    return _nearest([one for one in sessions if order(one) < order(capture)], capture)


def _after(sessions: Sequence[CaptureSession], capture: CaptureSession) -> CaptureSession | None:
    """The latest of those that came after."""
    return _nearest([one for one in sessions if order(one) > order(capture)], capture)


def _nearest(sessions: Sequence[CaptureSession], capture: CaptureSession) -> CaptureSession | None:
    """The first that is alike, else the first by the same method, else the first."""
    alike = (one for one in sessions if are_alike(one, capture))
    same_method = (one for one in sessions if one.method == capture.method)
    return next(alike, None) or next(same_method, None) or next(iter(sessions), None)


def people_named(user: User, name: str, athlete: Athlete) -> list[Athlete]:
    """Others whose measurements the reader may see and whose names have these letters; none without a name."""
    if not name:
        return []
    found = Athlete.objects.readable_by(user).named(name).exclude(pk=athlete.pk)
    return list(found.order_by("family_name", "given_name", "pk")[:FOUND])
