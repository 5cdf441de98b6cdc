"""The library as the tables of docs/interventions.md; a test holds the page to them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from metrics.catalogue import Catalogue, load_catalogue
from plans.library.dose_words import span_words, tell_dose
from plans.library.model import End, Intervention
from plans.library.words import BANDS, KINDS, STATUS_WORDS

HEAD = ("| what | for | dose | look again | source | status |", "|---|---|---|---|---|---|")


def tables_by_kind(library: Sequence[Intervention]) -> str:
    """A head and a table for each kind, as Markdown: each intervention with the dose of the oldest it is for."""
    return "\n\n".join("\n".join(_table(kind, library)) for kind in KINDS) + "\n"


def _table(kind: str, library: Iterable[Intervention]) -> Iterator[str]:
    rows = [one for one in library if one.kind == kind]
    yield f"### {kind.capitalize()} ({len(rows)})"
    yield ""
    yield from HEAD
    catalogue = load_catalogue()
    for one in rows:
        oldest = next(one.doses[band] for band in reversed(tuple(BANDS)) if band in one.doses)
        weeks = f"{span_words(one.recheck_weeks)} {'week' if one.recheck_weeks == (1, 1) else 'weeks'}"
        purpose = "; ".join(_said(end, catalogue) for end in one.answers)
        cells = (one.name, purpose, tell_dose(oldest), weeks, one.source, STATUS_WORDS[one.status])
        yield f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |"


def _said(end: End, catalogue: Catalogue) -> str:
    metric = catalogue.metric(end[0])
    return f"{metric.name}: {metric.low_word if end[1] == 'low' else metric.high_word}"
