"""Which numbers a metric can have: plausible, implausible (ask), absurd (never)."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from metrics.catalogue.words import PLAUSIBLE_HEIGHTS_M

if TYPE_CHECKING:
    from metrics.catalogue import Metric

# Beyond the plausible span by more than this many widths of it no person's word makes it a measurement,
# and with no span at all the bound stands for any unit used here (house bounds).
ABSURD_WIDTHS = 5.0
ABSURD_WITHOUT_SPAN = 1e6


def plausible_span(metric: Metric, unit: str = "") -> tuple[float, float]:
    """Lowest and highest plausible value in `unit` (the metric's own when ""); ±inf where open.

    A "% height" metric in metres: of the shortest to the tallest pitcher.
    """
    low = -math.inf if metric.plausible_low is None else metric.plausible_low
    high = math.inf if metric.plausible_high is None else metric.plausible_high
    if metric.unit == "% height" and unit == "m":
        return low / 100 * PLAUSIBLE_HEIGHTS_M[0], high / 100 * PLAUSIBLE_HEIGHTS_M[1]
    return low, high


def absurd_span(low: float, high: float) -> tuple[float, float]:
    """The span outside which a value is never accepted, for a plausible span."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return -ABSURD_WITHOUT_SPAN, ABSURD_WITHOUT_SPAN
    reach = ABSURD_WIDTHS * (high - low)
    return low - reach, high + reach
