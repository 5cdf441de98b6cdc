"""Responses across the roster as *what works here* counts them, and the course of flags that got no work.

Of athletes who are there and consent, one row a response: nothing here names anybody to a page.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from athletes.models import Athlete
from metrics.models import Finding
from plans.models import FollowUp, PrescriptionReason
from plans.responding.response import Answered
from plans.responding.values import Flag, ResponseWord
from plans.responding.works_here import COUNTED, FEWEST_ATHLETES, Outcome, course_without_work, usual_days
from plans.selectors.answered import Measured, answered_reason
from sessions.models import CaptureSession


class _Given(NamedTuple):
    """Why work was given: by (prescription, flag) when it was raised, and who was given work for which flag."""

    raised: Mapping[tuple[int, Flag], dt.date]
    answered: frozenset[tuple[int, Flag]]


def read_outcomes() -> list[Outcome]:
    """Outcomes of work, then courses without; as many queries for any number of athletes.

    The queries for courses are one a metric that at least five athletes had the same work for.
    """
    given = _read_given()
    worked = list(_worked(given))
    return [*worked, *_courses(worked, given)]


def _counted_athletes() -> Any:
    """Those whose measurements a coach may read."""
    return Athlete.objects.filter(consent_withdrawn_on=None)


def _read_given() -> _Given:
    """Reasons whose session was withdrawn or moved to somebody else keep the athlete from counting as without work."""
    rows = PrescriptionReason.objects.filter(prescription__withdrawn_at=None).values_list(
        "prescription_id",
        "prescription__athlete_id",
        "metric",
        "direction",
        "session__athlete_id",
        "session__date",
        "session__withdrawn_at",
    )
    raised: dict[tuple[int, Flag], dt.date] = {}
    answered = set()
    for prescription, athlete, metric, side, owner, date, withdrawn_at in rows.iterator():
        answered.add((athlete, Flag(metric, side)))
        if owner == athlete and withdrawn_at is None:
            raised[prescription, Flag(metric, side)] = date
    return _Given(raised, frozenset(answered))


def _worked(given: _Given) -> Iterator[Outcome]:
    """Each finding of each response, the earlier follow-up of a prescription first."""
    sessions = CaptureSession.objects.order_by().values_list("uuid", "athlete_id")
    owners = {str(uuid): athlete for uuid, athlete in sessions.iterator()}
    rows = (
        FollowUp.objects.filter(prescription__withdrawn_at=None, prescription__athlete__in=_counted_athletes())
        .order_by("prescription__start", "due", "pk")
        .values_list(
            "prescription_id",
            "prescription__athlete_id",
            "prescription__version__intervention__key",
            "prescription__start",
            "decision",
            "decided_on",
            "response__told",
        )
    )
    for prescription, athlete, key, start, decision, decided_on, told in rows.iterator():
        for finding in ((decided_on if decision else told) or {}).get("findings", ()):
            raised_on = given.raised.get((prescription, Flag(finding["metric"], finding["side"])))
            if raised_on is not None and finding["now"] and _still_stands(finding, athlete, owners):
                yield _outcome(finding, athlete, key, start, raised_on)


def _outcome(finding: Mapping[str, Any], athlete: int, key: str, start: dt.date, raised_on: dt.date) -> Outcome:
    return Outcome(
        athlete=athlete,
        flag=Flag(finding["metric"], finding["side"]),
        intervention=key,
        word=ResponseWord(finding["word"]),
        start=start,
        days_until_start=max((start - raised_on).days, 0),
        days=(dt.date.fromisoformat(finding["now"]["date"]) - start).days,
    )


def _still_stands(finding: Mapping[str, Any], athlete: int, owners: Mapping[str, int]) -> bool:
    """A decision keeps what it was made on; once one of its sessions is withdrawn or moved, it is no evidence."""
    baseline = finding["baseline"] or {"sessions": ()}
    return all(owners.get(uuid) == athlete for uuid in (*baseline["sessions"], *finding["sessions"]))


# ---- without a prescription -----------------------------------------------------------------------------


def _courses(worked: Iterable[Outcome], given: _Given) -> Iterator[Outcome]:
    """For every flag that five athletes had the same work for: how it went for those who never got any for it."""
    spans = _spans(worked)
    raised = _raised_without_work(spans, given)
    sessions = _sessions_of({athlete for athlete, _ in raised})
    by_metric: defaultdict[str, list[tuple[int, Flag]]] = defaultdict(list)
    for athlete, flag in raised:
        by_metric[flag.metric].append((athlete, flag))
    for metric, wanted in by_metric.items():
        measured = Measured(sessions, _findings_of(metric, {athlete for athlete, _ in wanted}))
        for athlete, flag in wanted:
            reason = PrescriptionReason(metric=metric, direction=flag.side, session_id=raised[athlete, flag])
            answered = answered_reason(reason, athlete, measured)
            if answered is not None:
                yield from _course(athlete, answered, spans[flag])


def _spans(worked: Iterable[Outcome]) -> dict[Flag, set[tuple[int, int]]]:
    """Flag → the usual days of each work for it that is shown at all."""
    groups: defaultdict[tuple[Flag, Any], dict[Any, Outcome]] = defaultdict(dict)
    for one in sorted(worked, key=lambda one: one.start):
        if one.word in COUNTED:
            groups[one.flag, one.intervention].setdefault(one.athlete, one)
    spans: defaultdict[Flag, set[tuple[int, int]]] = defaultdict(set)
    for (flag, _), first in groups.items():
        if len(first) >= FEWEST_ATHLETES:
            spans[flag].add(usual_days(list(first.values())))
    return dict(spans)


def _raised_without_work(flags: Iterable[Flag], given: _Given) -> dict[tuple[int, Flag], int]:
    """(athlete, flag) → key of the session in which it was flagged first."""
    wanted = set(flags)
    rows = (
        Finding.objects.flags()
        .filter(metric__in={flag.metric for flag in wanted}, session__withdrawn_at=None)
        .filter(session__athlete__in=_counted_athletes())
        .order_by("session__date", "session__ordinal", "session_id")
        .values_list("session__athlete_id", "metric", "side", "session_id")
    )
    first: dict[tuple[int, Flag], int] = {}
    for athlete, metric, side, session in rows.iterator():
        flag = Flag(metric, side)
        if flag in wanted and (athlete, flag) not in given.answered:
            first.setdefault((athlete, flag), session)
    return first


def _sessions_of(athletes: set[int]) -> dict[int, list[CaptureSession]]:
    found: defaultdict[int, list[CaptureSession]] = defaultdict(list)
    rows = CaptureSession.objects.filter(athlete__in=_counted_athletes()).order_by("date", "ordinal", "pk")
    for one in rows.iterator():
        if one.athlete_id in athletes:
            found[one.athlete_id].append(one)
    return dict(found)


def _findings_of(metric: str, athletes: set[int]) -> dict[tuple[int, str], Finding]:
    """Two queries: the findings, and their rules, which they share."""
    rows = Finding.objects.filter(metric=metric, session__athlete__in=athletes, session__withdrawn_at=None)
    return {(row.session_id, metric): row for row in rows.order_by().prefetch_related("rule")}


def _course(athlete: int, answered: Answered, spans: Iterable[tuple[int, int]]) -> Iterator[Outcome]:
    for until, days in sorted(spans):
        course = course_without_work(answered, until, days)
        if course.word is not None and course.measured is not None:
            start = answered.raised_by.point.date + dt.timedelta(days=until)
            yield Outcome(athlete, answered.flag, None, course.word, start, until, (course.measured.date - start).days)
