"""The file's axes and unit, found from the body that moves in it and snapped to the file's axes.

Positions here are in the file's own axes, shape (frames, labels, 3).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from metrics.kinematics.landmarks import Markers
from metrics.kinematics.problems import NotMeasured
from metrics.kinematics.vectors import Array, norm, unit

FIRST_FRAMES_S = 0.25  # s in which the pitcher is taken to stand
UP_LIMIT, FORWARD_LIMIT = np.radians(15.0), np.radians(20.0)
OTHER_WAY = np.radians(60.0)  # from a confirmed direction to home: then it is not this room, or not this way
TYPICAL_HEIGHT_M = 1.75
# Elbow to wrist, knee to ankle, as fractions of height: Drillis & Contini 1966 (from memory).
LENGTHS: Final = (("EL", "RS", 0.146), ("FLE", "LM", 0.246))
SIZE_OFF, HEIGHT_OFF = 2.2, 1.25  # ratios beyond which the unit, and the typed height, are doubted
UNITS: Final = {"metres": 1.0, "millimetres": 1e-3, "centimetres": 1e-2, "inches": 0.0254, "feet": 0.3048}
AXIS_NAMES: Final = ("X", "Y", "Z")


def body_height(markers: Markers) -> float:
    """Height (m) that the forearms and shanks would belong to; NaN when none is seen."""
    found = []
    for first, second, share in LENGTHS:
        for side in ("R", "L"):
            length = norm(markers[f"{side}_{first}"] - markers[f"{side}_{second}"])
            if np.isfinite(length).any():
                found.append(float(np.nanmedian(length)) / share)
    return float(np.median(found)) if found else float("nan")


def check_unit(measured_m: float, height_m: float | None) -> None:
    """Raises NotMeasured wrong_unit when a body of that size cannot be, with the unit that would fit."""
    expected = height_m or TYPICAL_HEIGHT_M
    if not np.isfinite(measured_m) or 1 / SIZE_OFF < measured_m / expected < SIZE_OFF:
        return
    unit_name = fitting_unit(measured_m, expected)
    probably = f"; {unit_name} would fit if it says metres" if unit_name else ""
    raise NotMeasured("wrong_unit", size=f"{measured_m:.3g} m", probably=probably)


def fitting_unit(measured: float, height_m: float | None) -> str:
    """The unit in which a body of that many units is about as tall as it should be, "" when none is."""
    expected = height_m or TYPICAL_HEIGHT_M
    ratios = {name: abs(np.log(measured * factor / expected)) for name, factor in UNITS.items()}
    best = min(ratios, key=ratios.__getitem__)
    return best if ratios[best] < np.log(1.4) else ""


def snapped(direction: Array, allowed: Array | None = None) -> tuple[Array, float]:
    """The file's axis (unit vector, either way along it) nearest to a direction, and how far off it is (rad)."""
    weight = np.abs(direction) if allowed is None else np.abs(direction) * allowed
    axis = np.zeros(3)
    index = int(np.argmax(weight))
    axis[index] = 1.0 if direction[index] >= 0 else -1.0
    return axis, float(np.arccos(np.clip(axis @ unit(direction), -1.0, 1.0)))


def find_up(markers: Markers) -> Array:
    """The file's axis nearest to feet-to-head: over the first quarter second, else over the whole file.

    Raises NotMeasured up_unclear when both are more than 15° off.
    """
    marks = np.stack([markers[f"{side}_{name}"] for side in "RL" for name in ("LM", "CA", "MT2")])
    seen = np.isfinite(marks)
    with np.errstate(invalid="ignore"):  # no foot seen: 0 / 0 is the NaN that is meant
        feet = np.where(seen, marks, 0.0).sum(axis=0) / seen.sum(axis=0)
    rise = markers.middle("IJ", "C7") - feet
    rise = rise[np.isfinite(rise).all(axis=-1)]
    off = np.pi
    for part in (rise[: max(1, round(FIRST_FRAMES_S * markers.rate_hz))], rise):
        if len(part):
            axis, off = snapped(np.median(part, axis=0))
            if off <= UP_LIMIT:
                return axis
    raise NotMeasured("up_unclear", degrees=round(np.degrees(off)))


def find_forward(travel: Array, up: Array) -> Array:
    """The horizontal axis of the file nearest to the pelvis' travel (3,). Raises NotMeasured when over 20° off."""
    level = travel - (travel @ up) * up
    axis, off = snapped(level, 1 - np.abs(up))
    if not off <= FORWARD_LIMIT:
        raise NotMeasured("forward_unclear", degrees=round(np.degrees(off)) if np.isfinite(off) else 90)
    return axis


def check_forward(travel: Array, axes: Array) -> None:
    """Raises NotMeasured thrown_other_way when the pelvis travels away from a setup's direction to home."""
    level = travel - (travel @ axes[2]) * axes[2]
    off = float(np.arccos(np.clip(unit(level) @ axes[0], -1.0, 1.0)))
    if off > OTHER_WAY:
        raise NotMeasured("thrown_other_way", degrees=round(np.degrees(off)))


@dataclass(frozen=True, slots=True, eq=False)
class Lab:
    """How file axes become working ones: ``rows`` (3, 3) are home, the right-hander's left and up in file axes.

    For a left-hander, and in a mirrored file, the rows are left-handed: the throwing side comes out on the right.
    """

    rows: Array

    def place(self, positions: Array) -> Array:
        """Positions or forces (…, 3) in working axes."""
        return positions @ self.rows.T

    def place_moment(self, moments: Array) -> Array:
        """Moments (…, 3): they change sign where positions are mirrored."""
        return positions_sign(self.rows) * (moments @ self.rows.T)

    def name(self, row: int) -> str:
        """A row as the file's axis, "+X" or "-Z"; "its own" when it lies along none."""
        index = int(np.argmax(np.abs(self.rows[row])))
        if abs(self.rows[row][index]) < 1 - 1e-9:
            return "own direction"
        return ("+" if self.rows[row][index] > 0 else "-") + AXIS_NAMES[index]


def positions_sign(rows: Array) -> float:
    """-1 where the rows mirror, else 1."""
    return float(np.sign(np.linalg.det(rows)))


def left_of(forward: Array, up: Array) -> Array:
    """The direction to the left of somebody who faces ``forward``, in right-handed axes."""
    return np.cross(up, forward)
