"""The invented data set that every generated table is written from: people, their sessions, and what was measured."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

FIRST_DAY = date(2026, 3, 12)


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who throws; height in metres."""

    name: str
    code: str
    height_m: float


@dataclass(frozen=True, slots=True)
class Throw:
    """One throw: its number in the session, and each metric's value in the metric's storage unit."""

    number: int
    values: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Session:
    """One occasion of one person."""

    person: Person
    day: date
    throws: tuple[Throw, ...]


PEOPLE = (
    Person("Jonas Albrecht", "P-014", 1.88),
    Person("Mateo Ferrán", "P-022", 1.79),
    Person("Callum O'Dwyer", "P-031", 1.93),
    Person("Rémi Delacroix", "P-047", 1.85),
    Person("Tobias Krüger", "P-058", 1.82),
)

LEVELS: Mapping[str, tuple[float, float]] = {
    "stride_length": (1.48, 0.03),
    "lead_knee_flexion_fp": (47.0, 3.0),
    "lead_knee_flexion_br": (34.0, 4.0),
    "pelvis_rotation_fp": (58.0, 4.0),
    "trunk_rotation_fp": (107.0, 4.0),
    "separation_fp": (49.0, 3.5),
    "trunk_forward_tilt_br": (34.0, 2.5),
    "trunk_lateral_tilt_br": (24.0, 2.5),
    "shoulder_abduction_fp": (88.0, 4.0),
    "shoulder_horizontal_abduction_fp": (23.0, 4.0),
    "shoulder_external_rotation_fp": (52.0, 8.0),
    "shoulder_external_rotation_max": (171.0, 3.0),
    "elbow_flexion_fp": (91.0, 6.0),
    "elbow_flexion_br": (25.0, 3.0),
    "pelvis_velocity_max": (612.0, 25.0),
    "trunk_velocity_max": (1065.0, 30.0),
    "elbow_extension_velocity_max": (2290.0, 60.0),
    "shoulder_internal_rotation_velocity_max": (5480.0, 250.0),
    "pelvis_velocity_max_time": (34.0, 5.0),
    "trunk_velocity_max_time": (52.0, 4.0),
    "lead_force_max": (196.0, 14.0),
    "elbow_varus_torque_max": (78.0, 6.0),
    "shoulder_distraction_force_max": (960.0, 60.0),
    "fc_br_time": (0.148, 0.006),
    "ball_speed": (36.8, 0.5),
}
"""Middle and throw-to-throw spread, storage units: what an adult's table looks like, invented, no source."""


def invent_people(count: int) -> tuple[Person, ...]:
    """The first five have names of their own; more of them are numbered, for tables of any length."""
    more = (Person(f"Thrower {n:04d}", f"P-{n:04d}", 1.70 + n % 25 / 100) for n in range(len(PEOPLE) + 1, count + 1))
    return (*PEOPLE[:count], *more)


def invent_sessions(
    *, athletes: int = 2, days: int = 1, throws: int = 4, metrics: Sequence[str] = tuple(LEVELS), number: int = 1
) -> tuple[Session, ...]:
    """Sessions of the first ``athletes`` people, person by person, day by day; the same for the same arguments."""
    rng = random.Random(number)
    sessions = []
    for person in invent_people(athletes):
        own = {metric: rng.gauss(0.0, 1.0) for metric in metrics}
        for day in range(days):
            thrown = tuple(Throw(n, _measured(rng, metrics, own)) for n in range(1, throws + 1))
            sessions.append(Session(person, FIRST_DAY + timedelta(days=14 * day), thrown))
    return tuple(sessions)


def _measured(rng: random.Random, metrics: Sequence[str], own: Mapping[str, float]) -> dict[str, float]:
    return {metric: LEVELS[metric][0] + LEVELS[metric][1] * (own[metric] + rng.gauss(0.0, 0.6)) for metric in metrics}
