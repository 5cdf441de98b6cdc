"""Why a metric of two sessions cannot be held against each other; nothing where it can."""

from __future__ import annotations

from metrics.catalogue import Metric
from metrics.comparable import same_definition, same_filter
from metrics.judging.values import CONDITION_FIELDS
from metrics.models import Finding, Scoring
from metrics.selectors.compare.sides import Side, filter_words
from metrics.selectors.session_words import CONDITION_WORDS, joined, moment_words


def why_not_comparable(metric: Metric, first: Side, second: Side) -> str:
    """The first reason that holds, in words: what was so on the first side, then on the second."""
    between = _between_sessions(first, second)
    if between:
        return between
    one, other = first.findings.get(metric.key), second.findings.get(metric.key)
    unmeasured = _not_measured(one, first) or _not_measured(other, second)
    if unmeasured or one is None or other is None:
        return unmeasured
    if one.moment != other.moment:
        return f"read {_moment(one)} and {_moment(other)}"
    if not same_filter(metric, first.capture, second.capture):
        return f"depends on the filter: {filter_words(first.capture)} and {filter_words(second.capture)}"
    alike = same_definition(metric, first.capture, second.capture)
    return "" if alike else "measured by another definition"


def _between_sessions(first: Side, second: Side) -> str:
    """What parts the two sessions as wholes."""
    one, other = first.capture, second.capture
    if one.method != other.method:
        return f"measured by {one.get_method_display()} and by {other.get_method_display()}"
    conditions = _other_conditions(first.scoring, second.scoring)
    if conditions:
        return conditions
    if one.athlete_id == other.athlete_id and one.throwing_side != other.throwing_side:
        return f"thrown with the {one.throwing_side} arm and with the {other.throwing_side}"
    return ""


def _other_conditions(first: Scoring | None, second: Scoring | None) -> str:
    one, other = (scoring.conditions_used if scoring else {} for scoring in (first, second))
    differing = [name for name in CONDITION_FIELDS if one.get(name) != other.get(name) and (one and other)]
    pairs = [f"{CONDITION_WORDS[name][one[name]]} and {CONDITION_WORDS[name][other[name]]}" for name in differing]
    return f"other conditions: {'; '.join(pairs)}" if pairs else ""


def _not_measured(row: Finding | None, side: Side) -> str:
    if row is None:
        return f"not measured {side.names.when}"
    if row.mean is None:
        said = row.reason.rstrip(".")
        return f"no number {side.names.when}{f': {said[:1].lower()}{said[1:]}' if said else ''}"
    return ""


def _moment(row: Finding) -> str:
    words = moment_words(row.moment) or row.moment
    return f"from {words}" if "-" in row.moment else f"at {words}"


def parting_words(first: Side, second: Side) -> str:
    """For the head of the page: what keeps every metric apart; empty when nothing does."""
    missing = [side for side in (first, second) if not side.measured]
    if missing:
        named = joined([f"the session of {side.date:%-d %B %Y}" for side in missing])
        return f"Nothing to compare in numbers: no metric has a number in {named}."
    reason = _between_sessions(first, second)
    return f"Nothing here is comparable: {reason}." if reason else ""
