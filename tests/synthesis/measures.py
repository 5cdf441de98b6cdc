"""Every catalogue metric of a delivery that its movement alone decides, from the generating curves.

The keys and units are the catalogue's (percent of height as percent). Forces and torques are not here.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from .body import Body
from .curves import Array
from .delivery import Delivery
from .happenings import Events, events_of, peak
from .markers import place_markers
from .skeleton import Skeleton, place_skeleton
from .truth import angles, speeds

SAMPLING = 1e-3  # s between the samples in which extremes are sought
BEFORE = 0.05  # s before peak knee lift from which angles are sampled
PERCENT = 100.0
INVERSION = 0.005  # s: peaks closer than this are in order

# Angles at a moment. `fp` is read at the landing that is asked for.
AT = {
    **{f"{name}_fp": (name, "fp") for name in (
        "drive_knee_flexion", "drive_hip_flexion", "lead_hip_flexion", "lead_knee_flexion", "pelvis_rotation",
        "pelvis_anterior_tilt", "pelvis_lateral_tilt", "trunk_rotation", "separation", "trunk_forward_tilt",
        "trunk_lateral_tilt", "glove_shoulder_abduction", "shoulder_abduction", "shoulder_horizontal_abduction",
        "shoulder_external_rotation", "elbow_flexion")},
    **{f"{name}_mer": (name, "mer") for name in (
        "lead_knee_flexion", "trunk_forward_tilt", "trunk_lateral_tilt", "trunk_rotation", "shoulder_abduction",
        "elbow_flexion", "separation", "pelvis_rotation")},
    **{f"{name}_br": (name, "br") for name in (
        "lead_knee_flexion", "pelvis_rotation", "trunk_forward_tilt", "trunk_lateral_tilt", "trunk_rotation",
        "elbow_flexion", "shoulder_abduction", "lead_hip_flexion")},
    "shoulder_external_rotation_max": ("shoulder_external_rotation", "mer"),
}  # fmt: skip
# Greatest angles between two moments.
GREATEST = {
    "drive_knee_flexion_max": ("drive_knee_flexion", "pkh", "fp"),
    "elbow_flexion_max": ("elbow_flexion", "fp", "br"),
    "trunk_extension_max": ("trunk_extension", "fc", "mer"),
}
# Greatest speeds between two moments.
FASTEST = {
    "pelvis_velocity": ("fc", "br"), "trunk_velocity": ("fp", "br"), "trunk_flexion_velocity": ("fp", "br"),
    "elbow_extension_velocity": ("mer", "br"), "shoulder_internal_rotation_velocity": ("mer", "mir"),
    "lead_knee_extension_velocity": ("fp", "br"), "shoulder_horizontal_adduction_velocity": ("fc", "br"),
    "pelvis_speed": ("pkh", "fp"),
}  # fmt: skip
SEQUENCE = ("pelvis_velocity", "trunk_velocity", "elbow_extension_velocity", "shoulder_internal_rotation_velocity")


def metrics(delivery: Delivery, landing: str = "fp") -> dict[str, float]:
    """Catalogue key → true value. `landing`: "fp" or "fc", at which everything that names foot plant is read."""
    events = events_of(delivery)
    moment = events.as_dict() | {"fp": getattr(events, landing)}
    names = list(moment)
    times = np.array([moment[name] for name in names])
    now = {name: dict(zip(names, values, strict=True)) for name, values in angles(delivery, times).items()}
    grid = np.arange(min(moment["pkh"], events.fc - 0.25) - BEFORE, events.mir + BEFORE, SAMPLING)
    course = angles(delivery, grid)
    found = {key: float(now[name][event]) for key, (name, event) in AT.items()}
    for key, (name, first, last) in GREATEST.items():
        found[key] = _extreme(grid, course[name], moment[first], moment[last])[1]
    found["lead_knee_extension"] = found["lead_knee_flexion_fp"] - found["lead_knee_flexion_br"]
    found["shoulder_horizontal_adduction_mer"] = -float(now["shoulder_horizontal_abduction"]["mer"])
    found["shoulder_external_rotation_max_time"] = _percent(events, events.mer)
    found["ball_speed"] = delivery.style.ball_speed
    found |= _widest(grid, course, events, moment["fp"])
    found |= _speeds(delivery, events, moment, grid)
    return found | _places(delivery, moment) | _durations(events, moment)


def _extreme(grid: Array, values: Array, first: float, last: float) -> tuple[float, float]:
    inside = (grid >= first) & (grid <= last)
    return peak(grid[inside], values[inside])


def _percent(events: Events, time: float) -> float:
    return PERCENT * (time - events.fc) / (events.br - events.fc)


def _widest(grid: Array, course: dict[str, Array], events: Events, plant: float) -> dict[str, float]:
    """Separation, horizontal abduction and the trunk's opening, each in its own window."""
    behind = np.where(course["shoulder_abduction"] >= 60.0, course["shoulder_horizontal_abduction"], np.nan)
    apart_time, apart = _extreme(grid, course["separation"], events.fc - 0.150, events.br)
    behind_time, furthest = _extreme(grid, behind, events.fc - 0.200, events.mer)
    adduction = _extreme(grid, -course["shoulder_horizontal_abduction"], plant, events.br)[1]
    chest = course["trunk_rotation"]
    window = (grid >= events.pkh) & (grid <= events.br)
    closed = int(np.argmax(np.where(window, chest, -np.inf)))
    opened = np.flatnonzero((chest <= chest[closed] - 15.0) & (grid > grid[closed]))[0]
    opening = np.interp(chest[closed] - 15.0, [chest[opened], chest[opened - 1]], [grid[opened], grid[opened - 1]])
    return {
        "separation_max": apart, "separation_max_time": 1000 * (apart_time - events.fc),
        "shoulder_horizontal_abduction_max": furthest,
        "shoulder_horizontal_abduction_max_time": 1000 * (behind_time - events.fc),
        "shoulder_horizontal_adduction_max": adduction, "trunk_opening_time": 1000 * float(opening - events.fc),
    }  # fmt: skip


def _speeds(delivery: Delivery, events: Events, moment: dict[str, float], grid: Array) -> dict[str, float]:
    course = speeds(delivery, grid)
    found: dict[str, float] = {}
    times: dict[str, float] = {}
    for name, (first, last) in FASTEST.items():
        times[name], found[f"{name}_max"] = _extreme(grid, course[name], moment[first], moment[last])
    for name in SEQUENCE:
        found[f"{name}_max_time"] = _percent(events, times[name])
    found["pelvis_trunk_lag"] = 1000 * (times["trunk_velocity"] - times["pelvis_velocity"])
    found["trunk_elbow_lag"] = 1000 * (times["elbow_extension_velocity"] - times["trunk_velocity"])
    pairs = pairwise(SEQUENCE)
    found["sequence_inversions"] = float(sum(times[late] < times[early] - INVERSION for early, late in pairs))
    lost = np.interp([moment["fp"], events.br], grid, course["pelvis_speed"])
    return found | {"pelvis_braking": float(lost[0] - lost[1])}


def _places(delivery: Delivery, moment: dict[str, float]) -> dict[str, float]:
    body = delivery.body
    lift, plant, release = (_at(delivery, moment[name]) for name in ("pkh", "fp", "br"))
    rear, lead = lift.centres["R_ankle"][0], plant.centres["L_ankle"][0]
    floor = 0.0  # the rear foot stands on the level part
    marks = place_markers(body, plant)
    along_foot = (marks["L_MT2"] - marks["L_CA"])[0]
    wrist, shoulder = release.centres["R_wrist"][0], release.centres["R_shoulder"][0]
    height = PERCENT / body.height
    return {
        "peak_knee_lift": height * (lift.centres["L_knee"][0, 2] - floor), "stride_length": height * (lead - rear)[0],
        "stride_offset": 100 * (lead - rear)[1], "release_height": height * (wrist[2] - floor),
        "lead_foot_angle": float(np.degrees(np.arctan2(along_foot[1], along_foot[0]))),
        "release_extension": height * (wrist - rear)[0],
        "arm_slot_br": float(np.degrees(np.arctan2(wrist[2] - shoulder[2], shoulder[1] - wrist[1]))),
        "glove_arm_drift": _glove_drift(delivery, moment),
    }  # fmt: skip


def _at(delivery: Delivery, time: float) -> Skeleton:
    return place_skeleton(delivery.body, delivery.pose(np.array([time])))


def _glove_drift(delivery: Delivery, moment: dict[str, float]) -> float:
    """Furthest of the glove wrist behind the plane through both shoulders with the thorax' forward axis, cm."""
    times = np.arange(moment["fp"], moment["br"], SAMPLING)
    body: Body = delivery.body
    skeleton = place_skeleton(body, delivery.pose(times))
    forward = skeleton.rotations["thorax"].apply([1.0, 0.0, 0.0])
    from_shoulder = skeleton.centres["L_wrist"] - skeleton.centres["L_shoulder"]
    return float(100 * (-(from_shoulder * forward).sum(axis=1)).max())


def _durations(events: Events, moment: dict[str, float]) -> dict[str, float]:
    return {
        "stride_time": moment["fp"] - events.pkh,
        "fp_br_time": events.br - moment["fp"],
        "fc_br_time": events.br - events.fc,
    }
