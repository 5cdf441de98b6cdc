"""Screens that are worked out from others: never typed, computed each time that their parts are scored.

A round that has both parts gives a value. Where no round has both (one station measured the throwing side, another
the other side), the parts' means over the rounds give one. A value that a file itself gives stands only where the
parts are not there. Where one part is missing, the reason says which.

Their uncertainty is the catalogue's own spread of the derived screen, like that of any screen. Its part from throw to
throw is what the parts' spreads come to (a test holds that). Its part from session to session is the house's and at
most that sum, since one examiner's habits on one day touch both parts alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from metrics.catalogue import Catalogue, Metric
from metrics.catalogue.formulas import derived_metrics, derived_value, is_only_rounded
from metrics.judging.values import NotScored
from metrics.scoring.reasons import PAIN
from metrics.scoring.values import ThrowFacts

GIVEN = "A given value: not both of its parts were measured, so it could not be worked out."
OF_MEANS = "Worked out from the means of its parts, which were measured in different rounds."
NOT_USED = "Worked out from its parts; the given value of {given:g} is not what they come to and was not used."
NO_RATIO = NotScored("no_ratio", "The side that the other is divided by is 0, so that there is no ratio.")

Pair = tuple[float, float]
Reading = Mapping[str, object]


@dataclass(slots=True)
class Derived:
    """Rounds with what follows from them. `reasons`: why a derived screen has no value; `notes` for its finding."""

    throws: tuple[ThrowFacts, ...] = ()
    reasons: dict[str, NotScored] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)


def with_derived(throws: Sequence[ThrowFacts], catalogue: Catalogue) -> Derived:
    """The rounds with every derived screen that follows from them; derived screens of derived ones come after."""
    rounds: list[dict[str, Reading]] = [dict(throw.readings) for throw in throws]
    found = Derived()
    for metric in derived_metrics(catalogue):
        _derive(metric, rounds, catalogue, found)
    found.throws = tuple(replace(throw, readings=one) for throw, one in zip(throws, rounds, strict=True))
    return found


def _derive(metric: Metric, rounds: list[dict[str, Reading]], catalogue: Catalogue, found: Derived) -> None:
    key = _key(metric)
    given = {place: number for place, one in enumerate(rounds) if (number := _number(one, key)) is not None}
    pairs, are_means = _pairs(metric, rounds, catalogue)
    if not pairs:
        if given:
            found.notes[metric.key] = GIVEN
        elif why := _missing_part(metric, rounds, catalogue, found):
            found.reasons[metric.key] = why
        return
    for one in rounds:
        one.pop(key, None)
    if are_means:
        found.notes[metric.key] = OF_MEANS
    for place, (first, second) in pairs.items():
        value = derived_value(metric, first, second)
        if value is None:
            found.reasons[metric.key] = NO_RATIO
            continue
        rounds[place][key] = {"value": value}
        if place in given and not is_only_rounded(metric, given[place], first, second, catalogue):
            found.notes[metric.key] = NOT_USED.format(given=given[place])


def _pairs(
    metric: Metric, rounds: Sequence[Mapping[str, Reading]], catalogue: Catalogue
) -> tuple[dict[int, Pair], bool]:
    """Both parts of each round that has both; else their means, in the last round. True where they are means."""
    one, other = (_key(catalogue.metric(part)) for part in metric.derived_from)
    pairs = {
        place: (first, second)
        for place, readings in enumerate(rounds)
        if (first := _number(readings, one)) is not None and (second := _number(readings, other)) is not None
    }
    firsts, seconds = _numbers(rounds, one), _numbers(rounds, other)
    if pairs or not firsts or not seconds:
        return pairs, False
    return {len(rounds) - 1: (sum(firsts) / len(firsts), sum(seconds) / len(seconds))}, True


def _missing_part(
    metric: Metric, rounds: Sequence[Mapping[str, Reading]], catalogue: Catalogue, found: Derived
) -> NotScored | None:
    """Why there is no value, where at least one part was looked at; None where nobody looked at any."""
    parts = [catalogue.metric(part) for part in metric.derived_from]
    missing = [part for part in parts if not _numbers(rounds, _key(part))]
    sore = [part for part in missing if _is_sore(part, rounds, found)]
    if sore:
        return NotScored(PAIN, f"Not tested: pain ({_names(sore)}).")
    if len(missing) < len(parts):
        code = "side_missing" if metric.formula != "sum" else "part_missing"
        return NotScored(code, f"Not measured: {_names(missing)}.")
    return None


def _is_sore(part: Metric, rounds: Sequence[Mapping[str, Reading]], found: Derived) -> bool:
    known = found.reasons.get(part.key)
    said = any(one.get(_key(part), {}).get("reason") == PAIN for one in rounds)
    return said or (known is not None and known.code == PAIN)


def _names(parts: Iterable[Metric]) -> str:
    return " and ".join(part.name[0].lower() + part.name[1:] for part in parts)


def _key(metric: Metric) -> str:
    return metric.reading_key("unknown")


def _number(readings: Mapping[str, Reading], key: str) -> float | None:
    value = readings.get(key, {}).get("value")
    return None if value is None else float(value)  # type: ignore[arg-type]


def _numbers(rounds: Iterable[Mapping[str, Reading]], key: str) -> list[float]:
    return [number for one in rounds if (number := _number(one, key)) is not None]
