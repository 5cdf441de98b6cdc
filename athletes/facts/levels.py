"""The level in force on a date."""

from __future__ import annotations

import datetime as dt

from athletes.models import Athlete, Level, LevelPeriod


def level_period_on(athlete: Athlete, on: dt.date) -> LevelPeriod | None:
    held = [row for row in athlete.levels.all() if row.valid_from <= on]
    return max(held, key=lambda row: row.valid_from, default=None)


def level_on(athlete: Athlete, on: dt.date) -> Level | None:
    """The latest level from that date or before; None before the first."""
    row = level_period_on(athlete, on)
    return Level(row.level) if row else None
