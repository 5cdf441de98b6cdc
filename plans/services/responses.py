"""Responses as the measurements stand: rebuilt whenever an athlete's standing is, never edited."""

from __future__ import annotations

import datetime as dt
import math
import zoneinfo
from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from athletes.models import Facility
from metrics.services.standing import follow_standings
from plans.models import FollowUp, Prescription, Response
from plans.responding.response import Response as Answer
from plans.responding.response import Work, respond
from plans.responding.values import FindingResponse, Flag, Term
from plans.selectors.answered import answered_by, metrics_of, read_measured, with_reasons


@transaction.atomic
def rebuild_responses(athlete_ids: Collection[int]) -> None:
    """Replaces the response of every undecided follow-up of these athletes; a decided one keeps what it was decided on.

    Follow-ups whose work has nothing measured to start from get none.
    """
    due = list(FollowUp.objects.open().filter(prescription__athlete__in=athlete_ids))
    if not due:
        return
    running = list(with_reasons(Prescription.objects.filter(athlete__in={*athlete_ids})))
    by_key = {one.pk: one for one in running}
    measured = read_measured({one.athlete_id for one in running}, metrics_of(running))
    works: defaultdict[int, list[Work]] = defaultdict(list)
    for one in running:
        works[one.athlete_id].append(work_of(one))
    zone, now = zoneinfo.ZoneInfo(Facility.current().time_zone), timezone.now()
    rows = []
    for follow_up in due:
        prescription = by_key[follow_up.prescription_id]
        answered = answered_by(prescription, measured)
        if answered:
            term = term_of(prescription, follow_up, zone)
            answer = respond(answered, term, works[prescription.athlete_id], key=prescription.pk)
            rows.append(_row(follow_up, answer, now))
    told_now = [row.follow_up_id for row in rows]
    Response.objects.filter(follow_up__in=due).exclude(follow_up__in=told_now).delete()
    # Over what stands: another worker may rebuild the same athlete's at this moment, and both come to the same.
    changing = ["word", "told", "measured_on", "rebuilt_at"]
    Response.objects.bulk_create(rows, update_conflicts=True, unique_fields=["follow_up"], update_fields=changing)


def term_of(prescription: Prescription, follow_up: FollowUp, zone: dt.tzinfo) -> Term:
    """The days that decide. A date that came to lie before the start counts from the day after it."""
    written = prescription.written_at.astimezone(zone).date()
    due = max(follow_up.due, prescription.start + dt.timedelta(days=1))
    return Term(written, prescription.start, due)


def work_of(prescription: Prescription) -> Work:
    flags = frozenset(Flag(one.metric, one.direction) for one in prescription.reasons.all())
    return Work(prescription.pk, flags, prescription.start, prescription.ended_on)


def _row(follow_up: FollowUp, answer: Answer, now: dt.datetime) -> Response:
    measured = answer.decides.measured
    return Response(
        follow_up=follow_up,
        word=answer.word or "",
        told=told(answer),
        measured_on=measured.date if measured else None,
        rebuilt_at=now,
    )


def told(answer: Answer) -> dict[str, Any]:
    """The whole response as JSON: `findings` the deciding one first, `works` the words for what ran beside it."""
    return {
        "findings": [_finding(one) for one in (answer.decides, *answer.beside)],
        "works": answer.works_words,
        "stays_due": answer.stays_due,
    }


def _finding(one: FindingResponse) -> dict[str, Any]:
    baseline, change = one.baseline, one.change
    return {
        "metric": one.flag.metric,
        "side": one.flag.side,
        "word": one.word or "",
        "reason": str(one.reason),
        "baseline": None
        if baseline is None
        else {
            "mean": baseline.point.mean,
            "own_mean": baseline.own_mean,
            "date": str(baseline.point.date),
            "estimated": baseline.estimated,
            "sessions": [str(key) for key in baseline.keys],
        },
        "now": None if one.measured is None else {"mean": one.measured.mean, "date": str(one.measured.date)},
        "sessions": [str(key) for key in one.measured_keys],
        "change": None
        if change is None
        else {name: _known(getattr(change, name)) for name in ("difference", "u", "nu", "detectable", "p")},
        "level": one.level,
    }


def _known(number: float | None) -> float | None:
    return None if number is None or not math.isfinite(number) else float(number)


def rebuild_all() -> int:
    """Every athlete with open work; returns how many. For `manage.py` and after an upgrade."""
    athletes: Iterable[int] = FollowUp.objects.open().values_list("prescription__athlete", flat=True).distinct()
    found = set(athletes)
    rebuild_responses(found)
    return len(found)


follow_standings(rebuild_responses)
