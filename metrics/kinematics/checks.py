"""What is odd about a throw once its events are known: refused when it is no pitch, asked about when it is unlikely."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

import numpy as np

from metrics.catalogue import Catalogue
from metrics.kinematics.events import NAMES, ORDER, Events
from metrics.kinematics.movement import Movement
from metrics.kinematics.problems import Notice, NotMeasured, question
from metrics.kinematics.reading import Found
from metrics.kinematics.sampling import frames_between, value_at
from metrics.kinematics.vectors import Array, norm

FC_BR_S = (0.09, 0.23)
FC_FP_MS = (0.0, 80.0)
MER_PERCENT = (50.0, 97.0)
RELEASE_SHARE = (0.6, 1.3)  # of body height
LEAST_LAYBACK_DEG = 120.0
RUNNING_SPEED = 1.5  # m/s of the pelvis at peak knee lift: a pitcher is nearly still on one leg (house value)
CIRCLE_S = 1.0  # s before the wrist's fastest moment
CIRCLE_ABOVE = 0.12  # of the arm's length: the wrist is that far above the shoulder on its way
HANGING_DEG = 50.0  # abduction at the fastest moment under which an arm hangs
STRAIGHT_DEG = 60.0  # a windmill arm bends less than this on its way down (all four are house values)
Z = 2


def refuse_windmill(movement: Movement, fastest_s: float) -> None:
    """Raises NotMeasured windmill. ``movement`` is of the event copy; the wrist is fastest toward home at that time."""
    if math.isfinite(fastest_s) and is_windmill(movement, fastest_s):
        raise NotMeasured("windmill")


def refuse_running_throw(movement: Movement, lift_s: float) -> None:
    """Raises NotMeasured running_throw. ``movement`` is of the event copy; the lead knee is highest at that time."""
    speed = value_at(movement.curve("pelvis_speed"), lift_s, movement.rate_hz)
    if speed > RUNNING_SPEED:
        raise NotMeasured("running_throw", speed=f"{speed:.1f}")


def is_windmill(movement: Movement, fastest_s: float) -> bool:
    """A nearly straight arm that comes down from above the shoulder within a second and hangs when it is fastest."""
    joints, rate = movement.joints, movement.rate_hz
    way = frames_between(fastest_s - CIRCLE_S, fastest_s, rate, len(movement.markers))
    reach = joints["R_wrist"] - joints["R_shoulder"]
    above = way[(reach[way, Z] > CIRCLE_ABOVE * norm(reach[way]))]
    if len(above) == 0 or not value_at(movement.curve("shoulder_abduction"), fastest_s, rate) < HANGING_DEG:
        return False
    bend = movement.curve("elbow_flexion")[above[-1] : way[-1] + 1]
    return bool(np.nanmedian(bend) < STRAIGHT_DEG) if np.isfinite(bend).any() else False


def wrong_order(events: Events, start_s: float = 0.0, *, strictly: bool = True) -> str:
    """Which events come before those that they follow, with their times (s after ``start_s``); "" when none does.

    ``strictly``: two at the same time are wrong too, but for foot plant at foot contact.
    """
    known = [(name, getattr(events, name)) for name in ORDER if math.isfinite(getattr(events, name))]
    return ", ".join(
        f"{NAMES[later].lower()} ({start_s + second:.3f} s) before {NAMES[early].lower()} ({start_s + first:.3f} s)"
        for (early, first), (later, second) in pairwise(known)
        if second < first or (strictly and second == first and later != "fp")
    )


def questions(
    events: Events, found: Mapping[str, Found], release_height_m: float, height_m: float, catalogue: Catalogue
) -> list[Notice]:
    """What a person confirms before the throw is scored: order, durations, places, implausible values.

    ``found``: reading key → value in storage units. ``release_height_m``: wrist at release above the floor, m.
    """
    order = wrong_order(events)
    asked = [question("order", order=order)] if order else []
    asked += _span("fc_br_span", events.br - events.fc, FC_BR_S, "{:.3f}")
    asked += _span("fc_fp_span", 1000 * (events.fp - events.fc), FC_FP_MS, "{:.0f}")
    asked += _span("mer_place", 100 * (events.mer - events.fc) / (events.br - events.fc), MER_PERCENT, "{:.0f}")
    asked += _span("release_height", release_height_m / height_m, RELEASE_SHARE, "{:.2f}")
    layback = next((one for key, one in found.items() if key.startswith("shoulder_external_rotation_max@")), None)
    if layback and layback.measured and layback.value <= LEAST_LAYBACK_DEG:
        asked.append(question("mer_small", value=round(layback.value), low=round(LEAST_LAYBACK_DEG)))
    return asked + _implausible(found, catalogue)


def _span(code: str, value: float, span: tuple[float, float], form: str) -> list[Notice]:
    low, high = span
    if not math.isfinite(value) or low <= value <= high:
        return []
    return [question(code, value=form.format(value), low=f"{low:g}", high=f"{high:g}")]


def _implausible(found: Mapping[str, Found], catalogue: Catalogue) -> list[Notice]:
    asked = []
    for key, one in found.items():
        metric, _ = catalogue.parse_reading_key(key)
        if one.measured:
            sentence = catalogue.check_value(metric.key, one.value, metric.storage_unit)
            asked += [question("implausible", sentence=sentence)] if sentence else []
    return list(dict.fromkeys(asked))


def forearm_ratio(filtered: Movement, raw: Movement, events: Events) -> float:
    """Least ratio of the filtered to the unfiltered forearm's length from foot contact to internal rotation.

    A filter acts on positions, so a fast-turning forearm also looks shorter. NaN when it cannot be seen.
    """
    end = events.mir if math.isfinite(events.mir) else events.br
    frames = frames_between(events.fc, end, raw.rate_hz, len(raw.markers))
    ratio = (_forearm(filtered) / _forearm(raw))[frames]
    return float(np.nanmin(ratio)) if np.isfinite(ratio).any() else math.nan


def _forearm(movement: Movement) -> Array:
    return norm(movement.joints["R_wrist"] - movement.joints["R_elbow"])
