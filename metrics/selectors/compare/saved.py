"""The table of a comparison to take away. SI and degrees, as stored."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from athletes.saving import Cell
from metrics.catalogue import load_catalogue
from metrics.models import Finding
from metrics.selectors.compare.sides import Side
from metrics.selectors.compare.table import CompareLine, Table
from metrics.services.finding_rows import finite

PARTS = ("n", "mean", "sd", "u", "u_between", "moment")


def compare_rows(table: Table | None, sides: Sequence[Side]) -> Iterator[Sequence[Cell]]:
    """The header, then one row a metric as the page lists them; the header alone when nothing is compared."""
    yield (
        "metric", "name", "unit", "first", "first date", *(f"first {part}" for part in PARTS),
        "second", "second date", *(f"second {part}" for part in PARTS),
        "difference", "u of difference", "least real difference", "p", "verdict", "may be chance", "not comparable",
    )  # fmt: skip
    if table is None:
        return
    first, second = sides
    for group in table.groups:
        for line in group.lines:
            yield _row(line, first, second)


def _row(line: CompareLine, first: Side, second: Side) -> tuple[Cell, ...]:
    metric, change = load_catalogue().metric(line.key), line.change
    return (
        line.key, metric.name, metric.unit,
        first.title, first.date, *_parts(line.first),
        second.title, second.date, *_parts(line.second),
        line.difference,
        finite(change.u) if change else None,
        line.detectable,
        finite(change.p) if change and line.word else None,
        line.word, "yes" if line.may_be_chance else "", line.reason,
    )  # fmt: skip


def _parts(row: Finding | None) -> tuple[Cell, ...]:
    return tuple(getattr(row, part) if row is not None else None for part in PARTS)
