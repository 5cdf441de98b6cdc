"""What a rule must meet before it can be chosen, and what to say when no rule does."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import NamedTuple

from metrics.judging.values import (
    CONDITION_FIELDS,
    LANDING_WORDS,
    SIZE_WORDS,
    BodySize,
    Conditions,
    Rule,
)

FILTER_TOLERANCE_HZ = 0.5
"""Two filters are the same when their cut-offs differ by less than this. House default."""


@dataclass(frozen=True, slots=True)
class Case:
    """One metric of one session, as far as the choice of a rule depends on it."""

    metric: str
    method: str
    level: str | None
    conditions: Conditions
    body_size: BodySize
    available_landings: Collection[str] = ()
    definition: str | None = None
    default_definition: str | None = None
    filter_hz: float | None = None
    filter_dependent: bool = False
    landing_dependent: bool = False
    landing_rate: float | None = None


class Landing(NamedTuple):
    """The moment whose reading a rule would judge; `is_open`: not known to be the rule's own moment."""

    name: str
    is_open: bool


def landing_for(rule: Rule, case: Case) -> Landing | None:
    """The reading that this rule would judge; None when it is not among the session's."""
    if not case.landing_dependent:
        return Landing("", False)
    available = case.available_landings
    if rule.landing is None:
        found = next((name for name in ("fp", "fc", "unknown") if name in available), None)
        return Landing(found, True) if found else None
    if rule.landing in available:
        return Landing(rule.landing, False)
    return Landing("unknown", True) if "unknown" in available else None


def _can_be_weighed(rule: Rule, case: Case) -> bool:
    landing = landing_for(rule, case)
    return landing is not None and (not landing.is_open or case.landing_rate is not None)


def _same_filter(rule: Rule, case: Case) -> bool:
    if rule.filter_hz is None or not case.filter_dependent:
        return True
    return case.filter_hz is not None and abs(rule.filter_hz - case.filter_hz) < FILTER_TOLERANCE_HZ


class Gate(NamedTuple):
    """One condition that a rule must meet, and what to say when no rule does."""

    code: str
    lets_through: Callable[[Rule, Case], bool]
    sentence: Callable[[list[Rule], Case], str]


def _words(code: str | None) -> str:
    return "not known" if code is None else code.replace("_", " ")


def _landing_words(rules: list[Rule]) -> str:
    named = sorted({LANDING_WORDS[rule.landing] for rule in rules if rule.landing})
    return "the landing" if not named else "landing as " + " or ".join(f"“{word}”" for word in named)


def _missing_sizes(rules: list[Rule]) -> str:
    return " and ".join(sorted({SIZE_WORDS[rule.size_basis] for rule in rules}))


GATES = (
    Gate(
        "no_rule",
        lambda rule, case: rule.metric == case.metric,
        lambda rules, case: "The range profile has no rule for this metric.",
    ),
    Gate(
        "no_rule_for_method",
        lambda rule, case: rule.method in (None, case.method),
        lambda rules, case: f"The range profile has no rule for capture by {_words(case.method)}.",
    ),
    Gate(
        "no_rule_for_level",
        lambda rule, case: rule.level in (None, case.level),
        lambda rules, case: f"The range profile has no rule for this level ({_words(case.level)}).",
    ),
    Gate(
        "no_rule_for_conditions",
        lambda rule, case: all(
            getattr(rule, field) in (None, getattr(case.conditions, field)) for field in CONDITION_FIELDS
        ),
        lambda rules, case: "The range profile has no rule for throws under these conditions.",
    ),
    Gate(
        "other_definition",
        lambda rule, case: case.definition is None or rule.definition in (None, case.definition),
        lambda rules, case: (
            f"The reading is defined as “{_words(case.definition)}”, the range is not: they cannot be compared."
        ),
    ),
    Gate(
        "other_filter",
        _same_filter,
        lambda rules, case: (
            "The range was written for another filter than the readings "
            f"({'not known' if case.filter_hz is None else f'{case.filter_hz:g} Hz'})."
        ),
    ),
    Gate(
        "other_landing",
        lambda rule, case: landing_for(rule, case) is not None,
        lambda rules, case: f"The range is for {_landing_words(rules)}, and there is no reading at that moment.",
    ),
    Gate(
        "landing_unknown",
        _can_be_weighed,
        lambda rules, case: (
            "Range and reading may belong to different landing moments, "
            "and how fast this metric moves there is not known."
        ),
    ),
    Gate(
        "body_size_missing",
        lambda rule, case: rule.size_basis == "none" or case.body_size.on_basis(rule.size_basis) is not None,
        lambda rules, case: f"The range depends on {_missing_sizes(rules)}, which is not known for that date.",
    ),
)
"""What a rule must meet, in the order in which it is asked; the first that empties the list is the reason."""
