"""Which character divides a text's columns, and which one its decimals.

The delimiter is the one that cuts the rows into the same number of columns most consistently: counting characters
alone takes `a;b;3,2` for a comma table.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from itertools import islice
from typing import Final

DELIMITERS: Final = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
DECIMAL_MARKS: Final = {".": "point", ",": "comma"}

_SAMPLE_CHARACTERS: Final = 400_000
_SAMPLE_ROWS: Final = 300
_LEAST_SHARE: Final = 0.4
"""A delimiter must cut at least this share of the rows alike: a preamble may be longer than the table."""

_DECIMAL_COMMA = re.compile(r"\d,\d", re.ASCII)


def find_delimiter(text: str) -> str | None:
    """The delimiter of a text, or None when no candidate makes two columns or more consistently."""
    scores = {}
    for delimiter in DELIMITERS:
        share, columns = _consistency(text, delimiter)
        if columns >= 2 and share >= _LEAST_SHARE:
            scores[delimiter] = share + min(columns, 100) / 1000
    if len(scores) > 1 and "," in scores:
        sample = text[:_SAMPLE_CHARACTERS]
        between_digits = len(_DECIMAL_COMMA.findall(sample)) / max(1, sample.count(","))
        scores[","] *= 1 - between_digits / 2
    return max(scores, key=lambda delimiter: scores[delimiter]) if scores else None


def _consistency(text: str, delimiter: str) -> tuple[float, int]:
    """(share of the rows that have the commonest number of columns above one, that number)."""
    sample = text[:_SAMPLE_CHARACTERS]
    counts: Counter[int] = Counter()
    with suppress(csv.Error):  # a cell that is too long: what stands before it tells enough
        for row in islice(csv.reader(io.StringIO(sample, newline=""), delimiter=delimiter), _SAMPLE_ROWS):
            if any(row):
                counts[len(row)] += 1
    several = {columns: rows for columns, rows in counts.items() if columns > 1}
    if not several:
        return 0.0, 0
    columns = max(several, key=lambda n: (several[n], n))
    return several[columns] / counts.total(), columns


def _clear_pattern(mark: str, group: str) -> re.Pattern[str]:
    """Numbers in which `mark` can only be the decimal mark: not three digits after one to three others."""
    grouped = rf"\d{{1,3}}(?:{group}\d{{3}})+{mark}\d+"
    not_three_digits = rf"\d*{mark}(?:\d{{1,2}}|\d{{4,}})"
    no_thousand_before = rf"(?:0|\d{{4,}})?{mark}\d+"
    return re.compile(rf"[+\-−]?(?:{grouped}|{not_three_digits}|{no_thousand_before})(?:[eE][+\-]?\d+)?", re.ASCII)


_CLEAR = {".": _clear_pattern(r"\.", ","), ",": _clear_pattern(",", r"\.")}
_UNCLEAR = re.compile(r"[+\-−]?[1-9]\d{0,2}([.,])\d{3}", re.A)
_MIXED_SHARE: Final = 0.02


@dataclass(frozen=True, slots=True)
class DecimalMark:
    """`doubt` is "" or the problem's code; `example` the cell that raised it."""

    mark: str
    doubt: str = ""
    example: str = ""


def find_decimal_mark(cells: Iterable[str], delimiter: str) -> DecimalMark:
    """The decimal mark of a text's cells.

    "12,5" and "1.234,5" are clear; "1,234" can be read in two ways and is only counted when nothing is clear:
    as a decimal where the comma could be one (it does not divide the columns), else as a thousand.
    """
    clear: Counter[str] = Counter()
    unclear: Counter[str] = Counter()
    example: dict[str, str] = {}
    for text, times in Counter(map(str.strip, cells)).items():
        for mark, pattern in _CLEAR.items():
            if pattern.fullmatch(text):
                clear[mark] += times
                example.setdefault(mark, text)
        match = _UNCLEAR.fullmatch(text)
        if match:
            unclear[match.group(1)] += times
            example.setdefault("?" + match.group(1), text)
    if clear:
        mark = max(clear, key=lambda m: clear[m])
        other = "," if mark == "." else "."
        mixed = clear[other] > _MIXED_SHARE * clear[mark]
        return DecimalMark(mark, "mixed_decimal_marks", example[other]) if mixed else DecimalMark(mark)
    if unclear[","] and delimiter != ",":
        return DecimalMark(",", "guessed_decimal_mark", example["?,"])
    if unclear:
        return DecimalMark(".", "guessed_decimal_mark", example["?" + next(iter(unclear))])
    return DecimalMark(".")
