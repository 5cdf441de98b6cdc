"""Angular velocities from rotations: never the derivative of an Euler angle. Radians per second inside."""

from __future__ import annotations

import numpy as np

from metrics.kinematics.vectors import Array, dot, rotation_vector

Y, Z = 1, 2


def angular_velocity(rotations: Array, rate_hz: float) -> Array:
    """Angular velocity (frames, 3) in lab axes, rad/s, of rotations (frames, 3, 3); NaN at both ends.

    From the rotation vectors of R[k+1] R[k]ᵀ, the steps between neighbouring frames; a step is under half a turn.
    """
    return _at_frames(rotation_vector(np.einsum("...ij,...kj->...ik", rotations[1:], rotations[:-1])) * rate_hz)


def rate_of_change(values: Array, rate_hz: float) -> Array:
    """Rate of change of values along the first axis, same shape, per second; NaN at both ends."""
    return _at_frames(np.diff(values, axis=0) * rate_hz)


def _at_frames(between: Array) -> Array:
    """Rates at frames from mean rates between them (frames - 1, …): (7, 7, -1, -1) twelfths of the four around one.

    The mean of the two next to it, which is what the difference over two frames gives, rounds peaks off: it takes 3% of
    internal rotation's at 240 Hz and a sixth at 100 Hz, without any filter. That mean stands where the outer two are
    not seen. Weights: the derivative of the quartic through five frames, as in any table of finite differences.
    """
    rates = np.full((len(between) + 1, *between.shape[1:]), np.nan)
    near = between[1:] + between[:-1]
    rates[1:-1] = near / 2
    four = (7 * near[1:-1] - between[:-3] - between[3:]) / 12
    rates[2:-2] = np.where(np.isfinite(four), four, rates[2:-2])
    return rates


def opening_velocity(omega: Array, frame: Array) -> Array:
    """Turn of trunk or pelvis about its own long axis, opening (toward home plate) positive."""
    return dot(omega, frame[..., Y])


def trunk_flexion_velocity(omega: Array, thorax: Array) -> Array:
    """Bending forward about the thorax' own Z, which points to the right: flexing positive."""
    return -dot(omega, thorax[..., Z])


def internal_rotation_velocity(omega_humerus: Array, omega_thorax: Array, upper: Array) -> Array:
    """Turn of the upper arm about itself, as seen from the trunk, internal positive (right arm)."""
    return -dot(omega_humerus - omega_thorax, upper)
