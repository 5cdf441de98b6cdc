"""Finding the throws of a recording, and placing one of them in working axes with the throwing side on the right."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.signal import find_peaks

from metrics.kinematics import axes, sides
from metrics.kinematics.events import BODY_HZ, LIFT_ENDS_S, LIFT_SEARCH_S
from metrics.kinematics.filters import GAP_S, HIGHEST_SHARE, SHORTEST_STRETCH_S, fill_gaps, low_pass
from metrics.kinematics.landmarks import BALL, NEEDED, Markers, find_columns, other_side
from metrics.kinematics.problems import Notice, NotMeasured, notice
from metrics.kinematics.setup import Setup
from metrics.kinematics.vectors import Array
from sessions.formats.recording import Recording

LEAST_RATE_HZ = 60.0
LEAST_WRIST_SPEED = 6.0  # m/s: a ten-year-old's slow throw has more, walking and gestures have less (house value)
LEAST_SHARE = 0.5  # of the fastest in the file: slower swings are no throw
APART_S = 1.5
BEFORE_S, AFTER_S = 3.0, 1.0  # s around the wrist's fastest moment that belong to a throw
SEEN_SHARE = 0.3  # of the frames: below, a marker is as good as missing
SIDE_NAMES: Final = {"R": "right", "L": "left"}


@dataclass(frozen=True, slots=True)
class FoundThrow:
    """One throw of a recording: frames ``first`` to ``last`` (not included), and when the wrist is fastest (s).

    ``arm``: the side that its labels give the throwing arm, R or L. ``speed_mps``: its wrist's greatest speed.
    """

    first: int
    last: int
    fastest_s: float
    arm: str
    speed_mps: float


def read_markers(recording: Recording, setup: Setup, frames: slice = slice(None)) -> Markers:
    """The known markers by our labels in those frames, in metres and the file's own axes. Raises NotMeasured."""
    if recording.positions.shape[1] == 0:
        raise NotMeasured("no_markers")
    if recording.rate_hz < LEAST_RATE_HZ:
        raise NotMeasured("rate_too_low", rate=f"{recording.rate_hz:g}", least=f"{LEAST_RATE_HZ:g}")
    columns = find_columns(recording.labels, setup.names, setup.person)
    least = math.ceil(3 * SHORTEST_STRETCH_S * recording.rate_hz)
    if len(recording.positions) < least:
        raise NotMeasured("too_short", frames=len(recording.positions), least=least)
    positions = recording.positions[frames][:, list(columns.values())] * setup.scale
    return Markers(tuple(columns), positions, recording.rate_hz)


def find_throws(recording: Recording, *, setup: Setup | None = None) -> tuple[FoundThrow, ...]:
    """Every throw of a recording, in order of time. Raises NotMeasured, no_throw among others."""
    setup = setup or Setup()
    markers = read_markers(recording, setup)
    measured = axes.body_height(markers)
    axes.check_unit(measured, None)
    wrists = smoothed(_only(markers, ("R_RS", "L_RS")))
    speeds = sides.wrist_speeds(wrists)
    both = np.stack([np.nan_to_num(speeds["R"]), np.nan_to_num(speeds["L"])])
    fastest = both.max(axis=0)
    if fastest.max() < LEAST_WRIST_SPEED:
        _refuse(markers)
        raise NotMeasured("no_throw", speed=f"{fastest.max():.1f}", least=f"{LEAST_WRIST_SPEED:g}")
    rate = markers.rate_hz
    height = max(LEAST_WRIST_SPEED, LEAST_SHARE * float(fastest.max()))
    peaks, _ = find_peaks(np.concatenate([[0.0], fastest, [0.0]]), height=height, distance=round(APART_S * rate))
    peaks = peaks - 1
    firsts = np.maximum(peaks - round(BEFORE_S * rate), 0)
    lasts = np.minimum(peaks + round(AFTER_S * rate), len(markers))
    lasts[:-1] = np.minimum(lasts[:-1], peaks[1:] - round(0.5 * APART_S * rate))
    firsts[1:] = np.maximum(firsts[1:], peaks[:-1] + round(0.5 * APART_S * rate))
    return tuple(
        FoundThrow(int(first), int(last), float(peak / rate), "RL"[int(both[:, peak].argmax())], float(fastest[peak]))
        for first, last, peak in zip(firsts, lasts, peaks, strict=True)
    )  # fmt: skip


def _refuse(markers: Markers) -> None:
    """A file without a throw may be one whose wrists are not seen."""
    seen = np.isfinite(markers.positions).all(axis=-1).mean(axis=0)
    hidden = [label for label, share in zip(markers.labels, seen, strict=True) if share < SEEN_SHARE]
    hidden = [label for label in hidden if label in NEEDED]
    if hidden:
        raise NotMeasured("markers_not_seen", labels=", ".join(hidden))


def _only(markers: Markers, labels: tuple[str, ...]) -> Markers:
    return Markers(labels, np.stack([markers[label] for label in labels], axis=1), markers.rate_hz)


def smoothed(markers: Markers) -> Markers:
    """Gaps up to 20 ms filled, then through 30 Hz: for finding one's way, not for values."""
    rate = markers.rate_hz
    limits = np.full(markers.positions.shape[:2], GAP_S)
    filled, _ = fill_gaps(markers.positions, rate, limits)
    return markers.moved(low_pass(filled, rate, min(BODY_HZ, 0.9 * HIGHEST_SHARE * rate)))


@dataclass(frozen=True, slots=True, eq=False)
class PlacedThrow:
    """A throw in working axes: X home, Z up, throwing side R. ``start_s``: its first frame on the file's clock."""

    markers: Markers
    lab: axes.Lab
    side: str
    start_s: float
    notices: tuple[Notice, ...]


def place_throw(
    recording: Recording, throw: FoundThrow, *, side: str | None, setup: Setup, height_m: float | None
) -> PlacedThrow:
    """The throw's markers, not yet filtered, with axes and sides found or taken from the setup. Raises NotMeasured.

    ``side``: "right" or "left", the arm that should throw, None when not known.
    """
    markers = read_markers(recording, setup, slice(throw.first, throw.last))
    measured = axes.body_height(markers)
    axes.check_unit(measured, height_m)
    sides.check_swaps(markers)
    confused = sides.flickers(markers)
    markers = sides.without_flickers(markers, confused)
    up, forward = _directions(smoothed(markers), throw, setup)
    actual, said = _sides(markers, throw.arm, side, setup)
    agree = sides.handedness(markers)[0] >= 0
    on_right = (throw.arm == "R") == agree
    left = axes.left_of(forward, up) * (1.0 if on_right else -1.0)
    lab = axes.Lab(np.stack([forward, left, up]))
    labels = tuple(other_side(label) for label in markers.labels) if throw.arm == "L" else markers.labels
    notices = [*said, *_about(recording, setup, lab, confused, measured, height_m)]
    placed = Markers(labels, lab.place(markers.positions), markers.rate_hz)
    return PlacedThrow(placed, lab, actual, throw.first / recording.rate_hz, tuple(notices))


def _directions(light: Markers, throw: FoundThrow, setup: Setup) -> tuple[Array, Array]:
    """Up and toward home in the file's axes, from the setup or from the body."""
    up = axes.find_up(light) if setup.axes is None else setup.axes[2]
    travel = _travel(light, throw, up)
    if setup.axes is not None:
        if np.isfinite(travel).all():
            axes.check_forward(travel, setup.axes)
        return up, setup.axes[0]
    if not np.isfinite(travel).all():
        raise NotMeasured("gap_at_event", event="The direction to home", labels="the pelvis")
    return up, axes.find_forward(travel, up)


def _travel(light: Markers, throw: FoundThrow, up: Array) -> Array:
    """The pelvis' way (3,) from the highest lead knee to the wrist's fastest moment, in the file's axes."""
    rate = light.rate_hz
    fastest = min(round(throw.fastest_s * rate) - throw.first, len(light) - 1)
    lead = other_side(f"{throw.arm}_FLE")
    first, last = max(0, fastest - round(LIFT_SEARCH_S * rate)), max(1, fastest - round(LIFT_ENDS_S * rate))
    height = light[lead][first:last] @ up
    if not np.isfinite(height).any():
        return np.full(3, np.nan)
    lift = first + int(np.nanargmax(height))
    hips = light.middle("R_ASIS", "L_ASIS")
    seen = np.flatnonzero(np.isfinite(hips).all(axis=-1))
    if len(seen) < 2:
        return np.full(3, np.nan)
    nearest = [int(seen[np.argmin(np.abs(seen - frame))]) for frame in (lift, fastest)]
    return hips[nearest[1]] - hips[nearest[0]]


def _sides(markers: Markers, arm: str, side: str | None, setup: Setup) -> tuple[str, list[Notice]]:
    """Which arm really throws, "right" or "left", and what is odd about the labels. Raises NotMeasured other_arm."""
    mirrored = sides.handedness(markers)[0] < 0
    if setup.axes is not None and np.linalg.det(setup.axes) < 0:
        mirrored = not mirrored
    by_label, by_other = SIDE_NAMES[arm], SIDE_NAMES["L" if arm == "R" else "R"]
    if not mirrored:
        actual, said = by_label, []
    elif setup.axes is not None or (side is not None and side != by_label):
        actual, said = by_other, [notice("all_labels_swapped", side=by_other)]
    elif side is not None:
        actual, said = by_label, [notice("axes_left_handed")]
    else:
        actual, said = by_label, [notice("mirrored_or_swapped", side=by_label)]
    if side is not None and actual != side:
        raise NotMeasured("other_arm", found=actual, given=side)
    return actual, said


def _about(
    recording: Recording, setup: Setup, lab: axes.Lab, confused: dict[str, NDArray[np.bool_]], measured_m: float,
    height_m: float | None,
) -> list[Notice]:  # fmt: skip
    """What was found or assumed about axes, unit, size and labels."""
    said = []
    if setup.axes is None:
        said.append(notice("axes_found", up=lab.name(2), forward=lab.name(0)))
    if not recording.units and setup.scale == 1.0:
        said.append(notice("unit_missing", unit="metres"))
    if height_m and not 1 / axes.HEIGHT_OFF < measured_m / height_m < axes.HEIGHT_OFF:
        said.append(notice("size_differs", size=f"{measured_m:.2f}", height=f"{height_m:.2f}"))
    if confused:
        labels = ", ".join(label for label in sorted(confused) if label != BALL)
        count = int(np.any(list(confused.values()), axis=0).sum())
        said.append(notice("labels_flicker", labels=labels, count=count))
    return said
