"""A C3D file's bytes → a Recording: markers in metres, force plates, and the events that the file names.

The format is the one that c3d.org publishes. The c3d library reads header and parameters; the frames are read in one
piece by numpy, after `c3d_layout` has held what they claim against the file's size and the limits.
"""

from __future__ import annotations

from pathlib import PurePath
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sessions.formats import limits
from sessions.formats.c3d_layout import FrameLayout, find_layout
from sessions.formats.c3d_parameters import MAGIC, Parameters
from sessions.formats.c3d_plates import read_plates
from sessions.formats.problems import Problem, problem, quote, unreadable
from sessions.formats.recording import Array, Recording
from sessions.formats.signatures import COMPOUND, ZIP, foreign_kind

METRES: Final = {
    "mm": 1e-3, "millimeter": 1e-3, "millimeters": 1e-3, "millimetre": 1e-3, "millimetres": 1e-3,
    "cm": 1e-2, "centimeter": 1e-2, "centimeters": 1e-2, "centimetre": 1e-2, "centimetres": 1e-2,
    "dm": 1e-1,
    "m": 1.0, "meter": 1.0, "meters": 1.0, "metre": 1.0, "metres": 1.0,
    "in": 0.0254, "inch": 0.0254, "inches": 0.0254,
    "ft": 0.3048, "foot": 0.3048, "feet": 0.3048,
}  # fmt: skip
"""Metres in one unit of length; the international inch and foot are exact."""


def read_c3d(data: bytes, filename: str = "") -> Recording:
    """The recording in a C3D file of at most 200 MB and five minutes.

    Intel, DEC and MIPS files; whole and floating-point numbers; force plates of types 1 to 4. A marker with a negative
    residual, with coordinates that are all zero, that are no numbers or that lie beyond 1 km, is not seen: NaN.
    Raises UnreadableFile with a sentence for a page.
    """
    if not data:
        raise unreadable("empty")
    refuse_too_big(len(data))
    _refuse_other_kinds(data)
    with np.errstate(invalid="ignore", over="ignore"):  # damaged numbers can be of a kind that complains when touched
        return _recording(data, filename)


def _recording(data: bytes, filename: str) -> Recording:
    parameters = Parameters(data)
    layout = find_layout(parameters, len(data))
    frames = _frames_of(data, layout, parameters)
    units, metres, unit_problems = _unit(parameters)
    positions, far = _positions(frames["points"], layout, metres)
    labels, nameless = _labels(parameters, layout.markers)
    plates, plate_problems = read_plates(parameters, frames["analogs"], layout, metres)
    problems = [*_extension(filename), *unit_problems, *nameless, *plate_problems]
    if far:
        problems.append(problem("recording_far_off", count=far, metres=f"{limits.FARTHEST_M:,.0f}"))
    return Recording(
        labels, positions, layout.rate_hz, units, plates, filename, tuple(problems), _events(parameters, layout)
    )


def refuse_too_big(size_bytes: int) -> None:
    """Raises UnreadableFile (recording_too_big); callers that have a path need not read the file to know."""
    if size_bytes > limits.RECORDING_BYTES:
        most = limits.RECORDING_BYTES // 1_000_000
        raise unreadable("recording_too_big", megabytes=f"{size_bytes / 1e6:.0f}", most=most)


def _refuse_other_kinds(data: bytes) -> None:
    """Raises UnreadableFile (not_a_recording) unless the bytes begin as a C3D file does: a block number, and 80."""
    kind = "a workbook or an archive" if data.startswith((ZIP, COMPOUND)) else foreign_kind(data)
    if not kind and (data[0] <= 1 or data[1:2] != bytes([MAGIC])):
        kind = "something else" if b"\x00" in data[:4096] else "text"
    if kind:
        raise unreadable("not_a_recording", kind=kind)


def _extension(filename: str) -> list[Problem]:
    extension = PurePath(filename).suffix.lower()
    if extension in {"", ".c3d"}:
        return []
    return [problem("other_extension", named="another kind of file", found="a C3D recording")]


def _frames_of(data: bytes, layout: FrameLayout, parameters: Parameters) -> NDArray[np.void]:
    """All frames as they stand in the file (frames,), without a copy."""
    unsigned = parameters.text("ANALOG:FORMAT").upper() == "UNSIGNED"
    return np.frombuffer(data, layout.dtype(unsigned_analogs=unsigned), layout.frames, layout.start)


def _unit(parameters: Parameters) -> tuple[str, float, list[Problem]]:
    """What the file calls its unit of length, metres in it, and what is odd about it."""
    named = parameters.text("POINT:UNITS")
    if not named:
        return "", 1.0, []
    metres = METRES.get(named.lower().rstrip("."))
    if metres is None:
        return "", 1.0, [problem("recording_unit", unit=quote(named))]
    return named, metres, []


def _positions(points: NDArray[np.generic], layout: FrameLayout, metres: float) -> tuple[Array, int]:
    """Words (frames, markers, 4) → metres (frames, markers, 3), NaN where not seen; how many lay beyond all reach."""
    words = layout.numbers(points)
    positions = words[..., :3].astype(np.float64)
    positions *= metres if layout.is_float else metres * layout.scale
    unseen = ~(words[..., 3] >= 0) | _of_all_three(positions == 0)
    near = _of_all_three(np.abs(positions) <= limits.FARTHEST_M)
    far = int((~near & ~unseen).sum())
    positions[unseen | ~near] = np.nan
    return positions, far


def _of_all_three(flags: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Whether x, y and z all are: (…, 3) → (…). Over so short an axis this is four times as fast as `all`."""
    return flags[..., 0] & flags[..., 1] & flags[..., 2]


def _labels(parameters: Parameters, markers: int) -> tuple[tuple[str, ...], list[Problem]]:
    """One label a marker; those without are numbered by their place."""
    named = parameters.texts("POINT:LABELS")[:markers]
    named += [""] * (markers - len(named))
    nameless = [number for number, label in enumerate(named, 1) if not label]
    labels = tuple(label or f"*{number}" for number, label in enumerate(named, 1))
    return labels, [problem("recording_nameless", count=len(nameless))] if nameless else []


def _events(parameters: Parameters, layout: FrameLayout) -> tuple[tuple[str, float], ...]:
    """EVENT:LABELS and EVENT:TIMES (minutes, seconds on the trial's clock, whose 0 is frame 1), by time."""
    names = parameters.texts("EVENT:LABELS")
    times = parameters.numbers("EVENT:TIMES")
    pairs = times[: len(times) // 2 * 2].reshape(-1, 2)
    seconds = 60 * pairs[:, 0] + pairs[:, 1] - (layout.first_frame - 1) / layout.rate_hz
    found = [(name, float(time)) for name, time in zip(names, seconds, strict=False) if np.isfinite(time)]
    return tuple(sorted(found, key=lambda event: event[1]))
