"""The published pitch-count charts as data: daily maximum and days of rest by age.

`guideline.csv` is the house's reference table with a column `chart` before it; source and status of each line stand
in the line. *memory* means that the line was recalled and not seen: sentences say so.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cache
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType

from athletes.quantities import age_in_years_and_months

FILE = Path(__file__).parent / "guideline.csv"
COLUMNS = (
    "chart", "age_min", "age_max", "daily_max", "rest_days", "pitches_min", "pitches_max", "source", "status",
)  # fmt: skip


class BadGuideline(ValueError):
    """The table does not hold together; the sentence says where and what to do."""


class Chart(StrEnum):
    """The charts of the table. No date is known on which one followed the other: whoever asks chooses."""

    CURRENT = "current"
    ABOUT_2015 = "about_2015"
    CANADIAN = "canadian"


@dataclass(frozen=True, slots=True)
class Row:
    """One line: so many pitches on a day ask for so many days of rest."""

    rest_days: int
    pitches_min: int
    pitches_max: int
    source: str
    is_from_memory: bool


@dataclass(frozen=True, slots=True)
class Band:
    """The ages that share a daily maximum, and their rows from few pitches to many, without a gap from 1 to it."""

    age_min: int
    age_max: int
    daily_max: int
    rows: tuple[Row, ...]

    def row_for(self, pitches: int) -> Row | None:
        """None for no pitch at all. Above the daily maximum the last row, which then is the least that is asked."""
        if pitches < 1:
            return None
        return next((row for row in self.rows if pitches <= row.pitches_max), self.rows[-1])

    @property
    def longest_rest(self) -> int:
        """The most days that any day's pitches ask for."""
        return self.rows[-1].rest_days


@dataclass(frozen=True, slots=True)
class Guideline:
    """One chart; its bands from young to old."""

    chart: Chart
    bands: tuple[Band, ...]

    @property
    def ages(self) -> tuple[int, int]:
        """The youngest and the oldest age that it holds."""
        return self.bands[0].age_min, self.bands[-1].age_max

    def band_for(self, age: int) -> Band | None:
        """None where the chart has no row: nothing is invented for such an age."""
        return next((band for band in self.bands if band.age_min <= age <= band.age_max), None)

    def age_on(self, birth_date: date, on: date) -> int:
        """The age in years that the chart goes by. Raises ValueError for a day before the birth.

        Completed years on that day. In the Canadian chart the age that is reached in that calendar year: its bands
        are read as calendar-year categories (from memory, as the table says).
        """
        years = age_in_years_and_months(birth_date, on)[0]
        return on.year - birth_date.year if self.chart is Chart.CANADIAN else years


@cache
def load_guideline(chart: Chart = Chart.CURRENT) -> Guideline:
    """A shipped chart, read once in a process."""
    return read_guidelines(FILE.read_text(encoding="utf-8"))[chart]


def read_guidelines(text: str) -> Mapping[Chart, Guideline]:
    """All charts of a table. Raises BadGuideline for a wrong head, a cell that is no number, a gap or an overlap."""
    lines = csv.DictReader(text.splitlines())
    if tuple(lines.fieldnames or ()) != COLUMNS:
        raise BadGuideline(f"guideline.csv: the head must be {', '.join(COLUMNS)}.")
    groups: dict[Chart, dict[tuple[int, int, int], list[Row]]] = {}
    for number, line in enumerate(lines, start=2):
        chart, ages, row = _read_line(number, line)
        groups.setdefault(chart, {}).setdefault(ages, []).append(row)
    return MappingProxyType({chart: Guideline(chart, _bands(chart, bands)) for chart, bands in groups.items()})


def _read_line(number: int, line: Mapping[str, str | None]) -> tuple[Chart, tuple[int, int, int], Row]:
    where = f"guideline.csv, row {number}"
    if not (line["source"] or "").strip() or line["status"] not in ("verified", "memory"):
        raise BadGuideline(f"{where}: give a source, and verified or memory as its status.")
    try:
        chart = Chart(line["chart"] or "")
        young, old, most, rest, low, high = (int(line[name] or "") for name in COLUMNS[1:7])
    except ValueError as problem:
        raise BadGuideline(f"{where}: {problem}. Give a known chart, and whole numbers up to pitches_max.") from None
    return chart, (young, old, most), Row(rest, low, high, line["source"] or "", line["status"] == "memory")


def _bands(chart: Chart, rows_by_age: Mapping[tuple[int, int, int], Sequence[Row]]) -> tuple[Band, ...]:
    bands = [Band(*ages, tuple(rows)) for ages, rows in sorted(rows_by_age.items())]
    for band in bands:
        where = f"guideline.csv, {chart}, ages {band.age_min} to {band.age_max}"
        if not _is_whole(band.rows, band.daily_max):
            raise BadGuideline(f"{where}: the rows must reach from 1 to {band.daily_max} without a gap, rest rising.")
    if any(older.age_min != younger.age_max + 1 for younger, older in pairwise(bands)):
        raise BadGuideline(f"guideline.csv, {chart}: each age must stand in one band, none between two.")
    return tuple(bands)


def _is_whole(rows: Iterable[Row], daily_max: int) -> bool:
    pitches, rest = 0, -1
    for row in rows:
        if row.pitches_min != pitches + 1 or row.pitches_max < row.pitches_min or row.rest_days <= rest:
            return False
        pitches, rest = row.pitches_max, row.rest_days
    return pitches == daily_max
