"""Follow-ups for the tests of lists, calendars and letters."""

from __future__ import annotations

import datetime as dt
from typing import Any

from plans.models import FollowUp, Response
from tests.factories import DAY, NOON, AthleteFactory
from tests.factories.plans import PrescriptionFactory


def due(name: str, days: int, *, word: str | None = None, coach: Any = None, **given: Any) -> FollowUp:
    """The open follow-up of an athlete of this name, due so many days after the ordinary day.

    `word`: its response, "" for one that was not measured yet, None where none can be computed.
    """
    first, _, last = name.partition(" ")
    athlete = given.pop("athlete", None) or AthleteFactory(given_name=first, family_name=last, responsible_coach=coach)
    start = min(DAY, DAY + dt.timedelta(days=days)) - dt.timedelta(weeks=6)
    written = NOON - (DAY - start)
    work = PrescriptionFactory(
        athlete=athlete, start=start, written_at=written, due=DAY + dt.timedelta(days=days), **given
    )
    found = work.follow_ups.get()
    if word is not None:
        respond(found, word)
    return found


def respond(follow_up: FollowUp, word: str, *, works: str = "") -> Response:
    """A response of hip turning from 30 to 38 degrees, or one that waits for its measurement."""
    measured = word not in ("", "not comparable")
    finding = {
        "metric": "hip_ir_front",
        "side": "low",
        "word": word,
        "reason": "",
        "baseline": {"mean": 30.0, "date": str(DAY - dt.timedelta(weeks=7)), "estimated": True},
        "now": {"mean": 38.0, "date": str(DAY)} if measured else None,
        "sessions": [],
        "change": {"difference": 8.0, "u": 1.5} if measured else None,
    }
    return Response.objects.create(
        follow_up=follow_up,
        word=word,
        told={"findings": [finding], "works": works, "stays_due": not measured},
        measured_on=DAY if measured else None,
        rebuilt_at=NOON,
    )
