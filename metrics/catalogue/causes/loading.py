"""Reads the tables of links and interventions. An error names file, row, column, and what to do."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

from metrics.catalogue.causes.model import (
    DIRECTIONS,
    INTERVENTION_KINDS,
    LINK_KINDS,
    STATUSES,
    STRENGTHS,
    Intervention,
    Link,
    Unanswered,
)
from metrics.catalogue.errors import CatalogueError

FOLDER = Path(__file__).parent
LINKS_FILE, INTERVENTIONS_FILE, UNANSWERED_FILE = "links.csv", "interventions.csv", "nothing_in_library.csv"

LINK_COLUMNS = (
    "effect", "effect_direction", "cause", "cause_direction", "kind", "strength", "reason", "source", "status",
    "both_ways",
)  # fmt: skip
INTERVENTION_COLUMNS = (
    "key", "name", "kind", "answers", "dose", "recheck_weeks_low", "recheck_weeks_high", "caution", "source", "status",
)  # fmt: skip
UNANSWERED_COLUMNS = ("metric", "direction", "reason")

LINK_CHOICES = {
    "effect_direction": DIRECTIONS,
    "cause_direction": DIRECTIONS,
    "kind": LINK_KINDS,
    "strength": tuple(STRENGTHS),
    "status": STATUSES,
}
INTERVENTION_CHOICES = {"kind": INTERVENTION_KINDS, "status": STATUSES}
MAY_BE_BLANK = ("both_ways", "caution")


class BadCauses(CatalogueError):
    """A table of causes does not hold what it must; the message names file, row and column and what to do."""


@cache
def load_links() -> tuple[Link, ...]:
    """The shipped cause links, read once in a process."""
    return read_links((FOLDER / LINKS_FILE).read_text(encoding="utf-8"))


@cache
def load_interventions() -> tuple[Intervention, ...]:
    """The shipped interventions, read once in a process."""
    return read_interventions((FOLDER / INTERVENTIONS_FILE).read_text(encoding="utf-8"))


@cache
def load_unanswered() -> tuple[Unanswered, ...]:
    """The causes for which the shipped library has nothing, each with the reason."""
    return read_unanswered((FOLDER / UNANSWERED_FILE).read_text(encoding="utf-8"))


def interventions_for(metric: str, direction: str) -> tuple[Intervention, ...]:
    """What the shipped library has for a metric that is off in this direction, in its order; empty for nothing."""
    return tuple(one for one in load_interventions() if (metric, direction) in one.answers)


def read_links(text: str, where: str = LINKS_FILE) -> tuple[Link, ...]:
    """Links from the text of a table. Raises BadCauses."""
    return tuple(Link(**row) for _, row in _rows(text, where, LINK_COLUMNS, LINK_CHOICES))


def read_interventions(text: str, where: str = INTERVENTIONS_FILE) -> tuple[Intervention, ...]:
    """Interventions from the text of a table. Raises BadCauses."""
    found: dict[str, Intervention] = {}
    for place, row in _rows(text, where, INTERVENTION_COLUMNS, INTERVENTION_CHOICES):
        if row["key"] in found:
            raise BadCauses(f"{place}, key: {row['key']!r} stands twice. Give one of them another key.")
        found[row["key"]] = Intervention(
            key=row["key"],
            name=row["name"],
            kind=row["kind"],
            answers=_answers(row["answers"], f"{place}, answers"),
            dose=row["dose"],
            recheck_weeks=_weeks(row["recheck_weeks_low"], row["recheck_weeks_high"], place),
            caution=row["caution"],
            source=row["source"],
            status=row["status"],
        )
    return tuple(found.values())


def read_unanswered(text: str, where: str = UNANSWERED_FILE) -> tuple[Unanswered, ...]:
    """The list of causes without an intervention, from the text of a table. Raises BadCauses."""
    rows = _rows(text, where, UNANSWERED_COLUMNS, {"direction": DIRECTIONS})
    return tuple(Unanswered(**row) for _, row in rows)


def _rows(
    text: str, where: str, columns: Sequence[str], choices: dict[str, tuple[str, ...]]
) -> Iterator[tuple[str, dict[str, str]]]:
    """Each row with its place, every cell checked for being there and for its closed list."""
    reader = csv.DictReader(text.splitlines(), restval=None)
    if tuple(reader.fieldnames or ()) != tuple(columns):
        got = ", ".join(reader.fieldnames or ()) or "none"
        raise BadCauses(
            f"{where}, row 1: the columns must be {', '.join(columns)}; found {got}. Correct the first row."
        )
    for number, row in enumerate(reader, start=2):
        place = f"{where}, row {number}"
        if None in row or None in row.values():
            raise BadCauses(f"{place}: the row does not have {len(columns)} cells. Put text with a comma in quotes.")
        for column in columns:
            _check_cell(row[column], column, f"{place}, {column}", choices)
        yield place, dict(row)


def _check_cell(cell: str, column: str, place: str, choices: dict[str, tuple[str, ...]]) -> None:
    if cell != cell.strip():
        raise BadCauses(f"{place}: {cell!r} begins or ends with a space. Take it away.")
    if column in choices and cell not in choices[column]:
        raise BadCauses(f"{place}: {cell!r} is not one of {', '.join(choices[column])}. Write one of these.")
    if not cell and column not in MAY_BE_BLANK:
        raise BadCauses(f"{place}: the cell is empty. Fill it in.")


def _answers(text: str, place: str) -> tuple[tuple[str, str], ...]:
    """ "stride_length:low;stride_time:high" → (("stride_length", "low"), ("stride_time", "high"))."""
    found: list[tuple[str, str]] = []
    for part in text.split(";"):
        metric, _, direction = part.partition(":")
        if not metric or direction not in DIRECTIONS:
            raise BadCauses(f"{place}: {part!r} is not metric:low or metric:high. Name the direction of each metric.")
        if (metric, direction) in found:
            raise BadCauses(f"{place}: {part!r} stands twice. Take one away.")
        found.append((metric, direction))
    return tuple(found)


def _weeks(low: str, high: str, place: str) -> tuple[int, int]:
    """First and last week of the recheck, whole numbers above 0 in order."""
    for column, cell in (("recheck_weeks_low", low), ("recheck_weeks_high", high)):
        if not (cell.isascii() and cell.isdigit() and int(cell) > 0):
            raise BadCauses(f"{place}, {column}: {cell!r} is not a whole number of weeks above 0. Write one.")
    if int(low) > int(high):
        raise BadCauses(f"{place}, recheck_weeks_low: {low} weeks lies above {high}. Put the earlier week first.")
    return int(low), int(high)
