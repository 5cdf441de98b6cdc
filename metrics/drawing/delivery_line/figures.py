"""The pitcher at the events, above the line: a few strokes from the throw's own markers, side on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from metrics.drawing.delivery_line.parts import Stroke
from metrics.drawing.delivery_line.places import Box
from metrics.drawing.marks import number

HEIGHT = 80.0  # px above the names of the events, the floor at its end
LARGEST = 30.0  # px a metre
HEAD_RADIUS_M = 0.11
HEAD = "head"
APART = 4.0


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure where it stands: its strokes in px, each with its class, and the box that it fills."""

    event: str
    strokes: tuple[tuple[str, tuple[tuple[float, float], ...]], ...]
    scale: float
    box: Box


def placed_figures(
    figures: Mapping[str, Sequence[Stroke]], events: Sequence[tuple[str, float]], left: float, right: float
) -> list[Figure]:
    """Figures around the lines of their events (key, x px), all at one scale, the floor at `HEIGHT`.

    One that would lie on an earlier one or leave the picture is left out.
    """
    heights = [y for strokes in figures.values() for _, points in strokes for _, y in points]
    scale = min(LARGEST, (HEIGHT - 8.0) / max(heights, default=1.0)) if max(heights, default=1.0) > 0 else LARGEST
    found: list[Figure] = []
    for event, x in sorted(events, key=lambda one: one[1]):
        strokes = [stroke for stroke in figures.get(event, ()) if stroke[1]]
        if not strokes:
            continue
        figure = _placed(event, strokes, x, scale)
        is_inside = left <= figure.box.left and figure.box.right <= right
        if is_inside and not any(figure.box.meets(other.box, APART) for other in found):
            found.append(figure)
    return found


def _placed(event: str, strokes: Sequence[Stroke], x: float, scale: float) -> Figure:
    across = [place for _, points in strokes for place, _ in points]
    middle = (min(across) + max(across)) / 2
    drawn = tuple(
        (css, tuple((x + (along - middle) * scale, HEIGHT - up * scale) for along, up in points))
        for css, points in strokes
    )
    places = [place for _, points in drawn for place in points]
    edge = HEAD_RADIUS_M * scale
    box = Box(
        min(x for x, _ in places) - edge,
        min(y for _, y in places) - edge,
        max(x for x, _ in places) + edge,
        max(y for _, y in places),
    )
    return Figure(event, drawn, scale, box)


def figures_svg(figures: Sequence[Figure], left: float, right: float) -> Iterable[str]:
    """The floor and the figures; a head is a circle around the middle of its stroke."""
    if figures:
        yield f'<path class="floor" d="M{number(left)},{number(HEIGHT)}H{number(right)}"/>'
    for figure in figures:
        body = "".join(_stroke(css, points, figure.scale) for css, points in figure.strokes)
        yield f'<g class="fig" data-event="{escape(figure.event)}">{body}</g>'


def _stroke(css: str, points: Sequence[tuple[float, float]], scale: float) -> str:
    if css == HEAD:
        x, y = (sum(place[axis] for place in points) / len(points) for axis in (0, 1))
        return f'<circle class="head" cx="{number(x)}" cy="{number(y)}" r="{number(HEAD_RADIUS_M * scale)}"/>'
    course = "L".join(f"{number(x)},{number(y)}" for x, y in points)
    return f'<path class="{escape(css)}" d="M{course}"/>'
