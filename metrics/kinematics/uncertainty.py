"""What is given for a reading: its value and unit, how uncertain it is, or why it is not there."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from metrics.catalogue import Catalogue
from metrics.catalogue.filter_costs import cost_of
from metrics.kinematics.filters import DEFAULT_FILTER_HZ
from metrics.kinematics.reading import Found
from metrics.kinematics.segments import YOUNG_AGE_YEARS, YOUNG_UNCERTAINTY

LOAD_UNITS = ("N·m", "N", "% weight × height")
LEAST_NOISE_M = 0.0002  # smoother markers than this have been smoothed before; their noise cannot be seen
MILLIMETRE = 1e-3


@dataclass(frozen=True, slots=True)
class MetricValue:
    """One reading. ``value`` None and a ``reason`` when it was not measured; ``code`` is the reason's.

    ``uncertainty``: standard uncertainty of this one throw's value from marker noise and the events' moments (and, for
    loads of an athlete under 16, from adult proportions), in ``unit``; None when it is not known. Where markers sit on
    the skin, and how the events are defined, are not in it. ``low_by``: how much lower it reads through the default
    filter than without any, None through another filter.
    """

    value: float | None
    unit: str
    uncertainty: float | None = None
    reason: str = ""
    code: str = ""
    low_by: float | None = None


def with_uncertainty(
    found: Mapping[str, Found], catalogue: Catalogue, noise_m: float, rate_hz: float, filter_hz: float | None,
    age_years: float | None,
) -> dict[str, MetricValue]:  # fmt: skip
    """Reading key → what is given. ``noise_m``: the markers' noise, m; NaN when not known (1 mm is taken)."""
    noise_mm = max(noise_m, LEAST_NOISE_M) / MILLIMETRE if math.isfinite(noise_m) else 1.0
    young = age_years is not None and age_years < YOUNG_AGE_YEARS
    values = {}
    for key, one in found.items():
        unit = catalogue.parse_reading_key(key)[0].storage_unit
        if not one.measured:
            values[key] = MetricValue(None, unit, reason=one.sentence, code=one.code)
            continue
        cost = cost_of(key, rate_hz) if filter_hz == DEFAULT_FILTER_HZ else None
        parts = [cost.noise_sd * noise_mm] if cost else []
        parts += [one.spread] if math.isfinite(one.spread) else []
        parts += [YOUNG_UNCERTAINTY * abs(one.value)] if young and unit in LOAD_UNITS else []
        known = math.hypot(*parts) if parts else None
        values[key] = MetricValue(one.value, unit, known, low_by=cost.low_by if cost else None)
    return values
