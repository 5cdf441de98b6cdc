"""Metrics of the force plates under the rear and the lead foot. Percent of body weight; forces as they were sampled."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from metrics.kinematics.plates import PlacedPlate
from metrics.kinematics.reading import Found, Throw, missing
from metrics.kinematics.sampling import frames_between
from metrics.kinematics.segments import GRAVITY
from metrics.kinematics.vectors import Array

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


@dataclass(frozen=True, slots=True, eq=False)
class _Window:
    forces: Array
    times: Array


def _window(throw: Throw, ground: Ground, foot: str, first: str, last: str) -> _Window | Found:
    """A foot's forces between two events, or why there are none."""
    plate = ground.rear if foot == "rear" else ground.lead
    if ground.mass_kg is None:
        return missing("no_mass")
    if plate is None or (ground.rear is ground.lead):
        return missing("no_plate")
    if unknown := throw.without(first, last):
        return unknown
    samples = frames_between(throw.time(first), throw.time(last), plate.rate_hz, len(plate.forces))
    if len(samples) == 0:
        return missing("no_window")
    forces = plate.forces[samples]
    if not np.isfinite(forces).all() or np.abs(forces[:, Z]).max() < SILENT_N:
        return missing("plate_silent")
    return _Window(forces, samples / plate.rate_hz)


def _greatest(ground: Ground, metric: str) -> Measure:
    foot, axis, sign, first, last = GREATEST[metric]

    def measure(throw: Throw) -> Found:
        window = _window(throw, ground, foot, first, last)
        if isinstance(window, Found):
            return window
        course = sign * window.forces[:, axis]
        best = int(np.argmax(course))
        weight = (ground.mass_kg or np.nan) * GRAVITY
        return Found(float(PERCENT * course[best] / weight), float(window.times[best]))

    return measure


def _impulse(ground: Ground) -> Measure:
    """Forward push of the rear foot from peak knee lift to contact over body mass, N·s/kg (trapezoids)."""

    def measure(throw: Throw) -> Found:
        window = _window(throw, ground, "rear", "pkh", "fc")
        if isinstance(window, Found):
            return window
        push = np.trapezoid(window.forces[:, X], window.times)
        return Found(float(push) / (ground.mass_kg or np.nan), throw.time("fc"))

    return measure


def _peak_time(ground: Ground) -> Measure:
    """Time of the lead foot's greatest vertical force from contact to release, ms from contact."""

    def measure(throw: Throw) -> Found:
        window = _window(throw, ground, "lead", "fc", "br")
        if isinstance(window, Found):
            return window
        time = float(window.times[int(np.argmax(window.forces[:, Z]))])
        return Found(MS * (time - throw.time("fc")), time)

    return measure


def measures(ground: Ground) -> Iterator[tuple[str, Measure]]:
    """Catalogue key → how it is measured."""
    yield from ((metric, _greatest(ground, metric)) for metric in GREATEST)
    yield "drive_impulse_forward", _impulse(ground)
    yield "lead_force_max_time", _peak_time(ground)
