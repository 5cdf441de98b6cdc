"""Metrics of the force plates under the rear and the lead foot. Percent of body weight; forces as they were sampled."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from metrics.kinematics.plates import PlacedPlate
from metrics.kinematics.reading import Found, Throw, missing
from metrics.kinematics.sampling import frames_between, greatest
from metrics.kinematics.segments import GRAVITY

MS, PERCENT = 1000.0, 100.0
SILENT_N = 20.0  # N: a plate that never reads more between two events was not stepped on
X, Z = 0, 2

Measure = Callable[[Throw], Found]


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The plates under both feet, None where there is none, and the body's mass, None when it is not known."""

    rear: PlacedPlate | None
    lead: PlacedPlate | None
    mass_kg: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Stance:
    """A foot on its plate from one event to another (s); body mass NaN when it is not known."""

    plate: PlacedPlate
    start_s: float
    end_s: float
    mass_kg: float

    @property
    def samples(self) -> NDArray[np.int64]:
        return frames_between(self.start_s, self.end_s, self.plate.rate_hz, len(self.plate.forces))

    def greatest(self, axis: int, sign: int = 1) -> tuple[float, float]:
        """Time (s) of the greatest force along an axis, and that force, N."""
        return greatest(sign * self.plate.forces[:, axis], self.start_s, self.end_s, self.plate.rate_hz)


Read = Callable[[Stance], tuple[float, float]]


def _greatest(axis: int, sign: int = 1) -> Read:
    """Greatest force along an axis, percent of body weight, and its time."""

    def read(stance: Stance) -> tuple[float, float]:
        time, force = stance.greatest(axis, sign)
        return PERCENT * force / (stance.mass_kg * GRAVITY), time

    return read


def _impulse(stance: Stance) -> tuple[float, float]:
    """Forward push over body mass, N·s/kg (trapezoids), at the stance's end."""
    push = np.trapezoid(stance.plate.forces[stance.samples, X], dx=1 / stance.plate.rate_hz)
    return float(push) / stance.mass_kg, stance.end_s


def _peak_time(stance: Stance) -> tuple[float, float]:
    """Time of the greatest vertical force, ms from the stance's beginning."""
    time, _ = stance.greatest(Z)
    return MS * (time - stance.start_s), time


# Catalogue key → foot, first event, last event, what is read between them.
READINGS: dict[str, tuple[str, str, str, Read]] = {
    "drive_force_max": ("rear", "pkh", "fp", _greatest(Z)),
    "drive_force_forward_max": ("rear", "pkh", "fc", _greatest(X)),
    "drive_impulse_forward": ("rear", "pkh", "fc", _impulse),
    "lead_force_max": ("lead", "fp", "br", _greatest(Z)),
    "lead_braking_force_max": ("lead", "fp", "br", _greatest(X, -1)),
    "lead_force_max_time": ("lead", "fc", "br", _peak_time),
}


def measures(ground: Ground) -> Iterator[tuple[str, Measure]]:
    """Catalogue key → how it is measured."""
    yield from ((metric, _measure(ground, metric)) for metric in READINGS)


def _measure(ground: Ground, metric: str) -> Measure:
    foot, first, last, read = READINGS[metric]

    def measure(throw: Throw) -> Found:
        stance = _stance(throw, ground, foot, first, last)
        if isinstance(stance, Found):
            return stance
        found = Found(*read(stance))
        return found if found.measured else missing("no_mass")

    return measure


def _stance(throw: Throw, ground: Ground, foot: str, first: str, last: str) -> Stance | Found:
    """A foot's forces between two events, or why there are none."""
    plate = ground.rear if foot == "rear" else ground.lead
    if plate is None:
        return missing("no_plate")
    if ground.rear is ground.lead:
        return missing("one_plate")
    if unknown := throw.without(first, last):
        return unknown
    if throw.time(last) * plate.rate_hz > len(plate.forces):
        return missing("plate_short")
    mass_kg = math.nan if ground.mass_kg is None else ground.mass_kg
    stance = Stance(plate, throw.time(first), throw.time(last), mass_kg)
    forces = plate.forces[stance.samples]
    if not np.isfinite(forces).all() or np.abs(forces[:, Z]).max(initial=0.0) < SILENT_N:
        return missing("plate_silent")
    return stance
