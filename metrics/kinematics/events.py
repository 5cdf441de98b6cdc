"""The events of one throw, on a lighter copy of the markers: each a time, found on frames and refined between them."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from metrics.kinematics.filters import HIGHEST_SHARE, low_pass
from metrics.kinematics.landing import Landmark, find_landing
from metrics.kinematics.landmarks import BALL, Markers
from metrics.kinematics.movement import Movement
from metrics.kinematics.problems import NotMeasured
from metrics.kinematics.release import (
    RELEASE_AFTER_PASSING_S,
    ball_leaving,
    furthest_layback,
    passing_time,
    turned_in,
)
from metrics.kinematics.sampling import frames_between, parabola
from metrics.kinematics.tops import fitted_top
from metrics.kinematics.vectors import Array, central_difference

FEET_HZ, BODY_HZ = 50.0, 30.0
# The wrist passes the elbow fast, which 30 Hz would blur. The arm's turn about itself is noisy, the more so the nearer
# its elbow is to straight: through 60 Hz 1 mm of noise would make tops of its own, up to 11 ms from the true one.
ARM_HZ, TURNING_HZ = 60.0, 30.0
THROWING_ARM = ("R_AC", "R_EL", "R_EM", "R_RS", "R_US", "R_MC3")
FEET = tuple(f"{side}_{name}" for side in "RL" for name in ("CA", "MT2", "LM", "MM"))
LIFT_SEARCH_S = 2.5  # s before the wrist's fastest moment
LIFT_ENDS_S = 0.25  # s before it: the lead knee is down by then
LIFT_FIT_S = 0.120  # s either side of the highest knee over which its course is fitted
ORDER = ("pkh", "fc", "fp", "mer", "br", "mir")
NAMES: Mapping[str, str] = {
    "pkh": "Peak knee lift", "fc": "Foot contact", "fp": "Foot plant", "mer": "Maximum external rotation",
    "br": "Ball release", "mir": "Maximum internal rotation",
}  # fmt: skip

X, Z = 0, 2


@dataclass(frozen=True, slots=True)
class Events:
    """Times in s from the first frame; NaN when not found.

    ``rules``: by which rule foot contact and release were found, "markers" or "plate", "wrist" or "ball", or "person".
    """

    tw: float
    pkh: float
    fc: float
    fp: float
    mer: float
    br: float
    mir: float
    load: float = math.nan
    rules: Mapping[str, str] = field(default_factory=dict)

    def later(self, seconds: float) -> Events:
        """The same events on a clock that began earlier."""
        return replace(self, **{name: getattr(self, name) + seconds for name in ("tw", *ORDER, "load")})

    def times(self) -> dict[str, float]:
        """Event → time, those that were found."""
        found = {name: getattr(self, name) for name in (*ORDER, "load")}
        return {name: time for name, time in found.items() if math.isfinite(time)}

    def moved(self, times: Mapping[str, float]) -> Events:
        """With the times that a person set."""
        return replace(self, **times, rules={**self.rules, **dict.fromkeys(times, "person")})


def event_copy(markers: Markers) -> Markers:
    """The lighter copy: feet through 50 Hz, the throwing arm through 60 Hz, the rest through 30, the ball as it is."""
    rest = set(markers.labels) - {*FEET, *THROWING_ARM, BALL}
    copy = _through(markers, markers, FEET, FEET_HZ)
    copy = _through(copy, markers, THROWING_ARM, ARM_HZ)
    return _through(copy, markers, rest, BODY_HZ)


def turning_copy(light: Markers, markers: Markers) -> Markers:
    """The lighter copy with the throwing arm through 30 Hz."""
    return _through(light, markers, THROWING_ARM, TURNING_HZ)


def _through(light: Markers, markers: Markers, labels: Collection[str], cutoff_hz: float) -> Markers:
    """The copy with these labels taken from the markers through a filter, as far as the frame rate allows one."""
    chosen = np.array([label in labels for label in markers.labels])
    cutoff = min(cutoff_hz, 0.9 * HIGHEST_SHARE * markers.rate_hz)
    positions = light.positions.copy()
    positions[:, chosen] = low_pass(markers.positions[:, chosen], markers.rate_hz, cutoff)
    return light.moved(positions)


def fastest_forward(wrist: Array, rate_hz: float, near_s: float) -> float:
    """Time of the wrist's greatest forward speed within a quarter second of its greatest speed, s."""
    forward = central_difference(wrist[:, X], rate_hz)
    frames = frames_between(near_s - 0.25, near_s + 0.25, rate_hz, len(forward))
    if len(frames) == 0 or not np.isfinite(forward[frames]).any():
        return math.nan
    frame = int(frames[np.nanargmax(forward[frames])])
    return (frame + parabola(forward, frame)[0]) / rate_hz


def peak_knee_lift(knee: Array, fastest_s: float, rate_hz: float) -> float:
    """Time of the highest lead knee centre (frames, 3) in the 2.5 s before the wrist's fastest moment; NaN at an edge.

    The top is flat, so its time is that of a curve fitted to 120 ms either side, of which the nearer count more.
    """
    frames = frames_between(fastest_s - LIFT_SEARCH_S, fastest_s - LIFT_ENDS_S, rate_hz, len(knee))
    height = knee[frames, Z]
    if not np.isfinite(height).any():
        return math.nan
    best = int(frames[np.nanargmax(height)])
    if best in (0, int(frames[-1])):
        return math.nan
    return fitted_top(knee[:, Z], best / rate_hz, LIFT_FIT_S, rate_hz)


def find_events(movement: Movement, unfiltered: Markers, near_s: float, fastest_limit_s: float) -> Events:
    """All events of the throw whose wrist is fastest near ``near_s``, without plates. Raises NotMeasured.

    ``movement`` is of the event copy, ``unfiltered`` the markers with short gaps filled. ``fastest_limit_s``:
    a wrist that is still at its fastest there has not released when the file ends.
    """
    rate, joints = movement.rate_hz, movement.joints
    fastest = fastest_forward(joints["R_wrist"], rate, near_s)
    if not math.isfinite(fastest):
        raise NotMeasured("gap_at_event", event="The throw", labels="the throwing wrist")
    if fastest >= fastest_limit_s:
        raise NotMeasured("cut_before_release")
    lift = peak_knee_lift(joints["L_knee"], fastest, rate)
    if not math.isfinite(lift):
        raise NotMeasured("no_leg_lift", seconds=f"{fastest:.2f}")
    heel, toe = (Landmark(movement.markers[label], unfiltered[label]) for label in ("L_CA", "L_MT2"))
    landing = find_landing(joints["L_ankle"], heel, toe, lift, fastest, rate)
    if not math.isfinite(landing.contact):
        raise NotMeasured("no_landing")
    passing = passing_time(joints["R_wrist"], joints["R_elbow"], fastest, rate)
    if not math.isfinite(passing):
        raise NotMeasured("no_release")
    by_ball = ball_leaving(unfiltered[BALL], unfiltered["R_MC3"], passing, rate)
    rules = {"fc": "markers", "br": "ball" if math.isfinite(by_ball) else "wrist"}
    release = by_ball if math.isfinite(by_ball) else passing + RELEASE_AFTER_PASSING_S
    return Events(fastest, lift, landing.contact, landing.plant, math.nan, release, math.nan, rules=rules)


def with_arm(events: Events, slower: Movement, unfiltered: Movement) -> Events:
    """Maximum external and internal rotation added, from two movements of the arm unwrapped at foot contact.

    ``slower``: through TURNING_HZ, which shows which top and which minimum is meant; ``unfiltered``: when they are.
    """
    rate, name = slower.rate_hz, "shoulder_external_rotation"
    smooth, rotation = slower.curve(name), unfiltered.curve(name)
    mer = furthest_layback(smooth, rotation, events.fc, events.br, rate)
    return replace(events, mer=mer, mir=turned_in(smooth, rotation, events.br, rate))
