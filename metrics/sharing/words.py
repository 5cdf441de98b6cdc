"""A point's numbers as a family reads them."""

from __future__ import annotations

from athletes.quantities import convert, format_feet_inches, format_quantity, format_span, with_unit
from metrics.catalogue import Metric

UNSAID = frozenset({"class", "yes/no", "0-10", "% fc-br", "count", "%"})
"""Units in which a number tells a family nothing; the picture does."""


def value_words(metric: Metric, value: float | None, system: str, *, u: float | None, height_cm: float | None) -> str:
    """ "3 ft 6 in" for a share of the body's height, "44°", "12 ms"; "" where a number would tell nothing."""
    if value is None or metric.unit in UNSAID:
        return ""
    if metric.unit == "% height" and height_cm:
        return format_feet_inches(value * height_cm / 100 / 100, system)
    return format_quantity(value, metric.unit, system, u=u, decimals=metric.decimals)


def good_words(metric: Metric, low: float | None, high: float | None, system: str, *, height_cm: float | None) -> str:
    """The target as a family reads it; "" where there is none or a number would tell nothing."""
    if (low is None and high is None) or metric.unit in UNSAID:
        return ""
    if metric.unit != "% height" or not height_cm:
        span = format_span(low, high, metric.unit, system, decimals=metric.decimals)
        return with_unit(span, convert(0.0, metric.unit, system)[1])
    ends = [
        None if end is None else value_words(metric, end, system, u=None, height_cm=height_cm) for end in (low, high)
    ]
    if None in ends:
        return f"{ends[0]} or more" if ends[0] else f"up to {ends[1]}"
    return f"{ends[0]} to {ends[1]}"
