"""What a recording's name may say: the day, the throw's number, and words that may be somebody's name."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Final

_DATE: Final = re.compile(r"(?<!\d)(20\d\d)[-_.]?(0[1-9]|1[0-2])[-_.]?([0-2]\d|3[01])(?!\d)")
_NUMBER: Final = re.compile(r"(?<!\d)(\d{1,3})$")
_WORDS: Final = re.compile(r"[^\W\d_]+")
OTHER_WORDS: Final = {
    "throw", "throws", "pitch", "pitches", "trial", "capture", "session", "take", "static", "dynamic", "fastball", "fb",
    "mound", "bullpen", "test", "the", "of", "c3d",
}  # fmt: skip
"""Words that such files carry and that are no part of a name. Common words, no published source."""


@dataclass(frozen=True, slots=True)
class NameSays:
    """`words`: what is left of the name once day, number and common words are taken away; "" when nothing is."""

    date: dt.date | None = None
    number: int | None = None
    words: str = ""


def read_file_name(filename: str) -> NameSays:
    """Guesses, to be shown: nobody promised that a name means anything. A day needs year, month, day in this order."""
    stem = filename.rsplit(".", 1)[0]
    date, rest = None, stem
    if found := _DATE.search(stem):
        date = _date_of(*(int(part) for part in found.groups()))
        rest = f"{stem[: found.start()]} {stem[found.end() :]}" if date else stem
    number = _NUMBER.search(rest.rstrip(" _-."))
    words = [word for word in _WORDS.findall(_apart(rest)) if word.lower() not in OTHER_WORDS and len(word) > 1]
    return NameSays(date, int(number[1]) if number and int(number[1]) else None, " ".join(words))


def _apart(text: str) -> str:
    """CamelCase as words."""
    return re.sub(r"(?<=[^\W\d_])(?=[A-Z][a-z])", " ", text)


def _date_of(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None
