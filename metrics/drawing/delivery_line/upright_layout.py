"""Where everything stands in the picture whose time runs down, 328 px wide: lanes side by side, not to scale.

The order of moments is true; where words would lie on others, time is stretched until they do not.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from metrics.drawing.delivery_line.lanes import FLAG_SIZE, SIZE, STARTING_POINT, STARTING_POINT_SIZE, moment_of
from metrics.drawing.delivery_line.lettering import ELLIPSIS, broken, name_and_value
from metrics.drawing.delivery_line.parts import (
    ARM,
    BODY_LANES,
    IN_RANGE,
    LANE_NAMES,
    LOWER_HALF,
    SEQUENCE,
    TRUNK,
    DeliveryLine,
    Event,
    Point,
)
from metrics.drawing.delivery_line.places import END, MIDDLE, START, Placed, Words, mark_reach
from metrics.drawing.delivery_line.sheet import Sheet
from metrics.drawing.delivery_line.timing import CONTACT, KNEE_LIFT, Scale, Times, scale_of, times_of

WIDTH = 328.0
GUTTER = 58.0  # names of the events end here
AXIS = 64.0
LANE_X = {ARM: 86.0, TRUNK: 158.0, LOWER_HALF: 232.0}
NARROW = 50.0  # of a label that leaves the next lane free
MEDIUM = 124.0
HEAD = 22.0
STRIDE_HEIGHTS = (40.0, 84.0)
AFTER_CONTACT = 190.0
TEXT_LINE = 15.0
EVENT_LINE = 13.0
TO_LABEL = 6.0
FLAG_TO_LABEL = 7.5
STAGGER = (0.0, -14.0, 14.0)  # px beside one another, so that arcs to screens do not run in one line
LANE_NAME_SIZE = 16.0


@dataclass(frozen=True, slots=True)
class Upright:
    """`events`: key, height of its line. `ground`: the screens' top and bottom, None without any."""

    line: DeliveryLine
    placed: tuple[Placed, ...]
    words: tuple[Words, ...]
    events: tuple[tuple[str, float], ...]
    ground: tuple[float, float] | None
    axis_top: float
    axis_bottom: float
    height: float
    width: float = WIDTH


def points_shown(line: DeliveryLine) -> tuple[Point, ...]:
    """Flags, watches, and the causes of flags but for those in range, which the table lists."""
    causes = {arc.cause for flag in line.flags for arc in line.arcs_of(flag.key) if arc.state != IN_RANGE}
    causes.add(line.starting_point)
    return tuple(point for point in line.points if point.is_flag or point.is_watch or point.key in causes)


def upright_layout(line: DeliveryLine) -> Upright:
    points, sheet = points_shown(line), Sheet()
    words = [Words(LANE_NAMES[lane], LANE_X[lane], 14.0, MIDDLE, "lane", LANE_NAME_SIZE, True) for lane in BODY_LANES]
    sheet.boxes += [one.box for one in words]
    screens = [point for point in points if point.is_screen]
    body = [point for point in points if point.lane in BODY_LANES]
    rest = [point for point in points if not point.is_screen and point.lane not in BODY_LANES]
    placed = list(_listed(screens, line, sheet, HEAD + 8.0))
    ground = (HEAD, sheet.bottom + 6.0) if screens else None
    if ground:
        words.append(Words("Screens", 6.0, HEAD + 16.0, name="ev"))
    top = (ground[1] if ground else HEAD) + 16.0
    here, events, heads = _body(body, line, sheet, top)
    placed += here
    words += heads
    bottom = sheet.bottom + 22.0
    words.append(Words("not to scale", AXIS + 10.0, bottom))
    sheet.boxes.append(words[-1].box)
    if rest:
        words.append(Words(LANE_NAMES[SEQUENCE], 2.0, bottom + 32.0, name="lane", size=LANE_NAME_SIZE, bold=True))
        sheet.boxes.append(words[-1].box)
        placed += _listed(rest, line, sheet, bottom + 22.0, mark_x=LANE_X[ARM])
    height = sheet.bottom + 8.0
    return Upright(line, tuple(placed), tuple(words), events, ground, top - 4.0, bottom + 4.0, height)


def _listed(
    points: Sequence[Point], line: DeliveryLine, sheet: Sheet, top: float, mark_x: float | None = None
) -> Iterable[Placed]:
    """Points in a list, one below the other; a screen stands above the lane of what it may be a cause of."""
    y = top + 8.0
    for index, point in enumerate(points):
        x = mark_x if mark_x is not None else _lane_of_effect(point, line) + STAGGER[index % len(STAGGER)]
        is_left = x - AXIS > WIDTH - x
        room = x - AXIS - 30.0 if is_left else WIDTH - x - 24.0
        one = sheet.lowered(_labelled(point, line, x, y, room, is_left))
        sheet.take(one)
        yield one
        y = sheet.bottom + 12.0


def _lane_of_effect(screen: Point, line: DeliveryLine) -> float:
    lanes = {point.key: point.lane for point in line.points}
    effects = [arc.effect for arc in line.arcs if arc.cause == screen.key]
    return next((LANE_X[lanes[key]] for key in effects if lanes.get(key) in LANE_X), LANE_X[LOWER_HALF])


def _body(
    points: Sequence[Point], line: DeliveryLine, sheet: Sheet, top: float
) -> tuple[list[Placed], tuple[tuple[str, float], ...], list[Words]]:
    """Events and points in the order of time; what finds no free place moves down, and all that is later with it."""
    times = times_of(line.events)
    scale = _scale(points, times, top)
    order = {lane: -index for index, lane in enumerate(BODY_LANES)}
    items: list[tuple[float, int, Event | Point]] = [(times.at_ms[event.key], -9, event) for event in line.events]
    items += [(moment_of(point), order[point.lane], point) for point in points]
    placed: list[Placed] = []
    lines_at: list[tuple[str, float]] = []
    heads: list[Words] = []
    shift = 0.0
    for time, _, item in sorted(items, key=lambda one: one[:2]):
        wanted = scale.at(time) + shift
        if isinstance(item, Event):
            y, named = _event(item, wanted, sheet)
            heads += named
            lines_at.append((item.key, y))
        else:
            one = _first_free(item, line, wanted, sheet)
            placed.append(one)
            y = one.y
        shift += y - wanted
    return placed, tuple(lines_at), heads


def _scale(points: Sequence[Point], times: Times, top: float) -> Scale:
    is_early = any(times.at_ms[KNEE_LIFT] < moment_of(point) < times.at_ms[CONTACT] - 5 for point in points)
    contact = top + STRIDE_HEIGHTS[is_early]
    return scale_of(times, top, contact, contact + AFTER_CONTACT)


def _event(event: Event, wanted: float, sheet: Sheet) -> tuple[float, list[Words]]:
    lines = broken(event.name, GUTTER - 2.0, SIZE, most=3)
    words = [Words(text, GUTTER, wanted + 4.0 + EVENT_LINE * at, END, "ev", SIZE) for at, text in enumerate(lines)]
    down = sheet.room_below([one.box for one in words])
    words = [replace(one, y=one.y + down) for one in words]
    sheet.boxes += [one.box for one in words]
    return wanted + down, words


def _first_free(point: Point, line: DeliveryLine, wanted: float, sheet: Sheet) -> Placed:
    """The point as high as it can stand, with its label as wide as there is room; no word is cut to stand higher."""
    x = LANE_X[point.lane]
    left_reach, right_reach, _ = mark_reach(point)
    to_edge = WIDTH - x - right_reach - FLAG_TO_LABEL - 1.0
    to_axis = x - left_reach - FLAG_TO_LABEL - AXIS - 6.0
    ways = [(to_edge, False), (MEDIUM, False), (NARROW, False), (to_axis, True)]
    fitting = [way for way in ways if way[0] <= (to_axis if way[1] else to_edge) and not _is_cut(point, line, *way)]
    ways = fitting or [max((to_edge, False), (to_axis, True))]
    one = min((sheet.lowered(_labelled(point, line, x, wanted, *way)) for way in ways), key=lambda placed: placed.y)
    sheet.take(one)
    return one


def _is_cut(point: Point, line: DeliveryLine, room: float, is_left: bool) -> bool:
    """Whether its words would not fit whole."""
    return room <= 0 or any(ELLIPSIS in one.text for one in _labelled(point, line, 0.0, 0.0, room, is_left).words)


def _labelled(point: Point, line: DeliveryLine, x: float, y: float, room: float, is_left: bool) -> Placed:
    """The point with its name and value in lines beside its mark, the first of them level with it."""
    left_reach, right_reach, _ = mark_reach(point)
    size = FLAG_SIZE if point.is_flag else SIZE
    css = "b" if point.is_flag else "w"
    apart = not point.verdict.is_scored
    named = name_and_value(point.label, point.value_text, room, size, bold=point.is_flag, most=4, apart=apart)
    gap = FLAG_TO_LABEL if point.is_flag else TO_LABEL
    at = x - left_reach - gap if is_left else x + right_reach + gap
    anchor = END if is_left else START
    words = [
        Words(text, at, y + 4.0 + TEXT_LINE * index, anchor, css, size, point.is_flag)
        for index, (text, _) in enumerate(named)
    ]
    if point.key == line.starting_point:
        below = y + 5.0 + TEXT_LINE * len(named)
        for text in broken(STARTING_POINT, room, STARTING_POINT_SIZE, bold=True, most=2):
            words.append(Words(text, at, below, anchor, "sp", STARTING_POINT_SIZE, True))
            below += TEXT_LINE + 1.0
    return Placed(point, x, y, tuple(words))
