"""Reading a curve between frames: a value at a time, the greatest value in a window, where a level is crossed.

Curves have one value a frame, shape (frames,); times are seconds from the curve's first frame.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from metrics.kinematics.vectors import Array

MOST_UNSEEN = 0.10  # share of a window's frames that may be NaN when its greatest value is read


def value_at(curve: Array, time_s: float, rate_hz: float) -> float:
    """The value at a time: cubic through the four frames around it, linear where only the two next to it are seen.

    NaN when one of those two is NaN or the time lies outside the curve. ``curve`` may not jump: unwrap it first.
    """
    if not math.isfinite(time_s):
        return math.nan
    place = time_s * rate_hz
    near = round(place)
    if abs(place - near) < 1e-6:
        return float(curve[near]) if 0 <= near < len(curve) else math.nan
    left = math.floor(place)
    if left < 0 or left + 1 >= len(curve):
        return math.nan
    share = place - left
    around = curve[left - 1 : left + 3] if left >= 1 else curve[:0]
    if len(around) < 4 or not np.isfinite(around).all():
        return float((1 - share) * curve[left] + share * curve[left + 1])
    before, first, second, after = around
    return float(
        -share * (share - 1) * (share - 2) / 6 * before
        + (share + 1) * (share - 1) * (share - 2) / 2 * first
        - (share + 1) * share * (share - 2) / 2 * second
        + (share + 1) * share * (share - 1) / 6 * after
    )


def rows_at(course: Array, time_s: float, rate_hz: float) -> Array:
    """Each column of a course (frames, k) at a time, shape (k,)."""
    return np.array([value_at(course[:, column], time_s, rate_hz) for column in range(course.shape[1])])


def frames_between(first_s: float, last_s: float, rate_hz: float, count: int) -> NDArray[np.int64]:
    """Frames whose time lies within [first, last]; none when a limit is NaN."""
    if not (math.isfinite(first_s) and math.isfinite(last_s)):
        return np.arange(0)
    first = max(0, math.ceil(first_s * rate_hz - 1e-9))
    last = min(count - 1, math.floor(last_s * rate_hz + 1e-9))
    return np.arange(first, last + 1)


def greatest(curve: Array, first_s: float, last_s: float, rate_hz: float) -> tuple[float, float]:
    """Time (s) and value of the greatest value from first to last, both ends read between frames.

    A peak on a frame is refined by the parabola through it and its neighbours. NaN when over a tenth of the window
    is unseen, or when a greater value than the one seen may be hidden.
    """
    frames = frames_between(first_s, last_s, rate_hz, len(curve))
    values = curve[frames]
    seen = np.isfinite(values)
    if len(frames) == 0 or not seen.any() or (~seen).mean() > MOST_UNSEEN:
        return math.nan, math.nan
    best = int(np.nanargmax(values))
    frame, value = int(frames[best]), float(values[best])
    at_ends = [(value_at(curve, end, rate_hz), end) for end in (first_s, last_s)]
    top, end = max(((at, end) for at, end in at_ends if at > value), default=(value, math.nan))
    if _hidden_top(curve, frames) > top:
        return math.nan, math.nan
    return (end, top) if math.isfinite(end) else _refined(curve, frame, rate_hz, first_s, last_s)


def _hidden_top(curve: Array, frames: NDArray[np.int64]) -> float:
    """How high a curve may get in the unseen frames of a window: both edges of each gap carried on as they come in.

    A level edge counts as hiding what is beside it; -inf when every frame is seen, inf when an edge says nothing.
    """
    unseen = np.isnan(np.pad(curve, 2, constant_values=-np.inf))
    if not unseen[frames + 2].any():
        return -math.inf
    starts, ends = np.flatnonzero(unseen[1:] & ~unseen[:-1]) - 1, np.flatnonzero(~unseen[1:] & unseen[:-1]) - 1
    tops = [-math.inf]
    for first, last in zip(starts.tolist(), ends.tolist(), strict=True):  # last is not unseen
        if first <= frames[-1] and last > frames[0]:
            tops += [_carried_on(curve, first - 1, -1, last - first), _carried_on(curve, last, 1, last - first)]
    return max(tops)


def _carried_on(curve: Array, edge: int, away: int, count: int) -> float:
    """The value at the edge of a gap of ``count`` frames, and what its slope into the gap would add."""
    if not 0 <= edge < len(curve) or curve[edge] == -math.inf:
        return -math.inf
    further = edge + away
    slope = curve[edge] - curve[further] if 0 <= further < len(curve) else math.nan
    return float(curve[edge] + count * max(slope, 1e-9)) if math.isfinite(slope) else math.inf


def _refined(curve: Array, frame: int, rate_hz: float, first_s: float, last_s: float) -> tuple[float, float]:
    offset, value = parabola(curve, frame)
    time = (frame + offset) / rate_hz
    if first_s <= time <= last_s:
        return time, value
    return frame / rate_hz, float(curve[frame])


def parabola(curve: Array, frame: int) -> tuple[float, float]:
    """Vertex of the parabola through a frame and its neighbours: offset in frames (within ±0.5) and value.

    The frame itself where it is no extreme of the three, or at an end.
    """
    if not 0 < frame < len(curve) - 1:
        return 0.0, float(curve[frame])
    left, middle, right = curve[frame - 1 : frame + 2]
    bend = left - 2 * middle + right
    extreme = (middle - left) * (middle - right) >= 0
    if not np.isfinite(bend) or bend == 0 or not extreme:
        return 0.0, float(middle)
    offset = 0.5 * (left - right) / bend
    return float(offset), float(middle - 0.25 * (left - right) * offset)


def crossing(curve: Array, frame: int, level: float, rate_hz: float) -> float:
    """Time (s) between a frame and the next at which the straight line between their values passes a level."""
    first, second = curve[frame], curve[frame + 1]
    share = 0.5 if second == first else (level - first) / (second - first)
    return (frame + float(np.clip(share, 0.0, 1.0))) / rate_hz


def first_run(flags: NDArray[np.bool_], length: int, start: int = 0) -> int | None:
    """First frame at or after ``start`` from which flags stay True for ``length`` frames; None when there is none."""
    flags = flags[start:]
    if length < 1 or len(flags) < length:
        return None
    counts = np.concatenate([[0], np.cumsum(flags)])
    whole = np.flatnonzero(counts[length:] - counts[:-length] == length)
    return start + int(whole[0]) if len(whole) else None
