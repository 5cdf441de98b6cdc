"""The range strip: a value beside its range, the same picture everywhere.

Construction. The scale is linear, with the flag limits at 22% and 78% of the width. Target: a bar of 0.42 of the
height; limits: ticks of 0.62. Mean ± 1.96 u: a line, cut at the ends of the strip only. Mark: see marks.py.

**A short line stays visible.** The line lies over the paper around the mark and under the mark, and each of its
ends has a cap. A cap that stands clear of the mark is short; one that would vanish behind it reaches 2 px past it above
and below. So every end shows at its true place, whatever u and the width of the strip; with
u near 0 the caps meet in one upright stroke through the mark. Nothing is drawn longer than it is. An end
without a cap has run out of the strip.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape

from athletes.quantities import (
    convert,
    decimals_for,
    format_half_width,
    format_number,
    format_span,
    say_quantity,
)
from metrics.drawing.marks import HIGH, LOW, Verdict, halo_at, mark_at, number, shape_of
from metrics.drawing.scale import FLAG_AT_HIGH, FLAG_AT_LOW, Limits, Scale, scale_of
from metrics.drawing.words import spoken_verdict

EXPANSION = 1.96  # half width of a 95% interval in standard uncertainties
BAR_HEIGHT = 0.42
TICK_HEIGHT = 0.62
OPEN_END = 2.0  # px from the end of the strip to the tip of an open target
OPEN_POINT = 5.0
OFF_AT = 7.0  # px from the end at which the mark of a value off the strip stands
CARET_HALF_WIDTH = 3.5
CARET_HEIGHT = 4.4
CARET_GAP = 1.8
CAP_CLEAR = 3.0  # half height of a cap beside the mark
CAP_PAST_MARK = 2.0
CAP_GAP = 1.5
NARROW = 120.0  # px; under it there is no room for two strokes between mark and tick


@dataclass(frozen=True)
class Size:
    """Width and height of a strip and nominal size of its mark, px."""

    width: float
    height: float
    mark: float


SIZES = {
    "phone": Size(96, 24, 12),
    "table": Size(152, 22, 12),
    "report": Size(220, 26, 14),
    "progress": Size(324, 40, 20),
}


@dataclass(frozen=True)
class StripInput:
    """What a strip shows.

    target_low … flag_high, mean, u, previous: in `unit`; None means open, not known or not comparable.
    zone, side, sure: the verdict; reason: why it was not scored. size: a key of SIZES.
    label: the metric and its moment, for the accessible name; system: "us" or "metric", for its numbers.
    step: the severity unit that the rule states where no limit gives one. name: said instead of all of it.
    """

    target_low: float | None
    target_high: float | None
    flag_low: float | None
    flag_high: float | None
    mean: float | None
    u: float | None
    zone: str
    side: str = ""
    sure: str = "sure"
    previous: float | None = None
    size: str = "table"
    label: str = ""
    reason: str = ""
    unit: str = ""
    system: str = "metric"
    decimals: int | None = 0
    other_zone: str = ""
    step: float | None = None
    name: str = ""

    @property
    def verdict(self) -> Verdict:
        return Verdict(self.zone, self.side, self.sure)

    @property
    def limits(self) -> Limits:
        return Limits(self.target_low, self.target_high, self.flag_low, self.flag_high, self.step)


def range_strip(strip: StripInput) -> str:
    """Return the strip as SVG text with role="img" and a sentence as its name."""
    size = SIZES[strip.size]
    scale = scale_of(strip.limits, size.width)
    parts = _empty_line(size) if scale is None else _frame(strip, scale, size)
    if strip.verdict.is_scored and scale is not None and strip.mean is not None:
        parts += _value(strip, scale, size, strip.mean)
    else:
        parts += mark_at(Verdict("not_scored"), size.mark, size.width / 2, size.height / 2)
    width, height = number(size.width), number(size.height)
    return (
        f'<svg class="rs" width="{width}" height="{height}" viewBox="0 0 {width} {height}" '
        f'role="img" aria-label="{escape(strip.name or accessible_name(strip))}">{parts}</svg>'
    )


def is_off_strip(strip: StripInput) -> bool:
    """Tell whether the mean lies beyond the strip's end, so that its number must stand beside the strip."""
    size = SIZES[strip.size]
    scale = scale_of(strip.limits, size.width)
    if scale is None or strip.mean is None or not strip.verdict.is_scored:
        return False
    return not OFF_AT <= scale.x(strip.mean) <= size.width - OFF_AT


def accessible_name(strip: StripInput) -> str:
    """Return the sentence that a screen reader says, such as "Separation at foot plant, 44 degrees, plus or
    minus 4, target 38 to 54, in range, sure"."""
    parts = [strip.label] if strip.label else []
    if strip.mean is not None and math.isfinite(strip.mean):
        parts.append(_spoken(strip, strip.mean))
        if half_width := format_half_width(strip.u, strip.unit, strip.system, decimals=strip.decimals):
            parts.append(half_width.replace("± under", "plus or minus less than").replace("±", "plus or minus"))
    target = format_span(strip.target_low, strip.target_high, strip.unit, strip.system, decimals=strip.decimals or 0)
    if target:
        parts.append(f"target {target.replace('−', 'minus ')}")
    parts.append(spoken_verdict(strip.verdict, other_zone=strip.other_zone, reason=strip.reason))
    if strip.previous is not None:
        parts.append(f"last time {_spoken(strip, strip.previous)}")
    return ", ".join(parts)


def _spoken(strip: StripInput, value: float) -> str:
    shown, unit = convert(value, strip.unit, strip.system)
    half_width = None if strip.u is None else convert(EXPANSION * strip.u, strip.unit, strip.system)[0]
    most = strip.decimals if unit == strip.unit else 1
    written = format_number(shown, decimals_for(half_width, most, shown))
    return say_quantity(written, unit, shown)


def _vertical(kind: str, x: float, middle: float, half_height: float) -> str:
    return f'<path class="{kind}" d="M{number(x)},{number(middle - half_height)}V{number(middle + half_height)}"/>'


def _empty_line(size: Size) -> str:
    """No range applies: a dotted line."""
    y = number(size.height / 2)
    left, right = number(FLAG_AT_LOW * size.width), number(FLAG_AT_HIGH * size.width)
    return f'<path class="ax dot" d="M{left},{y}H{right}"/>'


def _frame(strip: StripInput, scale: Scale, size: Size) -> str:
    """Axis, target with its edges or open points, ticks of the flag limits."""
    middle, half_bar, half_tick = size.height / 2, size.height * BAR_HEIGHT / 2, size.height * TICK_HEIGHT / 2
    limits = scale.limits
    bar_low = OPEN_END if limits.target_low is None else scale.x(limits.target_low)
    bar_high = size.width - OPEN_END if limits.target_high is None else scale.x(limits.target_high)
    axis_low = bar_low if limits.flag_low is None else min(scale.x(limits.flag_low), bar_low)
    axis_high = bar_high if limits.flag_high is None else max(scale.x(limits.flag_high), bar_high)
    broken = "" if strip.verdict.is_scored else " broken"
    parts = [
        f'<path class="ax" d="M{number(axis_low)},{number(middle)}H{number(axis_high)}"/>',
        f'<rect class="bar{broken}" x="{number(bar_low)}" y="{number(middle - half_bar)}" '
        f'width="{number(bar_high - bar_low)}" height="{number(2 * half_bar)}"/>',
    ]
    if strip.verdict.is_scored:
        for limit, x, inward in ((limits.target_low, bar_low, 1), (limits.target_high, bar_high, -1)):
            if limit is None:
                corner, top, bottom = number(x + inward * OPEN_POINT), middle - half_bar, middle + half_bar
                tip = f"L{number(x)},{number(middle)}"
                parts.append(f'<path class="be" d="M{corner},{number(top)}{tip}L{corner},{number(bottom)}"/>')
            else:
                parts.append(_vertical("be", x, middle, half_bar))
    for limit in (limits.flag_low, limits.flag_high):
        if limit is not None:
            parts.append(_vertical("tick", scale.x(limit), middle, half_tick))
    return "".join(parts)


def _previous(strip: StripInput, scale: Scale, size: Size) -> str:
    """Last time: a caret under the bar; off the strip it lies at the end and points outward."""
    if strip.previous is None or not math.isfinite(strip.previous):
        return ""
    x = scale.x(strip.previous)
    foot = size.height / 2 + size.height * BAR_HEIGHT / 2 + CARET_GAP + CARET_HEIGHT
    top, half = foot - CARET_HEIGHT, CARET_HALF_WIDTH
    if half <= x <= size.width - half:
        left, tip, right = number(x - half), number(x), number(x + half)
        return f'<path class="pv" d="M{left},{number(foot)}L{tip},{number(top)}L{right},{number(foot)}"/>'
    end, back = (1.0, 1.0 + CARET_HEIGHT) if x < half else (size.width - 1.0, size.width - 1.0 - CARET_HEIGHT)
    middle = foot - half
    return (
        f'<path class="pv" d="M{number(back)},{number(middle - half)}L{number(end)},{number(middle)}'
        f'L{number(back)},{number(foot)}"/>'
    )


def _value(strip: StripInput, scale: Scale, size: Size, mean: float) -> str:
    """Uncertainty and mark; beyond the strip the mark stands near its end behind two strokes."""
    verdict, middle = strip.verdict, size.height / 2
    x = scale.x(mean)
    if not OFF_AT <= x <= size.width - OFF_AT:
        low = x < OFF_AT
        x = OFF_AT if low else size.width - OFF_AT
        beside, strokes = _break(size, shape_of(verdict).half_width * size.mark)
        cut = x + beside if low else x - beside - (3 if size.width < NARROW else 9)
        strokes = f'<path class="tick" d="M{number(cut)},{number(middle + 4)}{strokes}"/>'
        drawn = strokes + halo_at(verdict, size.mark, x, middle)
        return drawn + _previous(strip, scale, size) + mark_at(verdict, size.mark, x, middle)
    return (
        halo_at(verdict, size.mark, x, middle)
        + _uncertainty(strip, scale, size, mean)
        + _previous(strip, scale, size)
        + mark_at(verdict, size.mark, x, middle)
    )


def _break(size: Size, mark_half_width: float) -> tuple[float, str]:
    """Return how far from the mark the strokes of a broken scale stand, and their path; a narrow strip has one."""
    return mark_half_width + 2.1, "l3,-8" if size.width < NARROW else "l3,-8m3,8l3,-8"


def _uncertainty(strip: StripInput, scale: Scale, size: Size, mean: float) -> str:
    if strip.u is None or not math.isfinite(strip.u) or strip.u < 0:
        return ""
    middle, centre = size.height / 2, scale.x(mean)
    ends = [scale.x(mean - EXPANSION * strip.u), scale.x(mean + EXPANSION * strip.u)]
    left, right = max(0.0, ends[0]), min(size.width, ends[1])
    line = f"M{number(left)},{number(middle)}H{number(right)}"
    parts = [f'<path class="under" d="{line}"/>', f'<path class="un" d="{line}"/>']
    shape = shape_of(strip.verdict)
    clear_from = shape.half_width_on_axis * size.mark + CAP_GAP
    for end in ends:
        if 0 <= end <= size.width:
            hidden = abs(end - centre) < clear_from
            half = shape.half_height * size.mark + CAP_PAST_MARK if hidden else CAP_CLEAR
            parts.append(_vertical("cap", end, middle, half))
    return "".join(parts)


__all__ = ["HIGH", "LOW", "SIZES", "Size", "StripInput", "accessible_name", "is_off_strip", "range_strip"]
