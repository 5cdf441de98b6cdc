"""When the arm lays back furthest, when the ball leaves the hand, and when the arm has turned in."""

from __future__ import annotations

import math

import numpy as np
from scipy.ndimage import minimum_filter1d

from metrics.kinematics.sampling import crossing, frames_between, greatest
from metrics.kinematics.tops import fitted_top, sharpened
from metrics.kinematics.vectors import Array, norm

RELEASE_AFTER_PASSING_S = 0.010  # s: long used at 200 to 240 frames a second (from memory); a time, not frames
SEARCH_BEFORE_S, SEARCH_AFTER_S = 0.060, 0.020  # s around the wrist's fastest moment
HELD_S = 0.060  # s before the wrist passes the elbow in which the ball is surely held
BALL_SEARCH_S = (0.020, 0.060)  # s before and after the wrist passes the elbow
LEFT_M = 0.020  # the ball is this much further from the hand than while it was held
INWARD_S = 0.100  # s after release
MOST_UNSEEN_S = 0.010
LAYBACK_FIT_S, LAYBACK_ROUNDS = 0.0225, 2  # s either side of the top; the second round is about the top of the first
AROUND_MINIMUM_S, MINIMUM_FIT_S = 0.005, 0.040  # s either side

X = 0


def passing_time(wrist: Array, elbow: Array, fastest_s: float, rate_hz: float) -> float:
    """Last time near the wrist's fastest moment at which the wrist passes the elbow toward home; NaN when never."""
    ahead = wrist[:, X] - elbow[:, X]
    frames = frames_between(fastest_s - SEARCH_BEFORE_S, fastest_s + SEARCH_AFTER_S, rate_hz, len(ahead))
    frames = frames[frames < len(ahead) - 1]
    passed = frames[(ahead[frames] < 0) & (ahead[frames + 1] >= 0)]
    return crossing(ahead, int(passed[-1]), 0.0, rate_hz) if len(passed) else math.nan


def ball_leaving(ball: Array, knuckle: Array, passing_s: float, rate_hz: float) -> float:
    """When the ball leaves the hand: its distance from the knuckle, straight back to what it was while held.

    ``ball``, ``knuckle``: (frames, 3), m, neither filtered. NaN when the ball is not seen before and after.
    """
    apart = norm(ball - knuckle)
    held = apart[frames_between(passing_s - HELD_S, passing_s - BALL_SEARCH_S[0], rate_hz, len(apart))]
    if np.isfinite(held).sum() < 3:
        return math.nan
    usual = float(np.nanmedian(held))
    window = frames_between(passing_s - BALL_SEARCH_S[0], passing_s + BALL_SEARCH_S[1], rate_hz, len(apart))
    gone = window[np.nan_to_num(apart[window]) > usual + LEFT_M]
    if len(gone) == 0 or gone[0] == 0 or gone[0] + 1 >= len(apart):
        return math.nan
    frame = int(gone[0])
    growth = apart[frame + 1] - apart[frame]
    if not (np.isfinite(apart[frame - 1]) and np.isfinite(growth) and growth > 0):
        return math.nan
    back = frame - (apart[frame] - usual) / growth
    return float(np.clip(back, frame - 1, frame)) / rate_hz


def furthest_layback(smooth: Array, rotation: Array, contact_s: float, release_s: float, rate_hz: float) -> float:
    """Time of the greatest external rotation between foot contact and release; NaN when it cannot be seen.

    ``smooth``: of the arm's slower event copy, which shows which top is meant, up to 5 ms late. ``rotation``: not
    smoothed; a parabola is fitted to it. Over 22.5 ms either side the slow end of laying back and the fast turning in
    weigh each other up: within 1 ms on every synthesised arm.
    """
    late, _ = greatest(smooth, contact_s, release_s, rate_hz)
    if not contact_s < late < release_s:
        return late
    time = late
    for _ in range(LAYBACK_ROUNDS):
        time = fitted_top(rotation, time, LAYBACK_FIT_S, rate_hz, degree=2)
    return time if contact_s < time < release_s else late


def turned_in(smooth: Array, rotation: Array, release_s: float, rate_hz: float) -> float:
    """Time of the first minimum of external rotation within 100 ms after release.

    ``smooth``: of the arm's slower event copy; ``rotation``: not smoothed. A minimum is the least value of the 5 ms to
    either side; its time is that of a curve fitted to 40 ms either side, since it is flat and a nearly straight elbow
    makes it noisy, sharpened as far as noise allows. NaN when there is none, or when it cannot be seen for more than
    10 ms on the way.
    """
    frames = frames_between(release_s, release_s + INWARD_S, rate_hz, len(smooth) - 1)
    if len(frames) < 3:
        return math.nan
    reach = max(1, round(AROUND_MINIMUM_S * rate_hz))
    values = np.where(np.isnan(smooth), np.inf, smooth)
    least = minimum_filter1d(values, 2 * reach + 1, mode="constant", cval=np.inf)
    found = frames[1:][(values == least)[frames[1:]] & np.isfinite(values[frames[1:]])]
    frame = int(found[0]) if len(found) else int(frames[-1]) + 1
    unseen = np.isnan(smooth[frames[0] : frame])
    if not len(found) or _longest(unseen) / rate_hz > MOST_UNSEEN_S:
        return math.nan
    return sharpened(-rotation, fitted_top(-smooth, frame / rate_hz, MINIMUM_FIT_S, rate_hz), rate_hz)


def _longest(flags: np.ndarray) -> int:
    """Length of the longest run of True."""
    if not flags.any():
        return 0
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    return int((edges[1::2] - edges[::2]).max())
