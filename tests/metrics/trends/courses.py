"""Findings of one metric over weeks, made as a scoring would have left them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from athletes.models import Athlete
from metrics.models import Finding
from sessions.models import CaptureSession
from tests import factories

ELBOW, KNEE, SEPARATION = "elbow_flexion_fp", "lead_knee_extension", "separation_fp"
MOUND = "fastball · full_effort · mound · regulation"
FLAT = "fastball · full_effort · flat_ground · regulation"
START = dt.date(2026, 1, 5)
WEEK = dt.timedelta(days=7)
RECORD = {"prior_sd": 3.0}


def session_on(athlete: Athlete, day: dt.date, **changes: object) -> CaptureSession:
    """A session that was scored."""
    capture = factories.CaptureSessionFactory(athlete=athlete, date=day, **changes)
    known = {"scored_revision": capture.input_revision, "scored_facts_revision": athlete.facts_revision}
    factories.ScoringFactory(session=capture, conditions_used={"surface": "mound"}, **known)
    return capture


def finding_in(capture: CaptureSession, mean: float | None, metric: str = ELBOW, **changes: object) -> Finding:
    given: dict[str, object] = {
        "session": capture,
        "metric": metric,
        "condition_set": MOUND,
        "mean": mean,
        "u_between": 1.0,
        "decision": RECORD,
        "kind": "mechanic",
    }
    return factories.FindingFactory(**(given | changes))


def course(
    athlete: Athlete, means: Sequence[float], metric: str = ELBOW, start: dt.date = START, **changes: object
) -> list[CaptureSession]:
    """One session a week with this metric alone."""
    sessions = [session_on(athlete, start + place * WEEK) for place in range(len(means))]
    for capture, mean in zip(sessions, means, strict=True):
        finding_in(capture, mean, metric, **changes)
    return sessions
