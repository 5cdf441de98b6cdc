"""What a screen that is worked out from two others comes to: total arcs, side differences, ratios."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from metrics.catalogue.model import Catalogue, Metric


class Formula(NamedTuple):
    """`value` of the two parts; `slopes`: by how much it moves for one unit more of each part."""

    value: Callable[[float, float], float]
    slopes: Callable[[float, float], tuple[float, float]]


FORMULAS: Mapping[str, Formula] = {
    "sum": Formula(lambda one, two: one + two, lambda one, two: (1.0, 1.0)),
    "difference": Formula(lambda one, two: one - two, lambda one, two: (1.0, -1.0)),
    "percent": Formula(lambda one, two: 100.0 * one / two, lambda one, two: (100.0 / two, -100.0 * one / two**2)),
}
"""The words of words.FORMULAS: first + second, first − second, first / second × 100."""


def derived_value(metric: Metric, first: float, second: float) -> float | None:
    """The derived screen's value in its unit, from its parts in theirs, in the order of `derived_from`.

    None where there is none: a percent of nothing. Raises KeyError for a metric without a formula of two parts.
    """
    if metric.formula == "percent" and second == 0:
        return None
    return FORMULAS[metric.formula].value(first, second)


def rounding_of(metric: Metric, first: float, second: float, catalogue: Catalogue) -> float:
    """How far a written value may lie from that of its parts when all three were rounded as the catalogue shows them.

    Half a last digit of the value, and of each part as much as it moves the value.
    """
    parts = (catalogue.metric(key) for key in metric.derived_from)
    slopes = FORMULAS[metric.formula].slopes(first, second)
    moved = sum(abs(slope) * _half_digit(part) for slope, part in zip(slopes, parts, strict=True))
    return _half_digit(metric) + moved


def _half_digit(metric: Metric) -> float:
    return 0.5 * 10.0**-metric.decimals


def is_only_rounded(metric: Metric, given: float, first: float, second: float, catalogue: Catalogue) -> bool:
    """Whether a given value and that of its parts say the same."""
    computed = derived_value(metric, first, second)
    if computed is None:
        return False
    slack = 1e-9 * max(1.0, abs(computed))
    return abs(given - computed) <= rounding_of(metric, first, second, catalogue) + slack


def derived_metrics(catalogue: Catalogue) -> tuple[Metric, ...]:
    """Every screen that has parts, each after those of its parts that have parts themselves."""
    ordered: dict[str, Metric] = {}

    def add(metric: Metric) -> None:
        for key in metric.derived_from:
            add(catalogue.metric(key))
        if metric.derived_from:
            ordered.setdefault(metric.key, metric)

    for metric in catalogue.screens:
        add(metric)
    return tuple(ordered.values())
