"""What is wrong with the rules of a draft profile, in sentences, before it is saved."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from metrics.judging.ranges import index_rules, limits_for_size, size_interval
from metrics.judging.sides import severity_unit
from metrics.judging.values import (
    CONDITION_FIELDS,
    LANDINGS,
    LEVELS,
    METHODS,
    SIZE_BASES,
    SIZE_WORDS,
    STATUS_RANK,
    Limits,
    Rule,
)

LIMIT_FIELDS = ("flag_low", "target_low", "target_high", "flag_high")
NUMBER_FIELDS = (
    *LIMIT_FIELDS,
    *(f"slope_{name}" for name in LIMIT_FIELDS),
    *("size_ref", "size_low", "size_high", "unit_low", "unit_high", "filter_hz", "source_mean", "source_sd"),
)
KNOWN_WORDS = {
    "method": (None, *METHODS),
    "level": (None, *LEVELS),
    "size_basis": SIZE_BASES,
    "landing": (None, *(name for name in LANDINGS if name != "unknown")),
    "status": tuple(STATUS_RANK),
}


@dataclass(frozen=True, slots=True)
class Conflict:
    """One thing to put right: a code, the rules it concerns, the field to look at, and what to say."""

    code: str
    rule_ids: tuple[int | str, ...]
    sentence: str
    field: str = ""


def find_conflicts(rules: Iterable[Rule], *, filter_dependent: Collection[str] | None = None) -> list[Conflict]:
    """Everything that keeps a profile from being saved; an empty list when it may be.

    filter_dependent: the metrics whose rules are told apart by their filter; None = all of them.
    """
    indexed = index_rules(rules)
    found: list[Conflict] = []
    for of_metric in indexed.values():
        sound = []
        for rule in of_metric:
            wrong = list(_check_rule(rule))
            found.extend(wrong)
            if not any(one.code in ("not_a_number", "unknown_word") for one in wrong):
                sound.append(rule)
        by_filter = filter_dependent is None or of_metric[0].metric in filter_dependent
        found.extend(_tie(one, other) for one, other in combinations(sound, 2) if _can_tie(one, other, by_filter))
    return found


def _check_rule(rule: Rule) -> Iterator[Conflict]:
    """The checks of one rule; the first kind that fails hides those that would only repeat it."""
    for check in (_check_words, _check_numbers, _check_size, _check_sides, _check_order, _check_unit):
        wrong = list(check(rule))
        yield from wrong
        if wrong:
            return


def _check_words(rule: Rule) -> Iterator[Conflict]:
    for field, known in KNOWN_WORDS.items():
        value = getattr(rule, field)
        if value not in known:
            expected = ", ".join(str(word) for word in known if word)
            yield Conflict("unknown_word", (rule.id,), f"{field}: “{value}” is not known. Use {expected}.", field)


def _check_numbers(rule: Rule) -> Iterator[Conflict]:
    for field in NUMBER_FIELDS:
        value = getattr(rule, field)
        if value is not None and not math.isfinite(value):
            yield Conflict("not_a_number", (rule.id,), f"{field} must be a number, or empty for open.", field)
    for field in ("unit_low", "unit_high", "source_sd", "filter_hz"):
        value = getattr(rule, field)
        if value is not None and value <= 0:
            yield Conflict("not_positive", (rule.id,), f"{field} must be above zero, got {value:g}.", field)


def _check_size(rule: Rule) -> Iterator[Conflict]:
    slopes = any(getattr(rule, f"slope_{name}") for name in LIMIT_FIELDS)
    if rule.size_basis == "none":
        if slopes:
            yield Conflict(
                "slope_without_basis",
                (rule.id,),
                "Limits change with body size, but no body size is named.",
                "size_basis",
            )
        return
    if rule.size_ref is None and slopes:
        yield Conflict("no_reference_size", (rule.id,), "Say for which body size the limits were written.", "size_ref")
    low, high = size_interval(rule)
    if low >= high:
        yield Conflict(
            "reversed_interval",
            (rule.id,),
            f"The {SIZE_WORDS[rule.size_basis]} interval runs from {low:g} to {high:g}: turn it round.",
            "size_low",
        )
    if slopes and not (math.isfinite(low) and math.isfinite(high)):
        yield Conflict(
            "open_interval",
            (rule.id,),
            "Limits that change with body size need an interval with both ends.",
            "size_low",
        )


def _check_sides(rule: Rule) -> Iterator[Conflict]:
    if rule.target_low is None and rule.target_high is None:
        yield Conflict(
            "no_target", (rule.id,), "The target is open on both sides: give at least one limit.", "target_low"
        )
    for side in ("low", "high"):
        if getattr(rule, f"flag_{side}") is not None and getattr(rule, f"target_{side}") is None:
            yield Conflict(
                "flag_without_target",
                (rule.id,),
                f"There is a flag limit on the {side} side but no target limit: give both.",
                f"target_{side}",
            )


def _check_order(rule: Rule) -> Iterator[Conflict]:
    """Limits in order at both ends of the size interval (they are straight lines, so in between too)."""
    moves = rule.size_basis != "none" and any(getattr(rule, f"slope_{name}") for name in LIMIT_FIELDS)
    sizes = size_interval(rule) if moves else (None,)
    for size in sizes:
        limits, used = limits_for_size(rule, size if size is None or math.isfinite(size) else rule.size_ref)
        where = "" if used is None else f" at a {SIZE_WORDS[rule.size_basis]} of {used:g}"
        if not limits.target_low < limits.target_high:
            yield Conflict(
                "reversed_limits",
                (rule.id,),
                f"The target runs from {limits.target_low:g} to {limits.target_high:g}{where}: "
                "its low end must lie below its high end.",
                "target_low",
            )
        for side, flag, edge, wrong in (
            ("low", limits.flag_low, limits.target_low, limits.flag_low > limits.target_low),
            ("high", limits.flag_high, limits.target_high, limits.flag_high < limits.target_high),
        ):
            if wrong:
                yield Conflict(
                    "flag_inside_target",
                    (rule.id,),
                    f"The {side} flag limit {flag:g} lies inside the target, which ends at {edge:g}{where}.",
                    f"flag_{side}",
                )


def _check_unit(rule: Rule) -> Iterator[Conflict]:
    """A side with neither watch zone nor closed target has nothing to measure severity by."""
    size = rule.size_ref if rule.size_basis != "none" else None
    limits, _ = limits_for_size(rule, size)
    for side, watch in _watch_widths(limits):
        if getattr(rule, f"target_{side}") is None:
            continue
        width = limits.target_high - limits.target_low
        if math.isnan(severity_unit(watch, width, getattr(limits, f"unit_{side}"))):
            yield Conflict(
                "unit_missing",
                (rule.id,),
                f"The {side} side has no watch zone and the target is open on the other side: "
                f"say how far off counts as one unit of severity (unit_{side}).",
                f"unit_{side}",
            )


def _watch_widths(limits: Limits) -> tuple[tuple[str, float], tuple[str, float]]:
    return ("low", limits.target_low - limits.flag_low), ("high", limits.flag_high - limits.target_high)


def _can_tie(one: Rule, other: Rule, by_filter: bool) -> bool:
    """Whether some athlete's session is matched by both rules, with nothing that puts one first."""
    return (
        _specificity(one) == _specificity(other)
        and all(
            _compatible(getattr(one, field), getattr(other, field)) for field in ("method", "level", *CONDITION_FIELDS)
        )
        and one.landing == other.landing
        and one.definition == other.definition
        and not (by_filter and one.filter_hz != other.filter_hz)
        and _sizes_overlap(one, other)
    )


def _specificity(rule: Rule) -> tuple[object, ...]:
    return (
        rule.method is not None,
        sum(getattr(rule, field) is not None for field in CONDITION_FIELDS),
        rule.level is not None,
        rule.size_basis != "none",
        rule.status,
    )


def _compatible(one: str | None, other: str | None) -> bool:
    return one is None or other is None or one == other


def _sizes_overlap(one: Rule, other: Rule) -> bool:
    """Touching intervals do not overlap; intervals of two different measures always can."""
    if one.size_basis != other.size_basis or one.size_basis == "none":
        return True
    (low, high), (other_low, other_high) = size_interval(one), size_interval(other)
    return max(low, other_low) < min(high, other_high)


def _tie(one: Rule, other: Rule) -> Conflict:
    return Conflict(
        "overlap",
        (one.id, other.id),
        f"Two rules for {one.metric} ({one.id} and {other.id}) can both win for one athlete: "
        "narrow one of them, or remove it.",
    )
