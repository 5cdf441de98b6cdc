"""The side of a range on which a mean lies, so that low and high are one piece of arithmetic."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, stdtr

from metrics.judging.values import BoolArray, FloatArray, Limits, Numbers


@dataclass(frozen=True, slots=True)
class Faced:
    """Limits as seen from the side of the mean; arrays of one shape, distances in the metric's unit.

    `beyond_*`: how far the mean lies past the target's near edge, past the flag limit on that side,
    and past the target's far edge; negative = not past it, -inf = that side is open. `watch_width`:
    from near edge to flag limit, inf without a flag limit. `width`: of the target, inf when a side is open.
    """

    low_side: BoolArray
    beyond_target: FloatArray
    beyond_flag: FloatArray
    beyond_far: FloatArray
    watch_width: FloatArray
    width: FloatArray


def on_low_side(mean: Numbers, limits: Limits) -> BoolArray:
    """True where the mean lies nearer to the low edge of the target; an open side is never the nearer."""
    with np.errstate(invalid="ignore"):
        middle = 0.5 * (np.asarray(limits.target_low, dtype=float) + np.asarray(limits.target_high))
        return np.asarray(np.asarray(mean, dtype=float) < middle)


def face(mean: Numbers, limits: Limits) -> Faced:
    """Hold each mean against the limits on its side. Everything broadcasts; nothing is raised."""
    x = np.asarray(mean, dtype=float)
    low, high = np.asarray(limits.target_low, dtype=float), np.asarray(limits.target_high, dtype=float)
    low_side = on_low_side(x, limits)
    with np.errstate(invalid="ignore"):
        under, over = low - x, x - high
        beyond_target = np.where(low_side, under, over)
        beyond_flag = np.where(low_side, limits.flag_low - x, x - limits.flag_high)
        beyond_far = np.where(low_side, over, under)
        watch_width = np.where(low_side, low - limits.flag_low, np.subtract(limits.flag_high, high))
        width = np.broadcast_to(high - low, beyond_target.shape)
    return Faced(low_side, beyond_target, beyond_flag, beyond_far, watch_width, width)


def unit_on_side(faced: Faced, limits: Limits) -> FloatArray:
    """The severity unit on the side of each mean; NaN where there is none. Apart, since only a severity needs it."""
    stated = np.where(faced.low_side, limits.unit_low, limits.unit_high)
    return severity_unit(faced.watch_width, faced.width, stated)


def severity_unit(watch_width: Numbers, target_width: Numbers, stated: Numbers) -> FloatArray:
    """The distance that counts as one severity: watch zone, else half the target, else as stated.

    All in the metric's unit. A width counts when it is finite and above zero. NaN when nothing can
    be had, which saving a profile refuses.
    """
    watch, width = np.asarray(watch_width, dtype=float), np.asarray(target_width, dtype=float)
    has_watch, has_width = np.isfinite(watch) & (watch > 0), np.isfinite(width) & (width > 0)
    return np.where(has_watch, watch, np.where(has_width, 0.5 * width, np.asarray(stated, dtype=float)))


def chance_beyond(distance: Numbers, u: Numbers, nu: Numbers = np.inf) -> FloatArray:
    """Chance that X = mean + u·t lies beyond a limit, the mean being `distance` past it.

    Student's t with nu degrees; normal when infinite. u = 0: certain, and a mean exactly on the limit
    is not beyond it. A distance of -inf (open side) gives 0. NaN stays NaN. Source: JCGM 106:2012,
    section 7 (conformance probability).
    """
    d, u = np.asarray(distance, dtype=float), np.asarray(u, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        z = d / u
    exact = u == 0
    if exact.any():
        z = np.where(exact, np.where(np.isnan(d), np.nan, np.where(d > 0, np.inf, -np.inf)), z)
    if np.ndim(nu) == 0 and np.isinf(nu):
        return np.asarray(ndtr(z))
    return np.asarray(stdtr(nu, z))
