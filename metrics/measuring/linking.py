"""Which markers belong together: those on one bone keep their distance through the throw, and joints bend one way.

This places the arms, whose hands are together before the body when the pitcher stands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from metrics.kinematics.landmarks import KNOWN, SIDES, other_side
from metrics.kinematics.vectors import Array, dot, norm
from metrics.measuring.label_words import rows_of
from metrics.measuring.standing import shared_out

LOOKS = 60  # frames at which distances are read, spread over the file
LEAST_LOOKS = 5  # frames in which both markers are seen
ROUNDS = 5
NO_LINK = 0.03  # of a link's fit: what is left when no marker is where the other end should be
LEAST_CHANCE = 1e-3  # of being the other end: less adds nothing to NO_LINK
LINK_WEIGHT = 0.7  # links are not independent of one another (house opinion)
BEND_WEIGHT = 3.0  # log odds of a joint that bends the right way throughout (house opinion)
Names = tuple[str, ...]
Bend = tuple[str, str, float]  # outer landmark, inner landmark, how sure (-1 to 1)
COLUMN: Final = {landmark: column for column, landmark in enumerate(KNOWN)}


@dataclass(frozen=True, slots=True)
class Link:
    """Two landmarks by their columns in KNOWN, their distance and its spreads in shares of stature."""

    first: int
    second: int
    distance: float
    within: float
    steady: float


@cache
def links() -> tuple[Link, ...]:
    """All pairs of `data/marker_distances.csv`, on both sides."""
    found: dict[tuple[int, int], Link] = {}
    for row in rows_of("marker_distances.csv"):
        numbers = float(row["distance"]), float(row["within"]), float(row["steady"])
        for side in SIDES:
            first = _column(row["first"], side)
            second = _column(row["second"], other_side(f"{side}_")[0] if row["other"] else side)
            key = (min(first, second), max(first, second))
            found[key] = Link(*key, *numbers)
    return tuple(found.values())


def _column(name: str, side: str) -> int:
    return COLUMN.get(name, COLUMN.get(f"{side}_{name}", -1))


@dataclass(frozen=True, slots=True, eq=False)
class Fits:
    """For each link how well each pair of markers fits it, (markers, markers), 0 to 1."""

    links: tuple[Link, ...]
    tables: tuple[Array, ...]


def looked_at(positions: Array) -> Array:
    """A few frames (looks, markers, 3), spread evenly."""
    return positions[np.unique(np.linspace(0, len(positions) - 1, LOOKS).round().astype(int))]


@dataclass(frozen=True, slots=True, eq=False)
class Distances:
    """Between all pairs of markers, (markers, markers), m: mean and standard deviation, NaN when rarely seen."""

    mean: Array
    spread: Array


def distances_of(looks: Array) -> Distances:
    """Of a few frames (looks, markers, 3)."""
    apart = norm(looks[:, :, None] - looks[:, None, :])
    seen = np.isfinite(apart)
    count = seen.sum(axis=0)
    apart[~seen] = 0.0
    enough = count >= min(LEAST_LOOKS, len(looks))
    divisor = np.where(enough, count, np.nan)
    mean = apart.sum(axis=0) / divisor
    variance = (apart**2).sum(axis=0) / divisor - mean**2
    return Distances(mean, np.sqrt(np.maximum(variance, 0.0)))


def fits_of(distances: Distances, height: float) -> Fits:
    """How well pairs of markers fit the links of a body of this height (m)."""
    mean, spread = distances.mean / height, distances.spread / height
    tables = []
    for link in links():
        off = ((mean - link.distance) / link.within) ** 2 + (spread / link.steady) ** 2
        table = np.nan_to_num(np.exp(-0.5 * off))
        np.fill_diagonal(table, 0.0)
        tables.append(table)
    return Fits(links(), tuple(tables))


def linked_scores(places: Array, fits: Fits) -> tuple[Array, Array]:
    """Log scores (markers, landmarks) of places made those of places and links, and the chances that they end at.

    Relaxation: a marker gains as a landmark by every marker that is probably the other end of a link and lies so far.
    """
    scores = places
    chances = shared_out(scores)
    for _ in range(ROUNDS):
        gain = np.zeros_like(places)
        for link, table in zip(fits.links, fits.tables, strict=True):
            gain[:, link.first] += _gain(table, chances[:, link.second])
            gain[:, link.second] += _gain(table, chances[:, link.first])
        scores = places + LINK_WEIGHT * gain
        chances = shared_out(scores)
    return scores, chances


def _gain(table: Array, other: Array) -> Array:
    """Log of the best fit to any probable other end, 0 for the marker that fits best."""
    likely = other > LEAST_CHANCE
    fit = np.log(NO_LINK + (table[:, likely] * other[likely]).max(axis=1, initial=0.0))
    return fit - fit.max()


def linked_fit(fits: Fits, chosen: Mapping[str, int]) -> float:
    """Log chance of the distances between the markers that were chosen."""
    rows = {COLUMN[landmark]: row for landmark, row in chosen.items()}
    found = [
        table[rows[link.first], rows[link.second]]
        for link, table in zip(fits.links, fits.tables, strict=True)
        if link.first in rows and link.second in rows
    ]
    return LINK_WEIGHT * float(np.log(NO_LINK + np.array(found)).sum())


# Joint, the landmark outside and inside it, the ends of the bone before and of the one behind it.
BENDS: Final = (
    ("EL", "EM", ("AC",), ("RS", "US"), 1.0),
    ("FLE", "FME", ("ASIS", "PSIS"), ("LM", "MM"), -1.0),
)


def bends(looks: Array, chosen: Mapping[str, int]) -> list[Bend]:
    """Pairs of landmarks and how surely (-1 to 1) the markers chosen for them lie on the sides that bending shows.

    Elbows bend forward and knees backward about an axis from the inner to the outer side. Of the wrist, the thumb's
    side is the one toward the shoulder of a bent arm when the hand is turned neither in nor out.
    """
    found = []
    for side in SIDES:
        for outer, inner, before, behind, way in BENDS:
            sign = way if side == "R" else -way
            found += _bend(looks, chosen, (f"{side}_{outer}", f"{side}_{inner}"), before, behind, sign)
        found += _thumb(looks, chosen, side)
    return found


def _bend(
    looks: Array, chosen: Mapping[str, int], names: tuple[str, str], before: Names, behind: Names, sign: float
) -> list[Bend]:
    side = names[0][0]
    across = _between(looks, chosen, *names)
    first, last = _middle(looks, chosen, side, before), _middle(looks, chosen, side, behind)
    if across is None or first is None or last is None:
        return []
    joint = looks[:, [chosen[name] for name in names]].mean(axis=1)
    return [(*names, sign * _share(dot(across, np.cross(joint - first, last - joint))))]


def _thumb(looks: Array, chosen: Mapping[str, int], side: str) -> list[Bend]:
    names = f"{side}_RS", f"{side}_US"
    across = _between(looks, chosen, *names)
    shoulder, elbow = _middle(looks, chosen, side, ("AC",)), _middle(looks, chosen, side, ("EL", "EM"))
    if across is None or shoulder is None or elbow is None:
        return []
    return [(*names, _share(dot(across, shoulder - elbow)))]


def _middle(looks: Array, chosen: Mapping[str, int], side: str, names: Names) -> Array | None:
    """The middle of those of the landmarks that have a marker, (looks, 3); None when none has."""
    columns = [chosen[label] for name in names if (label := f"{side}_{name}") in chosen]
    return looks[:, columns].mean(axis=1) if columns else None


def _between(looks: Array, chosen: Mapping[str, int], outer: str, inner: str) -> Array | None:
    """From the inner to the outer marker, (looks, 3); None when one is missing."""
    if outer not in chosen or inner not in chosen:
        return None
    return looks[:, chosen[outer]] - looks[:, chosen[inner]]


def _share(values: Array) -> float:
    """Their sum over the sum of their sizes, 0 when nothing is seen."""
    size = np.nansum(np.abs(values))
    return float(np.nansum(values) / size) if size > 0 else 0.0


def bent(scores: Array, pairs: list[Bend], chosen: Mapping[str, int]) -> Array:
    """Log scores (markers, landmarks) with what the joints' bending says of outer and inner markers."""
    changed = scores.copy()
    for outer, inner, sure in pairs:
        for label, landmark, sign in (
            (outer, outer, 1), (outer, inner, -1), (inner, inner, 1), (inner, outer, -1),
        ):  # fmt: skip
            changed[chosen[label], COLUMN[landmark]] += sign * BEND_WEIGHT * sure / 2
    return changed
