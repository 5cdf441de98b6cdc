"""The invented people and their stories, as values."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

STORIES = Path(__file__).with_name("stories.toml")


@dataclass(frozen=True, slots=True)
class Off:
    """A metric that is off by so many half widths of its target, and how that goes over the months."""

    metric: str
    half_widths: float
    course: str


@dataclass(frozen=True, slots=True)
class Story:
    """One athlete. `age` in years on the day of the demo; `height_cm` nine months before; `grows_cm` in a year.

    `holds_still`: the numbers stay where they were while ranges move; `is_tiny`: also in the smallest demonstration.
    `tires`: metric → by how many half widths of its target it moves from the first throw of a session to the last.
    """

    name: tuple[str, str]
    story: str
    age: float
    level: str
    throws: str
    height_cm: float
    grows_cm: float
    mass_kg: float
    group: str
    coach: str
    sessions: dict[str, int]
    off: tuple[Off, ...]
    sex: str = "man"
    level_before: str = ""
    playing_role: str = ""
    account: str = ""
    guardian: str = ""
    note: str = ""
    pain: str = ""
    availability: tuple[str, str] = ("full", "")
    feels: tuple[str, str] | None = None
    unseen_weeks: int = 0
    throws_a_session: int = 10
    flat_ground: bool = False
    controlled: bool = False
    consent: bool = True
    old_height: bool = False
    holds_still: bool = False
    tires: Mapping[str, float] = field(default_factory=dict)
    is_tiny: bool = False

    @property
    def full_name(self) -> str:
        return " ".join(self.name)

    def external_id(self, number: int) -> str:
        """The id that the capture rooms know the athlete by."""
        return f"CP-{number:03d}"


@dataclass(frozen=True, slots=True)
class Cast:
    facility: dict[str, Any]
    groups: tuple[dict[str, Any], ...]
    athletes: tuple[Story, ...] = field(default=())


@cache
def load_cast(size: str = "full") -> Cast:
    """Everybody, or for `size="tiny"` the few that say so. Raises ValueError for another size."""
    if size not in {"full", "tiny"}:
        raise ValueError(f"The demo has the sizes full and tiny, not “{size}”.")
    data = tomllib.loads(STORIES.read_text(encoding="utf-8"))
    athletes = tuple(_story(entry) for entry in data["athletes"])
    return Cast(
        data["facility"], tuple(data["groups"]), tuple(one for one in athletes if one.is_tiny or size == "full")
    )


def _story(entry: dict[str, Any]) -> Story:
    return Story(
        **{
            **entry,
            "name": tuple(entry["name"]),
            "off": tuple(Off(*item) for item in entry["off"]),
            "availability": tuple(entry.get("availability", ("full", ""))),
            "feels": tuple(entry["feels"]) if "feels" in entry else None,
        }
    )
