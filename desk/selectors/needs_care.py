"""Pain and stops, and body sizes that ranges wait for."""

from __future__ import annotations

import datetime as dt

from django.db.models import Prefetch
from django.utils import timezone

from athletes.facts import Stopped, availability_on, body_size_on, open_pain_reports, stopped_on
from athletes.facts.ages import ADULT_YEARS
from athletes.models import Athlete, PainReport, User
from athletes.models.people import AthleteQuerySet
from desk.selectors.need import NOTHING, Kind, Need, Needs, person, several
from desk.selectors.now import AWAY, with_state
from desk.words import day_of

PAIN_SENTENCE = "Throwing and loaded work are stopped."
CLEARANCE = "A clearance is needed before the next throw."


def pain_and_stops(user: User, today: dt.date) -> Needs:
    """Everybody who is stopped, whoever coaches them: open pain first, then the latest."""
    reports = PainReport.objects.open().select_related("reported_by")
    athletes = (
        with_state(Athlete.objects.visible_to(user), today)
        .filter(is_stopped=1)
        .prefetch_related("availabilities", Prefetch("pain_reports", reports, to_attr="known_open_pain"))
        .order_by("-has_open_pain", "family_name", "given_name", "pk")
    )
    lines = [_stop_line(row, stopped, today) for row in athletes if (stopped := stopped_on(row, today))]
    return Needs(tuple(lines), len(lines))


def _stop_line(athlete: Athlete, stopped: Stopped, today: dt.date) -> Need:
    if stopped.is_pain:
        kind: Kind = "pain"
        title, ending = "Pain: ", f", {stopped.reason.removeprefix('pain: ')}."
        reason = f"{_reported(open_pain_reports(athlete)[0], today)} {CLEARANCE}"
    else:
        kind, title, ending = "stopped", "Stopped: ", "."
        why = availability_on(athlete, today).limits.rstrip(".")
        reason = f"Since {day_of(stopped.since, today)}{f': {why}' if why else ''}."
    who = person(athlete)
    return Need(kind, title, (who,), ending=ending, sentence=PAIN_SENTENCE, reason=reason, step="Open", url=who.url)


def _reported(report: PainReport, today: dt.date) -> str:
    at = timezone.localtime(report.reported_at)
    when = f"{at:%H:%M}" if at.date() == today else day_of(at.date(), today)
    by = f" by {report.reported_by}, {report.reported_by.get_role_display()}" if report.reported_by else ""
    return f"Reported{by}, {when}."


def sizes_needed(watched: AthleteQuerySet, today: dt.date) -> Needs:
    """Growing athletes without a height and a mass of the last half year; ranges by body size wait for them."""
    born_after = today.replace(year=today.year - ADULT_YEARS, day=min(today.day, 28))
    minors = with_state(watched, today).filter(birth_date__gt=born_after).exclude(state_now=AWAY)
    waiting = [row for row in minors.prefetch_related("body_sizes") if _is_size_needed(row, today)]
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


def _is_size_needed(athlete: Athlete, today: dt.date) -> bool:
    sizes = body_size_on(athlete, today)
    return any(size is None or size.is_old for size in (sizes.height, sizes.mass))
