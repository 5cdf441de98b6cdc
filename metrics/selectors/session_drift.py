"""Within one session: four numbers over the throws, and whether the last third differs from the first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from athletes.quantities import convert_ball_speed, format_number, format_quantity
from athletes.words import counted
from metrics.change.drift import FEWEST_THROWS, Drift, drift_within
from metrics.drawing.drift import DriftPoint, Third, drift_picture
from metrics.scoring.values import ReadingMap
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_throws import ThrowLine, ThrowsPart
from metrics.selectors.session_words import joined, moment_words, name_without_moment
from metrics.services.scoring_facts import readings_by_throw
from sessions.models import Method

FOLLOWED = ("trunk_forward_tilt_br", "trunk_lateral_tilt_br", "lead_knee_flexion_br")
"""What is followed through a session beside ball speed (common practice, no published source)."""
BALL_SPEED = "ball_speed"
LEVEL = 0.05
"""Of intervals of 95% that leave zero out though nothing drifts."""


@dataclass(frozen=True, slots=True)
class Followed:
    """One number over the throws. `cells`: as the reader has it, "" where it was not read, in the order of the throws.

    `drift`: None below 15 throws that were read, and then `sentence` says so.
    """

    key: str
    name: str
    moment: str
    picture: str
    drift: Drift | None
    sentence: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DriftPart:
    """`numbers`: of the scored throws, as thrown; `left_out`: which throws are not among them, in words."""

    followed: tuple[Followed, ...]
    numbers: tuple[int, ...]
    left_out: str
    by_chance: str

    @property
    def table(self) -> list[tuple[int, list[str]]]:
        """One row a throw: its number, and each value as the reader has it."""
        return [(throw, [one.cells[place] for one in self.followed]) for place, throw in enumerate(self.numbers)]


def drift_part(rows: SessionRows, throws: ThrowsPart, system: str) -> DriftPart | None:
    """None below 15 scored throws, for screens, and where nothing of the four was read. One query, or none.

    system: the reader's units, for ball speed.
    """
    scored = [line for line in reversed(throws.lines) if line.state == "scored"]
    if rows.capture.method == Method.HANDS_ON or len(scored) < FEWEST_THROWS:
        return None
    found = readings_by_throw([rows.capture])
    readings = {throw.uuid: found.get(throw.pk, {}) for throw in rows.throws}
    columns = {key: [_reading(key, readings[line.uuid], rows) for line in scored] for key in FOLLOWED}
    followed = [_followed(key, scored, values, rows, system) for key, values in columns.items() if _any(values)]
    speeds = [math.nan if line.ball_speed_m_s is None else line.ball_speed_m_s for line in scored]
    if _any(speeds):
        followed.append(_followed(BALL_SPEED, scored, speeds, rows, system))
    if not followed:
        return None
    return DriftPart(
        followed=tuple(followed),
        numbers=tuple(line.number for line in scored),
        left_out=_left_out(throws.lines),
        by_chance=chance_of(followed),
    )


def _any(values: Iterable[float]) -> bool:
    return any(math.isfinite(value) for value in values)


def _reading(key: str, readings: ReadingMap, rows: SessionRows) -> float:
    """NaN where the throw has no such reading."""
    entry: Mapping[str, object] = readings.get(rows.catalogue.metric(key).reading_key(rows.capture.landing), {})
    value = entry.get("value")
    return float(value) if isinstance(value, int | float) else math.nan


def _followed(
    key: str, scored: Sequence[ThrowLine], values: Sequence[float], rows: SessionRows, system: str
) -> Followed:
    metric = rows.catalogue.metric(key)
    numbers = [line.number for line in scored]
    drift = drift_within(numbers, values)
    words = _Words(metric.unit, metric.decimals, system, is_speed=key == BALL_SPEED)
    name, read = name_without_moment(metric), [value for value in values if math.isfinite(value)]
    sentence = _sentence(drift, len(read), len(scored), words)
    return Followed(
        key=key,
        name=name,
        moment="" if words.is_speed else moment_words("br"),
        picture=drift_picture(
            [DriftPoint(throw, value) for throw, value in zip(numbers, values, strict=True)],
            _thirds(drift, numbers, values, words),
            name=f"{name} over {len(read)} throws. {sentence}",
            low_label=words.of(min(read)),
            high_label=words.of(max(read)),
        ),
        drift=drift,
        sentence=sentence,
        cells=tuple(words.of(value) if math.isfinite(value) else "" for value in values),
    )


@dataclass(frozen=True, slots=True)
class _Words:
    """Writes what was read of one metric for the reader; means and their differences one decimal finer."""

    unit: str
    decimals: int
    system: str
    is_speed: bool

    def of(self, value: float, *, finer: bool = False, signed: bool = False) -> str:
        if self.is_speed:
            shown, unit = convert_ball_speed(value, self.system)
            return f"{format_number(shown, 1 + finer, signed=signed)} {unit}"
        return format_quantity(value, self.unit, self.system, decimals=self.decimals + finer, signed=signed)

    def mean(self, value: float, *, signed: bool = False) -> str:
        return self.of(value, finer=True, signed=signed)


def _sentence(drift: Drift | None, read: int, scored: int, words: _Words) -> str:
    missing = f" Not read in {counted(scored - read, 'throw')}." if read < scored else ""
    if drift is None:
        return f"Read in {read} throws: {FEWEST_THROWS} are needed to compare thirds."
    interval = f"{words.mean(drift.low, signed=True)} to {words.mean(drift.high, signed=True)}"
    course = ("It rose." if drift.difference > 0 else "It fell.") if drift.is_real else "No drift is shown."
    return (
        f"First third {words.mean(drift.first)}, last third {words.mean(drift.last)}: "
        f"{words.mean(drift.difference, signed=True)} ({interval}). {course}{missing}"
    )


def _thirds(drift: Drift | None, numbers: Sequence[int], values: Sequence[float], words: _Words) -> tuple[Third, ...]:
    """The throws of each third are those that were read, as drift counts them."""
    if drift is None:
        return ()
    read = sorted(throw for throw, value in zip(numbers, values, strict=True) if math.isfinite(value))
    first, last = read[: drift.throws], read[-drift.throws :]
    return (
        Third(first[0], first[-1], drift.first, f"First third: {words.mean(drift.first)}"),
        Third(last[0], last[-1], drift.last, f"Last third: {words.mean(drift.last)}"),
    )


def _left_out(lines: Sequence[ThrowLine]) -> str:
    """Left out: 1 excluded and 2 of other conditions."""
    excluded = sum(line.is_excluded for line in lines)
    others = sum(line.state == "not_scored" for line in lines)
    parts = [f"{excluded} excluded"] * bool(excluded) + [f"{others} of other conditions"] * bool(others)
    return f"Left out: {joined(parts)}." if parts else ""


def chance_of(followed: Sequence[Followed]) -> str:
    """How many would seem to drift though none does."""
    judged = sum(one.drift is not None for one in followed)
    if not judged:
        return ""
    return f"By chance alone about {judged * LEVEL:.2f} of {counted(judged, 'number')} would seem to drift."
