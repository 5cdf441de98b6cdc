"""The unit in which a reader is shown a metric, and how its numbers are written."""

from __future__ import annotations

from dataclasses import dataclass, replace

from athletes.quantities import (
    convert,
    convert_ball_speed,
    decimals_supported,
    format_half_width,
    format_number,
    format_quantity,
    format_span,
    unit_for,
)
from metrics.selectors.trends.series import Face

AS_IT_IS = "metric"
"""Values are turned into the reader's unit once, by the ruler; nothing is to turn them again."""

DECIMALS_OF_OTHER_UNIT = 1
FINEST = 3
"""Decimals that a slope is written with at most."""


@dataclass(frozen=True, slots=True)
class Ruler:
    """`factor`: of the shown unit in one stored unit. All methods take stored values."""

    factor: float
    unit: str
    decimals: int

    def shown(self, value: float | None) -> float | None:
        return None if value is None else value * self.factor

    def write(self, value: float | None, *, u: float | None = None, signed: bool = False) -> str:
        """−7°"""
        return format_quantity(
            self.shown(value), self.unit, AS_IT_IS, u=self.shown(u), decimals=self.decimals, signed=signed
        )

    def half_width(self, u: float | None) -> str:
        """± 4, for 1.96 u"""
        return format_half_width(self.shown(u), self.unit, AS_IT_IS, decimals=self.decimals)

    def span(self, low: float | None, high: float | None) -> str:
        """5 to 18"""
        return format_span(self.shown(low), self.shown(high), self.unit, AS_IT_IS, decimals=self.decimals)

    def bare(self, value: float) -> str:
        """−7, without its unit."""
        return format_number(value * self.factor, self.decimals)

    def finer(self, u: float) -> Ruler:
        """For slopes: as many decimals as a 95% interval of this u bears, at least its own and at most three."""
        places = decimals_supported(1.96 * u * self.factor)
        return replace(self, decimals=max(self.decimals, min(places, FINEST)))

    @property
    def words(self) -> str:
        """What stands beside a metric's name: °, ms, % of height."""
        known = unit_for(self.unit)
        return known.words or known.symbol


def ruler_of(face: Face, system: str) -> Ruler:
    """`system`: the reader's, "us" or "metric"."""
    factor, unit = convert_ball_speed(1.0, system) if face.is_ball_speed else convert(1.0, face.unit, system)
    return Ruler(factor, unit, face.decimals if unit == face.unit else DECIMALS_OF_OTHER_UNIT)
