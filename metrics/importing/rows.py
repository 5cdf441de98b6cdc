"""A layout and the recipe for it → groups of throws with readings, and what a person should know.

Everything that can be read is read: a bad cell costs its reading, a bad date its rows.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from metrics.importing.cells import Cell
from metrics.importing.computed import note_differing_parts, taken_from_file
from metrics.importing.finding import Found, find_throws
from metrics.importing.gathering import ThrowBuilder
from metrics.importing.long_rows import read_long
from metrics.importing.problems import ImportProblems
from metrics.importing.readings import ReadingMaker, ReadingRule, rule_for, rule_in_unit, same_unit
from metrics.importing.recipes import LONG_ROLES, ColumnTarget, Recipe, header_keys
from metrics.importing.sheet_names import for_recipe
from metrics.importing.throws import ImportedTable, ReadingValue
from metrics.importing.units import UnitDoesNotFit
from sessions.formats.layout import Column, Layout
from sessions.formats.problems import quote

if TYPE_CHECKING:
    from metrics.catalogue import Catalogue

SHAPE_WORDS = {"wide": "one row a throw", "long": "one row a value"}
# A column with this many values, most of them implausible, has one fault and not many.
FEW_VALUES = 5
MOST_IMPLAUSIBLE = 0.5


def apply_recipe(
    layout: Layout, recipe: Recipe, catalogue: Catalogue, *, today: dt.date | None = None
) -> ImportedTable:
    """Groups (one athlete, one day) with their throws, as the recipe reads the table.

    Values are stored as the catalogue keeps them; implausible ones stay out as {"reason": "implausible"}
    unless `recipe.accept_implausible` names the metric. Dates after `today` are problems; None skips that
    check. Never raises for what stands in the table; for what a recipe may not be see `check_recipe`.
    """
    problems = ImportProblems(layout.sheet, turned=layout.turned)
    if layout.shape != recipe.shape:
        problems.add(
            "wrong_shape", found=SHAPE_WORDS.get(layout.shape, layout.shape), expected=SHAPE_WORDS[recipe.shape]
        )
        return ImportedTable((), problems.result())
    return _Import(for_recipe(layout, recipe), recipe, catalogue, problems, today).run()


class _Import:
    """One run over one layout."""

    def __init__(
        self,
        layout: Layout,
        recipe: Recipe,
        catalogue: Catalogue,
        problems: ImportProblems,
        today: dt.date | None,
    ) -> None:
        self.layout = layout
        self.recipe = recipe
        self.catalogue = catalogue
        self.problems = problems
        self.maker = ReadingMaker(catalogue, recipe, problems)
        self.matched = self._matched_columns()
        self.roles = {target.role: column for column, target in reversed(self.matched) if target.role != "metric"}
        self.comments = [column for column, target in self.matched if target.role == "comment"]
        self.today = today

    def run(self) -> ImportedTable:
        if self.layout.shape == "long" and "throw_number" not in self.roles:
            self.problems.add("throws_not_told_apart")
            return ImportedTable((), self.problems.result())
        found = (self.layout.shape == "long" and self._throws_of_unlike_rows()) or self._throws_of_rows()
        if self.layout.shape == "wide":
            self._read_wide(found)
        else:
            read_long(self, found)
        groups = found.gatherer.groups(found.athletes)
        note_differing_parts(groups, self.recipe, self.catalogue, self.problems)
        return ImportedTable(groups, self.problems.result())

    def _throws_of_rows(self) -> Found:
        return find_throws(self.roles, self.comments, self.layout.row_numbers, self.recipe, self.problems, self.today)

    def _throws_of_unlike_rows(self) -> Found | None:
        """A long table says in every row who threw and which throw it was: rows that say the same are read once.

        None when anything is wrong with them: that is told row by row.
        """
        columns = [column for role, column in self.roles.items() if role not in (*LONG_ROLES, "ignore")]
        if any(column.missing for column in columns):
            return None
        said = list(zip(*(column.values for column in (*columns, *self.comments)), strict=True))
        first: dict[tuple[Cell, ...], int] = {}
        alike = [first.setdefault(cells, index) for index, cells in enumerate(said)]
        roles = {role: _picked(column, first.values()) for role, column in self.roles.items()}
        comments = [_picked(column, first.values()) for column in self.comments]
        rows = [self.layout.row_numbers[index] for index in first.values()]
        nothing_wrong = ImportProblems()
        found = find_throws(roles, comments, rows, self.recipe, nothing_wrong, self.today)
        if nothing_wrong.result() or None in found.throws:
            return None
        found.gatherer.problems = self.problems
        by_first = dict(zip(first.values(), found.throws, strict=True))
        return replace(found, throws=[by_first[index] for index in alike])

    def _matched_columns(self) -> list[tuple[Column, ColumnTarget]]:
        """The layout's columns that the recipe knows; what is missing or new is noted."""
        targets = {target.header: target for target in self.recipe.columns}
        columns = dict(zip(header_keys(self.layout), self.layout.columns, strict=True))
        for key, target in targets.items():
            if key not in columns and target.role != "ignore":
                self.problems.add("column_missing", header=quote(key))
        for key, column in columns.items():
            if key not in targets:
                self.problems.add("column_new", column=column.letter, header=quote(column.title or key))
        return [(column, targets[key]) for key, column in columns.items() if key in targets]

    def _rule(self, column: Column, target: ColumnTarget) -> ReadingRule | None:
        """The rule of a matched column in the unit that it has in this table."""
        rule = rule_for(target, self.recipe, self.catalogue)
        if rule is None:
            self.problems.add("metric_unknown", column=column.letter, metric=quote(target.metric))
            return None
        if taken_from_file(rule, self.problems, letter=column.letter) is None:
            return None
        if column.unit_text and not same_unit(column.unit_text, target.unit_text):
            return self.in_unit(rule, target, column.unit_text, None, column.letter)
        return rule

    def in_unit(
        self, rule: ReadingRule, target: ColumnTarget, unit: str, row: int | None, letter: str
    ) -> ReadingRule | None:
        found = rule_in_unit(rule, target, unit)
        if isinstance(found, UnitDoesNotFit):
            self.problems.add("unit_does_not_fit", row=row, column=letter, sentence=found.sentence)
            return None
        return found

    def _read_wide(self, found: Found) -> None:
        rules = [
            (column, rule)
            for column, target in self.matched
            if target.role == "metric" and (rule := self._rule(column, target))
        ]
        made = [(rule, column.letter, self._column_readings(column, rule, found.throws)) for column, rule in rules]
        for index, row in enumerate(self.layout.row_numbers):
            throw = found.throws[index]
            if throw is not None:
                readings = ((rule, letter, reading) for rule, letter, cells in made if (reading := cells[index]))
                found.gatherer.add_row(throw, row, readings)

    def _column_readings(
        self, column: Column, rule: ReadingRule, throws: Sequence[ThrowBuilder | None]
    ) -> list[ReadingValue | None]:
        make, letter = self.maker.make, column.letter
        readings = [
            None if cell is None or throw is None else make(rule, cell, row, letter)
            for cell, row, throw in zip(column.values, self.layout.row_numbers, throws, strict=True)
        ]
        self._note_fault_of(rule, letter, sum(reading is not None for reading in readings))
        return readings

    def _note_fault_of(self, rule: ReadingRule, letter: str, total: int) -> None:
        bad = self.problems.count("implausible", letter) + self.problems.count("absurd", letter)
        if total >= FEW_VALUES and bad > MOST_IMPLAUSIBLE * total:
            self.problems.add("column_implausible", column=letter, count=bad, total=total, name=rule.metric.name)


def _picked(column: Column, rows: Iterable[int]) -> Column:
    """The column in some rows only."""
    return replace(column, values=tuple([column.values[row] for row in rows]))
