"""Reads the catalogue's data files, checks them against each other, and hands out one Catalogue."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from metrics.catalogue.errors import BadCatalogue
from metrics.catalogue.model import Catalogue, Metric
from metrics.catalogue.schema import metric_from, normalise_name
from metrics.catalogue.spreads import spreads_by_metric

DATA_FOLDER = Path(__file__).parent / "data"
LANE_FILES = {
    "lower_half.toml": "lower_half",
    "trunk.toml": "trunk",
    "arm.toml": "arm",
    "sequence.toml": "sequence",
    "screens.toml": "screen",
}
ORDER_FILE = "order.toml"
SPREADS_FILE = "spreads.csv"


@cache
def load_catalogue() -> Catalogue:
    """The shipped catalogue, read once in a process."""
    return read_catalogue(DATA_FOLDER)


def parse_reading_key(text: str) -> tuple[Metric, str]:
    """Metric and moment of a stored reading's key. Raises UnknownMetric or UnknownMoment."""
    return load_catalogue().parse_reading_key(text)


def read_catalogue(folder: Path) -> Catalogue:
    """Read and check the data files of a folder. Raises BadCatalogue with file, entry and field."""
    texts = {name: _read_text(folder / name) for name in (*LANE_FILES, ORDER_FILE, SPREADS_FILE)}
    entries = [
        metric_from(entry, lane, name) for name, lane in LANE_FILES.items() for entry in _tables(texts[name], name)
    ]
    metrics = _in_order(_by_key(entries), _order(texts[ORDER_FILE]))
    _check_names(metrics.values())
    _check_families(metrics.values())
    _check_parts(metrics)
    spreads = spreads_by_metric(texts[SPREADS_FILE], metrics, SPREADS_FILE)
    whole = {key: replace(metric, spreads=spreads[key]) for key, metric in metrics.items()}
    return Catalogue(metrics=MappingProxyType(whole), version=_version(texts))


def _version(texts: Mapping[str, str]) -> str:
    """Short hash of all data files: the same data has the same version on every machine."""
    digest = hashlib.sha256()
    for name in sorted(texts):
        digest.update(f"{name}\0{texts[name]}\0".encode())
    return digest.hexdigest()[:12]


def _read_text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise BadCatalogue(f"{path.name}: the file is missing") from None
    except UnicodeDecodeError as error:
        raise BadCatalogue(f"{path.name}: not UTF-8 text at byte {error.start}") from None


def _toml(text: str, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadCatalogue(f"{where}: not readable as TOML: {error}") from None


def _tables(text: str, where: str) -> list[dict[str, Any]]:
    document = _toml(text, where)
    entries = document.pop("metric", [])
    if document:
        raise BadCatalogue(f"{where}: unknown field {', '.join(sorted(document))} beside [[metric]]")
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries) or not entries:
        raise BadCatalogue(f"{where}: holds no [[metric]] tables")
    return entries


def _order(text: str) -> list[str]:
    document = _toml(text, ORDER_FILE)
    keys = document.get("metrics")
    if set(document) != {"metrics"} or not isinstance(keys, list):
        raise BadCatalogue(f"{ORDER_FILE}: holds one list named metrics and nothing else")
    return keys


def _by_key(entries: Iterable[Metric]) -> dict[str, Metric]:
    found: dict[str, Metric] = {}
    for metric in entries:
        if metric.key in found:
            raise BadCatalogue(f"duplicate key {metric.key}: in lane {found[metric.key].lane} and {metric.lane}")
        found[metric.key] = metric
    return found


def _in_order(metrics: Mapping[str, Metric], order: list[str]) -> dict[str, Metric]:
    """Metrics as the order file lists them, screens after them as their file lists them."""
    listed = [key for key in metrics if not metrics[key].is_screen]
    if sorted(listed) != sorted(map(str, order)):
        odd = sorted(set(listed) ^ set(map(str, order))) or ["a key that stands twice"]
        raise BadCatalogue(f"{ORDER_FILE}: does not list each metric once: {', '.join(odd)}")
    screens = [key for key in metrics if metrics[key].is_screen]
    return {key: metrics[key] for key in (*order, *screens)}


def _check_names(metrics: Iterable[Metric]) -> None:
    """No key, name, short name or synonym may mean two metrics, or a column would match both."""
    owners: dict[str, str] = {}
    for metric in metrics:
        for text in (metric.key, metric.name, metric.short_name, *metric.synonyms):
            owner = owners.setdefault(normalise_name(text), metric.key)
            if owner != metric.key:
                raise BadCatalogue(f"{text!r} names both {owner} and {metric.key}")


def _check_families(metrics: Iterable[Metric]) -> None:
    members: dict[str, list[str]] = {}
    for metric in metrics:
        if metric.family:
            members.setdefault(metric.family, []).append(metric.key)
    for family, keys in members.items():
        if len(keys) == 1:
            raise BadCatalogue(f"family {family} has one member, {keys[0]}; a family needs two")


def _check_parts(metrics: Mapping[str, Metric]) -> None:
    """A derived screen names existing screens, and never itself through its parts."""
    for metric in metrics.values():
        for part in metric.derived_from:
            if part not in metrics or not metrics[part].is_screen:
                raise BadCatalogue(f"{metric.key}: derived_from names {part!r}, which is no screen")
        reached, frontier = set(), list(metric.derived_from)
        while frontier:
            part = frontier.pop()
            if part == metric.key:
                raise BadCatalogue(f"{metric.key}: derived_from runs in a circle")
            if part not in reached and part in metrics:
                reached.add(part)
                frontier.extend(metrics[part].derived_from)
