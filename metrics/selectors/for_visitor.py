"""What of a session is left out while the screen is turned to the athlete: loads and speeds that count as outcomes,
what coaches wrote, what leads elsewhere or changes something.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from metrics.catalogue import Catalogue, load_catalogue
from metrics.measuring import curves
from metrics.models import Finding
from metrics.selectors.session_drift import BALL_SPEED, DriftPart, chance_of
from metrics.selectors.session_retest import Retest
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.starting_point import StartingPointPanel
from metrics.selectors.trace_words import Named

if TYPE_CHECKING:
    from metrics.selectors.session_page import SessionPage

OUTCOME = "outcome"
NOTHING, NO_MOVEMENT = "Nothing is flagged", "No movement is flagged"
"""A load may be flagged that is left out here: then “nothing” would not be true."""


def without_outcomes(rows: SessionRows) -> SessionRows:
    def kept(findings: Iterable[Finding]) -> tuple[Finding, ...]:
        return tuple(row for row in findings if not is_outcome(row.metric, rows.catalogue))

    return replace(rows, findings=kept(rows.findings), then=kept(rows.then))


def is_outcome(metric: str, catalogue: Catalogue | None = None) -> bool:
    known = (catalogue or load_catalogue()).metrics.get(metric)
    return known is not None and known.kind == OUTCOME


def shows_outcome(curve: str) -> bool:
    """Whether the curve's peak is an outcome."""
    return is_outcome(f"{curve}_max")


def curves_for_visitor() -> tuple[curves.Curve, ...]:
    return tuple(one for one in curves.CURVES if not shows_outcome(one.name))


def page_for_visitor(page: SessionPage, catalogue: Catalogue) -> SessionPage:
    """`page` made of rows `without_outcomes`, for nobody who may change it."""
    start = panel_for_visitor(page.start, catalogue) if page.start else None
    line = page.line and replace(page.line, otherwise=page.line.otherwise.replace(NOTHING, NO_MOVEMENT))
    return replace(
        page,
        sentence=page.sentence.replace(NOTHING, NO_MOVEMENT),
        line=line,
        baseline=None,
        retest=retest_for_visitor(page.retest, catalogue) if page.retest else None,
        start=start,
        score="",
        outcomes=(),
        shared=None,
        throws=replace(page.throws, dots=(), summary="", fastest_m_s=None, slowest_m_s=None),
        drift=drift_for_visitor(page.drift, catalogue) if page.drift else None,
        is_open=False,
        previous=None,
        following=None,
        sessions=(),
        session_count=0,
        evidence_for=None,
    )


def retest_for_visitor(retest: Retest, catalogue: Catalogue) -> Retest:
    """Without the way to the earlier session; a load that was where to start is left out."""
    return replace(retest, url="", lines=tuple(one for one in retest.lines if not is_outcome(one.key, catalogue)))


def drift_for_visitor(drift: DriftPart, catalogue: Catalogue) -> DriftPart | None:
    """Without ball speed, as everywhere on a screen that is turned."""
    kept = tuple(one for one in drift.followed if one.key != BALL_SPEED and not is_outcome(one.key, catalogue))
    return replace(drift, followed=kept, by_chance=chance_of(kept)) if kept else None


def panel_for_visitor(panel: StartingPointPanel, catalogue: Catalogue) -> StartingPointPanel | None:
    """None where what stands first is an outcome. Sums that count outcomes in go too: they would not add up."""
    if panel.start is not None and is_outcome(panel.start.metric, catalogue):
        return None

    def kept(items: Iterable[Named]) -> tuple[Named, ...]:
        return tuple(one for one in items if not is_outcome(one.metric, catalogue))

    return replace(
        panel,
        sentence="" if panel.start else panel.sentence,
        clears=tuple(one for one in panel.clears if not is_outcome(one.flag.metric, catalogue)),
        weight_cleared="",
        supports=tuple(pair for pair in panel.supports if not is_outcome(pair[0].metric, catalogue)),
        contradicts=kept(panel.contradicts),
        absent=kept(panel.absent),
        unexplained=kept(panel.unexplained),
        checks=tuple(one for one in panel.checks if not is_outcome(one.what.metric, catalogue)),
        counts="",
        runner_up="",
        answers=(),
        earlier=(),
        options=(),
    )
