"""Angles and speeds over time, all throws on one clock: seconds from contact, contact to release equally long.

Pure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from metrics.kinematics import ThrowMeasurement
from metrics.kinematics.vectors import Array
from metrics.measuring.figure import at_times

STEP_S: Final = 0.004
BEFORE_S, AFTER_S = 1.0, 0.35


@dataclass(frozen=True, slots=True)
class Curve:
    """``name``: of `Movement.curve`. ``sign``: -1 where the metrics count the other way."""

    name: str
    title: str
    unit: str
    lane: str
    sign: float = 1.0


CURVES: Final = (
    Curve("elbow_flexion", "Elbow flexion", "deg", "arm"),
    Curve("shoulder_external_rotation", "Shoulder external rotation", "deg", "arm"),
    Curve("shoulder_abduction", "Shoulder abduction", "deg", "arm"),
    Curve("shoulder_horizontal_abduction", "Shoulder horizontal abduction", "deg", "arm"),
    Curve("elbow_extension_velocity", "Elbow extension speed", "deg/s", "arm"),
    Curve("shoulder_internal_rotation_velocity", "Shoulder internal rotation speed", "deg/s", "arm"),
    Curve("trunk_rotation", "Trunk rotation", "deg", "trunk"),
    Curve("separation", "Hip-shoulder separation", "deg", "trunk"),
    Curve("trunk_forward_tilt", "Trunk forward tilt", "deg", "trunk"),
    Curve("trunk_lateral_tilt", "Trunk side tilt", "deg", "trunk"),
    Curve("trunk_extension", "Trunk extension", "deg", "trunk"),
    Curve("trunk_velocity", "Trunk rotation speed", "deg/s", "trunk"),
    Curve("pelvis_rotation", "Pelvis rotation", "deg", "lower_half"),
    Curve("pelvis_velocity", "Pelvis rotation speed", "deg/s", "lower_half"),
    Curve("pelvis_speed", "Pelvis travel speed", "m/s", "lower_half"),
    Curve("lead_knee_flexion", "Lead knee flexion", "deg", "lower_half"),
    Curve("drive_knee_flexion", "Rear knee flexion", "deg", "lower_half"),
    Curve("lead_hip_flexion", "Lead hip flexion", "deg", "lower_half"),
    Curve("drive_hip_flexion", "Rear hip flexion", "deg", "lower_half"),
)
BY_NAME: Final = {curve.name: curve for curve in CURVES}


@dataclass(frozen=True, slots=True)
class ThrowCurves:
    """One throw's curves on its own clock, s from contact. ``release_s``: of ball release on it."""

    times: Array
    values: dict[str, Array]
    release_s: float


def curves_of(measured: ThrowMeasurement) -> ThrowCurves:
    """Every curve at the recording's own frames, from a second before contact to a third after release."""
    movement, rate = measured.movement, measured.movement.rate_hz
    contact, release = (measured.events[key] - measured.start_s for key in ("fc", "br"))
    first = max(0, int(np.ceil((contact - BEFORE_S) * rate)))
    last = min(len(movement.markers), int(np.floor((release + AFTER_S) * rate)) + 1)
    times = np.arange(first, last) / rate - contact
    values = {
        one.name: (one.sign * movement.curve(one.name)[first:last]).astype(np.float32).astype(np.float64)
        for one in CURVES
    }
    return ThrowCurves(times, values, release - contact)


def common_times(throws: Sequence[ThrowCurves]) -> tuple[Array, float]:
    """The clock that all are drawn on, and the mean time from contact to release."""
    release = float(np.mean([one.release_s for one in throws]))
    return np.arange(-BEFORE_S, release + AFTER_S, STEP_S), release


def on_common_clock(throw: ThrowCurves, name: str, times: Array, release_s: float) -> Array:
    """One curve at common times (n,): contact and release lie where they lie for all; NaN outside the recording."""
    own = np.where(
        times <= 0,
        times,
        np.where(times >= release_s, times - release_s + throw.release_s, times * throw.release_s / release_s),
    )
    values = throw.values[name]
    if len(values) < 2:
        return np.full(len(times), np.nan)
    rate = 1.0 / (throw.times[1] - throw.times[0])
    inside = (own >= throw.times[0]) & (own <= throw.times[-1])
    return np.where(inside, at_times(values, own - throw.times[0], rate), np.nan)


def to_common(time_s: float, own_release_s: float, release_s: float) -> float:
    """A throw's own time, s from contact, on the common clock."""
    if time_s <= 0:
        return time_s
    if time_s >= own_release_s:
        return time_s - own_release_s + release_s
    return time_s * release_s / own_release_s


def mean_and_sd(rows: Array) -> tuple[Array, Array]:
    """Mean and sample SD over throws (throws, n), where all of at least two are seen; NaN elsewhere."""
    if not len(rows):
        return np.zeros(0), np.zeros(0)
    mean = rows.mean(axis=0)
    sd = rows.std(axis=0, ddof=1) if len(rows) > 1 else np.full(rows.shape[1], np.nan)
    return mean, sd


def plain(values: Array, decimals: int = 2) -> list[Any]:
    """For JSON: None where not seen."""
    return [round(float(value), decimals) if np.isfinite(value) else None for value in values]
