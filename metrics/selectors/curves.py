"""One curve of every recorded throw of a session, on one clock, with the ranges that are judged on it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from metrics.catalogue import load_catalogue
from metrics.judging.values import CONDITION_FIELDS
from metrics.measuring import curves
from metrics.models import Finding, Scoring
from metrics.selectors.motion import MILLISECONDS, curve_of, events_of, recorded_throws, verdict_of
from metrics.services.motion.drawn import drawn_throws
from sessions.models import CaptureSession, Throw

DRAWN_AT_ONCE = 8
"""Throws whose pictures are made in one answer; the page asks again for the rest."""


def curves_json(capture: CaptureSession, name: str, *, may_move: bool = False) -> dict[str, Any]:
    """One curve of every recorded throw on a common clock, mean and SD of the scored ones, and the ranges on it.

    Raises KeyError for an unknown curve.
    """
    curve = curves.BY_NAME[name]
    throws = recorded_throws(capture)
    drawn, pending = drawn_throws(throws, at_most=DRAWN_AT_ONCE)
    shown = [throw for throw in throws if throw.pk in drawn]
    if not shown:
        return {"curve": name, "title": curve.title, "unit": curve.unit, "pending": pending, "throws": []}
    used = scored_numbers(capture, shown)
    times, release = curves.common_times([drawn[throw.pk].curves for throw in shown])
    rows = {throw.pk: curves.on_common_clock(drawn[throw.pk].curves, name, times, release) for throw in shown}
    mean, sd = curves.mean_and_sd(np.array([rows[throw.pk] for throw in shown if throw.number in used]))
    return {
        "curve": name,
        "title": curve.title,
        "unit": curve.unit,
        "pending": pending,
        "may_move": may_move,
        "times_ms": [round(MILLISECONDS * float(time), 1) for time in times],
        "release_ms": round(MILLISECONDS * release, 2),
        "throws": [
            {
                "number": throw.number,
                "uuid": str(throw.uuid),
                "scored": throw.number in used,
                "step_ms": MILLISECONDS / throw.recording.rate_hz,
                "release_ms": round(MILLISECONDS * drawn[throw.pk].curves.release_s, 2),
                "events": _events_on_curve(throw, drawn[throw.pk].curves.release_s, release),
                "values": curves.plain(rows[throw.pk]),
            }
            for throw in shown
        ],
        "mean": curves.plain(mean),
        "sd": curves.plain(sd),
        "ranges": list(_ranges(capture, name, _mean_times(shown, used, release))),
    }


def scored_numbers(capture: CaptureSession, throws: Sequence[Throw]) -> set[int]:
    """Numbers of the throws that the findings are made of."""
    scoring = Scoring.objects.filter(session=capture).first()
    used = scoring.conditions_used if scoring else {}
    return {
        throw.number
        for throw in throws
        if not throw.is_excluded
        and all(getattr(throw, field) == used.get(field, getattr(throw, field)) for field in CONDITION_FIELDS)
    }


def _events_on_curve(throw: Throw, own_release_s: float, release_s: float) -> list[dict[str, Any]]:
    """The throw's events in order of time: ms from its contact, and on the clock of all."""
    moved = {row.event for row in throw.event_times.all()}
    return [
        {
            "key": line.key,
            "time_ms": line.time_ms,
            "chart_ms": round(
                MILLISECONDS * curves.to_common(line.time_ms / MILLISECONDS, own_release_s, release_s), 2
            ),
            "by_person": line.key in moved,
        }
        for line in events_of(throw)
        if line.time_ms is not None
    ]


def _mean_times(throws: Sequence[Throw], used: set[int], release_s: float) -> dict[str, float]:
    """Event → its mean time over the scored throws on the clock of all, ms."""
    chosen = [throw for throw in throws if throw.number in used] or throws
    times = defaultdict(list)
    for throw in chosen:
        own = throw.motion.events["br"] - throw.motion.events["fc"]
        for one in _events_on_curve(throw, own, release_s):
            times[one["key"]].append(one["chart_ms"])
    return {key: float(np.mean(listed)) for key, listed in times.items()}


def _ranges(capture: CaptureSession, name: str, at: Mapping[str, float]) -> Iterable[dict[str, Any]]:
    """Ranges that are judged on this curve, each at the mean time (ms) of its moment."""
    catalogue = load_catalogue()
    for row in Finding.objects.filter(session=capture).exclude(zone=Finding.Zone.NOT_SCORED):
        curve, sign = curve_of(row.metric)
        if curve != name or row.moment not in at:
            continue
        metric = catalogue.metric(row.metric)
        yield {
            "metric": row.metric,
            "name": metric.short_name,
            "time_ms": at[row.moment],
            "mean": None if row.mean is None else sign * row.mean,
            "target": _signed((row.target_low, row.target_high), sign),
            "flag": _signed((row.flag_low, row.flag_high), sign),
            "zone": row.zone,
            "side": row.side if sign > 0 else {"low": "high", "high": "low"}.get(row.side, ""),
            "words": verdict_of(row),
        }


def _signed(limits: tuple[float | None, float | None], sign: float) -> list[float | None]:
    low, high = (None if limit is None else sign * limit for limit in limits)
    return [low, high] if sign > 0 else [high, low]
