"""Vectors and rotation matrices, one a frame: shape (…, 3) and (…, 3, 3). NaN in, NaN out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def dot(first: Array, second: Array) -> Array:
    """Inner product along the last axis, shape (…)."""
    return np.einsum("...i,...i->...", first, second)


def norm(vectors: Array) -> Array:
    """Length along the last axis, shape (…)."""
    return np.sqrt(dot(vectors, vectors))


def median_length(vectors: Array) -> float:
    """Median length of vectors (frames, 3) that are seen; NaN when none is."""
    lengths = norm(vectors)
    seen = lengths[np.isfinite(lengths)]
    return float(np.median(seen)) if len(seen) else float("nan")


def unit(vectors: Array) -> Array:
    """The same direction with length 1; NaN for a vector of no length."""
    length = norm(vectors)[..., None]
    return np.divide(vectors, length, out=np.full(np.shape(vectors), np.nan), where=length > 0)


def across(vectors: Array, axis: Array) -> Array:
    """What is left of vectors when the part along the unit vector ``axis`` is taken away."""
    return vectors - dot(vectors, axis)[..., None] * axis


def angle_between(first: Array, second: Array) -> Array:
    """Angle in radians, 0 to π; exact near 0 and π too, where the arc cosine is not."""
    return np.arctan2(norm(np.cross(first, second)), dot(first, second))


def signed_angle(first: Array, second: Array, axis: Array) -> Array:
    """Turn in radians from first to second about the unit vector ``axis``, both seen along it; right-handed."""
    flat_cosine = dot(first, second) - dot(first, axis) * dot(second, axis)
    return np.arctan2(dot(np.cross(first, second), axis), flat_cosine)


def turned(rotations: Array, vectors: Array) -> Array:
    """Rotations (…, 3, 3) applied to vectors (…, 3)."""
    return np.einsum("...ij,...j->...i", rotations, vectors)


def relative(first: Array, second: Array) -> Array:
    """Rotations of the second as seen from the first: firstᵀ second, shape (…, 3, 3)."""
    return np.einsum("...ji,...jk->...ik", first, second)


def rotation_vector(rotations: Array) -> Array:
    """Axis times angle (radians), shape (…, 3), of rotations under half a turn.

    From the antisymmetric part, whose length is the angle's sine, and the trace, which gives its cosine.
    """
    skew = 0.5 * np.stack(
        [
            rotations[..., 2, 1] - rotations[..., 1, 2],
            rotations[..., 0, 2] - rotations[..., 2, 0],
            rotations[..., 1, 0] - rotations[..., 0, 1],
        ],
        axis=-1,
    )
    sine = norm(skew)
    cosine = 0.5 * (np.trace(rotations, axis1=-2, axis2=-1) - 1)
    ratio = np.ones_like(sine)
    np.divide(np.arctan2(sine, cosine), sine, out=ratio, where=~(sine <= 1e-12))
    return skew * ratio[..., None]


def central_difference(values: Array, rate_hz: float) -> Array:
    """Rate of change along the first axis, same shape, per second; NaN at both ends.

    (value of the next frame - value of the one before) / two frames.
    """
    rate = np.full(values.shape, np.nan)
    rate[1:-1] = (values[2:] - values[:-2]) * (rate_hz / 2)
    return rate


def second_difference(values: Array, rate_hz: float) -> Array:
    """Second derivative along the first axis by second central differences, same shape; NaN at both ends."""
    bend = np.full(values.shape, np.nan)
    bend[1:-1] = (values[2:] - 2 * values[1:-1] + values[:-2]) * rate_hz**2
    return bend
