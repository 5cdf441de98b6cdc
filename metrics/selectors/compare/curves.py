"""One curve of two sessions on one clock: their means, and how far apart they are with what chance makes of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from metrics.change.bands import difference_band
from metrics.kinematics.vectors import Array
from metrics.measuring import curves
from metrics.selectors.compare.sides import Side
from metrics.selectors.curves import DRAWN_AT_ONCE, scored_numbers
from metrics.selectors.motion import MILLISECONDS, recorded_throws
from metrics.services.motion.drawn import Drawn, drawn_throws
from sessions.models import Throw


def compare_curves(sides: Sequence[Side], name: str) -> dict[str, Any]:
    """Mean of each side's scored throws, and second minus first with its pointwise 95% band.

    Contact and release lie where they lie for all. Of one session with itself the two throws are drawn; without two
    sides, or when positions are lost, nothing. `pending`: throws that are still to be drawn; the page asks again.
    Raises KeyError for an unknown curve.
    """
    curve = curves.BY_NAME[name]
    throws = [_throws_of(side, sides) for side in sides]
    drawn, pending = drawn_throws(
        list({one.pk: one for listed in throws for one in listed}.values()), at_most=DRAWN_AT_ONCE
    )
    shown = [[throw for throw in listed if throw.pk in drawn] for listed in throws]
    answer = {"curve": name, "title": curve.title, "unit": curve.unit, "pending": pending, "sides": []}
    if pending or len(shown) < 2 or not all(shown):
        return answer
    times, release = curves.common_times([drawn[throw.pk].curves for listed in shown for throw in listed])
    rows = [_rows(listed, drawn, name, times, release) for listed in shown]
    band = difference_band(rows[0], rows[1])
    return {
        **answer,
        "times_ms": [round(MILLISECONDS * float(time), 1) for time in times],
        "release_ms": round(MILLISECONDS * release, 2),
        "sides": [
            _side_json(side, listed, found, drawn, release)
            for side, listed, found in zip(sides, shown, rows, strict=True)
        ],
        "difference": curves.plain(band.mean if band else rows[1].mean(axis=0) - rows[0].mean(axis=0)),
        "low": curves.plain(band.low) if band else None,
        "high": curves.plain(band.high) if band else None,
        "said": _said(sides, shown, band is not None),
    }


def _throws_of(side: Side, sides: Sequence[Side]) -> list[Throw]:
    """Those that the findings are made of; the one that is shown where a session stands beside itself, or none is."""
    recorded = recorded_throws(side.capture)
    chosen = [throw for throw in recorded if side.throw and throw.uuid == side.throw.uuid]
    if sides[0].capture.pk == sides[-1].capture.pk:
        return chosen
    used = scored_numbers(side.capture, recorded)
    return [throw for throw in recorded if throw.number in used] or chosen


def _rows(throws: Sequence[Throw], drawn: Mapping[int, Drawn], name: str, times: Array, release_s: float) -> Array:
    """Shape (throws, times)."""
    return np.array([curves.on_common_clock(drawn[one.pk].curves, name, times, release_s) for one in throws])


def _side_json(
    side: Side, throws: Sequence[Throw], rows: Array, drawn: Mapping[int, Drawn], release_s: float
) -> dict[str, Any]:
    mean, sd = curves.mean_and_sd(rows)
    return {
        "title": side.title,
        "mean": curves.plain(mean),
        "sd": curves.plain(sd),
        "throws": [
            {"number": throw.number, "uuid": str(throw.uuid), "values": curves.plain(row)}
            for throw, row in zip(throws, rows, strict=True)
        ],
        "events": [
            {"key": key, "chart_ms": round(MILLISECONDS * time, 2)}
            for key, time in sorted(_mean_events(throws, drawn, release_s).items(), key=lambda item: item[1])
        ],
    }


def _mean_events(throws: Sequence[Throw], drawn: Mapping[int, Drawn], release_s: float) -> dict[str, float]:
    """Event → its mean time on the clock of all, s from contact, of the throws in which it was found."""
    times: dict[str, list[float]] = {}
    for throw in throws:
        found = throw.motion.events
        for key, time in found.items():
            own = drawn[throw.pk].curves.release_s
            times.setdefault(key, []).append(curves.to_common(time - found["fc"], own, release_s))
    return {key: float(np.mean(listed)) for key, listed in times.items()}


def _said(sides: Sequence[Side], shown: Sequence[Sequence[Throw]], has_band: bool) -> str:
    counts = [
        f"{side.title}: {len(listed)} throw{'' if len(listed) == 1 else 's'}"
        for side, listed in zip(sides, shown, strict=True)
    ]
    told = "; ".join(counts)
    if has_band:
        return f"{told}. Shaded: 95% band of the difference, at each moment by itself, from drawing the throws anew."
    if sides[0].capture.pk == sides[-1].capture.pk:
        return f"{told}. A band of the difference needs sessions: two throws have none."
    return f"{told}. Too few throws for a band of the difference: three on each side make one."
