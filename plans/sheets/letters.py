"""Which letters the typesetter's faces have, and what is printed of a text that holds others.

The faces (Libertinus Serif, DejaVu Sans Mono, New Computer Modern) cover what letters.csv lists: Latin with its marks,
Greek, Cyrillic, Hebrew, Arabic, Devanagari and more, but no Chinese, Japanese, Korean or Thai, and few picture signs.
The file was made by setting every letter under PDF/UA, which refuses one without a shape; a test sets them again.
"""

from __future__ import annotations

import csv
import unicodedata
from bisect import bisect_right
from dataclasses import dataclass
from functools import cache
from pathlib import Path

TABLE = Path(__file__).with_name("letters.csv")
GAP = "…"
"""Stands for letters that cannot be printed."""
ALONE = ((0x20, 0x52F), (0x1E00, 0x22FF))
"""Latin, Greek and Cyrillic, and the signs that the sheets themselves use: letters that never join."""
LONGEST_WORD = 24
"""Signs after which a word may break anywhere: no word of the library is as long."""
BREAK = "\u200b"


@dataclass(frozen=True, slots=True)
class Printed:
    """`text`: one line, of letters that the faces have. `is_whole`: none is missing; picture signs are no letters."""

    text: str
    is_whole: bool


def printable(text: str, *, alone: bool = False) -> Printed:
    """What can be printed of it. Letters of other scripts become one …, emoji are dropped, long words may break.

    `alone`: only letters that stand alone. A mark may want a letter under it that another face has, and then neither
    has a shape for both: the typesetter finds that out.
    """
    found, is_whole = [], True
    has_shape = stands_alone if alone else has_one
    for sign in " ".join(unicodedata.normalize("NFC", text).split()):
        if has_shape(sign):
            found.append(sign)
        elif plain := "".join(filter(has_shape, unicodedata.normalize("NFKD", sign))):
            found.append(plain)
        elif unicodedata.category(sign)[0] in "LMN":
            is_whole = False
            if found[-1:] != [GAP]:
                found.append(GAP)
    words = "".join(found).split()
    return Printed(" ".join(map(_breakable, words)), is_whole)


def has_one(sign: str) -> bool:
    """Whether a face has a shape for it."""
    starts, ends = _covered()
    place = bisect_right(starts, ord(sign)) - 1
    return place >= 0 and ord(sign) <= ends[place]


def stands_alone(sign: str) -> bool:
    is_plain = any(first <= ord(sign) <= last for first, last in ALONE)
    return is_plain and has_one(sign) and not unicodedata.category(sign).startswith("M")


def _breakable(word: str) -> str:
    if len(word) <= LONGEST_WORD:
        return word
    parts: list[str] = []
    for sign in word:
        is_mark = unicodedata.category(sign).startswith("M")
        if len(parts) and not is_mark and len(parts) % (LONGEST_WORD // 2) == 0:
            parts.append(BREAK)
        parts.append(sign)
    return "".join(parts)


@cache
def _covered() -> tuple[tuple[int, ...], tuple[int, ...]]:
    """First and last code of every run of letters."""
    with TABLE.open(newline="", encoding="ascii") as file:
        rows = [(int(row["first"], 16), int(row["last"], 16)) for row in csv.DictReader(file)]
    return tuple(first for first, _ in rows), tuple(last for _, last in rows)
