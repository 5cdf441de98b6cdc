"""The file's axes and unit, found from the body that moves in it and snapped to the file's axes.

Positions here are in the file's own axes, shape (frames, labels, 3).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from metrics.kinematics.landmarks import Markers
from metrics.kinematics.problems import NotMeasured
from metrics.kinematics.vectors import Array, across, angle_between, norm, unit

FIRST_FRAMES_S = 0.25  # s in which the pitcher is taken to stand
UP_LIMIT, FORWARD_LIMIT = np.radians(15.0), np.radians(20.0)
OTHER_WAY = np.radians(60.0)  # from a setup's direction: then it is not this room, or not this way
LEAST_TRAVEL_M = 0.25  # of the pelvis: less says nothing of where home plate is (house value)
TYPICAL_HEIGHT_M = 1.75
# Elbow to wrist, knee to ankle, as fractions of height: Drillis & Contini 1966 (from memory).
LENGTHS: Final = (("EL", "RS", 0.146), ("FLE", "LM", 0.246))
SIZE_OFF, HEIGHT_OFF = 2.2, 1.25  # ratios beyond which the unit, and the typed height, are doubted
UNIT_OFF = 1.4  # a unit fits when it makes a body of at most this ratio to what is expected
UNITS: Final = {"metres": 1.0, "millimetres": 1e-3, "centimetres": 1e-2, "inches": 0.0254, "feet": 0.3048}
SHORT_UNITS: Final = {"m": "metres", "mm": "millimetres", "cm": "centimetres", "in": "inches", "ft": "feet"}
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


def check_unit(measured_m: float, height_m: float | None, units: str | None) -> None:
    """Raises NotMeasured wrong_unit when a body of that size cannot be, with the unit that would fit.

    ``units``: the unit by which the numbers became metres, as the file names it; None when a setup did.
    """
    expected = height_m or TYPICAL_HEIGHT_M
    if not np.isfinite(measured_m) or 1 / SIZE_OFF < measured_m / expected < SIZE_OFF:
        return
    said = SHORT_UNITS.get((units or "").strip().lower(), "metres")
    fitting = "" if units is None else fitting_unit(measured_m / UNITS[said], expected)
    probably = f": {fitting} would fit, and the file says {said}" if fitting else ""
    raise NotMeasured("wrong_unit", size=f"{measured_m:.3g} m", probably=probably)


def fitting_unit(measured: float, height_m: float | None) -> str:
    """The unit in which a body of that many units is about as tall as it should be, "" when none is."""
    if not measured > 0:
        return ""
    expected = height_m or TYPICAL_HEIGHT_M
    ratios = {name: abs(np.log(measured * factor / expected)) for name, factor in UNITS.items()}
    best = min(ratios, key=ratios.__getitem__)
    return best if ratios[best] < np.log(UNIT_OFF) else ""


def snapped(direction: Array, allowed: Array | None = None) -> tuple[Array, float]:
    """The file's axis (unit vector, either way along it) nearest to a direction, and how far off it is (rad)."""
    weight = np.abs(direction) if allowed is None else np.abs(direction) * allowed
    axis = np.zeros(3)
    index = int(np.argmax(weight))
    axis[index] = 1.0 if direction[index] >= 0 else -1.0
    return axis, float(np.arccos(np.clip(axis @ unit(direction), -1.0, 1.0)))


def find_up(markers: Markers) -> Array:
    """The file's axis nearest to feet-to-head at the first frames. Raises NotMeasured up_unclear over 15° off."""
    first = feet_to_head(markers)[: max(1, round(FIRST_FRAMES_S * markers.rate_hz))]
    axis, off = snapped(np.median(first, axis=0))
    if off > UP_LIMIT:
        raise NotMeasured("up_unclear", degrees=round(np.degrees(off)))
    return axis


def feet_to_head(markers: Markers) -> Array:
    """From the middle of the ankles to the neck, (frames, 3), m, in the frames where both are seen.

    Raises NotMeasured markers_not_seen when there is none.
    """
    rise = markers.middle("IJ", "C7") - markers.middle("R_LM", "L_LM")
    rise = rise[np.isfinite(rise).all(axis=-1)]
    if not len(rise):
        raise NotMeasured("markers_not_seen", labels="IJ, C7, R_LM, L_LM")
    return rise


def find_forward(travel: Array, up: Array) -> Array:
    """The horizontal axis of the file nearest to the pelvis' travel (3,), m.

    Raises NotMeasured forward_unclear when it is over 20° off, no_travel under 25 cm.
    """
    level = across(travel, up)
    if norm(level) < LEAST_TRAVEL_M:
        raise NotMeasured("no_travel", travel=f"{100 * norm(level):.0f}")
    axis, off = snapped(level, 1 - np.abs(up))
    if off > FORWARD_LIMIT:
        raise NotMeasured("forward_unclear", degrees=round(np.degrees(off)))
    return axis


def check_up(markers: Markers, up: Array) -> None:
    """Raises NotMeasured setup_up when feet to head point away from a setup's up (3,)."""
    off = float(angle_between(np.nanmedian(feet_to_head(markers), axis=0), up))
    if off > OTHER_WAY:
        raise NotMeasured("setup_up", degrees=round(np.degrees(off)))


def check_forward(travel: Array, axes: Array) -> None:
    """Raises NotMeasured thrown_other_way when the pelvis travels away from a setup's direction to home."""
    level = across(travel, axes[2])
    off = float(angle_between(level, axes[0]))
    if norm(level) > LEAST_TRAVEL_M and off > OTHER_WAY:
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

    def name(self, row: int) -> str:
        """A row as the file's axis, "+X" or "-Z"; "its own" when it lies along none."""
        index = int(np.argmax(np.abs(self.rows[row])))
        if abs(self.rows[row][index]) < 1 - 1e-9:
            return "own direction"
        return ("+" if self.rows[row][index] > 0 else "-") + AXIS_NAMES[index]
