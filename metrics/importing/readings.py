"""One cell of a matched column → a reading, or the reason why there is none."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from metrics.importing.cells import Cell, Unreadable, parse_number, text_of
from metrics.importing.problems import ImportProblems
from metrics.importing.recipes import ColumnTarget, Recipe
from metrics.importing.spans import absurd_span, plausible_span
from metrics.importing.throws import ReadingValue
from metrics.importing.units import Conversion, UnitDoesNotFit, conversion, parse_unit
from sessions.formats.problems import quote

if TYPE_CHECKING:
    from metrics.catalogue import Catalogue, Metric

ACCEPT_ALL = "*"
"""In a recipe's `accept_implausible`: every metric's implausible (never absurd) values are taken."""


@dataclass(frozen=True, slots=True)
class ReadingRule:
    """How the numbers of one column, in one unit, become readings under `key`.

    Values in [low, high] are plausible, in [absurd_low, absurd_high] a person may accept them.
    """

    metric: Metric
    key: str
    factor: float
    offset: float
    unit: str
    low: float
    high: float
    absurd_low: float
    absurd_high: float
    accepted: bool


def rule_for(target: ColumnTarget, recipe: Recipe, catalogue: Catalogue) -> ReadingRule | None:
    """The rule of a column that is matched to a metric; None when the catalogue has no such metric."""
    metric = catalogue.metrics.get(target.metric)
    if metric is None:
        return None
    accepted = bool({metric.key, ACCEPT_ALL} & set(recipe.accept_implausible))
    key = metric.reading_key(target.landing or recipe.landing)
    unit = "m" if target.storage_unit == "m" and metric.unit == "% height" else ""
    return _with_spans(ReadingRule(metric, key, target.factor, target.offset, unit, 0.0, 0.0, 0.0, 0.0, accepted))


def _with_spans(rule: ReadingRule) -> ReadingRule:
    low, high = plausible_span(rule.metric, rule.unit)
    absurd_low, absurd_high = absurd_span(low, high)
    return replace(
        rule,
        low=max(low, absurd_low),
        high=min(high, absurd_high),
        absurd_low=absurd_low,
        absurd_high=absurd_high,
    )


def rule_in_unit(rule: ReadingRule, target: ColumnTarget, unit_text: str) -> ReadingRule | UnitDoesNotFit:
    """The rule for numbers in another unit than the recipe's; its sign flip or other zero is kept.

    An empty unit is the recipe's own.
    """
    if not unit_text or unit_text == target.unit_text:
        return rule
    found = conversion(unit_text, rule.metric)
    if isinstance(found, UnitDoesNotFit):
        return found
    usual = conversion(target.unit_text, rule.metric)
    unit = "m" if found.storage_unit == "m" and rule.metric.unit == "% height" else ""
    if isinstance(usual, Conversion) and usual.storage_unit == found.storage_unit:
        return replace(rule, factor=rule.factor * found.factor / usual.factor)
    return _with_spans(replace(rule, factor=found.factor, offset=0.0, unit=unit))


class ReadingMaker:
    """Turns cells into readings and notes what is wrong with them at their place."""

    def __init__(self, catalogue: Catalogue, recipe: Recipe, problems: ImportProblems) -> None:
        self.catalogue = catalogue
        self.decimal_mark = recipe.decimal_mark
        self.problems = problems

    def make(self, rule: ReadingRule, cell: Cell, row: int, letter: str) -> ReadingValue | None:
        """The reading; None where nothing was measured; a reason where the cell cannot be used."""
        if type(cell) is not float or not math.isfinite(cell):
            parsed = parse_number(cell, self.decimal_mark)
            if parsed is None:
                return None
            if isinstance(parsed, Unreadable):
                self.problems.add(parsed.code, row=row, column=letter, cell=quote(text_of(cell)))
                return {"reason": parsed.code}
            cell = parsed
        value = cell * rule.factor + rule.offset
        if rule.low <= value <= rule.high:
            return {"value": value, "unit": rule.unit} if rule.unit else {"value": value}
        return self._outside(rule, value, row, letter)

    def _outside(self, rule: ReadingRule, value: float, row: int, letter: str) -> ReadingValue:
        code = "implausible" if rule.absurd_low <= value <= rule.absurd_high else "absurd"
        if code == "implausible" and rule.accepted:
            return {"value": value, "unit": rule.unit} if rule.unit else {"value": value}
        sentence = self.catalogue.check_value(rule.metric.key, value, rule.unit)
        said = sentence or f"{rule.metric.name} of {value:g} is not plausible."
        self.problems.add(code, row=row, column=letter, sentence=said)
        return {"reason": code}


def same_unit(one: str, other: str) -> bool:
    """Two spellings of one unit; an empty text agrees with any."""
    first, second = parse_unit(one), parse_unit(other)
    return not one or not other or one == other or (first is not None and first == second)


def differs(first: Mapping[str, object], second: Mapping[str, object]) -> bool:
    """Two readings of one throw contradict each other: both are values, and unequal."""
    return "value" in first and "value" in second and first != second
