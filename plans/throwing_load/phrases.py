"""Parts of sentences: days, numbers, pitches."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from plans.throwing_load.guideline import Guideline
from plans.throwing_load.rest import Asked

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
NEAR_DAYS = 6
"""So many days off, a weekday alone is one day only."""


def on_day(date: datetime.date, today: datetime.date) -> str:
    """ "today", "on Tuesday" within six days, else "on Tuesday 3 November", with the year when it is another."""
    if date == today:
        return "today"
    name = f"on {WEEKDAYS[date.weekday()]}"
    if abs((date - today).days) <= NEAR_DAYS:
        return name
    year = "" if date.year == today.year else f" {date.year}"
    return f"{name} {date.day} {MONTHS[date.month - 1]}{year}"


def number_word(number: int) -> str:
    return NUMBERS[number] if 0 <= number < len(NUMBERS) else str(number)


def counted(number: int, one: str, many: str, *, in_words: bool = False) -> str:
    """ "1 pitch", "45 pitches", "two counts have"."""
    return f"{number_word(number) if in_words else number} {one if number == 1 else many}"


def pitches_of(asked: Asked, *, inside: bool = False) -> str:
    """ "45 pitches", "At least 20 pitches", "Pitches that nobody counted"; small letters inside a sentence."""
    day = asked.day
    if day.total == 0 and day.without_number:
        words = "Pitches that nobody counted"
    elif day.without_number:
        words = f"At least {counted(day.total, 'pitch', 'pitches')}"
    else:
        words = counted(day.total, "pitch", "pitches")
    return words[0].lower() + words[1:] if inside else words


def days_of_rest(days: int, *, at_least: bool) -> str:
    """ "two days of rest", "at least one day of rest", "no day of rest asked for"."""
    if days == 0:
        return "the rest is not known" if at_least else "no day of rest asked for"
    return f"{'at least ' if at_least else ''}{counted(days, 'day', 'days', in_words=True)} of rest"


def gap_sentence(asked: Asked, guideline: Guideline) -> str:
    """Why the guideline says nothing; "" when it does."""
    if asked.band is not None:
        return ""
    if asked.age is None:
        return "There is no birth date, and the guideline goes by age: it says nothing here."
    low, high = guideline.ages
    return f"The published guideline holds ages {low} to {high} and says nothing for age {asked.age}."


def joined(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def capital(words: str) -> str:
    return words[:1].upper() + words[1:]
