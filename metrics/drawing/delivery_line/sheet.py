"""What is taken on a picture that grows downward, and how far down the next thing has to go."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from metrics.drawing.delivery_line.places import Box, Placed

CLEAR = 2.0  # px between things
TARGET = 44.0  # px: of what is pressed on a floor page


@dataclass
class Sheet:
    """`boxes` of words and marks; `targets`: what is pressed. Neither ever meets its own kind."""

    boxes: list[Box] = field(default_factory=list)
    targets: list[Box] = field(default_factory=list)

    @property
    def bottom(self) -> float:
        return max((box.bottom for box in self.boxes), default=0.0)

    def take(self, one: Placed) -> None:
        self.boxes += one.boxes
        if one.point.is_flag:
            self.targets.append(one.target(TARGET))

    def lowered(self, one: Placed) -> Placed:
        """The point as high as it can stand, and no higher than it stands now."""
        pressed = [one.target(TARGET)] if one.point.is_flag else []
        return one.moved(self.room_below(one.boxes, pressed))

    def room_below(self, boxes: Sequence[Box], pressed: Sequence[Box] = ()) -> float:
        """How far down (px, 0 or more) these boxes have to go together until they meet nothing."""
        down = 0.0
        for first, last in sorted((*_barred(boxes, self.boxes, CLEAR), *_barred(pressed, self.targets, 0.0))):
            if first >= down:
                break
            down = max(down, last)
        return down


def _barred(boxes: Iterable[Box], taken: Sequence[Box], gap: float) -> Iterable[tuple[float, float]]:
    """Moves downward (from, to) by which one of the boxes would meet something."""
    for box in boxes:
        for other in taken:
            if box.left < other.right + gap and other.left < box.right + gap and other.bottom + gap > box.top:
                yield other.top - gap - box.bottom, other.bottom + gap - box.top
