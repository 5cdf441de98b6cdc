"""The numbers of one metric in one session, in the catalogue's unit, at the moment that its rule judges."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from metrics.catalogue import Metric
from metrics.judging.values import LANDINGS, NotScored
from metrics.scoring.values import SessionFacts, ThrowFacts

BALL_SPEED = "ball_speed"
COUNT_AGREEMENT = 0.80
"""Share of throws that must agree on a count (kinematics.md, sequence_inversions). House default."""

NO_HEIGHT = NotScored("height_missing", "Height on this date is not known, so a percent of it cannot be formed.")
DISAGREE = NotScored("throws_disagree", "The throws do not agree on this count: under 80% gave the same.")


@dataclass(frozen=True, slots=True)
class Values:
    """`numbers` in the metric's unit, one a throw that has the metric; `lost` counts reasons of the others."""

    numbers: tuple[float, ...]
    lost: Mapping[str, int]
    not_scored: NotScored | None = None


def landings_present(metric: Metric, throws: Iterable[ThrowFacts]) -> frozenset[str]:
    """At which moments of the landing this metric was read; empty when it does not hang on the landing."""
    if not metric.is_landing_dependent:
        return frozenset()
    keys = {landing: metric.reading_key(landing) for landing in LANDINGS}
    held = {key for throw in throws for key in throw.readings}
    return frozenset(landing for landing, key in keys.items() if key in held)


def values_of(metric: Metric, landing: str, throws: Iterable[ThrowFacts], facts: SessionFacts) -> Values:
    """The readings of the metric at that moment. Lengths become percent of the height on the session's date."""
    key = metric.reading_key(landing or "unknown")
    numbers: list[float] = []
    lost: Counter[str] = Counter()
    for throw in throws:
        reading = _ball_speed(throw) if metric.key == BALL_SPEED else throw.readings.get(key)
        if reading is None:
            continue
        if "value" not in reading:
            lost[str(reading.get("reason", "unknown"))] += 1
            continue
        number = _in_catalogue_unit(metric, reading, facts.body_size.height_cm)
        if number is None:
            return Values((), lost, NO_HEIGHT)
        numbers.append(number)
    if metric.unit == "count" and not metric.is_screen:  # repetitions of a screen are averaged like any number
        return _agreed(numbers, lost)
    return Values(tuple(numbers), lost)


def _ball_speed(throw: ThrowFacts) -> Mapping[str, object] | None:
    return None if throw.ball_speed_m_s is None else {"value": throw.ball_speed_m_s}


def _in_catalogue_unit(metric: Metric, reading: Mapping[str, object], height_cm: float | None) -> float | None:
    value = float(reading["value"])  # type: ignore[arg-type]
    if reading.get("unit", metric.unit) == metric.unit:
        return value
    return None if not height_cm else 100.0 * value / (height_cm / 100.0)


def _agreed(numbers: list[float], lost: Mapping[str, int]) -> Values:
    """A count is the throws' median, and only when most of them say the same."""
    if not numbers:
        return Values((), lost)
    median = sorted(numbers)[len(numbers) // 2]
    agreeing = sum(math.isclose(number, median) for number in numbers)
    if agreeing / len(numbers) < COUNT_AGREEMENT:
        return Values(tuple(numbers), lost, DISAGREE)
    return Values((median,) * len(numbers), lost)
