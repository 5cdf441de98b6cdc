"""From placed markers to the two copies that are read: the lighter one for events, the filtered one for values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from metrics.kinematics.checks import refuse_other_throws
from metrics.kinematics.events import NAMES, Events, event_copy, find_events, turning_in_copy, with_arm
from metrics.kinematics.filters import ARM_GAP_S, GAP_S, fill_gaps, low_pass
from metrics.kinematics.joints import HalfWidth, Sizes
from metrics.kinematics.landing import loaded_on_plate, touch_on_plate
from metrics.kinematics.landmarks import BALL, Markers
from metrics.kinematics.movement import Movement
from metrics.kinematics.plates import PlacedPlate, plate_under
from metrics.kinematics.problems import NotMeasured
from metrics.kinematics.sampling import rows_at
from metrics.kinematics.segments import GRAVITY

ARM_MARKERS = ("R_AC", "R_EL", "R_EM", "R_RS", "R_US", "R_MC3")
AFTER_RELEASE_S = 0.060  # s of file that speeds and loads need
TURNING_IN_S = 0.100
Z = 2


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """Half joint widths, a typed leg length (m) and mass (kg), each None when not known."""

    half_width: HalfWidth
    leg_length_m: float | None = None
    mass_kg: float | None = None


def _limits(markers: Markers, events: Events | None) -> np.ndarray:
    """Longest gap (s) that may be filled, (frames, labels): 20 ms, the arm while it is fast 8 ms, the ball never."""
    limits = np.full(markers.positions.shape[:2], GAP_S)
    limits[:, [label == BALL for label in markers.labels]] = 0.0
    if events is not None:
        end = events.mir if math.isfinite(events.mir) else events.br + TURNING_IN_S
        first, last = math.floor(events.fc * markers.rate_hz), math.ceil(end * markers.rate_hz) + 1
        arm = [label in ARM_MARKERS for label in markers.labels]
        limits[max(0, first) : last, arm] = ARM_GAP_S
    return limits


def filled_markers(markers: Markers, events: Events | None = None) -> tuple[Markers, np.ndarray]:
    """Short gaps filled, and how many frames of each label were."""
    positions, counts = fill_gaps(markers.positions, markers.rate_hz, _limits(markers, events))
    return markers.moved(positions), counts


def sizes_before(markers: Markers, lift_s: float, body: Body) -> Sizes:
    """Constant lengths from the frames before peak knee lift; from all when there are none."""
    before = max(1, math.floor(lift_s * markers.rate_hz))
    sizes = Sizes.of(markers.between(0, before), body.leg_length_m)
    known = math.isfinite(sizes.pelvis_width + sizes.pelvis_depth + sizes.acromion_width)
    return sizes if known else Sizes.of(markers, body.leg_length_m)


def sought_events(markers: Markers, near_s: float, body: Body, plates: list[PlacedPlate]) -> tuple[Events, Sizes]:
    """The automatic events on the lighter copy, and the body's constant lengths. Raises NotMeasured."""
    rate = markers.rate_hz
    filled, _ = filled_markers(markers)
    light = event_copy(filled)
    whole = Movement.of(light, Sizes.of(light, body.leg_length_m), body.half_width)
    last_s = (len(markers) - 1) / rate
    events = find_events(whole, markers, near_s, last_s - 2.5 / rate)
    refuse_other_throws(whole, events.pkh, events.tw)
    if events.br > last_s:
        raise NotMeasured("cut_before_release")
    events = with_plates(events, whole, plates, body.mass_kg)
    sizes = sizes_before(light, events.pkh, body)
    arm, slower = (
        Movement.of(copy, sizes, body.half_width, round(events.pkh * rate), round(events.fc * rate))
        for copy in (light, turning_in_copy(light, filled))
    )
    events = with_arm(events, arm, slower)
    if not math.isfinite(events.mer):
        raise NotMeasured("gap_at_event", event=NAMES["mer"], labels="the throwing arm")
    if last_s - events.br < AFTER_RELEASE_S:
        events = replace(events, mir=math.nan)
    return events, sizes


def with_plates(events: Events, movement: Movement, plates: list[PlacedPlate], mass_kg: float | None) -> Events:
    """Foot contact by the plate under the lead foot, and the time of 10% of body weight; unchanged without one."""
    place = rows_at(movement.joints["L_ankle"], events.fc, movement.rate_hz)
    plate = plate_under(plates, place)
    if plate is None:
        return events
    vertical = plate.forces[:, Z]
    touch = touch_on_plate(vertical, plate.rate_hz, events.fc)
    if not math.isfinite(touch):
        return events
    load = loaded_on_plate(vertical, plate.rate_hz, touch, mass_kg * GRAVITY) if mass_kg else math.nan
    plant = max(events.fp, touch) if math.isfinite(events.fp) else events.fp
    return replace(events, fc=touch, fp=plant, load=load, rules={**events.rules, "fc": "plate"})


def filtered_markers(markers: Markers, filter_hz: float | None) -> Markers:
    """Everything but the ball through the filter, once; as it is when there is none."""
    if filter_hz is None:
        return markers
    body = np.array([label != BALL for label in markers.labels])
    positions = markers.positions.copy()
    positions[:, body] = low_pass(markers.positions[:, body], markers.rate_hz, filter_hz)
    return markers.moved(positions)


def moved_events(events: Events, times: Mapping[str, float] | None, start_s: float) -> Events:
    """The events with a person's times, given on the file's clock, set in."""
    if not times:
        return events
    unknown = set(times) - set(NAMES)
    if unknown:
        raise ValueError(f"events are {', '.join(NAMES)}; got {', '.join(sorted(unknown))}")
    return events.moved({name: time - start_s for name, time in times.items()})
