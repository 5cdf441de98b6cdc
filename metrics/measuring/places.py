"""What the places of the markers say: the stance that fits best, with the chain of distances and bending joints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import linear_sum_assignment

from metrics.kinematics.landmarks import KNOWN
from metrics.kinematics.vectors import Array
from metrics.measuring.linking import (
    Distances,
    bends,
    bent,
    distances_of,
    fits_of,
    linked_fit,
    linked_scores,
    looked_at,
)
from metrics.measuring.standing import (
    ABSENT,
    FARTHEST_LINKED,
    LEAST_MARKERS,
    NO_LANDMARK,
    Chosen,
    Stance,
    lifted_chances,
    log_chances,
    on_a_body,
    shared_out,
    stances,
    still_places,
)

MIDDLE = 0.02  # of stature: nearer to the body's middle than that is neither right nor left
CLOSE_LOOK = 3  # stances that are held against the chain of distances


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

    def among(self, chosen: Chosen) -> Places:
        """These markers among all of which they were chosen, (markers,); each of the others is no landmark."""
        chances, shares = np.zeros((len(chosen), len(KNOWN) + 1)), np.full((len(chosen), 3), np.nan)
        chances[:, -1] = 1.0
        chances[chosen], shares[chosen] = self.chances, self.shares
        return Places(chances, shares)


def find_places(positions: Array, rate_hz: float, of_one: Chosen) -> Places:
    """What places (frames, markers, 3), m, alone say of the markers of one person, (markers,).

    All landmarks alike when too few markers are seen to find a body.
    """
    count = positions.shape[1]
    alike = np.full((count, len(KNOWN) + 1), 1 / (len(KNOWN) + 1))
    unknown = Places(alike, np.full((count, 3), np.nan))
    if not len(positions):
        return unknown
    looks = looked_at(positions)
    worn = of_one & on_a_body(looks)
    if worn.sum() < LEAST_MARKERS:
        return unknown
    places, looks = still_places(positions, rate_hz, worn), looks[:, worn]
    ways = [stance for _, stance in stances(places)[:CLOSE_LOOK]]
    if not ways:
        return unknown
    distances = distances_of(looks)
    _, found = max((_held_against(places, looks, distances, one) for one in ways), key=lambda one: one[0])
    return found.among(worn)


def _held_against(places: Array, looks: Array, distances: Distances, stance: Stance) -> tuple[float, Places]:
    """How well a stance explains all markers, and what each is then."""
    shares = stance.shares(places)
    fits = fits_of(distances, stance.height)
    alone = np.maximum(log_chances(shares, FARTHEST_LINKED), lifted_chances(shares))
    scores, chances = linked_scores(alone, fits)
    chosen = chosen_markers(chances)
    pairs = bends(looks, chosen)
    chances = shared_out(bent(scores, pairs, chosen))
    chosen = chosen_markers(chances)
    columns = [KNOWN.index(landmark) for landmark in chosen]
    fit = float(alone[list(chosen.values()), columns].sum() + ABSENT.sum() - ABSENT[columns].sum())
    fit += NO_LANDMARK * (len(places) - len(chosen)) + linked_fit(fits, chosen)
    return fit, Places(chances, shares)


def chosen_markers(chances: Array) -> dict[str, int]:
    """The likeliest marker of each landmark that has one, each marker once."""
    rows, columns = linear_sum_assignment(-chances[:, :-1])
    return {
        KNOWN[column]: row
        for row, column in zip(rows.tolist(), columns.tolist(), strict=True)
        if chances[row, column] > chances[row, -1]
    }
