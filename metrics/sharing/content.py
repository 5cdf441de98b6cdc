"""The snapshot of a share as values, to JSON and back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

MOST_POINTS = 3


class BadContent(Exception):
    """What was stored is no snapshot of this kind; the message names the part."""


@dataclass(frozen=True, slots=True)
class Strip:
    """The picture's numbers in the metric's unit; None is open or not known."""

    mean: float | None
    u: float | None
    target_low: float | None
    target_high: float | None
    flag_low: float | None
    flag_high: float | None
    step: float | None = None


@dataclass(frozen=True, slots=True)
class Picture:
    """A point as the drawing tags ask for it: the names are those of a finding's line."""

    mean: float | None
    u: float | None
    target_low: float | None
    target_high: float | None
    flag_low: float | None
    flag_high: float | None
    step: float | None
    zone: str
    side: str
    sure: str
    probability: float | None
    unit: str
    decimals: int
    label: str
    previous_mean: float | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Before:
    """Where the athlete stood at the session before. `is_real`: beyond what measuring alone would give."""

    mean: float
    on: dt.date
    zone: str
    side: str
    is_real: bool


@dataclass(frozen=True, slots=True)
class SharedPoint:
    """One thing that is told. `kind`: "work" or "good". `ends`: the words under the picture, low, middle, high.

    `value_words` and `good_words` are empty where the coach left the numbers out.
    """

    metric: str
    kind: str
    headline: str
    sentence: str
    zone: str
    side: str
    sure: str
    probability: float | None
    unit: str
    decimals: int
    value_words: str
    good_words: str
    ends: tuple[str, str, str]
    strip: Strip
    before: Before | None = None

    @property
    def picture(self) -> Picture:
        before = self.before.mean if self.before and self.before.is_real else None
        return Picture(
            **asdict(self.strip),
            zone=self.zone,
            side=self.side,
            sure=self.sure,
            probability=self.probability,
            unit=self.unit,
            decimals=self.decimals,
            label=self.headline,
            previous_mean=before,
        )


@dataclass(frozen=True, slots=True)
class SharedContent:
    points: tuple[SharedPoint, ...]
    better: tuple[SharedPoint, ...]
    measured_on: dt.date
    method: str

    @property
    def metrics(self) -> tuple[str, ...]:
        return tuple(point.metric for point in (*self.points, *self.better))

    def to_json(self) -> dict[str, Any]:
        return _plain(asdict(self))

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> SharedContent:
        """Raises BadContent for anything that `to_json` did not write."""
        try:
            return cls(
                points=tuple(map(_point, data["points"])),
                better=tuple(map(_point, data["better"])),
                measured_on=dt.date.fromisoformat(data["measured_on"]),
                method=data["method"],
            )
        except (KeyError, TypeError, ValueError) as error:
            raise BadContent(f"The snapshot cannot be read: {error!r}.") from error


def _point(data: Mapping[str, Any]) -> SharedPoint:
    low, good, high = data["ends"]
    before = data["before"]
    held = Before(**{**before, "on": dt.date.fromisoformat(before["on"])}) if before else None
    return SharedPoint(**{**data, "ends": (low, good, high), "strip": Strip(**data["strip"]), "before": held})


def _plain(value: Any) -> Any:
    """Dates as text, tuples as lists: what JSON gives back."""
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, dt.date) else value
