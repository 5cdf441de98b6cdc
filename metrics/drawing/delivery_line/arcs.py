"""The course of an arc from an effect to its cause."""

from __future__ import annotations

from dataclasses import dataclass

from metrics.drawing.marks import number

BESIDE = 26.0
"""px of time under which two marks count as standing above one another."""
BOW = 26.0


@dataclass(frozen=True, slots=True)
class End:
    """Middle of a mark and how far from it an arc ends, px."""

    x: float
    y: float
    reach: float


def leftward(effect: End, cause: End, *, highest: float = 0.0, leftmost: float = 0.0) -> str:
    """The path of an arc in the picture whose time runs to the right.

    It leaves level to the left and falls on the cause from above; a cause at the same height or higher is reached by
    a bow. Where both stand at one moment, or the cause later, it goes round on the left. No part lies above `highest`
    or left of `leftmost`.
    """
    across, down = effect.x - cause.x, cause.y - effect.y
    if across < BESIDE:
        return _round_the_left(effect, cause, leftmost)
    if down > 10:
        start = (effect.x - effect.reach, effect.y)
        first = (effect.x - 0.55 * across, effect.y)
        second = (cause.x + 0.06 * across, cause.y - 0.65 * down)
        return _curve(start, first, second, (cause.x + 2.0, cause.y - cause.reach))
    top = max(highest, min(effect.y, cause.y) - min(BOW + 0.06 * across, 60.0))
    start = (effect.x - 0.8 * effect.reach, effect.y - 0.6 * effect.reach)
    first, second = (effect.x - 0.30 * across, top), (cause.x + 0.28 * across, top)
    return _curve(start, first, second, (cause.x + 0.6 * cause.reach, cause.y - 0.8 * cause.reach))


def _round_the_left(effect: End, cause: End, leftmost: float) -> str:
    turn = max(leftmost, min(effect.x, cause.x) - 22.0 - 0.10 * abs(cause.y - effect.y))
    return _curve(
        (effect.x - effect.reach, effect.y), (turn, effect.y), (turn, cause.y), (cause.x - cause.reach, cause.y)
    )


def upward(effect: End, cause: End, *, leftmost: float = 0.0) -> str:
    """The path of an arc in the picture whose time runs down: it leaves upward and falls on the cause from below."""
    up = effect.y - cause.y
    if up < BESIDE and abs(effect.x - cause.x) < BESIDE:
        return _round_the_left(effect, cause, leftmost)
    if up < BESIDE:
        top = min(effect.y, cause.y) - 38.0
        start, end = (effect.x, effect.y - effect.reach), (cause.x, cause.y - cause.reach)
        return _curve(start, (effect.x, top), (cause.x, top), end)
    first, second = (effect.x, effect.y - 0.55 * up), (cause.x, cause.y + 0.40 * up)
    return _curve((effect.x, effect.y - effect.reach), first, second, (cause.x, cause.y + cause.reach))


def _curve(
    start: tuple[float, float], first: tuple[float, float], second: tuple[float, float], end: tuple[float, float]
) -> str:
    pairs = " ".join(f"{number(x)},{number(y)}" for x, y in (first, second, end))
    return f"M{number(start[0])},{number(start[1])}C{pairs}"
