"""Scoring a session: load its inputs, decide, replace its findings. Safe to run twice and at any time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from django.db import transaction
from django.utils import timezone

from athletes.facts import body_size_on, level_on
from metrics.catalogue import Catalogue, load_catalogue
from metrics.comparable import earlier_sessions, later_sessions, same_measurement
from metrics.judging import ALGORITHM
from metrics.judging.history import PastFinding
from metrics.judging.values import BodySize
from metrics.models import Finding, RangeProfileVersion, Reading, Scoring
from metrics.profiles import rules_of, version_for
from metrics.scoring import SessionFacts, SessionScore, ThrowFacts, decide_session
from metrics.services.finding_rows import as_past, finding_rows
from metrics.services.standing import rebuild_standing
from sessions.models import CaptureSession, FilterKnowledge
from sessions.pipeline import enqueue_stage, stage

Past = Mapping[str, list[PastFinding]]

HISTORY_SESSIONS = 10
"""Earlier comparable sessions that are looked at for confirmed and recurring; the settings ask for three."""


@stage("score")
def rescore_session(session_id: int) -> None:
    """Scores the session that the id names; nothing to do when it is withdrawn or its findings are current."""
    capture = CaptureSession.objects.select_related("athlete").filter(pk=session_id).first()
    if capture:
        rescore(capture)


def rescore(capture: CaptureSession, *, version: RangeProfileVersion | None = None) -> Scoring | None:
    """Replaces the session's findings by those of its present inputs; gives the scoring that stands.

    Takes the version pinned by an earlier scoring, else the newest valid on the session's date. Without any
    published profile nothing is scored (None). Findings written meanwhile from newer inputs are left alone.
    """
    capture.refresh_from_db(fields=["input_revision"])
    revision, facts_revision = capture.input_revision, capture.athlete.facts_revision
    version = version or _pinned(capture) or version_for(capture.date)
    if version is None:
        return None
    catalogue, profile = load_catalogue(), rules_of(version)
    score = decide_session(gather_facts(capture), profile, catalogue)
    past = past_findings(capture, score, catalogue)
    with transaction.atomic():
        scoring, _ = Scoring.objects.select_for_update().get_or_create(session=capture)
        if scoring.scored_revision > revision or scoring.scored_facts_revision > facts_revision:
            return scoring
        later = list(later_sessions(capture).filter(method=capture.method, scoring__isnull=False)[:HISTORY_SESSIONS])
        before = _what_later_sessions_read(capture) if later else set()
        Finding.objects.filter(session=capture).delete()
        Finding.objects.bulk_create(finding_rows(capture, score, past, profile.thresholds))
        if later and before != _what_later_sessions_read(capture):
            restate_sessions(later)
        _fill(scoring, score, version, catalogue)
        scoring.scored_revision, scoring.scored_facts_revision = revision, facts_revision
        scoring.save()
        rebuild_standing(capture.athlete)
    return scoring


def _what_later_sessions_read(capture: CaptureSession) -> set[tuple[object, ...]]:
    """What confirmation of a later session's flags depends on."""
    fields = ("metric", "condition_set", "moment", "n", "mean", "u", "zone", "side", "sure", "p_flag")
    return set(Finding.objects.filter(session=capture).values_list(*fields))


def restate_later_sessions(capture: CaptureSession) -> None:
    """For a session that came, went or changed outside its own scoring."""
    restate_sessions(
        list(later_sessions(capture).filter(method=capture.method, scoring__isnull=False)[:HISTORY_SESSIONS])
    )


def restate_sessions(later: Sequence[CaptureSession]) -> None:
    """Confirmed and recurring count earlier sessions: later ones are scored again by the worker.

    Their own numbers do not change by that, so it goes no further than one step.
    """
    Scoring.objects.filter(session__in=later).update(scored_revision=0)
    for session in later:
        enqueue_stage("score", session.pk)


def _pinned(capture: CaptureSession) -> RangeProfileVersion | None:
    scoring = Scoring.objects.filter(session=capture).select_related("profile_version__profile").first()
    return scoring.profile_version if scoring else None


def gather_facts(capture: CaptureSession) -> SessionFacts:
    """Everything that the session's findings depend on, as it was on its date."""
    throws = list(capture.throws.prefetch_related("readings"))
    return SessionFacts(
        date=capture.date,
        method=capture.method,
        level=level_on(capture.athlete, capture.date),
        body_size=_body_size(capture),
        landing=capture.landing,
        filter_hz=capture.filter_hz if capture.filter_knowledge == FilterKnowledge.KNOWN else None,
        frame_rate_hz=capture.frame_rate_hz,
        definitions=capture.definitions,
        throws=tuple(
            ThrowFacts(
                number=throw.number,
                pitch_type=throw.pitch_type,
                intent=throw.intent,
                surface=throw.surface,
                ball=throw.ball,
                excluded=throw.is_excluded,
                ball_speed_m_s=throw.ball_speed_m_s,
                readings=_merged(throw.readings.all()),
            )
            for throw in throws
        ),
    )


def _merged(readings: Iterable[Reading]) -> Mapping[str, Mapping[str, object]]:
    """One map a throw; what came from marker positions stands before a table's number of the same name."""
    order = sorted(readings, key=lambda reading: reading.source == Reading.Source.MARKERS)
    return {key: value for reading in order for key, value in reading.values.items()}


def _body_size(capture: CaptureSession) -> BodySize:
    size = body_size_on(capture.athlete, capture.date)
    return BodySize(
        height_cm=size.height.value if size.height else None,
        mass_kg=size.mass.value if size.mass else None,
        arm_span_cm=size.arm_span.value if size.arm_span else None,
        height_date=size.height.measured_on if size.height else None,
        mass_date=size.mass.measured_on if size.mass else None,
        arm_span_date=size.arm_span.measured_on if size.arm_span else None,
    )


def past_findings(capture: CaptureSession, score: SessionScore, catalogue: Catalogue) -> Past:
    """Scored findings of the earlier comparable sessions, by metric; judged at the same moment as now."""
    earlier = earlier_sessions(capture).filter(method=capture.method)[:HISTORY_SESSIONS]
    sessions = {session.pk: session for session in earlier}
    if not sessions:
        return {}
    rows = Finding.objects.filter(session__in=list(sessions), condition_set=score.condition_set).exclude(
        zone=Finding.Zone.NOT_SCORED
    )
    moments = {decided.metric: decided.moment for decided in score.findings}
    found: defaultdict[str, list[PastFinding]] = defaultdict(list)
    for row in rows:
        session, metric = sessions[row.session_id], catalogue.metrics.get(row.metric)
        if metric and row.moment == moments.get(row.metric) and same_measurement(metric, capture, session):
            found[row.metric].append(as_past(row, session.date))
    return found


def _fill(scoring: Scoring, score: SessionScore, version: RangeProfileVersion, catalogue: Catalogue) -> None:
    scoring.profile_version = version
    scoring.scored_at = timezone.now()
    scoring.algorithm = ALGORITHM
    scoring.catalogue_version = catalogue.version
    scoring.conditions_used = dict(score.conditions_used)
    for name in (
        "for_orientation",
        "scored_throws",
        "throws",
        "coverage",
        "first_look_coverage",
        "score",
        "score_sd",
        "outside_by_variety",
        "outside_by_variety_of",
        "flags_by_error",
        "flags_by_error_of",
    ):
        setattr(scoring, name, getattr(score, name))
