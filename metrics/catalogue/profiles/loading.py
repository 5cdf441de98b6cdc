"""Read the two starting range profiles from the data files beside this module.

A starting profile is what a new installation begins with: *Published* holds sourced rules only, *House starting*
holds those and the house's opinions. From then on an installation's profiles live in its database.
"""

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

PROFILE_FOLDER = Path(__file__).parent

CIRCUMSTANCES = ("metric", "method", "level", "pitch_type", "intent", "surface", "ball")
TEXT_COLUMNS = frozenset((*CIRCUMSTANCES, "size_basis", "landing", "definition", "source", "status", "note"))
COLUMNS = (
    *CIRCUMSTANCES,
    *("size_basis", "size_ref", "size_low", "size_high"),
    *("target_low", "target_high", "flag_low", "flag_high"),
    *("slope_target_low", "slope_target_high", "slope_flag_low", "slope_flag_high", "unit_low", "unit_high"),
    *("landing", "definition", "filter_hz", "source", "status", "source_mean", "source_sd", "note"),
)
CHOICES: Mapping[str, frozenset[str]] = {
    "method": frozenset(("", "motion_capture", "video", "hands_on")),
    "level": frozenset(("", "youth", "high_school", "college", "professional")),
    "pitch_type": frozenset(("", "fastball", "curveball", "slider", "changeup", "other")),
    "intent": frozenset(("", "full_effort", "controlled", "warm_up")),
    "surface": frozenset(("", "mound", "flat_ground", "other")),
    "ball": frozenset(("", "regulation", "weighted", "other")),
    "size_basis": frozenset(("", "height", "mass", "arm_span")),
    "landing": frozenset(("", "fc", "fp")),
    "status": frozenset(("published", "from_memory", "common_practice", "house_opinion")),
}

Value = str | float | None
RuleValues = Mapping[str, Value]


class ProfileDataError(ValueError):
    """A data file of a starting profile does not hold what it must; the message names file, row and column."""


@dataclass(frozen=True)
class StartingProfile:
    """A starting range profile.

    ``rules`` map the fields of a range rule (all but its id) to values: limits in the metric's unit, sizes in cm
    or kg, slopes in the metric's unit per cm or kg, filter in Hz; ``None`` means any, or an open side. ``notes``
    say how each rule came about, in the order of ``rules``. ``weights`` override the catalogue's, by metric key.
    """

    name: str
    description: str
    thresholds: Mapping[str, float | int]
    conditions: Mapping[str, str]
    weights: Mapping[str, float]
    rules: tuple[RuleValues, ...]
    notes: tuple[str, ...]


def starting_profile_names() -> tuple[str, ...]:
    """Return the names that ``load_starting_profile`` knows, the sourced one first."""
    return tuple(_read_settings()["profiles"])


@cache
def load_starting_profile(name: str) -> StartingProfile:
    """Return the starting profile ``"published"`` or ``"house_starting"``.

    Raises KeyError for another name, and ProfileDataError when a data file is not as it must be.
    """
    settings = _read_settings()
    profile = settings["profiles"][name]
    rows = [row for file in profile["files"] for row in _read_rules(PROFILE_FOLDER / file)]
    return StartingProfile(
        name=profile["name"],
        description=profile["description"],
        thresholds=MappingProxyType(settings["thresholds"]),
        conditions=MappingProxyType(settings["conditions"]),
        weights=MappingProxyType(profile.get("weights", {})),
        rules=tuple(rule for rule, _ in rows),
        notes=tuple(note for _, note in rows),
    )


def _read_settings() -> dict[str, Any]:
    with (PROFILE_FOLDER / "profiles.toml").open("rb") as file:
        return tomllib.load(file)


def _read_rules(path: Path) -> list[tuple[RuleValues, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        if tuple(reader.fieldnames or ()) != COLUMNS:
            raise ProfileDataError(f"{path.name}: expected the columns {COLUMNS}, found {reader.fieldnames}")
        return [_read_rule(cells, f"{path.name}, row {reader.line_num}") for cells in reader]


def _read_rule(cells: dict[str, str], place: str) -> tuple[RuleValues, str]:
    values = {column: _read_value(column, cells[column], place) for column in COLUMNS}
    note = values.pop("note") or ""
    values["size_basis"] = values["size_basis"] or "none"
    for column in COLUMNS:
        if column.startswith("slope_") and values[column] is None:
            values[column] = 0.0
    return MappingProxyType(values), str(note)


def _read_value(column: str, text: str | None, place: str) -> Value:
    """Return a cell's value: text, a number, or None when it is blank."""
    if text is None:
        raise ProfileDataError(f"{place}: the row ends before column {column}")
    if column in CHOICES and text not in CHOICES[column]:
        raise ProfileDataError(f"{place}, {column}: {text!r} is none of {sorted(CHOICES[column])}")
    if column in TEXT_COLUMNS or text == "":
        return text or None
    try:
        return float(text)
    except ValueError:
        raise ProfileDataError(f"{place}, {column}: {text!r} is not a number") from None
