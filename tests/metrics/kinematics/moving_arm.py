"""A throwing arm in any motion, built from `scipy` rotations: what inverse dynamics is held against.

Shares no code with the measurement. The upper arm's Z is the elbow's hinge; forearm and hand follow it by flexion,
pronation and the wrist's bend. Metres, radians, seconds; lab axes X home, Y left, Z up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.spatial.transform import Rotation

from metrics.kinematics.joints import Joints

UPRIGHT = Rotation.from_matrix([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])  # ISB axes of who faces home
LENGTHS = {"upper_arm": 0.30, "forearm": 0.25, "hand": 0.09}
NAMES = tuple(LENGTHS)


@dataclass(frozen=True, eq=False)
class MovingArm:
    """``rotations`` by segment, each of n frames, the shoulder's course (n, 3), and how the trunk faces."""

    rotations: Mapping[str, Rotation]
    shoulder: np.ndarray
    rate_hz: float
    trunk: Rotation = UPRIGHT

    @classmethod
    def posed(cls, upper: Rotation, flexion, rate_hz, *, pronation=0.0, wrist=0.0, shoulder=None):
        """From the upper arm's rotations (n) and joint angles, one number or (n,)."""
        n = len(upper)
        flexed = upper * _about("z", flexion, n)
        fore = flexed * _about("y", pronation, n)
        hand = fore * _about("z", wrist, n)
        turns = {"upper_arm": upper, "forearm": fore, "hand": hand}
        return cls(turns, np.zeros((n, 3)) if shoulder is None else shoulder, rate_hz)

    @property
    def points(self) -> dict[str, np.ndarray]:
        """Proximal end of each segment and "end", the knuckle, each (n, 3)."""
        places, here = {}, self.shoulder
        for name in NAMES:
            places[name] = here
            here = here + self.rotations[name].apply([0.0, -LENGTHS[name], 0.0])
        return places | {"end": here}

    def ball(self, forward=0.02, beyond=0.155) -> np.ndarray:
        """A place fixed in the hand: forward of it and that far from the wrist, (n, 3)."""
        return self.points["hand"] + self.rotations["hand"].apply([forward, -beyond, 0.0])

    @property
    def joints(self) -> Joints:
        points = self.points
        centres = {"R_shoulder": points["upper_arm"], "R_elbow": points["forearm"], "R_wrist": points["hand"]}
        # Between the styloids. It turns the hand too, which therefore does not deviate here.
        axes = {"R_wrist": self.rotations["forearm"].apply([0.0, 0.0, 1.0])}
        trunk = np.broadcast_to(self.trunk.as_matrix(), (len(self.shoulder), 3, 3))
        return Joints(centres, axes, trunk, trunk)

    def seen_from(self, turn: Rotation, drift_mps=(0.0, 0.0, 0.0)) -> MovingArm:
        """The same movement in a room that is turned, and that moves with a steady velocity."""
        times = np.arange(len(self.shoulder))[:, None] / self.rate_hz
        shoulder = turn.apply(self.shoulder) + times * np.array(drift_mps)
        rotations = {name: turn * turns for name, turns in self.rotations.items()}
        return MovingArm(rotations, shoulder, self.rate_hz, turn * self.trunk)


def _about(axis: str, angle, n: int) -> Rotation:
    return Rotation.from_euler(axis, np.broadcast_to(np.asarray(angle, dtype=float), n).reshape(n, 1))


def wild(rate_hz: float = 2000.0, seconds: float = 0.5, number: int = 1) -> MovingArm:
    """Every joint in smooth irregular motion, about as fast as in a throw; the shoulder moves too."""
    rng = np.random.default_rng(number)
    times = np.arange(round(rate_hz * seconds)) / rate_hz

    def wave(size: float, middle: float = 0.0) -> np.ndarray:
        waves = [np.sin(2 * np.pi * hz * times + rng.uniform(0, 2 * np.pi)) for hz in (1.0, 2.3, 4.1)]
        return middle + size * np.dot(rng.uniform(0.3, 0.6, 3), waves)

    upper = UPRIGHT * Rotation.from_euler("YXY", np.stack([wave(0.8), wave(0.5, -1.5), wave(1.0, 1.0)], axis=-1))
    shoulder = np.stack([wave(0.2), wave(0.1), wave(0.1, 1.4)], axis=-1)
    return MovingArm.posed(
        upper, wave(0.6, 1.5), rate_hz, pronation=wave(0.7), wrist=wave(0.3), shoulder=shoulder
    )  # fmt: skip
