"""The session page as one value that the template walks."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.urls import reverse

from athletes.facts import level_on
from athletes.words import counted
from metrics.models import RangeProfileVersion
from metrics.selectors.delivery_line import DeliveryLineView
from metrics.selectors.evidence import WINDOW
from metrics.selectors.for_visitor import page_for_visitor, without_outcomes
from metrics.selectors.line_causes import line_of_session
from metrics.selectors.session_baseline import Baseline
from metrics.selectors.session_chance import chance_sentence, score_sentence
from metrics.selectors.session_changes import changes_sentence
from metrics.selectors.session_drift import DriftPart, drift_part
from metrics.selectors.session_lines import Group, Line, first_lines, grouped, lines_of
from metrics.selectors.session_opening import open_session
from metrics.selectors.session_outcomes import OutcomeCell, outcomes_of
from metrics.selectors.session_retest import Retest
from metrics.selectors.session_rows import SessionRows, findings_lag, read_session
from metrics.selectors.session_summary import session_sentence
from metrics.selectors.session_throws import ThrowsPart, throws_part
from metrics.selectors.session_words import capture_words, conditions_words, list_words
from metrics.selectors.sharing import SharedBefore, shared_before
from metrics.selectors.starting_point import StartingPointPanel
from sessions.models import CaptureSession, Method

NEIGHBOURS = 12
"""Sessions of the athlete that the page lists; the record has all of them."""


@dataclass(frozen=True, slots=True)
class SessionLink:
    date: datetime.date
    method: str
    setup: str
    url: str
    is_current: bool


@dataclass(frozen=True, slots=True)
class SessionPage:
    """`all_count`: lines that *all* would show. `empty`: what stands in place of findings when there is none.

    `evidence_for`: the thrown session whose trace these screens enter. `start`: None where nothing is flagged, nothing
    was thrown or no cause links are published.
    """

    uuid: UUID
    url: str
    revision: int
    date: datetime.date
    title: str
    measured_by: str
    conditions: str
    ranges: str
    sentence: str
    banners: tuple[str, ...]
    is_hands_on: bool
    is_lagging: bool
    is_open: bool
    may_change: bool
    shows_all: bool
    all_count: int
    shown_count: int
    groups: tuple[Group, ...]
    baseline: Baseline | None
    retest: Retest | None
    start: StartingPointPanel | None
    shared: SharedBefore | None
    line: DeliveryLineView | None
    last_time: datetime.date | None
    chance: str
    changes: str
    score: str
    outcomes: tuple[OutcomeCell, ...]
    throws: ThrowsPart
    drift: DriftPart | None
    motion_url: str
    empty: str
    previous: SessionLink | None
    following: SessionLink | None
    sessions: tuple[SessionLink, ...]
    session_count: int
    evidence_for: SessionLink | None


def session_page(
    capture: CaptureSession,
    *,
    show_all: bool = False,
    may_change: bool = False,
    system: str = "us",
    for_visitor: bool = False,
) -> SessionPage:
    """Everything on the page of a session that was loaded with `session_rows.RELATED`. `system`: the reader's units.

    `for_visitor`: what the athlete beside the coach may see, see `for_visitor`.
    """
    rows = read_session(capture)
    if not for_visitor:
        return _page(rows, rows, show_all=show_all, may_change=may_change, system=system)
    page = _page(rows, without_outcomes(rows), show_all=show_all, may_change=False, system=system)
    return page_for_visitor(page, rows.catalogue)


def _page(rows: SessionRows, shown: SessionRows, *, show_all: bool, may_change: bool, system: str) -> SessionPage:
    """`shown`: the rows that are listed; the trace is led through all of them."""
    capture = rows.capture
    lines = lines_of(shown) if shown.findings else []
    first = first_lines(lines, rows)
    opening = open_session(rows, shown, lines, may_change=may_change)
    return SessionPage(
        uuid=capture.uuid,
        url=reverse("metrics:session", args=[capture.uuid]),
        revision=capture.input_revision,
        date=capture.date,
        title=_title(rows),
        measured_by=_measured_by(capture),
        conditions=conditions_words(rows.scoring.conditions_used) if rows.scoring else "",
        ranges=_ranges(rows),
        sentence=session_sentence(lines, first, shown),
        banners=tuple(_banners(lines, rows)),
        is_hands_on=capture.method == "hands_on",
        is_lagging=findings_lag(capture),
        is_open=capture.state == CaptureSession.State.OPEN,
        may_change=may_change,
        shows_all=show_all,
        all_count=len(lines),
        shown_count=len(lines) if show_all else len(first),
        groups=grouped(lines if show_all else first),
        baseline=opening.baseline,
        retest=opening.retest,
        start=opening.start,
        shared=shared_before(rows),
        line=line_of_session(shown, lines, opening.traced, opening.start, show_all=show_all, system=system),
        last_time=rows.last_time.date if rows.last_time else None,
        chance=chance_sentence(rows.scoring, lines),
        changes=_changes(rows, lines),
        score=score_sentence(rows.scoring),
        outcomes=outcomes_of(shown),
        motion_url=_motion_url(rows),
        empty=_empty(rows),
        **_throws(rows, system),
        **_other_sessions(rows),
    )


def _throws(rows: SessionRows, system: str) -> dict[str, Any]:
    """The fields of the page that list the throws and follow them."""
    throws = throws_part(rows)
    return {"throws": throws, "drift": drift_part(rows, throws, system)}


def _other_sessions(rows: SessionRows) -> dict[str, Any]:
    """The fields of the page that lead to the athlete's other sessions."""
    place = _place(rows)
    links = [_link(one, rows.capture) for one in rows.sessions]
    return {
        "previous": links[place + 1] if place + 1 < len(links) else None,
        "following": links[place - 1] if place else None,
        "sessions": tuple(links[:NEIGHBOURS]),
        "session_count": len(links),
        "evidence_for": _evidence_for(rows, links),
    }


def _evidence_for(rows: SessionRows, links: Sequence[SessionLink]) -> SessionLink | None:
    """The latest thrown session that these screens speak of; None for a session that is thrown itself."""
    if rows.capture.method != Method.HANDS_ON:
        return None
    thrown = (
        link
        for one, link in zip(rows.sessions, links, strict=True)
        if one.method != Method.HANDS_ON and abs(one.date - rows.capture.date) <= WINDOW
    )
    return next(thrown, None)


def _place(rows: SessionRows) -> int:
    """Of this session among all, the latest first."""
    return next(index for index, one in enumerate(rows.sessions) if one.pk == rows.capture.pk)


def _measured_by(capture: CaptureSession) -> str:
    """hands-on, by Ngaire Abaza: whose hands, where they are known."""
    words = capture_words(capture)
    if capture.method != "hands_on":
        return words
    entries = capture.screen_entries.filter(undone_at=None, entered_by__isnull=False).select_related("entered_by")
    names = dict.fromkeys(str(entry.entered_by) for entry in entries)
    return f"{words}, by {list_words(list(names))}" if names else words


def _motion_url(rows: SessionRows) -> str:
    """Where the moving figure and the curves are; "" when no throw has positions."""
    recorded = any(getattr(throw, "is_recorded", False) for throw in rows.throws)
    return reverse("metrics:session-motion", args=[rows.capture.uuid]) if recorded else ""


def _link(one: CaptureSession, current: CaptureSession) -> SessionLink:
    url = reverse("metrics:session", args=[one.uuid])
    return SessionLink(one.date, str(one.get_method_display()), one.setup, url, one.pk == current.pk)


def _title(rows: SessionRows) -> str:
    if rows.capture.method == "hands_on":
        return "Hands-on screens"
    if rows.last_time is not None:
        return "Re-test"
    return "Session" if rows.scoring is None else "Baseline"


def _ranges(rows: SessionRows) -> str:
    """ranges: House starting, high school, version 1 · 83% of what counts was scored."""
    scoring = rows.scoring
    if scoring is None or scoring.profile_version is None:
        return ""
    version, level = scoring.profile_version, level_on(rows.capture.athlete, rows.capture.date)
    level_words = level.label if level else "level not recorded"
    coverage = f" · {scoring.coverage:.0%} of what counts was scored" if scoring.coverage else ""
    return f"ranges: {version.profile.name}, {level_words}, version {version.number}{coverage}"


def _banners(lines: Sequence[Line], rows: SessionRows) -> list[str]:
    scoring, banners = rows.scoring, []
    if scoring is None or not rows.findings:
        return []
    if scoring.for_orientation:
        conditions = conditions_words(scoring.conditions_used)
        banners.append(
            "For orientation: no throw here is one that ranges are written for. These findings are made of "
            f"{counted(scoring.scored_throws, 'throw')} of another kind: {conditions}."
        )
    flags = [line for line in lines if line.is_flag]
    if flags and all("to confirm" in line.confirmation for line in flags) and rows.last_time is None:
        banners.append(
            "Provisional: one session. "
            f"{'The flag stays' if len(flags) == 1 else 'Flags stay'} to confirm until a second comparable session, "
            "or more throws in this one, agree."
        )
    return banners


def _changes(rows: SessionRows, lines: Sequence[Line]) -> str:
    """Of every metric that is comparable with last time, how many changed, and what chance would give."""
    named = [(line.label, line.change) for line in lines if line.change]
    return changes_sentence(named, f"{rows.last_time.date:%-d %B}") if rows.last_time else ""


def _empty(rows: SessionRows) -> str:
    if rows.findings:
        return ""
    if not rows.throws:
        return "No throw stands in this session yet. Its findings follow with the first upload that adds one."
    if rows.scoring is None:
        if not RangeProfileVersion.objects.filter(status="published", profile__in_use=True).exists():
            return "No range profile is published and in use, so nothing can be held against a range yet."
        return "The findings of this session are being computed."
    return "No finding: every throw is left out. Take one back below, and its findings follow."
