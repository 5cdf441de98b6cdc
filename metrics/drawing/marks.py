"""The verdict's mark: shape says the zone, point or dome the side that is off, fill how sure we are.

Sizes are those of a mark of nominal size s: disc of radius 0.40 s, half disc of radius 0.52 s, triangle 1.12 s
wide and 0.92 s high, dash 0.8 s long. Likely is hollow; can't tell is hollow with a question mark.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape

IN_RANGE, WATCH, FLAG, NOT_SCORED = "in_range", "watch", "flag", "not_scored"
SURE, LIKELY, CANT_TELL = "sure", "likely", "cant_tell"
LOW, HIGH = "low", "high"

DISC = 0.40
HALF_DISC = 0.52
TRIANGLE_HALF_WIDTH = 0.56
TRIANGLE_POINT = 0.50
TRIANGLE_BASE = 0.42
HALF_DISC_ON_AXIS = HALF_DISC * 3**0.5 / 2  # half width of the half disc at the height of the line
TRIANGLE_ON_AXIS = TRIANGLE_HALF_WIDTH * TRIANGLE_POINT / (TRIANGLE_POINT + TRIANGLE_BASE)
DASH = 0.40
QUESTION_WIDTH = 4


@dataclass(frozen=True)
class Verdict:
    """What a mark shows. zone: in_range, watch, flag or not_scored (anything else is not scored);
    side: low, high or ""; sure: sure, likely or cant_tell."""

    zone: str
    side: str = ""
    sure: str = SURE

    @property
    def is_scored(self) -> bool:
        return self.zone in SHAPES

    @property
    def is_hollow(self) -> bool:
        return self.sure != SURE


def number(value: float) -> str:
    """Write a coordinate with two decimals at most and no "-0"."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _disc(size: float, side: str) -> str:
    radius = number(DISC * size)
    return f"M-{radius},0A{radius},{radius} 0 1 1 {radius},0A{radius},{radius} 0 1 1 -{radius},0Z"


def _half_disc(size: float, side: str) -> str:
    radius, half = number(HALF_DISC * size), number(HALF_DISC * size / 2)
    if side == LOW:
        return f"M-{radius},-{half}A{radius},{radius} 0 0 0 {radius},-{half}Z"
    return f"M-{radius},{half}A{radius},{radius} 0 0 1 {radius},{half}Z"


def _triangle(size: float, side: str) -> str:
    point, base, half = (number(part * size) for part in (TRIANGLE_POINT, TRIANGLE_BASE, TRIANGLE_HALF_WIDTH))
    if side == LOW:
        return f"M0,{point}L{half},-{base}H-{half}Z"
    return f"M0,-{point}L{half},{base}H-{half}Z"


@dataclass(frozen=True)
class Shape:
    """A zone's outline, its class, and how far it reaches from its centre (in nominal sizes): to the side,
    to the side at the height of the uncertainty line, and up or down at least."""

    path: Callable[[float, str], str]
    name: str
    half_width: float
    half_width_on_axis: float
    half_height: float


SHAPES = {
    IN_RANGE: Shape(_disc, "in", DISC, DISC, DISC),
    WATCH: Shape(_half_disc, "watch", HALF_DISC, HALF_DISC_ON_AXIS, HALF_DISC / 2),
    FLAG: Shape(_triangle, "flag", TRIANGLE_HALF_WIDTH, TRIANGLE_ON_AXIS, TRIANGLE_BASE),
}
DASH_SHAPE = Shape(lambda size, side: f"M-{number(DASH * size)},0H{number(DASH * size)}", "none", DASH, DASH, 0.1)


def shape_of(verdict: Verdict) -> Shape:
    """Return the shape of a verdict's zone; not scored is the dash."""
    return SHAPES.get(verdict.zone, DASH_SHAPE)


def mark_at(verdict: Verdict, size: float, x: float, y: float) -> str:
    """Return the mark as a group centred on (x, y), without the paper around it."""
    shape = shape_of(verdict)
    hollow = " hol" if verdict.is_scored and verdict.is_hollow else ""
    body = f'<path class="k-{shape.name}{hollow}" d="{shape.path(size, verdict.side)}"/>'
    if verdict.is_scored and verdict.sure == CANT_TELL:
        at_x, at_y = number(shape.half_width * size + 1.6), number(-0.22 * size)
        body += f'<text class="q t-{shape.name}" x="{at_x}" y="{at_y}">?</text>'
    return f'<g transform="translate({number(x)},{number(y)})">{body}</g>'


def halo_at(verdict: Verdict, size: float, x: float, y: float) -> str:
    """Return 3 px of paper around the mark at (x, y), so that the mark is judged against paper."""
    hollow = " hol" if verdict.is_hollow else ""
    path = shape_of(verdict).path(size, verdict.side)
    return f'<path class="halo{hollow}" transform="translate({number(x)},{number(y)})" d="{path}"/>'


def verdict_mark(verdict: Verdict, *, size: float = 12, name: str = "") -> str:
    """Return the mark as a picture of its own: hidden from screen readers beside its word, named when alone."""
    half = size / 2 + 2
    width = 2 * half + (QUESTION_WIDTH if verdict.is_scored and verdict.sure == CANT_TELL else 0)
    access = f'role="img" aria-label="{escape(name)}"' if name else 'aria-hidden="true"'
    return (
        f'<svg class="mark" width="{number(width)}" height="{number(2 * half)}" '
        f'viewBox="{number(-half)} {number(-half)} {number(width)} {number(2 * half)}" {access}>'
        f"{mark_at(verdict, size, 0, 0)}</svg>"
    )
