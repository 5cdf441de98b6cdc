"""How numbers and days are said in a sentence."""

from __future__ import annotations

import datetime as dt

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def number_word(number: int) -> str:
    """Up to twelve in letters, as a sentence has it."""
    return NUMBERS[number] if 0 <= number < len(NUMBERS) else f"{number:,}"


def counted(number: int, one: str, many: str = "") -> str:
    """1 throw, 12 throws."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def day_words(date: dt.date, today: dt.date) -> str:
    """14 April; with the year when it is another one."""
    return f"{date.day} {date:%B}" if date.year == today.year else date_words(date)


def date_words(date: dt.date) -> str:
    """26 November 2026: with the year, since a date that is told was often typed with a wrong one."""
    return f"{date.day} {date:%B} {date.year}"
