"""The measurement that a follow-up needs: the same as the one that raised the flag, in words."""

from __future__ import annotations

from metrics.catalogue import load_catalogue
from metrics.selectors.session_words import conditions_words
from plans.models import Prescription, PrescriptionReason
from plans.selectors.response_words import metric_words
from sessions.models import CaptureSession, Method

BY_EYE = "a look at how it is done"
SESSIONS = {
    Method.MOTION_CAPTURE: "a motion-capture session",
    Method.VIDEO: "a video session",
    Method.HANDS_ON: "a hands-on session",
}


def needed_words(prescription: Prescription) -> str:
    """a motion-capture session: mound, full effort, fastball, regulation ball; a hands-on screen: grip strength

    Of the reason that decides the response; loaded with reasons, their sessions and those sessions' scoring.
    """
    reason = deciding_reason(prescription)
    known = load_catalogue().metrics.get(reason.metric) if reason else None
    if reason is None or known is None:
        return BY_EYE
    if known.is_screen:
        return f"a hands-on screen: {metric_words(reason.metric)}"
    if reason.session is None:
        return f"a session in which {metric_words(reason.metric)} is measured"
    kind = SESSIONS[Method(reason.session.method)]
    conditions = _conditions(reason.session)
    return f"{kind}: {conditions}" if conditions else kind


def deciding_reason(prescription: Prescription) -> PrescriptionReason | None:
    """The one that stands first: what was measured stands before what was not."""
    return next(iter(prescription.reasons.all()), None)


def _conditions(session: CaptureSession) -> str:
    scoring = getattr(session, "scoring", None)
    return conditions_words(scoring.conditions_used) if scoring else ""
