"""The values of a long table: each row names its metric, and each kind of row has one rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from metrics.importing.cells import Cell, text_of
from metrics.importing.computed import taken_from_file
from metrics.importing.finding import Found
from metrics.importing.gathering import ThrowBuilder
from metrics.importing.problems import ImportProblems
from metrics.importing.readings import ReadingMaker, ReadingRule, rule_for, same_unit
from metrics.importing.recipes import ColumnTarget, Recipe, moment_text, name_key
from sessions.formats.layout import Column, Layout
from sessions.formats.problems import quote

if TYPE_CHECKING:
    from metrics.catalogue import Catalogue


class LongTable(Protocol):
    """What is known of the table that is being read."""

    layout: Layout
    recipe: Recipe
    catalogue: Catalogue
    problems: ImportProblems
    maker: ReadingMaker
    roles: dict[str, Column]

    def in_unit(
        self, rule: ReadingRule, target: ColumnTarget, unit: str, row: int | None, letter: str
    ) -> ReadingRule | None: ...


def read_long(table: LongTable, found: Found) -> None:
    """Adds every row's reading to its throw. Most are plain numbers of a throw that has no such reading yet."""
    names, values = table.roles.get("metric_name"), table.roles.get("metric_value")
    if names is None or values is None:
        return
    rules = _LongRules(table, names.letter)
    known, make, letter, add = rules.known, table.maker.make, values.letter, found.gatherer.add_reading
    kinds = zip(names.values, *(_cells_of(table, role) for role in ("metric_moment", "metric_unit")), strict=True)
    before: ThrowBuilder | None = None
    for row, throw, kind, cell in zip(table.layout.row_numbers, found.throws, kinds, values.values, strict=True):
        if throw is None:
            continue
        if throw is not before:
            before, readings, origins, rows = throw, throw.values, throw.origins, throw.rows
        if rows[-1] != row:
            rows.append(row)
        rule = known[kind] if kind in known else rules.find(kind, row)
        if rule is None or cell is None:
            continue
        if type(cell) is float and rule.key not in readings:
            value = cell * rule.factor + rule.offset
            if rule.low <= value <= rule.high and not rule.unit:
                readings[rule.key], origins[rule.key] = {"value": value}, row
                continue
        reading = make(rule, cell, row, letter)
        if reading is not None:
            add(throw, rule, row, letter, reading)
    rules.note_unmatched()


def _cells_of(table: LongTable, role: str) -> Sequence[Cell]:
    column = table.roles.get(role)
    return column.values if column else (None,) * len(table.layout.row_numbers)


class _LongRules:
    """Rules by name, moment and unit of a row; each combination is worked out once."""

    def __init__(self, run: LongTable, letter: str) -> None:
        self.run = run
        self.letter = letter
        self.targets = {target.header: target for target in run.recipe.names}
        self.unmatched: Counter[str] = Counter()
        self.known: dict[tuple[Cell, Cell, Cell], ReadingRule | None] = {}
        self._misnamed: dict[tuple[Cell, Cell, Cell], str] = {}

    def find(self, key: tuple[Cell, Cell, Cell], row: int) -> ReadingRule | None:
        """The rule of a combination that is not among the `known` ones; a name that has none is counted each time."""
        if key not in self._misnamed:
            rule = self._work_out(key, row)
            if key not in self._misnamed:
                self.known[key] = rule
                return rule
        self.unmatched[self._misnamed[key]] += 1
        return None

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
        if taken_from_file(rule, self.run.problems, row=row, letter=self.letter) is None:
            return None
        if unit and not same_unit(unit, target.unit_text):
            column = self.run.roles["metric_unit"]
            return self.run.in_unit(rule, target, unit, row, column.letter)
        return rule

    def note_unmatched(self) -> None:
        for text, count in self.unmatched.items():
            self.run.problems.add("name_unmatched", column=self.letter, name=quote(text), count=count)
