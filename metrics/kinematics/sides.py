"""Left and right: whether the labels agree with the body, and where they change places for moments."""

from __future__ import annotations

from itertools import product
from typing import Final

import numpy as np
from numpy.typing import NDArray

from metrics.kinematics.landmarks import ARM, LEG, TRUNK, Markers, other_side
from metrics.kinematics.problems import NotMeasured
from metrics.kinematics.vectors import Array, central_difference, dot, norm

Flags = NDArray[np.bool_]

# What each marker hangs on, from the trunk outward. PSIS is left out: only the middle of both is ever used.
HANGS_ON: Final = (
    ("AC", "EL"), ("EL", "EM"), ("EL", "RS"), ("RS", "US"), ("RS", "MC3"),
    ("ASIS", "FLE"), ("FLE", "FME"), ("FLE", "LM"), ("LM", "MM"), ("LM", "CA"), ("LM", "MT2"),
)  # fmt: skip
# Links of nearly constant length, with everything beyond: a link that breaks takes it along. Hip to knee is none.
_HAND, _FOOT = ("RS", "US", "MC3"), ("LM", "MM", "CA", "MT2")
LINKS: Final = (
    ("AC", "EL", ("EM", *_HAND)), ("EL", "EM", ()), ("EL", "RS", _HAND), ("RS", "US", ()), ("RS", "MC3", ()),
    ("FLE", "FME", ()), ("FLE", "LM", _FOOT), ("LM", "MM", ()), ("LM", "CA", ()), ("LM", "MT2", ()),
    ("ASIS", "PSIS", ()), ("C7", "IJ", ()), ("T8", "PX", ()),
)  # fmt: skip
# House values, all of this part: they hold on synthesised deliveries from 60 to 1000 frames a second.
BROKEN_SHARE, BROKEN_M = 0.35, 0.06  # a link this much longer or shorter than usual, by both, is broken
STEADIER = 0.6  # the crossed link varies by less than this share of the own one: the labels are crossed
LEAST_SPREAD_M = 0.03  # a link that varies less is a link
LEAST_JUMP_M = 0.03  # both markers of a pair together, from one frame to the next
CROSSED_SHARE = 0.5  # of that jump is left when they change places back
LONGEST_LOOK_S = 0.050  # s without one of them over which nothing can be said


def wrist_speeds(markers: Markers) -> dict[str, Array]:
    """Speed (frames,) of each wrist's outer marker by side, m/s; central differences."""
    return {side: norm(central_difference(markers[f"{side}_RS"], markers.rate_hz)) for side in ("R", "L")}


def handedness(markers: Markers) -> tuple[float, float]:
    """How the labels of shoulders and pelvis lie against the body's own left and right: 1 (agree) to -1 (opposite).

    Right is forward × up of the trunk (IJ, PX before C7, T8), as in right-handed axes. Median over the frames.
    """
    forward = markers.middle("IJ", "PX") - markers.middle("C7", "T8")
    up = markers.middle("IJ", "C7") - markers.middle("T8", "PX")
    back = markers.middle("R_PSIS", "L_PSIS")
    hips = markers.middle("R_ASIS", "L_ASIS") - back
    right_hip = np.cross(hips, markers.middle("IJ", "C7") - back)
    shoulders = _median(_cosine(markers["R_AC"] - markers["L_AC"], np.cross(forward, up)))
    return shoulders, _median(_cosine(markers["R_ASIS"] - markers["L_ASIS"], right_hip))


def _cosine(first: Array, second: Array) -> Array:
    length = norm(first) * norm(second)
    return np.divide(dot(first, second), length, out=np.full(length.shape, np.nan), where=length > 0)


def _median(values: Array) -> float:
    seen = values[np.isfinite(values)]
    return float(np.median(seen)) if len(seen) else 0.0


def check_swaps(markers: Markers) -> None:
    """Raises NotMeasured labels_swapped when some labels, but not all, have left and right crossed."""
    shoulders, hips = handedness(markers)
    swapped, others = swapped_labels(markers, opposed=shoulders * hips < 0)
    if swapped:
        labels = ", ".join(swapped) + (f", or else {', '.join(others)}" if others else "")
        raise NotMeasured("labels_swapped", labels=labels)


def swapped_labels(markers: Markers, *, opposed: bool) -> tuple[list[str], list[str]]:
    """Labels (without side) whose left and right are crossed throughout, by what they hang on.

    ``opposed``: shoulders and pelvis disagree. Then the labels of either list may be the crossed ones; the shorter
    list comes first. Otherwise the second list is empty.
    """
    crossed = {"AC": opposed, "ASIS": False}
    for first, second in HANGS_ON:
        crossed[second] = crossed[first] ^ _hangs_across(markers, first, second)
    lists = [[name for name, flag in crossed.items() if flag is wanted] for wanted in (True, False)]
    return (min(lists, key=len), max(lists, key=len)) if opposed else (lists[0], [])


def _hangs_across(markers: Markers, first: str, second: str) -> bool:
    """Whether a marker keeps its distance from the other side's ``first`` rather than from its own."""
    own = _variation(markers, first, second, crossing=False)
    return own > LEAST_SPREAD_M and _variation(markers, first, second, crossing=True) < STEADIER * own


def _variation(markers: Markers, first: str, second: str, *, crossing: bool) -> float:
    """Spread of a link's length over the frames (m), the greater of both sides: own side, or across to the other."""
    spreads: list[float] = []
    for side in ("R", "L"):
        end = f"{side}_{second}"
        length = norm(markers[f"{side}_{first}"] - markers[other_side(end) if crossing else end])
        seen = length[np.isfinite(length)]
        if len(seen):
            low, high = np.percentile(seen, [5, 95])
            spreads.append(float(high - low))
    return max(spreads, default=0.0)


def put_right(markers: Markers) -> tuple[Markers, dict[str, Flags]]:
    """Pairs whose left and right change places from one frame to the next, changed back.

    Returns the markers and, by name without side, the frames (frames,) in which they were crossed. Which of two ways
    round is the right one is said by the greater part of the frames between two long gaps; `check_swaps` and
    `broken_links` see when that is wrong.
    """
    positions, found = markers.positions, {}
    for name in (*ARM, *LEG):
        pair = [f"{side}_{name}" for side in ("R", "L")]
        if not all(label in markers for label in pair):
            continue
        crossed = _crossed(markers[pair[0]], markers[pair[1]], markers.rate_hz)
        if crossed.any():
            positions = positions.copy() if positions is markers.positions else positions
            right, left = (markers.labels.index(label) for label in pair)
            positions[crossed, right], positions[crossed, left] = positions[crossed, left], positions[crossed, right]
            found[name] = crossed
    return markers.moved(positions), found


def _crossed(right: Array, left: Array, rate_hz: float) -> Flags:
    """Frames (frames,) in which two markers (frames, 3) have each other's place, by the jumps into and out of it."""
    crossed = np.zeros(len(right), dtype=bool)
    both = np.flatnonzero(np.isfinite(right + left).all(axis=-1))
    if len(both) < 2:
        return crossed
    right, left = right[both], left[both]
    own = norm(right[1:] - right[:-1]) + norm(left[1:] - left[:-1])
    across = norm(right[1:] - left[:-1]) + norm(left[1:] - right[:-1])
    near = np.diff(both) <= max(1.0, LONGEST_LOOK_S * rate_hz)
    jumps = near & (own > LEAST_JUMP_M) & (across < CROSSED_SHARE * own)
    other_way = np.concatenate([[0], np.cumsum(jumps)]) % 2 == 1
    part = np.concatenate([[0], np.cumsum(~near)])
    share = np.bincount(part, weights=other_way) / np.bincount(part)
    crossed[both] = other_way ^ (share > 0.5)[part]
    return crossed


def broken_links(markers: Markers) -> dict[str, Flags]:
    """Label → frames (frames,) in which it may not be where it is: a link to it, or on the way to it, is far too long
    or too short. Which end of a link strayed is not said, so both count."""
    found: dict[str, Flags] = {}
    for side, (first, second, beyond) in product(("R", "L"), LINKS):
        labels = [name if name in TRUNK else f"{side}_{name}" for name in (first, second, *beyond)]
        length = norm(markers[labels[0]] - markers[labels[1]])
        seen = length[np.isfinite(length)]
        if len(seen) == 0:
            continue
        usual = float(np.median(seen))
        broken = np.nan_to_num(np.abs(length - usual)) > max(BROKEN_SHARE * usual, BROKEN_M)
        if broken.any():
            found |= {label: found.get(label, False) | broken for label in labels if label in markers}
    return found


def hidden(markers: Markers, where: dict[str, Flags]) -> Markers:
    """The same markers, unseen in those frames."""
    if not where:
        return markers
    positions = markers.positions.copy()
    for label, frames in where.items():
        positions[frames, markers.labels.index(label)] = np.nan
    return markers.moved(positions)
