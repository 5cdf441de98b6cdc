"""One cell → a number or a date, or the reason why it is neither."""

from __future__ import annotations

import datetime as dt
import math
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from sessions.formats.cells import Cell, is_missing_word

NOT_A_NUMBER = "not_a_number"
NOT_FINITE = "not_finite"
DATE_IN_PLACE_OF_NUMBER = "date_in_place_of_number"
NOT_A_DATE = "not_a_date"
AMBIGUOUS_DATE = "ambiguous_date"

# Overflow as programs print it.
_BROKEN = re.compile(r"[+-]?(inf(inity)?|∞|1\.#inf)")
_GROUPED = {
    ".": re.compile(r"^[+-]?\d{1,3}([, '\u00a0\u202f]\d{3})+(\.\d+)?$"),
    ",": re.compile(r"^[+-]?\d{1,3}([. '\u00a0\u202f]\d{3})+(,\d+)?$"),
}


# Blank in any column. Others of the reader's missing words ("invalid") say something in a column
# of marks, and mean a missing value only where a number is expected.
_BLANK_WORDS = frozenset(("", "-", "--", "—", "–", "na", "n/a", "#n/a", "nan", "null", "none"))


@dataclass(frozen=True)
class Unreadable:
    """A cell that is there but could not be read: a code of this module."""

    code: str


def is_missing(cell: Cell) -> bool:
    """Nothing was measured: an empty cell, a dash, "n/a", or a NaN."""
    if cell is None:
        return True
    if isinstance(cell, float):
        return math.isnan(cell)
    return isinstance(cell, str) and cell.strip().casefold() in _BLANK_WORDS


def text_of(cell: Cell) -> str:
    """A cell as the text that a person sees: 12.0 is "12", a date is ISO."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return str(int(cell)) if math.isfinite(cell) and cell == int(cell) else str(cell)
    if isinstance(cell, dt.datetime):
        return cell.isoformat(sep=" ", timespec="minutes")
    return cell.isoformat() if isinstance(cell, dt.date) else cell.strip()


def parse_number(cell: Cell, decimal_mark: str = ".") -> float | Unreadable | None:
    """A finite number, None where nothing was measured, or why it is not a number.

    `decimal_mark` decides what "1,234" means; the other mark is still read where only one meaning is
    left ("3,2" under a decimal point).
    """
    if is_missing(cell) or (isinstance(cell, str) and is_missing_word(cell.strip())):
        return None
    if isinstance(cell, bool):
        return Unreadable(NOT_A_NUMBER)
    if isinstance(cell, int | float):
        return float(cell) if math.isfinite(cell) else Unreadable(NOT_FINITE)
    if isinstance(cell, dt.date):
        return Unreadable(DATE_IN_PLACE_OF_NUMBER)
    return _number_of_text(str(cell), decimal_mark)


def _number_of_text(text: str, decimal_mark: str) -> float | Unreadable:
    cleaned = text.strip().replace("−", "-").rstrip("°").strip()
    if _BROKEN.fullmatch(cleaned.lower()):
        return Unreadable(NOT_FINITE)
    if _GROUPED[decimal_mark].match(cleaned):
        other = "," if decimal_mark == "." else "."
        cleaned = re.sub(rf"[{other} '\u00a0\u202f]", "", cleaned)
    cleaned = cleaned.replace(",", ".")
    if cleaned.count("_") or cleaned.count(".") > 1:
        return Unreadable(NOT_A_NUMBER)
    try:
        number = float(cleaned)
    except ValueError:
        return Unreadable(NOT_A_NUMBER)
    return number if math.isfinite(number) else Unreadable(NOT_FINITE)


_ISO = re.compile(r"^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?$")
_COMPACT = re.compile(r"^(\d{4})(\d{2})(\d{2})$")
_THREE = re.compile(r"^(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{4}|\d{2})(?:[ T,].*)?$")
_NAMED = re.compile(
    r"^(?:(\d{1,2})\.?[ -](?:de )?)?([^\W\d_]{3,10})\.?[ -](?:de )?(?:(\d{1,2}),? )?(\d{4}|\d{2})$", re.IGNORECASE
)
# Beginnings of the months' names in English, German, Spanish and French, without accents; of two that fit the longer.
_MONTHS = {
    start: number
    for number, starts in enumerate(
        (
            *("jan ene", "feb fev", "mar mrz mae", "apr avr abr", "may mai", "jun juin"),
            *("jul juil", "aug ago aou", "sep", "oct okt", "nov", "dec dez dic"),
        ),
        start=1,
    )
    for start in starts.split()
}
DATE_ORDERS = ("ymd", "dmy", "mdy", "unknown")
# Two-digit years as POSIX strptime's %y reads them: 69 to 99 are of the last century.
_CENTURY_TURN = 69
# A plain number of this size in a date column is most likely a spreadsheet's day count (1954 to 2091).
_DAY_NUMBERS = (20000.0, 70000.0)
DAY_ZERO = dt.date(1899, 12, 30)


def parse_date(cell: Cell, order: str = "unknown") -> dt.date | Unreadable | None:
    """A calendar date, None for an empty cell, or why it cannot be read.

    `order` is one of DATE_ORDERS and matters only for dates like 03/04/2026; with "unknown" these are
    read when only one order is possible. A time of day is dropped: the date stands as written.
    """
    if is_missing(cell):
        return None
    if isinstance(cell, dt.datetime):
        return cell.date()
    if isinstance(cell, dt.date):
        return cell
    text = text_of(cell)
    if match := _ISO.match(text) or _COMPACT.match(text):
        return _date(int(match[1]), int(match[2]), int(match[3]))
    if match := _THREE.match(text):
        return _date_in_order(int(match[1]), int(match[2]), _full_year(match[3]), order)
    if match := _NAMED.match(text):
        return _named_date(match)
    if is_day_number(cell):
        return DAY_ZERO + dt.timedelta(days=int(float(text)))
    return Unreadable(NOT_A_DATE)


def is_day_number(cell: Cell) -> bool:
    """A spreadsheet's count of days since the end of 1899 (ECMA-376, the 1900 date system), where a date belongs."""
    return isinstance(cell, int | float) and _DAY_NUMBERS[0] <= cell <= _DAY_NUMBERS[1]


def _full_year(text: str) -> int:
    year = int(text)
    if len(text) == 4:
        return year
    return year + (1900 if year >= _CENTURY_TURN else 2000)


def _date(year: int, month: int, day: int) -> dt.date | Unreadable:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return Unreadable(NOT_A_DATE)


def _date_in_order(first: int, second: int, year: int, order: str) -> dt.date | Unreadable:
    if order == "dmy":
        return _date(year, second, first)
    if order == "mdy":
        return _date(year, first, second)
    by_day, by_month = _date(year, second, first), _date(year, first, second)
    readable = [date for date in (by_day, by_month) if isinstance(date, dt.date)]
    if len(readable) == 2 and readable[0] != readable[1]:
        return Unreadable(AMBIGUOUS_DATE)
    return readable[0] if readable else Unreadable(NOT_A_DATE)


def _named_date(match: re.Match[str]) -> dt.date | Unreadable:
    day = match[1] or match[3]
    month = _month(match[2])
    if day is None or month is None:
        return Unreadable(NOT_A_DATE)
    return _date(_full_year(match[4]), month, int(day))


def _month(name: str) -> int | None:
    plain = "".join(c for c in unicodedata.normalize("NFD", name.lower()) if not unicodedata.combining(c))
    return _MONTHS.get(plain[:4]) or _MONTHS.get(plain[:3])


def guess_date_order(values: Iterable[Cell]) -> str:
    """The order that a column's dates are written in: "ymd", "dmy", "mdy", or "unknown" when both fit."""
    order = "ymd"
    for cell in values:
        match = _THREE.match(cell.strip()) if isinstance(cell, str) else None
        if match is None:
            continue
        if int(match[1]) > 12:
            return "dmy"
        if int(match[2]) > 12:
            return "mdy"
        order = "unknown"
    return order
