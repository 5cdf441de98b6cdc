"""Screens that a table gives although they are worked out: from the person, or from other screens of the round."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from metrics.catalogue.formulas import derived_metrics, derived_value, is_only_rounded
from metrics.importing.problems import ImportProblems
from metrics.importing.readings import ReadingRule
from metrics.importing.recipes import Recipe
from metrics.importing.throws import ImportedGroup, ImportedThrow, ReadingValue

if TYPE_CHECKING:
    from metrics.catalogue import Catalogue, Metric


def taken_from_file(
    rule: ReadingRule | None, problems: ImportProblems, *, row: int | None = None, letter: str | None = None
) -> ReadingRule | None:
    """The rule, or None for what is worked out from the athlete's record (body-mass index, growth, throws counted)."""
    if rule is None or not rule.metric.is_from_person:
        return rule
    problems.add("from_person", row=row, column=letter, name=rule.metric.name)
    return None


def note_differing_parts(
    groups: Iterable[ImportedGroup], recipe: Recipe, catalogue: Catalogue, problems: ImportProblems
) -> None:
    """A total, side difference or ratio in the file that is not what its parts in the same round come to."""
    named = {target.metric for target in (*recipe.columns, *recipe.names)}
    metrics = [metric for metric in derived_metrics(catalogue) if metric.key in named]
    for throw in (throw for group in groups if metrics for throw in group.throws):
        for metric in metrics:
            _note_difference(metric, throw, catalogue, problems)


def _note_difference(metric: Metric, throw: ImportedThrow, catalogue: Catalogue, problems: ImportProblems) -> None:
    given = _number(throw.values, metric)
    first, second = (_worked_out(catalogue.metric(part), throw.values, catalogue) for part in metric.derived_from)
    if given is None or first is None or second is None:
        return
    computed = derived_value(metric, first, second)
    if computed is None or is_only_rounded(metric, given, first, second, catalogue):
        return
    problems.add(
        "differs_from_parts",
        row=throw.row_numbers[0],
        name=metric.name,
        given=f"{given:.6g}",
        computed=f"{computed:.{metric.decimals}f}".replace("-", "−"),
    )


def _worked_out(metric: Metric, values: Mapping[str, ReadingValue], catalogue: Catalogue) -> float | None:
    """A part's number: from its own parts where they are there, else as given."""
    if metric.derived_from:
        first, second = (_worked_out(catalogue.metric(part), values, catalogue) for part in metric.derived_from)
        if first is not None and second is not None:
            return derived_value(metric, first, second)
    return _number(values, metric)


def _number(values: Mapping[str, ReadingValue], metric: Metric) -> float | None:
    return values.get(metric.reading_key("unknown"), {}).get("value")
