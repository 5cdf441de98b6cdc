"""When it really happens: the events of a delivery, to a hundredth of a millisecond, from its curves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .curves import Array
from .delivery import Delivery
from .lead_leg import STOPPING
from .skeleton import place_skeleton

FINE = 1e-4  # s
STEADY_ANKLE = 0.5  # m/s: below it weight can be on the foot
SEARCH_MIR = 0.100  # s after release
LIFT_SEARCH = 0.40  # s either side of the planned peak knee lift


@dataclass(frozen=True, slots=True)
class Events:
    """Times in seconds. `fc` is the first touch, `fp` from when the foot is down and its ankle steady, `br` the
    moment at which the ball leaves the hand."""

    pkh: float
    fc: float
    fp: float
    mer: float
    br: float
    mir: float
    heel_touch: float
    toe_touch: float

    def later(self, seconds: float) -> Events:
        return Events(*(getattr(self, name) + seconds for name in Events.__slots__))

    def as_dict(self) -> dict[str, float]:
        return {name: getattr(self, name) for name in ("pkh", "fc", "fp", "mer", "br", "mir")}


def events_of(delivery: Delivery) -> Events:
    """Event times in the delivery's own time (s from first touch)."""
    at, release = delivery.moments, delivery.release
    knee_times = np.arange(at.pkh - LIFT_SEARCH, at.pkh + LIFT_SEARCH, 5 * FINE)
    knee = place_skeleton(delivery.body, delivery.pose(knee_times)).centres["L_knee"][:, 2]
    rotation = delivery.curves["throwing_external_rotation"]
    laid_back, turned_in = np.arange(at.fc, release, FINE), np.arange(release, release + SEARCH_MIR, FINE)
    heel_first = delivery.style.landing != "toe"
    return Events(
        pkh=peak(knee_times, knee)[0],
        fc=at.fc,
        fp=_steady(delivery),
        mer=peak(laid_back, rotation(laid_back))[0],
        br=release,
        mir=_first_minimum(turned_in, rotation(turned_in)),
        heel_touch=at.fc if heel_first else at.flat,
        toe_touch=at.flat if heel_first else at.fc,
    )


def peak(times: Array, values: Array) -> tuple[float, float]:
    """Time and value of the greatest value, by the parabola through it and its neighbours.

    Not-a-numbers are passed over. At the window's edge it is the edge itself.
    """
    index = int(np.nanargmax(values))
    if index in (0, len(values) - 1) or not np.isfinite(values[index - 1 : index + 2]).all():
        return float(times[index]), float(values[index])
    left, top, right = values[index - 1 : index + 2]
    curve = left - 2 * top + right
    offset = 0.0 if curve == 0 else 0.5 * (left - right) / curve
    return float(times[index] + offset * (times[1] - times[0])), float(top - 0.25 * (left - right) * offset)


def _first_minimum(times: Array, values: Array) -> float:
    rising = np.flatnonzero((values[1:-1] <= values[:-2]) & (values[1:-1] < values[2:]))
    if not len(rising):
        return float("nan")
    around = slice(rising[0], rising[0] + 3)
    return peak(times[around], -values[around])[0]


def _steady(delivery: Delivery) -> float:
    """From the later touch on: when the lead ankle's speed falls under STEADY_ANKLE and stays there."""
    at = delivery.moments
    times = np.arange(at.flat, at.flat + 3 * STOPPING, FINE / 10)
    ankle = delivery.lower_half.lead.ankle(times)
    speed = np.linalg.norm(np.gradient(ankle, times, axis=0), axis=1)
    fast = np.flatnonzero(speed > STEADY_ANKLE)
    return float(times[fast[-1] + 1]) if len(fast) else at.flat
