"""One metric on its way from readings to a decision: its numbers, and the range that applies."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from metrics.catalogue import Metric
from metrics.judging.findings import event_uncertainty, prior_spread
from metrics.judging.gates import Case
from metrics.judging.ranges import LANDING_HALF_WINDOW_S, resolve_case
from metrics.judging.values import Applied, Conditions, NotScored
from metrics.scoring.measured import Values, landings_present, values_of
from metrics.scoring.throws import ScoredThrows
from metrics.scoring.values import ProfileRules, SessionFacts

UNJUDGED_KINDS = {
    "style": NotScored("style", "A matter of style: shown, not judged."),
    "context": NotScored("context", "Context: shown, not judged."),
}
NOTHING_MEASURED = NotScored("not_measurable", "No scored throw gave this number.")
COUNTED_FROM_PLANT = NotScored(
    "counted_from_plant", "Ranges of this time count from first touch; these numbers count from weight on the foot."
)
OPEN_ZERO_NOTE = "Counted from a landing that the file does not name, so its zero is open by ± {ms:.0f} ms."
OTHER_METHOD = NotScored("method_cannot_give", "This capture method is not known to give this number.")


@dataclass(slots=True)
class Row:
    """One metric on its way from readings to decision. `landing`: at which moment it was read, "" for any."""

    metric: Metric
    landing: str
    values: Values
    applied: Applied | None
    not_scored: NotScored | None
    prior_sd: float
    u_between: float


def build_row(metric: Metric, chosen: ScoredThrows, facts: SessionFacts, profile: ProfileRules) -> Row | None:
    present = landings_present(metric, chosen.throws)
    if metric.is_landing_dependent and not present:
        return None
    applied, reason = _range_for(metric, present, chosen, facts, profile)
    landing = applied.landing if applied else _best_landing(present)
    values = values_of(metric, landing, chosen.throws, facts)
    if not values.numbers and not values.lost and values.not_scored is None:
        return None
    reason = values.not_scored or (None if values.numbers else NOTHING_MEASURED) or reason
    if not metric.can_be_given_by(facts.method):
        return Row(metric, landing, values, None, reason or OTHER_METHOD, np.nan, np.nan)
    spread = metric.spread(facts.method, facts.level or "")
    prior = prior_spread(spread.within_sd, metric.event_rate or 0.0, facts.frame_rate_hz or np.inf)
    between = np.nan if spread.session_sd is None else spread.session_sd
    return Row(metric, landing, values, applied, reason, float(prior), between)


def _best_landing(present: frozenset[str]) -> str:
    return next((name for name in ("fp", "fc", "unknown") if name in present), "")


def _range_for(
    metric: Metric, present: frozenset[str], chosen: ScoredThrows, facts: SessionFacts, profile: ProfileRules
) -> tuple[Applied | None, NotScored | None]:
    if metric.kind in UNJUDGED_KINDS:
        return None, UNJUDGED_KINDS[metric.kind]
    case = Case(
        metric=metric.key,
        method=facts.method,
        level=facts.level,
        conditions=Conditions(**{name: chosen.conditions.get(name) for name in Conditions.__slots__}),
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
