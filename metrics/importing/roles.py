"""Columns that are no metric: who, when, which throw, under which conditions.

`roles.csv` lists the names (common practice, no published source). Where a name can mean two things
the cells decide.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from importlib.resources import files
from itertools import islice, pairwise

from metrics.importing.cells import Cell, is_missing, parse_date, parse_number, text_of
from metrics.importing.conditions import condition_words
from metrics.importing.words import split_unit
from sessions.formats.headers import GROUP_MARK

CELLS_LOOKED_AT = 200
# Cells alone, without a name that is known, are a weaker word (house opinion, no source).
BY_VALUES, LEAST_CELLS = 0.65, 3


@dataclass(frozen=True)
class RoleGuess:
    """A role and how sure it is, 0 to 1; `why` is "name" or "values"."""

    role: str
    confidence: float
    why: str


@cache
def _role_names(shape: str) -> Mapping[str, str]:
    """Name → role. Names of a long table's own columns are roles only there, and win there."""
    text = files("metrics.importing").joinpath("roles.csv").read_text(encoding="utf-8")
    names: dict[str, str] = {}
    for row in csv.DictReader(text.splitlines()):
        own_of_long = row["role"].startswith("metric_")
        if own_of_long and shape != "long":
            continue
        for name in row["names"].split("|"):
            if own_of_long:
                names[name] = row["role"]
            else:
                names.setdefault(name, row["role"])
    return names


def _plain_name(header: str) -> str:
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", header.replace("_", " "))
    return " ".join(re.sub(r"[^a-z0-9%#]+", " ", spaced.lower()).split())


def guess_role(header: str, values: Sequence[Cell], *, shape: str = "wide") -> RoleGuess | None:
    """The role that a column's name and cells speak for; None when it may be a metric."""
    names = _role_names(shape)
    bare, _ = split_unit(header)
    texts = (header, bare, header.rpartition(GROUP_MARK)[2])
    name = next((plain for text in texts if (plain := _plain_name(text)) in names), None)
    if name is None:
        return None
    role = names[name]
    filled = _first_filled(values)
    for named, fits, other in _TWO_MEANINGS:
        if role in named and filled and fits(name, filled):
            return RoleGuess(other, 0.85, "values")
    return RoleGuess(role, 0.97, "name")


def _first_filled(values: Sequence[Cell]) -> list[Cell]:
    return list(islice((cell for cell in values if not is_missing(cell)), CELLS_LOOKED_AT))


def guess_role_by_values(values: Sequence[Cell]) -> RoleGuess | None:
    """What the cells alone speak for, under a header that no list holds, in whatever language it is."""
    filled = _first_filled(values)
    if len(filled) < LEAST_CELLS:
        return None
    role = next((role for role, fits in _BY_VALUES if fits(filled)), None)
    return RoleGuess(role, BY_VALUES, "values") if role else None


def _look_like_dates(cells: Sequence[Cell]) -> bool:
    """Dates are written with marks between the numbers; a bare 2026 is none."""
    marked = _share(cells, lambda c: hasattr(c, "year") or bool(_DATE_SHAPE.fullmatch(text_of(c))))
    return marked > 0.9 and any(_share(cells, partial(_is_date, order)) > 0.9 for order in ("mdy", "dmy"))


def _is_date(order: str, cell: Cell) -> bool:
    return hasattr(parse_date(cell, order), "year")


def _look_like_names(cells: Sequence[Cell]) -> bool:
    """Two or more words of letters, each beginning with a capital, which most rows repeat."""
    distinct = {text_of(cell) for cell in cells}
    return _share(cells, lambda c: bool(_NAME_SHAPE.fullmatch(text_of(c)))) > 0.9 and len(distinct) < len(cells)


def _count_up(cells: Sequence[Cell]) -> bool:
    """Whole numbers that rise by one from row to row and begin anew with each session."""
    numbers = [parse_number(cell) for cell in cells]
    whole = [number for number in numbers if isinstance(number, float) and number.is_integer()]
    steps = [later - earlier for earlier, later in pairwise(whole)]
    return len(whole) == len(cells) and whole[0] in (0.0, 1.0) and sum(step == 1 for step in steps) >= 0.7 * len(steps)


_DATE_SHAPE = re.compile(r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}")
_NAME_SHAPE = re.compile(r"[^\W\d_a-z][\w'’.-]*(?:,? [^\W\d_a-z][\w'’.-]*)+")
_BY_VALUES: tuple[tuple[str, Callable[[Sequence[Cell]], bool]], ...] = (
    ("date", _look_like_dates),
    ("athlete_name", _look_like_names),
    ("throw_number", _count_up),
)


def _share(cells: Sequence[Cell], fits: Callable[[Cell], bool]) -> float:
    return sum(map(fits, cells)) / len(cells)


def _are_codes(name: str, cells: Sequence[Cell]) -> bool:
    """ "P-104" and 1043 are ids, "Jordan Reyes" is a name."""
    return "name" not in name.split() and _share(cells, lambda c: bool(re.search(r"\d", text_of(c)))) > 0.8


def _are_pitch_types(name: str, cells: Sequence[Cell]) -> bool:
    words = condition_words("pitch_type")
    return name in ("pitch", "throw") and _share(cells, lambda c: text_of(c).lower() in words) > 0.8


def _are_no_pitch_types(name: str, cells: Sequence[Cell]) -> bool:
    words = condition_words("pitch_type")
    return name == "type" and _share(cells, lambda c: re.sub(r"[\s_]+", "-", text_of(c).lower()) in words) < 0.5


def _are_dates(name: str, cells: Sequence[Cell]) -> bool:
    return _share(cells, lambda c: hasattr(parse_date(c, "mdy"), "year")) > 0.8


def _are_throw_numbers(name: str, cells: Sequence[Cell]) -> bool:
    return name == "throws" and _share(cells, lambda c: isinstance(parse_number(c), float)) > 0.8


def _are_no_speeds(name: str, cells: Sequence[Cell]) -> bool:
    return _share(cells, lambda c: isinstance(parse_number(c), float)) < 0.5


# (roles by name, does this test of the cells hold?, the role then)
_TWO_MEANINGS: tuple[tuple[tuple[str, ...], Callable[[str, Sequence[Cell]], bool], str], ...] = (
    (("athlete_name",), _are_codes, "athlete_id"),
    (("throw_number",), _are_pitch_types, "pitch_type"),
    (("pitch_type",), _are_no_pitch_types, "ignore"),
    (("session_label",), _are_dates, "date"),
    (("ignore",), _are_throw_numbers, "throw_number"),
    (("ball_speed",), _are_no_speeds, "ignore"),
)
