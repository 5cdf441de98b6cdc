"""A layout and the recipe for it → groups of throws with readings, and what a person should know.

Everything that can be read is read: a bad cell costs its reading, a bad date its rows.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from metrics.importing.cells import Cell, is_missing, text_of
from metrics.importing.gathering import Gatherer, ThrowBuilder
from metrics.importing.places import Place, PlaceFinder
from metrics.importing.problems import ImportProblems
from metrics.importing.readings import ReadingMaker, ReadingRule, rule_for, rule_in_unit, same_unit
from metrics.importing.recipes import ColumnTarget, Recipe, header_keys, moment_text, name_key
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
        self.finder = PlaceFinder(self.roles, recipe, problems, today)
        comments = [column for column, target in self.matched if target.role == "comment"]
        self.gatherer = Gatherer(self.roles, comments, recipe, problems)

    def run(self) -> ImportedTable:
        if self.layout.shape == "long" and "throw_number" not in self.roles:
            self.problems.add("throws_not_told_apart")
            return ImportedTable((), self.problems.result())
        places = self.finder.places(self.layout.row_numbers)
        throws = self.gatherer.throws_of_rows(places, self.layout.row_numbers, self._throw_texts(places))
        if self.layout.shape == "wide":
            self._read_wide(throws)
        else:
            self._read_long(throws)
        groups = self.gatherer.groups(self.finder.athletes)
        return ImportedTable(groups, self.problems.result())

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

    def _throw_texts(self, places: Sequence[Place | None]) -> list[str | None]:
        """What the throw is called, a row; None where a throw's name is needed and missing."""
        column = self.roles.get("throw_number")
        if column is None:
            return [f"row {row}" for row in self.layout.row_numbers]
        texts = {cell: None if is_missing(cell) else text_of(cell) for cell in set(column.values)}
        found = [texts[cell] for cell in column.values]
        for row, place, text in zip(self.layout.row_numbers, places, found, strict=True):
            if text is None and place is not None:
                self.problems.add("no_throw", row=row, column=column.letter)
        return found

    def _rule(self, column: Column, target: ColumnTarget) -> ReadingRule | None:
        """The rule of a matched column in the unit that it has in this table."""
        rule = rule_for(target, self.recipe, self.catalogue)
        if rule is None:
            self.problems.add("metric_unknown", column=column.letter, metric=quote(target.metric))
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

    def _read_wide(self, throws: Sequence[ThrowBuilder | None]) -> None:
        rules = [
            (column, rule)
            for column, target in self.matched
            if target.role == "metric" and (rule := self._rule(column, target))
        ]
        made = [(rule, column.letter, self._column_readings(column, rule, throws)) for column, rule in rules]
        for index, row in enumerate(self.layout.row_numbers):
            throw = throws[index]
            if throw is not None:
                found = ((rule, letter, reading) for rule, letter, cells in made if (reading := cells[index]))
                self.gatherer.add_row(throw, row, found)

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

    def _read_long(self, throws: Sequence[ThrowBuilder | None]) -> None:
        names, values = self.roles.get("metric_name"), self.roles.get("metric_value")
        if names is None or values is None:
            return
        rules = _LongRules(self, names.letter)
        make, letter, add = self.maker.make, values.letter, self.gatherer.add_reading
        units, moments = (self._cells_of(role) for role in ("metric_unit", "metric_moment"))
        cells = zip(self.layout.row_numbers, throws, names.values, moments, units, values.values, strict=True)
        for row, throw, name, moment, unit, cell in cells:
            if throw is None:
                continue
            throw.add_row(row)
            rule = rules.find(name, moment, unit, row)
            if rule is not None and cell is not None:
                reading = make(rule, cell, row, letter)
                if reading is not None:
                    add(throw, rule, row, letter, reading)
        rules.note_unmatched()

    def _cells_of(self, role: str) -> Sequence[Cell]:
        column = self.roles.get(role)
        return column.values if column else (None,) * len(self.layout.row_numbers)


class _LongRules:
    """Rules by name, moment and unit of a row; each combination is worked out once."""

    def __init__(self, run: _Import, letter: str) -> None:
        self.run = run
        self.letter = letter
        self.targets = {target.header: target for target in run.recipe.names}
        self.unmatched: Counter[str] = Counter()
        self._known: dict[tuple[Cell, Cell, Cell], ReadingRule | None] = {}
        self._misnamed: dict[tuple[Cell, Cell, Cell], str] = {}

    def find(self, name: Cell, moment: Cell, unit: Cell, row: int) -> ReadingRule | None:
        key = (name, moment, unit)
        if key not in self._known:
            self._known[key] = self._work_out(key, row)
        rule = self._known[key]
        if rule is None and key in self._misnamed:
            self.unmatched[self._misnamed[key]] += 1
        return rule

    def _work_out(self, key: tuple[Cell, Cell, Cell], row: int) -> ReadingRule | None:
        name, moment, unit = (text_of(cell) for cell in key)
        text = moment_text(name, moment)
        if not text:
            self.run.problems.add("no_metric", row=row, column=self.letter)
            return None
        target = self.targets.get(name_key(text))
        if target is None:
            self._misnamed[key] = text
            return None
        if target.role != "metric":
            return None
        rule = rule_for(target, self.run.recipe, self.run.catalogue)
        if rule is None:
            self.run.problems.add("metric_unknown", row=row, column=self.letter, metric=quote(target.metric))
            return None
        if unit and not same_unit(unit, target.unit_text):
            column = self.run.roles["metric_unit"]
            return self.run.in_unit(rule, target, unit, row, column.letter)
        return rule

    def note_unmatched(self) -> None:
        for text, count in self.unmatched.items():
            self.run.problems.add("name_unmatched", column=self.letter, name=quote(text), count=count)
