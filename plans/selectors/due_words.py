"""Days of follow-ups, as a sentence has them."""

from __future__ import annotations

import datetime as dt

from athletes.words import counted, day_words

WEEK = dt.timedelta(days=7)
WEEKS_FROM = 14
"""From so many days on a distance is told in weeks."""
LATE, TODAY, THIS_WEEK, NEXT_WEEK = "Late", "Today", "Later this week", "Next week"


def due_words(due: dt.date, today: dt.date) -> str:
    """due today; due tomorrow; in 5 days; in 3 weeks; 1 day late; 4 weeks late"""
    days = (due - today).days
    if days == 0:
        return "due today"
    if days == 1:
        return "due tomorrow"
    span = counted(abs(days), "day") if abs(days) < WEEKS_FROM else counted(abs(days) // 7, "week")
    return f"in {span}" if days > 0 else f"{span} late"


def week_of(due: dt.date, today: dt.date) -> str:
    """Late; Today; Later this week; Next week; Week of 4 May. Weeks begin on Monday."""
    if due <= today:
        return TODAY if due == today else LATE
    monday, this = _monday(due), _monday(today)
    if monday == this:
        return THIS_WEEK
    return NEXT_WEEK if monday == this + WEEK else f"Week of {day_words(monday, today)}"


def _monday(date: dt.date) -> dt.date:
    return date - dt.timedelta(days=date.weekday())
