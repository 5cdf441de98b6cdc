"""The invented people and their stories, as values."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

STORIES = Path(__file__).with_name("stories.toml")

TINY = 4
"""Athletes of the smallest demonstration, for tests: the first of the stories."""


@dataclass(frozen=True, slots=True)
class Off:
    """A metric that is off by so many half widths of its target, and how that goes over the months."""

    metric: str
    half_widths: float
    course: str


@dataclass(frozen=True, slots=True)
class Story:
    """One athlete. `age` in years on the day of the demo; `height_cm` nine months before; `grows_cm` in a year."""

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
    unseen_weeks: int = 0
    throws_a_session: int = 10
    flat_ground: bool = False
    controlled: bool = False
    consent: bool = True
    old_height: bool = False

    @property
    def full_name(self) -> str:
        return " ".join(self.name)

    def external_id(self, number: int) -> str:
        """The id that the capture rooms know the athlete by."""
        return f"CP-{number:03d}"


@dataclass(frozen=True, slots=True)
class Cast:
    facility: dict[str, Any]
    groups: tuple[dict[str, str], ...]
    athletes: tuple[Story, ...] = field(default=())


@cache
def load_cast(size: str = "full") -> Cast:
    """Everybody, or the first few for `size="tiny"`. Raises ValueError for another size."""
    if size not in {"full", "tiny"}:
        raise ValueError(f"The demo has the sizes full and tiny, not “{size}”.")
    data = tomllib.loads(STORIES.read_text(encoding="utf-8"))
    athletes = tuple(_story(entry) for entry in data["athletes"])
    return Cast(data["facility"], tuple(data["groups"]), athletes[:TINY] if size == "tiny" else athletes)


def _story(entry: dict[str, Any]) -> Story:
    return Story(
        **{
            **entry,
            "name": tuple(entry["name"]),
            "off": tuple(Off(*item) for item in entry["off"]),
            "availability": tuple(entry.get("availability", ("full", ""))),
        }
    )
