"""What else people do in a capture room: stand about, walk in, throw on the run, pitch underhand."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from .body import Body
from .curves import Array, Curve, Knot, rest
from .delivery import Delivery
from .pose import Pose

STANCE_POSE = -5.0  # s: long before any delivery begins, a pitcher in his set position
WALKING_STANCE, RUNNING_STANCE = 0.60, 0.25  # share of a stride for which a foot stands
HIP_HEIGHT = {"walking": 0.495, "running": 0.470}  # of height


@dataclass(frozen=True)
class Standing:
    """A pitcher who stands in his set position and does not throw; he sways by a few millimetres."""

    body: Body = field(default_factory=Body)
    duration: float = 3.0
    start: float = 0.0

    @property
    def end(self) -> float:
        return self.start + self.duration

    def pose(self, times: Array) -> Pose:
        times = np.asarray(times, dtype=float)
        set_position = Delivery(self.body).pose(np.full(len(times), STANCE_POSE))
        sway = 0.003 * np.sin(2 * np.pi * 0.4 * times)
        return set_position.with_channels({"pelvis_x": set_position["pelvis_x"] + sway})


@dataclass(frozen=True)
class WalkingIn:
    """Walks from behind the rubber up to it, chest toward home, arms at rest."""

    body: Body = field(default_factory=Body)
    distance: float = 2.5  # m
    speed: float = 1.2  # m/s
    start: float = 0.0

    @property
    def end(self) -> float:
        return self.start + self.distance / self.speed

    def pose(self, times: Array) -> Pose:
        times = np.clip(np.asarray(times, dtype=float), self.start, self.end)
        base = Delivery(self.body).pose(np.full(len(times), STANCE_POSE))
        pelvis = self.speed * (times - self.end)
        swing = 8.0 * np.sin(2 * np.pi * times / _stride_time(self.body, self.speed))
        legs = _steps(self.body, times - self.end, self.speed, WALKING_STANCE)
        return base.with_channels(
            legs | {
                "pelvis_x": pelvis, "pelvis_y": 0 * pelvis,
                "pelvis_z": 0 * pelvis + HIP_HEIGHT["walking"] * self.body.height,
                "pelvis_rotation": 0 * pelvis, "trunk_rotation": 0 * pelvis, "head_rotation": 0 * pelvis,
                "throwing_horizontal_abduction": swing, "throwing_elbow_flexion": 0 * pelvis + 35.0,
            }
        )  # fmt: skip


@dataclass(frozen=True)
class RunningThrow:
    """A fielder's throw: arm and trunk of a delivery on legs that keep running toward the target."""

    delivery: Delivery = field(default_factory=Delivery)
    speed: float = 3.6  # m/s

    @property
    def body(self) -> Body:
        return self.delivery.body

    @property
    def start(self) -> float:
        return -0.9

    @property
    def end(self) -> float:
        return 0.7

    def pose(self, times: Array) -> Pose:
        times = np.clip(np.asarray(times, dtype=float), self.start, self.end)
        base = self.delivery.pose(times)
        still = 0 * times
        legs = _steps(self.body, times, self.speed, RUNNING_STANCE)
        return base.with_channels(
            legs | {
                "pelvis_x": self.speed * times, "pelvis_y": still,
                "pelvis_z": still + HIP_HEIGHT["running"] * self.body.height,
                "pelvis_rotation": 0.35 * base["pelvis_rotation"],
            }
        )  # fmt: skip


@dataclass(frozen=True)
class Windmill:
    """An underhand pitch: the straight arm goes once round, forward and over the head, to release at the hip."""

    delivery: Delivery = field(default_factory=Delivery)
    circle: float = 0.50  # s

    @property
    def body(self) -> Body:
        return self.delivery.body

    @property
    def start(self) -> float:
        return self.delivery.start

    @property
    def end(self) -> float:
        return self.delivery.end

    def pose(self, times: Array) -> Pose:
        times = np.asarray(times, dtype=float)
        base, at = self.delivery.pose(times), self.delivery.moments
        begin = at.br - self.circle
        turned = Curve([rest(at.start, 25.0), Knot(begin, 40.0), Knot(at.br, 362.0), rest(at.end, 450.0)])
        straight = Curve([rest(at.start, 60.0), Knot(begin, 14.0), Knot(at.br, 12.0), rest(at.end, 40.0)])
        opened = Curve([rest(at.start, 5.0), Knot(begin + 0.2, 70.0), Knot(at.br, 35.0), rest(at.end, 5.0)])
        still = 0 * times
        return base.with_channels({
            "throwing_abduction": turned(times), "throwing_horizontal_abduction": still - 90.0,
            "throwing_external_rotation": still, "throwing_elbow_flexion": straight(times),
            "trunk_rotation": opened(times), "trunk_forward_tilt": still + 4.0, "trunk_lateral_tilt": still,
        })  # fmt: skip


def _stride_time(body: Body, speed: float) -> float:
    """Two steps (s); a step grows with speed from 0.24 of height at a slow walk (this synthesiser's own rule)."""
    return 2 * (0.14 + 0.10 * speed) * body.height / speed


def _steps(body: Body, times: Array, speed: float, standing: float) -> dict[str, Array]:
    """Both legs of one who goes along X at `speed` (m/s) and is at X = 0 at 0 s; a foot that stands does not slip."""
    period = _stride_time(body, speed)
    still = 0 * times
    channels: dict[str, Array] = {}
    for leg, side, shift in (("rear", -1.0, 0.0), ("lead", 1.0, 0.5)):
        count, phase = np.divmod(times / period + shift, 1.0)
        swing = np.clip((phase - standing) / (1 - standing), 0.0, 1.0)
        eased = swing**3 * (10 - 15 * swing + 6 * swing**2)
        channels |= {
            f"{leg}_ankle_x": speed * period * (count + eased - shift + standing / 2),
            f"{leg}_ankle_y": still + side * 0.05 * body.height,
            f"{leg}_ankle_z": body.length("ankle_height") + 0.07 * body.height * np.sin(np.pi * swing) ** 2,
            f"{leg}_foot_angle": still, f"{leg}_foot_pitch": -25.0 * np.sin(np.pi * swing) ** 2,
            f"{leg}_foot_slope": still, f"{leg}_knee_heading": still,
        }  # fmt: skip
    return channels
