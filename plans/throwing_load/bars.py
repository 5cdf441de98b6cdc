"""Pitches as bars: a column a day or a week, the three sources apart. Returns SVG text, without colour of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from plans.throwing_load.phrases import MONTHS
from plans.throwing_load.summary import Span
from plans.throwing_load.values import Day

WIDTH, HEIGHT, TOP, BOTTOM = 336, 132, 18, 20
"""px of the picture, and of the room for numbers above and letters below; as wide as a phone’s column."""
LEAST_TOP = 20
"""Pitches up to which the picture always reaches, so that three throws do not look like a game."""
PARTS = ("entered", "session", "drill")


@dataclass(frozen=True, slots=True)
class Column:
    """One bar. `label` below it; `least`: more may have been thrown; `unknown`: nobody said anything of it."""

    entered: int
    session: int
    drill: int
    label: str
    least: bool = False
    unknown: bool = False

    @property
    def total(self) -> int:
        return self.entered + self.session + self.drill


def day_columns(days: Sequence[Day]) -> tuple[Column, ...]:
    """Labelled by the letter of the weekday."""
    letters = "MTWTFSS"
    return tuple(
        Column(day.entered, day.session, day.drill, letters[day.date.weekday()], day.without_number > 0, day.is_unknown)
        for day in days
    )


def week_columns(spans: Sequence[Span]) -> tuple[Column, ...]:
    """Labelled by day and month of the first day, every fourth week."""
    return tuple(
        Column(
            span.entered,
            span.session,
            span.drill,
            f"{span.first.day} {MONTHS[span.first.month - 1][:3]}" if index % 4 == 0 else "",
            not span.is_whole,
            span.throwing_days == 0 and span.unknown_days > 0,
        )
        for index, span in enumerate(spans)
    )


def bars_svg(columns: Sequence[Column], *, name: str, numbers: bool = True) -> str:
    """The picture; "" without a column. `name`: what a screen reader says of it. `numbers`: the total over each bar."""
    if not columns:
        return ""
    most = max(LEAST_TOP, *(column.total for column in columns))
    step = WIDTH / len(columns)
    drawn = "".join(_column(column, index * step, step, most, numbers) for index, column in enumerate(columns))
    return (
        f'<svg class="throw-bars" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" role="img" '
        f'aria-label="{escape(name)}"><line class="ax" x1="0" x2="{WIDTH}" y1="{_base()}" y2="{_base()}"/>'
        f"{drawn}</svg>"
    )


def _base() -> int:
    return HEIGHT - BOTTOM


def _column(column: Column, left: float, step: float, most: int, numbers: bool) -> str:
    width, middle = max(3.0, step - 7), left + step / 2
    parts, floor = [], float(_base())
    for part in PARTS:
        tall = getattr(column, part) / most * (HEIGHT - TOP - BOTTOM)
        if tall:
            floor -= tall
            parts.append(
                f'<rect class="{part}" x="{_px(middle - width / 2)}" y="{_px(floor)}" width="{_px(width)}" '
                f'height="{_px(tall)}"/>'
            )
    if numbers and (column.total or column.least):
        label = f"{column.total or ''}{'+' if column.least else ''}"
        parts.append(f'<text x="{_px(middle)}" y="{_px(floor - 4)}">{label}</text>')
    if numbers and column.unknown:
        parts.append(f'<text class="unknown" x="{_px(middle)}" y="{_px(_base() - 4)}">?</text>')
    if column.label:
        parts.append(f'<text class="day" x="{_px(middle)}" y="{HEIGHT - 5}">{escape(column.label)}</text>')
    return "".join(parts)


def _px(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")
