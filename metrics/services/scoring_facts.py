"""What is loaded for scoring: throws, readings, body size and level of many sessions in a few queries."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Mapping, Sequence

from athletes.facts import body_size_on, level_on
from athletes.models import Athlete
from metrics.judging.values import BodySize
from metrics.models import Reading
from metrics.scoring import SessionFacts, ThrowFacts
from metrics.scoring.values import ReadingMap
from sessions.models import CaptureSession, FilterKnowledge, Throw

Known = Mapping[int, Mapping[int, ReadingMap]]
"""Readings that need not be loaded, by session and throw: those of all its throws at its present revision."""

THROW_FIELDS = (
    "session_id",
    "pk",
    "number",
    "pitch_type",
    "intent",
    "surface",
    "ball",
    "excluded_at",
    "ball_speed_m_s",
)


def gather_facts(capture: CaptureSession) -> SessionFacts:
    """Everything that the session's findings depend on, as it was on its date."""
    return gather_facts_of([capture])[0]


def gather_facts_of(captures: Sequence[CaptureSession], known: Known | None = None) -> list[SessionFacts]:
    """The facts of many sessions, in as many queries as for one."""
    people = Athlete.everything.prefetch_related("levels", "body_sizes").in_bulk({one.athlete_id for one in captures})
    throws = _throws_by_session(captures, known or {})
    return [
        SessionFacts(
            date=capture.date,
            method=capture.method,
            level=level_on(people[capture.athlete_id], capture.date),
            body_size=body_size_of(people[capture.athlete_id], capture.date),
            landing=capture.landing,
            filter_hz=capture.filter_hz if capture.filter_knowledge == FilterKnowledge.KNOWN else None,
            frame_rate_hz=capture.frame_rate_hz,
            definitions=capture.definitions,
            throws=tuple(throws[capture.pk]),
        )
        for capture in captures
    ]


def _throws_by_session(captures: Sequence[CaptureSession], known: Known) -> Mapping[int, list[ThrowFacts]]:
    readings = readings_by_throw([one for one in captures if one.pk not in known])
    for capture in captures:
        readings.update(known.get(capture.pk, {}))
    rows = Throw.objects.filter(session__in=captures).order_by("number", "pk")
    found: defaultdict[int, list[ThrowFacts]] = defaultdict(list)
    for key, pk, number, pitch_type, intent, surface, ball, excluded_at, ball_speed in rows.values_list(*THROW_FIELDS):
        is_excluded = excluded_at is not None
        throw = ThrowFacts(number, pitch_type, intent, surface, ball, is_excluded, ball_speed, readings.get(pk, {}))
        found[key].append(throw)
    return found


def readings_by_throw(captures: Sequence[CaptureSession]) -> dict[int, ReadingMap]:
    """One map a throw; what came from marker positions stands before a table's number of the same name."""
    if not captures:
        return {}
    rows = Reading.objects.filter(throw__session__in=captures).values_list("throw_id", "source", "values")
    found: dict[int, ReadingMap] = {}
    for throw_id, source, values in rows:
        known = found.get(throw_id)
        if known is None:
            found[throw_id] = values
        else:
            found[throw_id] = {**known, **values} if source == Reading.Source.MARKERS else {**values, **known}
    return found


def body_size_of(athlete: Athlete, date: datetime.date) -> BodySize:
    size = body_size_on(athlete, date)
    return BodySize(
        height_cm=size.height.value if size.height else None,
        mass_kg=size.mass.value if size.mass else None,
        arm_span_cm=size.arm_span.value if size.arm_span else None,
        height_date=size.height.measured_on if size.height else None,
        mass_date=size.mass.measured_on if size.mass else None,
        arm_span_date=size.arm_span.measured_on if size.arm_span else None,
    )
