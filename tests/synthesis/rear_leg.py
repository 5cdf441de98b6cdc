"""The rear foot: flat on the rubber, then on its toe, then dragged and brought round beside the other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .body import Body
from .curves import Array, Curve, Knot, rest
from .footwork import Foot, pivot_of
from .moments import Moments
from .mound import Mound
from .skeleton import foot_rotation

HEEL_LIFT = 0.20  # s before touch at which the heel leaves the ground
TOE_OFF = 0.085  # s before touch: the toe leaves the rubber and drags along the ground
DRAGGED_AT_TOUCH = 0.05  # of height
DRAGGING = ((0.25, 27.0), (0.55, 28.0), (1.0, 42.0))  # share of the way to release, deg of rear knee bend then


@dataclass(frozen=True, slots=True)
class RearLeg:
    body: Body
    at: Moments
    mound: Mound

    @property
    def toe_off(self) -> float:
        """The last moment (s) at which the toe rests on the rubber."""
        return self.at.fc - TOE_OFF

    @property
    def planted(self) -> Array:
        """The ankle centre (3,) while the foot is flat, m: the origin of the lab's X and Y."""
        return np.array([0.0, 0.0, self.body.length("ankle_height")])

    @property
    def toe_planted(self) -> Array:
        return pivot_of(self.planted, self.body.toe_in_foot, -90.0, 0.0, 0.0)

    def angles(self) -> tuple[Curve, Curve, Curve]:
        """Heading (open positive), pitch (toe up positive) and slope of the foot, degrees."""
        at = self.at
        angle = Curve([rest(-HEEL_LIFT, -90.0), Knot(at.fc, -80.0), Knot(at.br, -30.0), rest(at.end, -18.0)])
        pitch = Curve([
            rest(-HEEL_LIFT, 0.0), Knot(at.fc, -42.0), Knot(at.br / 2, -60.0), Knot(at.br, -66.0),
            Knot(at.br + 0.25, -58.0), rest(at.end, 0.0),
        ])  # fmt: skip
        slope = Curve([rest(at.br, 0.0), rest(at.end, self.mound.slope)])
        return angle, pitch, slope

    def toe_to_ankle(self, time: float) -> Array:
        now = np.array([time])
        angle, pitch, slope = (curve(now) for curve in self.angles())
        return -foot_rotation(angle, pitch, slope).apply(self.body.toe_in_foot)[0]

    @property
    def toe_at_touch(self) -> Array:
        return self.toe_planted + np.array([DRAGGED_AT_TOUCH * self.body.height, 0.0, 0.0])

    def ankle_on_toe(self, time: float) -> Array:
        """The ankle centre (3,) while the toe still rests on the rubber, m."""
        return self.toe_planted + self.toe_to_ankle(time)

    def ankle_at_touch(self) -> Array:
        return self.toe_at_touch + self.toe_to_ankle(self.at.fc)

    def foot(self, hip_at: Callable[[float], Array], last: Array) -> Foot:
        """`hip_at(time)` gives the rear hip centre (3,) before release; `last` the ankle centre (3,) at the end, m."""
        at, ground = self.at, self.body.foot_marker_height
        toe = self.toe_planted
        drags = [(share * at.br, self._dragged(share * at.br, hip_at(share * at.br), knee)) for share, knee in DRAGGING]
        release_x = drags[-1][1][0]
        round_x = release_x + 0.55 * (last[0] - release_x)
        raised = float(self.mound.height(round_x)) + ground + 0.12 * self.body.height
        swing = np.array([round_x, -0.22 * self.body.height, raised])
        angle, pitch, slope = self.angles()
        end = pivot_of(last, self.body.toe_in_foot, -18.0, 0.0, self.mound.slope)
        paths = [
            Curve([
                rest(self.toe_off, toe[axis]), Knot(at.fc, self.toe_at_touch[axis]),
                *(Knot(time, drag[axis]) for time, drag in drags),
                Knot(at.br + 0.3, swing[axis]), rest(at.end, end[axis]),
            ])
            for axis in range(3)
        ]  # fmt: skip
        return Foot(self.body.toe_in_foot, *paths, angle, pitch, slope)

    def _dragged(self, time: float, hip: Array, knee: float) -> Array:
        """The toe (3,) on the ground so far behind the hip that the knee is bent by so much, m."""
        centre = hip - self.toe_to_ankle(time)
        y = self.toe_planted[1] - 0.01
        z = self.body.foot_marker_height + 0.01
        behind = self.body.hip_to_ankle(knee) ** 2 - (centre[1] - y) ** 2 - (centre[2] - z) ** 2
        return np.array([centre[0] - np.sqrt(max(behind, 0.0)), y, z])
