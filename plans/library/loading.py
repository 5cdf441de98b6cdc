"""Reads the library's data file and joins it with the catalogue's table of interventions.

Name, kind, what it answers, weeks, source and status stand in metrics/catalogue/causes/interventions.csv, which the
graph of causes is held against; how it is done stands in interventions.toml. Each is said once.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from metrics.catalogue.causes import Intervention as Row
from metrics.catalogue.causes import load_interventions
from plans.library.checks import problems_of
from plans.library.errors import BadLibrary
from plans.library.fields import from_fields
from plans.library.model import Intervention

FILE = "interventions.toml"
PATH = Path(__file__).parent / FILE

ROW_FIELDS = ("name", "kind", "source", "status")
"""What the file may not say, since the catalogue's row does."""


@cache
def load_library() -> tuple[Intervention, ...]:
    """The shipped library in the catalogue's order, read once in a process."""
    return read_library(PATH.read_text(encoding="utf-8"), load_interventions())


@cache
def library_version() -> str:
    """Short hash of the shipped library: the same data has the same version on every machine."""
    return hashlib.sha256(repr(load_library()).encode()).hexdigest()[:12]


def read_library(text: str, rows: Sequence[Row], where: str = FILE) -> tuple[Intervention, ...]:
    """The library from the text of its file and the catalogue's rows. Raises BadLibrary."""
    entries = _by_key(_entries(text, where), where)
    missing = [row.key for row in rows if row.key not in entries]
    unknown = sorted(set(entries) - {row.key for row in rows})
    if missing:
        raise BadLibrary(f"{where}: nothing is said of {', '.join(missing)}. Add an [[intervention]] for each.")
    if unknown:
        raise BadLibrary(f"{where}: the catalogue has no intervention {', '.join(unknown)}. Add a row there first.")
    found = tuple(_joined(row, entries[row.key], f"{where}, {row.key}") for row in rows)
    problems = [sentence for one in found for sentence in problems_of(one)]
    if problems:
        raise BadLibrary(f"{where}: " + " ".join(problems))
    return found


def _entries(text: str, where: str) -> list[dict[str, Any]]:
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadLibrary(f"{where}: not readable as TOML: {error}. Correct that line.") from None
    entries = document.pop("intervention", None)
    if document:
        raise BadLibrary(f"{where}: unknown field {', '.join(sorted(document))} beside [[intervention]]. Take it away.")
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise BadLibrary(f"{where}: holds no [[intervention]] tables. Add one for each intervention.")
    return entries


def _by_key(entries: Iterable[dict[str, Any]], where: str) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for number, entry in enumerate(entries, start=1):
        key = entry.get("key")
        if not isinstance(key, str) or not key:
            raise BadLibrary(f"{where}, intervention {number}, key: text is needed. Add it.")
        if key in found:
            raise BadLibrary(f"{where}, {key}: stands twice. Keep one of them.")
        found[key] = entry
    return found


def _joined(row: Row, entry: dict[str, Any], place: str) -> Intervention:
    said = {name: getattr(row, name) for name in ROW_FIELDS}
    said |= {"answers": [list(end) for end in row.answers], "recheck_weeks": list(row.recheck_weeks)}
    for name in said:
        if name in entry:
            raise BadLibrary(f"{place}, {name}: the catalogue's table says this. Take it away here.")
    return from_fields({**said, **entry}, place)
