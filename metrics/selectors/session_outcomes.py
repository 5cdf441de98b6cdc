"""Loads and speeds: judged and trended, never worked on directly."""

from __future__ import annotations

from dataclasses import dataclass

from metrics.selectors.session_lines import Line, is_outcome, line_of
from metrics.selectors.session_rows import SessionRows


@dataclass(frozen=True, slots=True)
class OutcomeCell:
    """One outcome. `is_ball_speed`: shown in the reader's unit of ball speed; m/s here as everywhere."""

    line: Line
    is_ball_speed: bool
    short_reason: str

    @property
    def unit_words(self) -> str:
        """What a percent is of; other units stand with the number."""
        return {"% body weight": "of body weight", "% weight × height": "weight × height"}.get(self.line.unit, "")


def outcomes_of(rows: SessionRows) -> tuple[OutcomeCell, ...]:
    """Ball speed first, then loads and speeds in the catalogue's order."""
    found = {row.metric: row for row in rows.findings}
    cells = [
        OutcomeCell(line_of(metric, found[key], rows), key == "ball_speed", _short_reason(found[key].reason_code))
        for key, metric in rows.catalogue.metrics.items()
        if is_outcome(metric) and key in found and found[key].mean is not None
    ]
    return tuple(sorted(cells, key=lambda cell: not cell.is_ball_speed))


SHORT_REASONS = {
    "context": "shown, not judged",
    "no_rule": "no range",
    "no_rule_for_method": "no range for this method",
    "no_rule_for_level": "no range at this level",
    "no_rule_for_conditions": "no range for these throws",
    "other_filter": "no range at this filter",
    "body_size_missing": "body size not known",
    "too_narrow": "range too narrow",
}


def _short_reason(code: str) -> str:
    return SHORT_REASONS.get(code, code.replace("_", " "))
