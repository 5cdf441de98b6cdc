"""When the front foot lands: first touch, and when weight can be on it. From the foot's markers, or from a plate.

Curves are of the lighter event copy, working axes, m; times are seconds from the first frame.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from metrics.kinematics.sampling import crossing, first_run, frames_between, parabola
from metrics.kinematics.vectors import Array, central_difference, norm, second_difference

REST_SPEED = 0.5  # m/s: an ankle under it can carry weight
REST_S = 0.050  # s for which the ankle stays under it
HEIGHT_WINDOW_S = (0.030, 0.080)  # s after rest in which the landing height is taken
CLEARANCE_M = 0.006  # above landing height a landmark is in the air
STOP_SEARCH_S = 0.020  # s after it was last in the air
SINKING_S = 0.006  # s in which sole and ground take up the fall, along half a cosine (assumed)
STAYING_S = 0.025  # s after touch in which a landmark stays
# s before touch in which it falls evenly, and s either side of a time that are tried: first steadily, then closely
FALLING_S = ((0.040, 0.012), (0.022, 0.004))
TRIED_STEP_S = 0.0005
SEARCH_AFTER_REST_S = 0.050  # s: a toe that slaps down may touch after the ankle has come to rest
PLATE_N, PLATE_S = 20.0, 0.010  # vertical force, and how long it stays
PLATE_SEARCH_S = 0.080  # s around the touch by markers
LOADED_SHARE = 0.10  # of body weight

X, Z = 0, 2


@dataclass(frozen=True, slots=True)
class Landing:
    """Times in s: touches of heel and toe, first touch, and from when the ankle stays slow. NaN when not found."""

    heel: float
    toe: float
    contact: float
    plant: float


NOT_FOUND = Landing(math.nan, math.nan, math.nan, math.nan)


@dataclass(frozen=True, slots=True, eq=False)
class Landmark:
    """Heel or toe: ``smooth`` of the event copy and ``unfiltered``, each (frames, 3), m."""

    smooth: Array
    unfiltered: Array


def find_landing(
    ankle: Array, heel: Landmark, toe: Landmark, lift_s: float, fastest_s: float, rate_hz: float
) -> Landing:  # fmt: skip
    """Landing of the lead foot between peak knee lift and the wrist's fastest moment.

    ``ankle``: (frames, 3), m. Heights are those of this landing, since a mound falls 8 cm a metre.
    """
    between = frames_between(lift_s, fastest_s, rate_hz, len(ankle))
    forward = central_difference(ankle[:, X], rate_hz)
    speed = norm(central_difference(ankle, rate_hz))
    if len(between) == 0 or not np.isfinite(forward[between]).any():
        return NOT_FOUND
    fastest = int(between[np.nanargmax(forward[between])])
    slow = speed < REST_SPEED
    rest = first_run(slow, math.ceil(REST_S * rate_hz), fastest)
    if rest is None:
        return NOT_FOUND
    touches = [_touch(mark, fastest, rest, rate_hz) for mark in (heel, toe)]
    seen = [time for time in touches if math.isfinite(time)]
    if not seen:
        return NOT_FOUND
    absent = [mark for mark in (heel, toe) if np.isnan(mark.smooth).all()]
    # A landmark that a gap hides may have touched later; one that the file does not have is done without.
    plant = _steady(speed, max(seen), rest, rate_hz) if len(seen) + len(absent) == 2 else math.nan
    return Landing(touches[0], touches[1], min(seen), plant)


def _touch(mark: Landmark, fastest: int, rest: int, rate_hz: float) -> float:
    """When a landmark touches, from its greatest upward acceleration after it was last in the air; NaN when not seen.

    A fixed speed or height is crossed early by a slow landing and late by a fast one (4 ms early at 0.5 m/s, 5 ms late
    at 1.6 m/s); the moment of the hardest stop does not depend on how fast the foot came.
    """
    height = mark.smooth[:, Z]
    low, high = (rest + round(seconds * rate_hz) for seconds in HEIGHT_WINDOW_S)
    after = height[low : high + 1]
    if not np.isfinite(after).any():
        return math.nan
    last = min(rest + round(SEARCH_AFTER_REST_S * rate_hz), len(height) - 2)
    in_air = np.flatnonzero(height[fastest : last + 1] > float(np.nanmedian(after)) + CLEARANCE_M)
    if len(in_air) == 0:
        return math.nan
    down = fastest + int(in_air[-1])
    stopping = second_difference(height, rate_hz)
    window = stopping[down : min(down + math.ceil(STOP_SEARCH_S * rate_hz), last) + 1]
    if not np.isfinite(window).all():
        return math.nan
    frame = down + int(np.argmax(window))
    touch = (frame + parabola(stopping, frame)[0]) / rate_hz - SINKING_S / 2
    for falling_s, tried_s in FALLING_S:
        touch = _meets_ground(mark.unfiltered[:, Z], touch, falling_s, tried_s, rate_hz)
    return touch


def _meets_ground(height: Array, near_s: float, falling_s: float, tried_s: float, rate_hz: float) -> float:
    """The touch (s) within ``tried_s`` of a time that makes a fall at one speed, then rest, most like ``height``.

    Every frame around has its say, so noise moves it half as much as it moves the hardest stop. Frames count less the
    longer before touch they are: no foot falls at one speed for long. ``near_s`` itself where one of them is not seen.
    """
    first = math.ceil((near_s - tried_s - falling_s) * rate_hz)
    frames = np.arange(first, math.floor((near_s + STAYING_S) * rate_hz) + 1)
    if first < 0 or frames[-1] >= len(height) or not np.isfinite(height[frames]).all():
        return near_s
    touches = near_s + np.arange(-tried_s, tried_s + TRIED_STEP_S / 2, TRIED_STEP_S)
    before = touches[:, None] - frames / rate_hz
    weights = np.where(before > 0, np.maximum(1 - before / falling_s, 0.0), 1.0)
    weights /= weights.sum(axis=1, keepdims=True)
    course, seen = _still_above(before), height[frames]
    course = course - (weights * course).sum(axis=1, keepdims=True)
    seen = seen - (weights * seen).sum(axis=1, keepdims=True)
    followed = (weights * course * seen).sum(axis=1) ** 2 / (weights * course**2).sum(axis=1)
    likeness = followed - (weights * seen**2).sum(axis=1)  # minus what least squares leave over
    best = int(np.argmax(likeness))
    return float(touches[best] + parabola(likeness, best)[0] * TRIED_STEP_S)


def _still_above(before: Array) -> Array:
    """Height above where it stays, s (m for each m/s of fall), of a landmark so many seconds before its touch."""
    sunk = np.clip(-before, 0.0, SINKING_S)
    turn = np.pi / SINKING_S
    return np.maximum(before, 0.0) + (SINKING_S - sunk - np.sin(turn * sunk) / turn) / 2


def _steady(speed: Array, later_touch_s: float, rest: int, rate_hz: float) -> float:
    """From when, after the later touch, the ankle stays under 0.5 m/s; NaN when it is not seen then."""
    start = max(math.ceil(later_touch_s * rate_hz), 1)
    if np.isnan(speed[start]):
        return math.nan
    begin = first_run(speed < REST_SPEED, math.ceil(REST_S * rate_hz), min(start, max(rest, start)))
    if begin is None:
        return math.nan
    if begin == start and speed[begin - 1] < REST_SPEED:
        return later_touch_s
    return max(later_touch_s, crossing(speed, begin - 1, REST_SPEED, rate_hz))


def touch_on_plate(vertical: Array, plate_hz: float, near_s: float) -> float:
    """First time near a touch by markers at which vertical force (samples,), N, stays over 20 N for 10 ms; else NaN."""
    return _stays_above(vertical, PLATE_N, plate_hz, near_s - PLATE_SEARCH_S, near_s + PLATE_SEARCH_S)


def loaded_on_plate(vertical: Array, plate_hz: float, contact_s: float, weight_n: float) -> float:
    """First time after contact at which vertical force stays above 10% of body weight; else NaN."""
    return _stays_above(vertical, LOADED_SHARE * weight_n, plate_hz, contact_s, contact_s + 2 * PLATE_SEARCH_S)


def _stays_above(vertical: Array, level: float, plate_hz: float, first_s: float, last_s: float) -> float:
    samples = frames_between(first_s, last_s, plate_hz, len(vertical))
    if len(samples) == 0:
        return math.nan
    begin = first_run(vertical > level, max(1, math.ceil(PLATE_S * plate_hz)), int(samples[0]))
    if begin is None or begin > samples[-1] or begin == samples[0] == 0:
        return math.nan
    if vertical[begin - 1] >= level:
        return begin / plate_hz
    return crossing(vertical, begin - 1, level, plate_hz)
