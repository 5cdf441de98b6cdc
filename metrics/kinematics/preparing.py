"""From placed markers to the two copies that are read: the lighter one for events, the filtered one for values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from metrics.kinematics.checks import refuse_running_throw, refuse_windmill, wrong_order
from metrics.kinematics.events import (
    NAMES,
    THROWING_ARM,
    Events,
    event_copy,
    fastest_forward,
    find_events,
    turning_copy,
    with_arm,
)
from metrics.kinematics.filters import ARM_GAP_S, GAP_S, fill_gaps, low_pass
from metrics.kinematics.joints import HalfWidth, Sizes
from metrics.kinematics.landing import PLATE_N, PLATE_SEARCH_S, loaded_on_plate, touch_on_plate
from metrics.kinematics.landmarks import BALL, Markers
from metrics.kinematics.movement import Movement
from metrics.kinematics.plates import PlacedPlate, plate_under, standing_place
from metrics.kinematics.problems import NotMeasured
from metrics.kinematics.release import INWARD_S
from metrics.kinematics.sampling import value_at
from metrics.kinematics.segments import GRAVITY

AFTER_RELEASE_S = 0.060  # s of file that speeds and loads need
# Event that may be wrong → by the gap of which markers, and how long before and after the time that was found, s.
DOUBTED_BY: Mapping[str, tuple[tuple[str, ...], float, float]] = {
    "pkh": (("L_FLE", "L_FME"), 0.1, 0.1),
    "fc": (("L_CA", "L_MT2"), 0.08, 0.0),
}
STANDING_S = 0.100  # s from its touch in which the lead foot stands
RELEASING = ("R_EL", "R_EM", "R_RS", "R_US")
RELEASE_S = (0.02, 0.02)  # s before and after the wrist is fastest in which they have to be seen to find release
# Refusal → the event that was not found, by which markers, and how long before and after the wrist's fastest moment, s.
FOUND_BY: Mapping[str, tuple[str, tuple[str, ...], float, float]] = {
    "no_leg_lift": ("pkh", ("L_FLE", "L_FME"), 2.5, -0.25),
    "no_landing": ("fc", ("L_LM", "L_MM", "L_CA", "L_MT2"), 0.5, 0.1),
    "no_release": ("br", RELEASING, 0.1, 0.05),
}
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
        end = events.mir if math.isfinite(events.mir) else events.br + INWARD_S
        first, last = math.floor(events.fc * markers.rate_hz), math.ceil(end * markers.rate_hz) + 1
        arm = [label in THROWING_ARM for label in markers.labels]
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


@dataclass(frozen=True, slots=True, eq=False)
class Sought:
    """The automatic events, the body's constant lengths, and the movements in which the arm's turns are sought.

    ``doubted``: events that may be wrong, since a gap lies beside them.
    """

    events: Events
    sizes: Sizes
    slower: Movement
    unfiltered: Movement
    doubted: tuple[str, ...]

    @property
    def last_s(self) -> float:
        return (len(self.slower.markers) - 1) / self.slower.rate_hz


def sought_events(markers: Markers, near_s: float, body: Body, plates: list[PlacedPlate]) -> Sought:
    """The automatic events on the lighter copy, from when the wrist is about fastest. Raises NotMeasured."""
    rate = markers.rate_hz
    filled, _ = filled_markers(markers)
    copy = event_copy(filled)
    whole = Movement.of(copy, Sizes.of(copy, body.leg_length_m), body.half_width)
    last_s = (len(markers) - 1) / rate
    if unseen := copy.unseen(RELEASING, near_s - RELEASE_S[0], near_s + RELEASE_S[1]):
        raise NotMeasured("gap_at_event", event=NAMES["br"], labels=", ".join(unseen))
    refuse_windmill(whole, fastest_forward(whole.joints["R_wrist"], rate, near_s))
    try:
        events = find_events(whole, filled, near_s, last_s - 2.5 / rate)
    except NotMeasured as problem:
        raise _by_gap(problem, copy, near_s) from problem
    refuse_running_throw(whole, events.pkh)
    if events.br > last_s:
        raise NotMeasured("cut_before_release")
    events = with_plates(events, whole, plates, body.mass_kg)
    sizes = sizes_before(copy, events.pkh, body)
    slower, unfiltered = (
        Movement.of(one, sizes, body.half_width, round(events.pkh * rate), round(events.fc * rate))
        for one in (turning_copy(copy, filled), filled)
    )
    return Sought(with_turns(events, slower, unfiltered), sizes, slower, unfiltered, _doubted(events, copy))


def _doubted(events: Events, markers: Markers) -> tuple[str, ...]:
    found = []
    for name, (labels, before_s, after_s) in DOUBTED_BY.items():
        time = getattr(events, name)
        if events.rules.get(name) != "plate" and markers.unseen(labels, time - before_s, time + after_s):
            found.append(name)
    return tuple(found)


def _by_gap(problem: NotMeasured, markers: Markers, near_s: float) -> NotMeasured:
    """The same refusal, or that of a gap when what the event is found by is not seen."""
    event, labels, before_s, after_s = FOUND_BY.get(problem.code, ("", (), 0.0, 0.0))
    unseen = markers.unseen(labels, near_s - before_s, near_s + after_s)
    return NotMeasured("gap_at_event", event=NAMES[event], labels=", ".join(unseen)) if unseen else problem


def with_turns(events: Events, slower: Movement, unfiltered: Movement) -> Events:
    """Maximum external and internal rotation added; the latter only when the file goes on long enough."""
    events = with_arm(events, slower, unfiltered)
    left_s = (len(slower.markers) - 1) / slower.rate_hz - events.br
    # Without the ulnar marker no wrist is known once the hand is empty: wrist_by_knuckle.
    known = left_s >= AFTER_RELEASE_S and "R_US" in slower.markers
    return events if known else replace(events, mir=math.nan)


def with_plates(events: Events, movement: Movement, plates: list[PlacedPlate], mass_kg: float | None) -> Events:
    """Foot contact by the plate under the lead foot, and the time of 10% of body weight.

    Unchanged without a plate under it that was free before it landed.
    """
    ankle = movement.joints["L_ankle"]
    plate = plate_under(plates, standing_place(ankle, events.fc, events.fc + STANDING_S, movement.rate_hz))
    if plate is None:
        return events
    vertical = plate.forces[:, Z]
    before = value_at(vertical, events.fc - PLATE_SEARCH_S, plate.rate_hz)
    touch = touch_on_plate(vertical, plate.rate_hz, events.fc) if before < PLATE_N else math.nan
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


def moved_events(sought: Sought, times: Mapping[str, float] | None, start_s: float) -> Events:
    """The events with a person's times set in, on the file's clock, on which the throw begins at ``start_s``.

    Maximum external and internal rotation are sought anew between a moved contact and release, unless they were set
    too. Raises NotMeasured event_outside or events_out_of_order, ValueError for what is no event or no time.
    """
    if not times:
        return sought.events
    end_s = start_s + sought.last_s
    for name, time in times.items():
        if name not in NAMES or not math.isfinite(time):
            raise ValueError(f"events are times of {', '.join(NAMES)}; got {name} at {time}")
        if not start_s <= time <= end_s:
            span = {"start": f"{start_s:.2f}", "end": f"{end_s:.2f}"}
            raise NotMeasured("event_outside", event=NAMES[name], time=f"{time:.2f}", **span)
    given = {name: time - start_s for name, time in times.items()}
    moved = sought.events.moved(given)
    if not {"fc", "br"}.isdisjoint(given):
        moved = with_turns(moved, sought.slower, sought.unfiltered).moved(given)
    if order := wrong_order(moved, start_s, strictly=False):
        raise NotMeasured("events_out_of_order", order=order)
    return moved
