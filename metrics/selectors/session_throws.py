"""The throws of a session as the page lists them: under which conditions, and whether findings are made of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from athletes.words import counted
from metrics.drawing.rows import ThrowDot
from metrics.judging.values import CONDITION_FIELDS
from metrics.models import Scoring
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_words import CONDITION_WORDS, list_words
from sessions.models import CaptureSession, Throw

OPEN_UP_TO = 20
"""With more throws than this their table opens when asked for."""


@dataclass(frozen=True, slots=True)
class ThrowLine:
    """`state`: scored, not_scored, excluded. `ball_speed_m_s` in metres a second."""

    uuid: UUID
    number: int
    conditions: str
    ball_speed_m_s: float | None
    state: str
    why: str
    pitch_type: str
    intent: str
    surface: str
    ball: str

    @property
    def is_excluded(self) -> bool:
        return self.state == "excluded"


@dataclass(frozen=True, slots=True)
class ThrowsPart:
    """`lines`: the latest throw first; `dots`: in the order in which they were thrown."""

    lines: tuple[ThrowLine, ...]
    dots: tuple[ThrowDot, ...]
    scored: int
    summary: str
    fastest_m_s: float | None
    slowest_m_s: float | None
    is_open: bool


def throws_part(rows: SessionRows) -> ThrowsPart:
    used = rows.scoring.conditions_used if rows.scoring else None
    lines = tuple(_line(throw, used) for throw in rows.throws)
    scored = [line for line in lines if line.state == "scored"]
    speeds = [line.ball_speed_m_s for line in scored if line.ball_speed_m_s is not None]
    return ThrowsPart(
        lines=lines,
        dots=tuple(ThrowDot(line.ball_speed_m_s, line.state) for line in reversed(lines)),
        scored=len(scored),
        summary=_summary(lines),
        fastest_m_s=max(speeds, default=None),
        slowest_m_s=min(speeds, default=None),
        is_open=len(lines) <= OPEN_UP_TO,
    )


def throw_lines(capture: CaptureSession) -> tuple[ThrowLine, ...]:
    """The throws of a session in the order in which they were thrown, without the rest of its page."""
    scoring = Scoring.objects.filter(session=capture).first()
    used = scoring.conditions_used if scoring else None
    return tuple(_line(throw, used) for throw in capture.throws.order_by("number"))


def _line(throw: Throw, used: dict[str, str] | None) -> ThrowLine:
    state, why = _state(throw, used)
    return ThrowLine(
        uuid=throw.uuid,
        number=throw.number,
        conditions=", ".join(CONDITION_WORDS[name][getattr(throw, name)] for name in _told(throw)),
        ball_speed_m_s=throw.ball_speed_m_s,
        state=state,
        why=why,
        pitch_type=throw.pitch_type,
        intent=throw.intent,
        surface=throw.surface,
        ball=throw.ball,
    )


def _told(throw: Throw) -> list[str]:
    """A regulation ball goes without saying."""
    return [name for name in ("pitch_type", "intent", "surface", "ball") if getattr(throw, name) != "regulation"]


def _state(throw: Throw, used: dict[str, str] | None) -> tuple[str, str]:
    """`used`: the conditions that findings are made of; empty for screens, which have none, None before scoring."""
    if throw.is_excluded:
        return "excluded", throw.excluded_reason
    if used is None:
        return "not_scored", "not scored yet"
    other = [name for name in CONDITION_FIELDS if used and getattr(throw, name) != used.get(name)]
    return (
        ("not_scored", ", ".join(CONDITION_WORDS[name][getattr(throw, name)] for name in other))
        if other
        else (
            "scored",
            "",
        )
    )


def _summary(lines: Sequence[ThrowLine]) -> str:
    """2 warm-up · 1 excluded: slipped, number 13."""
    others = Counter(line.why for line in lines if line.state == "not_scored")
    parts = [f"{count} {why}" for why, count in others.most_common()]
    excluded = [line for line in lines if line.is_excluded]
    if excluded:
        named = list_words([f"{line.why}, number {line.number}" for line in reversed(excluded)])
        parts.append(f"{counted(len(excluded), 'excluded', 'excluded')}: {named}")
    return " · ".join(parts)
