"""What a maker of the corpus hands out: the bytes, the readings that are right, and what the coach knows besides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from metrics.catalogue import load_catalogue
from tests.corpus.columns import Column
from tests.corpus.people import LEVELS, Session, invent_sessions
from tests.corpus.tables import Expected, Told


@dataclass(frozen=True, slots=True)
class Size:
    """How long a table becomes."""

    athletes: int = 2
    days: int = 1
    throws: int = 4


@dataclass(frozen=True, slots=True)
class CorpusFile:
    """One good file and its truth.

    The rest is what the file itself does not say and the coach who exported it knows: which landing moment is
    meant (fc or fp); whether the day stands before the month; by metric, the unit that its
    numbers are in where no unit is written, and how its sign differs from the catalogue's (turned, inner).
    """

    name: str
    data: bytes
    expected: Sequence[Expected]
    landing: str = "fp"
    day_first: bool | None = None
    units: Mapping[str, str] = field(default_factory=dict)
    signs: Mapping[str, str] = field(default_factory=dict)


SHORT = (
    "lead_knee_flexion_fp",
    "pelvis_rotation_fp",
    "separation_fp",
    "shoulder_external_rotation_max",
    "elbow_flexion_fp",
    "trunk_velocity_max",
    "elbow_varus_torque_max",
    "ball_speed",
)
"""A table of a few columns, with one of every kind of unit."""


def sessions_of(size: Size, columns: Sequence[Column], number: int = 1) -> tuple[Session, ...]:
    """Invented sessions that have what the columns show."""
    metrics = [metric for metric in LEVELS if any(column.metric == metric for column in columns)]
    return invent_sessions(athletes=size.athletes, days=size.days, throws=size.throws, metrics=metrics, number=number)


def expected_of(told: Told) -> list[Expected]:
    """The readings of what is told, moments from the catalogue."""
    return told.expected(_moments())


@cache
def _moments() -> Mapping[str, str]:
    return {metric.key: metric.moment for metric in load_catalogue().metrics.values()}
