"""Reads the table of plain words. An error names row and column, and what to do."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from types import MappingProxyType

from metrics.catalogue.errors import CatalogueError

FILE = Path(__file__).parent / "headlines.csv"


class BadPlainWords(CatalogueError):
    """The table of plain words does not hold what it must."""


@dataclass(frozen=True, slots=True)
class PlainWords:
    """Headlines by side, and the words at the ends and in the middle of the picture, from low to high."""

    metric: str
    low_headline: str
    high_headline: str
    good_headline: str
    low_end: str
    good_end: str
    high_end: str

    def headline(self, side: str) -> str:
        """`side`: "low" or "high"; anything else is in range."""
        return {"low": self.low_headline, "high": self.high_headline}.get(side, self.good_headline)

    @property
    def ends(self) -> tuple[str, str, str]:
        return self.low_end, self.good_end, self.high_end


COLUMNS = tuple(field.name for field in fields(PlainWords))


@cache
def load_plain_words() -> Mapping[str, PlainWords]:
    """The shipped table by metric, read once in a process."""
    return read_plain_words(FILE.read_text(encoding="utf-8"))


def read_plain_words(text: str) -> Mapping[str, PlainWords]:
    """Raises BadPlainWords for a wrong head, an empty cell or a metric that stands twice."""
    lines = csv.DictReader(text.splitlines())
    if tuple(lines.fieldnames or ()) != COLUMNS:
        raise BadPlainWords(f"headlines.csv: the head must be {', '.join(COLUMNS)}.")
    found: dict[str, PlainWords] = {}
    for number, line in enumerate(lines, start=2):
        empty = [name for name in COLUMNS if not (line[name] or "").strip()]
        if empty:
            raise BadPlainWords(f"headlines.csv, row {number}: {empty[0]} is empty. Write its plain words.")
        if line["metric"] in found:
            raise BadPlainWords(f"headlines.csv, row {number}: {line['metric']} stands twice. Remove one.")
        found[line["metric"]] = PlainWords(**line)
    return MappingProxyType(found)
