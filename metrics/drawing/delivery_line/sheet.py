"""What is taken on a picture that grows downward, and how far down the next thing has to go."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from metrics.drawing.delivery_line.places import Box, Placed

BESIDE, BELOW = 3.0, 6.0  # px kept free between things
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
        for first, last in sorted((*_barred(boxes, self.boxes, BESIDE, BELOW), *_barred(pressed, self.targets))):
            if first >= down:
                break
            down = max(down, last)
        return down


def _barred(
    boxes: Iterable[Box], taken: Sequence[Box], beside: float = 0.0, below: float = 0.0
) -> Iterable[tuple[float, float]]:
    """Moves downward (from, to) by which one of the boxes would meet something."""
    for box in boxes:
        for other in taken:
            is_beside = box.right + beside <= other.left or other.right + beside <= box.left
            if not is_beside and other.bottom + below > box.top:
                yield other.top - below - box.bottom, other.bottom + below - box.top
