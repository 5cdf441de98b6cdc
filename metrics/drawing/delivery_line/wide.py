"""The delivery line whose time runs to the right, for the desk."""

from __future__ import annotations

from collections.abc import Iterable

from metrics.drawing.delivery_line.arcs import leftward
from metrics.drawing.delivery_line.figures import figures_svg
from metrics.drawing.delivery_line.lanes import FLAG_ROW
from metrics.drawing.delivery_line.parts import DeliveryLine
from metrics.drawing.delivery_line.svg_parts import arcs_svg, path, point_svg, whole, words_svg
from metrics.drawing.delivery_line.timing import CONTACT, RELEASE
from metrics.drawing.delivery_line.wide_layout import WIDTH, Layout, wide_layout
from metrics.drawing.marks import number

PREFIX = "line-wide"
LINE_END = 1188.0
KEY_EVENTS = (CONTACT, RELEASE)


def wide_svg(line: DeliveryLine) -> str:
    """The picture as text; empty lanes stay, so that two sessions look alike."""
    layout = wide_layout(line)
    left = layout.scale.first - 12
    defs, arcs = arcs_svg(
        line, layout.placed, PREFIX, lambda a, b: leftward(a, b, highest=layout.lanes_top + 1, leftmost=2.0)
    )
    points = sorted(layout.placed, key=lambda one: (one.x, one.y))  # the keys go from flag to flag as time does
    flags = "".join(point_svg(one, line, PREFIX, FLAG_ROW) for one in points if one.point.is_flag)
    others = "".join(point_svg(one, line, PREFIX, FLAG_ROW) for one in points if not one.point.is_flag)
    still = "".join(
        (*figures_svg(layout.figures, left, WIDTH), *_ground(layout), *_event_lines(layout), *_axis(layout))
    )
    words = "".join(words_svg(one, paper=one.name != "lane") for one in layout.words)
    body = f'{defs}<g aria-hidden="true">{still}{words}</g><g aria-hidden="true">{arcs}</g>{others}{flags}'
    return whole(body, line, "dl-wide", WIDTH, layout.height)


def _ground(layout: Layout) -> Iterable[str]:
    if layout.ground:
        right, top, bottom = layout.ground
        yield (
            f'<rect class="tint" x="0" y="{number(top)}" width="{number(right)}" '
            f'height="{number(bottom - top)}" rx="3"/>'
        )
    for _, top, _ in layout.lanes[1:]:
        yield path("sep", f"M0,{number(top)}H{number(WIDTH)}")


def _event_lines(layout: Layout) -> Iterable[str]:
    for key, x in layout.events:
        is_key = key in KEY_EVENTS
        bottom = layout.height if is_key else layout.axis
        yield path("evl key" if is_key else "evl", f"M{number(x)},{number(layout.lanes_top)}V{number(bottom)}")


def _axis(layout: Layout) -> Iterable[str]:
    y = number(layout.axis)
    yield path("axis", f"M{number(layout.scale.first)},{y}H{number(LINE_END - 1)}")
    yield path("axis", f"M{number(LINE_END - 7)},{number(layout.axis - 4)}l7,4l-7,4")
    contact, release = (number(layout.scale.at(layout.times.at_ms[key])) for key in KEY_EVENTS)
    yield path("axis thick", f"M{contact},{y}H{release}")
    for x, length, _ in layout.ticks:
        yield path("tk", f"M{number(x)},{y}v{number(length)}")
