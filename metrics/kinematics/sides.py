"""Left and right: which arm throws, whether the labels agree with the body, and where they change hands for moments."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from metrics.kinematics.landmarks import Markers, other_side
from metrics.kinematics.problems import NotMeasured
from metrics.kinematics.vectors import Array, central_difference, dot, norm

# Proximal and distal marker of each link, and everything that hangs on it: a link that breaks takes them along.
LINKS: Final = (
    ("AC", "EL", ("EL", "EM", "RS", "US", "MC3")),
    ("EL", "EM", ("EM",)),
    ("EL", "RS", ("RS", "US", "MC3")),
    ("RS", "US", ("US",)),
    ("RS", "MC3", ("MC3",)),
    ("ASIS", "FLE", ("FLE", "FME", "LM", "MM", "CA", "MT2")),
    ("FLE", "FME", ("FME",)),
    ("FLE", "LM", ("LM", "MM", "CA", "MT2")),
    ("LM", "MM", ("MM",)),
    ("LM", "CA", ("CA",)),
    ("LM", "MT2", ("MT2",)),
)  # fmt: skip
BROKEN_SHARE, BROKEN_M = 0.35, 0.06  # a link this much longer or shorter than usual, by both, is another side's
STEADIER = 0.6  # the crossed link varies by less than this share of the own one: the labels are crossed
LEAST_SPREAD_M = 0.03  # a link that varies less is a link
WHOLE_SHARE = 0.5  # of the frames: more often confused than not is a swap, less is flicker


def wrist_speeds(markers: Markers) -> dict[str, Array]:
    """Speed (frames,) of each wrist's outer marker by side, m/s; central differences."""
    return {side: norm(central_difference(markers[f"{side}_RS"], markers.rate_hz)) for side in ("R", "L")}


def handedness(markers: Markers) -> tuple[float, float]:
    """How the labels of shoulders and pelvis lie against the body's own left and right: 1 (agree) to -1 (opposite).

    Right is forward × up of the trunk (IJ, PX before C7, T8), as in right-handed axes. Median over the frames.
    """
    forward = markers.middle("IJ", "PX") - markers.middle("C7", "T8")
    up = markers.middle("IJ", "C7") - markers.middle("T8", "PX")
    right = np.cross(forward, up)
    hips = markers.middle("R_ASIS", "L_ASIS") - markers.middle("R_PSIS", "L_PSIS")
    right_hip = np.cross(hips, markers.middle("IJ", "C7") - markers.middle("R_PSIS", "L_PSIS"))
    shoulders = _median(_cosine(markers["R_AC"] - markers["L_AC"], right))
    return shoulders, _median(_cosine(markers["R_ASIS"] - markers["L_ASIS"], right_hip))


def _cosine(first: Array, second: Array) -> Array:
    length = norm(first) * norm(second)
    return np.divide(dot(first, second), length, out=np.full(length.shape, np.nan), where=length > 0)


def _median(values: Array) -> float:
    seen = values[np.isfinite(values)]
    return float(np.median(seen)) if len(seen) else 0.0


def swapped_labels(markers: Markers) -> list[str]:
    """Labels (without side) whose left and right are crossed for most of the file, against what they hang on."""
    crossed: list[str] = []
    shoulders, hips = handedness(markers)
    if shoulders * hips < 0:
        crossed.append("AC, or ASIS and PSIS")
    for first, second, _ in LINKS:
        own = _variation(markers, first, second, crossing=False)
        if own > LEAST_SPREAD_M and _variation(markers, first, second, crossing=True) < STEADIER * own:
            crossed.append(second)
    return crossed


def _variation(markers: Markers, first: str, second: str, *, crossing: bool) -> float:
    """Spread of a link's length over the frames (m), the greater of both sides: own side, or across to the other."""
    spreads = []
    for side in ("R", "L"):
        end = f"{side}_{second}"
        length = norm(markers[f"{side}_{first}"] - markers[other_side(end) if crossing else end])
        seen = length[np.isfinite(length)]
        if len(seen):
            low, high = np.percentile(seen, [5, 95])
            spreads.append(high - low)
    return max(spreads, default=0.0)


def check_swaps(markers: Markers) -> None:
    """Raises NotMeasured labels_swapped when some labels, but not all, have left and right crossed."""
    crossed = swapped_labels(markers)
    if crossed:
        raise NotMeasured("labels_swapped", labels=", ".join(dict.fromkeys(crossed)))


def flickers(markers: Markers) -> dict[str, NDArray[np.bool_]]:
    """Label → frames (frames,) in which it does not hang on its own side: a link is too long or too short there."""
    found: dict[str, NDArray[np.bool_]] = {}
    for side in ("R", "L"):
        for first, second, hanging in LINKS:
            if first == "ASIS":  # hip to knee marker changes with the bend of the hip
                continue
            length = norm(markers[f"{side}_{first}"] - markers[f"{side}_{second}"])
            if not np.isfinite(length).any():
                continue
            usual = float(np.nanmedian(length))
            off = np.abs(length - usual)
            broken = np.nan_to_num(off) > max(BROKEN_SHARE * usual, BROKEN_M)
            if broken.any():
                for name in hanging:
                    label = f"{side}_{name}"
                    found[label] = found.get(label, np.zeros(len(markers), dtype=bool)) | broken
    return {label: frames for label, frames in found.items() if label in markers}


def without_flickers(markers: Markers, confused: dict[str, NDArray[np.bool_]]) -> Markers:
    """The same markers, unseen where left and right are confused."""
    if not confused:
        return markers
    positions = markers.positions.copy()
    for label, broken in confused.items():
        positions[broken, markers.labels.index(label)] = np.nan
    return markers.moved(positions)
