"""The values of the catalogue: what one metric is, how far it usually varies, and all of them together."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from metrics.catalogue.errors import NoSpread, UnknownMetric, UnknownMoment
from metrics.catalogue.words import (
    LANDING_MOMENTS,
    LEVELS,
    METHODS,
    PERSON,
    PLAUSIBLE_HEIGHTS_M,
    SPACELESS_UNITS,
    UNIT_SYMBOLS,
)


@dataclass(frozen=True, slots=True)
class Spread:
    """How far one athlete's values usually vary, in the unit of the metric (never its storage unit).

    ``within_sd`` is throw to throw inside one session (s0 of the finding); ``session_sd`` is session to
    session with one capture method (u_b), None when not known. Each carries a status in words.
    """

    within_sd: float
    within_status: str
    session_sd: float | None
    session_status: str
    source: str


@dataclass(frozen=True, slots=True)
class Metric:
    """One thing that is measured: a mechanic, an outcome, a style, context, or a hands-on screen.

    Numbers are in ``unit``. ``moment`` is an event ("fp"), an interval ("fc-br"), "screen" for screens, or
    "" for times and gaps of peaks, which stand on the delivery line at the peak itself.
    ``landing_rate`` and ``event_rate`` are typical sizes of the change per second at landing (for a landing
    event that is open) and at the metric's own event (for the error of one frame); an extreme has 0.
    ``formula`` says how a screen that is never typed is worked out: from its parts, the screens of
    ``derived_from`` (words.FORMULAS), or "person", from the athlete's record.
    ``reference_keys`` name the rows of the reference tables of screens and cause links that mean this screen.
    """

    key: str
    name: str
    short_name: str
    plain_name: str
    unit: str
    decimals: int
    lane: str
    moment: str
    kind: str
    weight: float
    low_word: str
    high_word: str
    low_sentence: str
    high_sentence: str
    why: str
    synonyms: tuple[str, ...]
    family: str = ""
    first_look: bool = False
    plausible_low: float | None = None
    plausible_high: float | None = None
    filter_dependent: bool = False
    definitions: tuple[str, ...] = ()
    view: str = ""
    projected: bool = False
    landing_rate: float | None = None
    event_rate: float | None = None
    rate_status: str = ""
    side: str = ""
    how_measured: str = ""
    derived_from: tuple[str, ...] = ()
    formula: str = ""
    reference_keys: tuple[str, ...] = ()
    context_cause: bool = False
    spreads: Mapping[tuple[str, str], Spread] = field(
        default_factory=lambda: MappingProxyType({}), repr=False, compare=False
    )

    @property
    def is_screen(self) -> bool:
        """Whether this is taken by hand on the body rather than from a throw."""
        return self.kind == "screen"

    @property
    def is_context(self) -> bool:
        """Whether it explains but is never a starting point (age-like causes, ball speed, workload)."""
        return self.kind == "context" or self.context_cause

    @property
    def is_from_person(self) -> bool:
        """Whether it is worked out from the athlete's record (age, sizes, throws) and never taken from a session."""
        return self.formula == PERSON

    @property
    def is_landing_dependent(self) -> bool:
        """Whether its value hangs on which landing moment is meant: first touch or weight on the foot."""
        return "fp" in self.moment.split("-")

    @property
    def storage_unit(self) -> str:
        """Unit of stored readings: lengths that are shown in percent of height are kept in metres."""
        return "m" if self.unit == "% height" else self.unit

    @property
    def definition_default(self) -> str:
        """The definition that a reading has when nothing else is said; "" when there is only one."""
        return self.definitions[0] if self.definitions else ""

    def moment_for(self, landing: str) -> str:
        """The moment with foot plant replaced by the landing moment meant: fc, fp, or unknown.

        Raises ValueError for another word.
        """
        if landing not in LANDING_MOMENTS:
            raise ValueError(f"landing is one of {', '.join(LANDING_MOMENTS)}, got {landing!r}")
        return "-".join(LANDING_MOMENTS[landing] if part == "fp" else part for part in self.moment.split("-"))

    def reading_key(self, landing: str) -> str:
        """Key of a stored reading, ``metric@moment``; times and gaps of peaks end with the bare "@"."""
        return f"{self.key}@{self.moment_for(landing)}"

    def can_be_given_by(self, method: str) -> bool:
        """Whether the capture method can give this metric at all."""
        return any(known == method for known, _ in self.spreads)

    def spread(self, method: str, level: str = "") -> Spread:
        """Typical spread by capture method and level; the row for all levels where none is kept apart.

        Raises ValueError for an unknown method or level, NoSpread when the method cannot give this metric.
        """
        if method not in METHODS:
            raise ValueError(f"capture method is one of {', '.join(METHODS)}, got {method!r}")
        if level and level not in LEVELS:
            raise ValueError(f"level is one of {', '.join(LEVELS)}, got {level!r}")
        found = self.spreads.get((method, level)) or self.spreads.get((method, ""))
        if found is None:
            raise NoSpread(f"{self.name} cannot be given by {method.replace('_', ' ')}")
        return found


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All metrics and screens in their listed order, and the version of the data that they came from."""

    metrics: Mapping[str, Metric]
    version: str

    def metric(self, key: str) -> Metric:
        """The metric or screen of this key. Raises UnknownMetric."""
        try:
            return self.metrics[key]
        except KeyError:
            raise UnknownMetric(f"no metric or screen has the key {key!r}") from None

    @property
    def first_look(self) -> tuple[Metric, ...]:
        """The dozen that a coach reads first."""
        return tuple(metric for metric in self.metrics.values() if metric.first_look)

    @property
    def screens(self) -> tuple[Metric, ...]:
        """The hands-on screens."""
        return tuple(metric for metric in self.metrics.values() if metric.is_screen)

    @property
    def families(self) -> Mapping[str, tuple[Metric, ...]]:
        """Metrics that say the same thing at several moments, by the name of their family."""
        names = dict.fromkeys(metric.family for metric in self.metrics.values() if metric.family)
        return {name: tuple(m for m in self.metrics.values() if m.family == name) for name in names}

    def screens_for(self, reference_key: str) -> tuple[Metric, ...]:
        """The screens that a key of the reference tables (screens, cause links) stands for."""
        return tuple(screen for screen in self.screens if reference_key in screen.reference_keys)

    def parse_reading_key(self, text: str) -> tuple[Metric, str]:
        """Split ``metric@moment`` and check both. Raises UnknownMetric or UnknownMoment."""
        key, _, moment = text.partition("@")
        metric = self.metric(key)
        allowed = {metric.moment_for(landing) for landing in LANDING_MOMENTS}
        if moment not in allowed:
            known = ", ".join(sorted(allowed)) or "no moment"
            raise UnknownMoment(f"{metric.name} is read at {known}, not at {moment!r}")
        return metric, moment

    def check_value(self, key: str, value: float, unit: str = "") -> str | None:
        """A sentence when the value is no number or outside the metric's plausible span, else None.

        ``unit`` is the metric's own unless its storage unit is named: metres of a metric in percent of
        height are held against the span of the shortest to the tallest pitcher. Raises UnknownMetric, and
        ValueError for any other unit.
        """
        metric = self.metric(key)
        unit = unit or metric.unit
        if not math.isfinite(value):
            return f"{metric.name} is not a finite number."
        low, high = _span(metric, unit)
        if (low is None or value >= low) and (high is None or value <= high):
            return None
        bound, word = (low, "least") if low is not None and value < low else (high, "most")
        got, expected = _with_unit(value, unit), _with_unit(bound, unit)
        return f"{metric.name} of {got} is not plausible: at {word} {expected} is expected."


def _span(metric: Metric, unit: str) -> tuple[float | None, float | None]:
    """The plausible span in the named unit, either end None when open."""
    ends = (metric.plausible_low, metric.plausible_high)
    if unit == metric.unit:
        return ends
    if unit != metric.storage_unit:
        raise ValueError(f"{metric.key} is kept in {metric.storage_unit} and shown in {metric.unit}, got {unit!r}")
    low, high = (
        None if end is None else end / 100 * height for end, height in zip(ends, PLAUSIBLE_HEIGHTS_M, strict=True)
    )
    return low, high


def _with_unit(value: float | None, unit: str) -> str:
    """A number for a sentence: true minus sign, degree sign without a space, other units after one."""
    number = f"{value:.6g}".replace("-", "−")
    symbol = UNIT_SYMBOLS.get(unit, unit)
    return f"{number}{symbol}" if unit in SPACELESS_UNITS else f"{number} {symbol}"
