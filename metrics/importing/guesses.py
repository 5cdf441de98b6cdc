"""What the numbers of a column say about its unit, its sign and its zero."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from statistics import median
from typing import TYPE_CHECKING

from metrics.importing.cells import Cell, parse_number
from metrics.importing.spans import plausible_span
from metrics.importing.units import Conversion, conversion, parse_unit
from metrics.importing.words import read_header

if TYPE_CHECKING:
    from metrics.catalogue import Metric

NUMBERS_LOOKED_AT = 400
# Shares of a column's numbers within the plausible span (house opinion, no source).
MOST_FIT = 0.8
FEW_FIT = 0.5

# Units that a column without one is tried in, likeliest first.
_TRIED: dict[str, tuple[str, ...]] = {
    "angle": ("deg", "rad"),
    "angular_velocity": ("deg/s", "rad/s"),
    "share_of_height": ("% height", "m", "ratio", "cm", "in", "ft"),
    "length": ("cm", "m", "in", "mm"),
    "speed": ("m/s", "mph", "km/h"),
    "force": ("N", "lbf"),
    "torque": ("N·m", "lbf·ft"),
    "share_of_weight": ("% body weight", "ratio"),
    "share_of_weight_height": ("% weight × height", "ratio"),
    "share_of_delivery": ("% fc-br", "ratio"),
}
_TRIED_TIMES = {"s": ("s", "ms"), "ms": ("ms", "s")}
# A stride or release under this, were it metres, would be a small child's: more likely a share of height.
_LIKELY_SHARE_BELOW = 0.95
# A ball speed without a unit, by the median: hand-held radar shows whole miles per hour.
_MPH_ABOVE, _KMH_ABOVE = 48.0, 112.0


@dataclass(frozen=True)
class UnitGuess:
    """Units in which a column's numbers are plausible, likeliest first."""

    units: tuple[str, ...]

    @property
    def is_decisive(self) -> bool:
        """Only one unit makes the numbers plausible."""
        return len(self.units) == 1


@dataclass(frozen=True)
class Offer:
    """Another reading of the same numbers, for a person to take. `advised` when header or numbers ask for it."""

    conversion: Conversion
    words: str
    why: str
    advised: bool


def numbers_of(values: Iterable[Cell], decimal_mark: str = ".") -> tuple[float, ...]:
    """The first few hundred numbers of a column."""
    parsed = (parse_number(cell, decimal_mark) for cell in values)
    return tuple(islice((number for number in parsed if isinstance(number, float)), NUMBERS_LOOKED_AT))


def share_plausible(metric: Metric, found: Conversion, numbers: Sequence[float]) -> float:
    """Share of the numbers, 0 to 1, that lie in the metric's plausible span once converted."""
    low, high = plausible_span(metric, found.storage_unit)
    return sum(low <= found.apply(number) <= high for number in numbers) / len(numbers) if numbers else 0.0


def guess_unit(metric: Metric, numbers: Sequence[float]) -> UnitGuess:
    """Units that make the size of the numbers plausible; empty when none does."""
    own = parse_unit(metric.unit)
    if own is None or not numbers:
        return UnitGuess(())
    tried = _TRIED_TIMES.get(metric.unit) or _TRIED.get(own.quantity, (own.canonical,))
    fits = [unit for unit in tried if _fits(metric, unit, numbers)]
    if {"m", "ratio"} <= set(fits) and median(numbers) < _LIKELY_SHARE_BELOW:
        fits = ["ratio", *(unit for unit in fits if unit != "ratio")]
    return UnitGuess(tuple(fits))


def _fits(metric: Metric, unit: str, numbers: Sequence[float]) -> bool:
    found = conversion(unit, metric)
    return isinstance(found, Conversion) and share_plausible(metric, found, numbers) >= MOST_FIT


def speed_unit(numbers: Sequence[float]) -> str:
    """Miles, kilometres or metres by the size of ball speeds; "" without numbers."""
    if not numbers:
        return ""
    middle = sorted(numbers)[len(numbers) // 2]
    if middle > _KMH_ABOVE:
        return "km/h"
    return "mph" if middle > _MPH_ABOVE else "m/s"


_TURN_SIGN = (-1.0, 0.0, "sign turned", "the numbers run the other way")
_INNER_ANGLE = (-1.0, 180.0, "180 − angle", "the numbers look like the inner angle (straight is 180)")
_FROM_OTHER_AXIS = (-1.0, 90.0, "90 − angle", "the numbers look as if counted from the other axis")


_STRAIGHT_IS_180 = re.compile(
    r"180\s*°?\s*(?:deg\w*)?\s*(?:=|is|:|at)\s*(?:straight|full)|straight\s*(?:=|is|:|at)\s*180", re.IGNORECASE
)


def speaks_of_inner_angle(header: str) -> bool:
    """Whether a header says that straight is 180, by the angle's name or in so many words."""
    return "inner" in read_header(header).tokens or bool(_STRAIGHT_IS_180.search(header))


def _turns_of(metric: Metric) -> tuple[tuple[float, float, str, str], ...]:
    if metric.unit != "deg":
        return (_TURN_SIGN,)
    if "flexion" in metric.key:
        return (_INNER_ANGLE, _TURN_SIGN)
    if "tilt" in metric.key or ("rotation" in metric.key and "external" not in metric.key):
        return (_FROM_OTHER_AXIS, _TURN_SIGN)
    return (_TURN_SIGN,)


def offers_for(
    metric: Metric, found: Conversion, numbers: Sequence[float], *, opposite: bool = False, inner: bool = False
) -> tuple[Offer, ...]:
    """Sign flips and other zeros that the numbers, or a header in the opposite term, speak for.

    `opposite`: the header says adduction where the metric is abduction, and the like. `inner`: it speaks of the
    angle inside the joint, which a bent elbow's size does not tell from flexion. Best first.
    """
    as_they_are = share_plausible(metric, found, numbers)
    offers = []
    for factor, offset, words, why in _turns_of(metric):
        turned = found.then(factor, offset, words)
        share = share_plausible(metric, turned, numbers)
        if numbers and as_they_are < FEW_FIT and share >= MOST_FIT:
            offers.append(Offer(turned, words, why, advised=True))
        elif inner and (factor, offset, words, why) == _INNER_ANGLE:
            offers.append(Offer(turned, words, "the header speaks of the inner angle", advised=True))
        elif opposite and (offset == 0 or share > as_they_are):
            offers.append(Offer(turned, words, "the header uses the opposite term", advised=True))
    return tuple(offers)


def landing_of(header: str, metric: Metric) -> str:
    """Which landing moment the header names, for metrics whose value hangs on it."""
    if not metric.is_landing_dependent:
        return ""
    named = set(read_header(header).moment.split("-")) & {"fc", "fp"}
    return named.pop() if len(named) == 1 else ""
