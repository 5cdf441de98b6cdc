"""Smoothing of positions and filling of short gaps, stretch by stretch: never across a gap, never into one."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.signal import butter, sosfiltfilt

from metrics.kinematics.vectors import Array

DEFAULT_FILTER_HZ = 13.4
"""Design cut-off of the section, Hz: the setting of much of the pitching literature (from memory).
Run both ways its -3 dB point lies at 0.802 of it, 10.8 Hz (the factor is exact only far below the frame rate)."""

PAD_S = 0.075  # s of odd reflection at either end: one period of the default cut-off
SHORTEST_STRETCH_S = 0.15  # s: shorter stretches are all edge
HIGHEST_SHARE = 0.45  # of the frame rate: beyond it a cut-off filters nothing and designs badly
GAP_S, ARM_GAP_S = 0.020, 0.008  # s that are filled: anywhere, and on the throwing arm while it is fast
_TOLERANCE_S = 1e-6  # a gap of exactly the limit counts as filled at any frame rate


def low_pass(positions: Array, rate_hz: float, cutoff_hz: float) -> Array:
    """Positions through one second-order Butterworth section run forward and back: fourth order in all, no lag.

    ``positions``: (frames, markers, 3), NaN in gaps. Every stretch without gaps is filtered by itself; a stretch
    under 0.15 s becomes NaN. ``cutoff_hz`` is the section's design cut-off. Returns the same shape.
    Raises ValueError for a cut-off of 0.45 of the frame rate or above.
    Source: Winter, Biomechanics and Motor Control of Human Movement (zero-lag filter of positions); -3 dB of both
    runs together is computed, not quoted.
    """
    if not 0 < cutoff_hz < HIGHEST_SHARE * rate_hz:
        raise ValueError(f"the cut-off is above 0 and under {HIGHEST_SHARE * rate_hz:g} Hz, got {cutoff_hz:g} Hz")
    section = _section(cutoff_hz, rate_hz).copy()  # scipy takes no array that cannot be written
    seen = seen_in(positions)
    smooth = np.full(positions.shape, np.nan)
    pad = math.ceil(PAD_S * rate_hz)
    for columns, first, last in _blocks(seen):
        length = last - first
        if length >= SHORTEST_STRETCH_S * rate_hz - 1e-9:
            block = positions[first:last, columns]
            smooth[first:last, columns] = sosfiltfilt(section, block, axis=0, padlen=min(length - 1, pad))
    return smooth


@lru_cache(maxsize=64)
def _section(cutoff_hz: float, rate_hz: float) -> Array:
    """The second-order section (1, 6). One throw asks for the same few five times, and each design takes 0.7 ms."""
    section: Array = butter(2, cutoff_hz, fs=rate_hz, output="sos")
    section.flags.writeable = False
    return section


def seen_in(positions: Array) -> NDArray[np.bool_]:
    """Which markers are seen in which frames: (frames, markers, 3) → (frames, markers)."""
    finite = np.isfinite(positions)
    return np.asarray(finite[..., 0] & finite[..., 1] & finite[..., 2])  # over so short an axis `all` is slow


def _blocks(seen: NDArray[np.bool_]) -> Iterator[tuple[list[int], int, int]]:
    """Markers and frames (from, to) to be filtered at once: those with the same stretches go together."""
    together: dict[bytes, list[int]] = {}
    for column in range(seen.shape[1]):
        together.setdefault(seen[:, column].tobytes(), []).append(column)
    for columns in together.values():
        for first, last in stretches(seen[:, columns[0]]):
            yield columns, first, last


def stretches(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Runs of True in flags (n,) as (first, one past the last)."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def fill_gaps(positions: Array, rate_hz: float, limits_s: Array) -> tuple[Array, NDArray[np.int64]]:
    """Fills short gaps inside each marker's course by a cubic spline through the frames where it was seen.

    ``positions``: (frames, markers, 3). ``limits_s``: (frames, markers), s: the longest gap that may be filled there;
    a gap is filled when it is no longer than the least limit inside it. Gaps at either end stay.
    Returns the positions and how many frames of each marker were filled, shape (markers,).
    """
    seen = seen_in(positions)
    filled, counts = positions, np.zeros(positions.shape[1], dtype=np.int64)
    for column in np.flatnonzero(~seen.all(axis=0) & (seen.sum(axis=0) >= 4)):
        inside = [
            (first, last)
            for first, last in stretches(~seen[:, column])
            if first > 0
            and last < len(seen)
            and (last - first) / rate_hz <= limits_s[first:last, column].min() + _TOLERANCE_S
        ]
        if not inside:
            continue
        filled = filled.copy() if filled is positions else filled
        known = np.flatnonzero(seen[:, column])
        missing = np.concatenate([np.arange(first, last) for first, last in inside])
        filled[missing, column] = CubicSpline(known, positions[known, column])(missing)
        counts[column] = len(missing)
    return filled, counts


def noise_of(positions: Array) -> float:
    """Standard deviation (same unit) of white noise in positions (frames, markers, 3); NaN when too few are seen.

    Fourth differences leave slow movement out and multiply white noise by √70 (1² + 4² + 6² + 4² + 1² = 70); the
    median makes it deaf to the fast few. Noise that somebody has smoothed away before cannot be seen.
    """
    if len(positions) < 10:
        return math.nan
    differences = np.abs(np.diff(positions, n=4, axis=0))
    if not np.isfinite(differences).any():
        return math.nan
    return float(np.nanmedian(differences) / (0.6745 * math.sqrt(70)))
