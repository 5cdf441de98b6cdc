"""What a person decided about a file with this header, kept so that the next one needs no decision."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from metrics.importing.conditions import (
    PLAIN_PITCH,
    Conditions,
)

if TYPE_CHECKING:
    from sessions.formats.layout import Layout

SCHEMA_VERSION = 1

SHAPES = ("wide", "long")
METHODS = ("motion_capture", "video", "hands_on")
LANDINGS = ("fc", "fp", "unknown")
DECIMAL_MARKS = (".", ",")

ATHLETE_ROLES = ("athlete_id", "athlete_name", "first_name", "last_name")
CONDITION_ROLES = ("pitch_type", "intent", "surface", "ball")
LONG_ROLES = ("metric_name", "metric_value", "metric_unit", "metric_moment")
ROLES = (
    *ATHLETE_ROLES,
    "birth_date",
    "date",
    "throw_number",
    "session_label",
    *CONDITION_ROLES,
    "ball_speed",
    "excluded",
    "included",
    "comment",
    "metric",
    *LONG_ROLES,
    "ignore",
)
# Several columns may carry these; every other role is one column's.
MANY_COLUMNS = frozenset(("metric", "comment", "ignore"))


@dataclass(frozen=True)
class ColumnTarget:
    """What one column (or, in long shape, one name in the metric column) is.

    `header` is its key from `header_keys` or `name_key`. Numbers of it, in `unit_text`, are stored as
    `factor · number + offset` in `storage_unit`. `landing` overrides the recipe's for this column.
    """

    header: str
    role: str
    metric: str = ""
    factor: float = 1.0
    offset: float = 0.0
    unit_text: str = ""
    storage_unit: str = ""
    landing: str = ""


@dataclass(frozen=True)
class Recipe:
    """Everything that turns a layout with a known header into throws, as a person decided it.

    `columns` speak of headers, `names` (long shape) of the texts in the metric column. `filter_hz` is
    the low-pass cut-off as its designers state it; None with `filter_known` means unfiltered, None
    without means nobody knows. `definitions` are (metric, definition) pairs.
    """

    shape: str
    columns: tuple[ColumnTarget, ...]
    names: tuple[ColumnTarget, ...] = ()
    landing: str = "unknown"
    filter_hz: float | None = None
    filter_known: bool = False
    definitions: tuple[tuple[str, str], ...] = ()
    method: str = "motion_capture"
    conditions: Conditions = field(default_factory=lambda: PLAIN_PITCH)
    warm_up_first: int = 0
    date_order: str = "unknown"
    decimal_mark: str = "."
    accept_implausible: tuple[str, ...] = ()
    schema_version: int = SCHEMA_VERSION

    def target_of(self, role: str) -> ColumnTarget | None:
        """The first column with this role."""
        return next((target for target in self.columns if target.role == role), None)

    def to_json(self) -> dict[str, Any]:
        """Plain values only; `from_json` gives an equal recipe back."""
        data = asdict(self)
        data["definitions"] = dict(self.definitions)
        data["accept_implausible"] = list(self.accept_implausible)
        data["columns"] = [asdict(target) for target in self.columns]
        data["names"] = [asdict(target) for target in self.names]
        return data

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Recipe:
        """A recipe from `to_json`'s values. Raises RecipeVersionError for a later schema."""
        version = int(data.get("schema_version", SCHEMA_VERSION))
        if version > SCHEMA_VERSION:
            raise RecipeVersionError(version)
        plain = {item.name: data[item.name] for item in fields(cls) if item.name in data}
        plain["columns"] = tuple(ColumnTarget(**target) for target in data["columns"])
        plain["names"] = tuple(ColumnTarget(**target) for target in data.get("names", ()))
        plain["definitions"] = tuple(sorted(dict(data.get("definitions", {})).items()))
        plain["accept_implausible"] = tuple(data.get("accept_implausible", ()))
        if "conditions" in data:
            plain["conditions"] = Conditions.from_json(data["conditions"])
        return cls(**plain)


class RecipeVersionError(ValueError):
    """A stored recipe was written by a later version of the program."""

    def __init__(self, version: int) -> None:
        super().__init__(
            f"This import recipe has schema {version}; this version reads up to {SCHEMA_VERSION}. "
            "Update the program, or match the columns anew."
        )


@lru_cache(maxsize=10_000)  # a long table says each metric's name once a value
def name_key(text: str) -> str:
    """A header or metric name as recipes compare it: case, spaces and punctuation do not matter."""
    kept = re.sub(r"[^\w%/°#+@-]+", " ", text.casefold().replace("_", " "))
    return " ".join(kept.split())


def moment_text(name: str, moment: str) -> str:
    """A metric's text of a long table with the moment that stands in a column of its own."""
    return f"{name} at {moment}" if name and moment else name


def header_keys(layout: Layout) -> tuple[str, ...]:
    """One key a column, in order; repeated headers are told apart by " (2)", " (3)", …"""
    seen: Counter[str] = Counter()
    keys = []
    for column in layout.columns:
        key = name_key(str(column.header)) or f"column {column.letter}"
        seen[key] += 1
        keys.append(key if seen[key] == 1 else f"{key} ({seen[key]})")
    return tuple(keys)
