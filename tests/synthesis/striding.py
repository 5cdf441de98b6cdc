"""The lower half: where the pelvis travels so that both knees bend as planned while the feet stay where they stand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .body import Body
from .curves import Array, Curve, Knot, rest
from .footwork import Foot
from .lead_leg import LeadLeg
from .moments import Moments
from .mound import Mound
from .pose import CHANNELS, Pose
from .rear_leg import RearLeg
from .skeleton import pelvis_rotation
from .style import Style

FOLLOWING = 0.25  # s after release: the lead leg carries the body
EXTENDING = -0.10  # s from touch: between the deepest drive and touch
EXTENDED = 0.45  # of the way from the deepest bend to that at touch
LOWERING = -0.52  # s from touch: the lead leg comes down, the rear knee begins to bend
BRACED, BRACED_MORE, LEAST_BEND = 0.06, 5.0, 16.0  # s after release; deg straighter by then, but bent as much
SETTLING, SETTLING_KNEE = 0.48, 36.0  # s after release, deg
# Bend (deg) of the leg that carries.
STANDING_KNEE, LIFT_KNEE, LOWERING_KNEE, FOLLOWING_KNEE, LAST_KNEE = 20.0, 23.0, 32.0, 40.0, 28.0
LAST_REAR = (-0.06, -0.21)  # of height: the rear foot at the end, from the lead one


@dataclass(frozen=True, slots=True)
class LowerHalf:
    """Both feet, the pelvis' path (m) and the headings of the knees (deg), over seconds from first touch."""

    pelvis: tuple[Curve, Curve, Curve]
    rear: Foot
    lead: Foot
    knees: dict[str, Curve]
    toe_off: float

    def channels(self, times: Array) -> dict[str, Array]:
        pelvis = {f"pelvis_{axis}": curve(times) for axis, curve in zip("xyz", self.pelvis, strict=True)}
        knees = {name: curve(times) for name, curve in self.knees.items()}
        return pelvis | knees | self.rear.channels("rear", times) | self.lead.channels("lead", times)


class Stride:
    """Works out a `LowerHalf` for a body, a style and the pelvis' rotation (`turning`, from `turning_curves`)."""

    def __init__(self, body: Body, style: Style, at: Moments, mound: Mound, turning: dict[str, Curve]) -> None:
        self.body, self.style, self.at, self.turning = body, style, at, turning
        self.lead, self.rear = LeadLeg(body, style, at, mound), RearLeg(body, at, mound)

    def lower_half(self) -> LowerHalf:
        x, y = self._level_path()
        z = self._height(x, y)
        pelvis = (x, y, z)
        lead = self.lead.foot(self._lifted_ankle(np.array([curve(self.at.pkh) for curve in pelvis])))

        def rear_hip(time: float) -> Array:
            return np.array([curve(time) for curve in pelvis]) + self._hip(time, 1.0)

        planted, ground = self.lead.planted, self.lead.mound.height
        last = planted + np.array([*LAST_REAR, 0.0]) * self.body.height
        last[2] += float(ground(last[0]) - ground(planted[0]))
        return LowerHalf(pelvis, self.rear.foot(rear_hip, last), lead, self._knees(), self.rear.toe_off)

    def _hip(self, time: float, sign: float) -> Array:
        """A hip centre (3,) from the middle of both: rear +1, lead -1."""
        now = np.array([time])
        pose = Pose.of({name: self.turning[name](now) if name in self.turning else np.zeros(1) for name in CHANNELS})
        return pelvis_rotation(pose).apply([0.0, 0.0, sign * self.body.half_hips])[0]

    def _level_path(self) -> tuple[Curve, Curve]:
        at, height, planted = self.at, self.body.height, self.lead.planted
        landing_x = self._landing()[0]
        release_x = landing_x + self.style.pelvis_travel_fc_br / 100 * height
        x = Curve([
            rest(at.start, 0.05 * height), Knot(at.pkh, 0.034 * height), Knot(at.deep, 0.235 * height),
            Knot(at.fc, landing_x), Knot(at.br, release_x),
            Knot(at.br + FOLLOWING, planted[0] - 0.15 * height), rest(at.end, planted[0] - 0.035 * height),
        ])  # fmt: skip
        y = Curve([
            rest(at.start, 0.01 * height), Knot(at.pkh, 0.012 * height), Knot(at.deep, 0.045 * height),
            Knot(at.fc, self._landing_y()), Knot(at.br, planted[1] - 0.035 * height),
            rest(at.end, planted[1] - 0.095 * height),
        ])  # fmt: skip
        return x, y

    def _landing_y(self) -> float:
        return 0.02 * self.body.height + 0.5 * self.lead.planted[1]

    def _landing(self) -> tuple[float, float]:
        """X and Z of the pelvis (m) at first touch: both knees bend as planned, so it is where two circles meet."""
        style, y = self.style, self._landing_y()
        centres, squares = [], []
        for ankle, knee, sign in (
            (self.rear.ankle_at_touch(), style.drive_knee_flexion_fc, 1.0),
            (self.lead.ankle_at_touch(), style.lead_knee_flexion_fc, -1.0),
        ):
            centre = ankle - self._hip(self.at.fc, sign)
            centres.append(centre[[0, 2]])
            squares.append(self.body.hip_to_ankle(knee) ** 2 - (y - centre[1]) ** 2)
        line = centres[1] - centres[0]
        apart = float(np.linalg.norm(line))
        along = (squares[0] - squares[1] + apart**2) / (2 * apart)
        if squares[0] <= along**2:
            raise ValueError("The stride is too long for knees bent like this.")
        upward = np.array([-line[1], line[0]]) / apart
        x, z = centres[0] + along * line / apart + np.sqrt(squares[0] - along**2) * upward
        return float(x), float(z)

    def _height(self, x: Curve, y: Curve) -> Curve:
        """Above each knot's carrying ankle so high that its knee bends as planned."""
        at, style, rear, lead = self.at, self.style, self.rear.planted, self.lead.planted
        on_toe = self.rear.ankle_on_toe
        deepest = style.drive_knee_flexion_max
        extending = deepest + EXTENDED * (style.drive_knee_flexion_fc - deepest)
        carried = (
            (at.pkh, rear, LIFT_KNEE, 1.0), (LOWERING, rear, LOWERING_KNEE, 1.0),
            (at.deep, on_toe(at.deep), deepest, 1.0),
            (EXTENDING, on_toe(EXTENDING), extending, 1.0),
            (at.mer, lead, style.lead_knee_flexion_mer, -1.0), (at.br, lead, style.lead_knee_flexion_br, -1.0),
            (at.br + BRACED, lead, max(style.lead_knee_flexion_br - BRACED_MORE, LEAST_BEND), -1.0),
            (at.br + FOLLOWING, lead, FOLLOWING_KNEE, -1.0), (at.br + SETTLING, lead, SETTLING_KNEE, -1.0),
        )  # fmt: skip
        knots = [Knot(time, self._over(time, x, y, ankle, knee, sign)) for time, ankle, knee, sign in carried]
        knots.insert(4, Knot(at.fc, self._landing()[1]))
        first = rest(at.start, self._over(at.start, x, y, rear, STANDING_KNEE, 1.0))
        return Curve([first, *knots, rest(at.end, self._over(at.end, x, y, lead, LAST_KNEE, -1.0))])

    def _over(self, time: float, x: Curve, y: Curve, ankle: Array, knee: float, sign: float) -> float:
        hip = self._hip(time, sign)
        aside = (float(x(time)) + hip[0] - ankle[0]) ** 2 + (float(y(time)) + hip[1] - ankle[1]) ** 2
        left = self.body.hip_to_ankle(knee) ** 2 - aside
        if left <= 0:
            raise ValueError(f"At {time:.3f} s the carrying leg cannot reach the ground.")
        return float(ankle[2] - hip[2] + np.sqrt(left))

    def _lifted_ankle(self, pelvis: Array) -> Array:
        """The lead ankle (3,) at peak knee lift, from hip and knee flexion in the pelvis' sagittal plane."""
        now = np.array([self.at.pkh])
        pose = Pose.of({name: self.turning[name](now) if name in self.turning else np.zeros(1) for name in CHANNELS})
        hip = np.radians(self.style.lead_hip_flexion_pkh)
        shank = hip - np.radians(self.style.lead_knee_flexion_pkh)
        in_pelvis = np.array([0.0, 0.0, -self.body.half_hips])
        for angle, name in ((hip, "thigh"), (shank, "shank")):
            in_pelvis = in_pelvis + self.body.length(name) * np.array([np.sin(angle), -np.cos(angle), 0.0])
        return pelvis + pelvis_rotation(pose).apply(in_pelvis)[0]

    def _knees(self) -> dict[str, Curve]:
        at, foot = self.at, -self.style.lead_foot_angle
        return {
            "rear_knee_heading": Curve([
                rest(at.start, 88.0), Knot(at.pkh, 90.0), Knot(at.deep, 74.0), Knot(at.fc, 42.0), Knot(at.br, 12.0),
                rest(at.end, 10.0),
            ]),
            "lead_knee_heading": Curve([
                rest(at.start, 88.0), Knot(at.pkh, 100.0), Knot(-0.30, 70.0), Knot(at.fc, foot + 4.0),
                Knot(at.br, foot), rest(at.end, foot),
            ]),
        }  # fmt: skip
