"""When the events are, and where a time stands: two scales, one before foot contact and a wider one after it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from metrics.drawing.delivery_line.parts import Event, number_or_none

CONTACT, RELEASE, KNEE_LIFT = "fc", "br", "pkh"

TYPICAL_STRIDE_MS = 900.0
"""Peak knee lift to contact: Kageyama et al. 2015, J Sports Sci Med 14:246-255, Table 2, college (0.9 s)."""
TYPICAL_CONTACT_TO_RELEASE_MS = 150.0
"""Fleisig et al. 1999, J Biomech 32:1371-1375: about 145 to 150 ms at every level; from memory."""
TYPICAL_SHARES = {"fp": 0.17, "mer": 0.80, "mir": 1.20}
"""Of contact to release: common practice, no published source. Where an event stands that the session does not tell."""

LONGEST_STRIDE_MS = 3000.0
LONGEST_TAIL = 2.0  # of contact to release, from contact on: what lies later stands at the end of the line


@dataclass(frozen=True, slots=True)
class Times:
    """Event → ms from foot contact, in order; `typical`: those that the session did not tell."""

    at_ms: dict[str, float]
    typical: frozenset[str]

    @property
    def contact_to_release_ms(self) -> float:
        return self.at_ms[RELEASE] - self.at_ms[CONTACT]

    @property
    def are_typical(self) -> bool:
        """Whether the times of contact to release are no times of this session."""
        return RELEASE in self.typical


def times_of(events: Iterable[Event]) -> Times:
    """Times of all events, those that are missing or impossible (release before contact) by typical spacing."""
    told = {event.key: time for event in events if (time := number_or_none(event.time_ms)) is not None}
    contact = told.get(CONTACT, 0.0)
    release = told.get(RELEASE, -math.inf)
    if release - contact < 1.0:
        release = contact + TYPICAL_CONTACT_TO_RELEASE_MS
    lift = told.get(KNEE_LIFT, math.inf)
    if contact - lift < 1.0:
        lift = contact - TYPICAL_STRIDE_MS
    found = {KNEE_LIFT: lift, CONTACT: contact, RELEASE: release}
    for key, share in TYPICAL_SHARES.items():
        found[key] = told.get(key, contact + share * (release - contact))
    ordered = dict(sorted(found.items(), key=lambda item: (item[1], item[0])))
    return Times(ordered, frozenset(key for key, time in found.items() if told.get(key) != time))


@dataclass(frozen=True, slots=True)
class Scale:
    """Times (ms from contact) on a course from `first` over `contact` to `last` (px); beyond an end stands the end."""

    start_ms: float
    contact_ms: float
    end_ms: float
    first: float
    contact: float
    last: float

    def at(self, time_ms: float) -> float:
        time = min(max(time_ms, self.start_ms), self.end_ms)
        if time <= self.contact_ms:
            return self.first + (time - self.start_ms) * self.before
        return self.contact + (time - self.contact_ms) * self.after

    @property
    def before(self) -> float:
        """px a ms before contact."""
        return (self.contact - self.first) / (self.contact_ms - self.start_ms)

    @property
    def after(self) -> float:
        """px a ms from contact on."""
        return (self.last - self.contact) / (self.end_ms - self.contact_ms)


def scale_of(times: Times, first: float, contact: float, last: float) -> Scale:
    """The scale of these events over these three places, px."""
    zero, length = times.at_ms[CONTACT], times.contact_to_release_ms
    start = max(times.at_ms[KNEE_LIFT], zero - LONGEST_STRIDE_MS)
    end = min(max(times.at_ms["mir"], times.at_ms[RELEASE] + 0.1 * length), zero + LONGEST_TAIL * length)
    return Scale(start, zero, end, first, contact, last)


def ticks(scale: Scale) -> list[tuple[float, float, str]]:
    """Small strokes of the axis: place px, length px, text or "". 100 ms before contact, 10 ms after it, or coarser."""
    found = []
    for per_ms, low, high, steps in (
        (scale.before, scale.start_ms, scale.contact_ms - 1e-9, (100, 400)),
        (scale.after, scale.contact_ms, scale.end_ms, (10, 50)),
    ):
        small, large = (_coarser(step, per_ms, least) for step, least in zip(steps, (6.0, 48.0), strict=True))
        for count in range(
            math.ceil((low - scale.contact_ms) / small), math.floor((high - scale.contact_ms) / small) + 1
        ):
            since = count * small
            is_large = since % large == 0
            text = ("0 ms" if since == 0 else f"{abs(since)}") if is_large else ""
            text = f"−{text}" if since < 0 and text else text
            found.append((scale.at(scale.contact_ms + since), 7.0 if is_large else 4.0, text))
    return found


def _coarser(step: int, per_ms: float, least_px: float) -> int:
    """The step, doubled and turned to tens until its strokes stand so far apart."""
    factors = (1, 2, 5)
    power = 0
    while True:
        for factor in factors:
            if step * factor * 10**power * per_ms >= least_px:
                return step * factor * 10**power
        power += 1
