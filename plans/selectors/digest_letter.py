"""What the daily letter says: names cut short, no number of anybody's body, and where to look."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from athletes.models import User
from athletes.services.mail import public_link
from athletes.words import day_words
from plans.models import FollowUp
from plans.selectors.due_words import due_words
from plans.selectors.follow_up_rows import loaded
from plans.selectors.needed import needed_words
from plans.selectors.reminded import reminded_of, short_name
from plans.selectors.response_words import response_of

AHEAD = dt.timedelta(days=7)
NAMED = 20
"""Lines of one heading; more are counted. House opinion."""


@dataclass(frozen=True, slots=True)
class Letter:
    subject: str
    body: str


def letter_for(owner: User, today: dt.date) -> Letter | None:
    """None on a day on which nothing is due or late: what is only coming is no reason to write."""
    found = reminded_of(owner).filter(
        decision="", prescription__withdrawn_at=None, prescription__ended_on=None, due__lte=today + AHEAD
    )
    rows = list(loaded(found.order_by("due", "pk")))
    late = [one for one in rows if one.due < today]
    due = [one for one in rows if one.due == today]
    coming = [one for one in rows if one.due > today]
    if not late and not due:
        return None
    parts = [
        f"Follow-ups on {day_words(today, today)} {today.year}",
        *_part("Late", late, today),
        *_part("Due today", due, today),
        *_part("In the next seven days", coming, today),
        f"All of them, and to decide: {public_link(reverse('plans:follow-ups'))}",
        f"No more of these letters: {public_link(reverse('plans:reminders'))}",
    ]
    return Letter(_subject(len(late), len(due)), "\n\n".join(parts) + "\n")


def _subject(late: int, due: int) -> str:
    """Follow-ups: 2 late, 1 due today"""
    told = [f"{late} late"] * bool(late) + [f"{due} due today"] * bool(due)
    return f"Follow-ups: {', '.join(told)}"


def _part(heading: str, rows: Sequence[FollowUp], today: dt.date) -> list[str]:
    if not rows:
        return []
    lines = [_line(one, today) for one in rows[:NAMED]]
    more = [f"- and {len(rows) - NAMED} more"] if len(rows) > NAMED else []
    return ["\n".join([heading, *lines, *more])]


def _line(one: FollowUp, today: dt.date) -> str:
    """- Joon B., Hip turns, seated: 3 days late. Needs a video session: mound; not measured yet."""
    who = f"{short_name(one.prescription.athlete)}, {one.prescription.version.name}"
    if not response_of(one, "metric").stays_due:
        return f"- {who}: {due_words(one.due, today)}. Measured: ready to decide."
    return f"- {who}: {due_words(one.due, today)}. Needs {needed_words(one.prescription)}."
