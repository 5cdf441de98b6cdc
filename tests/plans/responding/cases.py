"""Made-up sessions for the tests of responses: one knee angle, target 90 to 110, flag below 85 and above 115."""

from __future__ import annotations

import datetime

from plans.responding.response import Answered
from plans.responding.values import Flag, Seen, Source, Term
from tests.metrics.change.points import FIRST, point

FLAG = Flag("lead_knee_flexion", "low")
PEOPLE = Source(100.0, 10.0)


def day(number: int) -> datetime.date:
    """So many days after the flag."""
    return FIRST + datetime.timedelta(days=number)


TERM = Term(written=day(2), start=day(7), follow_up=day(35))


def seen(mean: float, number: int = 0, *, comparable: bool = True, is_flag: bool = False, **changed) -> Seen:
    """A session; its key is its day."""
    return Seen(number, point(mean, number, **changed), comparable, is_flag)


RAISED = seen(80.0, is_flag=True)


def answered(*sessions: Seen, raised_by: Seen = RAISED, source: Source | None = PEOPLE, flag: Flag = FLAG) -> Answered:
    """The finding of a flag low at day 0, with these sessions after it."""
    return Answered(flag, raised_by, sessions, source)
