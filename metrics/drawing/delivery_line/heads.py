"""Names of the events above their lines, in as many storeys as it takes."""

from __future__ import annotations

from collections.abc import Sequence

from metrics.drawing.delivery_line.lettering import broken, width_of
from metrics.drawing.delivery_line.places import MIDDLE, Words

LINE = 14.0
NAME_WIDTH = 104.0
RIGHT_EDGE = 1198.0


def event_heads(events: Sequence[tuple[str, float]], top: float, left: float) -> tuple[list[Words], float]:
    """Words of the events (name, x) below `top`, and where they end; the names of later events give way upward."""
    storeys: list[list[tuple[float, tuple[str, ...]]]] = []
    ends: list[float] = []
    for name, x in sorted(events, key=lambda event: event[1]):
        lines = broken(name, NAME_WIDTH, 12.0, most=2)
        half = max((width_of(text, 12.0) for text in lines), default=0.0) / 2
        middle = min(max(x, left + half + 2), RIGHT_EDGE - half)
        storey = next((index for index, end in enumerate(ends) if end + 6 <= middle - half), len(ends))
        if storey == len(ends):
            ends.append(0.0)
            storeys.append([])
        ends[storey] = middle + half
        storeys[storey].append((middle, lines))
    bottom = top + 10.0 + 2 * LINE * max(len(storeys), 1)
    words = [
        Words(text, middle, bottom - 2 * LINE * storey - LINE * (len(lines) - 1 - index) - 4.0, MIDDLE, "ev")
        for storey, named in enumerate(storeys)
        for middle, lines in named
        for index, text in enumerate(lines)
    ]
    return words, bottom + 6.0
