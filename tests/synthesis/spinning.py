"""A heading from the speed about the segment's own long axis.

Speeds of pelvis and trunk are published about the segment's long axis, positions as headings in the lab. When the
segment leans while it turns the one is not the other's rate, so the heading is integrated from the wanted speed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .curves import Array, Curve, Knot

STEPS = 58  # of the Runge-Kutta integration between touch and release
KNOTS = 8  # of the heading curve that follows from it
CANDIDATES = 5  # speeds at touch or peak speeds that are tried at once
SPEED_AT_TOUCH = (0.20, 0.85)  # of the greatest speed: least and most
PEAK_LEEWAY = (0.70, 1.35)  # of the wanted greatest speed, when no speed at touch fits


@dataclass(frozen=True, slots=True)
class Turn:
    """A segment's turn from first touch (0 s) to release (`duration`): its speed rises and falls along two parabolas.

    `start` and `end` are headings (deg); the greatest speed `fastest` (deg/s) comes at `peak` (s) and `left` of it
    remains at release. `own_tilts`: the tilts are about the segment's own heading (pelvis), else in lab axes (trunk).
    """

    start: float
    end: float
    fastest: float
    peak: float
    left: float
    duration: float
    own_tilts: bool

    def knots(self, forward: Curve, lateral: Curve) -> list[Knot]:
        """Knots of the heading that starts and ends as given; the speed at touch is what fits, in its limits.

        When it would leave them the greatest speed gives way.
        """
        low, high = SPEED_AT_TOUCH
        touch = np.linspace(low, high, CANDIDATES) * self.fastest
        path, rates = self._headings(forward, lateral, touch, np.full(CANDIDATES, self.fastest))
        if not path[-1].min() <= self.end <= path[-1].max():
            share = low if self.end > path[-1].max() else high
            fastest = np.linspace(*PEAK_LEEWAY, CANDIDATES) * self.fastest
            path, rates = self._headings(forward, lateral, share * fastest, fastest)
        weights = _weights(path[-1], self.end)
        path, rates = path @ weights, rates @ weights
        chosen = np.linspace(0, STEPS, KNOTS).round().astype(int)
        times = chosen * self.duration / STEPS
        ends = {0, KNOTS - 1}
        return [
            Knot(time, path[index], rates[index] if n in ends else None)
            for n, (time, index) in enumerate(zip(times, chosen, strict=True))
        ]

    def _headings(self, forward: Curve, lateral: Curve, touch: Array, fastest: Array) -> tuple[Array, Array]:
        """Headings (deg) and their rates at STEPS + 1 times, one column a candidate."""
        step = self.duration / STEPS
        half = np.arange(2 * STEPS + 1) * step / 2
        tilts = [(np.radians(tilt(half)), np.radians(tilt.rate(half))) for tilt in (forward, lateral)]
        lean = [np.tan(angle) for angle, _ in tilts]
        lean_rate = [rate / np.cos(angle) ** 2 for angle, rate in tilts]

        def rate(index: int, heading: Array) -> Array:
            wanted = np.radians(self._speed(half[index], touch, fastest))
            now = (lean[0][index], lean[1][index], lean_rate[0][index], lean_rate[1][index])
            return heading_rate(heading, wanted, *now, own_tilts=self.own_tilts)

        path = np.empty((STEPS + 1, len(touch)))
        rates = np.empty_like(path)
        path[0] = np.radians(self.start)
        for k in range(STEPS):
            first = rates[k] = rate(2 * k, path[k])
            second = rate(2 * k + 1, path[k] + step / 2 * first)
            third = rate(2 * k + 1, path[k] + step / 2 * second)
            fourth = rate(2 * k + 2, path[k] + step * third)
            path[k + 1] = path[k] + step / 6 * (first + 2 * second + 2 * third + fourth)
        rates[-1] = rate(2 * STEPS, path[-1])
        return np.degrees(path), np.degrees(rates)

    def _speed(self, time: float, touch: Array, fastest: Array) -> Array:
        if time < self.peak:
            return fastest - (fastest - touch) * ((self.peak - time) / self.peak) ** 2
        falling = (time - self.peak) / (self.duration - self.peak)
        return fastest * (1 - (1 - self.left) * falling**2)


def heading_rate(
    heading: Array, spin: Array, a: float, b: float, a_rate: float, b_rate: float, *, own_tilts: bool
) -> Array:
    """Rate of the heading (rad/s) that gives an opening speed `spin` (rad/s) about the long axis (a, b, 1).

    a and b are the tangents of the forward and lateral tilt. With X along v = (cos h, -sin h, z), z chosen at right
    angles to the long axis, and Z = X x Y: spin = -(dX/dt)·Z.
    """
    at = np.zeros_like(heading) if own_tilts else heading
    cos, sin = np.cos(at), np.sin(at)
    z = -(cos * a - sin * b)
    v = np.stack([cos, -sin, z])
    size, long = np.sqrt((v**2).sum(axis=0)), np.sqrt(a * a + b * b + 1)
    across = np.stack([v[1] - z * b, z * a - v[0], v[0] * b - v[1] * a]) / (size * long)
    tilting = -(cos * a_rate - sin * b_rate) * across[2]  # part of dv/dt · Z that the tilts make
    if own_tilts:
        return -(spin + tilting / size) * long
    turning = -sin * across[0] - cos * across[1] + (sin * a + cos * b) * across[2]
    return -(spin * size + tilting) / turning


def _weights(ends: Array, wanted: float) -> Array:
    """Lagrange weights with which the candidates' ends make the wanted one (the nearest, when it is out of reach)."""
    wanted = float(np.clip(wanted, ends.min(), ends.max()))
    others = ends[None, :] - ends[:, None] + np.eye(len(ends))
    factors = np.where(np.eye(len(ends), dtype=bool), 1.0, (ends[None, :] - wanted) / others)
    return factors.prod(axis=1)
