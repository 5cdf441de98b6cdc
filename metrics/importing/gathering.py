"""Collects readings, conditions and marks of rows into throws, and throws into groups."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from metrics.importing.cells import Cell, Unreadable, is_missing, parse_number, text_of
from metrics.importing.conditions import Conditions, read_condition, read_exclusion
from metrics.importing.places import Place
from metrics.importing.problems import ImportProblems
from metrics.importing.readings import ReadingRule, differs
from metrics.importing.recipes import CONDITION_ROLES, Recipe
from metrics.importing.throws import AthleteReference, ImportedGroup, ImportedThrow, ReadingValue
from metrics.importing.units import factor_between
from sessions.formats.layout import Column
from sessions.formats.problems import quote

# Slowest toss to faster than any pitch, m/s (common practice, no published source).
BALL_SPEEDS = (5.0, 50.0)
DEFAULT_SPEED_UNIT = "mph"
# Rows without throw numbers are one throw when at least this many values are equal to the last digit.
LEAST_EQUAL_VALUES = 3
_DESCRIBING_ROLES = (*CONDITION_ROLES, "ball_speed", "excluded", "included")


@dataclass(slots=True)
class Description:
    """What a row says of a throw beside its readings."""

    conditions: Conditions = field(default_factory=Conditions)
    ball_speed: float | None = None
    excluded: str = ""


@dataclass(slots=True, eq=False)
class ThrowBuilder:
    """A throw while its rows are still coming."""

    place: Place
    label: str
    description: Description
    described_by: tuple[Cell, ...]
    values: dict[str, ReadingValue] = field(default_factory=dict)
    origins: dict[str, int] = field(default_factory=dict)
    rows: list[int] = field(default_factory=list)
    comments: list[str] = field(default_factory=list)


class Gatherer:
    """Keeps the throws of one table in the order in which they first appear."""

    def __init__(
        self,
        roles: Mapping[str, Column],
        comments: Sequence[Column],
        recipe: Recipe,
        problems: ImportProblems,
    ) -> None:
        self.columns = {role: roles[role] for role in _DESCRIBING_ROLES if role in roles}
        self.comments = comments
        self.recipe = recipe
        self.problems = problems
        self.is_numbered = "throw_number" in roles
        self.throws: dict[tuple[Place, str], ThrowBuilder] = {}
        self.repeats = 0
        self.first_repeat: int | None = None
        self._descriptions: dict[tuple[Cell, ...], Description] = {}
        self._whole: dict[tuple[Conditions, bool], Conditions] = {}

    def throws_of_rows(
        self, places: Sequence[Place | None], row_numbers: Sequence[int], texts: Sequence[str | None]
    ) -> list[ThrowBuilder | None]:
        """The throw of each row, made when it first appears; None for rows that are left out."""
        described = self._describing_cells(row_numbers)
        comments = self._comments_of_rows(len(row_numbers))
        found: list[ThrowBuilder | None] = []
        for place, row, text, cells, comment in zip(places, row_numbers, texts, described, comments, strict=True):
            if place is None or text is None:
                found.append(None)
                continue
            throw = self.throws.get((place, text))
            if throw is None:
                throw = ThrowBuilder(place, text, self._description(cells, row), cells)
                self.throws[place, text] = throw
            elif cells != throw.described_by:
                self._describe_more(throw, cells, row)
            if not throw.rows:
                throw.rows.append(row)
            if comment and comment not in throw.comments:
                throw.comments.append(comment)
            found.append(throw)
        return found

    def _describe_more(self, throw: ThrowBuilder, cells: tuple[Cell, ...], row: int) -> None:
        """Another row of a throw: what it adds is taken, what it contradicts is a problem."""
        before = throw.described_by
        if any(a is not None and b is not None and a != b for a, b in zip(cells, before, strict=True)):
            self.problems.add(
                "conditions_differ", row=row, throw=quote(throw.label), other=self.problems.words_of_row(throw.rows[0])
            )
            return
        throw.described_by = tuple(b if a is None else a for a, b in zip(before, cells, strict=True))
        throw.description = self._description(throw.described_by, row)

    def _describing_cells(self, row_numbers: Sequence[int]) -> Iterable[tuple[Cell, ...]]:
        if not self.columns:
            return [()] * len(row_numbers)
        return zip(*(_with_marks(role, c, row_numbers) for role, c in self.columns.items()), strict=True)

    def _comments_of_rows(self, count: int) -> Sequence[str]:
        if not self.comments:
            return [""] * count
        rows = zip(*(column.values for column in self.comments), strict=True)
        return ["; ".join(text_of(cell) for cell in cells if not is_missing(cell)) for cells in rows]

    def _description(self, cells: tuple[Cell, ...], row: int) -> Description:
        known = self._descriptions.get(cells)
        if known is None:
            known = self._descriptions[cells] = self._describe(cells, row)
        return known

    def _describe(self, cells: tuple[Cell, ...], row: int) -> Description:
        description = Description()
        for (role, column), cell in zip(self.columns.items(), cells, strict=True):
            if is_missing(cell):
                continue
            if role == "ball_speed":
                description.ball_speed = self._ball_speed(column, cell, row)
            elif role in CONDITION_ROLES:
                said = read_condition(role, cell)
                if isinstance(said, Conditions):
                    description.conditions = said.over(description.conditions)
                elif isinstance(said, Unreadable):
                    self._note_unknown_word(role, cell, row, column.letter)
            else:
                description.excluded = description.excluded or read_exclusion(cell, marks=role) or ""
        return description

    def _note_unknown_word(self, role: str, cell: Cell, row: int, letter: str) -> None:
        field_name = role.replace("_", " ")
        self.problems.add("unknown_word", row=row, column=letter, cell=quote(text_of(cell)), field=field_name)

    def _ball_speed(self, column: Column, cell: Cell, row: int) -> float | None:
        """Metres per second, None and a problem where the cell is no speed of a thrown ball."""
        number = parse_number(cell, self.recipe.decimal_mark)
        if not isinstance(number, float):
            if isinstance(number, Unreadable):
                self.problems.add(number.code, row=row, column=column.letter, cell=quote(text_of(cell)))
            return None
        target = self.recipe.target_of("ball_speed")
        unit = column.unit_text or (target.unit_text if target else "") or DEFAULT_SPEED_UNIT
        factor = factor_between(unit, "m/s")
        if factor is None:
            sentence = f"{unit} is no unit of speed."
            self.problems.add("unit_does_not_fit", row=row, column=column.letter, sentence=sentence)
            return None
        speed = number * factor
        if not BALL_SPEEDS[0] <= speed <= BALL_SPEEDS[1]:
            sentence = f"A ball speed of {text_of(cell)} {unit} is not plausible."
            self.problems.add("implausible", row=row, column=column.letter, sentence=sentence)
            return None
        return speed

    def add_row(self, throw: ThrowBuilder, row: int, found: Iterable[tuple[ReadingRule, str, ReadingValue]]) -> None:
        """One row of a wide table. A row that says nothing new of a known throw is a repeat."""
        known = bool(throw.values)
        news = False
        for rule, letter, reading in found:
            before = throw.values.get(rule.key)
            if before is None or ("reason" in before and "value" in reading):
                throw.values[rule.key] = reading
                throw.origins[rule.key] = row
                news = True
            elif differs(before, reading):
                self._note_difference(throw, rule, row, letter, reading)
                news = True
        if throw.rows[-1] != row:
            throw.rows.append(row)
        if known and not news:
            self._note_repeat(row)

    def add_reading(self, throw: ThrowBuilder, rule: ReadingRule, row: int, letter: str, reading: ReadingValue) -> None:
        """One row of a long table."""
        before = throw.values.get(rule.key)
        if before is None or ("reason" in before and "value" in reading):
            throw.values[rule.key] = reading
            throw.origins[rule.key] = row
        elif differs(before, reading):
            self._note_difference(throw, rule, row, letter, reading)
        else:
            self._note_repeat(row)

    def _note_repeat(self, row: int) -> None:
        self.repeats += 1
        self.first_repeat = self.first_repeat or row

    def _note_difference(
        self, throw: ThrowBuilder, rule: ReadingRule, row: int, letter: str, reading: ReadingValue
    ) -> None:
        first, second = (each["value"] for each in (throw.values[rule.key], reading))
        self.problems.add(
            "throw_twice_different",
            row=row,
            column=letter,
            throw=quote(throw.label),
            name=rule.metric.name,
            first=f"{first:.6g}",
            second=f"{second:.6g}",
            other=self.problems.words_of_row(throw.origins[rule.key]),
        )

    def groups(self, athletes: Sequence[AthleteReference]) -> tuple[ImportedGroup, ...]:
        """Throws by athlete, day and session, numbered. Throws without any reading stay: they were thrown."""
        by_place: dict[Place, list[ThrowBuilder]] = {}
        for throw in self.throws.values():
            by_place.setdefault(throw.place, []).append(throw)
        groups = tuple(
            self._group(place, athletes[place.athlete], self._distinct(throws)) for place, throws in by_place.items()
        )
        if self.repeats:
            self.problems.add("throw_twice_same", row=self.first_repeat, count=self.repeats)
        return groups

    def _distinct(self, throws: list[ThrowBuilder]) -> list[ThrowBuilder]:
        """Without throw numbers, rows that agree in every digit are one throw."""
        if self.is_numbered:
            return throws
        kept: dict[object, ThrowBuilder] = {}
        for throw in throws:
            numbers = tuple(sorted((key, v["value"]) for key, v in throw.values.items() if "value" in v))
            identity: object = numbers if len(numbers) >= LEAST_EQUAL_VALUES else throw.rows[0]
            if identity in kept:
                kept[identity].rows.extend(throw.rows)
                self._note_repeat(throw.rows[0])
            else:
                kept[identity] = throw
        return list(kept.values())

    def _group(self, place: Place, athlete: AthleteReference, throws: list[ThrowBuilder]) -> ImportedGroup:
        numbers = self._numbers(throws, athlete, place.date)
        ordered = sorted(zip(numbers, throws, strict=True), key=lambda pair: pair[0])
        return ImportedGroup(
            athlete,
            place.date,
            tuple(
                self._throw(number, throw, is_warm_up=order < self.recipe.warm_up_first)
                for order, (number, throw) in enumerate(ordered)
            ),
            place.session_label,
        )

    def _numbers(self, throws: Sequence[ThrowBuilder], athlete: AthleteReference, date: dt.date | None) -> list[int]:
        """The numbers at the ends of the labels where they are distinct, else the order of the rows."""
        in_order = list(range(1, len(throws) + 1))
        if not self.is_numbered:
            return in_order
        ends = [re.search(r"(\d{1,6})\D*$", throw.label) for throw in throws]
        numbers = [int(end[1]) for end in ends if end]
        if len(numbers) == len(throws) and max(Counter(numbers).values()) == 1:
            return numbers
        who = quote(athlete.name or athlete.external_id or "this athlete")
        when = f"{who} on {date}" if date else who
        self.problems.add("numbered_in_order", row=throws[0].rows[0], who=when, example=quote(throws[0].label))
        return in_order

    def _throw(self, number: int, throw: ThrowBuilder, *, is_warm_up: bool) -> ImportedThrow:
        said = throw.description.conditions
        return ImportedThrow(
            number=number,
            label=throw.label if self.is_numbered else "",
            conditions=self._conditions(said, is_warm_up),
            ball_speed=throw.description.ball_speed,
            values=throw.values,
            row_numbers=tuple(throw.rows),
            excluded=throw.description.excluded,
            comment="; ".join(throw.comments),
            intent_from_file=bool(said.intent),
        )

    def _conditions(self, said: Conditions, is_warm_up: bool) -> Conditions:
        """What the file says over what the recipe takes for granted; a season's throws say few different things."""
        known = self._whole.get((said, is_warm_up))
        if known is None:
            defaults = self.recipe.conditions
            defaults = Conditions(intent="warm_up").over(defaults) if is_warm_up else defaults
            known = self._whole[said, is_warm_up] = said.over(defaults)
        return known


def _with_marks(role: str, column: Column, row_numbers: Sequence[int]) -> Sequence[Cell]:
    """The cells of a column of marks with the words ("invalid") that a reader takes for missing."""
    if role not in ("excluded", "included") or not column.missing:
        return column.values
    words = dict(column.missing)
    pairs = zip(column.values, row_numbers, strict=True)
    return tuple(words.get(row) if cell is None else cell for cell, row in pairs)
