"""Synthesised pitches that these tests share, and what is asked of a measurement of one."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from metrics.kinematics import NotMeasured, ThrowMeasurement, measure_throw
from sessions.formats.recording import Recording
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.synthesis import Body, Delivery, Room

HEIGHT_M, MASS_KG = 1.86, 88.0


@cache
def delivery() -> Delivery:
    return Delivery(Body(height=HEIGHT_M, mass=MASS_KG), synthesis.style_of("college"))


@cache
def made(*, side: str = "right", plates: bool = False, ball: bool = False) -> synthesis.Recording:
    """One pitch in metres, at 240 frames a second, in lab axes (X home, Y left, Z up)."""
    return synthesis.record(delivery(), Room(side=side, plates=plates, ball=ball))


def measured(recording: synthesis.Recording | Recording, **changes: object) -> ThrowMeasurement:
    """Measured with the pitcher's height and mass, "right" for the throwing side unless it is given."""
    if isinstance(recording, synthesis.Recording):
        recording = as_recording(recording)
    asked = {"height_m": HEIGHT_M, "mass_kg": MASS_KG, "side": "right"} | changes
    return measure_throw(recording, **asked)  # type: ignore[arg-type]


def values(measurement: ThrowMeasurement) -> dict[str, float | None]:
    return {key: one.value for key, one in measurement.metrics.items()}


def refused(act: Callable[[], object]) -> NotMeasured:
    """What an act is refused with."""
    with pytest.raises(NotMeasured) as caught:
        act()
    return caught.value


def codes(measurement: ThrowMeasurement) -> set[str]:
    """Codes of all notices and questions of its report."""
    return {one.code for one in (*measurement.report.notices, *measurement.report.questions)}
