"""How pelvis, trunk and head turn and tilt through a delivery."""

from __future__ import annotations

from .curves import Curve, Knot, rest
from .moments import Moments
from .spinning import Turn
from .style import Style

SET_ROTATION = 88.0  # deg closed, chest to third base
LIFT_ROTATION = 101.0  # pelvis at peak knee lift
OPENING_PELVIS = 97.0  # pelvis when it begins to open toward home
LEFT_AT_RELEASE = {"pelvis": 0.45, "trunk": 0.66}  # of the greatest speed
FOLLOWING = 0.20  # s from release to the end of turning
OPENING_SPAN = (0.05, 0.40)  # s before touch: latest and earliest begin of opening


def turning_curves(style: Style, moments: Moments) -> dict[str, Curve]:
    """Channels `pelvis_*`, `trunk_*` and `head_rotation` but the pelvis' position, degrees over seconds from touch."""
    pelvis, trunk = _pelvis_tilts(style, moments), _trunk_tilts(style, moments)
    head = [rest(moments.start, 10.0), Knot(moments.pkh, 18.0), Knot(moments.fc, 4.0), rest(moments.end, -10.0)]
    return (
        pelvis | trunk
        | {"pelvis_rotation": _pelvis_rotation(style, moments, *pelvis.values())}
        | {"trunk_rotation": _trunk_rotation(style, moments, *trunk.values())}
        | {"head_rotation": Curve(head)}
    )  # fmt: skip


def _opening_begins(opened: float, rate_at_touch: float | None) -> float:
    """When opening begins (s from touch, negative) so that speed grows evenly from nothing to that at touch."""
    latest, earliest = OPENING_SPAN
    return -min(max(2.2 * opened / max(-(rate_at_touch or 0.0), 1.0), latest), earliest)


def _pelvis_rotation(style: Style, at: Moments, anterior: Curve, lateral: Curve) -> Curve:
    turn = Turn(style.pelvis_rotation_fc, style.pelvis_rotation_br, style.pelvis_velocity_max,
                at.percent(style.pelvis_velocity_max_time), LEFT_AT_RELEASE["pelvis"], at.br, True)  # fmt: skip
    knots = turn.knots(anterior, lateral)
    begin = _opening_begins(OPENING_PELVIS - turn.start, knots[0].rate)
    return Curve([
        rest(at.start, SET_ROTATION), Knot(at.pkh, LIFT_ROTATION, 0.0), Knot(begin, OPENING_PELVIS, -30.0), *knots,
        Knot(at.br + FOLLOWING, turn.end - 24.0), rest(at.end, turn.end - 26.0),
    ])  # fmt: skip


def _trunk_rotation(style: Style, at: Moments, forward: Curve, lateral: Curve) -> Curve:
    turn = Turn(style.trunk_rotation_fc, style.trunk_rotation_br, style.trunk_velocity_max,
                at.percent(style.trunk_velocity_max_time), LEFT_AT_RELEASE["trunk"], at.br, False)  # fmt: skip
    knots = turn.knots(forward, lateral)
    begin = _opening_begins(style.trunk_rotation_closed - turn.start, knots[0].rate)
    return Curve([
        rest(at.start, SET_ROTATION), Knot(at.pkh, LIFT_ROTATION + 4.0),
        Knot(begin, style.trunk_rotation_closed, 0.0), *knots,
        Knot(at.br + FOLLOWING, turn.end - 52.0), rest(at.end, turn.end - 54.0),
    ])  # fmt: skip


def _pelvis_tilts(style: Style, at: Moments) -> dict[str, Curve]:
    return {
        "pelvis_anterior_tilt": Curve([
            rest(at.start, 8.0), Knot(at.pkh, -6.0, 0.0), Knot(at.fc, style.pelvis_anterior_tilt_fc),
            Knot(at.br, style.pelvis_anterior_tilt_br), rest(at.end, 38.0),
        ]),
        "pelvis_lateral_tilt": Curve([
            rest(at.start, 0.0), Knot(at.pkh, -4.0, 0.0), Knot(at.fc, style.pelvis_lateral_tilt_fc),
            Knot(at.br, style.pelvis_lateral_tilt_br), rest(at.end, 4.0),
        ]),
    }  # fmt: skip


def _trunk_tilts(style: Style, at: Moments) -> dict[str, Curve]:
    return {
        "trunk_forward_tilt": Curve([
            rest(at.start, 2.0), Knot(at.pkh, -3.0), Knot(-0.25, -6.0), Knot(at.fc, style.trunk_forward_tilt_fc),
            Knot(at.mer, style.trunk_forward_tilt_mer), Knot(at.br, style.trunk_forward_tilt_br),
            Knot(at.br + 0.22, 58.0), rest(at.end, 45.0),
        ]),
        "trunk_lateral_tilt": Curve([
            rest(at.start, 0.0), Knot(at.pkh, 2.0), Knot(-0.25, 0.0), Knot(at.fc, style.trunk_lateral_tilt_fc),
            Knot(at.mer, style.trunk_lateral_tilt_mer), Knot(at.br, style.trunk_lateral_tilt_br),
            rest(at.end, 12.0),
        ]),
    }  # fmt: skip
