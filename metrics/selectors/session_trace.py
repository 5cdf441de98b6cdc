"""The trace of one session: its flags led upstream over the links in force, with the evidence it was made of."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from metrics.causes import graph_of, versions_in_force
from metrics.models import CauseGraphVersion, RangeProfileVersion
from metrics.profiles import rules_of, versions_for
from metrics.selectors.derived_screens import judged_screens
from metrics.selectors.evidence import Piece, evidence_of, pieces_of
from metrics.selectors.session_rows import SessionRows
from metrics.tracing import ALGORITHM, CauseGraph, Evidence, Node, PossibleCause, Trace, possible_causes_of, trace
from sessions.models import Method


@dataclass(frozen=True, slots=True)
class SessionTrace:
    """`pieces`: the judged number of each metric; `causes`: of each flag, possible ones.

    `seen` changes when evidence, links or arithmetic do.
    """

    trace: Trace
    graph: CauseGraph
    version: CauseGraphVersion
    evidence: Mapping[Node, Evidence]
    pieces: Mapping[str, Piece]
    causes: Mapping[Node, tuple[PossibleCause, ...]]
    seen: str

    @property
    def flags(self) -> Sequence[Node]:
        """What is to be explained; a fact of the person that is out of range explains, and is no finding."""
        return [node for node, one in self.evidence.items() if one.flagged and one.kind != "context"]

    def cause_of(self, flag: Node, node: Node) -> PossibleCause | None:
        """The node as a possible cause of the flag, with its best way; None where no way leads."""
        return next((one for one in self.causes.get(flag, ()) if one.node == node), None)

    def as_answered(self) -> dict[str, object]:
        """What is kept beside a coach's answer: which links and arithmetic, and what they made of which flags."""
        start = self.trace.starting_point
        return {
            "links": self.version.number,
            "algorithm": ALGORITHM,
            "starting_point": list(start) if start else None,
            "flags": [[*one.flag, *(one.cause or ("", "")), round(one.share, 4)] for one in self.trace.flags],
            "points": round(self.trace.points, 4),
        }


def trace_session(rows: SessionRows) -> SessionTrace | None:
    """None for a hands-on session, before findings stand, and where no links are published."""
    return trace_sessions([rows])[0]


def trace_sessions(many: Sequence[SessionRows]) -> list[SessionTrace | None]:
    """`trace_session` of several sessions of one athlete: two queries, and one more a session."""
    dates = {rows.capture.date for rows in many if _is_traceable(rows)}
    links = versions_in_force(dates) if dates else {}
    profiles = versions_for(dates) if links else {}
    return [
        _traced(rows, links[rows.capture.date], profiles.get(rows.capture.date))
        if _is_traceable(rows) and links
        else None
        for rows in many
    ]


def _is_traceable(rows: SessionRows) -> bool:
    return rows.capture.method != Method.HANDS_ON and bool(rows.findings)


def _traced(rows: SessionRows, version: CauseGraphVersion, in_force: RangeProfileVersion | None) -> SessionTrace:
    """`in_force`: the profile that judges what follows from the athlete's record."""
    graph = graph_of(version)
    derived = judged_screens(rows.capture.athlete, rows.capture.date, rules_of(in_force) if in_force else None)
    asked = {node.metric for node in graph.order}
    pieces = pieces_of(rows.capture, rows.findings, derived, asked, rows.catalogue)
    profile = rows.scoring.profile_version if rows.scoring else None
    judged = rules_of(profile).rules.keys() if profile else ()
    evidence = evidence_of(pieces, graph.order, rows.catalogue, judged)
    flags = [node for node, one in evidence.items() if one.flagged]
    return SessionTrace(
        trace=trace(graph, evidence.values()),
        graph=graph,
        version=version,
        evidence=evidence,
        pieces=pieces,
        causes=possible_causes_of(graph, evidence.values(), flags),
        seen=_seen(evidence, version),
    )


def _seen(evidence: Mapping[Node, Evidence], version: CauseGraphVersion) -> str:
    told = "\n".join(repr(evidence[node]) for node in sorted(evidence))
    return hashlib.sha256(f"{version.uuid}\n{ALGORITHM}\n{told}".encode()).hexdigest()[:16]
