"""What the session page reads: the session, its findings beside those of last time, throws, neighbours."""

from __future__ import annotations

from sessions.models import CaptureSession


def findings_lag(capture: CaptureSession) -> bool:
    """Whether the findings answer an older state of the session than the present one, or there are none yet."""
    scoring = getattr(capture, "scoring", None)
    if scoring is None:
        return True
    return (
        scoring.scored_revision < capture.input_revision
        or scoring.scored_facts_revision < capture.athlete.facts_revision
    )
