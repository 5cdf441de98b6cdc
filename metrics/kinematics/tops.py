"""When a curve is at its top, from a polynomial fitted to the frames around it: one frame's height is mostly noise.

Curves have one value a frame, shape (frames,), NaN where unseen; times are seconds from the curve's first frame.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from metrics.kinematics.filters import noise_of
from metrics.kinematics.vectors import Array

MOST_AWAY = 0.6  # of the reach: a top further from its middle is the fit's, not the curve's
CLOSE_S, CLOSE_DEGREE = 0.010, 5  # s either side, and the polynomial that follows a turning arm so far to 0.2 ms
CLOSE_FRAMES = 2.4  # that must lie within it on either side: 240 a second
NOISE_S = 0.050  # s either side in which a curve's noise is looked for
SURE_S = 0.0005  # s: a time by the close fit counts half when noise leaves it this sure


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """A polynomial, least squares, over ``places``: times from the middle, in reaches. ``top``: where it is highest."""

    places: Array
    course: np.polynomial.Polynomial
    top: float

    def sway(self) -> float:
        """Standard deviation of the top's place when every value has one of 1, all counting alike.

        That of the slope there over the bend; the slope's is the fit's own, by its normal equations.
        """
        powers = np.arange(len(self.course.coef))
        terms = self.places[:, None] ** powers
        slope = np.concatenate([[0.0], powers[1:] * self.top ** powers[:-1]])
        bend = abs(float(self.course.deriv(2)(self.top)))
        return math.sqrt(float(slope @ np.linalg.solve(terms.T @ terms, slope))) / bend


def _fitted(curve: Array, middle: float, reach: float, degree: int, *, tapered: bool) -> _Fit | None:
    """A polynomial fitted to what is seen within ``reach`` of ``middle``, both in frames.

    ``tapered``: frames count less the further they are away, (1 - places²)², so that the time does not hang on which
    frames just lie inside. None where too little is seen, or the fit has no top near its middle.
    """
    around = np.arange(max(0, math.ceil(middle - reach)), min(len(curve), math.floor(middle + reach) + 1))
    around = around[np.isfinite(curve[around])]
    if len(around) < degree + 2:
        return None
    places = np.asarray((around - middle) / reach, dtype=np.float64)
    weights = 1 - places**2 if tapered else np.ones_like(places)
    course = np.polynomial.Polynomial.fit(places, curve[around], degree, domain=[-1, 1], w=weights)
    slope, bend = course.deriv(), course.deriv(2)
    roots = np.asarray(slope.roots(), dtype=complex)
    level = roots.real[(np.abs(roots.imag) < 1e-9) & (np.abs(roots.real) <= MOST_AWAY)].tolist()
    tops = [place for place in level if bend(place) < 0]
    return _Fit(places, course, max(tops, key=course)) if tops else None


def fitted_top(curve: Array, near_s: float, reach_s: float, rate_hz: float, degree: int = 4) -> float:
    """Time (s) of a top near a time: that of the polynomial fitted to what is seen within ``reach_s`` either side.

    ``near_s`` itself where too little is seen, or the fit has no top near its middle.
    """
    reach = max(degree / 2 + 1, reach_s * rate_hz)
    fit = _fitted(curve, near_s * rate_hz, reach, degree, tapered=True)
    return near_s + fit.top * reach / rate_hz if fit else near_s


def sharpened(curve: Array, rough_s: float, rate_hz: float) -> float:
    """A top's time (s), as sharp as noise allows.

    ``rough_s``: its time on a smooth copy, which noise moves little and the smoothing itself by some ms; ``curve``: not
    smoothed. A close fit to that has no such fault, and follows the noise: how far is known from the curve's noise and
    the fit's own equations. So the close time counts 1 / (1 + (its standard deviation / 0.5 ms)²), the rough one the
    rest. ``rough_s`` itself under 240 frames a second, which leave no fit that is close.
    """
    if CLOSE_S * rate_hz < CLOSE_FRAMES or not math.isfinite(rough_s):
        return rough_s
    frame, beside = round(rough_s * rate_hz), round(NOISE_S * rate_hz)
    reach = max(CLOSE_S * rate_hz, CLOSE_DEGREE // 2 + 1)
    fit = _fitted(curve, frame, reach, CLOSE_DEGREE, tapered=False)
    noise = noise_of(curve[max(0, frame - beside) : frame + beside + 1, None])
    if fit is None or not math.isfinite(noise):
        return rough_s
    spread_s = noise * fit.sway() * reach / rate_hz
    share = 1 / (1 + (spread_s / SURE_S) ** 2)
    return share * (frame + fit.top * reach) / rate_hz + (1 - share) * rough_s
