"""What happens to recordings in real rooms. Each takes a recording and gives a spoiled one; the truth stays with it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from .capture import UNITS, Recording, other_side
from .curves import Array
from .markers import MEDIAL


def with_noise(recording: Recording, sd: float | Sequence[float], rng: np.random.Generator) -> Recording:
    """White noise of standard deviation `sd` (m; one for all or one for each file axis) on every landmark."""
    spread = np.broadcast_to(np.asarray(sd, dtype=float), 3) * UNITS[recording.room.unit]
    return recording.but(points=recording.points + rng.standard_normal(recording.points.shape) * spread)


def with_gap(recording: Recording, labels: Iterable[str], start: float, end: float) -> Recording:
    """The labels are unseen from `start` to `end` (s from the first frame)."""
    points = recording.points.copy()
    unseen = _between(recording, start, end)
    for label in labels:
        points[unseen, recording.labels.index(label)] = np.nan
    return recording.but(points=points)


def with_sides_swapped(
    recording: Recording, labels: Iterable[str] | None = None, start: float = -np.inf, end: float = np.inf
) -> Recording:
    """Left and right are confused, for some labels (either side's name; None: all), from `start` to `end` (s)."""
    points = recording.points.copy()
    swapped = _between(recording, start, end)
    chosen = recording.labels if labels is None else labels
    for pair in {frozenset((label, other_side(label))) for label in chosen if other_side(label) != label}:
        first, second = (recording.labels.index(label) for label in pair)
        points[swapped, first], points[swapped, second] = points[swapped, second], points[swapped, first]
    return recording.but(points=points)


def without(recording: Recording, labels: Iterable[str]) -> Recording:
    """These labels are not in the file."""
    gone = set(labels)
    kept = [index for index, label in enumerate(recording.labels) if label not in gone]
    return recording.but(
        labels=tuple(recording.labels[index] for index in kept), points=recording.points[:, kept]
    )  # fmt: skip


def without_medial(recording: Recording) -> Recording:
    """A room that puts no landmarks on the inner side of elbow, wrist, knee and ankle."""
    return without(recording, MEDIAL)


def with_names(recording: Recording, prefix: str = "", *, lower_case: bool = False) -> Recording:
    """Labels with `prefix` and a colon before them, or in lower case."""
    before = f"{prefix}:" if prefix else ""
    return recording.but(
        labels=tuple(before + (label.lower() if lower_case else label) for label in recording.labels)
    )  # fmt: skip


def cut(recording: Recording, start: float = -np.inf, end: float = np.inf) -> Recording:
    """Only the frames from `start` to `end` (s); times then run from the first frame that is left."""
    kept = _between(recording, start, end)
    frames = np.flatnonzero(kept)
    first = frames[0] / recording.room.rate_hz
    share = recording.room.analog_per_frame
    samples = slice(frames[0] * share, (frames[-1] + 1) * share)
    throws = tuple(type(throw)(throw.delivery, throw.start - first) for throw in recording.throws)
    plates = tuple(type(p)(p.corners, p.force[samples], p.centre[samples]) for p in recording.plates)
    return recording.but(points=recording.points[kept], throws=throws, plates=plates)


def _between(recording: Recording, start: float, end: float) -> Array:
    return (recording.times >= start) & (recording.times <= end)
