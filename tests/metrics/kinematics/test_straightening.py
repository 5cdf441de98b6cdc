"""Why internal rotation reads high through the filter when the elbow straightens, and low when it stays bent.

What turns about the upper arm is the part of the forearm across it. The filter cuts that part's way short, as it does
with any bend: it passes nearer to the upper arm, and the same sideways speed so near to the axis is a faster turn.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from tests import synthesis
from tests.metrics.kinematics.filter_cost import TURNING_IN
from tests.metrics.kinematics.trials import Trial, trial

RATE_HZ = 240.0
AT_RELEASE_DEG = (24.0, 30.0, 36.0, 45.0, 55.0)


@dataclass(frozen=True, slots=True)
class TurningIn:
    """Greatest speed of turning in (deg/s) and least elbow flexion on the way (deg), of one measurement."""

    speed: float
    least_flexion: float


@cache
def turning_in(elbow_flexion_br: float, filter_hz: float | None) -> TurningIn:
    """A college pitcher whose elbow is bent so far (deg) at release; all else is the same."""
    style = synthesis.style_of("college").but(elbow_flexion_br=elbow_flexion_br)
    one = Trial(synthesis.record(synthesis.Delivery(style=style), synthesis.Room(rate_hz=RATE_HZ)))
    found = one.measured(filter_hz=filter_hz)
    first, last = (round((found.events[event] - found.start_s) * RATE_HZ) for event in ("mer", "mir"))
    flexion = found.movement.curve("elbow_flexion")[first : last + 1]
    return TurningIn(found.metrics[TURNING_IN].value, float(np.nanmin(flexion)))


@pytest.mark.parametrize("elbow_flexion_br", AT_RELEASE_DEG)
def test_filter_makes_every_elbow_look_straighter_while_the_arm_turns_in(elbow_flexion_br):
    plain, smooth = turning_in(elbow_flexion_br, None), turning_in(elbow_flexion_br, 13.4)
    assert 6.0 < plain.least_flexion - smooth.least_flexion < 12.0


def test_turning_in_reads_high_of_a_straight_elbow_and_ever_lower_of_a_bent_one():
    taken = [turning_in(bent, None).speed - turning_in(bent, 13.4).speed for bent in AT_RELEASE_DEG]
    assert taken[0] < -200.0
    assert taken[1] > 400.0
    assert taken == sorted(taken)


def test_no_number_of_the_table_is_said_beside_it():
    one = trial(rate_hz=RATE_HZ).measured().metrics[TURNING_IN]
    assert one.low_by is None
    assert one.uncertainty is not None
