"""Numbers that stand for a missing value (9999), and cells that carry their unit ("88 deg")."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final

from sessions.formats.cells import Cell, CellReader, cell_text
from sessions.formats.layout import Column
from sessions.formats.problems import ProblemList, times
from sessions.formats.unit_words import is_unit

STAND_INS: Final = frozenset(
    sign * size for sign in (1.0, -1.0) for size in (999.0, 999.9, 999.99, 9999.0, 9999.9, 9999.99, 99999.0, 999999.0)
)
"""What programs write where nothing was measured (common practice, no published source)."""

_FAR_OUT: Final = 2.0
"""A stand-in is at least so many times the largest other number of its metric …"""

_KNOWN_HERE: Final = 1.2
"""… or so many times where the same table has it far out elsewhere (house opinion, no source)."""

_NUMBER_AND_UNIT = re.compile(r"([+\-−]?[\d.,' ]*\d)\s*([^\d\s.,'][^\d]{0,14})")
_MOST_WITH_UNIT: Final = 0.8


def without_stand_ins(
    columns: tuple[Column, ...], numbers: Sequence[int], names: Column | None, problems: ProblemList
) -> tuple[Column, ...]:
    """The columns with stand-ins as missing values, each column's noted.

    names: the metric-name column of a long table; its texts divide the values, since one column holds all metrics.
    """
    groups = [_groups(column, names) for column in columns]
    known = {value for of_column in groups for values in of_column.values() for value in _out_by(values, _FAR_OUT)}
    if not known:
        return columns
    return tuple(
        _cleared(column, of_column, known, numbers, names, problems)
        for column, of_column in zip(columns, groups, strict=True)
    )


def _groups(column: Column, names: Column | None) -> Mapping[Cell, list[float]]:
    """The column's numbers, by metric where one column holds several."""
    found: defaultdict[Cell, list[float]] = defaultdict(list)
    keys: Iterable[Cell] = names.values if names else (None,) * len(column.values)
    if STAND_INS.isdisjoint(column.values):
        return found
    for key, value in zip(keys, column.values, strict=True):
        if type(value) is float:
            found[key].append(value)
    return found


def _out_by(values: Sequence[float], times: float) -> set[float]:
    """The stand-ins among the numbers that lie so many times beyond the largest of the others."""
    distinct = set(values)
    others = distinct - STAND_INS
    if not others:
        return set()
    largest = max(map(abs, others))
    return {value for value in distinct & STAND_INS if abs(value) >= times * largest}


def _cleared(
    column: Column,
    groups: Mapping[Cell, list[float]],
    known: set[float],
    numbers: Sequence[int],
    names: Column | None,
    problems: ProblemList,
) -> Column:
    out = {
        key: (known & set(values)) if set(values) <= STAND_INS else (known & _out_by(values, _KNOWN_HERE))
        for key, values in groups.items()
    }
    if not any(out.values()):
        return column
    keys: Iterable[Cell] = names.values if names else (None,) * len(column.values)
    gone = [value in out.get(key, ()) for key, value in zip(keys, column.values, strict=True)]
    pairs = list(zip(numbers, column.values, gone, strict=True))
    for value, count in Counter(value for _, value, is_gone in pairs if is_gone).items():
        problems.add("stand_in", column=column.letter, times=times(count), number=cell_text(value))
    return replace(
        column,
        values=tuple(None if is_gone else value for _, value, is_gone in pairs),
        missing=(*column.missing, *((row, cell_text(value)) for row, value, is_gone in pairs if is_gone)),
    )


def with_unit_of_cells(column: Column, texts: Collection[str], decimal_mark: str) -> Column:
    """A column of "88 deg" as numbers with a unit; as it is where its cells say different units, or another one
    than its header. `texts`: its distinct ones."""
    parts = {text: match for text in texts if (match := _NUMBER_AND_UNIT.fullmatch(text)) and is_unit(match[2])}
    units = {"".join(match[2].split()).casefold(): match[2].strip() for match in parts.values()}
    said = "".join(column.unit_text.split()).casefold()
    agrees = said in ("", *units) or ("%" in units and said.startswith("%"))
    if len(units) != 1 or len(parts) < _MOST_WITH_UNIT * len(texts) or not agrees:
        return column
    read = CellReader(decimal_mark)
    values = tuple(
        read[parts[value][1]] if isinstance(value, str) and value in parts else value for value in column.values
    )
    ((_, unit),) = units.items()
    return replace(column, values=values, unit_text=column.unit_text or unit)
