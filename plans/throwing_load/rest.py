"""Rest: what a day's pitches ask for, and from which day on pitching is open again."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from plans.throwing_load.guideline import Band, Guideline, Row
from plans.throwing_load.values import ONE_DAY, Day

DAYS_BACK = 14
"""How far back a day that nobody entered is looked at. A rest is five days at most, but one that is broken every other
day lasts longer. House opinion: beyond two weeks such a chain is not followed."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What one day's pitches ask for, by the age on that day.

    `age` None: no birth date. `band` None: no row for this age. `row` None: also when nothing was thrown. `at_least`:
    above the daily maximum, or with an outing that has no number, `rest_days` is the least.
    """

    day: Day
    age: int | None
    band: Band | None
    row: Row | None

    @property
    def rest_days(self) -> int | None:
        """Full calendar days without pitching; None where the guideline says nothing."""
        if self.band is None:
            return None
        return self.row.rest_days if self.row is not None else 0

    @property
    def over(self) -> int:
        """Pitches above the daily maximum."""
        return max(0, self.day.total - self.band.daily_max) if self.band is not None else 0

    @property
    def at_least(self) -> bool:
        return self.over > 0 or self.day.without_number > 0

    @property
    def open_on(self) -> datetime.date | None:
        """The first open day if nothing else were thrown: 60 pitches at age 12 on Monday (3 days) means Friday.

        A game that ran past midnight belongs to the day it began, but the next day is no full day of rest.
        """
        if self.rest_days is None:
            return None
        hurt = ONE_DAY if self.day.ran_past_midnight and self.rest_days else datetime.timedelta(0)
        return self.day.date + hurt + (self.rest_days + 1) * ONE_DAY


def asked_by(day: Day, birth_date: datetime.date | None, guideline: Guideline) -> Asked:
    """What this day's pitches ask for; an outing without a number is one at least. ValueError before the birth."""
    if birth_date is None:
        return Asked(day, None, None, None)
    age = guideline.age_on(birth_date, day.date)
    band = guideline.band_for(age)
    return Asked(day, age, band, band.row_for(day.total + day.without_number) if band else None)


class State(StrEnum):
    """Whether pitching is open on a day, as far as the guideline and the entered days go."""

    OPEN = "open"
    RESTING = "resting"
    THIRD_DAY = "third day in a row"
    NO_GUIDELINE = "no guideline"


@dataclass(frozen=True, slots=True)
class Opening:
    """How it stands on a day before anything is thrown that day, and what the day itself then asks for.

    `today`: what was thrown on the day and what that asks for. `last`: the last earlier day with pitches, None without
    one in the days given. `because`: the day whose rest still runs, and `rest_left` its full days that are owed.
    `open_on`: the first open day after all of it, the day itself included unless something was thrown on it; None where
    no guideline speaks. `put_off`: it is a day later, for it would have been a third day in a row. Of the days that
    could move it: `unknown`, of which nobody said anything, and `vague`, of which only the least is known (no number,
    or above the daily maximum). `broken`: days with pitches inside a rest.
    """

    on: datetime.date
    state: State
    today: Asked
    last: Asked | None
    because: Asked | None
    rest_left: int
    open_on: datetime.date | None
    put_off: bool
    unknown: tuple[datetime.date, ...]
    vague: tuple[datetime.date, ...]
    broken: tuple[datetime.date, ...]

    @property
    def shown(self) -> Asked | None:
        """The latest day with pitches, the day itself included."""
        return self.today if self.today.day.threw else self.last

    @property
    def is_certain(self) -> bool:
        """Whether every day that matters was entered or counted, each with its number."""
        return not self.unknown and not self.vague


@dataclass(slots=True)
class _Walk:
    """Rest that is still owed, day by day. A rest day is a full calendar day, so a day with pitches pays nothing."""

    owed: int = 0
    because: Asked | None = None
    last: Asked | None = None
    late: bool = False

    def step(self, asked: Asked) -> None:
        ran_into, self.late = self.late, asked.day.ran_past_midnight
        if not asked.day.threw:
            self.owed -= 1 if self.owed and not ran_into else 0
            self.because = self.because if self.owed else None
            return
        self.last = asked
        if (asked.rest_days or 0) >= max(1, self.owed):
            self.owed, self.because = asked.rest_days or 0, asked


def opening_on(days: Sequence[Day], birth_date: datetime.date | None, guideline: Guideline) -> Opening:
    """How it stands on the last of `days`, which follow each other without a gap.

    Give two weeks or more: what lies before the first is not looked at, and counts as unknown where it could matter (a
    day matters when a daily maximum thrown on it would move `open_on`).
    Each day is judged by the age on it, so a birthday inside a rest does not shorten it. The longest rest counts; one
    that was broken is owed in full days after it (house reading: the guideline defines a rest day as a full
    calendar day and does not speak of broken ones). Days that nobody entered are walked over as rest, and named.
    Raises ValueError without a day, for a gap, and for a day before the birth.
    """
    _check_days(days)
    asked = [asked_by(day, birth_date, guideline) for day in _padded(days, birth_date)]
    found, near = _walked(asked), asked[-DAYS_BACK - 1 :]
    return replace(
        found,
        unknown=tuple(one.day.date for one in near[:-1] if one.day.is_unknown and _could_delay(one, asked, found)),
        vague=tuple(one.day.date for one in near if one.at_least and _is_vague(one, asked, found)),
    )


def _walked(days: Sequence[Asked]) -> Opening:
    """All but what could be otherwise."""
    walk, broken = _Walk(), []
    *earlier, today = days
    for asked in earlier:
        if walk.owed and asked.day.threw:
            broken.append(asked.day.date)
        walk.step(asked)
    state, last = _state(walk, days), walk.last
    if today.day.threw:
        broken += [today.day.date] if walk.owed else []
        walk.step(today)
    ready = _ready(walk, today)
    put_off = ready is not None and _is_third(ready, days)
    return Opening(
        on=today.day.date,
        state=state,
        today=today,
        last=last,
        because=walk.because,
        rest_left=walk.owed,
        open_on=ready + ONE_DAY if ready is not None and put_off else ready,
        put_off=put_off,
        unknown=(),
        vague=(),
        broken=tuple(broken),
    )


def _could_delay(one: Asked, days: Sequence[Asked], found: Opening) -> bool:
    """Whether it would open later if this day had been thrown to its daily maximum."""
    if one.band is None:
        return False
    day = replace(one.day, entered=one.day.entered + max(0, one.band.daily_max - one.day.total))
    full = replace(one, day=day, row=one.band.rows[-1])
    other = _walked([full if asked is one else asked for asked in days])
    return (other.open_on or other.on) > (found.open_on or found.on)


def _is_vague(one: Asked, days: Sequence[Asked], found: Opening) -> bool:
    """Above the daily maximum the guideline names no rest: vague for as long as its longest rest would run."""
    if one.over and one.band is not None:
        return (found.on - one.day.date).days <= one.band.longest_rest
    return _could_delay(one, days, found)


def _padded(days: Sequence[Day], birth_date: datetime.date | None) -> list[Day]:
    """With unknown days before the first, so that there are `DAYS_BACK` before the last."""
    missing = max(0, DAYS_BACK + 1 - len(days))
    before = [Day(days[0].date - back * ONE_DAY) for back in range(missing, 0, -1)]
    return [*(day for day in before if birth_date is None or day.date >= birth_date), *days]


def _check_days(days: Sequence[Day]) -> None:
    if not days:
        raise ValueError("No days were given. Give two weeks up to the day that is asked about.")
    if any(day.date != days[0].date + index * ONE_DAY for index, day in enumerate(days)):
        raise ValueError("The days must follow each other without a gap; days_between makes them.")


def _state(walk: _Walk, days: Sequence[Asked]) -> State:
    if walk.owed:
        return State.RESTING
    if days[-1].band is None:
        return State.NO_GUIDELINE
    return State.THIRD_DAY if _is_third(days[-1].day.date, days) else State.OPEN


def _is_third(date: datetime.date, days: Sequence[Asked]) -> bool:
    """Whether something was thrown on each of the two days before. Source: as the year's rule, `year`."""
    return {date - ONE_DAY, date - 2 * ONE_DAY} <= {one.day.date for one in days if one.day.threw}


def _ready(walk: _Walk, today: Asked) -> datetime.date | None:
    """The first day after the rest that is owed. None where no guideline says anything."""
    if today.band is None and not walk.owed:
        return None
    spent = int(today.day.threw) + int(walk.late and walk.owed > 0)
    return today.day.date + (spent + walk.owed) * ONE_DAY
