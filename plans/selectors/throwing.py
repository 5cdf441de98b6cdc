"""The page of throwing load: the one sentence, the last two weeks, the season, and every entry that may be changed."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.utils.safestring import SafeString, mark_safe

from athletes.facts import age_on, stopped_on
from athletes.models import Athlete, Facility, User
from athletes.policy import FAMILY
from athletes.saving import Cell
from plans.models import ThrowCount
from plans.selectors.throws import counts_are_hidden, may_change, thrown_days
from plans.throwing_load import (
    Day,
    LoadWords,
    Opening,
    bars_svg,
    day_columns,
    load_guideline,
    load_words,
    opening_on,
    span_of,
    span_sentence,
    time_off,
    week_columns,
    weeks,
    year_reminders,
    year_sentences,
)
from plans.throwing_load.rest import DAYS_BACK
from plans.throwing_load.summary import LONG_DAYS, SHORT_DAYS
from plans.throwing_load.year import YEAR_DAYS

ONE_DAY = dt.timedelta(days=1)
SHOWN_DAYS = 14
SEASON_WEEKS = 26
NO_NUMBER = "not counted"
HEAD = (
    "Date",
    "Entered",
    "In sessions",
    "In drills",
    "All",
    "Games",
    "Without a number",
    "No throwing",
    "Past midnight",
)
DAY_BARS = "Pitches on each of the last 14 days. The table beside it says the same."
WEEK_BARS = "Pitches in each of the last 26 weeks. The file of all days says the same."


@dataclass(frozen=True, slots=True)
class Entry:
    """What somebody entered; never who."""

    uuid: UUID
    date: dt.date
    told: str
    words: str
    may_change: bool


@dataclass(frozen=True, slots=True)
class DayRow:
    day: Day
    entries: tuple[Entry, ...]

    @property
    def told(self) -> str:
        """What the day came to: "45", "20 or more", "none", "not entered"."""
        if self.day.is_unknown:
            return "not entered"
        if not self.day.threw:
            return "none"
        if not self.day.without_number:
            return str(self.day.total)
        return f"{self.day.total} or more" if self.day.total else NO_NUMBER


@dataclass(frozen=True, slots=True)
class ThrowingLine:
    """For other pages: the one sentence. `is_closed`: a day of rest. Without consent nothing may be entered."""

    main: str
    is_closed: bool
    may_enter: bool


@dataclass(frozen=True, slots=True)
class ThrowingPage:
    """`rows`: the last 14 days, today first. `earlier`: entries of the year before them."""

    today: dt.date
    words: LoadWords
    is_stopped: bool
    local_rules: str
    sums: tuple[str, str]
    year: tuple[str, str]
    reminders: tuple[str, ...]
    rows: tuple[DayRow, ...]
    day_bars: SafeString
    week_bars: SafeString
    earlier: tuple[Entry, ...]
    counts_are_hidden: bool
    may_enter: bool


def throwing_line(athlete: Athlete, reader: User, facility: Facility, today: dt.date) -> ThrowingLine:
    days = thrown_days(athlete, reader, today - DAYS_BACK * ONE_DAY, today)
    opening = opening_on(days, athlete.birth_date, load_guideline())
    words = _words(athlete, reader, facility, opening)
    is_closed = opening.open_on is not None and opening.open_on > today
    return ThrowingLine(words.main, is_closed, athlete.consent_withdrawn_on is None)


def throwing_page(athlete: Athlete, reader: User, facility: Facility, today: dt.date) -> ThrowingPage:
    """`athlete` best loaded with facts. The rules of the facility stand apart, so the words leave them out."""
    days = thrown_days(athlete, reader, today - (YEAR_DAYS - 1) * ONE_DAY, today)
    opening = opening_on(days[-DAYS_BACK - 1 :], athlete.birth_date, load_guideline())
    entries = _entries(athlete, reader, today)
    shown = days[-SHOWN_DAYS:]
    season = [day for day in days if day.date > today - (SEASON_WEEKS * SHORT_DAYS - (6 - today.weekday())) * ONE_DAY]
    off, reminders = time_off(days), year_reminders(age_on(athlete.birth_date, today).years)
    return ThrowingPage(
        today=today,
        words=_words(athlete, reader, facility, opening),
        is_stopped=stopped_on(athlete, today) is not None,
        local_rules=facility.local_pitch_rules.strip(),
        sums=(_sum(days, today, SHORT_DAYS), _sum(days, today, LONG_DAYS)),
        year=year_sentences(off),
        reminders=tuple(reminders),
        rows=tuple(DayRow(day, tuple(entries[day.date])) for day in reversed(shown)),
        day_bars=_drawn(bars_svg(day_columns(shown), name=DAY_BARS)),
        week_bars=_drawn(bars_svg(week_columns(weeks(season)), name=WEEK_BARS, numbers=False)),
        earlier=tuple(one for date in entries if date < shown[0].date for one in entries[date]),
        counts_are_hidden=counts_are_hidden(athlete, reader),
        may_enter=athlete.consent_withdrawn_on is None,
    )


def throwing_table(athlete: Athlete, reader: User, today: dt.date) -> Iterable[Sequence[Cell]]:
    """A row for each day of the last year of which something is known, the oldest first."""
    yield HEAD
    for day in thrown_days(athlete, reader, today - (YEAR_DAYS - 1) * ONE_DAY, today):
        if not day.is_unknown:
            numbers = (day.entered, day.session, day.drill, day.total, day.games, day.without_number)
            yield (day.date, *numbers, *("yes" if one else "" for one in (day.says_none, day.ran_past_midnight)))


def told_of(count: ThrowCount) -> str:
    """ "Game, 45 pitches, past midnight"; "No throwing"."""
    if count.pitches == 0:
        return "No throwing"
    number = NO_NUMBER if count.pitches is None else f"{count.pitches} pitch{'' if count.pitches == 1 else 'es'}"
    parts = ("Game" if count.is_game else "Practice", number, "past midnight" if count.ended_on else "")
    return ", ".join(part for part in parts if part)


def _words(athlete: Athlete, reader: User, facility: Facility, opening: Opening) -> LoadWords:
    return load_words(
        opening,
        load_guideline(),
        facility.local_pitch_rules,
        for_family=reader.role in FAMILY,
        is_stopped=stopped_on(athlete, opening.on) is not None,
    )


def _sum(days: Sequence[Day], today: dt.date, length: int) -> str:
    return span_sentence(span_of(days, today - (length - 1) * ONE_DAY, today))


def _entries(athlete: Athlete, reader: User, today: dt.date) -> defaultdict[dt.date, list[Entry]]:
    """Of the last year by day, the latest day first."""
    found: defaultdict[dt.date, list[Entry]] = defaultdict(list)
    rows = ThrowCount.objects.filter(athlete=athlete, date__gt=today - YEAR_DAYS * ONE_DAY, date__lte=today)
    for row in rows.select_related("entered_by").order_by("-date", "id"):
        found[row.date].append(Entry(row.uuid, row.date, told_of(row), row.words, may_change(row, reader)))
    return found


def _drawn(svg: str) -> SafeString:
    return mark_safe(svg)  # noqa: S308 - made by bars_svg, which escapes what it is given
