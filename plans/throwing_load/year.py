"""The year's rule: four months off throwing, two of them in a row. Told only as far as the entered days tell it.

Source: the governing body's youth guideline as the house's reference holds it (verified there): at least 4 months a
year off throwing, 2 to 3 of them in a row. It gives no ages with this rule. The same reference limits innings by age
(60 in 12 months to age 8, 80 at 9 to 12, 100 at 13 and 14); innings are not logged here, so that is not judged.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from plans.throwing_load.values import Day

YEAR_DAYS = 365
OFF_DAYS, IN_A_ROW_DAYS = 120, 60
"""Four months and two months, with a month read as 30 days. House reading; the guideline names no days."""

INNINGS = ((8, 60), (12, 80), (14, 100))
"""Oldest age, and innings in 12 months. The reference says "to age 8"; under 7 its charts hold no row."""
YOUNGEST = 7


class Off(StrEnum):
    """The answer, which needs every day to be *yes* and few to be *no*."""

    YES = "yes"
    NO = "no"
    CANT_TELL = "can’t tell"


@dataclass(frozen=True, slots=True)
class TimeOff:
    """The last 365 days: days with pitches, days entered as none, days that nobody entered.

    `longest_known` and `longest_possible`: the longest run of days off when the days that nobody entered count as
    throwing, and when they count as off.
    """

    last: datetime.date
    throwing_days: int
    off_days: int
    unknown_days: int
    longest_known: int
    longest_possible: int

    @property
    def four_months(self) -> Off:
        return _answer(self.off_days, self.off_days + self.unknown_days, OFF_DAYS)

    @property
    def two_in_a_row(self) -> Off:
        return _answer(self.longest_known, self.longest_possible, IN_A_ROW_DAYS)


def time_off(days: Sequence[Day]) -> TimeOff:
    """Over the 365 days that end with the last of `days`; what they lack is unknown. ValueError without a day."""
    if not days:
        raise ValueError("No days were given. Give the year up to the day that is asked about.")
    by_date = {day.date: day for day in days}
    last = days[-1].date
    year = [by_date.get(last - datetime.timedelta(days=back)) for back in range(YEAR_DAYS)]
    threw = [day is not None and day.threw for day in year]
    off = [day is not None and not day.threw and day.says_none for day in year]
    return TimeOff(
        last=last,
        throwing_days=sum(threw),
        off_days=sum(off),
        unknown_days=YEAR_DAYS - sum(threw) - sum(off),
        longest_known=_longest_run(off),
        longest_possible=_longest_run(not one for one in threw),
    )


def innings_limit(age: int | None) -> int | None:
    """The most innings in 12 months at an age; None where the guideline gives none."""
    if age is None or age < YOUNGEST:
        return None
    return next((innings for oldest, innings in INNINGS if age <= oldest), None)


def _answer(known: int, possible: int, needed: int) -> Off:
    if known >= needed:
        return Off.YES
    return Off.NO if possible < needed else Off.CANT_TELL


def _longest_run(flags: Iterable[bool]) -> int:
    longest = run = 0
    for flag in flags:
        run = run + 1 if flag else 0
        longest = max(longest, run)
    return longest
