"""The one sentence under a session's title."""

from __future__ import annotations

from collections.abc import Sequence

from athletes.words import counted
from metrics.models import Finding
from metrics.selectors.session_lines import Line
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_words import list_words, named_flag, summary_sentence


def session_sentence(lines: Sequence[Line], first: Sequence[Line], rows: SessionRows) -> str:
    """How many flags, the first of them by name, loads that are flagged, and how much was scored."""
    if not lines:
        return ""
    ordered = sorted((line for line in first if line.is_flag), key=lambda line: -line.priority)
    flags = [(rows.catalogue.metric(line.key), line.side) for line in ordered]
    watches = sum(line.group == "watch" for line in first)
    return summary_sentence(flags, watches, _scored_words(lines, rows)) + _loads_sentence(rows)


def _loads_sentence(rows: SessionRows) -> str:
    """Loads and speeds are judged and stand apart; those that are flagged are named all the same."""
    flagged = [
        named_flag(rows.catalogue.metric(row.metric), row.side)
        for row in rows.findings
        if row.kind == "outcome" and row.zone == Finding.Zone.FLAG and row.sure != Finding.Sure.CANT_TELL
    ]
    if not flagged:
        return ""
    return f" Among loads and speeds, {list_words(flagged)} {'is' if len(flagged) == 1 else 'are'} flagged."


def _scored_words(lines: Sequence[Line], rows: SessionRows) -> str:
    judged = [line for line in lines if line.group != "shown"]
    if rows.capture.method == "hands_on":
        scored = sum(line.zone != Finding.Zone.NOT_SCORED for line in judged)
        return f"{scored} of {counted(len(judged), 'screen')} scored"
    look = [line for line in lines if line.is_first_look]
    scored = sum(line.zone != Finding.Zone.NOT_SCORED for line in look)
    return f"{scored} of {len(look)} first-look metrics scored"
