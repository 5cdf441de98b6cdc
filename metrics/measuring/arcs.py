"""Judged angles as arcs in space: where each stands, from which direction it counts, and about which axis it turns.

Pure. Turning ``base`` by the angle about ``normal`` gives the direction of what is measured, seen along the axis.
Right-hander's axes, as the computation has them; `figure.Placing` puts them into the picture.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from metrics.kinematics import ThrowMeasurement
from metrics.kinematics.movement import Movement
from metrics.kinematics.sampling import rows_at
from metrics.kinematics.vectors import Array, across, unit

X, Y, Z = np.eye(3)


@dataclass(frozen=True, slots=True, eq=False)
class Arc:
    """``vertex``: a point of the figure by name; ``base`` and ``normal``: unit vectors (3,)."""

    vertex: str
    base: Array
    normal: Array


@dataclass(frozen=True, slots=True)
class _Moment:
    """A movement at one time."""

    movement: Movement
    time_s: float

    def joint(self, name: str) -> Array:
        return rows_at(self.movement.joints[name], self.time_s, self.movement.rate_hz)

    def frame(self, which: str) -> Array:
        """Axes of thorax or pelvis, (3, 3), as columns."""
        course = getattr(self.movement.joints, which)
        return course[round(self.time_s * self.movement.rate_hz)]

    def limb(self, first: str, second: str) -> Array:
        return unit(self.joint(second) - self.joint(first))


def _hinge(vertex: str, first: str, middle: str, last: str) -> Callable[[_Moment], Arc]:
    """How far a limb bends off its straight line."""

    def at(moment: _Moment) -> Arc:
        upper, lower = moment.limb(first, middle), moment.limb(middle, last)
        return Arc(vertex, upper, unit(np.cross(upper, lower)))

    return at


def _abduction(moment: _Moment) -> Arc:
    down, upper = -moment.frame("thorax")[:, 1], moment.limb("R_shoulder", "R_elbow")
    return Arc("throwing_shoulder", down, unit(np.cross(down, upper)))


def _horizontal(sign: float) -> Callable[[_Moment], Arc]:
    def at(moment: _Moment) -> Arc:
        thorax = moment.frame("thorax")
        return Arc("throwing_shoulder", thorax[:, 2], sign * thorax[:, 1])

    return at


def _external_rotation(moment: _Moment) -> Arc:
    upper = moment.limb("R_shoulder", "R_elbow")
    along = unit(across(moment.frame("thorax")[:, 1], upper))
    return Arc("throwing_elbow", np.cross(along, upper), upper)


def _fixed(vertex: str, base: Array, normal: Array) -> Callable[[_Moment], Arc]:
    return lambda moment: Arc(vertex, base, normal)


def _separation(moment: _Moment) -> Arc:
    forward = moment.frame("pelvis")[:, 0]
    return Arc("mid_hips", unit(across(forward, Z)), -Z)


ARCS: Final[dict[str, Callable[[_Moment], Arc]]] = {
    "elbow_flexion": _hinge("throwing_elbow", "R_shoulder", "R_elbow", "R_wrist"),
    "lead_knee_flexion": _hinge("lead_knee", "L_hip", "L_knee", "L_ankle"),
    "drive_knee_flexion": _hinge("rear_knee", "R_hip", "R_knee", "R_ankle"),
    "shoulder_abduction": _abduction,
    "shoulder_horizontal_abduction": _horizontal(-1.0),
    "shoulder_horizontal_adduction": _horizontal(1.0),
    "shoulder_external_rotation": _external_rotation,
    "trunk_rotation": _fixed("neck", X, -Z),
    "pelvis_rotation": _fixed("mid_hips", X, -Z),
    "separation": _separation,
    "trunk_forward_tilt": _fixed("mid_hips", Z, Y),
    "trunk_lateral_tilt": _fixed("mid_hips", Z, -X),
    "lead_foot_angle": _fixed("lead_heel", X, Z),
}
"""Name of the angle, as metrics begin with it, → its arc at a moment."""


def angle_of(metric: str) -> str:
    """The angle that a metric reads at one event, "" when it is no angle that can be drawn there."""
    for moment in ("fp", "mer", "br", "max"):
        name = metric.removesuffix(f"_{moment}")
        if name != metric and name in ARCS:
            return name if moment != "max" or metric == "shoulder_external_rotation_max" else ""
    return metric if metric == "lead_foot_angle" else ""


def arc_at(measured: ThrowMeasurement, metric: str, event: str) -> Arc | None:
    """The metric's arc at an event; None where it cannot be drawn."""
    name = angle_of(metric)
    if not name or event not in measured.events:
        return None
    arc = ARCS[name](_Moment(measured.movement, measured.events[event] - measured.start_s))
    return arc if np.isfinite([arc.base, arc.normal]).all() else None
