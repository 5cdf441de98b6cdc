"""Points of one lane in rows: each mark stands at its moment, each label on the side that is free."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from metrics.drawing.delivery_line.lettering import shortened, width_of
from metrics.drawing.delivery_line.parts import DeliveryLine, Point
from metrics.drawing.delivery_line.places import END, START, Placed, Rows, Words, mark_reach

ROW = 18.0
FLAG_ROW = 24.0
"""px: the least target of WCAG 2.2, 2.5.8, and room for the ring."""
TO_LABEL = 5.0
FLAG_TO_LABEL = 7.5  # the ring of a selected flag ends before its words
LONGEST_LABEL = 330.0
FLAG_SIZE, SIZE = 13.0, 12.0
STARTING_POINT = "starting point"
STARTING_POINT_SIZE = 14.0
SPAN_END = 3.0


@dataclass(frozen=True, slots=True)
class Room:
    """From where to where a lane may write, px, and where a time stands."""

    left: float
    right: float
    at: Callable[[float], float]


@dataclass(frozen=True, slots=True)
class Label:
    """What stands beside a mark, in one line; `extra` follows it in the accent."""

    text: str
    name: str
    size: float
    bold: bool
    extra: str = ""

    @property
    def width(self) -> float:
        return width_of(self.text, self.size, bold=self.bold) + self.extra_width

    @property
    def extra_width(self) -> float:
        return 6.0 + width_of(self.extra, STARTING_POINT_SIZE, bold=True) if self.extra else 0.0


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to place a point: on which side its label stands, the stretch that it takes, where the label begins."""

    side: str
    left: float
    right: float


def label_of(point: Point, line: DeliveryLine) -> Label:
    """Name and value, the name shortened where both are too long; what is important is bold."""
    is_bold = point.is_flag
    size = FLAG_SIZE if is_bold else SIZE
    between = " " if point.verdict.is_scored else ", "
    value = shortened(point.value_text, LONGEST_LABEL / 2, size, bold=is_bold)
    room = LONGEST_LABEL - width_of(f"{between}{value}", size, bold=is_bold)
    name = shortened(point.label, room, size, bold=is_bold)
    css = "b" if is_bold else "w" if point.is_watch else ""
    extra = STARTING_POINT if point.key == line.starting_point else ""
    return Label(f"{name}{between}{value}".strip(" ,"), css, size, is_bold, extra)


def importance(line: DeliveryLine) -> Callable[[Point], tuple[int, int]]:
    """Starting point and flags first, in the order given; then watches, causes of what is selected, and the rest."""
    kin = line.kin_of(line.selected)
    place = {point.key: index for index, point in enumerate(line.points)}

    def key(point: Point) -> tuple[int, int]:
        ranks = (point.key == line.starting_point, point.is_flag, point.is_watch, point.key in kin, True)
        return ranks.index(True), place[point.key]

    return key


@dataclass(frozen=True, slots=True)
class Seat:
    """A point with the row and the way in which it stands there; `ends` of its span, px."""

    point: Point
    label: Label
    x: float
    ends: tuple[float, float] | None
    row: int
    side: str


def in_rows(points: Iterable[Point], line: DeliveryLine, room: Room, top: float) -> tuple[list[Placed], float]:
    """The points of a lane whose first row begins at `top`, and where its last row ends, px."""
    seats = _seats(points, line, room)
    heights = [ROW] * max((seat.row + 1 for seat in seats), default=0)
    for seat in seats:
        if seat.point.is_flag:
            heights[seat.row] = FLAG_ROW
    middles = [top + sum(heights[:row]) + height / 2 for row, height in enumerate(heights)]
    placed = [_placed(seat, middles[seat.row]) for seat in seats]
    return placed, top + sum(heights)


def _seats(points: Iterable[Point], line: DeliveryLine, room: Room) -> list[Seat]:
    """Each point in the first row in which it has room, the important ones first."""
    rows, seats = Rows(), []
    for point in sorted(points, key=importance(line)):
        label, x, ends = label_of(point, line), room.at(moment_of(point)), span_of(point, room)
        choices = [
            one for one in _choices(point, label, x, ends, room) if room.left <= one.left and one.right <= room.right
        ]
        row, choice = next(
            (row, one) for row in range(len(rows) + 1) for one in choices if rows.is_free(row, one.left, one.right)
        )
        rows.take(row, choice.left, choice.right)
        seats.append(Seat(point, label, x, ends, row, choice.side))
    return seats


def _placed(seat: Seat, y: float) -> Placed:
    words = tuple(_words(seat.point, seat.label, seat.side, seat.x, y, seat.ends))
    return _with_span(Placed(seat.point, seat.x, y, words), seat.ends)


def moment_of(point: Point) -> float:
    """Its time; in the middle of its interval where only that is known; without either at contact."""
    if point.at_ms is not None:
        return point.at_ms
    return sum(point.span_ms) / 2 if point.span_ms else 0.0


def span_of(point: Point, room: Room) -> tuple[float, float] | None:
    if point.span_ms is None:
        return None
    first, last = sorted(room.at(time) for time in point.span_ms)
    return first - SPAN_END, last + SPAN_END


def _gap(point: Point) -> float:
    return FLAG_TO_LABEL if point.is_flag else TO_LABEL


def _choices(point: Point, label: Label, x: float, ends: tuple[float, float] | None, room: Room) -> Iterable[Choice]:
    """Sides in the order of preference: a flag's label on its right, since its arcs leave to the left."""
    left_reach, right_reach, _ = mark_reach(point)
    mark_left, mark_right, gap = x - left_reach, x + right_reach, _gap(point)
    from_left = min(mark_left, ends[0]) if ends else mark_left
    to_right = max(mark_right, ends[1]) if ends else mark_right
    outside = [
        Choice("right", from_left, to_right + gap + label.width),
        Choice("left", from_left - gap - label.width, to_right),
    ]
    if not point.is_flag and (ends or x > (room.left + 2 * room.right) / 3):
        outside.reverse()
    yield from outside
    if ends:  # as wide as the picture: the words stand on the line itself
        yield Choice("on right", from_left, max(to_right, mark_right + gap + label.width))
        yield Choice("on left", min(from_left, mark_left - gap - label.width), to_right)


def _words(
    point: Point, label: Label, side: str, x: float, y: float, ends: tuple[float, float] | None
) -> Iterable[Words]:
    left_reach, right_reach, _ = mark_reach(point)
    low, high = x - left_reach, x + right_reach
    if ends and not side.startswith("on"):
        low, high = min(low, ends[0]), max(high, ends[1])
    begin = high + _gap(point) if side.endswith("right") else low - _gap(point) - label.width
    text_width = label.width - label.extra_width
    is_left = side.endswith("left")
    end_of_text = begin + text_width
    yield Words(
        label.text, end_of_text if is_left else begin, y + 4.0, END if is_left else START, label.name,
        label.size, label.bold,
    )  # fmt: skip
    if label.extra:
        yield Words(label.extra, end_of_text + 6.0, y + 4.0, START, "sp", STARTING_POINT_SIZE, True)


def _with_span(placed: Placed, ends: tuple[float, float] | None) -> Placed:
    """The line of its span, interrupted by words that stand on it."""
    if ends is None:
        return placed
    pieces = [ends]
    for box in (words.box for words in placed.words):
        pieces = [
            piece
            for low, high in pieces
            for piece in ((low, min(high, box.left - 2)), (max(low, box.right + 2), high))
            if piece[1] - piece[0] > 1
        ]
    return Placed(placed.point, placed.x, placed.y, placed.words, tuple(pieces))


def by_lane(points: Sequence[Point], lane: str, known: Sequence[str]) -> list[Point]:
    """The points of a lane; what has none that is known stands with the sequence."""
    fallback = "sequence"
    return [point for point in points if (point.lane if point.lane in known else fallback) == lane]
