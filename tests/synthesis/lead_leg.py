"""The lead foot: stands, is lifted, swings out and lands heel first, toe first or flat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .body import Body
from .curves import Array, Curve, Knot, Landing, rest
from .footwork import Foot, Path, pivot_of
from .moments import Moments
from .mound import Mound
from .style import Style

SET_FOOT = 0.098  # of height, in front of the rear ankle
STOPPING = 0.006  # s in which sole and ground take up the landing
FORWARD_AT_TOUCH = 1.0  # m/s
# s from touch; share of the stride; to the throwing side and above the ground, of height.
SWING = ((-0.24, 0.40, 0.07, 0.095), (-0.10, 0.74, 0.03, 0.060))


@dataclass(frozen=True, slots=True)
class LeadLeg:
    """What the lead foot needs to know. `lifted` is the ankle centre (3,) at peak knee lift, m."""

    body: Body
    style: Style
    at: Moments
    mound: Mound

    @property
    def planted(self) -> Array:
        """The ankle centre (3,) when the foot is flat on the ground, m."""
        x = self.style.stride_length / 100 * self.body.height
        up = self.body.length("ankle_height") / np.cos(np.radians(self.mound.slope))
        return np.array([x, self.style.stride_offset / 100, float(self.mound.height(x)) + up])

    @property
    def pivot(self) -> Array:
        return self.body.toe_in_foot if self.style.landing == "toe" else self.body.heel_in_foot

    @property
    def pitch_at_touch(self) -> float:
        """Toe up positive, degrees."""
        return self.style.landing_pitch * {"heel": 1.0, "toe": -1.0, "flat": 0.0}[self.style.landing]

    @property
    def arrival(self) -> Array:
        """The pivot's velocity (3,) at first touch, m/s."""
        return np.array([FORWARD_AT_TOUCH, 0.0, -self.style.landing_speed])

    def ankle_at_touch(self) -> Array:
        """The ankle centre (3,) at first touch, m."""
        return self._touching() - self._turned(self.pitch_at_touch)

    def foot(self, lifted: Array) -> Foot:
        at, style = self.at, self.style
        turned_out = [rest(at.lift, -88.0), Knot(at.pkh, -96.0), Knot(-0.22, -58.0)]
        angle = Curve([*turned_out, rest(at.fc, style.lead_foot_angle)])
        slope = Curve([rest(at.lift, 0.0), rest(at.pkh, self.mound.slope)])
        x, y, z = self._path(lifted)
        return Foot(self.pivot, x, y, z, angle, self._pitch(), slope)

    def _turned(self, pitch: float) -> Array:
        return pivot_of(np.zeros(3), self.pivot, self.style.lead_foot_angle, pitch, self.mound.slope)

    def _touching(self) -> Array:
        """Where the pivot is at first touch: what it travels while it stops takes it to its place."""
        return self.planted + self._turned(0.0) - self.arrival * STOPPING / 2

    def _pitch(self) -> Path:
        at, touch = self.at, self.pitch_at_touch
        before = [rest(at.lift, 0.0), Knot(at.pkh, -28.0, 0.0), Knot(-0.12, touch + 6.0)]
        if self.style.landing == "flat":
            return Curve([*before, rest(at.fc, 0.0)])
        slap = -1.2 * touch / (at.flat - at.fc)
        approach = Curve([*before, Knot(at.fc, touch), Knot(at.flat, -slap * STOPPING / 2, slap, 0.0)])
        return Landing(approach, at.flat, STOPPING)

    def _path(self, lifted: Array) -> list[Path]:
        at, ground = self.at, self.body.foot_marker_height
        set_ankle = np.array([SET_FOOT * self.body.height, 0.0, self.body.length("ankle_height")])
        standing = pivot_of(set_ankle, self.pivot, -88.0, 0.0, 0.0)
        top = pivot_of(lifted, self.pivot, -96.0, -28.0, self.mound.slope)
        touch = self._touching()
        swings = [(time, np.array([
            share * touch[0], 0.6 * touch[1] - aside * self.body.height,
            float(self.mound.height(share * touch[0])) + ground + up * self.body.height,
        ])) for time, share, aside, up in SWING]  # fmt: skip
        paths: list[Path] = []
        for axis in range(3):
            raised = Knot(at.pkh, top[axis], 0.0 if axis == 2 else None)
            arriving = Knot(at.fc, touch[axis], self.arrival[axis], 0.0)
            swinging = [Knot(time, place[axis]) for time, place in swings]
            approach = Curve([rest(at.lift, standing[axis]), raised, *swinging, arriving])
            paths.append(Landing(approach, at.fc, STOPPING))
        return paths
