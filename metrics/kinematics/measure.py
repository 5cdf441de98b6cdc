"""One throw of a recording measured whole: events, every metric that markers and plates can give, and what was odd.

from metrics.kinematics import find_throws, measure_throw

for throw in find_throws(recording):
    found = measure_throw(recording, throw=throw, height_m=1.86, mass_kg=88.0, side="right")
    found.events["br"], found.metrics["elbow_flexion_fp@fc"]
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain

import numpy as np

from metrics.catalogue import Catalogue, Metric, load_catalogue
from metrics.kinematics import angle_metrics, checks, force_metrics, place_metrics, report
from metrics.kinematics.dynamics import place_in_hand, throw_loads
from metrics.kinematics.events import Events
from metrics.kinematics.filters import DEFAULT_FILTER_HZ, noise_of
from metrics.kinematics.landmarks import Markers
from metrics.kinematics.movement import Movement
from metrics.kinematics.plates import PlacedPlate, place_plates, plate_under, standing_place
from metrics.kinematics.preparing import (
    AFTER_RELEASE_S,
    STANDING_S,
    Body,
    filled_markers,
    filtered_markers,
    moved_events,
    sought_events,
)
from metrics.kinematics.problems import NotMeasured
from metrics.kinematics.reading import LANDINGS, LOADS, SPEEDS, Found, Throw, missing
from metrics.kinematics.report import Report
from metrics.kinematics.sampling import rows_at
from metrics.kinematics.segments import BALL_KG, GRAVITY, segments_for
from metrics.kinematics.setup import FOOT_MARKER_HEIGHT_M, Setup
from metrics.kinematics.throws import FoundThrow, PlacedThrow, ends_in, find_throws, place_throw
from metrics.kinematics.uncertainty import MetricValue, with_uncertainty
from metrics.kinematics.vectors import Array
from sessions.formats.recording import Recording

CUT_LOOKS_LIKE = {"other_arm", "no_landing", "no_release"}  # what a throw without its end is easily taken for
PERCENT = 100.0


@dataclass(frozen=True, slots=True, eq=False)
class Subject:
    """Who throws: height (m), mass (kg, None when not known), throwing side, sex, age (years), ball and its speed."""

    height_m: float
    mass_kg: float | None
    side: str | None = None
    sex: str | None = None
    age_years: float | None = None
    ball_kg: float = BALL_KG
    ball_speed_mps: float | None = None

    def __post_init__(self) -> None:
        if not 0.5 < self.height_m < 2.6:
            raise ValueError(f"height_m is in metres, got {self.height_m}")
        if self.mass_kg is not None and not 10 < self.mass_kg < 300:
            raise ValueError(f"mass_kg is in kilograms, got {self.mass_kg}")
        if self.side not in {None, "right", "left"}:
            raise ValueError(f"side is right or left, got {self.side!r}")


@dataclass(frozen=True, slots=True, eq=False)
class ThrowMeasurement:
    """``events``: name → s from the file's first frame. ``metrics``: reading key (metric@moment) → value.

    Values are in the storage unit; what names foot plant stands there at fp and at fc. ``movement``: the curves, on a
    clock that starts at ``start_s`` of the file's.
    """

    events: Mapping[str, float]
    metrics: Mapping[str, MetricValue]
    report: Report
    movement: Movement
    start_s: float

    def at_landing(self, landing: str = "fp") -> dict[str, MetricValue]:
        """Metric key → value, with everything that names foot plant read at "fp" or "fc"."""
        catalogue = load_catalogue()
        keys = {key: metric.reading_key(landing) for key, metric in catalogue.metrics.items() if not metric.is_screen}
        return {key: self.metrics[reading] for key, reading in keys.items() if reading in self.metrics}


def measure_throw(
    recording: Recording,
    *,
    height_m: float,
    mass_kg: float | None,
    side: str | None = None,
    filter_hz: float | None = DEFAULT_FILTER_HZ,
    sex: str | None = None,
    ball_kg: float = BALL_KG,
    ball_speed_mps: float | None = None,
    age_years: float | None = None,
    setup: Setup | None = None,
    throw: FoundThrow | None = None,
    events: Mapping[str, float] | None = None,
) -> ThrowMeasurement:
    """Measures one throw.

    ``filter_hz``: design cut-off of the positions' filter, None for no filter. ``throw``: which one, of
    `find_throws`; the only one when not given. ``events``: times (s from the file's first frame) that a person set.
    Raises NotMeasured with a code and a sentence when the throw cannot be measured, ValueError on wrong use.
    """
    subject = Subject(height_m, mass_kg, side, sex, age_years, ball_kg, ball_speed_mps)
    setup = setup or Setup()
    throw = throw or _only(find_throws(recording, setup=setup))
    try:
        placed = place_throw(recording, throw, side=side, setup=setup, height_m=height_m)
        return _measure(recording, placed, throw, subject, setup, filter_hz, events)
    except NotMeasured as problem:
        if problem.code in CUT_LOOKS_LIKE and ends_in(throw, recording):
            raise NotMeasured("cut_before_release") from problem
        raise


def _only(throws: tuple[FoundThrow, ...]) -> FoundThrow:
    if len(throws) > 1:
        raise NotMeasured("several_throws", count=len(throws))
    return throws[0]


def _measure(
    recording: Recording, placed: PlacedThrow, throw: FoundThrow, subject: Subject, setup: Setup,
    filter_hz: float | None, events_set: Mapping[str, float] | None,
) -> ThrowMeasurement:  # fmt: skip
    body = Body(lambda joint: setup.half_width(joint, subject.height_m), setup.leg_length_m, subject.mass_kg)
    end_s = placed.start_s + len(placed.markers) / recording.rate_hz
    plates, turned_round = place_plates(recording.plates, placed.lab, placed.scale, placed.start_s, end_s)
    sought = sought_events(placed.markers, throw.fastest_s - placed.start_s, body, plates)
    events = moved_events(sought, events_set, placed.start_s)
    filled, counts = filled_markers(placed.markers, events)
    lift, contact = (round(time * recording.rate_hz) for time in (events.pkh, events.fc))
    raw = Movement.of(filled, sought.sizes, body.half_width, lift, contact)
    smooth = Movement.of(filtered_markers(filled, filter_hz), sought.sizes, body.half_width, lift, contact)
    floor = _floor(smooth.markers, events.pkh, setup)
    in_hand = place_in_hand(raw, events.br)
    found = dict(_readings(smooth, in_hand, events, subject, plates, floor))
    noise = noise_of(placed.markers.positions[: max(lift, 1)])
    facts = report.Facts(
        recording=recording,
        placed=placed,
        automatic=sought.events,
        doubted=sought.doubted,
        events=events,
        filled=counts,
        filter_hz=filter_hz,
        forearm_ratio=checks.forearm_ratio(smooth, raw, events),
        noise_m=noise,
        plates_turned=turned_round,
        age_years=subject.age_years,
        setup=setup,
        height_m=subject.height_m,
        found=found,
        ball_in_hand=bool(np.isfinite(in_hand).all()),
    )
    catalogue = load_catalogue()
    values = with_uncertainty(found, catalogue, noise, recording.rate_hz, filter_hz, subject.age_years)
    asked = checks.questions(events, found, _release_height(smooth, events, floor), subject.height_m, catalogue)
    return ThrowMeasurement(
        events.later(placed.start_s).times(), values, report.make(facts, asked), smooth, placed.start_s
    )  # fmt: skip


def _floor(markers: Markers, lift_s: float, setup: Setup) -> float:
    height = setup.foot_marker_height_m
    return place_metrics.floor_height(markers, lift_s, FOOT_MARKER_HEIGHT_M if height is None else height)


def _release_height(movement: Movement, events: Events, floor_m: float) -> float:
    return float(rows_at(movement.joints["R_wrist"], events.br, movement.rate_hz)[2]) - floor_m


def _readings(
    movement: Movement, in_hand: Array, events: Events, subject: Subject, plates: list[PlacedPlate], floor_m: float
) -> Iterator[tuple[str, Found]]:
    """Reading key → what was found, in the catalogue's order of families; fp and fc for what names foot plant."""
    catalogue = load_catalogue()
    withheld = _withheld(movement, events, subject)
    loads = {} if LOADS[0] in withheld else _loads(movement, in_hand, events, subject)
    throws = {landing: Throw(movement, events, landing, loads, withheld) for landing in LANDINGS}
    settled = throws["fp" if math.isfinite(events.fp) else "fc"]
    ground = _ground(movement, events, subject, plates)
    measures = dict(
        chain(
            angle_metrics.measures(),
            place_metrics.measures(floor_m, subject.ball_speed_mps),
            force_metrics.measures(ground),
        )
    )
    measures["elbow_varus_torque_norm"] = _torque_by_size(subject)
    for key, metric in _throw_metrics(catalogue):
        for landing in LANDINGS if metric.is_landing_dependent else ("fp",):
            yield (
                metric.reading_key(landing),
                measures[key](throws[landing] if metric.is_landing_dependent else settled),
            )


def _throw_metrics(catalogue: Catalogue) -> Iterator[tuple[str, Metric]]:
    return ((key, metric) for key, metric in catalogue.metrics.items() if not metric.is_screen)


def _withheld(movement: Movement, events: Events, subject: Subject) -> dict[str, str]:
    """Curves that may not be read, with the code of the reason."""
    withheld = dict.fromkeys(LOADS, "no_mass") if subject.mass_kg is None else {}
    last_s = (len(movement.markers) - 1) / movement.rate_hz
    if last_s - events.br < AFTER_RELEASE_S:
        withheld |= dict.fromkeys((*SPEEDS, *LOADS), "ends_early")
    return withheld


def _loads(movement: Movement, in_hand: Array, events: Events, subject: Subject) -> dict[str, Array]:
    """The load curves of the throwing arm by name."""
    mass = subject.mass_kg or math.nan
    loads = throw_loads(movement, in_hand, events.br, subject.ball_kg, mass, segments_for(subject.sex))
    return {name: getattr(loads, name) for name in LOADS}


def _torque_by_size(subject: Subject) -> angle_metrics.Measure:
    """Greatest varus torque in percent of body weight × height."""

    def measure(throw: Throw) -> Found:
        torque = angle_metrics.peak_of(throw, "elbow_varus_torque_max")
        if not torque.measured:
            return torque
        if subject.mass_kg is None:
            return missing("no_mass")
        return Found(PERCENT * torque.value / (subject.mass_kg * GRAVITY * subject.height_m), torque.time_s)

    return measure


def _ground(movement: Movement, events: Events, subject: Subject, plates: list[PlacedPlate]) -> force_metrics.Ground:
    places = {"rear": ("R_ankle", events.pkh - STANDING_S, events.pkh), "lead": ("L_ankle", events.fc, events.br)}
    under = {
        foot: plate_under(plates, standing_place(movement.joints[joint], first, last, movement.rate_hz))
        for foot, (joint, first, last) in places.items()
    }
    return force_metrics.Ground(under["rear"], under["lead"], subject.mass_kg)
