"""Two curves that a person recognises a throw by, thin enough to travel with its preview."""

from __future__ import annotations

from typing import Final

import numpy as np

from metrics.kinematics import ThrowMeasurement
from metrics.measuring.captured import Trace

LEAST_RATE_HZ: Final = 40.0
"""Enough frames a second to see a leg lift and the arm's whip in a picture of a few hundred dots."""


def trace_of(measured: ThrowMeasurement) -> Trace:
    """The lead knee's height and the throwing wrist's speed."""
    movement = measured.movement
    step = max(1, int(movement.rate_hz // LEAST_RATE_HZ))
    knee = movement.joints["L_knee"][::step, 2]
    wrist = movement.joints["R_wrist"]
    speed = np.linalg.norm(np.gradient(wrist, 1 / movement.rate_hz, axis=0), axis=1)[::step]
    return Trace(movement.rate_hz / step, _plain(knee), _plain(speed))


def _plain(values: np.ndarray) -> tuple[float | None, ...]:
    return tuple(round(float(value), 3) if np.isfinite(value) else None for value in values)
