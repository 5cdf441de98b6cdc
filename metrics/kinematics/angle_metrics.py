"""Metrics that are a curve's value at an event, its greatest value between two, or the time of that."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from metrics.kinematics.reading import Found, Throw, missing

MS, PERCENT = 1000.0, 100.0
ARM_UP_DEG = 60.0  # abduction from which horizontal abduction is looked for at its greatest
OPENED_DEG = (10.0, 15.0, 20.0)  # of the chest heading from its most closed
INVERSION_FRAMES, INVERSION_S = 2.0, 0.005  # peaks closer than the greater of both are in order
SEPARATION_BEFORE_S, ABDUCTION_BEFORE_S = 0.150, 0.200

Measure = Callable[[Throw], Found]

# metric → curve, event, sign
AT: Final[dict[str, tuple[str, str, int]]] = {
    **{f"{name}_fp": (name, "fp", 1) for name in (
        "drive_knee_flexion", "drive_hip_flexion", "lead_hip_flexion", "lead_knee_flexion",
        "pelvis_rotation", "pelvis_anterior_tilt", "pelvis_lateral_tilt", "trunk_rotation", "separation",
        "trunk_forward_tilt", "trunk_lateral_tilt", "glove_shoulder_abduction", "shoulder_abduction",
        "shoulder_horizontal_abduction", "shoulder_external_rotation", "elbow_flexion")},
    **{f"{name}_mer": (name, "mer", 1) for name in (
        "lead_knee_flexion", "trunk_forward_tilt", "trunk_lateral_tilt", "trunk_rotation", "shoulder_abduction",
        "elbow_flexion", "separation", "pelvis_rotation")},
    **{f"{name}_br": (name, "br", 1) for name in (
        "lead_knee_flexion", "pelvis_rotation", "trunk_forward_tilt", "trunk_lateral_tilt", "trunk_rotation",
        "elbow_flexion", "shoulder_abduction", "lead_hip_flexion", "arm_slot")},
    "lead_foot_angle": ("lead_foot_angle", "fp", 1),
    "shoulder_horizontal_adduction_mer": ("shoulder_horizontal_abduction", "mer", -1),
}  # fmt: skip

# metric → curve, first event, last event, sign
GREATEST: Final[dict[str, tuple[str, str, str, int]]] = {
    "drive_knee_flexion_max": ("drive_knee_flexion", "pkh", "fp", 1),
    "lead_knee_extension_velocity_max": ("lead_knee_extension_velocity", "fp", "br", 1),
    "pelvis_velocity_max": ("pelvis_velocity", "fc", "br", 1),
    "pelvis_speed_max": ("pelvis_speed", "pkh", "fp", 1),
    "trunk_velocity_max": ("trunk_velocity", "fp", "br", 1),
    "trunk_extension_max": ("trunk_extension", "fc", "mer", 1),
    "trunk_flexion_velocity_max": ("trunk_flexion_velocity", "fp", "br", 1),
    "shoulder_horizontal_adduction_max": ("shoulder_horizontal_abduction", "fp", "br", -1),
    "shoulder_horizontal_adduction_velocity_max": ("shoulder_horizontal_adduction_velocity", "fc", "br", 1),
    "elbow_flexion_max": ("elbow_flexion", "fp", "br", 1),
    "shoulder_external_rotation_max": ("shoulder_external_rotation", "fc", "br", 1),
    "elbow_extension_velocity_max": ("elbow_extension_velocity", "mer", "br", 1),
    "shoulder_internal_rotation_velocity_max": ("shoulder_internal_rotation_velocity", "mer", "mir", 1),
    "elbow_varus_torque_max": ("elbow_varus_torque", "fc", "br", 1),
    "shoulder_distraction_force_max": ("shoulder_distraction_force", "mer", "br", 1),
    "shoulder_internal_rotation_torque_max": ("shoulder_internal_rotation_torque", "fc", "br", 1),
    "shoulder_anterior_force_max": ("shoulder_anterior_force", "fc", "br", 1),
}
# Time of a greatest value, in percent from foot contact = 0 to ball release = 100.
PERCENT_TIMES: Final = (
    "pelvis_velocity_max", "trunk_velocity_max", "elbow_extension_velocity_max",
    "shoulder_internal_rotation_velocity_max",
)  # fmt: skip
SEQUENCE: Final = PERCENT_TIMES


@dataclass(frozen=True, slots=True)
class _At:
    curve: str
    event: str
    sign: int

    def __call__(self, throw: Throw) -> Found:
        found = throw.at(self.curve, self.event)
        return Found(self.sign * found.value, found.time_s) if found.measured else found


def peak_of(throw: Throw, metric: str) -> Found:
    """The greatest value of a metric of GREATEST, with its time."""
    curve, first, last, sign = GREATEST[metric]
    return throw.greatest(curve, first, last, sign=sign)


def percent_of(throw: Throw, time_s: float) -> float:
    """A time in percent of foot contact to release."""
    contact, release = throw.time("fc"), throw.time("br")
    return PERCENT * (time_s - contact) / (release - contact)


def _peak_percent(metric: str) -> Measure:
    def measure(throw: Throw) -> Found:
        found = peak_of(throw, metric)
        return Found(percent_of(throw, found.time_s), found.time_s) if found.measured else found

    return measure


def _layback_time(throw: Throw) -> Found:
    time = throw.time("mer")
    return Found(percent_of(throw, time), time) if np.isfinite(time) else throw.at("shoulder_external_rotation", "mer")


def _separation(throw: Throw) -> Found:
    return throw.greatest("separation", "fc", "br", before_s=SEPARATION_BEFORE_S)


def _arm_behind(throw: Throw) -> Found:
    with np.errstate(invalid="ignore"):
        up = ~(throw.curve("shoulder_abduction") < ARM_UP_DEG)  # where it is not seen the arm may be up
    return throw.greatest(
        "shoulder_horizontal_abduction", "fc", "mer", before_s=ABDUCTION_BEFORE_S, within=up
    )  # fmt: skip


def _after_contact(measure: Measure) -> Measure:
    """The time of what a measure finds, in ms from foot contact."""

    def measured(throw: Throw) -> Found:
        found = measure(throw)
        return Found(MS * (found.time_s - throw.time("fc")), found.time_s) if found.measured else found

    return measured


def _knee_extension(throw: Throw) -> Found:
    landed, released = throw.at("lead_knee_flexion", "fp"), throw.at("lead_knee_flexion", "br")
    if not (landed.measured and released.measured):
        return released if landed.measured else landed
    return Found(landed.value - released.value, released.time_s)


def _braking(throw: Throw) -> Found:
    landed, released = throw.at("pelvis_speed", "fp"), throw.at("pelvis_speed", "br")
    if not (landed.measured and released.measured):
        return released if landed.measured else landed
    return Found(landed.value - released.value, released.time_s)


def _trunk_opening(throw: Throw) -> Found:
    """When the chest has opened 15° from its most closed after peak knee lift, ms from contact.

    The times of 10° and 20° give its spread: (t20 - t10) / (2√3), a rectangle's standard deviation.
    """
    heading, rate = throw.curve("trunk_rotation"), throw.rate_hz
    closed = throw.greatest("trunk_rotation", "pkh", "br")
    if not closed.measured:
        return closed
    start, end = int(np.ceil(closed.time_s * rate)), int(throw.time("br") * rate) + 1
    times = []
    for opened in OPENED_DEG:
        level = closed.value - opened
        past = np.flatnonzero(heading[start : end + 1] <= level)
        if len(past) == 0:
            return missing("gradual")
        frame = start + int(past[0])
        if not np.isfinite(heading[frame - 1]):  # it opened so far while it was not seen
            return throw.why_not("trunk_rotation", (frame - 1) / rate, frame / rate)
        share = (heading[frame - 1] - level) / (heading[frame - 1] - heading[frame])
        times.append((frame - 1 + share) / rate)
    t10, t15, t20 = times
    return Found(MS * (t15 - throw.time("fc")), t15, spread=MS * (t20 - t10) / (2 * np.sqrt(3)))


def _lag(first: str, second: str) -> Measure:
    def measure(throw: Throw) -> Found:
        early, late = peak_of(throw, first), peak_of(throw, second)
        if not (early.measured and late.measured):
            return late if early.measured else early
        return Found(MS * (late.time_s - early.time_s), late.time_s)

    return measure


def _inversions(throw: Throw) -> Found:
    peaks = [peak_of(throw, metric) for metric in SEQUENCE]
    hidden = [peak for peak in peaks if not peak.measured]
    if hidden:
        return hidden[0]
    steps = np.diff([peak.time_s for peak in peaks])
    apart = max(INVERSION_FRAMES / throw.rate_hz, INVERSION_S)
    return Found(float((steps < -apart).sum()), peaks[-1].time_s)


def _duration(first: str, last: str) -> Measure:
    def measure(throw: Throw) -> Found:
        seconds = throw.time(last) - throw.time(first)
        return throw.without(first, last) or Found(seconds, throw.time(last))

    return measure


def _peak(metric: str) -> Measure:
    return lambda throw: peak_of(throw, metric)


def measures() -> Iterator[tuple[str, Measure]]:
    """Catalogue key → how it is measured, for everything that stands on curves and events alone."""
    yield from ((metric, _At(*spec)) for metric, spec in AT.items())
    yield from ((metric, _peak(metric)) for metric in GREATEST)
    yield from ((f"{metric}_time", _peak_percent(metric)) for metric in PERCENT_TIMES)
    yield "shoulder_external_rotation_max_time", _layback_time
    yield "separation_max", _separation
    yield "separation_max_time", _after_contact(_separation)
    yield "shoulder_horizontal_abduction_max", _arm_behind
    yield "shoulder_horizontal_abduction_max_time", _after_contact(_arm_behind)
    yield "lead_knee_extension", _knee_extension
    yield "pelvis_braking", _braking
    yield "trunk_opening_time", _trunk_opening
    yield "pelvis_trunk_lag", _lag("pelvis_velocity_max", "trunk_velocity_max")
    yield "trunk_elbow_lag", _lag("trunk_velocity_max", "elbow_extension_velocity_max")
    yield "sequence_inversions", _inversions
    yield "stride_time", _duration("pkh", "fp")
    yield "fp_br_time", _duration("fp", "br")
    yield "fc_br_time", _duration("fc", "br")
