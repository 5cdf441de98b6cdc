"""The numbers of one metric in one session, in the catalogue's unit, at the moment that its rule judges."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from operator import itemgetter

from metrics.catalogue import Metric
from metrics.judging.values import LANDINGS, NotScored
from metrics.scoring.values import ReadingMap, SessionFacts, ThrowFacts

BALL_SPEED = "ball_speed"
COUNT_AGREEMENT = 0.80
"""Share of throws that must agree on a count (kinematics.md, sequence_inversions). House default."""

_VALUE = itemgetter("value")

NO_HEIGHT = NotScored("height_missing", "Height on this date is not known, so a percent of it cannot be formed.")
DISAGREE = NotScored("throws_disagree", "The throws do not agree on this count: under 80% gave the same.")


@dataclass(frozen=True, slots=True)
class Values:
    """`numbers` in the metric's unit, one a throw that has the metric; `lost` counts reasons of the others."""

    numbers: tuple[float, ...]
    lost: Mapping[str, int]
    not_scored: NotScored | None = None


@dataclass(frozen=True, slots=True)
class ThrowReadings:
    """The readings of a session's throws by their key, in the order of the throws; `metrics` have any at all."""

    by_key: Mapping[str, Sequence[Mapping[str, object]]]
    metrics: frozenset[str]

    @classmethod
    def of(cls, throws: Iterable[ThrowFacts]) -> ThrowReadings:
        by_key = _by_key([throw.readings for throw in throws])
        return cls(by_key, frozenset(key.partition("@")[0] for key in by_key))


def _by_key(maps: Sequence[ReadingMap]) -> Mapping[str, Sequence[Mapping[str, object]]]:
    """Throws of one table have the same keys in the same order, and are turned as a whole."""
    keys = list(maps[0]) if maps else []
    if all(list(readings) == keys for readings in maps):
        return dict(zip(keys, zip(*(readings.values() for readings in maps), strict=True), strict=True))
    by_key: defaultdict[str, list[Mapping[str, object]]] = defaultdict(list)
    for readings in maps:
        for key, reading in readings.items():
            by_key[key].append(reading)
    return by_key


def ball_speeds(throws: Iterable[ThrowFacts]) -> list[Mapping[str, object]]:
    """Ball speed is kept with the throw; here it is a reading like any other."""
    return [{"value": throw.ball_speed_m_s} for throw in throws if throw.ball_speed_m_s is not None]


def landings_present(metric: Metric, readings: ThrowReadings) -> frozenset[str]:
    """At which moments of the landing this metric was read; empty when it does not hang on the landing."""
    if not metric.is_landing_dependent:
        return frozenset()
    return frozenset(landing for landing in LANDINGS if metric.reading_key(landing) in readings.by_key)


def values_of(metric: Metric, readings: Sequence[Mapping[str, object]], facts: SessionFacts) -> Values:
    """The numbers in these readings of the metric. Lengths become percent of the height on the session's date."""
    if metric.unit != "count" and sum(map(len, readings)) == len(readings):
        with suppress(KeyError):  # a reason stands where a value should
            return Values(tuple(map(float, map(_VALUE, readings))), {})
    return _with_reasons(metric, readings, facts)


def _with_reasons(metric: Metric, readings: Sequence[Mapping[str, object]], facts: SessionFacts) -> Values:
    """Where not every reading is a plain number in the catalogue's unit."""
    numbers: list[float] = []
    lost: Counter[str] = Counter()
    for reading in readings:
        if "value" not in reading:
            lost[str(reading.get("reason", "unknown"))] += 1
            continue
        number = in_catalogue_unit(metric, reading, facts.body_size.height_cm)
        if number is None:
            return Values((), lost, NO_HEIGHT)
        numbers.append(number)
    if metric.unit == "count" and not metric.is_screen:  # repetitions of a screen are averaged like any number
        return _agreed(numbers, lost)
    return Values(tuple(numbers), lost)


def in_catalogue_unit(metric: Metric, reading: Mapping[str, object], height_cm: float | None) -> float | None:
    """A reading that has a value, as findings have it; None for a length where the height is not known."""
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
