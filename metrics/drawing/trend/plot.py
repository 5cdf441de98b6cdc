"""Where a day and a value stand on a trend, and which days the axis names."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from metrics.drawing.delivery_line.lettering import width_of
from metrics.drawing.trend.values import Picture

LEAST_DAYS = 28
"""A shorter course still has an axis that names a few days apart."""
SIDE_SHARE = 0.035
CUE_SHARE = 0.12
"""Of the course: a cue used so near before or after it still has its place on the axis."""

HEAD_SHARE = 0.07
NUDGE_PX = 4.0
DAYS_A_MONTH = 30.44
MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60, 120)
DAY_STEPS = (1, 2, 7, 14, 28)
LABEL_GAP = 12.0


@dataclass(frozen=True, slots=True)
class Box:
    """The plot's edges inside the picture, px."""

    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Plot:
    """Days (as ordinals) and values of the box's edges."""

    box: Box
    first: float
    last: float
    low: float
    high: float

    def x(self, day: dt.date, nudge: int = 0) -> float:
        share = (day.toordinal() - self.first) / (self.last - self.first)
        return self.box.left + share * (self.box.right - self.box.left) + nudge * NUDGE_PX

    def y(self, value: float) -> float:
        """Never outside the box."""
        share = (value - self.low) / (self.high - self.low)
        return min(self.box.bottom, max(self.box.top, self.box.bottom - share * (self.box.bottom - self.box.top)))

    def shows(self, day: dt.date) -> bool:
        return self.first <= day.toordinal() <= self.last

    def holds(self, value: float) -> bool:
        return self.low <= value <= self.high


def plot_of(picture: Picture, box: Box) -> Plot:
    """The plot that all points, their lines and the range as it applied fit into."""
    first, last = _days(picture)
    low, high = _values(picture)
    return Plot(box, first, last, low, high)


def _days(picture: Picture) -> tuple[float, float]:
    days = [point.day.toordinal() for point in picture.points]
    first, last = min(days, default=0), max(days, default=0)
    reach = max(LEAST_DAYS, (last - first) * CUE_SHARE)
    near = [day for one in picture.cues if first - reach <= (day := one.day.toordinal()) <= last + reach]
    first, last = min(first, *near, last), max(last, *near, first)
    side = max((last - first) * SIDE_SHARE, (LEAST_DAYS - (last - first)) / 2)
    return first - side, last + side


def _values(picture: Picture) -> tuple[float, float]:
    values = [limit for stretch in picture.stretches for limit in stretch.limits]
    for point in picture.points:
        if point.mean is not None:
            half = point.half_width or 0.0
            values += [point.mean - half, point.mean + half]
    if picture.fitted:
        values += [picture.fitted.first_value, picture.fitted.last_value]
    known = [value for value in values if math.isfinite(value)]
    low, high = min(known, default=0.0), max(known, default=1.0)
    spare = (high - low) * HEAD_SHARE or abs(high) * HEAD_SHARE or 1.0
    return low - spare, high + spare


@dataclass(frozen=True, slots=True)
class Tick:
    """`words_x`: the middle of its words, which stay inside the picture."""

    x: float
    words_x: float
    words: str


def ticks_of(plot: Plot, most: int, size: float, width: float) -> tuple[Tick, ...]:
    """At most so many days that the axis names, none of them on top of another. `size`: of the letters, `width`: of
    the picture, px."""
    days = plot.last - plot.first
    named = _named_months(plot, most) if days >= 2.5 * DAYS_A_MONTH else _named_days(plot, most)
    found: list[Tick] = []
    for day, words in named:
        x, half = plot.x(day), width_of(words, size) / 2
        before = found[-1].words_x + width_of(found[-1].words, size) / 2 + LABEL_GAP if found else plot.box.left - half
        words_x = min(max(x, half), width - half)
        if words_x - half >= before - 0.01:
            found.append(Tick(x, words_x, words))
    return tuple(found)


def _named_months(plot: Plot, most: int) -> Iterator[tuple[dt.date, str]]:
    months = (plot.last - plot.first) / DAYS_A_MONTH
    step = next((step for step in MONTH_STEPS if months / step <= most), MONTH_STEPS[-1])
    start = dt.date.fromordinal(math.ceil(plot.first))
    year_named = 0
    for number in range(start.year * 12, (dt.date.fromordinal(int(plot.last)).year + 1) * 12):
        day = dt.date(number // 12, number % 12 + 1, 1)
        if (number // 12 * 12 + number % 12) % step or not plot.first <= day.toordinal() <= plot.last:
            continue
        if step >= 12:
            yield day, str(day.year)
        else:
            yield day, f"{day:%b}" if day.year == year_named else f"{day:%b} {day.year}"
        year_named = day.year


def _named_days(plot: Plot, most: int) -> Iterator[tuple[dt.date, str]]:
    first, last = math.ceil(plot.first), math.floor(plot.last)
    step = next((step for step in DAY_STEPS if (last - first) / step <= most), DAY_STEPS[-1])
    for number in range(first - first % step + (step if first % step else 0), last + 1, step):
        day = dt.date.fromordinal(number)
        yield day, f"{day.day} {day:%b}"


def apart(places: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """The same places in the same order, moved so that neighbours are `gap` apart and all lie within low to high.

    Where there is no room for all, the ones at the end lie closer together.
    """
    order = sorted(range(len(places)), key=lambda index: places[index])
    put = [0.0] * len(places)
    floor = low
    for index in order:
        put[index] = max(floor, places[index])
        floor = put[index] + gap
    ceiling = high
    for index in reversed(order):
        put[index] = min(ceiling, put[index])
        ceiling = put[index] - gap
    return put
