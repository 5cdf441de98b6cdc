"""The table of typical spreads: its columns, its checks, and what it must cover."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from types import MappingProxyType

from metrics.catalogue import words
from metrics.catalogue.errors import BadCatalogue
from metrics.catalogue.model import Metric, Spread

COLUMNS = (
    "metric_key", "method", "level", "within_sd", "within_status", "session_sd", "session_status", "source",
)  # fmt: skip
SpreadTable = Mapping[tuple[str, str], Spread]


def spreads_by_metric(text: str, metrics: Mapping[str, Metric], where: str) -> dict[str, SpreadTable]:
    """All rows of the table by metric key, each a map from (method, level) to Spread. Raises BadCatalogue."""
    reader = csv.DictReader(text.splitlines(), restval=None)
    if tuple(reader.fieldnames or ()) != COLUMNS:
        raise BadCatalogue(f"{where}: the columns must be {', '.join(COLUMNS)}")
    found: dict[str, dict[tuple[str, str], Spread]] = {}
    for number, row in enumerate(reader, start=2):
        place = f"{where}, row {number}"
        if None in row or None in row.values():
            raise BadCatalogue(f"{place}: the row does not have {len(COLUMNS)} cells")
        key, method, level = row["metric_key"], row["method"], row["level"]
        _check_place(key, method, level, metrics, place)
        table = found.setdefault(key, {})
        if (method, level) in table:
            raise BadCatalogue(f"{place}: {key}, {method}, {level or 'all levels'} stands twice")
        table[method, level] = _spread_from(row, place)
    for metric in metrics.values():
        _check_cover(metric, found.get(metric.key, {}), where)
    return {key: MappingProxyType(table) for key, table in found.items()}


def _check_place(key: str, method: str, level: str, metrics: Mapping[str, Metric], place: str) -> None:
    if key not in metrics:
        raise BadCatalogue(f"{place}: no metric or screen has the key {key!r}")
    if method not in words.METHODS:
        raise BadCatalogue(f"{place}: method {method!r} is not one of {', '.join(words.METHODS)}")
    if level and level not in words.LEVELS:
        raise BadCatalogue(f"{place}: level {level!r} is not blank or one of {', '.join(words.LEVELS)}")
    metric = metrics[key]
    if metric.is_screen != (method == "hands_on"):
        raise BadCatalogue(f"{place}: screens are hands-on, and nothing else is")
    if method == "video" and not metric.view and metric.kind != "context":
        raise BadCatalogue(f"{place}: {key} has no video view, so video cannot give it")


def _spread_from(row: Mapping[str, str], place: str) -> Spread:
    for name in ("within_status", "session_status", "source"):
        if not row[name].strip():
            raise BadCatalogue(f"{place}, {name}: text is missing")
    within = _size(row["within_sd"], f"{place}, within_sd")
    if within == 0:
        raise BadCatalogue(f"{place}, within_sd: must be above 0, else one throw would be certain")
    session = _size(row["session_sd"], f"{place}, session_sd") if row["session_sd"] else None
    return Spread(within, row["within_status"], session, row["session_status"], row["source"])


def _size(text: str, place: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or value < 0:
        raise BadCatalogue(f"{place}: a number of 0 or more is needed, got {text!r}")
    return value


def _check_cover(metric: Metric, table: SpreadTable, where: str) -> None:
    """Every metric needs a row for all levels from each method that can give it."""
    needed = ["hands_on"] if metric.is_screen else ["motion_capture"]
    if metric.view:
        needed.append("video")
    for method in needed:
        if (method, "") not in table:
            raise BadCatalogue(f"{where}: {metric.key} has no row for all levels by {method}")
