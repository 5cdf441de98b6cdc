"""The pitcher at the events of a usual throw of the session, from its own markers."""

from __future__ import annotations

import base64
import math
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from metrics.drawing.delivery_line import Stroke
from metrics.selectors.session_rows import SessionRows
from metrics.services.motion.drawn import drawn_throws
from sessions.models import Throw
from sessions.models.recordings import EVENTS

NOT_SEEN = -32768
MILLIMETRES = 1000.0
CLASSES = {
    "head": "head",
    "trunk": "trunk",
    "pelvis": "trunk",
    "throwing_arm": "throwing",
    "glove_arm": "far",
    "lead_leg": "leg",
    "rear_leg": "leg",
}
"""Parts of the moving figure → classes of the strokes."""


def figures_of(rows: SessionRows) -> Mapping[str, tuple[Stroke, ...]]:
    """Event → strokes (class, places in metres: x to home plate, y up), of the throw of middle length.

    Empty without a recording, or when its positions are lost. The picture is kept once it was made; the first look
    makes it.
    """
    throw = usual_throw(rows)
    if throw is None:
        return {}
    drawn = drawn_throws([throw], at_most=1)[0].get(throw.pk)
    if drawn is None:
        return {}
    events, contact = throw.motion.events, throw.motion.events["fc"]
    return {key: tuple(_strokes(drawn.picture, events[key] - contact)) for key, _ in EVENTS if key in events}


def usual_throw(rows: SessionRows) -> Throw | None:
    """The throw of middle length from contact to release among those that are not left out and were measured."""
    kept = [throw.pk for throw in rows.throws if not throw.is_excluded]
    found = (
        rows.capture.throws.filter(pk__in=kept, recording__isnull=False, motion__isnull=False)
        .select_related("recording__original", "motion", "session__athlete")
        .prefetch_related("event_times", "session__athlete__body_sizes")
    )
    measured = [throw for throw in found if {"fc", "br"} <= throw.motion.events.keys()]
    measured.sort(key=lambda throw: (throw.motion.events["br"] - throw.motion.events["fc"], throw.number))
    return measured[(len(measured) - 1) // 2] if measured else None


def _strokes(picture: Mapping[str, Any], time_s: float) -> Iterable[Stroke]:
    """The links of the moving figure at a time from contact; what is not seen then is left out."""
    raw = np.frombuffer(base64.b64decode(picture["positions"]), "<i2").reshape(picture["frames"], -1, 3)
    frame = (time_s - picture["start_s"]) * picture["rate_hz"]
    earlier = min(max(math.floor(frame), 0), picture["frames"] - 1)
    later, share = min(earlier + 1, picture["frames"] - 1), min(max(frame - earlier, 0.0), 1.0)
    seen = (raw[earlier] != NOT_SEEN).all(axis=1) & (raw[later] != NOT_SEEN).all(axis=1)
    places = ((1 - share) * raw[earlier] + share * raw[later]) / MILLIMETRES
    for first, second, part in picture["links"]:
        if seen[first] and seen[second]:
            ends = tuple((float(places[one][0]), float(places[one][2])) for one in (first, second))
            yield CLASSES.get(part, "leg"), ends
