"""A whole delivery: a body, a style and a mound become poses at any time."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

import numpy as np

from .body import Body
from .curves import Array, Curve
from .moments import RELEASE_LAG, Moments
from .mound import Mound
from .pose import Pose
from .skeleton import place_skeleton
from .striding import LowerHalf, Stride
from .style import Style
from .throwing import arm_curves
from .turning import turning_curves


class Motion(Protocol):
    """Anything that a body does: poses at any times (s, shape (n,)) between `start` and `end`; outside it is still."""

    body: Body
    start: float
    end: float

    def pose(self, times: Array) -> Pose: ...


@dataclass(frozen=True)
class Delivery:
    """One pitch, right-handed, in lab axes whose origin is on the level ground under the rear ankle.

    Times are seconds from the planned first touch of the lead foot. `pose(times)` takes shape (n,).
    Raises ValueError when the style asks for a stride that the legs cannot reach.
    """

    body: Body = field(default_factory=Body)
    style: Style = field(default_factory=Style)
    mound: Mound = field(default_factory=Mound)

    @cached_property
    def moments(self) -> Moments:
        return Moments.of(self.style)

    @property
    def start(self) -> float:
        return self.moments.start

    @property
    def end(self) -> float:
        return self.moments.end

    @cached_property
    def curves(self) -> dict[str, Curve]:
        """Every angle of trunk, pelvis and arms, by channel."""
        turning = turning_curves(self.style, self.moments)
        return turning | arm_curves(self.style, self.moments, turning)

    @cached_property
    def lower_half(self) -> LowerHalf:
        return Stride(self.body, self.style, self.moments, self.mound, self.curves).lower_half()

    @cached_property
    def release(self) -> float:
        """When the ball leaves the hand: RELEASE_LAG after the wrist last passes the elbow toward home (s).

        That is the planned release, but for an arm that lies back too little to pass so early.
        """
        planned = self.moments.br
        times = np.arange(planned - 0.040, planned + 0.015, 1e-4)
        centres = place_skeleton(self.body, self.pose(times)).centres
        ahead = centres["R_wrist"][:, 0] - centres["R_elbow"][:, 0]
        passing = np.flatnonzero((ahead[:-1] < 0) & (ahead[1:] >= 0))
        if not len(passing):
            return planned
        k = int(passing[-1])
        return float(times[k] - ahead[k] * (times[k + 1] - times[k]) / (ahead[k + 1] - ahead[k])) + RELEASE_LAG

    def pose(self, times: Array) -> Pose:
        times = np.asarray(times, dtype=float)
        channels = {name: curve(times) for name, curve in self.curves.items()}
        return Pose.of(channels | self.lower_half.channels(times))
