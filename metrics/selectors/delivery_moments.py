"""Where a metric stands on the delivery line: at its event, at its own peak, or over its interval."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median

from metrics.catalogue import Catalogue, Metric
from metrics.drawing.delivery_line import Event, times_of
from metrics.models import MotionReport
from metrics.selectors.session_rows import SessionRows
from sessions.models.recordings import EVENTS

MILLISECONDS = 1000.0
OVER_ITS_INTERVAL = frozenset(
    {
        "lead_knee_extension",
        "pelvis_braking",
        "stride_time",
        "fc_br_time",
        "fp_br_time",
        "drive_impulse_forward",
    }
)
"""Metrics that speak of a whole interval; others with an interval are extremes somewhere inside it."""

LAGS = {
    "pelvis_trunk_lag": ("pelvis_velocity_max_time", "trunk_velocity_max_time"),
    "trunk_elbow_lag": ("trunk_velocity_max_time", "elbow_extension_velocity_max_time"),
}
TYPICAL_PEAKS = {
    "pelvis_velocity_max_time": 35.0,
    "trunk_velocity_max_time": 52.0,
    "elbow_extension_velocity_max_time": 91.0,
    "shoulder_internal_rotation_velocity_max_time": 102.0,
    "shoulder_external_rotation_max_time": 80.0,
}
"""% of contact to release: common practice, no published source. Places of what was not measured, never a value."""

HALF = 50.0


@dataclass(frozen=True, slots=True)
class Moments:
    """Event times (ms from contact, typical ones where the session has none) and the session's means by metric."""

    catalogue: Catalogue
    at_ms: Mapping[str, float]
    means: Mapping[str, float]

    def place(self, metric: Metric) -> tuple[float, tuple[float, float] | None]:
        """Its time and, of an interval or a lag, the two ends, ms from contact."""
        if metric.key in LAGS:
            first, last = (self._peak(key) for key in LAGS[metric.key])
            return (first + last) / 2, (first, last)
        if metric.moment == "":
            return (self._peak(metric.key) if metric.key.endswith("_time") else self.at_ms["br"]), None
        ends = [self.at_ms["fp" if part == "landing" else part] for part in metric.moment.split("-")]
        if metric.key in OVER_ITS_INTERVAL:
            return ends[-1], (ends[0], ends[-1])
        own_time = f"{metric.key}_time"
        if len(ends) > 1 and own_time in self.catalogue.metrics and own_time in self.means:
            return self._peak(own_time), None
        return sum(ends) / len(ends), None

    def _peak(self, key: str) -> float:
        """When a peak was, of which the metric `key` tells the time."""
        contact, length = self.at_ms["fc"], self.at_ms["br"] - self.at_ms["fc"]
        mean = self.means.get(key)
        if mean is None:
            return contact + TYPICAL_PEAKS.get(key, HALF) / 100 * length
        return contact + (mean if self.catalogue.metric(key).unit == "ms" else mean / 100 * length)


def moments_of(rows: SessionRows, events: tuple[Event, ...]) -> Moments:
    means = {row.metric: row.mean for row in rows.findings if row.mean is not None}
    return Moments(rows.catalogue, times_of(events).at_ms, means)


def events_of_session(rows: SessionRows) -> tuple[Event, ...]:
    """The events with the median time over the throws that have a recording; without one, no time."""
    throws = [throw.pk for throw in rows.throws if not throw.is_excluded]
    motions = list(MotionReport.objects.filter(throw__in=throws).values_list("events", flat=True))
    told: dict[str, list[float]] = {}
    for events in motions:
        for key, time in events.items():
            if "fc" in events:
                told.setdefault(key, []).append(MILLISECONDS * (time - events["fc"]))
    return tuple(
        Event(key, name.capitalize(), round(median(told[key]), 1) if key in told else None) for key, name in EVENTS
    )
