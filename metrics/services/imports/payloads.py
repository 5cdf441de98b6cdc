"""What an import unit holds: the throws as they would be stored, and what their numbers were written for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from sessions.formats.cells import column_letter


@dataclass(frozen=True, slots=True)
class PayloadThrow:
    """`conditions` are the fields of `Throw`; `values` are `Reading.values`; `rows` those of the original."""

    number: int
    rows: list[int]
    conditions: dict[str, Any]
    ball_speed_m_s: float | None
    values: dict[str, dict[str, Any]]
    excluded_reason: str = ""
    intent_from_file: bool = False

    def to_json(self) -> dict[str, Any]:
        return {item.name: getattr(self, item.name) for item in fields(self)}


@dataclass(frozen=True, slots=True)
class Payload:
    """`turned`: each throw stood in a column of the file, and `rows` count these from 1.

    `source`: of the readings, as in `Reading.Source`; of "markers" `rows` are the throws' places in the recording.
    """

    throws: list[PayloadThrow]
    setup: str = ""
    landing: str = "unknown"
    filter_knowledge: str = "unknown"
    filter_hz: float | None = None
    frame_rate_hz: float | None = None
    definitions: dict[str, str] = field(default_factory=dict)
    turned: bool = False
    source: str = "table"

    @property
    def rows(self) -> list[int]:
        return sorted({row for throw in self.throws for row in throw.rows})

    def where(self, throw: PayloadThrow) -> str:
        """The throw's rows in the file, or its columns where it stands in those."""
        return ", ".join(column_letter(row - 1) if self.turned else str(row) for row in throw.rows)

    def to_json(self) -> dict[str, Any]:
        """Shares the values with the payload: `asdict` would copy each of a season's readings."""
        plain = {item.name: getattr(self, item.name) for item in fields(self)}
        return {**plain, "throws": [throw.to_json() for throw in self.throws]}

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> Payload:
        return cls(**{**stored, "throws": [PayloadThrow(**throw) for throw in stored["throws"]]})


def with_answers(payload: Payload, answers: Mapping[str, Any]) -> Payload:
    """The payload with the preview's choices: conditions for every throw, and the first N as warm-up.

    `answers`: "conditions" (fields of Throw that the file leaves open are filled, others overridden) and
    "warm_up_first". A throw whose intent the file itself names keeps it against "warm_up_first".
    """
    chosen = {name: value for name, value in answers.get("conditions", {}).items() if value}
    first = int(answers.get("warm_up_first") or 0)
    if not chosen and not first:
        return payload
    in_order = sorted(payload.throws, key=lambda throw: throw.number)
    warm_up = {throw.number for throw in in_order[:first] if not throw.intent_from_file}
    throws = [
        replace(
            throw,
            conditions={**throw.conditions, **chosen, **({"intent": "warm_up"} if throw.number in warm_up else {})},
        )
        for throw in payload.throws
    ]
    return replace(payload, throws=throws)
