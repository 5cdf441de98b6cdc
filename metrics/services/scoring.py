"""Scoring sessions: load their inputs, decide, replace their findings. Safe to run twice and at any time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from metrics.catalogue import load_catalogue
from metrics.comparable import later_sessions
from metrics.judging import ALGORITHM
from metrics.models import Finding, RangeProfileVersion, Scoring
from metrics.profiles import rules_of, versions_for
from metrics.scoring import SessionScore, decide_sessions
from metrics.scoring.values import ReadingMap
from metrics.services.finding_rows import Row, finding_rows
from metrics.services.motion.measuring import measure_where_size_changed
from metrics.services.scoring_facts import Known, gather_facts_of
from metrics.services.standing import rebuild_standings
from metrics.services.time_lines import HISTORY_SESSIONS, TimeLines, in_order
from sessions.bulk_rows import insert_rows
from sessions.models import CaptureSession
from sessions.pipeline import enqueue_stage, stage


@dataclass(frozen=True, slots=True)
class StoredReadings:
    """All readings of a new session by throw, as they were written at this input revision."""

    revision: int
    by_throw: Mapping[int, ReadingMap]


Scored = dict[CaptureSession, tuple[SessionScore, RangeProfileVersion]]

READ_BY_LATER_SESSIONS = ("metric", "condition_set", "moment", "n", "mean", "u", "zone", "side", "sure", "p_flag")
"""What confirmation of a later session's flags depends on."""


@stage("score")
def rescore_session(session_id: int) -> None:
    """Scores the session that the id names; nothing to do when it is withdrawn or its findings are current."""
    capture = CaptureSession.objects.select_related("athlete").filter(pk=session_id).first()
    if capture:
        measure_where_size_changed(capture)
        rescore(capture)


def rescore(capture: CaptureSession, *, version: RangeProfileVersion | None = None) -> Scoring | None:
    """Replaces the session's findings by those of its present inputs; gives the scoring that stands.

    Takes the version pinned by an earlier scoring, else the newest valid on the session's date. Without any
    published profile nothing is scored (None). Findings written meanwhile from newer inputs are left alone.
    """
    rescore_together([capture], version=version)
    return Scoring.objects.filter(session=capture).first()


def rescore_together(
    captures: Collection[CaptureSession],
    *,
    version: RangeProfileVersion | None = None,
    stored: Mapping[int, StoredReadings] | None = None,
) -> None:
    """`rescore` of many sessions in one transaction; the rows are those of scoring one after the other by date.

    `stored`: what the caller has just written, by session; read back only where a session was changed since.
    """
    revisions = dict(
        CaptureSession.everything.filter(pk__in=[one.pk for one in captures]).values_list("pk", "input_revision")
    )
    for capture in captures:
        capture.input_revision = revisions[capture.pk]
    known = {key: one.by_throw for key, one in (stored or {}).items() if one.revision == revisions.get(key)}
    scored = _decide(in_order(captures), version, known)
    if not scored:
        return
    with transaction.atomic():
        scorings = _locked_scorings(scored)
        current = {one: scored[one] for one in scored if not _is_newer(scorings.get(one.pk), one)}
        _replace_findings(current)
        _write_scorings(current, scorings)
        rebuild_standings({capture.athlete_id for capture in current})


def _decide(captures: Sequence[CaptureSession], version: RangeProfileVersion | None, known: Known) -> Scored:
    """Each session's score by the version that it is scored with; without those for which there is none."""
    pinned = _pinned(captures) if version is None else {}
    by_date = versions_for({one.date for one in captures if one.pk not in pinned}) if version is None else {}
    groups: defaultdict[RangeProfileVersion, list[CaptureSession]] = defaultdict(list)
    for capture in captures:
        found = version or pinned.get(capture.pk) or by_date.get(capture.date)
        if found:
            groups[found].append(capture)
    decided: Scored = {}
    for one, members in groups.items():
        scores = decide_sessions(gather_facts_of(members, known), rules_of(one), load_catalogue())
        decided |= {capture: (score, one) for capture, score in zip(members, scores, strict=True)}
    return {capture: decided[capture] for capture in captures if capture in decided}


def _pinned(captures: Sequence[CaptureSession]) -> Mapping[int, RangeProfileVersion]:
    rows = Scoring.objects.filter(session__in=captures).select_related("profile_version__profile")
    return {row.session_id: row.profile_version for row in rows if row.profile_version}


def _locked_scorings(captures: Iterable[CaptureSession]) -> dict[int, Scoring]:
    """The scorings that there are; the sessions' locks keep a second run away until this one is done."""
    keys = sorted(capture.pk for capture in captures)
    list(CaptureSession.everything.select_for_update().filter(pk__in=keys).order_by("pk").values_list("pk"))
    return {row.session_id: row for row in Scoring.objects.filter(session__in=keys)}


def _is_newer(scoring: Scoring | None, capture: CaptureSession) -> bool:
    """Whether findings of later inputs stand already."""
    return scoring is not None and (
        scoring.scored_revision > capture.input_revision
        or scoring.scored_facts_revision > capture.athlete.facts_revision
    )


def _replace_findings(scored: Scored) -> None:
    """New findings for old; sessions after one whose findings changed are scored again by the worker."""
    catalogue, lines = load_catalogue(), TimeLines(scored)
    lines.load_findings({capture: score for capture, (score, _) in scored.items()})
    made: dict[int, list[Row]] = {}
    for capture, (score, version) in scored.items():
        past = lines.past(capture, score, catalogue)
        made[capture.pk] = finding_rows(capture, score, past, rules_of(version).thresholds)
        lines.remember(capture, made[capture.pk])
    later = {capture.pk: [one for one in lines.later_scored(capture) if one.pk not in made] for capture in scored}
    before = _what_later_sessions_read([key for key, sessions in later.items() if sessions])
    Finding.objects.filter(session__in=list(made)).delete()
    insert_rows(Finding, (row for rows in made.values() for row in rows))
    changed = [key for key, sessions in later.items() if sessions and before[key] != _read_by_later(made[key])]
    restate_sessions(list({one.pk: one for key in changed for one in later[key]}.values()))


def _what_later_sessions_read(keys: Collection[int]) -> Mapping[int, set[tuple[object, ...]]]:
    found: defaultdict[int, set[tuple[object, ...]]] = defaultdict(set)
    rows = Finding.objects.filter(session__in=keys).order_by().values_list("session_id", *READ_BY_LATER_SESSIONS)
    for key, *read in rows if keys else ():
        found[key].add(tuple(read))
    return found


def _read_by_later(rows: Iterable[Row]) -> set[tuple[object, ...]]:
    blank = {"side": "", "sure": ""}
    return {tuple(row.get(name, blank.get(name)) for name in READ_BY_LATER_SESSIONS) for row in rows}


def restate_later_sessions(capture: CaptureSession) -> None:
    """For a session that came, went or changed outside its own scoring."""
    restate_sessions(
        list(later_sessions(capture).filter(method=capture.method, scoring__isnull=False)[:HISTORY_SESSIONS])
    )


def restate_sessions(later: Sequence[CaptureSession]) -> None:
    """Confirmed and recurring count earlier sessions: later ones are scored again by the worker.

    Their own numbers do not change by that, so it goes no further than one step.
    """
    if later:
        Scoring.objects.filter(session__in=later).update(scored_revision=0)
    for session in later:
        enqueue_stage("score", session.pk)


def _write_scorings(scored: Scored, scorings: Mapping[int, Scoring]) -> None:
    now, catalogue = timezone.now(), load_catalogue()
    known = {row.pk for row in scorings.values()}
    rows = []
    for capture, (score, version) in scored.items():
        row = scorings.get(capture.pk) or Scoring(session=capture)
        row.profile_version, row.scored_at, row.algorithm = version, now, ALGORITHM
        row.catalogue_version = catalogue.version
        row.conditions_used = dict(score.conditions_used)
        for name in TAKEN_FROM_SCORE:
            setattr(row, name, getattr(score, name))
        row.scored_revision, row.scored_facts_revision = capture.input_revision, capture.athlete.facts_revision
        rows.append(row)
    Scoring.objects.bulk_create([row for row in rows if row.pk is None])
    for row in rows:
        if row.pk in known:
            row.save()


TAKEN_FROM_SCORE = (
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
)
