"""How a session opens: as baseline or as re-test, with its trace and its starting point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from metrics.models import StartingPointAnswer
from metrics.selectors.session_baseline import Baseline, baseline_of
from metrics.selectors.session_lines import Line
from metrics.selectors.session_retest import Retest, retest_of
from metrics.selectors.session_rows import SessionRows, rows_of_last_time
from metrics.selectors.session_trace import SessionTrace, trace_sessions
from metrics.selectors.starting_point import StartingPointPanel, starting_node, starting_point_panel
from metrics.selectors.starting_point_answers import read_answers
from metrics.tracing import Node


@dataclass(frozen=True, slots=True)
class Opening:
    """`traced`, `start`: of this session, None where nothing is flagged or no links are published."""

    baseline: Baseline | None
    retest: Retest | None
    traced: SessionTrace | None
    start: StartingPointPanel | None


def open_session(rows: SessionRows, shown: SessionRows, lines: Sequence[Line], *, may_change: bool) -> Opening:
    """`shown`, `lines`: what is listed of the rows; the traces are led through all of them.

    At most five queries: two for the links, one a session that is traced, the answers; of a baseline, the screens done.
    """
    last = rows_of_last_time(rows)
    now, then = trace_sessions([rows, last]) if last else (*trace_sessions([rows]), None)
    answers = read_answers(rows) if any(one and one.flags for one in (now, then)) else []
    start = starting_point_panel(rows, now, may_change=may_change, answers=answers) if now else None
    return Opening(
        baseline=baseline_of(rows, _node(rows, now, answers)),
        retest=retest_of(shown, lines, _node(last, then, answers) if last else None, then, now),
        traced=now,
        start=start,
    )


def _node(rows: SessionRows, traced: SessionTrace | None, answers: Sequence[StartingPointAnswer]) -> Node | None:
    return starting_node(rows, traced, answers) if traced and traced.flags else None
