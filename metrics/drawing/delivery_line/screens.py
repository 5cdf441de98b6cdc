"""Screens before the line's start: each near the height of the flags that it may be a cause of, none on another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from metrics.drawing.delivery_line.lanes import FLAG_SIZE, SIZE, STARTING_POINT, STARTING_POINT_SIZE
from metrics.drawing.delivery_line.lettering import name_and_value
from metrics.drawing.delivery_line.parts import DeliveryLine, Point
from metrics.drawing.delivery_line.places import END, Placed, Words, mark_reach

LINE = 15.0
BETWEEN_SCREENS = 8.0
FROM_MARK = 6.0


@dataclass(frozen=True, slots=True)
class Item:
    """A screen with its broken words; `wanted` is the height at which its mark would best stand, px."""

    point: Point
    lines: tuple[tuple[str, str, float, bool], ...]
    wanted: float

    @property
    def height(self) -> float:
        return max(LINE * len(self.lines), LINE) + BETWEEN_SCREENS


def items_of(points: Sequence[Point], line: DeliveryLine, room: float, heights: Mapping[str, float]) -> list[Item]:
    """Screens from the top down, by the mean height of what they may be causes of."""
    effects: dict[str, list[float]] = {}
    for arc in line.arcs:
        if arc.effect in heights:
            effects.setdefault(arc.cause, []).append(heights[arc.effect])
    middle = sum(heights.values()) / len(heights) if heights else 0.0
    items = []
    for point in points:
        wanted = effects.get(point.key)
        items.append(Item(point, _lines(point, line, room), sum(wanted) / len(wanted) if wanted else middle))
    return sorted(items, key=lambda item: item.wanted)


def _lines(point: Point, line: DeliveryLine, room: float) -> tuple[tuple[str, str, float, bool], ...]:
    """Name, then value, each line with its class, size and weight; the value joins the name where both fit."""
    size = FLAG_SIZE if point.is_flag else SIZE
    css = "b" if point.is_flag else "w" if point.is_watch else ""
    apart = not point.verdict.is_scored
    named = name_and_value(point.label, point.value_text, room, size, bold=point.is_flag, apart=apart)
    lines = [(text, css, size, point.is_flag) for text, _ in named]
    if point.key == line.starting_point:
        lines.append((STARTING_POINT, "sp", STARTING_POINT_SIZE, True))
    return tuple(lines)


def height_of(items: Sequence[Item]) -> float:
    return sum(item.height for item in items)


def stacked(items: Sequence[Item], x: float, top: float, bottom: float) -> list[Placed]:
    """Each as near to where it is wanted as the others allow, within `top` and `bottom` (which hold them all)."""
    tops, floor = [], top
    for item in items:
        floor = max(floor, item.wanted - item.height / 2)
        tops.append(floor)
        floor += item.height
    ceiling = bottom
    for index in range(len(items) - 1, -1, -1):
        tops[index] = min(tops[index], ceiling - items[index].height)
        ceiling = tops[index]
    return [_placed(item, x, place) for item, place in zip(items, tops, strict=True)]


def _placed(item: Item, x: float, top: float) -> Placed:
    y = top + item.height / 2
    first = y - LINE * (len(item.lines) - 1) / 2 + 4.0
    end = x - mark_reach(item.point)[0] - FROM_MARK
    words = tuple(
        Words(text, end, first + LINE * index, END, css, size, bold)
        for index, (text, css, size, bold) in enumerate(item.lines)
    )
    return Placed(item.point, x, y, words)
