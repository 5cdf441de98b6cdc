"""Where markers are on a body that stands: the still moments, up, the way it faces, and how well each place fits.

Nobody has named the markers yet. The file's axes are taken to be right-handed, as files of motion capture are: in a
mirrored one a right-hander looks like a left-hander, and no place tells them apart.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from metrics.kinematics.landmarks import BALL, HEAD, KNOWN, LEG, NEEDED
from metrics.kinematics.vectors import Array, norm
from metrics.measuring.label_words import rows_of, without_side

Chosen = NDArray[np.bool_]
STEP_S, STILL_STEPS = 0.05, 5  # s between looks at the speed, and how many of them a still moment has
MOVING_MPS = 1.0  # a file in which nothing is faster holds no throw
FIXED_M = 0.02  # a marker that travels less through a throw is fixed to the room (house opinion)
TRAVELS_M = 0.50  # what some marker travels when there is a throw
TOP_SHARE: Final = (0.87, 0.95)  # of stature, the highest marker without and with any on the head
LEAST_MARKERS = 8  # fewer make no body (house opinion)
HEADINGS = 36  # ways to face that are tried
BEST_WAYS = 4  # of which so many are looked at closely
REFINEMENTS = 3
OTHER_WAY = 2.0  # trace of the turn between two ways to stand that are 60° apart
FARTHEST, FARTHEST_LINKED = 12.0, 9.0  # least log chance of a place, alone and where links decide: beyond all are alike
NO_LANDMARK = -4.5  # log chance of a marker that is nothing
# Log chances that a landmark has no marker: one that every room needs, on the head or a ball, any other.
NEEDED_ABSENT, HEAD_ABSENT, OTHER_ABSENT = -5.0, -1.0, -2.0
UNSEEN = -3.0  # of any landmark for a marker that is not seen in the still moment
# Where a lifted leg is from where it would stand (forward, left, up; shares of stature), and how likely that is.
LIFTED, LIFTED_WITHIN, LIFTED_CHANCE = np.array([0.15, 0.0, 0.25]), np.array([0.15, 0.12, 0.15]), -2.5
OF_A_LEG: Final = np.array([one[2:] in LEG and not one.endswith("SIS") for one in KNOWN])
ABSENT: Final = np.array(
    [
        NEEDED_ABSENT if one in NEEDED else HEAD_ABSENT if one in HEAD or one == BALL else OTHER_ABSENT
        for one in KNOWN
    ]
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Template:
    """Places of KNOWN, shape (landmarks, 3): forward, to the left, up; and one standard deviation of each."""

    places: Array
    within: Array


@cache
def template() -> Template:
    """Shares of stature; sources stand in `data/standing_places.csv`."""
    rows = {row["landmark"]: row for row in rows_of("standing_places.csv")}
    places, within = [], []
    for landmark in KNOWN:
        name, side = without_side(landmark)
        row = rows[name]
        sign = {"R": -1.0, "L": 1.0, None: 0.0}[side]
        places.append((float(row["forward"]), sign * float(row["out"]), float(row["height"])))
        within.append(tuple(float(row[f"{one}_within"]) for one in ("forward", "out", "height")))
    return Template(np.array(places), np.array(within))


def still_places(positions: Array, rate_hz: float, worn: Chosen) -> Array:
    """Median place of each worn marker in the stillest quarter second before the fastest moment, (worn, 3), m.

    ``positions``: (frames, markers, 3), m. ``worn``: which of the markers, (markers,).
    """
    step = max(1, round(STEP_S * rate_hz))
    looks = positions[::step][:, worn]
    first = 0
    if len(looks) > STILL_STEPS:
        speeds = norm(np.diff(looks, axis=0)) * rate_hz / step
        unseen = np.isnan(speeds).mean(axis=1)
        usual = quiet_nan(np.nanmedian, speeds, axis=1)
        fast = np.nan_to_num(quiet_nan(np.nanpercentile, speeds, 90, axis=1))
        end = int(np.argmax(fast)) if fast.max() > MOVING_MPS else len(usual)
        cost = np.nan_to_num(usual, nan=9.0) + unseen
        sums = np.convolve(cost, np.ones(STILL_STEPS), "valid")
        first = int(np.argmin(sums[: max(1, end - STILL_STEPS)])) * step
    return quiet_nan(np.nanmedian, positions[first : first + STILL_STEPS * step][:, worn], axis=0)


def on_a_body(positions: Array) -> Chosen:
    """Which markers move when others do, (markers,): one that never does is fixed to the room.

    ``positions``: some frames (looks, markers, 3), m. All of them in a file in which nobody moves.
    """
    low, high = (quiet_nan(one, positions, axis=0) for one in (np.nanmin, np.nanmax))
    travel = norm(high - low)
    anyone = float(quiet_nan(np.nanmax, travel, axis=0)) > TRAVELS_M if len(travel) else False
    return np.asarray(~(travel < FIXED_M) if anyone else np.isfinite(travel), dtype=np.bool_)


def quiet_nan(reduce, values: Array, *args: object, axis: int) -> Array:  # type: ignore[no-untyped-def]
    """A reduction that leaves NaN where nothing was seen, without a warning."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)
        return np.asarray(reduce(values, *args, axis=axis))


@dataclass(frozen=True, slots=True, eq=False)
class Stance:
    """How a body stands in the file: ``rows`` (3, 3) are forward, left and up in file axes; ``middle`` (2,) and
    ``floor`` in those axes, and ``height``, all m."""

    rows: Array
    middle: Array
    floor: float
    height: float

    def shares(self, places: Array) -> Array:
        """File places (markers, 3), m, as forward, left and up in shares of stature."""
        return (places @ self.rows.T - np.append(self.middle, self.floor)) / self.height


def log_chances(shares: Array, farthest: float = FARTHEST) -> Array:
    """Log chance of each marker being each of KNOWN by its place alone, (markers, landmarks); UNSEEN for NaN."""
    body = template()
    off = (shares[:, None, :] - body.places) / body.within
    chances = -0.5 * (off**2).sum(axis=-1)
    soft = -farthest * np.tanh(-chances / farthest)
    return np.where(np.isfinite(soft), soft, UNSEEN)


def lifted_chances(shares: Array) -> Array:
    """The same for a leg that is not on the floor, since many files begin when it is lifted; -inf for all but legs."""
    off = (shares[:, None, :] - template().places - LIFTED) / LIFTED_WITHIN
    chances = LIFTED_CHANCE - 0.5 * (off**2).sum(axis=-1)
    return np.where(OF_A_LEG & np.isfinite(chances), chances, -np.inf)


def shared_out(scores: Array, rounds: int = 30) -> Array:
    """Log scores (markers, landmarks) as chances in which a landmark is given once: (markers, landmarks + 1).

    The last column is "none of them". Rows and columns are scaled in turn (Sinkhorn & Knopp 1967), with a spare row
    and column for landmarks without marker and markers without landmark.
    """
    table = np.exp(np.pad(scores, ((0, 1), (0, 1)), constant_values=NO_LANDMARK))
    table[-1, :-1] = np.exp(ABSENT)
    for _ in range(rounds):
        table[:, :-1] /= table[:, :-1].sum(axis=0)
        table[:-1] /= table[:-1].sum(axis=1, keepdims=True)
    return table[:-1]


def stances(places: Array) -> list[tuple[float, Stance]]:
    """The likeliest ways in which a body stands at these places (markers, 3), best first, with their score.

    Empty when fewer than LEAST_MARKERS are seen.
    """
    seen = places[np.isfinite(places).all(axis=1)]
    if len(seen) < LEAST_MARKERS:
        return []
    tried = [(_score(seen, stance), stance) for stance in _ways(seen)]
    tried.sort(key=lambda one: -one[0])
    kept: list[Stance] = []
    for _, stance in tried:
        if all(np.trace(stance.rows @ other.rows.T) < OTHER_WAY for other in kept):
            kept.append(stance)
        if len(kept) == BEST_WAYS:
            break
    refined = [_refined(seen, stance) for stance in kept]
    return sorted(((_score(seen, one), one) for one in refined), key=lambda one: -one[0])


def _score(places: Array, stance: Stance) -> float:
    """How well the places fill the body: each landmark's best marker, and each marker's best landmark."""
    chances = log_chances(stance.shares(places))
    return float(np.maximum(chances.max(axis=0), ABSENT).sum() + np.maximum(chances.max(axis=1), NO_LANDMARK).sum())


def _ways(places: Array) -> list[Stance]:
    """Both ways up along the longest axis of the file, every way to face, with and without markers on the head."""
    spread = np.percentile(places, 95, axis=0) - np.percentile(places, 5, axis=0)
    axis = int(np.argmax(spread))
    found = []
    for sign in (1.0, -1.0):
        up = np.zeros(3)
        up[axis] = sign
        first = np.zeros(3)
        first[(axis + 1) % 3] = 1.0
        second = np.cross(up, first)
        heights = places @ up
        floor, top = float(heights.min()), float(heights.max())
        for turn in np.arange(HEADINGS) * 2 * np.pi / HEADINGS:
            forward = np.cos(turn) * first + np.sin(turn) * second
            rows = np.stack([forward, np.cross(up, forward), up])
            middle = np.median(places @ rows[:2].T, axis=0)
            for share in TOP_SHARE:
                found.append(Stance(rows, middle, floor, max((top - floor) / share, 1e-6)))
    return found


def _refined(places: Array, stance: Stance) -> Stance:
    """The stance turned, moved and scaled so that the places fit the body best, by what each probably is."""
    body = template()
    for _ in range(REFINEMENTS):
        chances = shared_out(log_chances(stance.shares(places)), rounds=10)[:, :-1]
        weight = chances / body.within[:, 2] ** 2
        x, y = places @ stance.rows.T, body.places
        stance = _risen(stance, x[:, 2], y[:, 2], weight)
        stance = _turned(stance, x[:, :2], y[:, :2], chances / body.within[:, 1] ** 2)
    return stance


def _risen(stance: Stance, heights: Array, shares: Array, weight: Array) -> Stance:
    """Floor and stature by weighted least squares of heights on shares."""
    total = weight.sum()
    mean_x, mean_y = (weight.sum(1) @ heights) / total, (weight.sum(0) @ shares) / total
    slope = ((heights - mean_x) @ weight @ (shares - mean_y)) / (weight.sum(0) @ (shares - mean_y) ** 2)
    height = float(np.clip(slope, 0.8 * stance.height, 1.25 * stance.height))
    return Stance(stance.rows, stance.middle, float(mean_x - height * mean_y), height)


def _turned(stance: Stance, places: Array, shares: Array, weight: Array) -> Stance:
    """Middle and the way it faces, by the weighted turn that takes shares to places (in the plane)."""
    total = weight.sum()
    mean_x, mean_y = weight.sum(1) @ places / total, weight.sum(0) @ shares / total
    a, b = places - mean_x, shares - mean_y
    mixed = a.T @ weight @ b
    turn = np.arctan2(mixed[1, 0] - mixed[0, 1], mixed[0, 0] + mixed[1, 1])
    cos, sin = np.cos(turn), np.sin(turn)
    forward = cos * stance.rows[0] + sin * stance.rows[1]
    rows = np.stack([forward, np.cross(stance.rows[2], forward), stance.rows[2]])
    middle_in_file = mean_x @ stance.rows[:2]
    return Stance(rows, rows[:2] @ middle_in_file - stance.height * mean_y, stance.floor, stance.height)
