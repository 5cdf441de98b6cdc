"""One metric over an athlete's sessions: what is comparable with the latest, and what is not and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from metrics.catalogue import Metric
from metrics.comparable import same_definition, same_filter
from metrics.selectors.session_words import CONDITION_WORDS, conditions_words, moment_words, name_without_moment
from metrics.selectors.trends.rows import Found, Seen, TrendRows
from sessions.models import FilterKnowledge

WITHOUT_UNIT = ("class", "yes/no", "0-10")
RETIRED_DECIMALS = 1
LANES = ("lower_half", "trunk", "arm", "sequence", "screen", "")
KINDS = ("mechanic", "screen", "outcome", "style", "context")


@dataclass(frozen=True, slots=True)
class Face:
    """How a metric is shown. `place`: in the catalogue's order; `metric` None: retired, no longer in the catalogue."""

    key: str
    name: str
    moment: str
    unit: str
    decimals: int
    kind: str
    lane: str
    weight: float
    first_look: bool
    place: int
    metric: Metric | None

    @property
    def label(self) -> str:
        return f"{self.name}, {self.moment}" if self.moment else self.name

    @property
    def is_ball_speed(self) -> bool:
        return self.key == "ball_speed"


class Spot(NamedTuple):
    """One finding in its session. `why_not`: why it is not comparable with the latest one; "" when it is."""

    session: Seen
    row: Found
    why_not: str

    @property
    def comparable(self) -> bool:
        return not self.why_not

    @property
    def has_value(self) -> bool:
        return self.row.mean is not None


@dataclass(frozen=True)
class Series:
    """One metric by one method. `pairs`: every finding with its session, oldest first; never empty.

    Most metrics of a long record are not drawn on the page that is asked for: what is comparable is found when needed.
    """

    face: Face
    pairs: tuple[tuple[Seen, Found], ...]

    @cached_property
    def reference(self) -> tuple[Seen, Found]:
        """What the others are held against: the latest with a value, rather of throws that ranges are written for."""
        with_value = [pair for pair in self.pairs if pair[1].mean is not None] or list(self.pairs)
        return next((pair for pair in reversed(with_value) if not pair[0].for_orientation), with_value[-1])

    @cached_property
    def spots(self) -> tuple[Spot, ...]:
        reasons = reasons_not(self.pairs, self.reference, self.face.metric)
        return tuple(Spot(*pair, reason) for pair, reason in zip(self.pairs, reasons, strict=True))

    @cached_property
    def compared(self) -> tuple[Spot, ...]:
        """Those that may be put together, and have a value."""
        return tuple(spot for spot in self.spots if spot.comparable and spot.has_value)

    @property
    def latest(self) -> Spot:
        """The latest that may be compared; without any value, the latest of all."""
        return Spot(*self.reference, "")

    @property
    def has_value(self) -> bool:
        return any(row.mean is not None for _, row in self.pairs)


def all_series(rows: TrendRows) -> list[Series]:
    """One a metric that has a finding in these sessions: first as the catalogue lists them, then retired ones."""
    places = {key: place for place, key in enumerate(rows.catalogue.metrics)}
    keys = sorted(rows.findings, key=lambda key: (places.get(key, len(places)), key))
    return [series_of(key, rows, places.get(key, len(places))) for key in keys]


def series_of(key: str, rows: TrendRows, place: int = 0) -> Series:
    found = rows.findings[key]
    pairs = tuple((one, found[one.pk]) for one in rows.sessions if one.pk in found)
    return Series(face_of(key, rows.catalogue.metrics.get(key), pairs[-1][1], place), pairs)


def face_of(key: str, metric: Metric | None, row: Found, place: int) -> Face:
    unit = metric.unit if metric else row.unit
    return Face(
        key=key,
        name=name_without_moment(metric) if metric else key.replace("_", " ").capitalize(),
        moment=moment_words(row.moment),
        unit="count" if unit in WITHOUT_UNIT else unit,
        decimals=metric.decimals if metric else RETIRED_DECIMALS,
        kind=row.kind,
        lane=metric.lane if metric else "",
        weight=row.weight,
        first_look=bool(metric and metric.first_look),
        place=place,
        metric=metric,
    )


def reasons_not(pairs: Sequence[tuple[Seen, Found]], reference: tuple[Seen, Found], metric: Metric | None) -> list[str]:
    """Of each finding why it may not stand beside the reference; "" where it may."""
    session, row = reference
    known: dict[tuple[object, ...], str] = {}
    return [_reason(one, session, metric, known) or _reason_of_finding(found, row, one) for one, found in pairs]


def _reason_of_finding(found: Found, reference: Found, session: Seen) -> str:
    if found.condition_set != reference.condition_set:
        return other_conditions(found, reference, session.conditions_used or {})
    if found.moment != reference.moment:
        return f"read at another moment: {moment_words(found.moment) or 'not known'}"
    return ""


def other_conditions(found: Found, reference: Found, conditions: Mapping[str, str]) -> str:
    """other conditions: flat ground; only what differs, where the two can be told apart."""
    own, other = found.condition_set.split(" · "), reference.condition_set.split(" · ")
    if len(own) == len(other):
        known = {value: word for words in CONDITION_WORDS.values() for value, word in words.items()}
        differing = [known.get(mine, mine) for mine, yours in zip(own, other, strict=True) if mine != yours]
        return f"other conditions: {', '.join(differing)}"
    return f"other conditions: {conditions_words(conditions) or 'not known'}"


def _reason(one: Seen, reference: Seen, metric: Metric | None, known: dict[tuple[object, ...], str]) -> str:
    """Filter and definition; sessions that were measured alike are asked about once."""
    signature = (one.filter_knowledge, one.filter_hz, one.setup, *sorted(one.definitions.items()))
    if signature not in known:
        known[signature] = _reason_of_session(one, reference, metric)
    return known[signature]


def _reason_of_session(one: Seen, reference: Seen, metric: Metric | None) -> str:
    if metric is None:
        return ""
    if not same_definition(metric, one, reference):
        return f"another definition: {_definition(one, metric)}"
    return "" if same_filter(metric, one, reference) else filter_words(one, reference)


def _definition(one: Seen, metric: Metric) -> str:
    said = one.definitions.get(metric.key, metric.definition_default if metric.is_screen else "")
    return said.replace("_", " ") or "not known"


def filter_words(one: Seen, reference: Seen) -> str:
    if one.filter_knowledge == FilterKnowledge.KNOWN:
        return f"another filter: {one.filter_hz:g} Hz"
    if one.filter_knowledge == FilterKnowledge.NONE:
        return "another filter: none"
    if reference.filter_knowledge == FilterKnowledge.UNKNOWN:
        return "its filter is not known, and it is of another room"
    return "its filter is not known"
