"""Rigid segments as clouds of point masses: loads without an angular velocity or an inertia tensor.

Slow, and shares nothing with the measurement but the table of masses. Metres, kilograms, newtons; Z is up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial.transform import Rotation

GRAVITY = np.array([0.0, 0.0, 9.80665])  # m/s², upward: what a body at rest is pushed with


@dataclass(frozen=True, eq=False)
class Part:
    """``centre`` of mass (n, 3), ``moments`` of inertia (3,) about the axes of ``rotation``, kg·m²."""

    mass: float
    rotation: Rotation
    centre: np.ndarray
    moments: np.ndarray


def part(segment, body_mass, rotation, proximal, length) -> Part:
    """A segment of the table whose long axis is -Y from its proximal end (n, 3)."""
    mass = segment.mass * body_mass
    centre = proximal + rotation.apply([0.0, -segment.centre * length, 0.0])
    return Part(mass, rotation, centre, mass * (np.array(segment.radii) * length) ** 2)


def point_clouds(parts: Mapping[str, Part]) -> dict[str, list[tuple[float, np.ndarray]]]:
    """Six points of equal mass a part, with its mass, centre and moments of inertia: [(kg, course (n, 3))]."""
    clouds = {}
    for name, one in parts.items():
        spread = np.sqrt(3 * (one.moments.sum() / 2 - one.moments) / one.mass)  # ∫x² dm = (Iy + Iz - Ix) / 2
        corners = np.concatenate([np.diag(spread), -np.diag(spread)])
        clouds[name] = [(one.mass / 6, one.centre + one.rotation.apply(corner)) for corner in corners]
    return clouds


def load_of(points: Sequence[tuple[float, np.ndarray]], about: np.ndarray, rate_hz: float):
    """Force Σ m (a - g) and moment Σ r × m (a - g) about a course (n, 3) that move these points; NaN at both ends."""
    force, moment = np.zeros_like(about), np.zeros_like(about)
    for mass, course in points:
        push = np.full_like(course, np.nan)
        push[1:-1] = mass * (np.diff(course, n=2, axis=0) * rate_hz**2 + GRAVITY)
        force, moment = force + push, moment + np.cross(course - about, push)
    return force, moment
