"""What the session page reads: the session's findings beside those of last time, throws, neighbours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.db.models import Exists, OuterRef

from metrics.catalogue import Catalogue, load_catalogue
from metrics.comparable import same_measurement
from metrics.judging.values import Thresholds
from metrics.models import Finding, RangeProfileVersion, Scoring
from metrics.profiles import THRESHOLD_FIELDS
from sessions.models import CaptureSession, Throw, ThrowRecording

RELATED = ("scoring__profile_version__profile",)
"""What a session is loaded with before the functions of this module ask for it."""


@dataclass(frozen=True, slots=True)
class SessionRows:
    """One session as stored. `then`: the findings of `last_time`; `before`: those of them that are comparable."""

    capture: CaptureSession
    scoring: Scoring | None
    findings: tuple[Finding, ...]
    last_time: CaptureSession | None
    then: tuple[Finding, ...]
    before: Mapping[str, Finding]
    throws: tuple[Throw, ...]
    sessions: tuple[CaptureSession, ...]
    catalogue: Catalogue

    @property
    def thresholds(self) -> Thresholds:
        return thresholds_of(self.scoring.profile_version if self.scoring else None)


def thresholds_of(version: RangeProfileVersion | None) -> Thresholds:
    stored = version.thresholds if version else {}
    return Thresholds(**{name: value for name, value in stored.items() if name in THRESHOLD_FIELDS})


def findings_lag(capture: CaptureSession) -> bool:
    """Whether the findings answer an older state of the session than the present one, or there are none yet."""
    scoring = scoring_of(capture)
    if scoring is None:
        return True
    return (
        scoring.scored_revision < capture.input_revision
        or scoring.scored_facts_revision < capture.athlete.facts_revision
    )


def scoring_of(capture: CaptureSession) -> Scoring | None:
    return getattr(capture, "scoring", None)


def read_session(capture: CaptureSession) -> SessionRows:
    """Three queries, however many throws and findings; `capture` loaded with RELATED."""
    scoring = scoring_of(capture)
    sessions = tuple(
        CaptureSession.objects.filter(athlete=capture.athlete_id)
        .select_related("scoring")
        .order_by("-date", "-ordinal", "-id")
    )
    last_time = _last_comparable(capture, scoring, sessions)
    ids = [one.pk for one in (capture, last_time) if one]
    rows = list(Finding.objects.filter(session__in=ids).select_related("rule").defer("rule__note"))
    catalogue = load_catalogue()
    of_throw = ThrowRecording.objects.filter(throw=OuterRef("pk"))
    known = [row for row in rows if row.metric in catalogue.metrics]
    now = tuple(row for row in known if row.session_id == capture.pk)
    then = tuple(row for row in known if row.session_id != capture.pk)
    return SessionRows(
        capture=capture,
        scoring=scoring,
        findings=now,
        last_time=last_time,
        then=then,
        before=_comparable(now, then, capture, last_time, catalogue) if last_time else {},
        throws=tuple(capture.throws.annotate(is_recorded=Exists(of_throw)).order_by("-number")),
        sessions=sessions,
        catalogue=catalogue,
    )


def rows_of_last_time(rows: SessionRows) -> SessionRows | None:
    """The last comparable session with its findings and no earlier one; no query where its profile is today's."""
    last = rows.last_time
    if last is None:
        return None
    last.athlete, scoring = rows.capture.athlete, scoring_of(last)
    if scoring and rows.scoring and scoring.profile_version_id == rows.scoring.profile_version_id:
        scoring.profile_version = rows.scoring.profile_version
    return replace(
        rows, capture=last, scoring=scoring, findings=rows.then, last_time=None, then=(), before={}, throws=()
    )


def _last_comparable(
    capture: CaptureSession, scoring: Scoring | None, sessions: tuple[CaptureSession, ...]
) -> CaptureSession | None:
    """The latest session before this one by the same method, whose findings are made of the same conditions."""
    if scoring is None:
        return None
    place = next(index for index, one in enumerate(sessions) if one.pk == capture.pk)
    for one in sessions[place + 1 :]:
        other = scoring_of(one)
        if one.method == capture.method and other and other.conditions_used == scoring.conditions_used:
            return one
    return None


def _comparable(
    now: tuple[Finding, ...],
    then: tuple[Finding, ...],
    capture: CaptureSession,
    last_time: CaptureSession,
    catalogue: Catalogue,
) -> Mapping[str, Finding]:
    numbers = {row.metric: row for row in then if row.mean is not None}
    pairs = ((row, numbers[row.metric]) for row in now if row.metric in numbers)
    return {
        row.metric: old
        for row, old in pairs
        if row.moment == old.moment and same_measurement(catalogue.metric(row.metric), capture, last_time)
    }
