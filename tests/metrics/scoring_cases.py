"""Small sessions and profiles as plain values, for tests that score without a database."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType

from metrics.catalogue import Catalogue, load_catalogue
from metrics.catalogue.model import Spread
from metrics.judging.ranges import index_rules
from metrics.judging.values import BodySize, Rule, Thresholds
from metrics.scoring import ProfileRules, SessionFacts, ThrowFacts

DAY = dt.date(2026, 4, 14)
BODY = BodySize(height_cm=185.0, mass_kg=80.0, height_date=DAY, mass_date=DAY)


def throw(number: int, readings: Mapping[str, Mapping[str, object]], **changes: object) -> ThrowFacts:
    """An ordinary throw: mound, full effort, fastball, regulation ball."""
    plain = ThrowFacts(number, "fastball", "full_effort", "mound", "regulation", False, 36.0, readings)
    return replace(plain, **changes)


def throws_of(key: str, values: Iterable[float], **changes: object) -> tuple[ThrowFacts, ...]:
    """One throw a value, each with this one reading."""
    return tuple(throw(place, {key: {"value": value}}, **changes) for place, value in enumerate(values, start=1))


def session(throws: Iterable[ThrowFacts], **changes: object) -> SessionFacts:
    plain = SessionFacts(
        date=DAY,
        method="motion_capture",
        level="high_school",
        body_size=BODY,
        landing="fp",
        filter_hz=None,
        frame_rate_hz=None,
        definitions={},
        throws=tuple(throws),
    )
    return replace(plain, **changes)


def profile(*rules: Rule, weights: Mapping[str, float] | None = None, **thresholds: float) -> ProfileRules:
    return ProfileRules(index_rules(rules), Thresholds(**thresholds), weights or {}, {})


def catalogue_with(key: str, *, within_sd: float, session_sd: float | None) -> Catalogue:
    """The catalogue, with this spread for one metric whatever the method."""
    whole = load_catalogue()
    spread = Spread(within_sd, "test", session_sd, "test", "test")
    metric = replace(
        whole.metric(key),
        event_rate=0.0,
        spreads=MappingProxyType({(method, ""): spread for method in ("motion_capture", "video", "hands_on")}),
    )
    return Catalogue(MappingProxyType({**whole.metrics, key: metric}), whole.version)
