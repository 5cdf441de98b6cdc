"""One metric on its way from readings to a decision: its numbers, and the range that applies."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from metrics.catalogue import Catalogue, Metric
from metrics.judging.findings import event_uncertainty
from metrics.judging.gates import Case
from metrics.judging.ranges import LANDING_HALF_WINDOW_S, resolve_case
from metrics.judging.values import Applied, Conditions, NotScored
from metrics.scoring.derived import Derived, with_derived
from metrics.scoring.measured import BALL_SPEED, ThrowReadings, Values, ball_speeds, landings_present, values_of
from metrics.scoring.reasons import reason_without_number
from metrics.scoring.throws import ScoredThrows
from metrics.scoring.values import ProfileRules, SessionFacts

UNJUDGED_KINDS = {
    "style": NotScored("style", "A matter of style: shown, not judged."),
    "context": NotScored("context", "Context: shown, not judged."),
}
COUNTED_FROM_PLANT = NotScored(
    "counted_from_plant", "Ranges of this time count from first touch; these numbers count from weight on the foot."
)
OPEN_ZERO_NOTE = "Counted from a landing that the file does not name, so its zero is open by ± {ms:.0f} ms."
OTHER_METHOD = NotScored("method_cannot_give", "This capture method is not known to give this number.")


@dataclass(slots=True)
class Row:
    """One metric on its way from readings to decision. `landing`: at which moment it was read, "" for any.

    `within_sd`, `between_sd`: typical throw to throw and session to session, NaN when not known. `note`: how a
    derived screen came about, where that is not plain.
    """

    metric: Metric
    landing: str
    values: Values
    applied: Applied | None
    not_scored: NotScored | None
    within_sd: float
    between_sd: float
    note: str = ""


class RangeFinder:
    """The range of a metric for a session; sessions alike in all that it hangs on have it from memory."""

    def __init__(self, profile: ProfileRules) -> None:
        self.profile = profile
        self._known: dict[tuple[object, ...], tuple[Applied | None, NotScored | None]] = {}
        self._by_size = {
            key for key, rules in profile.rules.items() if any(rule.size_basis != "none" for rule in rules)
        }

    def find(
        self, metric: Metric, present: frozenset[str], conditions: Conditions, facts: SessionFacts
    ) -> tuple[Applied | None, NotScored | None]:
        """What applies, or why nothing does."""
        size = facts.body_size if metric.key in self._by_size else None
        definition = facts.definitions.get(metric.key)
        alike = (facts.method, facts.level, facts.landing, facts.filter_hz, conditions)
        key = (metric.key, present, size, definition, alike)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = _range_for(metric, present, conditions, facts, self.profile)
        return found


def build_rows(chosen: ScoredThrows, facts: SessionFacts, ranges: RangeFinder, catalogue: Catalogue) -> Sequence[Row]:
    """A row for each metric that the chosen throws have, in the catalogue's order.

    Of a hands-on session also the screens that follow from others, or why one does not. What is worked out from
    the person is left out: a session never says it.
    """
    derived = with_derived(chosen.throws, catalogue) if facts.method == "hands_on" else Derived(chosen.throws)
    readings, speeds = ThrowReadings.of(derived.throws), ball_speeds(chosen.throws)
    conditions = Conditions(**{name: chosen.conditions.get(name) for name in Conditions.__slots__})
    rows = []
    for key, metric in catalogue.metrics.items():
        why = derived.reasons.get(key)
        if metric.is_from_person or not (key in readings.metrics or why or (key == BALL_SPEED and speeds)):
            continue
        present = landings_present(metric, readings)
        applied, reason = ranges.find(metric, present, conditions, facts)
        landing = applied.landing if applied else _best_landing(present)
        read = speeds if key == BALL_SPEED else readings.by_key.get(metric.reading_key(landing or "unknown"), ())
        values = values_of(metric, read, facts)
        if why and not values.numbers:
            values = replace(values, not_scored=why)
        row = _row(metric, landing, values, applied, reason, facts)
        if row is not None:
            row.note = derived.notes.get(key, "")
            rows.append(row)
    return rows


def _row(
    metric: Metric,
    landing: str,
    values: Values,
    applied: Applied | None,
    reason: NotScored | None,
    facts: SessionFacts,
) -> Row | None:
    if not values.numbers and not values.lost and values.not_scored is None:
        return None
    reason = values.not_scored or (None if values.numbers else reason_without_number(values.lost)) or reason
    if not metric.can_be_given_by(facts.method):
        return Row(metric, landing, values, None, reason or OTHER_METHOD, math.nan, math.nan)
    spread = metric.spread(facts.method, facts.level or "")
    between = math.nan if spread.session_sd is None else spread.session_sd
    return Row(metric, landing, values, applied, reason, spread.within_sd, between)


def _best_landing(present: frozenset[str]) -> str:
    return next((name for name in ("fp", "fc", "unknown") if name in present), "")


def _range_for(
    metric: Metric, present: frozenset[str], conditions: Conditions, facts: SessionFacts, profile: ProfileRules
) -> tuple[Applied | None, NotScored | None]:
    if metric.kind in UNJUDGED_KINDS:
        return None, UNJUDGED_KINDS[metric.kind]
    case = Case(
        metric=metric.key,
        method=facts.method,
        level=facts.level,
        conditions=conditions,
        body_size=facts.body_size,
        available_landings=present,
        definition=facts.definitions.get(metric.key),
        default_definition=metric.definition_default or None,
        filter_hz=facts.filter_hz,
        filter_dependent=metric.filter_dependent,
        landing_dependent=metric.is_landing_dependent,
        landing_rate=metric.landing_rate,
    )
    found = resolve_case(profile.rules, case)
    return _with_its_zero(metric, facts.landing, found) if isinstance(found, Applied) else (None, found)


def _with_its_zero(metric: Metric, landing: str, applied: Applied) -> tuple[Applied | None, NotScored | None]:
    """Times and percents that count from foot contact share its doubt: the file's own landing is their zero."""
    if metric.is_landing_dependent or not metric.landing_rate or landing == "fc":
        return applied, None
    if landing == "fp":
        return None, COUNTED_FROM_PLANT
    u_zero = float(event_uncertainty(metric.landing_rate, LANDING_HALF_WINDOW_S))
    note = OPEN_ZERO_NOTE.format(ms=LANDING_HALF_WINDOW_S * 1000)
    return replace(applied, u_open_event=math.hypot(applied.u_open_event, u_zero), notes=(*applied.notes, note)), None
