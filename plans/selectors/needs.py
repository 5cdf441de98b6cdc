"""What an athlete needs work for: flags that keep coming back, and the starting point; and what of it has work."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from athletes.models import Athlete
from metrics.causes import links_of
from metrics.models import Finding
from metrics.selectors.session_rows import RELATED, SessionRows, read_session
from metrics.selectors.session_trace import SessionTrace, trace_session
from metrics.selectors.starting_point import StartingPointPanel, starting_point_panel
from metrics.selectors.starting_point_answers import read_answers
from metrics.services.standing import THROWING_METHODS
from metrics.tracing import Node
from metrics.tracing.evidence import State
from plans.library import Need, causes_by_effect
from plans.library.model import End
from sessions.models import CaptureSession, Landing

RECURRING = Finding.Confirmation.RECURRING


@dataclass(frozen=True, slots=True)
class Recurring:
    """A flag that keeps coming back. `times` of the last `among` comparable sessions."""

    end: End
    finding: Finding
    times: int
    among: int


@dataclass(frozen=True, slots=True)
class AthleteNeeds:
    """Of the latest session that was thrown in. `rows` and `trace` None where there is none, or nothing to trace.

    `recurring`: by priority. `start`: the accepted starting point, else the trace's; None where it is not known.
    `follows`: flags that should clear with it, the surest first.
    """

    rows: SessionRows | None
    trace: SessionTrace | None
    panel: StartingPointPanel | None
    recurring: tuple[Recurring, ...]
    start: End | None
    follows: tuple[End, ...]

    @property
    def session(self) -> CaptureSession | None:
        return self.rows.capture if self.rows else None

    @property
    def landing(self) -> str:
        """Which moment of the landing the session's numbers were read at; not known without a session."""
        return self.rows.capture.landing if self.rows else Landing.UNKNOWN

    @property
    def is_provisional(self) -> bool:
        return self.panel is not None and self.start is not None and self.panel.is_provisional

    def wanted(self, answered: Collection[End] = ()) -> tuple[Need, ...]:
        """What work is wanted for, the starting point first; `answered` has work already."""
        starting = [Need(*self.start, is_starting_point=True)] if self.start else []
        flags = [Need(*one.end) for one in self.recurring if one.end != self.start]
        return tuple(need for need in (*starting, *flags) if need.end not in answered)

    @property
    def causes(self) -> Mapping[End, Sequence[End]]:
        """Effect → direct causes by the links in force on the session's date. One query."""
        return causes_by_effect(links_of(self.trace.version)) if self.trace else {}

    @property
    def ruled_out(self) -> frozenset[End]:
        """Measured, and in range or out the other way; and what is a fact of the person and was not found to be so."""
        known = self.trace.evidence if self.trace else {}
        return frozenset(
            (*node,)
            for node, one in known.items()
            if one.state is State.CONTRADICTED or (one.kind == "context" and one.state is not State.FLAGGED)
        )

    def is_unmeasured(self, end: End) -> bool:
        found = self.trace.evidence.get(Node(*end)) if self.trace else None
        return found is None or found.state is State.UNMEASURED


NO_NEEDS = AthleteNeeds(None, None, None, (), None, ())


def needs_of(athlete: Athlete) -> AthleteNeeds:
    """What the latest thrown session leaves to work on, whether it has work or not. A fixed number of queries."""
    capture = latest_thrown(athlete)
    if capture is None:
        return NO_NEEDS
    capture.athlete = athlete
    rows = read_session(capture)
    trace = trace_session(rows)
    panel = starting_point_panel(rows, trace, may_change=False, answers=read_answers(rows)) if trace else None
    start = _end(panel.node) if panel and not panel.is_unknown else None
    follows = [_end(one.flag.node) for one in panel.clears] if panel and start else []
    return AthleteNeeds(
        rows=rows,
        trace=trace,
        panel=panel,
        recurring=_recurring(rows),
        start=start,
        follows=tuple(end for end in follows if end and end != start),
    )


def latest_thrown(athlete: Athlete) -> CaptureSession | None:
    """The session whose flags are the athlete's: the one that the standing is made of."""
    thrown = CaptureSession.objects.filter(athlete=athlete, method__in=THROWING_METHODS)
    by_method: dict[str, CaptureSession] = {}
    for one in thrown.select_related(*RELATED).order_by("-date", "-ordinal", "-id"):
        by_method.setdefault(one.method, one)
    return max(by_method.values(), key=lambda one: (one.date, one.pk), default=None)


def _recurring(rows: SessionRows) -> tuple[Recurring, ...]:
    """As the standing counts them: one a family, what cannot be told left out."""
    flags = [
        row
        for row in rows.findings
        if row.is_family_head
        and row.priority > 0
        and row.zone == Finding.Zone.FLAG
        and row.sure != Finding.Sure.CANT_TELL
        and row.confirmation == RECURRING
    ]
    return tuple(
        Recurring(
            (row.metric, row.side),
            row,
            times=row.decision.get("flags_among_last", 2),
            among=row.decision.get("among_last", 3),
        )
        for row in sorted(flags, key=lambda row: (-row.priority, row.metric))
    )


def _end(node: str) -> End | None:
    """A node as the panel's forms carry it: metric:direction."""
    metric, _, direction = node.partition(":")
    return (metric, direction) if direction else None
