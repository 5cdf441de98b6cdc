"""The lines of two sessions: each metric on both sides, the difference, and whether it is real."""

from __future__ import annotations

import math
from dataclasses import replace

from metrics.catalogue import Metric
from metrics.change.pair import Change, change_between
from metrics.change.values import Word
from metrics.models import Finding
from metrics.selectors.compare.reasons import why_not_comparable
from metrics.selectors.compare.sides import Side
from metrics.selectors.compare.table import CompareLine, Kind, Table, blank_line, group_of, in_order, table_of_lines
from metrics.selectors.session_changes import measurement_of


def session_table(first: Side, second: Side, *, is_of_one: bool) -> Table:
    """`is_of_one`: both sessions are one athlete's. Between two people nothing is a change."""
    metrics = in_order([*first.measured, *second.measured])
    lines = [_line(metric, first, second, is_of_one) for metric in metrics]
    return table_of_lines(lines, Kind.CHANGE if is_of_one else Kind.PEOPLE)


def _line(metric: Metric, first: Side, second: Side, is_of_one: bool) -> CompareLine:
    one, other = first.findings.get(metric.key), second.findings.get(metric.key)
    line = blank_line(metric, one, other)
    reason = why_not_comparable(metric, first, second)
    if reason or one is None or other is None:
        return replace(line, reason=reason)
    change = _change(one, first, other, second)
    if not is_of_one:
        return replace(line, change=change, group="difference")
    return replace(line, change=change, word=word_of(change), group=group_of(change))


def word_of(change: Change) -> str:
    """The verdict; where it is real and no range says which way is better, that it changed."""
    if change.is_real and change.word == Word.CANNOT_BE_JUDGED:
        return "changed, with no target"
    return str(change.word)


def _change(one: Finding, first: Side, other: Finding, second: Side) -> Change:
    """As every page judges a change; where the catalogue knows no spread it cannot be judged."""
    then, now = measurement_of(one, first.date), measurement_of(other, second.date)
    if then is not None and now is not None:
        return change_between(then, now)
    difference = math.nan if one.mean is None or other.mean is None else other.mean - one.mean
    return Change(difference, math.nan, math.nan, math.nan, math.nan, False, Word.CANNOT_BE_JUDGED)
