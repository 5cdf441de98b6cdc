"""What the places of the markers say: the stance that fits best, with the chain of distances and bending joints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import linear_sum_assignment

from metrics.kinematics.landmarks import KNOWN
from metrics.kinematics.vectors import Array, norm
from metrics.measuring.linking import bends, bent, fits_of, linked_scores, looked_at
from metrics.measuring.standing import MISSING, log_chances, shared_out, stances, still_places
from sessions.formats.recording import Recording

MIDDLE = 0.02  # of stature: nearer to the body's middle than that is neither right nor left
CLOSE_LOOK = 2  # stances that are held against the chain of distances


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """``chances`` (markers, landmarks + 1), the last "none of them"; ``shares`` (markers, 3): forward, left and up in
    shares of stature while standing, NaN when not known."""

    chances: Array
    shares: Array

    def height_of(self, row: int) -> float | None:
        height = float(self.shares[row, 2])
        return height if np.isfinite(height) else None

    def side_of(self, row: int) -> Literal["R", "L", "middle"] | None:
        left = float(self.shares[row, 1])
        if not np.isfinite(left):
            return None
        return "middle" if abs(left) < MIDDLE else "L" if left > 0 else "R"


def find_places(recording: Recording) -> Places:
    """What places alone say; all landmarks alike when too few markers are seen to find a body."""
    count = len(recording.labels)
    alike = np.full((count, len(KNOWN) + 1), 1 / (len(KNOWN) + 1))
    unknown = Places(alike, np.full((count, 3), np.nan))
    if not len(recording.positions):
        return unknown
    places = still_places(recording)
    looks = looked_at(recording.positions)
    found = [_held_against(places, looks, stance) for _, stance in stances(places)[:CLOSE_LOOK]]
    return max(found, key=lambda one: one[0])[1] if found else unknown


def _held_against(places, looks, stance):
    shares = stance.shares(places)
    scores, chances = linked_scores(log_chances(shares), fits_of(looks, stance.height))
    chosen = chosen_markers(chances)
    scores = bent(scores, bends(looks, chosen), chosen)
    chances = shared_out(scores)
    return float(
        sum(scores[row, KNOWN.index(landmark)] - 2 * MISSING for landmark, row in chosen_markers(chances).items())
    ), Places(chances, shares)


def chosen_markers(chances: Array) -> dict[str, int]:
    """The likeliest marker of each landmark that has one, each marker once."""
    rows, columns = linear_sum_assignment(-chances[:, :-1])
    return {
        KNOWN[column]: row
        for row, column in zip(rows.tolist(), columns.tolist(), strict=True)
        if chances[row, column] > chances[row, -1]
    }
