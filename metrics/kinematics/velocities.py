"""Angular velocities from rotations: never the derivative of an Euler angle. Radians per second inside."""

from __future__ import annotations

import numpy as np

from metrics.kinematics.vectors import Array, dot, rotation_vector

Y, Z = 1, 2


def angular_velocity(rotations: Array, rate_hz: float) -> Array:
    """Angular velocity (frames, 3) in lab axes, rad/s, of rotations (frames, 3, 3); NaN at both ends.

    At frame k: the rotation vector of R[k+1] R[k-1]ᵀ over two frames.
    """
    omega = np.full(rotations.shape[:-1], np.nan)
    step = np.einsum("...ij,...kj->...ik", rotations[2:], rotations[:-2])
    omega[1:-1] = rotation_vector(step) * (rate_hz / 2)
    return omega


def opening_velocity(omega: Array, frame: Array) -> Array:
    """Turn of trunk or pelvis about its own long axis, opening (toward home plate) positive."""
    return dot(omega, frame[..., Y])


def trunk_flexion_velocity(omega: Array, thorax: Array) -> Array:
    """Bending forward about the thorax' own Z, which points to the right: flexing positive."""
    return -dot(omega, thorax[..., Z])


def internal_rotation_velocity(omega_humerus: Array, omega_thorax: Array, upper: Array) -> Array:
    """Turn of the upper arm about itself, as seen from the trunk, internal positive (right arm)."""
    return -dot(omega_humerus - omega_thorax, upper)
