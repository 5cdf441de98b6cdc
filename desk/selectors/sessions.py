"""Sessions as lines of a list: when, how, under which conditions, and the flags that they left."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Prefetch, QuerySet
from django.urls import reverse

from athletes.facts import age_on
from desk.words import counted
from metrics.models import Finding, Scoring
from sessions.models import Ball, CaptureSession, Intent, Method, PitchType, SessionExtract, Surface

CONDITION_WORDS = {"surface": Surface, "intent": Intent, "pitch_type": PitchType, "ball": Ball}


@dataclass(frozen=True, slots=True)
class SourceFile:
    name: str
    url: str


@dataclass(frozen=True, slots=True)
class SessionLine:
    """flags: [metric, side, sure] of the session's family heads, most important first."""

    uuid: UUID
    url: str
    athlete_uuid: UUID
    athlete_name: str
    athlete_age: int
    athlete_throws: str
    date: dt.date
    method: str
    throws: str
    conditions: str
    flags: tuple[tuple[str, str, str], ...]
    is_scored: bool
    is_open: bool
    files: tuple[SourceFile, ...] = ()


def session_lines(sessions: QuerySet[CaptureSession], today: dt.date, *, files: bool = False) -> list[SessionLine]:
    """In the order given, in a fixed number of queries; `files` adds the uploads that they came from."""
    flags = Finding.objects.flags().filter(is_family_head=True, priority__gt=0).order_by("-priority", "metric")
    rows = sessions.select_related("athlete", "scoring").prefetch_related(
        Prefetch("findings", flags, to_attr="shown_flags")
    )
    if files:
        extracts = SessionExtract.objects.select_related("upload").defer("content", "rows")
        rows = rows.prefetch_related(Prefetch("extracts", extracts))
    return [_line(row, today, files=files) for row in rows]


def _line(session: CaptureSession, today: dt.date, *, files: bool) -> SessionLine:
    athlete, scoring = session.athlete, getattr(session, "scoring", None)
    return SessionLine(
        uuid=session.uuid,
        url=reverse("metrics:session", args=[session.uuid]),
        athlete_uuid=athlete.uuid,
        athlete_name=athlete.name,
        athlete_age=age_on(athlete.birth_date, max(today, athlete.birth_date)).years,
        athlete_throws=athlete.get_throws_display(),
        date=session.date,
        method=session.get_method_display(),
        throws=_throws(scoring, session.method),
        conditions=conditions_words(scoring),
        flags=tuple((flag.metric, flag.side, flag.sure) for flag in _shown_flags(session)),
        is_scored=scoring is not None,
        is_open=session.state == CaptureSession.State.OPEN,
        files=_files(session) if files else (),
    )


def _shown_flags(session: CaptureSession) -> list[Finding]:
    return session.shown_flags  # type: ignore[attr-defined]  # the prefetch of session_lines


def conditions_words(scoring: Scoring | None) -> str:
    """Mound, full effort, fastball, regulation ball; says so when the throws used were others than wanted."""
    used = scoring.conditions_used if scoring else {}
    words = [str(kinds(used[name]).label) for name, kinds in CONDITION_WORDS.items() if used.get(name)]
    return ", ".join([*words, *(["for orientation"] if scoring and scoring.for_orientation else [])])


def _throws(scoring: Scoring | None, method: str) -> str:
    """How many throws, and how many of them count; a screen has no throws but repetitions."""
    if scoring is None or not scoring.throws:
        return ""
    if method == Method.HANDS_ON:
        return counted(scoring.throws, "repetition")
    if scoring.scored_throws == scoring.throws:
        return counted(scoring.throws, "throw")
    return f"{scoring.scored_throws} of {counted(scoring.throws, 'throw')} scored"


def _files(session: CaptureSession) -> tuple[SourceFile, ...]:
    """Each upload once, though it may have given several sheets; a withdrawn one is no source any more."""
    uploads = {row.upload.pk: row.upload for row in session.extracts.all() if row.upload}
    return tuple(
        SourceFile(row.filename, reverse("metrics:import", args=[row.uuid]))
        for row in uploads.values()
        if row.withdrawn_at is None
    )
