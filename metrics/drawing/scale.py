"""Where a value stands on a range strip: flag limits always at 22% and 78% of the width."""

from __future__ import annotations

from dataclasses import dataclass, replace

FLAG_AT_LOW = 0.22
FLAG_AT_HIGH = 0.78
OPEN_SIDE_UNITS = 2.2  # how far the target reaches from its closed edge before the 22% or 78%, in units


@dataclass(frozen=True)
class Limits:
    """Target and flag limits in the metric's unit; None is open. step: a stated severity unit."""

    target_low: float | None
    target_high: float | None
    flag_low: float | None
    flag_high: float | None
    step: float | None = None


@dataclass(frozen=True)
class Scale:
    """A linear scale; low and high are the values at 22% and 78% of the width (px)."""

    limits: Limits
    low: float
    high: float
    width: float

    def x(self, value: float) -> float:
        """Return the place of a value, px from the left end; it may lie off the strip."""
        share = (value - self.low) / (self.high - self.low)
        return (FLAG_AT_LOW + share * (FLAG_AT_HIGH - FLAG_AT_LOW)) * self.width


def scale_of(limits: Limits, width: float) -> Scale | None:
    """Return the scale that limits ask for, or None when no range applies.

    A side without a flag limit is as wide as the other one (the unit of the closed side); without any flag
    limit the unit is half the target's width, as for severity. A target that is open on one side shows 2.2 units of
    itself. A target edge that is missing while its flag limit stands is taken to lie on it. Limits out of order are
    no range (they cannot be saved in a profile).
    """
    closed = replace(
        limits,
        target_low=limits.flag_low if limits.target_low is None else limits.target_low,
        target_high=limits.flag_high if limits.target_high is None else limits.target_high,
    )
    low, high = closed.target_low, closed.target_high
    unit_low, unit_high = _units(closed)
    if low is None:
        return None if high is None else Scale(closed, high - OPEN_SIDE_UNITS * unit_high, high + unit_high, width)
    if high is None:
        return Scale(closed, low - unit_low, low + OPEN_SIDE_UNITS * unit_low, width)
    at_low = closed.flag_low if closed.flag_low is not None else low - unit_low
    at_high = closed.flag_high if closed.flag_high is not None else high + unit_high
    return Scale(closed, at_low, at_high, width) if at_low <= low <= high <= at_high and at_low < at_high else None


def _units(limits: Limits) -> tuple[float, float]:
    """Return the severity units of both sides, each standing in for the other where it has no flag limit."""
    gap_low = _gap(limits.target_low, limits.flag_low)
    gap_high = _gap(limits.flag_high, limits.target_high)
    spare = limits.step or _half_target(limits) or abs(limits.target_high or limits.target_low or 0.0) / 5 or 1.0
    return gap_low or gap_high or spare, gap_high or gap_low or spare


def _gap(upper: float | None, lower: float | None) -> float:
    return 0.0 if upper is None or lower is None else max(0.0, upper - lower)


def _half_target(limits: Limits) -> float:
    return _gap(limits.target_high, limits.target_low) / 2
