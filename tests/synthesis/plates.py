"""What force plates under both feet would read: roughly what moves the body's centre of mass, sharply what touches it.

Mass fractions and centres of de Leva 1996 (J Biomech 29:1223-1230, men, from memory). The whole force is mass times
(acceleration + gravity), smoothed; it passes from the rear foot to the lead foot after the first touch.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from .curves import Array
from .delivery import Delivery
from .skeleton import Skeleton, place_skeleton

GRAVITY = 9.80665  # m/s2
FIRST_FORCE = 25.0  # N at the first sample after the touch: over the usual 20 N
TAKING_OVER = 0.035  # s in which the lead foot takes the weight over
STEPPING_OFF = 0.15  # s at either end of a throw in which the pitcher steps on and off the plates
SMOOTHING, FINE = 0.008, 0.002  # s
PLATE_HALF = (0.45, 0.30)  # m, along X and Y

# Share of mass, from centre, to centre, share of the way.
LIMBS = (
    (0.1416, "hip", "knee", 0.4095), (0.0433, "knee", "ankle", 0.4459), (0.0137, "ankle", "ankle", 0.0),
    (0.0271, "shoulder", "elbow", 0.5772), (0.0162, "elbow", "wrist", 0.4574), (0.0061, "wrist", "wrist", 0.0),
)  # fmt: skip
HEAD_MASS, TRUNK_MASS = 0.0694, 0.4346
TRUNK_CENTRE = 0.55  # from the hips' middle to the shoulders' middle (this synthesiser's own)


@dataclass(frozen=True, slots=True)
class Plate:
    """One force plate, in m, N and lab axes.

    `corners` (4, 3) run as in a C3D file: with them the plate's own Z points down. `force` (k, 3) is the ground's force
    on the pitcher, `centre` (k, 3) where it acts, k samples at the analogue rate.
    """

    corners: Array
    force: Array
    centre: Array


def centre_of_mass(skeleton: Skeleton) -> Array:
    """The body's centre of mass (n, 3), m."""
    centres = skeleton.centres
    shoulders = (centres["R_shoulder"] + centres["L_shoulder"]) / 2
    trunk = centres["mid_hips"] + TRUNK_CENTRE * (shoulders - centres["mid_hips"])
    total = HEAD_MASS * centres["head"] + TRUNK_MASS * trunk
    for share, first, last, way in LIMBS:
        for side in "RL":
            start, end = centres[f"{side}_{first}"], centres[f"{side}_{last}"]
            total = total + share * (start + way * (end - start))
    return total


def ground_forces(delivery: Delivery, times: Array) -> tuple[Array, Array]:
    """The ground's force on the rear and on the lead foot, each (n, 3) in N, at times (s) of the delivery."""
    times = np.asarray(times, dtype=float)
    grid = np.arange(delivery.start - 0.1, delivery.end + 0.1, FINE)
    centre = centre_of_mass(place_skeleton(delivery.body, delivery.pose(grid)))
    acceleration = np.gradient(np.gradient(centre, FINE, axis=0), FINE, axis=0)
    smooth = gaussian_filter1d(acceleration, SMOOTHING / FINE, axis=0)
    smooth[:, 2] += GRAVITY
    whole = delivery.body.mass * np.stack([np.interp(times, grid, smooth[:, axis]) for axis in range(3)], axis=1)
    whole[:, 2] = np.maximum(whole[:, 2], 0.0)
    on_plate = np.clip(np.minimum(times - delivery.start, delivery.end - times) / STEPPING_OFF, 0.0, 1.0)[:, None]
    touch = delivery.moments.fc
    taken = np.clip((times - touch) / TAKING_OVER, 0.0, 1.0)[:, None]
    taken = taken**2 * (3 - 2 * taken)
    lead = on_plate * taken * whole
    down = times >= touch
    lead[:, 2] = np.where(down & (on_plate[:, 0] == 1.0), np.maximum(lead[:, 2], FIRST_FORCE), lead[:, 2])
    return on_plate * (1 - taken) * whole, lead


def plates_under(delivery: Delivery, *, level: bool) -> tuple[Array, Array]:
    """Corners (4, 3) of the rear and the lead plate, m. A level one lies at its centre's height, else on the slope."""
    lead = delivery.lower_half.lead.ankle(np.array([delivery.moments.br]))[0]
    return _corners(delivery, 0.0, -0.07, level), _corners(delivery, lead[0], lead[1], level)


def _corners(delivery: Delivery, x: float, y: float, level: bool) -> Array:
    # Quadrants +x+y, -x+y, -x-y, +x-y of a plate whose x is lab Y, whose y is lab X and whose z points down.
    signs = np.array([[1, 1], [1, -1], [-1, -1], [-1, 1]], dtype=float)
    across = np.stack([x + signs[:, 0] * PLATE_HALF[0], y + signs[:, 1] * PLATE_HALF[1]], axis=1)
    ground = delivery.mound.height(np.full(4, x) if level else across[:, 0])
    return np.column_stack([across, ground])


def centres_of_pressure(delivery: Delivery, times: Array, *, level: bool) -> tuple[Array, Array]:
    """Where the forces act: under the rear toe and the lead ankle, each (n, 3) on its plate, m."""
    feet = delivery.lower_half
    found = []
    for foot, corners in zip((feet.rear, feet.lead), plates_under(delivery, level=level), strict=True):
        under = foot.ankle(np.asarray(times, dtype=float))
        low, high = corners.min(axis=0), corners.max(axis=0)
        x, y = np.clip(under[:, 0], low[0], high[0]), np.clip(under[:, 1], low[1], high[1])
        z = np.full_like(x, corners[0, 2]) if level else delivery.mound.height(x)
        found.append(np.column_stack([x, y, z]))
    return found[0], found[1]
