"""What marker noise does to a throw: the same delivery again and again with other noise, beside itself without."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from metrics.kinematics import ThrowMeasurement
from tests.metrics.kinematics.trials import EVENTS, Trial, event_errors_s, trial

MILLIMETRE = 0.001
Numbers = np.ndarray


@dataclass(frozen=True, slots=True, eq=False)
class Repeats:
    """``errors_s``: event → found less true with noise. ``at_same_events``, ``at_found_events``: reading key → change
    (repeats,) that noise brought, in the reading's unit; events of the throw without noise, or found in the noise."""

    errors_s: dict[str, Numbers]
    at_same_events: dict[str, Numbers]
    at_found_events: dict[str, Numbers]
    units: dict[str, str]

    def of_unit(self, unit: str, changes: dict[str, Numbers]) -> dict[str, Numbers]:
        return {key: values for key, values in changes.items() if self.units[key] == unit}


@cache
def trials() -> dict[str, Trial]:
    """The throws that noise is put on."""
    return {
        "college, heel first, 240 Hz": trial("college", rate_hz=240.0, phase=0.3),
        "high school, toe first, 300 Hz": trial("high_school", rate_hz=300.0, landing="toe", phase=0.6, height=1.70),
        "youth of 1.30 m, flat, 240 Hz": trial("youth", rate_hz=240.0, landing="flat", phase=0.1, height=1.30),
        "professional, heel first, 480 Hz": trial("professional", rate_hz=480.0, height=1.95, phase=0.7, slope=6.0),
        "college, heel first, 100 Hz": trial("college", rate_hz=100.0, phase=0.3),
    }


@cache
def repeats(name: str, count: int) -> Repeats:
    """A throw of `trials` with 1 mm of white noise on every marker, numbers 0 to ``count`` - 1, default filter."""
    one = trials()[name]
    clean = one.measured()
    noisy = [one.measured(noise_m=MILLIMETRE, number=number) for number in range(count)]
    fixed = [one.measured(noise_m=MILLIMETRE, number=number, events_s=clean.events) for number in range(count)]
    errors = [event_errors_s(found, one) for found in noisy]
    return Repeats(
        {event: np.array([row[event] for row in errors]) for event in EVENTS},
        _changes(fixed, clean),
        _changes(noisy, clean),
        {key: value.unit for key, value in clean.metrics.items()},
    )


def _changes(found: list[ThrowMeasurement], clean: ThrowMeasurement) -> dict[str, Numbers]:
    """NaN where the metric was not measured in the noise."""
    measured = {key: value.value for key, value in clean.metrics.items() if value.value is not None}
    values = {key: np.array([one.metrics[key].value for one in found], dtype=float) for key in measured}
    return {key: values[key] - value for key, value in measured.items()}
