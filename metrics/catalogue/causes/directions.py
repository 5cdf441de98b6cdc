"""In which directions a metric can be off: by its range rules, by its words, and by what it is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import cache

from metrics.catalogue.model import Metric
from metrics.catalogue.profiles import load_starting_profile, starting_profile_names

FINE_WORDS = frozenset({"no pain", "in order", "normal", "steady", "none lost"})
"""Words of the catalogue that say that nothing is wrong at that end."""

Sides = Mapping[str, frozenset[str]]


@cache
def starting_sides() -> Sides:
    """Metric → the directions in which some rule of a starting profile has a flag limit or a target's edge."""
    rules = [rule for name in starting_profile_names() for rule in load_starting_profile(name).rules]
    return sides_of(rules)


def sides_of(rules: Iterable[Mapping[str, object]]) -> Sides:
    """The same of any range rules with the fields metric, target_low, target_high, flag_low, flag_high."""
    found: defaultdict[str, set[str]] = defaultdict(set)
    for rule in rules:
        found[str(rule["metric"])] |= {
            side for side in ("low", "high") if rule[f"target_{side}"] is not None or rule[f"flag_{side}"] is not None
        }
    return {metric: frozenset(sides) for metric, sides in found.items()}


def why_never(metric: Metric, direction: str, sides: Sides) -> str | None:
    """Why a metric can never be off in this direction; None when it can.

    A screen, a context fact or a mechanic without any rule is judged by its words alone: its ranges come with the
    installation. A load or other outcome without a rule carries no range by design.
    """
    word = metric.low_word if direction == "low" else metric.high_word
    if word in FINE_WORDS:
        return f"its word for {direction} is “{word}”"
    if metric.key in sides:
        return None if direction in sides[metric.key] else f"every range is open on its {direction} side"
    return "it is an outcome without a range" if metric.kind == "outcome" else None
