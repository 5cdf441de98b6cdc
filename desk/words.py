"""How days are said in a sentence."""

from __future__ import annotations

import datetime as dt


def days_ago(date: dt.date, today: dt.date) -> str:
    days = (today - date).days
    return {0: "today", 1: "yesterday"}.get(days, f"{days:,} days ago")
