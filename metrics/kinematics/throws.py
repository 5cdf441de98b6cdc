"""Finding the throws of a recording, and placing one of them in working axes with the throwing side on the right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.signal import find_peaks

from metrics.kinematics import axes, sides
from metrics.kinematics.events import BODY_HZ, LIFT_ENDS_S, LIFT_SEARCH_S
from metrics.kinematics.filters import GAP_S, HIGHEST_SHARE, SHORTEST_STRETCH_S, fill_gaps, low_pass
from metrics.kinematics.landmarks import NEEDED, Markers, find_columns, other_side
from metrics.kinematics.problems import Notice, NotMeasured, notice, question
from metrics.kinematics.setup import Setup
from metrics.kinematics.vectors import Array
from sessions.formats.recording import Recording

LEAST_RATE_HZ = 60.0
LEAST_WRIST_SPEED = 6.0  # m/s: a ten-year-old's slow throw has more, walking and gestures have less (house value)
LEAST_SHARE = 0.5  # of the fastest in the file: slower swings are no throw
APART_S = 1.5
BEFORE_S, AFTER_S = 3.0, 1.0  # s around the wrist's fastest moment that belong to a throw
FARTHEST = 1e6  # in any unit: a number beyond it is no place in a room
NEAR_END_S = 0.10  # s: the glove arm is fastest about that long before release, and then the throwing arm is faster
ARM_LOOK_S = 0.25  # s around its fastest moment in which the other wrist may be the faster one
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


def read_markers(recording: Recording, setup: Setup, frames: slice = slice(None)) -> tuple[Markers, float]:
    """The known markers by our labels in the file's own axes, m, and by how much its numbers were multiplied.

    ``frames``: which of the file's. Raises NotMeasured.
    """
    if recording.rate_hz < LEAST_RATE_HZ:
        raise NotMeasured("rate_too_low", rate=f"{recording.rate_hz:g}", least=f"{LEAST_RATE_HZ:g}")
    columns = find_columns(recording.labels, setup.names, setup.person)
    least = math.ceil(3 * SHORTEST_STRETCH_S * recording.rate_hz)
    if len(recording.positions) < least:
        raise NotMeasured("too_short", frames=len(recording.positions), least=least)
    positions = recording.positions[frames][:, list(columns.values())]
    positions = np.where(np.abs(positions) < FARTHEST, positions, np.nan)
    markers = Markers(tuple(columns), positions, recording.rate_hz)
    scale = setup.scale or 1.0
    if setup.scale is None and not recording.units:
        scale = axes.UNITS.get(axes.fitting_unit(axes.body_height(markers), None), 1.0)
    return (markers if scale == 1.0 else markers.moved(scale * markers.positions)), scale


def find_throws(recording: Recording, *, setup: Setup | None = None) -> tuple[FoundThrow, ...]:
    """Every throw of a recording, in order of time. Raises NotMeasured, no_throw among others."""
    setup = setup or Setup()
    markers, _ = read_markers(recording, setup)
    axes.check_unit(axes.body_height(markers), None, recording.units if setup.scale is None else None)
    steady, _ = sides.put_right(markers)
    tidy = sides.hidden(steady, sides.broken_links(steady))
    speeds = sides.wrist_speeds(smoothed(_only(tidy, ("R_RS", "L_RS"))))
    both = np.nan_to_num(np.stack([speeds["R"], speeds["L"]]))
    fastest = both.max(axis=0)
    if fastest.max() < LEAST_WRIST_SPEED:
        _refuse(steady)
        raise NotMeasured("no_throw", speed=f"{fastest.max():.1f}", least=f"{LEAST_WRIST_SPEED:g}")
    rate = markers.rate_hz
    height = max(LEAST_WRIST_SPEED, LEAST_SHARE * float(fastest.max()))
    peaks, _ = find_peaks(np.concatenate([[0.0], fastest, [0.0]]), height=height, distance=round(APART_S * rate))
    peaks = peaks - 1
    firsts = np.maximum(peaks - round(BEFORE_S * rate), 0)
    lasts = np.minimum(peaks + round(AFTER_S * rate), len(markers))
    lasts[:-1] = np.minimum(lasts[:-1], peaks[1:] - round(0.5 * APART_S * rate))
    firsts[1:] = np.maximum(firsts[1:], lasts[:-1])
    return tuple(
        FoundThrow(int(first), int(last), float(peak / rate), "RL"[int(both[:, peak].argmax())], float(fastest[peak]))
        for first, last, peak in zip(firsts, lasts, peaks, strict=True)
    )  # fmt: skip


def _refuse(markers: Markers) -> None:
    """A file without a throw may be one whose wrists are not seen, or swapped."""
    sides.check_swaps(markers)
    seen = np.isfinite(markers.positions).all(axis=-1).mean(axis=0)
    hidden = [label for label, share in zip(markers.labels, seen, strict=True) if share < SEEN_SHARE]
    hidden = [label for label in hidden if label in NEEDED]
    if hidden:
        raise NotMeasured("markers_not_seen", labels=", ".join(hidden))


def ends_in(throw: FoundThrow, recording: Recording) -> bool:
    """Whether the file ends just after the fastest moment, so that a faster one may have been cut off."""
    return len(recording.positions) / recording.rate_hz - throw.fastest_s < NEAR_END_S


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
    """A throw in working axes: X home, Z up, throwing side R. ``start_s``: its first frame on the file's clock.

    ``scale``: metres in one of the file's numbers. ``notices``: what was found or assumed on the way, questions too.
    """

    markers: Markers
    lab: axes.Lab
    scale: float
    side: str
    start_s: float
    notices: tuple[Notice, ...]


def place_throw(
    recording: Recording, throw: FoundThrow, *, side: str | None, setup: Setup, height_m: float | None
) -> PlacedThrow:
    """The throw's markers, not yet filtered, with axes and sides found or taken from the setup. Raises NotMeasured.

    ``side``: "right" or "left", the arm that should throw, None when not known.
    """
    markers, scale = read_markers(recording, setup, slice(throw.first, throw.last))
    steady, crossed = sides.put_right(markers)
    sides.check_swaps(steady)
    stray = sides.broken_links(steady)
    markers = sides.hidden(steady, stray)
    measured = axes.body_height(markers)
    axes.check_unit(measured, height_m, recording.units if setup.scale is None else None)
    light = smoothed(markers)
    up, forward = _directions(light, throw, setup)
    agree = sides.handedness(markers)[0] >= 0
    near_s = throw.fastest_s - throw.first / recording.rate_hz
    unseen = light.unseen([other_side(f"{throw.arm}_RS")], near_s - ARM_LOOK_S, near_s + ARM_LOOK_S)
    actual, said = _sides(agree, throw.arm, side, setup, unseen)
    # In axes of either hand the throwing side comes out on the right: a left-hander is mirrored, and so is a
    # right-hander in left-handed axes.
    left = np.cross(up, forward) * (1.0 if (throw.arm == "R") == agree else -1.0)
    lab = axes.Lab(np.stack([forward, left, up]))
    labels = tuple(other_side(label) for label in markers.labels) if throw.arm == "L" else markers.labels
    said += _about_axes(recording, setup, lab, scale)
    said += _about_body(crossed, stray, measured, height_m)
    placed = Markers(labels, lab.place(markers.positions), markers.rate_hz, crossed=throw.arm == "L")
    return PlacedThrow(placed, lab, scale, actual, throw.first / recording.rate_hz, tuple(said))


def _directions(light: Markers, throw: FoundThrow, setup: Setup) -> tuple[Array, Array]:
    """Up and toward home in the file's axes, from the setup or from the body."""
    if setup.axes is not None:
        axes.check_up(light, setup.axes[2])
        axes.check_forward(_travel(light, throw, setup.axes[2]), setup.axes)
        return setup.axes[2], setup.axes[0]
    up = axes.find_up(light)
    return up, axes.find_forward(_travel(light, throw, up), up)


def _travel(light: Markers, throw: FoundThrow, up: Array) -> Array:
    """The pelvis' way (3,), m, from the highest lead knee to the wrist's fastest moment, in the file's axes.

    Raises NotMeasured gap_at_event when pelvis or lead knee are not seen.
    """
    rate = light.rate_hz
    fastest = min(round(throw.fastest_s * rate) - throw.first, len(light) - 1)
    lead = other_side(f"{throw.arm}_FLE")
    first, last = max(0, fastest - round(LIFT_SEARCH_S * rate)), max(1, fastest - round(LIFT_ENDS_S * rate))
    height = light[lead][first:last] @ up
    hips = light.middle("R_ASIS", "L_ASIS")
    seen = np.flatnonzero(np.isfinite(hips).all(axis=-1))
    if not np.isfinite(height).any() or len(seen) < 2:
        raise NotMeasured("gap_at_event", event="The direction to home", labels=f"R_ASIS, L_ASIS or {lead}")
    lift = first + int(np.nanargmax(height))
    nearest = [int(seen[np.argmin(np.abs(seen - frame))]) for frame in (lift, fastest)]
    return hips[nearest[1]] - hips[nearest[0]]


def _sides(agree: bool, arm: str, side: str | None, setup: Setup, unseen: Sequence[str]) -> tuple[str, list[Notice]]:
    """Which arm really throws, "right" or "left", and what is odd about the labels.

    ``agree``: the labels lie as in right-handed axes. When they do not, either the axes are left-handed or all labels
    are swapped: the two look alike, and only a setup or the given ``side`` tells which. ``unseen``: the other arm's
    wrist, when a gap may hide that it is the faster one. Raises NotMeasured.
    """
    mirrored = agree == (setup.axes is not None and np.linalg.det(setup.axes) < 0)
    by_label, by_other = SIDE_NAMES[arm], SIDE_NAMES["L" if arm == "R" else "R"]
    if not mirrored:
        actual, said = by_label, []
    elif setup.axes is not None and side == by_label:
        raise NotMeasured("setup_mirrored", side=side)
    elif setup.axes is not None or side == by_other:
        actual, said = by_other, [notice("all_labels_swapped", side=by_other)]
    elif side is not None:
        actual, said = by_label, [notice("axes_left_handed")]
    else:
        actual, said = by_label, [question("mirrored_or_swapped", side=by_label)]
    if unseen and side is None:
        said.append(question("arm_unseen", side=actual, labels=", ".join(unseen)))
    if side is not None and actual != side:
        if unseen:
            raise NotMeasured("gap_at_event", event="The throw", labels=", ".join(unseen))
        raise NotMeasured("other_arm", found=actual, given=side)
    return actual, said


def _about_axes(recording: Recording, setup: Setup, lab: axes.Lab, scale: float) -> list[Notice]:
    """What was found or assumed about axes and unit."""
    said = []
    if setup.axes is None:
        said.append(notice("axes_found", up=lab.name(2), forward=lab.name(0)))
    if setup.scale is None and not recording.units:
        taken = next(name for name, metres in axes.UNITS.items() if metres == scale)
        said.append(notice("unit_missing", unit=taken))
    return said


def _about_body(
    crossed: dict[str, sides.Flags], stray: dict[str, sides.Flags], measured_m: float, height_m: float | None
) -> list[Notice]:
    """What was odd about labels and size."""
    said = []
    for code, found in (("labels_flicker", crossed), ("markers_stray", stray)):
        if found:
            count = int(np.any(list(found.values()), axis=0).sum())
            said.append(notice(code, labels=", ".join(sorted(found)), count=count))
    if height_m and not 1 / axes.HEIGHT_OFF < measured_m / height_m < axes.HEIGHT_OFF:
        said.append(question("size_differs", size=f"{measured_m:.2f}", height=f"{height_m:.2f}"))
    return said
