"""One number over the throws of a session: a dot a throw, and a bar at the mean of the first and of the last third."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from metrics.drawing.marks import number

WIDTH, HEIGHT = 300.0, 104.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 8.0, 10.0, 22.0
DOT = 3.0
EMPTY_SHARE = 0.5  # where a value stands when all are the same


@dataclass(frozen=True, slots=True)
class DriftPoint:
    """The throw's number in the outing and its value; a value that is not finite was not read and is not drawn."""

    throw: int
    value: float


@dataclass(frozen=True, slots=True)
class Third:
    """The mean of some throws, drawn from the first of them to the last. `label`: the mean as the reader has it."""

    first_throw: int
    last_throw: int
    mean: float
    label: str


def drift_picture(
    points: Sequence[DriftPoint], thirds: Sequence[Third], *, name: str, low_label: str = "", high_label: str = ""
) -> str:
    """Return the picture as SVG; "" when fewer than two throws were read.

    name: what a screen reader says of it; low_label, high_label: the least and the greatest value as the reader has
    them, written beside the axis.
    """
    read = [point for point in points if math.isfinite(point.value)]
    if len(read) < 2:
        return ""
    scale = _Scale.of(read)
    dots = "".join(
        f'<circle class="dot" cx="{number(scale.x(one.throw))}" cy="{number(scale.y(one.value))}" r="{number(DOT)}"/>'
        for one in read
    )
    return (
        f'<svg class="drift" width="{number(WIDTH)}" height="{number(HEIGHT)}" '
        f'viewBox="0 0 {number(WIDTH)} {number(HEIGHT)}" role="img" aria-label="{escape(name)}">'
        f"{_axis(scale, low_label, high_label)}{dots}{''.join(_bar(third, scale) for third in thirds)}</svg>"
    )


@dataclass(frozen=True, slots=True)
class _Scale:
    first: int
    last: int
    low: float
    high: float

    @classmethod
    def of(cls, read: Sequence[DriftPoint]) -> _Scale:
        throws, values = [one.throw for one in read], [one.value for one in read]
        return cls(min(throws), max(throws), min(values), max(values))

    def x(self, throw: float) -> float:
        share = (throw - self.first) / (self.last - self.first) if self.last > self.first else EMPTY_SHARE
        return LEFT + DOT + share * (WIDTH - LEFT - RIGHT - 2 * DOT)

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low) if self.high > self.low else EMPTY_SHARE
        return HEIGHT - BOTTOM - DOT - share * (HEIGHT - TOP - BOTTOM - 2 * DOT)


def _axis(scale: _Scale, low_label: str, high_label: str) -> str:
    foot = HEIGHT - BOTTOM + 3
    ends = ((scale.x(scale.first), "start", scale.first), (scale.x(scale.last), "end", scale.last))
    throws = "".join(
        f'<text class="t" x="{number(x)}" y="{number(HEIGHT - 4)}" text-anchor="{anchor}">{throw}</text>'
        for x, anchor, throw in ends
    )
    labels = {high_label: scale.y(scale.high), low_label: scale.y(scale.low)}
    values = "".join(
        f'<text class="t" x="{number(LEFT - 8)}" y="{number(y + 4)}" text-anchor="end">{escape(label)}</text>'
        for label, y in labels.items()
        if label
    )
    return f'<path class="base" d="M{number(LEFT)},{number(foot)}H{number(WIDTH - RIGHT)}"/>{throws}{values}'


def _bar(third: Third, scale: _Scale) -> str:
    y = scale.y(third.mean)
    left, right = scale.x(third.first_throw) - DOT, scale.x(third.last_throw) + DOT
    title = f"<title>{escape(third.label)}</title>"
    return f'<path class="third" d="M{number(left)},{number(y)}H{number(right)}">{title}</path>'
