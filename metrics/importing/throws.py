"""What a table comes to: groups (one athlete, one day) of throws with their readings."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from metrics.importing.conditions import Conditions
from sessions.formats.problems import Problem

ReadingValue = dict[str, Any]
"""{"value": number}, with "unit": "m" where metres stand for a percent of height; or {"reason": code}."""


@dataclass(frozen=True, slots=True)
class AthleteReference:
    """How the file names an athlete; all empty when it names none. Matching to a person is not done here."""

    external_id: str = ""
    name: str = ""
    birth_date: dt.date | None = None

    @property
    def is_empty(self) -> bool:
        """The file does not say who threw."""
        return not (self.external_id or self.name)


@dataclass(frozen=True, slots=True)
class ImportedThrow:
    """One throw. `ball_speed` in m/s; `excluded` is the reason, "" when the throw is used; `label` as written."""

    number: int
    label: str
    conditions: Conditions
    ball_speed: float | None
    values: Mapping[str, ReadingValue]
    row_numbers: tuple[int, ...]
    excluded: str = ""
    comment: str = ""
    intent_from_file: bool = False


@dataclass(frozen=True, slots=True)
class ImportedGroup:
    """One athlete's throws of one day, and of one session of that day where the file tells them apart."""

    athlete: AthleteReference
    date: dt.date | None
    throws: tuple[ImportedThrow, ...]
    session_label: str = ""


@dataclass(frozen=True, slots=True)
class ImportedTable:
    """All groups in the order of the file, and what a person should know."""

    groups: tuple[ImportedGroup, ...] = ()
    problems: tuple[Problem, ...] = field(default=())

    def to_json(self) -> dict[str, Any]:
        """Plain values only; `from_json` gives an equal table back."""
        return {
            "groups": [_group_to_json(group) for group in self.groups],
            "problems": [problem.to_json() for problem in self.problems],
        }

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> ImportedTable:
        return cls(
            tuple(_group_from_json(group) for group in data["groups"]),
            tuple(Problem.from_json(problem) for problem in data["problems"]),
        )


def _iso(date: dt.date | None) -> str | None:
    return date.isoformat() if date else None


def _date(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None


def _group_to_json(group: ImportedGroup) -> dict[str, Any]:
    athlete = asdict(group.athlete) | {"birth_date": _iso(group.athlete.birth_date)}
    return {
        "athlete": athlete,
        "date": _iso(group.date),
        "session_label": group.session_label,
        "throws": [
            {
                "number": throw.number,
                "label": throw.label,
                "conditions": throw.conditions.to_json(),
                "ball_speed": throw.ball_speed,
                "values": dict(throw.values),
                "row_numbers": list(throw.row_numbers),
                "excluded": throw.excluded,
                "comment": throw.comment,
                "intent_from_file": throw.intent_from_file,
            }
            for throw in group.throws
        ],
    }


def _group_from_json(data: Mapping[str, Any]) -> ImportedGroup:
    athlete = AthleteReference(**(data["athlete"] | {"birth_date": _date(data["athlete"]["birth_date"])}))
    throws = tuple(
        ImportedThrow(
            **(
                throw
                | {
                    "conditions": Conditions.from_json(throw["conditions"]),
                    "row_numbers": tuple(throw["row_numbers"]),
                }
            )
        )
        for throw in data["throws"]
    )
    return ImportedGroup(athlete, _date(data["date"]), throws, data["session_label"])
