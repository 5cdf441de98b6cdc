"""Where everything stands in the picture whose time runs to the right, 1200 px wide."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from metrics.drawing.delivery_line import screens
from metrics.drawing.delivery_line.figures import HEIGHT, Figure, placed_figures
from metrics.drawing.delivery_line.heads import event_heads
from metrics.drawing.delivery_line.lanes import Room, by_lane, in_rows, moment_of
from metrics.drawing.delivery_line.parts import BODY_LANES, LANE_NAMES, SEQUENCE, DeliveryLine
from metrics.drawing.delivery_line.places import END, MIDDLE, Placed, Words
from metrics.drawing.delivery_line.timing import CONTACT, RELEASE, Scale, Times, scale_of, ticks, times_of

WIDTH = 1200.0
NAMES_WIDTH = 98.0  # of the lanes' names, where nothing else is written
SCREENS_RIGHT = 272.0
SCREEN_MARK = 16.0  # px from the right edge of the screens' ground
STRIDE_WIDTHS = (104.0, 176.0)  # of the time before contact: narrow where nothing stands in it
LAST = 1112.0
LANE_EDGE = 8.0
LEAST_LANE = 46.0
AXIS_ROWS = 44.0
LANE_NAME_SIZE = 16.0


@dataclass(frozen=True, slots=True)
class Layout:
    """`lanes`: name of a lane, its top and bottom. `events`: key, x. `words`: all that belongs to no point."""

    line: DeliveryLine
    times: Times
    scale: Scale
    placed: tuple[Placed, ...]
    words: tuple[Words, ...]
    lanes: tuple[tuple[str, float, float], ...]
    events: tuple[tuple[str, float], ...]
    ticks: tuple[tuple[float, float, str], ...]
    ground: tuple[float, float, float] | None
    figures: tuple[Figure, ...]
    lanes_top: float
    axis: float
    height: float
    width: float = WIDTH


def wide_layout(line: DeliveryLine) -> Layout:
    """Every mark at its moment, lanes as tall as they need, and no words on other words."""
    taken = [point for point in line.points if point.is_screen]
    left = SCREENS_RIGHT if taken else NAMES_WIDTH
    times = times_of(line.events)
    is_early = any(not point.is_screen and moment_of(point) < times.at_ms[CONTACT] - 5 for point in line.points)
    first = left + 24.0
    scale = scale_of(times, first, first + STRIDE_WIDTHS[is_early], LAST)
    names = {event.key: event.name for event in line.events}
    events = tuple((key, scale.at(time)) for key, time in times.at_ms.items() if key in names)
    figures = placed_figures(line.figures, events, left, WIDTH)
    heads, head_bottom = event_heads([(names[key], x) for key, x in events], HEIGHT * bool(figures), left)
    room = Room(left + 6.0, WIDTH - 4.0, scale.at)
    placed, lanes, axis = _body(line, room, head_bottom)
    if taken:
        axis = _with_screens(placed, lanes, line, head_bottom, axis)
    marks = tuple(ticks(scale))
    sequence, end = in_rows(by_lane(line.points, SEQUENCE, _LANES), line, room, axis + AXIS_ROWS + 4.0)
    height = max(end, axis + AXIS_ROWS + 26.0) + 4.0 if sequence else axis + AXIS_ROWS
    words = [*heads, *_lane_words(lanes, bool(sequence), axis), *_axis_words(scale, times, marks, axis)]
    if taken:
        words.append(Words("Screens", left - 6.0, head_bottom - 6.0, END, "ev"))
    ground = (left, head_bottom, axis) if taken else None
    return Layout(
        line, times, scale, (*placed, *sequence), tuple(words), tuple(lanes), events, marks, ground,
        tuple(figures), head_bottom, axis, height,
    )  # fmt: skip


_LANES = (*BODY_LANES, SEQUENCE, "screen")


def _body(line: DeliveryLine, room: Room, top: float) -> tuple[list[Placed], list[tuple[str, float, float]], float]:
    placed: list[Placed] = []
    lanes = []
    for lane in BODY_LANES:
        here, end = in_rows(by_lane(line.points, lane, _LANES), line, room, top + LANE_EDGE)
        bottom = max(end + LANE_EDGE, top + LEAST_LANE)
        placed += here
        lanes.append((LANE_NAMES[lane], top, bottom))
        top = bottom
    return placed, lanes, top + 4.0


def _with_screens(
    placed: list[Placed], lanes: list[tuple[str, float, float]], line: DeliveryLine, top: float, axis: float
) -> float:
    """Add the screens to what is placed; the place of the axis, which gives way to them."""
    heights = {one.point.key: one.y for one in placed}
    taken = [point for point in line.points if point.is_screen]
    mark_x = SCREENS_RIGHT - SCREEN_MARK
    items = screens.items_of(taken, line, mark_x - 16.0 - NAMES_WIDTH, heights)
    axis = max(axis, top + screens.height_of(items) + 8.0)
    placed += screens.stacked(items, mark_x, top + 4.0, axis - 4.0)
    name, lane_top, _ = lanes[-1]
    lanes[-1] = (name, lane_top, axis - 4.0)
    return axis


def _lane_words(lanes: Sequence[tuple[str, float, float]], has_sequence: bool, axis: float) -> Iterable[Words]:
    for name, top, _ in lanes:
        yield Words(name, 8.0, top + 22.0, name="lane", size=LANE_NAME_SIZE, bold=True)
    if has_sequence:
        yield Words(LANE_NAMES[SEQUENCE], 8.0, axis + AXIS_ROWS + 18.0, name="lane", size=LANE_NAME_SIZE, bold=True)


def _axis_words(scale: Scale, times: Times, marks: Sequence[tuple[float, float, str]], axis: float) -> Iterable[Words]:
    """Numbers under the ticks; under them what they mean. Of what would lie on other words the later is left out."""
    wanted = [Words(text, x, axis + 19.0, MIDDLE) for x, _, text in marks if text]
    wanted.sort(key=lambda words: (words.text != "0 ms", words.x < scale.contact, words.x))
    wanted.append(Words("follow-through", WIDTH - 2.0, axis + 19.0, END))
    middle = (scale.at(times.at_ms[CONTACT]) + scale.at(times.at_ms[RELEASE])) / 2
    wanted.append(Words(length_words(times), middle, axis + 36.0, MIDDLE))
    ratio = f"{scale.after / scale.before:.0f} × wider from here"
    wanted.append(Words(ratio, scale.contact + 4.0, axis + 36.0))
    kept: list[Words] = []
    for words in wanted:
        if words.box.left >= 0 and words.box.right <= WIDTH and not any(words.box.meets(one.box, 2.0) for one in kept):
            kept.append(words)
    return kept


def length_words(times: Times) -> str:
    if times.are_typical:
        return "typical spacing: this session does not tell its event times"
    length = f"contact to release {times.contact_to_release_ms:.0f} ms"
    return f"{length}; other events at their typical place" if times.typical - {"fc"} else length
