"""Boxes of words and marks, and rows in which they never lie on each other."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from metrics.drawing.delivery_line.lettering import width_of
from metrics.drawing.delivery_line.parts import Point
from metrics.drawing.marks import CANT_TELL, shape_of

ABOVE, BELOW = 0.80, 0.24  # of the size: how far a line of words reaches from its baseline (Liberation Sans 0.73, 0.21)
START, MIDDLE, END = "start", "middle", "end"
MARK_SIZES = {"flag": 14.0, "watch": 11.0}
SMALL_MARK = 9.0
RING = 12.0  # px: radius
QUESTION = 8.6  # px from the edge of the mark to the end of its question mark
BETWEEN = 6.0  # px kept free between two things of one row


@dataclass(frozen=True, slots=True)
class Box:
    """px; y grows downward."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box, gap: float = 0.0) -> bool:
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )

    def with_other(self, other: Box) -> Box:
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )

    def grown(self, least: float) -> Box:
        """Around the same middle, at least so wide and high."""
        wider = max(0.0, least - (self.right - self.left)) / 2
        higher = max(0.0, least - (self.bottom - self.top)) / 2
        return Box(self.left - wider, self.top - higher, self.right + wider, self.bottom + higher)


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text: where its baseline is anchored, its class, size in px, and what it says."""

    text: str
    x: float
    y: float
    anchor: str = START
    name: str = ""
    size: float = 12.0
    bold: bool = False

    @property
    def box(self) -> Box:
        width = width_of(self.text, self.size, bold=self.bold)
        left = self.x - {START: 0.0, MIDDLE: width / 2, END: width}[self.anchor]
        return Box(left, self.y - ABOVE * self.size, left + width, self.y + BELOW * self.size)


@dataclass(frozen=True, slots=True)
class Placed:
    """A point where it is drawn: the middle of its mark, its lines of words, its span as pieces of a line."""

    point: Point
    x: float
    y: float
    words: tuple[Words, ...] = ()
    span: tuple[tuple[float, float], ...] = ()

    @property
    def mark_box(self) -> Box:
        left, right, half = mark_reach(self.point)
        return Box(self.x - left, self.y - half, self.x + right, self.y + half)

    @property
    def boxes(self) -> list[Box]:
        """Of the mark, with the ring of a flag that is selected, and of each line of words."""
        mark = self.mark_box.grown(2 * RING) if self.point.is_flag else self.mark_box
        return [mark, *(words.box for words in self.words)]

    def moved(self, down: float) -> Placed:
        """The same, so many px further down."""
        words = tuple(replace(words, y=words.y + down) for words in self.words)
        return replace(self, y=self.y + down, words=words)

    def target(self, least: float) -> Box:
        """What is pressed: mark and words, at least so wide and high, px."""
        box, *others = self.boxes
        for other in others:
            box = box.with_other(other)
        return box.grown(least)

    @property
    def reach(self) -> float:
        """px from the middle of the mark at which an arc ends."""
        return mark_reach(self.point)[0] + 4.5


def mark_size(point: Point) -> float:
    return MARK_SIZES.get(point.verdict.zone, SMALL_MARK) if point.verdict.is_scored else SMALL_MARK


def mark_reach(point: Point) -> tuple[float, float, float]:
    """px that the mark reaches to the left, to the right (with its question mark), and up or down."""
    shape, size = shape_of(point.verdict), mark_size(point)
    half = shape.half_width * size
    is_open = point.verdict.is_scored and point.verdict.sure == CANT_TELL
    return half, half + (QUESTION if is_open else 0.0), max(half, 0.52 * size)


@dataclass
class Rows:
    """Rows of a lane from its top, each a list of taken stretches (px)."""

    taken: list[list[tuple[float, float]]] = field(default_factory=list)

    def is_free(self, row: int, left: float, right: float) -> bool:
        if row >= len(self.taken):
            return True
        return all(right + BETWEEN <= low or high + BETWEEN <= left for low, high in self.taken[row])

    def take(self, row: int, left: float, right: float) -> None:
        while len(self.taken) <= row:
            self.taken.append([])
        self.taken[row].append((left, right))

    def __len__(self) -> int:
        return len(self.taken)
