"""Force plates of a C3D file: analogue channels → forces and moments in the file's axes, for the plate types 1 to 4.

Types, channels and signs as the format's own documents give them (FORCE_PLATFORM:TYPE, :CORNERS, :ORIGIN, :CHANNEL,
:CAL_MATRIX at c3d.org). A plate's own axes: X from corner 2 to corner 1, Y from corner 4 to corner 1, Z = X × Y, which
points down; its forces are those of the ground on the person.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sessions.formats import limits
from sessions.formats.c3d_layout import FrameLayout
from sessions.formats.c3d_parameters import Parameters
from sessions.formats.problems import Problem, problem, quote
from sessions.formats.recording import Array, Plate

MOST_PLATES: Final = 20
NEWTONS: Final = {"": 1.0, "n": 1.0, "newton": 1.0, "newtons": 1.0, "kn": 1000.0, "lb": 4.4482216, "lbf": 4.4482216}
"""Newtons in one unit of force; the pound-force is 0.45359237 kg × 9.80665 m/s²."""

LENGTHS: Final = {"mm": 1e-3, "cm": 1e-2, "m": 1.0}
CALIBRATED: Final = 4


class _LeftOut(Exception):
    """A plate that cannot be read; the sentence's words are its only argument."""


@dataclass(frozen=True, slots=True)
class _Geometry:
    """``corners`` (4, 3), m, in the file's axes; ``origin`` (3,), m; ``axes`` (3, 3): the plate's own as columns."""

    corners: Array
    origin: Array
    axes: Array


def read_plates(
    parameters: Parameters, analogs: NDArray[np.generic], layout: FrameLayout, metres: float
) -> tuple[tuple[Plate, ...], list[Problem]]:
    """Every plate that can be read, and why others cannot.

    ``analogs`` (frames, samples, channels): the words of the file. ``metres``: in the file's unit of length.
    """
    count = min(parameters.count("FORCE_PLATFORM:USED") or 0, MOST_PLATES)
    plates, problems = [], []
    too_many = count * layout.frames * layout.per_frame > limits.PLATE_SAMPLES
    for number in range(count):
        try:
            if too_many:
                raise _LeftOut(f"all plates together have more than {limits.PLATE_SAMPLES:,} samples")
            plates.append(_plate(parameters, analogs, layout, metres, number))
        except _LeftOut as reason:
            problems.append(problem("plate_left_out", number=number + 1, why=str(reason)))
    return tuple(plates), problems


def _plate(
    parameters: Parameters, analogs: NDArray[np.generic], layout: FrameLayout, metres: float, number: int
) -> Plate:
    types = parameters.numbers("FORCE_PLATFORM:TYPE")
    kind = int(types[number]) if number < len(types) and math.isfinite(types[number]) else 0
    if kind not in _CHANNELS:
        raise _LeftOut(f"it is of type {kind}, and types 1 to 4 are read")
    columns = _columns(parameters, layout, number, _CHANNELS[kind])
    signals = _signals(parameters, analogs, layout, columns)
    if kind == CALIBRATED:
        signals = signals @ _calibration(parameters, number).T
    signals *= _units(parameters, columns, kind, metres)
    geometry = _geometry(parameters, number, metres)
    force, moment = _LOADS[kind](signals, geometry.origin)
    loads = np.concatenate([force, moment], axis=1)
    if not np.isfinite(loads).all():
        raise _LeftOut("its channels hold what is no number")
    return Plate(force @ geometry.axes.T, moment @ geometry.axes.T, geometry.corners, layout.rate_hz * layout.per_frame)


def _columns(parameters: Parameters, layout: FrameLayout, number: int, count: int) -> NDArray[np.intp]:
    """Places of the plate's channels among the file's, from 0."""
    dimensions = parameters.dimensions("FORCE_PLATFORM:CHANNEL")
    width = dimensions[0] if dimensions else 0
    channels = parameters.numbers("FORCE_PLATFORM:CHANNEL")[width * number : width * number + count]
    if width < count or len(channels) < count or not ((channels >= 1) & (channels <= layout.analogs)).all():
        raise _LeftOut("its channels are not in the file")
    return channels.astype(np.intp) - 1


def _signals(
    parameters: Parameters, analogs: NDArray[np.generic], layout: FrameLayout, columns: NDArray[np.intp]
) -> Array:
    """(value - offset) × scale × general scale of the chosen channels (samples, channels)."""
    words = layout.numbers(analogs[:, :, columns]).reshape(-1, len(columns))
    unsigned = parameters.text("ANALOG:FORMAT").upper() == "UNSIGNED"
    offsets = _each(parameters.numbers("ANALOG:OFFSET", unsigned=unsigned), columns, 0.0)
    scales = _each(parameters.numbers("ANALOG:SCALE"), columns, 1.0)
    general = parameters.numbers("ANALOG:GEN_SCALE")
    return (words.astype(np.float64) - offsets) * (scales * (general[0] if len(general) else 1.0))


def _each(values: Array, columns: NDArray[np.intp], missing: float) -> Array:
    """The chosen of the values, ``missing`` where there are too few."""
    padded = np.full(int(columns.max()) + 1, missing)
    known = values[: len(padded)]
    padded[: len(known)] = known
    return padded[columns]


def _calibration(parameters: Parameters, number: int) -> Array:
    """FORCE_PLATFORM:CAL_MATRIX (6, 6), from signals to forces and moments; its first index runs fastest.

    A file that has plates of type 3 beside those of type 4 may keep 8 × 8 numbers for each.
    """
    dimensions = parameters.dimensions("FORCE_PLATFORM:CAL_MATRIX")[:2]
    rows, columns = dimensions if len(dimensions) == 2 else (0, 0)
    values = parameters.numbers("FORCE_PLATFORM:CAL_MATRIX")[rows * columns * number : rows * columns * (number + 1)]
    if rows < 6 or columns < 6 or len(values) < rows * columns:
        raise _LeftOut("it needs a calibration matrix and the file has none for it")
    return values.reshape(columns, rows).T[:6, :6]


def _units(parameters: Parameters, columns: NDArray[np.intp], kind: int, metres: float) -> Array:
    """Factors from the channels' units to N, N·m and, for a point of force, m."""
    newtons = _newtons(parameters, columns, kind)
    if kind == 1:
        return np.array([newtons] * 3 + [metres] * 2 + [newtons * metres])
    if kind == 3:
        return np.full(len(columns), newtons)
    lever = _lever(parameters, columns) if kind != CALIBRATED else None
    return np.array([newtons] * 3 + [newtons * (metres if lever is None else lever)] * 3)


def _newtons(parameters: Parameters, columns: NDArray[np.intp], kind: int) -> float:
    named = parameters.text("FORCE_PLATFORM:UNITS")
    texts = parameters.texts("ANALOG:UNITS")
    if not named and kind != CALIBRATED and columns[0] < len(texts):
        named = texts[columns[0]]
    factor = NEWTONS.get(named.lower())
    if factor is None:
        raise _LeftOut(f"its forces are in {quote(named)}, which is no unit of force")
    return factor


def _lever(parameters: Parameters, columns: NDArray[np.intp]) -> float | None:
    """Metres in the length of the moments' unit ("Nmm", "N.m"), None when the file does not name it."""
    texts = parameters.texts("ANALOG:UNITS")
    if columns[3] >= len(texts):
        return None
    named = texts[columns[3]].lower().replace("·", "").replace(".", "").replace("*", "").replace(" ", "")
    return LENGTHS.get(named.removeprefix("n")) if named.startswith("n") else None


def _geometry(parameters: Parameters, number: int, metres: float) -> _Geometry:
    corners = parameters.numbers("FORCE_PLATFORM:CORNERS")[12 * number : 12 * (number + 1)]
    if len(corners) < 12 or not np.isfinite(corners).all():
        raise _LeftOut("its corners are not in the file")
    corners = corners.reshape(4, 3) * metres
    x, y = corners[0] - corners[1], corners[0] - corners[3]
    z = np.cross(x, y)
    if not np.linalg.norm(z) > 1e-6 * max(np.linalg.norm(x), np.linalg.norm(y)) ** 2:
        raise _LeftOut("its corners make no plane")
    axes = np.stack([x, np.cross(z, x), z], axis=1)
    origin = np.zeros(3)
    stored = parameters.numbers("FORCE_PLATFORM:ORIGIN")[3 * number : 3 * (number + 1)]
    if len(stored) == 3 and np.isfinite(stored).all():
        origin = stored * metres
    return _Geometry(corners, origin, axes / np.linalg.norm(axes, axis=0))


def _centre_of_pressure(signals: Array, _: Array) -> tuple[Array, Array]:
    """Type 1: Fx Fy Fz, the point of force Px Py from the plate's middle, and the moment Tz about it."""
    force = signals[:, :3]
    place = np.concatenate([signals[:, 3:5], np.zeros((len(signals), 1))], axis=1)
    moment = np.cross(place, force)
    moment[:, 2] += signals[:, 5]
    return force, moment


def _about_sensor(signals: Array, origin: Array) -> tuple[Array, Array]:
    """Types 2 and 4: forces, and moments about the sensor; ``origin`` leads from it to the middle of the surface.

    The sensor lies under the surface and Z points down, so origin's z is below 0. Files that hold the way back are
    common and are turned round.
    """
    to_middle = -origin if origin[2] > 0 else origin
    force = signals[:, :3]
    return force, signals[:, 3:] + np.cross(force, to_middle)


def _four_sensors(signals: Array, origin: Array) -> tuple[Array, Array]:
    """Type 3: Fx12 Fx34 Fy14 Fy23 Fz1 Fz2 Fz3 Fz4 of sensors that lie a along X and b along Y from the middle.

    ``origin`` is (a, b, az): az leads from the sensors up to the surface, and is below 0.
    """
    x12, x34, y14, y23, z1, z2, z3, z4 = signals.T
    a, b, depth = abs(origin[0]), abs(origin[1]), -abs(origin[2])
    force = np.stack([x12 + x34, y14 + y23, z1 + z2 + z3 + z4], axis=1)
    moment = np.stack(
        [b * (z1 + z2 - z3 - z4), a * (z2 + z3 - z1 - z4), b * (x34 - x12) + a * (y14 - y23)], axis=1
    )  # fmt: skip
    return force, moment + np.cross(force, np.array([0.0, 0.0, depth]))


_CHANNELS: Final = {1: 6, 2: 6, 3: 8, 4: 6}
_LOADS: Final[Mapping[int, Callable[[Array, Array], tuple[Array, Array]]]] = {
    1: _centre_of_pressure,
    2: _about_sensor,
    3: _four_sensors,
    4: _about_sensor,
}
