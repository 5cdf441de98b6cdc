"""What was thrown: counts as they come in, and the days that they make. A day without a word is not a day off."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

ONE_DAY = datetime.timedelta(days=1)
MOST_PITCHES = 300
"""In one count. House opinion, to catch a slip of the finger; far above any chart."""


class BadCount(ValueError):
    """A count that cannot be; the sentence says what and what to do."""


class Source(StrEnum):
    """Where a count comes from."""

    ENTERED = "entered"
    SESSION = "session"
    DRILL = "drill"


@dataclass(frozen=True, slots=True)
class Count:
    """Pitches of one outing, session or drill on a day of the facility.

    `pitches` None: thrown, nobody knows how many. An entered 0 says that nothing was thrown that day (a counted 0 says
    nothing). `date` is the day on which it began; `ended_on` the next day when it ran past midnight.
    """

    date: datetime.date
    pitches: int | None
    source: Source = Source.ENTERED
    is_game: bool = False
    ended_on: datetime.date | None = None

    def __post_init__(self) -> None:
        if self.pitches is not None and not 0 <= self.pitches <= MOST_PITCHES:
            raise BadCount(
                f"{self.date}: {self.pitches} pitches cannot be. Write a number from 0 to {MOST_PITCHES}, or leave it "
                "empty when nobody counted."
            )
        if self.is_game and self.source is not Source.ENTERED:
            raise BadCount(f"{self.date}: a session or drill here is no game. Enter the game by itself.")
        if self.ended_on is not None and not self.date <= self.ended_on <= self.date + ONE_DAY:
            raise BadCount(f"{self.date}: it ended on {self.ended_on}. Give the day it began on, or the one after.")


def days_of_outing(
    began: datetime.datetime, ended: datetime.datetime, zone: datetime.tzinfo
) -> tuple[datetime.date, datetime.date]:
    """The facility's days on which an outing began and ended, for `Count`.

    Raises BadCount for an instant without a zone, or an end before the beginning.
    """
    if began.utcoffset() is None or ended.utcoffset() is None:
        raise BadCount("Beginning and end need a time zone: without one the day is not known.")
    if ended.astimezone(datetime.UTC) < began.astimezone(datetime.UTC):
        raise BadCount(f"It ends at {ended}, before it begins at {began}. Change one of them.")
    return began.astimezone(zone).date(), ended.astimezone(zone).date()


@dataclass(frozen=True, slots=True)
class Day:
    """All throwing of one day of the facility, the three sources kept apart.

    `outings`: games, practice and sessions, not drills. `without_number`: how many counts nobody knows the number of.
    `says_none`: somebody entered that nothing was thrown. `was_entered`: somebody entered something, also that.
    """

    date: datetime.date
    entered: int = 0
    session: int = 0
    drill: int = 0
    games: int = 0
    outings: int = 0
    without_number: int = 0
    says_none: bool = False
    was_entered: bool = False
    ran_past_midnight: bool = False

    @property
    def total(self) -> int:
        """Pitches of all sources together; the least that it was when one has no number."""
        return self.entered + self.session + self.drill

    @property
    def threw(self) -> bool:
        """Whether anything was thrown for certain."""
        return self.total > 0 or self.without_number > 0

    @property
    def is_unknown(self) -> bool:
        """Whether nobody said anything of this day: not the same as no pitches."""
        return not self.threw and not self.says_none


def days_between(counts: Iterable[Count], first: datetime.date, last: datetime.date) -> tuple[Day, ...]:
    """Every day from `first` to `last`, in order, also those of which nobody said anything. Counts outside are left."""
    by_date: dict[datetime.date, list[Count]] = {}
    for count in counts:
        by_date.setdefault(count.date, []).append(count)
    dates = (datetime.date.fromordinal(one) for one in range(first.toordinal(), last.toordinal() + 1))
    return tuple(_day(date, by_date.get(date, [])) for date in dates)


def _day(date: datetime.date, counts: list[Count]) -> Day:
    sums = dict.fromkeys(Source, 0)
    for count in counts:
        sums[count.source] += count.pitches or 0
    thrown = [count for count in counts if count.pitches != 0]
    return Day(
        date=date,
        entered=sums[Source.ENTERED],
        session=sums[Source.SESSION],
        drill=sums[Source.DRILL],
        games=sum(count.is_game for count in thrown),
        outings=sum(count.source is not Source.DRILL for count in thrown),
        without_number=sum(count.pitches is None for count in counts),
        says_none=any(count.source is Source.ENTERED and count.pitches == 0 for count in counts),
        was_entered=any(count.source is Source.ENTERED for count in counts),
        ran_past_midnight=any(count.ended_on is not None and count.ended_on > date for count in thrown),
    )
