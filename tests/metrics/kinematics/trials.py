"""Synthesised deliveries measured by the product, each value beside its truth, in the unit that readings are stored in.

What the tests of accuracy and `figures` share: one spread of bodies, levels, landings, mounds and rates, chosen so that
every value of each occurs, not every combination.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from metrics.catalogue import load_catalogue
from metrics.kinematics import DEFAULT_FILTER_HZ, Setup, ThrowMeasurement, measure_throw
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.synthesis import LEVELS, Body, Delivery, Mound, Room

EVENTS = ("pkh", "fc", "fp", "mer", "br", "mir")
LANDINGS = ("fp", "fc")
MASS_INDEX = 23.0  # kg/m² of every body here
HEIGHTS_M = (1.30, 1.50, 1.70, 1.83, 1.95, 2.05)
SLOPES_DEG = (0.0, 2.0, 4.76, 6.0)
RATES_HZ = (100.0, 240.0, 300.0, 480.0, 1000.0)


@dataclass(frozen=True)
class Trial:
    """A recording that was made, and the delivery's truth."""

    made: synthesis.Recording

    @cached_property
    def truth_s(self) -> dict[str, float]:
        """Event → s from the first frame."""
        return self.made.throw.events.as_dict()

    def truth(self, landing: str) -> dict[str, float]:
        """Metric key → true value in storage units, "fp" metrics read at this landing."""
        metrics = load_catalogue().metrics
        body = self.made.throw.delivery.body
        share = body.height / 100
        return {
            key: value * (share if metrics[key].unit == "% height" else 1.0)
            for key, value in self.made.throw.metrics(landing).items()
        }

    def measured(
        self, *, filter_hz: float | None = DEFAULT_FILTER_HZ, noise_m: float = 0.0, number: int = 0,
        events_s: Mapping[str, float] | None = None,
    ) -> ThrowMeasurement:  # fmt: skip
        """The throw measured, after noise of this size by the generator of this number; events found when not given."""
        made = self.made
        if noise_m:
            made = synthesis.with_noise(made, noise_m, np.random.default_rng(number))
        body = made.throw.delivery.body
        return measure_throw(
            as_recording(made), height_m=body.height, mass_kg=body.mass, side=made.room.side, filter_hz=filter_hz,
            events=events_s, setup=Setup(foot_marker_height_m=body.foot_marker_height),
        )  # fmt: skip


def trial(
    level: str = "college", *habits: str, height: float = 1.83, slope: float = 4.76, rate_hz: float = 240.0,
    landing: str = "heel", phase: float = 0.0, **room: object,
) -> Trial:  # fmt: skip
    """One trial. ``phase``: of a frame, by which frames lie beside the events."""
    style = synthesis.style_of(level, *habits).but(landing=landing)
    delivery = Delivery(Body(height=height, mass=MASS_INDEX * height**2), style, Mound(slope))
    return Trial(synthesis.record(delivery, Room(rate_hz=rate_hz, phase=phase / rate_hz, **room)))  # type: ignore[arg-type]


@cache
def spread(rates_hz: tuple[float, ...] = RATES_HZ, count: int = 15) -> tuple[Trial, ...]:
    """Every level, height, slope, landing and rate at least once; frames fall differently beside the events in each."""
    levels, landings = tuple(LEVELS), ("heel", "toe", "flat")
    return tuple(
        trial(
            levels[k % len(levels)], height=HEIGHTS_M[k % len(HEIGHTS_M)], slope=SLOPES_DEG[(k + k // 4) % 4],
            rate_hz=rates_hz[k % len(rates_hz)], landing=landings[(k + k // 3) % 3], phase=(k * 0.382) % 1.0,
        )
        for k in range(count)
    )  # fmt: skip


def event_errors_s(found: ThrowMeasurement, trial: Trial) -> dict[str, float]:
    """Event → found less true, s; NaN when not found."""
    return {name: found.events.get(name, math.nan) - true for name, true in trial.truth_s.items()}
