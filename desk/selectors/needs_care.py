"""Pain and stops, and body sizes that ranges wait for."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from typing import Any

from django.utils import timezone

from athletes.facts import SIZE_FIELDS, sizes_by, stopped_by
from athletes.models import BodySize, PainReport, Role
from athletes.models.accounts import account_name
from athletes.words import day_words
from desk.selectors.need import NOTHING, Kind, Need, Needs, person, several
from desk.selectors.watched import Watched, WatchedAthlete

PAIN_SENTENCE = "Throwing and loaded work are stopped."
CLEARANCE = "A clearance is needed before the next throw."
REPORTED_BY = tuple(f"reported_by__{name}" for name in ("first_name", "last_name", "username", "role"))


def pain_and_stops(watched: Watched) -> Needs:
    """Everybody who is stopped, whoever coaches them: open pain first. One query, none where nobody is."""
    reports = _open_reports(watched.stopped) if watched.stopped else {}
    lines = [line for row in watched.stopped if (line := _stop_line(row, reports.get(row.pk, []), watched.today))]
    return Needs(tuple(lines), len(lines))


def _open_reports(athletes: list[WatchedAthlete]) -> dict[int, list[Any]]:
    """Of each by primary key, the newest first."""
    found = defaultdict(list)
    rows = PainReport.objects.open().filter(athlete__in=[row.pk for row in athletes])
    for row in rows.values_list("athlete", "where", "reported_at", *REPORTED_BY, named=True):
        found[row.athlete].append(row)
    return found


def _stop_line(athlete: WatchedAthlete, reports: list[Any], today: dt.date) -> Need | None:
    stopped = stopped_by([(row.where, timezone.localdate(row.reported_at)) for row in reports], athlete.held)
    if stopped is None:
        return None
    if stopped.is_pain:
        kind: Kind = "pain"
        title, ending = "Pain: ", f", {stopped.reason.removeprefix('pain: ')}."
        reason = f"{_reported(reports[0], today)} {CLEARANCE}"
    else:
        kind, title, ending = "stopped", "Stopped: ", "."
        why = athlete.held.limits.rstrip(".")
        reason = f"Since {day_words(stopped.since, today)}{f': {why}' if why else ''}."
    who = person(athlete)
    return Need(kind, title, (who,), ending=ending, sentence=PAIN_SENTENCE, reason=reason, step="Open", url=who.url)


def _reported(report: Any, today: dt.date) -> str:
    at = timezone.localtime(report.reported_at)
    when = f"{at:%H:%M}" if at.date() == today else day_words(at.date(), today)
    *name, role = (getattr(report, field) for field in REPORTED_BY)
    by = f" by {account_name(*name)}, {Role(role).label}" if role else ""
    return f"Reported{by}, {when}."


def sizes_needed(watched: Watched) -> Needs:
    """Growing athletes without a height and a mass of the last half year; ranges by body size wait for them."""
    waiting = _without_fresh_sizes(watched.growing, watched.today)
    if not waiting:
        return NOTHING
    people, more = several(waiting, page="athletes:body-size")
    url = people[0].url if len(waiting) == 1 else ""
    line = Need(
        "size",
        "Height and mass: ",
        people,
        more,
        reason="Missing, or older than half a year. Ranges by body size need them.",
        step="Measure" if url else "",
        url=url,
    )
    return Needs((line,), len(waiting))


def _without_fresh_sizes(athletes: list[WatchedAthlete], today: dt.date) -> list[WatchedAthlete]:
    """One query, none where nobody grows."""
    if not athletes:
        return []
    measured = defaultdict(list)
    rows = BodySize.objects.filter(athlete__in=[row.pk for row in athletes])
    for row in rows.values_list("athlete", *SIZE_FIELDS, named=True):
        measured[row.athlete].append(row)
    known = [(row, sizes_by(measured[row.pk], row.birth_date, today)) for row in athletes]
    return [row for row, sizes in known if any(one is None or one.is_old for one in (sizes.height, sizes.mass))]
