"""Metrics of the force plates under the rear and the lead foot. Percent of body weight; forces as they were sampled."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from metrics.kinematics.plates import PlacedPlate
from metrics.kinematics.reading import Found, Throw, missing
from metrics.kinematics.sampling import frames_between, greatest
from metrics.kinematics.segments import GRAVITY

MS, PERCENT = 1000.0, 100.0
SILENT_N = 20.0
X, Z = 0, 2

Measure = Callable[[Throw], Found]

# metric → foot, axis, sign, first event, last event
GREATEST = {
    "drive_force_max": ("rear", Z, 1, "pkh", "fp"),
    "drive_force_forward_max": ("rear", X, 1, "pkh", "fc"),
    "lead_force_max": ("lead", Z, 1, "fp", "br"),
    "lead_braking_force_max": ("lead", X, -1, "fp", "br"),
}


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The plates under both feet, None where there is none, and the body's mass, None when it is not known."""

    rear: PlacedPlate | None
    lead: PlacedPlate | None
    mass_kg: float | None


def _pressed(throw: Throw, ground: Ground, foot: str, first: str, last: str) -> PlacedPlate | Found:
    """The plate under a foot, or why it says nothing between two events."""
    plate = ground.rear if foot == "rear" else ground.lead
    if ground.mass_kg is None:
        return missing("no_mass")
    if plate is None:
        return missing("no_plate")
    if ground.rear is ground.lead:
        return missing("one_plate")
    if unknown := throw.without(first, last):
        return unknown
    if throw.time(last) * plate.rate_hz > len(plate.forces):
        return missing("plate_short")
    forces = plate.forces[frames_between(throw.time(first), throw.time(last), plate.rate_hz, len(plate.forces))]
    if not np.isfinite(forces).all() or np.abs(forces[:, Z]).max(initial=0.0) < SILENT_N:
        return missing("plate_silent")
    return plate


def _greatest(ground: Ground, metric: str) -> Measure:
    foot, axis, sign, first, last = GREATEST[metric]

    def measure(throw: Throw) -> Found:
        plate = _pressed(throw, ground, foot, first, last)
        if isinstance(plate, Found):
            return plate
        course = sign * plate.forces[:, axis]
        time, force = greatest(course, throw.time(first), throw.time(last), plate.rate_hz)
        return Found(PERCENT * force / ((ground.mass_kg or np.nan) * GRAVITY), time)

    return measure


def _impulse(ground: Ground) -> Measure:
    """Forward push of the rear foot from peak knee lift to contact over body mass, N·s/kg (trapezoids)."""

    def measure(throw: Throw) -> Found:
        plate = _pressed(throw, ground, "rear", "pkh", "fc")
        if isinstance(plate, Found):
            return plate
        samples = frames_between(throw.time("pkh"), throw.time("fc"), plate.rate_hz, len(plate.forces))
        push = np.trapezoid(plate.forces[samples, X], samples / plate.rate_hz)
        return Found(float(push) / (ground.mass_kg or np.nan), throw.time("fc"))

    return measure


def _peak_time(ground: Ground) -> Measure:
    """Time of the lead foot's greatest vertical force from contact to release, ms from contact."""

    def measure(throw: Throw) -> Found:
        plate = _pressed(throw, ground, "lead", "fc", "br")
        if isinstance(plate, Found):
            return plate
        time, _ = greatest(plate.forces[:, Z], throw.time("fc"), throw.time("br"), plate.rate_hz)
        return Found(MS * (time - throw.time("fc")), time)

    return measure


def measures(ground: Ground) -> Iterator[tuple[str, Measure]]:
    """Catalogue key → how it is measured."""
    yield from ((metric, _greatest(ground, metric)) for metric in GREATEST)
    yield "drive_impulse_forward", _impulse(ground)
    yield "lead_force_max_time", _peak_time(ground)
