"""How days are said in a sentence."""

from __future__ import annotations

import datetime as dt


def day_of(date: dt.date, today: dt.date) -> str:
    """14 April; with the year when it is another one."""
    return f"{date.day} {date:%B}" if date.year == today.year else f"{date.day} {date:%B} {date.year}"


def days_ago(date: dt.date, today: dt.date) -> str:
    days = (today - date).days
    return {0: "today", 1: "yesterday"}.get(days, f"{days:,} days ago")
