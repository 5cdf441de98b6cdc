"""Moving figure, curves and events of a session's recorded throws."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.urls import reverse

from metrics.catalogue import load_catalogue
from metrics.measuring import curves as known_curves
from metrics.measuring.arcs import angle_of
from metrics.measuring.curves import Curve
from metrics.models import Finding, Reading
from metrics.selectors.session_words import name_without_moment
from metrics.services.motion.drawn import Drawn, drawn_throw
from sessions.models import CaptureSession, Throw
from sessions.models.recordings import EVENTS

MILLISECONDS = 1000.0
LANES = {"arm": "Arm", "trunk": "Trunk", "lower_half": "Lower half"}
MIRRORED_CURVES = {"shoulder_horizontal_adduction": ("shoulder_horizontal_abduction", -1.0)}
"""Angles that a curve shows the other way round."""


@dataclass(frozen=True, slots=True)
class MotionThrow:
    """One throw to choose."""

    number: int
    uuid: UUID
    figure_url: str
    events_url: str
    is_excluded: bool


@dataclass(frozen=True, slots=True)
class EventLine:
    """One event of a throw; times in ms from contact as it was found, `step_ms` is one frame of the recording."""

    key: str
    name: str
    time_ms: float | None
    automatic_ms: float | None
    is_moved: bool
    rule: str

    @property
    def time_words(self) -> str:
        return _milliseconds(self.time_ms)

    @property
    def automatic_words(self) -> str:
        return _milliseconds(self.automatic_ms)


def _milliseconds(time_ms: float | None) -> str:
    return "not found" if time_ms is None else f"{time_ms:.1f}".replace("-", "−")


@dataclass(frozen=True, slots=True)
class MotionPage:
    uuid: UUID
    throws: tuple[MotionThrow, ...]
    curves_url: str
    curves: tuple[tuple[str, tuple[Curve, ...]], ...]
    first_curve: str
    may_change: bool


def recorded_throws(capture: CaptureSession) -> list[Throw]:
    """Throws that have positions, by number, with all that pictures ask of them."""
    found = (
        capture.throws.filter(recording__isnull=False, motion__isnull=False)
        .select_related("recording__original", "motion", "session__athlete")
        .prefetch_related("event_times", "session__athlete__body_sizes")
    )
    return list(found.order_by("number"))


def motion_page(
    capture: CaptureSession, *, may_change: bool, curves: Sequence[Curve] = known_curves.CURVES
) -> MotionPage:
    """`curves`: those that may be chosen."""
    lanes = {lane: tuple(one for one in curves if one.lane == lane) for lane in LANES}
    first = _first_curve(capture)
    return MotionPage(
        uuid=capture.uuid,
        throws=tuple(_throw(capture, one) for one in recorded_throws(capture)),
        curves_url=reverse("metrics:session-curves", args=[capture.uuid]),
        curves=tuple((LANES[lane], listed) for lane, listed in lanes.items()),
        first_curve=first if any(one.name == first for one in curves) else curves[0].name,
        may_change=may_change,
    )


def _throw(capture: CaptureSession, throw: Throw) -> MotionThrow:
    address = [capture.uuid, throw.uuid]
    return MotionThrow(
        throw.number,
        throw.uuid,
        reverse("metrics:throw-figure", args=address),
        reverse("metrics:throw-events", args=address),
        throw.is_excluded,
    )


def _first_curve(capture: CaptureSession) -> str:
    """That of the most important flag which a curve shows."""
    flags = Finding.objects.filter(session=capture).flags().order_by("-priority").values_list("metric", flat=True)
    return next((name for metric in flags if (name := curve_of(metric)[0])), known_curves.CURVES[0].name)


def curve_of(metric: str) -> tuple[str, float]:
    """The curve that shows a metric at its event, and with which sign; "" when none does."""
    angle = angle_of(metric)
    name, sign = MIRRORED_CURVES.get(angle, (angle, 1.0))
    return (name, sign) if name in known_curves.BY_NAME else ("", 1.0)


def events_of(throw: Throw) -> list[EventLine]:
    """The throw's events in order of time."""
    report, moved = throw.motion, {row.event for row in throw.event_times.all()}
    zero = report.events["fc"]
    rules = report.facts.get("rules", {})

    def milliseconds(times: Mapping[str, float], key: str) -> float | None:
        return round(MILLISECONDS * (times[key] - zero), 1) if key in times else None

    return [
        EventLine(
            key,
            name,
            milliseconds(report.events, key),
            milliseconds(report.automatic, key),
            key in moved,
            rules.get(key, ""),
        )
        for key, name in EVENTS
        if key in report.events or key in report.automatic
    ]


def figure_json(capture: CaptureSession, throw: Throw) -> dict[str, Any]:
    """What the moving figure shows of one throw. Raises NotMeasured, ArraysLost."""
    drawn = drawn_throw(throw)
    report, zero = throw.motion, throw.motion.events["fc"]
    names = dict(EVENTS)
    moved = {row.event for row in throw.event_times.all()}
    events = [
        {
            "key": key,
            "name": names[key].capitalize(),
            "time_s": round(time - zero, 5),
            "automatic_s": round(report.automatic.get(key, time) - zero, 5),
            "by_person": key in moved,
        }
        for key, time in sorted(report.events.items(), key=lambda item: item[1])
        if key in names
    ]
    return {
        "throw": {"number": throw.number, "uuid": str(throw.uuid), "side": capture.throwing_side},
        **drawn.picture,
        "events": events,
        "arcs": list(_arcs(capture, throw, drawn)),
    }


def _arcs(capture: CaptureSession, throw: Throw, drawn: Drawn) -> Iterable[dict[str, Any]]:
    """The judged angles with this throw's values, the gravest first."""
    readings = Reading.objects.filter(throw=throw, source=Reading.Source.MARKERS).values_list("values", flat=True)
    values = readings.first() or {}
    catalogue, points = load_catalogue(), drawn.picture["points"]
    for row in Finding.objects.filter(session=capture).order_by("-priority", "metric"):
        arc = drawn.arcs.get((row.metric, row.moment))
        reading = values.get(f"{row.metric}@{row.moment}", {})
        if arc is None or row.zone == Finding.Zone.NOT_SCORED or "value" not in reading:
            continue
        metric = catalogue.metric(row.metric)
        yield {
            "metric": row.metric,
            "name": name_without_moment(metric),
            "event": row.moment,
            **arc,
            "vertex": points.index(arc["vertex"]),
            "value": round(reading["value"], 2),
            "target": [row.target_low, row.target_high],
            "flag": [row.flag_low, row.flag_high],
            "zone": row.zone,
            "side": row.side,
            "sure": row.sure,
            "words": verdict_of(row),
            "text": f"{reading['value']:.0f}° in this throw{_target(row)}; the session is {row.mean:.0f}°",
        }


def verdict_of(row: Finding) -> str:
    zone = f"{row.get_zone_display()} {row.side}" if row.zone == Finding.Zone.FLAG else str(row.get_zone_display())
    return f"{zone}, {row.get_sure_display()}" if row.sure else zone


def _target(row: Finding) -> str:
    low, high = row.target_low, row.target_high
    if low is None and high is None:
        return ""
    if low is None or high is None:
        return f", target {'over' if high is None else 'under'} {low if high is None else high:.0f}°"
    return f", target {low:.0f}° to {high:.0f}°"
