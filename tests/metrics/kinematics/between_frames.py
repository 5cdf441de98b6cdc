"""What any interpolation can make of 100 frames a second: the true curves themselves, sampled and read between.

No marker, no noise and nothing of the product is in it, so what is missed here is not in the frames.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

import numpy as np
from scipy.interpolate import lagrange, make_interp_spline
from scipy.signal import resample

from tests.metrics.kinematics.trials import spread

RATE_HZ = 100.0
FINER = 200  # of Fourier's interpolation: it is read at the nearest of so many steps a frame
CURVES: Mapping[str, str] = {"elbow_flexion": "br", "lead_knee_flexion": "fp", "lead_hip_flexion": "fp"}

Interpolation = Callable[[np.ndarray, float], float]


def through_nearest(count: int) -> Interpolation:
    """The polynomial through so many frames around the place (in frames)."""

    def read(curve: np.ndarray, place: float) -> float:
        frames = np.arange(count) - count // 2 + 1
        first = int(np.floor(place))
        return float(lagrange(frames, curve[first + frames])(place - first))

    return read


def spline(degree: int) -> Interpolation:
    """The spline through every frame."""
    return lambda curve, place: float(make_interp_spline(np.arange(len(curve)), curve, k=degree)(place))


def fourier(curve: np.ndarray, place: float) -> float:
    """The sum of sines up to half the frame rate; the curve is mirrored, so that it closes without a jump."""
    fine = resample(np.concatenate([curve, curve[::-1]]), 2 * FINER * len(curve))
    return float(fine[round(place * FINER)])


WAYS: Mapping[str, Interpolation] = {
    **{f"{count} frames": through_nearest(count) for count in (4, 6, 8)},
    **{f"spline of degree {degree}": spline(degree) for degree in (3, 5, 7)},
    "Fourier": fourier,
}


@cache
def missed(way: str) -> dict[str, float]:
    """Angle → how far (deg) an interpolation is from the truth at worst, over the throws of 100 frames a second."""
    found = dict.fromkeys(CURVES, 0.0)
    for one in spread():
        if one.made.room.rate_hz != RATE_HZ:
            continue
        frames = one.made.throw.angles(one.made.times)
        for name, event in CURVES.items():
            time = one.truth_s[event]
            true = float(one.made.throw.angles(np.array([time]))[name][0])
            read = WAYS[way](frames[name], time * RATE_HZ)
            found[name] = max(found[name], abs(read - true))
    return found
