"""The delivery line whose time runs down, for screens under 760 px: flags, watches and what may be their causes."""

from __future__ import annotations

from collections.abc import Iterable

from metrics.drawing.delivery_line.arcs import upward
from metrics.drawing.delivery_line.parts import DeliveryLine
from metrics.drawing.delivery_line.sheet import TARGET
from metrics.drawing.delivery_line.svg_parts import arcs_svg, path, point_svg, whole, words_svg
from metrics.drawing.delivery_line.timing import CONTACT, RELEASE
from metrics.drawing.delivery_line.upright_layout import AXIS, WIDTH, Upright, upright_layout
from metrics.drawing.marks import number

PREFIX = "line-upright"


def upright_svg(line: DeliveryLine) -> str:
    layout = upright_layout(line)
    defs, arcs = arcs_svg(line, layout.placed, PREFIX, lambda a, b: upward(a, b, leftmost=AXIS + 2))
    points = sorted(layout.placed, key=lambda one: (one.y, one.x))
    flags = "".join(point_svg(one, line, PREFIX, TARGET) for one in points if one.point.is_flag)
    others = "".join(point_svg(one, line, PREFIX, TARGET) for one in points if not one.point.is_flag)
    words = "".join(words_svg(one, paper=one.name != "lane" and one.text != "Screens") for one in layout.words)
    body = (
        f'{defs}<g aria-hidden="true">{"".join(_still(layout))}{words}</g>'
        f'<g aria-hidden="true">{arcs}</g>{others}{flags}'
    )
    return whole(body, line, "dl-upright", WIDTH, layout.height)


def _still(layout: Upright) -> Iterable[str]:
    if layout.ground:
        top, bottom = layout.ground
        place = f'x="0" y="{number(top)}" width="{number(WIDTH)}" height="{number(bottom - top)}"'
        yield f'<rect class="tint" {place} rx="2"/>'
    for key, y in layout.events:
        css = "evl key" if key in (CONTACT, RELEASE) else "evl"
        yield path(css, f"M{number(AXIS)},{number(y)}H{number(WIDTH)}")
    yield path("axis", f"M{number(AXIS)},{number(layout.axis_top)}V{number(layout.axis_bottom)}")
    yield path("axis", f"M{number(AXIS - 4)},{number(layout.axis_bottom - 7)}l4,7l4,-7")
