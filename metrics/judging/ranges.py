"""Which rule of a range profile applies to one athlete on one date, and its limits for that body.

Most specific wins: method, then conditions, then level, then size interval; then the better founded
rule (published, from memory, common practice, house opinion); then a rule for weight on the foot
before one for first touch.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from metrics.judging.findings import event_uncertainty
from metrics.judging.gates import GATES, Case, Landing, landing_for
from metrics.judging.values import (
    CONDITION_FIELDS,
    LANDING_WORDS,
    SIZE_UNITS,
    SIZE_WORDS,
    STATUS_RANK,
    Applied,
    BodySize,
    Conditions,
    Limits,
    NotScored,
    Rule,
)

LANDING_HALF_WINDOW_S = 0.020
"""δ of a landing that nobody named, in seconds. Weight comes onto the foot 0 to 80 ms after first
touch; the middle half of that window, 20 to 60 ms, is taken as the usual case: 40 ms ± 20 ms.
House default, no published source."""

LANDING_ORDER = {"fp": 2, "fc": 1, None: 0}


def index_rules(rules: Iterable[Rule]) -> Mapping[str, tuple[Rule, ...]]:
    """Rules by metric, for a caller that resolves many metrics of one profile."""
    by_metric: defaultdict[str, list[Rule]] = defaultdict(list)
    for rule in rules:
        by_metric[rule.metric].append(rule)
    return {metric: tuple(found) for metric, found in by_metric.items()}


def resolve_rule(
    rules: Iterable[Rule] | Mapping[str, tuple[Rule, ...]],
    *,
    metric: str,
    method: str,
    level: str | None,
    conditions: Conditions,
    body_size: BodySize,
    available_landings: Collection[str] = (),
    definition: str | None = None,
    default_definition: str | None = None,
    filter_hz: float | None = None,
    filter_dependent: bool = False,
    landing_dependent: bool = False,
    landing_rate: float | None = None,
) -> Applied | NotScored:
    """The rule that applies, with its limits for this body; or why none does.

    rules: one profile version's, plain or from `index_rules`. level, body_size: on the session's date
    (cm, kg). available_landings: of "fc", "fp", "unknown", those at which this metric was read.
    definition, filter_hz: what the readings were made with, None = not known; default_definition: the
    catalogue's, preferred when the file does not name one. landing_rate: typical rate at landing in
    the metric's unit per second, None = not known.
    """
    case = Case(
        metric,
        method,
        level,
        conditions,
        body_size,
        available_landings,
        definition,
        default_definition,
        filter_hz,
        filter_dependent,
        landing_dependent,
        landing_rate,
    )
    return resolve_case(rules, case)


def resolve_case(rules: Iterable[Rule] | Mapping[str, tuple[Rule, ...]], case: Case) -> Applied | NotScored:
    """`resolve_rule` for circumstances that are at hand as one value."""
    matching = [*(rules.get(case.metric, ()) if isinstance(rules, Mapping) else rules)]
    for gate in GATES:
        left = [rule for rule in matching if gate.lets_through(rule, case)]
        if not left:
            return NotScored(gate.code, gate.sentence(matching, case))
        matching = left
    return _apply(max(matching, key=lambda rule: (_rank(rule, case), _tie_break(rule))), case)


def limits_for_size(rule: Rule, size: float | None) -> tuple[Limits, float | None]:
    """The rule's limits at a body size (cm or kg), and the size that they were moved to.

    `L(size) = L_ref + slope·(size - size_ref)` inside the rule's interval, at its nearest end outside.
    A rule without a basis keeps its limits and gives no size.
    """
    if rule.size_basis == "none" or size is None:
        used, shift = None, 0.0
    else:
        low, high = size_interval(rule)
        used = min(max(size, low), high)
        shift = used - rule.size_ref if rule.size_ref is not None else 0.0

    def moved(limit: float | None, slope: float, open_limit: float) -> float:
        return open_limit if limit is None else limit + slope * shift

    limits = Limits(
        target_low=moved(rule.target_low, rule.slope_target_low, -math.inf),
        target_high=moved(rule.target_high, rule.slope_target_high, math.inf),
        flag_low=moved(rule.flag_low, rule.slope_flag_low, -math.inf),
        flag_high=moved(rule.flag_high, rule.slope_flag_high, math.inf),
        unit_low=math.nan if rule.unit_low is None else rule.unit_low,
        unit_high=math.nan if rule.unit_high is None else rule.unit_high,
    )
    return limits, used


def size_interval(rule: Rule) -> tuple[float, float]:
    """The sizes that a rule was written for (cm or kg); an end that is not given is infinite."""
    low = -math.inf if rule.size_low is None else rule.size_low
    high = math.inf if rule.size_high is None else rule.size_high
    return low, high


def _apply(rule: Rule, case: Case) -> Applied:
    size = None if rule.size_basis == "none" else case.body_size.on_basis(rule.size_basis)
    limits, used = limits_for_size(rule, size.value if size else None)
    outside = size is not None and used != size.value
    landing = landing_for(rule, case) or Landing("", False)
    u_open = event_uncertainty(case.landing_rate or 0.0, LANDING_HALF_WINDOW_S) if landing.is_open else 0.0
    notes = []
    if size is not None and used is not None and outside:
        unit, word = SIZE_UNITS[rule.size_basis], SIZE_WORDS[rule.size_basis]
        notes.append(
            f"The {word} of {size.value:g} {unit} is outside what the range was written for: "
            f"the limits at {used:g} {unit} are used."
        )
    if landing.is_open:
        notes.append(_open_landing_note(rule, landing, float(u_open)))
    if rule.definition and case.definition is None:
        judged_as = rule.definition.replace("_", " ")
        notes.append(f"Which definition was used is not said; judged as “{judged_as}”.")
    return Applied(
        rule=rule,
        limits=limits,
        landing=landing.name,
        u_open_event=float(u_open),
        size_used=used,
        size_date=size.date if size else None,
        outside_interval=outside,
        source_mean=moved_source_mean(rule, used),
        source_sd=rule.source_sd,
        notes=tuple(notes),
    )


def _open_landing_note(rule: Rule, landing: Landing, u_open: float) -> str:
    written = LANDING_WORDS[rule.landing] if rule.landing else "not named"
    read = LANDING_WORDS[landing.name]
    return (
        f"Landing moment of the range: {written}; of the reading: {read}. "
        f"This adds a standard uncertainty of {u_open:.3g}."
    )


def moved_source_mean(rule: Rule, size_used: float | None) -> float | None:
    """The source's mean moves with body size as the target's edges do (their mean slope)."""
    if rule.source_mean is None or size_used is None or rule.size_ref is None:
        return rule.source_mean
    slopes = [
        slope
        for limit, slope in (
            (rule.target_low, rule.slope_target_low),
            (rule.target_high, rule.slope_target_high),
        )
        if limit is not None
    ]
    return rule.source_mean + sum(slopes) / max(len(slopes), 1) * (size_used - rule.size_ref)


def _rank(rule: Rule, case: Case) -> tuple[float, ...]:
    """How specific a matching rule is for this case; the greatest wins."""
    return (
        rule.method is not None,
        sum(getattr(rule, field) is not None for field in CONDITION_FIELDS),
        rule.level is not None,
        *_size_rank(rule, case.body_size),
        STATUS_RANK[rule.status],
        LANDING_ORDER[rule.landing] if case.landing_dependent else 0,
        rule.definition is not None and rule.definition == (case.definition or case.default_definition),
        rule.filter_hz is not None and case.filter_dependent,
    )


def _size_rank(rule: Rule, body_size: BodySize) -> tuple[float, ...]:
    """A rule for this size before one for another size before one for any; then nearer; then narrower.

    Of two intervals that touch, the upper one holds the common end.
    """
    size = None if rule.size_basis == "none" else body_size.on_basis(rule.size_basis)
    if size is None:
        return (0.0, 0.0, 0.0, 0.0)
    low, high = size_interval(rule)
    distance = max(low - size.value, size.value - high, 0.0)
    return (1.0, float(low <= size.value < high), -distance, low - high)


def _tie_break(rule: Rule) -> str:
    """Saving a profile refuses ties; a draft that has one is still judged the same way every time."""
    return str(rule.id)
