"""The smoothest curve through what is known of it, and how a moving thing comes to a stop against the ground.

Every joint angle and every path of the synthesiser is one of these curves. A curve is known at its knots: at each one
its value, its rate of change or its second rate may be given, in any combination. Between them it takes the
shape with the least squared third derivative (minimum jerk: Flash & Hogan 1985, J Neurosci 5:1688-1703), as a
quintic B-spline, so that value, rate and second rate are continuous and can be had exactly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import BSpline

Array = NDArray[np.float64]

DEGREE = 5
PIECES = 4  # polynomial pieces between two knots: more freedom than the knots ask for
GAUSS_NODES, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(3)  # exact for the squared third derivative of a quintic
TIME_SCALE_POWER = 3.0  # how far a long interval is held straighter than a short one beside it
RIDGE = 1e-12


@dataclass(frozen=True, slots=True)
class Knot:
    """What is known of a curve at one time (s). None: left to the curve. Rates are per second."""

    time: float
    value: float | None = None
    rate: float | None = None
    second_rate: float | None = None

    def known(self) -> list[tuple[int, float]]:
        """Pairs of (order of the derivative, its value)."""
        given = enumerate((self.value, self.rate, self.second_rate))
        return [(order, number) for order, number in given if number is not None]


def rest(time: float, value: float) -> Knot:
    """A knot at which the curve stands still, so that it can be held beyond that end."""
    return Knot(time, value, 0.0, 0.0)


class Curve:
    """A smooth curve over time; before its first knot and after its last one it keeps the end's value.

    `Curve(knots)` with knots in rising time; values in any one unit. Call it with times (s) of any shape for
    values, or `rate(times)` for its first derivative per second. Raises ValueError for knots out of order.
    """

    def __init__(self, knots: list[Knot]) -> None:
        times = np.array([knot.time for knot in knots])
        if len(knots) < 2 or np.any(np.diff(times) <= 0):
            raise ValueError(f"A curve needs two knots or more in rising time, not {times.tolist()}.")
        self.knots = tuple(knots)
        self.start, self.end = float(times[0]), float(times[-1])
        self._spline = _smoothest(knots, times)
        self._rate = self._spline.derivative()

    def __call__(self, times: ArrayLike) -> Array:
        return self._spline(np.clip(times, self.start, self.end))

    def rate(self, times: ArrayLike) -> Array:
        times = np.asarray(times, dtype=float)
        inside = (times >= self.start) & (times <= self.end)
        return np.where(inside, self._rate(np.clip(times, self.start, self.end)), 0.0)


def _smoothest(knots: list[Knot], times: Array) -> BSpline:
    """The quintic spline of least weighted jerk that meets every knot (one linear system)."""
    steps = np.arange(PIECES) / PIECES
    breaks = np.append((times[:-1, None] + np.diff(times)[:, None] * steps).ravel(), times[-1])
    grid = np.concatenate([[breaks[0]] * DEGREE, breaks, [breaks[-1]] * DEGREE])
    size = len(grid) - DEGREE - 1
    basis = BSpline(grid, np.eye(size), DEGREE)
    jerk = _jerk_cost(basis, breaks, times)
    rows, targets = _conditions(basis, knots)
    count = len(targets)
    system = np.zeros((size + count, size + count))
    system[:size, :size] = jerk
    system[:size, size:] = rows.T
    system[size:, :size] = rows
    solution = np.linalg.solve(system, np.concatenate([np.zeros(size), targets]))
    return BSpline(grid, solution[:size], DEGREE)


def _jerk_cost(basis: BSpline, breaks: Array, times: Array) -> Array:
    widths = np.diff(breaks)
    nodes = breaks[:-1, None] + widths[:, None] * (GAUSS_NODES + 1) / 2
    scale = np.repeat(np.diff(times) / np.diff(times).max(), PIECES)
    weights = (widths[:, None] * GAUSS_WEIGHTS / 2) * scale[:, None] ** TIME_SCALE_POWER
    third = basis.derivative(3)(nodes.ravel())
    cost = third.T @ (weights.ravel()[:, None] * third)
    cost /= np.abs(cost).max()
    return cost + RIDGE * np.eye(len(cost))


def _conditions(basis: BSpline, knots: list[Knot]) -> tuple[Array, Array]:
    """Rows and right-hand sides of the knots' conditions, each row scaled to a largest entry of 1."""
    known = [(knot.time, order, number) for knot in knots for order, number in knot.known()]
    orders = np.array([order for _, order, _ in known])
    at = np.array([time for time, _, _ in known])
    rows = np.empty((len(known), basis.c.shape[0]))
    for order in range(3):
        chosen = orders == order
        if chosen.any():
            rows[chosen] = basis(at[chosen]) if order == 0 else basis.derivative(order)(at[chosen])
    size = np.abs(rows).max(axis=1)
    return rows / size[:, None], np.array([number for _, _, number in known]) / size


@dataclass(frozen=True, slots=True)
class Landing:
    """A curve that meets the ground at `touch` (s) with its rate of that moment, and is at rest `duration` s later.

    The rate falls along half a cosine, so that value, rate and second rate stay continuous when the curve
    arrives without second rate. What is still travelled after the touch is rate x duration / 2.
    """

    approach: Curve
    touch: float
    duration: float

    def __call__(self, times: ArrayLike) -> Array:
        times = np.asarray(times, dtype=float)
        after = np.clip(times - self.touch, 0.0, self.duration)
        arrival = float(self.approach.rate(self.touch))
        travelled = arrival * (after / 2 + self.duration / (2 * np.pi) * np.sin(np.pi * after / self.duration))
        return self.approach(np.minimum(times, self.touch)) + travelled
