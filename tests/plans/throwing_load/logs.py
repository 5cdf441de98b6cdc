"""Logs of throwing as the tests need them: November 2026, in which the 24th is a Tuesday."""

from __future__ import annotations

import datetime

from plans.throwing_load import Chart, Count, Opening, days_between, load_guideline, opening_on

TWELVE = datetime.date(2014, 3, 1)
"""Born so that the athlete is twelve all of November 2026."""


def november(day: int) -> datetime.date:
    return datetime.date(2026, 11, day)


def threw(day: int, pitches: int | None, **changes) -> Count:
    return Count(november(day), pitches, **changes)


def quiet(*days: int) -> list[Count]:
    """Entered as no throwing."""
    return [threw(day, 0) for day in days]


def opening(*counts: Count, on: int, born=TWELVE, first: int = 1, chart: Chart = Chart.CURRENT) -> Opening:
    return opening_on(days_between(counts, november(first), november(on)), born, load_guideline(chart))


def rest_is_full(*counts: Count, on: int) -> list[Count]:
    """The counts, and every other day up to the day before `on` entered as no throwing."""
    there = {count.date.day for count in counts}
    return [*counts, *quiet(*(day for day in range(1, on) if day not in there))]
