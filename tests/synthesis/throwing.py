"""How both arms move through a delivery."""

from __future__ import annotations

import numpy as np

from .curves import Curve, Knot, rest
from .moments import Moments
from .pose import ARM, CHANNELS, Pose
from .skeleton import thorax_rotation
from .style import Style

MIR_ROTATION = 2.0  # deg of external rotation left at the end of inward rotation
LEAST_WHEN_PASSING = 115.0  # deg of external rotation when the wrist passes the elbow; below, it is not fitted
UNWOUND_WHEN_PASSING = 4.5  # deg at least that the arm has come back from its furthest by then


def arm_curves(style: Style, at: Moments, turning: dict[str, Curve]) -> dict[str, Curve]:
    """Channels `throwing_*` and `glove_*`, degrees over seconds from touch.

    The throwing arm's rotation is fitted last: the wrist passes the elbow toward home 10 ms before the planned release,
    as nearly as an arm that has its furthest rotation behind it can.
    """
    arm = _throwing(style, at)
    arm["throwing_external_rotation"] = _layback(style, at, rotation_when_passing(at, turning, arm))
    return arm | _glove(style, at)


def _throwing(style: Style, at: Moments) -> dict[str, Curve]:
    straightest = at.br + 0.020
    fastest = at.percent(style.elbow_extension_velocity_max_time)
    return {
        "throwing_abduction": Curve([
            rest(at.start, 34.0), Knot(at.pkh, 36.0), Knot(-0.42, 42.0), Knot(-0.22, 70.0),
            Knot(at.fc, style.shoulder_abduction_fc), Knot(at.mer, style.shoulder_abduction_mer),
            Knot(at.br, style.shoulder_abduction_br), Knot(at.br + 0.15, 88.0), rest(at.end, 55.0),
        ]),
        "throwing_horizontal_abduction": Curve([
            rest(at.start, -25.0), Knot(at.pkh, -25.0), Knot(-0.42, 0.0), Knot(-0.15, 27.0),
            Knot(at.fc, style.shoulder_horizontal_abduction_fc), Knot(at.mer, style.shoulder_horizontal_abduction_mer),
            Knot(at.br, style.shoulder_horizontal_abduction_br), Knot(at.br + 0.15, -55.0), rest(at.end, -75.0),
        ]),
        "throwing_elbow_flexion": Curve([
            rest(at.start, 102.0), Knot(at.pkh, 100.0), Knot(-0.42, 72.0), Knot(-0.22, 62.0),
            Knot(at.fc, style.elbow_flexion_fc), Knot(at.percent(50.0), style.elbow_flexion_max, 0.0),
            Knot(fastest, None, -style.elbow_extension_velocity_max, 0.0), Knot(at.br, style.elbow_flexion_br),
            Knot(straightest, None, 0.0), Knot(at.br + 0.2, 45.0), rest(at.end, 55.0),
        ]),
        "throwing_pronation": Curve([
            rest(at.start, 85.0), Knot(at.pkh, 85.0), Knot(at.fc, 95.0), Knot(at.mer, 55.0), Knot(at.br, 75.0),
            Knot(at.mir, 130.0), rest(at.end, 105.0),
        ]),
        "throwing_wrist_extension": Curve([
            rest(at.start, 5.0), Knot(at.pkh, 5.0), Knot(at.fc, 12.0), Knot(at.mer, 38.0), Knot(at.br, 2.0),
            Knot(at.mir, -30.0), rest(at.end, 0.0),
        ]),
    }  # fmt: skip


def _layback(style: Style, at: Moments, passing: float | None) -> Curve:
    inward = at.percent(style.shoulder_internal_rotation_velocity_max_time)
    fitted = []
    if passing is not None and passing > LEAST_WHEN_PASSING:
        fitted = [Knot(at.passing, min(passing, style.shoulder_external_rotation_max - UNWOUND_WHEN_PASSING))]
    return Curve([
        rest(at.start, -40.0), Knot(at.pkh, -40.0), Knot(-0.42, -25.0), Knot(-0.22, -12.0),
        Knot(at.fc, style.shoulder_external_rotation_fc),
        Knot(at.mer, style.shoulder_external_rotation_max, 0.0), *fitted,
        Knot(inward, None, -style.shoulder_internal_rotation_velocity_max, 0.0), Knot(at.mir, MIR_ROTATION, 0.0),
        Knot(at.br + 0.25, 18.0), rest(at.end, 5.0),
    ])  # fmt: skip


def rotation_when_passing(at: Moments, turning: dict[str, Curve], arm: dict[str, Curve]) -> float | None:
    """External rotation (deg) at which the forearm has no component toward home, wrist above elbow.

    The forearm is cos e · upper + sin e · (cos r · ahead + sin r · laid_up), so its X component is a cosine of r.
    None when no r makes it nothing.
    """
    now = np.array([at.passing])
    known = turning | arm
    pose = Pose.of({name: known[name](now) if name in known else np.zeros(1) for name in CHANNELS})
    lift, behind, _, bend, _, _ = (np.radians(pose[f"throwing_{name}"][0]) for name in ARM)
    forward, up, right = thorax_rotation(pose).as_matrix()[0].T
    sideward = np.cos(behind) * right - np.sin(behind) * forward
    upper, laid_up = np.sin(lift) * sideward - np.cos(lift) * up, np.sin(lift) * up + np.cos(lift) * sideward
    ahead = np.cross(laid_up, upper)
    size = np.hypot(ahead[0], laid_up[0])
    ratio = -np.cos(bend) * upper[0] / (np.sin(bend) * size)
    if abs(ratio) >= 1:
        return None
    return float(np.degrees(np.arctan2(laid_up[0], ahead[0]) + np.arccos(ratio)))


def _glove(style: Style, at: Moments) -> dict[str, Curve]:
    """Hands together, out toward home, then tucked to the side."""
    drift = style.glove_horizontal_abduction_br
    return {
        "glove_abduction": Curve([
            rest(at.start, 34.0), Knot(at.pkh, 36.0), Knot(-0.42, 48.0), Knot(-0.2, 78.0),
            Knot(at.fc, style.glove_shoulder_abduction_fc), Knot(at.br, 42.0), rest(at.end, 38.0),
        ]),
        "glove_horizontal_abduction": Curve([
            rest(at.start, -25.0), Knot(at.pkh, -25.0), Knot(-0.42, -12.0), Knot(-0.2, -8.0), Knot(at.fc, -12.0),
            Knot(at.br, drift), rest(at.end, drift + 12.0),
        ]),
        "glove_external_rotation": Curve([
            rest(at.start, -35.0), Knot(at.pkh, -35.0), Knot(at.fc, 10.0), Knot(at.br, 25.0), rest(at.end, 5.0),
        ]),
        "glove_elbow_flexion": Curve([
            rest(at.start, 100.0), Knot(at.pkh, 98.0), Knot(-0.2, 45.0), Knot(at.fc, 60.0), Knot(at.br, 112.0),
            rest(at.end, 85.0),
        ]),
        "glove_pronation": Curve([rest(at.start, 85.0), Knot(at.fc, 110.0), rest(at.end, 80.0)]),
        "glove_wrist_extension": Curve([rest(at.start, 5.0), rest(at.end, 5.0)]),
    }  # fmt: skip
