"""How one finding was decided, with the numbers in the formulas: enough to do it again by hand."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.utils import timezone

from athletes.quantities import MINUS, unit_for
from metrics.catalogue.filter_costs import FILTER_HZ, cost_of
from metrics.judging.gates import FILTER_TOLERANCE_HZ
from metrics.judging.values import LANDING_WORDS, SIZE_UNITS, SIZE_WORDS
from metrics.models import Finding, RangeRule
from metrics.selectors.decision_formulas import Formula, chance_words, formulas_of
from metrics.selectors.session_changes import changed
from metrics.selectors.session_lines import Line, came_about, line_of
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_words import CONDITION_WORDS, STATUS_WORDS, confirmation_words, moment_words
from sessions.models import CaptureSession

LEAST_SHOWN = 1.0
"""Of the last digit that the metric is shown with: what the filter takes below that is not said."""

CATALOGUE_SHOWN = 12
"""Digits of the catalogue's hash that are shown; the CSV has all."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One line of a list: what, its value in words, and a note beside it."""

    term: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    title: str
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Decision:
    """`line` is drawn as in the list; `why` and `meaning` are the catalogue's sentences on the metric."""

    line: Line
    unit_words: str
    why: str
    meaning: str
    parts: tuple[Part, ...]
    formulas: tuple[Formula, ...]
    notes: tuple[str, ...]


def decision_of(key: str, rows: SessionRows) -> Decision | None:
    """None when the session has no such finding."""
    row = next((one for one in rows.findings if one.metric == key), None)
    if row is None:
        return None
    metric = rows.catalogue.metric(key)
    parts = (
        Part("What was measured", _measured(row, rows)),
        Part("What it was held against", _range(row)),
        Part("What was decided", _decided(row, rows)),
        Part("What changed", _changed(row, rows)),
        Part("Versions", _versions(rows)),
    )
    return Decision(
        line=line_of(metric, row, rows),
        unit_words=_unit_words(metric.unit),
        why=metric.why,
        meaning={"low": metric.low_sentence, "high": metric.high_sentence}.get(row.side, ""),
        parts=tuple(part for part in parts if part.facts),
        formulas=formulas_of(row, rows.thresholds),
        notes=tuple(row.decision.get("notes", ())),
    )


def _unit_words(unit: str) -> str:
    known = unit_for(unit)
    return known.words or known.many or "counts"


def dated(day: datetime.date) -> str:
    """2 September 2026."""
    return f"{day.day} {day:%B %Y}"


def plain(number: float | None, digits: int = 4) -> str:
    """A number with as many digits as a recomputation needs."""
    return "not known" if number is None else f"{number:.{digits}g}".replace("-", MINUS)


FORMULA_WORDS = {
    "sum": "{0} plus {1}",
    "difference": "{0} minus {1}",
    "percent": "{0} in percent of {1}",
}


def _measured(row: Finding, rows: SessionRows) -> tuple[Fact, ...]:
    facts = [
        Fact("Throws scored (n)", str(row.n)),
        Fact("Mean", plain(row.mean, 5)),
        Fact("SD of the throws (s)", plain(row.sd) if row.n > 1 else "one throw has none"),
        Fact("Moment judged", moment_words(row.moment) or "its own peak"),
    ]
    if low := reads_low_by(row, rows):
        facts.append(low)
    metric = rows.catalogue.metric(row.metric)
    if came_about(metric, row) == "computed":
        parts = (rows.catalogue.metric(part).name for part in metric.derived_from)
        facts.append(Fact("Computed as", FORMULA_WORDS[metric.formula].format(*parts)))
    return tuple(facts)


def _changed(row: Finding, rows: SessionRows) -> tuple[Fact, ...]:
    """Against the last comparable session; nothing without one."""
    before = rows.before.get(row.metric)
    change = changed(before, rows.last_time.date, row, rows.capture.date) if before and rows.last_time else None
    if before is None or change is None or rows.last_time is None:
        return ()
    facts = [
        Fact("Last comparable session", plain(before.mean, 5), dated(rows.last_time.date)),
        Fact("Difference", plain(change.difference)),
    ]
    if change.u is not None and change.detectable is not None and change.p is not None:
        nu = plain(change.nu) if change.nu is not None else "without bound"
        facts += [
            Fact("Its standard uncertainty", plain(change.u), f"degrees of freedom {nu}"),
            Fact("Real from", f"± {plain(change.detectable)}", "t(0.975, ν) times the uncertainty"),
            Fact("As much by measuring alone", f"{change.p:.1%}" if change.p >= 0.001 else "under 0.1%"),
        ]
    return (*facts, Fact("Changed?", change.word))


def reads_low_by(row: Finding, rows: SessionRows) -> Fact | None:
    """What the usual filter takes from this metric at about this frame rate; None for nothing to speak of."""
    capture, metric = rows.capture, rows.catalogue.metric(row.metric)
    is_usual = capture.filter_hz is not None and abs(capture.filter_hz - FILTER_HZ) < FILTER_TOLERANCE_HZ
    if not is_usual or not capture.frame_rate_hz or metric.unit == "% height":
        return None
    cost = cost_of(f"{row.metric}@{row.moment}", capture.frame_rate_hz)
    if cost is None or cost.low_by is None or abs(cost.low_by) < LEAST_SHOWN * 10**-metric.decimals:
        return None
    word = "low" if cost.low_by > 0 else "high"
    return Fact(
        f"Reads {word} by",
        f"about {plain(abs(cost.low_by), 2)}",
        f"through the filter, against none, at {capture.frame_rate_hz:g} frames a second; on synthesised throws",
    )


def _range(row: Finding) -> tuple[Fact, ...]:
    rule = row.rule
    if rule is None:
        return ()
    record = row.decision
    facts = [
        Fact("Source", rule.source, STATUS_WORDS.get(row.rule_status, "")),
        Fact("Written for", _whom(rule), _circumstances(rule)),
        *_written_for(rule),
        *_body_size(row, rule),
        Fact("Target", _span(row.target_low, row.target_high)),
        Fact("Flag limits", _flag_words(row)),
    ]
    if record.get("source_sd") is not None:
        found = f"mean {plain(record.get('source_mean'))}, SD {plain(record['source_sd'])}"
        facts.append(Fact("Its source found", found))
    return tuple(facts)


def _whom(rule: RangeRule) -> str:
    method = str(rule.get_method_display()) if rule.method else "any method"
    level = str(rule.get_level_display()) if rule.level else "any level"
    return f"{method}, {level}"


def _circumstances(rule: RangeRule) -> str:
    named = ((CONDITION_WORDS[name], getattr(rule, name)) for name in CONDITION_WORDS)
    return ", ".join(str(words[value]) for words, value in named if value)


def _written_for(rule: RangeRule) -> list[Fact]:
    words = {
        "Landing as": LANDING_WORDS.get(rule.landing, ""),
        "Definition": rule.definition,
        "Filter": f"{rule.filter_hz:g} Hz" if rule.filter_hz else "",
    }
    return [Fact(term, value) for term, value in words.items() if value]


def _body_size(row: Finding, rule: RangeRule) -> list[Fact]:
    if not row.size_basis or row.size_used is None:
        return []
    unit, word = SIZE_UNITS[row.size_basis], SIZE_WORDS[row.size_basis]
    measured = f"measured {dated(row.size_date)}" if row.size_date else ""
    facts = [Fact(f"{word.capitalize()} used", f"{row.size_used:g} {unit}", measured)]
    for name, limit in (("target_low", row.target_low), ("target_high", row.target_high),
                        ("flag_low", row.flag_low), ("flag_high", row.flag_high)):  # fmt: skip
        slope, reference = getattr(rule, f"slope_{name}"), getattr(rule, name)
        if slope and reference is not None:
            moved = f"{plain(slope)} × ({row.size_used:g} {MINUS} {rule.size_ref:g})"
            words = f"{plain(reference)} + {moved} = {plain(limit)}"
            facts.append(Fact(name.replace("_", " ").capitalize(), words))
    return facts


def _span(low: float | None, high: float | None) -> str:
    if low is None:
        return f"up to {plain(high)}"
    return f"from {plain(low)}" if high is None else f"{plain(low)} to {plain(high)}"


def _flag_words(row: Finding) -> str:
    words = [
        f"below {plain(row.flag_low)}" if row.flag_low is not None else "",
        f"above {plain(row.flag_high)}" if row.flag_high is not None else "",
    ]
    return " and ".join(word for word in words if word) or "none"


def _decided(row: Finding, rows: SessionRows) -> tuple[Fact, ...]:
    if row.zone == Finding.Zone.NOT_SCORED:
        return (Fact("Not scored", row.reason),)
    facts = [
        Fact("p_in", chance_words(row.p_in), "chance to lie in the target"),
        Fact("p_out", chance_words(row.p_out), "chance to lie outside it on the side of the mean, flag included"),
        Fact("p_flag", chance_words(row.p_flag), "chance to lie beyond the flag limit on that side"),
    ]
    if row.confirmation:
        facts.append(Fact("Seen before", confirmation_words(row), str(row.decision.get("standing", ""))))
    if row.decision.get("pair_p_flag") is not None:
        facts.append(
            Fact(
                "p_flag of both",
                chance_words(row.decision["pair_p_flag"]),
                "this and the last comparable session together",
            )
        )
    if row.family:
        said = "speaks for it" if row.is_family_head else "stands under another member of it"
        facts.append(Fact("Family", row.family.replace("_", " "), said))
    return tuple(facts)


def _versions(rows: SessionRows) -> tuple[Fact, ...]:
    scoring = rows.scoring
    if scoring is None or scoring.profile_version is None:
        return ()
    facts = [
        Fact("Range profile", f"{scoring.profile_version.profile.name}, version {scoring.profile_version.number}"),
        Fact("Catalogue", scoring.catalogue_version[:CATALOGUE_SHOWN]),
        Fact("Arithmetic", scoring.algorithm),
    ]
    if scoring.scored_at:
        when = timezone.localtime(scoring.scored_at)
        facts.append(Fact("Scored", f"{dated(when)}, {when:%H:%M}", _state(rows.capture, scoring.scored_revision)))
    return tuple(facts)


def _state(capture: CaptureSession, revision: int) -> str:
    return f"state {revision} of the session" if revision == capture.input_revision else "an earlier state"
