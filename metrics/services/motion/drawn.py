"""What pictures of a throw are made of, computed when it is first looked at and kept until something changes."""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.core.cache import cache
from redis.exceptions import RedisError

from metrics.catalogue import load_catalogue
from metrics.kinematics import ALGORITHM, NotMeasured, ThrowMeasurement
from metrics.measuring.arcs import arc_at
from metrics.measuring.curves import ThrowCurves, curves_of
from metrics.measuring.figure import figure_of, placing_of
from metrics.services.motion.arrays import ArraysLost
from metrics.services.motion.measuring import measured_throw
from sessions.models import Throw
from sessions.quick_json import sorted_text

log = logging.getLogger(__name__)

VERSION: Final = 1
"""Rises when what is kept has another shape."""

KEEP_S: Final = 14 * 24 * 3600
EVENTS: Final = ("fc", "fp", "mer", "br")


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """One throw's picture (JSON), its arcs by (metric, event), and its curves."""

    picture: dict[str, Any]
    arcs: dict[tuple[str, str], dict[str, Any]]
    curves: ThrowCurves


def drawn_throw(throw: Throw) -> Drawn:
    """The throw's pictures, kept or made now; loaded with `motion` and `recording__original`.

    Raises NotMeasured, ArraysLost.
    """
    kept = _kept([throw]).get(throw.pk)
    return kept or _draw(throw)


def drawn_throws(throws: Sequence[Throw], *, at_most: int) -> tuple[dict[int, Drawn], int]:
    """Pictures by throw, of which at most so many are made now, and how many are still to be made.

    A throw whose positions are lost is left out.
    """
    found = _kept(throws)
    missing = [throw for throw in throws if throw.pk not in found]
    for throw in missing[:at_most]:
        try:
            found[throw.pk] = _draw(throw)
        except (NotMeasured, ArraysLost) as refused:
            log.warning("Throw %s cannot be drawn: %s", throw.uuid, refused)
    return found, max(0, len(missing) - at_most)


def _draw(throw: Throw) -> Drawn:
    measured = measured_throw(throw)
    made = Drawn(figure_of(measured), dict(_arcs(measured)), curves_of(measured))
    try:
        cache.set(_key(throw), made, KEEP_S)
    except RedisError as error:
        log.warning("The pictures of throw %s could not be kept: %s", throw.uuid, error)
    return made


def _arcs(measured: ThrowMeasurement) -> Any:
    placing = placing_of(measured)
    for metric in load_catalogue().metrics:
        for event in EVENTS:
            arc = arc_at(measured, metric, event)
            if arc:
                yield (
                    (metric, event),
                    {
                        "vertex": arc.vertex,
                        "base": [round(float(part), 5) for part in placing.direction(arc.base)],
                        "normal": [round(float(part), 5) for part in placing.turn(arc.normal)],
                    },
                )


def _kept(throws: Sequence[Throw]) -> dict[int, Drawn]:
    keys = {_key(throw): throw.pk for throw in throws}
    try:
        found = cache.get_many(keys)
    except RedisError as error:
        log.warning("Kept pictures could not be asked for: %s", error)
        return {}
    return {keys[key]: made for key, made in found.items()}


def _key(throw: Throw) -> str:
    """Changes with the throw's events, with whom it was measured for, and with the computation."""
    report = throw.motion
    state = sorted_text({"events": report.events, "for": report.measured_for, "room": throw.recording.room})
    return f"motion:{VERSION}:{ALGORITHM}:{throw.uuid}:{hashlib.sha256(state.encode()).hexdigest()[:20]}".replace(
        " ", "-"
    )
