"""Metrics that are distances and heights in the room: stride, release, glove arm, knee lift, and the ball's speed.

Lengths that the catalogue shows in percent of height are metres here, as readings are stored.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from metrics.kinematics.landmarks import BALL, Markers
from metrics.kinematics.reading import Found, Throw, missing
from metrics.kinematics.sampling import frames_between
from metrics.kinematics.vectors import Array, norm

CM = 100.0
LEAST_FLIGHT_FRAMES = 4
MOST_FLIGHT_S = 0.060  # s of flight that are used for the ball's speed
X, Y, Z = 0, 1, 2
_ANKLES = ("R_LM", "R_MM", "L_LM", "L_MM")
_KNEE = ("L_FLE", "L_FME")
_WRIST = ("R_RS", "R_US")
_FEET = ("R_CA", "R_MT2")

Measure = Callable[[Throw], Found]


def floor_height(markers: Markers, lift_s: float, marker_height_m: float) -> float:
    """Height of the floor under the rear foot at peak knee lift, m: its lowest marker less that marker's own height."""
    frame = int(np.clip(round(lift_s * markers.rate_hz), 0, len(markers) - 1))
    heights = np.array([markers[label][frame, Z] for label in _FEET])
    return float(np.nanmin(heights)) - marker_height_m if np.isfinite(heights).any() else float("nan")


def _from_rear_ankle(throw: Throw, place: str, event: str, labels: tuple[str, ...]) -> Array | Found:
    """From the rear ankle at peak knee lift to a place at an event, (3,) m."""
    if unknown := throw.without("pkh", event):
        return unknown
    way = throw.place(place, event) - throw.place("R_ankle", "pkh")
    if np.isfinite(way).all():
        return np.asarray(way)
    hidden = throw.why_not_labels(_ANKLES[:2], throw.time("pkh"), throw.time("pkh"))
    return hidden if hidden.code != "undefined" else throw.why_not_labels(labels, throw.time(event), throw.time(event))


def _stride_length(throw: Throw) -> Found:
    way = _from_rear_ankle(throw, "L_ankle", "fp", _ANKLES[2:])
    return way if isinstance(way, Found) else Found(float(way[X]), throw.time("fp"))


def _stride_offset(throw: Throw) -> Found:
    way = _from_rear_ankle(throw, "L_ankle", "fp", _ANKLES[2:])
    return way if isinstance(way, Found) else Found(float(CM * way[Y]), throw.time("fp"))


def _release_extension(throw: Throw) -> Found:
    way = _from_rear_ankle(throw, "R_wrist", "br", _WRIST)
    return way if isinstance(way, Found) else Found(float(way[X]), throw.time("br"))


def _above_floor(place: str, event: str, labels: tuple[str, ...], floor_m: float) -> Measure:
    def measure(throw: Throw) -> Found:
        if unknown := throw.without(event):
            return unknown
        height = throw.place(place, event)[Z] - floor_m
        if np.isfinite(height):
            return Found(float(height), throw.time(event))
        if not np.isfinite(floor_m):
            return throw.why_not_labels(_FEET, throw.time("pkh"), throw.time("pkh"))
        return throw.why_not_labels(labels, throw.time(event), throw.time(event))

    return measure


def _glove_drift(throw: Throw) -> Found:
    found = throw.greatest("glove_drift", "fp", "br")
    return Found(CM * found.value, found.time_s) if found.measured else found


def ball_speed(ball: Array, release_s: float, rate_hz: float) -> float:
    """Speed (m/s) of a ball that is seen in flight: straight line through its first 60 ms after release; else NaN.

    ``ball`` (frames, 3), m, not filtered. Gravity's bend over so short a way is under 0.1% of the speed.
    """
    frames = frames_between(release_s + 1 / rate_hz, release_s + MOST_FLIGHT_S, rate_hz, len(ball))
    frames = frames[np.isfinite(ball[frames]).all(axis=-1)]
    if len(frames) < LEAST_FLIGHT_FRAMES or np.ptp(frames) + 1 > 2 * len(frames):
        return float("nan")
    slopes = np.polyfit(frames / rate_hz, ball[frames], 1)[0]
    return float(norm(slopes))


def _ball_speed(typed: float | None) -> Measure:
    def measure(throw: Throw) -> Found:
        release = throw.time("br")
        speed = typed or ball_speed(throw.movement.markers[BALL], release, throw.rate_hz)
        return Found(float(speed), release) if np.isfinite(speed) else missing("no_ball")

    return measure


def measures(floor_m: float, typed_ball_speed: float | None) -> Iterator[tuple[str, Measure]]:
    """Catalogue key → how it is measured."""
    yield "peak_knee_lift", _above_floor("L_knee", "pkh", _KNEE, floor_m)
    yield "release_height", _above_floor("R_wrist", "br", _WRIST, floor_m)
    yield "release_extension", _release_extension
    yield "stride_length", _stride_length
    yield "stride_offset", _stride_offset
    yield "glove_arm_drift", _glove_drift
    yield "ball_speed", _ball_speed(typed_ball_speed)
