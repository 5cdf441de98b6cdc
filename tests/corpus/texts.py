"""A grid of values as characters and then bytes: delimiter, decimal sign, thousands, dates, line ends, encoding."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from tests.corpus.tables import Grid, Value

GERMAN_MONTHS = (
    "Januar", "Februar", "März", "April", "Mai", "Juni",
    "Juli", "August", "September", "Oktober", "November", "Dezember",
)  # fmt: skip
ENGLISH_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
SERIAL_ZERO = date(1899, 12, 30)
"""Day 0 of spreadsheets, so that 1 March 1900 is day 61 (ECMA-376 part 1, 18.17.4.1, 1900 date base)."""


def iso(day: date) -> str:
    return day.isoformat()


def german(day: date) -> str:
    return f"{day.day:02d}.{day.month:02d}.{day.year}"


def day_first(day: date) -> str:
    return f"{day.day:02d}/{day.month:02d}/{day.year}"


def month_first(day: date) -> str:
    return f"{day.month}/{day.day}/{day.year}"


def english_words(day: date) -> str:
    return f"{day.day} {ENGLISH_MONTHS[day.month - 1]} {day.year}"


def german_words(day: date) -> str:
    return f"{day.day}. {GERMAN_MONTHS[day.month - 1]} {day.year}"


def serial(day: date) -> str:
    return str((day - SERIAL_ZERO).days)


@dataclass(frozen=True, slots=True)
class Typing:
    """How one program writes text."""

    delimiter: str = ","
    decimal: str = "."
    thousands: str = ""
    dates: Callable[[date], str] = iso
    encoding: str = "utf-8"
    mark: bytes = b""
    line_end: str = "\r\n"

    def file(self, grid: Grid) -> bytes:
        """The bytes of a whole table; short rows stay short."""
        lines = [self.delimiter.join(self._quoted(self.text(value)) for value in row) for row in grid]
        return self.mark + "".join(line + self.line_end for line in lines).encode(self.encoding)

    def text(self, value: Value) -> str:
        """One value as characters."""
        if value is None:
            return ""
        if isinstance(value, Decimal):
            plain = f"{value:,f}" if self.thousands else f"{value:f}"
            return plain.replace(",", "\0").replace(".", self.decimal).replace("\0", self.thousands)
        return self.dates(value) if isinstance(value, date) else value

    def _quoted(self, text: str) -> str:
        if any(sign in text for sign in (self.delimiter, '"', "\n", "\r")):
            return '"' + text.replace('"', '""') + '"'
        return text


GERMAN = Typing(delimiter=";", decimal=",", dates=german, encoding="cp1252")
SPANISH = Typing(delimiter=";", decimal=",", dates=day_first, mark=b"\xef\xbb\xbf")
FRENCH = Typing(delimiter="\t", decimal=",", thousands="\xa0", dates=day_first, encoding="latin-1")
UNICODE_TEXT = Typing(delimiter="\t", encoding="utf-16-le", mark=b"\xff\xfe")
