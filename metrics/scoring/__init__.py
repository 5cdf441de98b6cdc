"""One session, from readings to decided findings: plain values in, plain values out (no Django).

The same functions score a session for storing and judge it again, on paper, by a draft profile.
"""

from metrics.scoring.findings import decide_session, decide_sessions
from metrics.scoring.throws import ScoredThrows, choose_scored_throws
from metrics.scoring.values import Decided, ProfileRules, SessionFacts, SessionScore, ThrowFacts

__all__ = [
    "Decided",
    "ProfileRules",
    "ScoredThrows",
    "SessionFacts",
    "SessionScore",
    "ThrowFacts",
    "choose_scored_throws",
    "decide_session",
    "decide_sessions",
]
