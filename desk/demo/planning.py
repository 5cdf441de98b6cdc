"""What the demo's coach gave athletes to do some months ago, and what came of it.

Rows of the past are written as they would stand today: a coach cannot give work whose follow-up is over, so the first
prescription and its date are stored here; what is decided on them goes through the services.
"""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Sequence

from athletes.facts import age_on
from athletes.models import Athlete, Facility, User
from metrics.causes import links_of, versions_in_force
from metrics.models import Finding
from plans.library import Need, Situation, Suggestion, causes_by_effect, dose_to_fields, rank, suggest
from plans.models import FollowUp, InterventionVersion, Prescription, PrescriptionReason, Response, WorkTick
from plans.responding.values import ResponseWord
from plans.selectors.situation import situation_of
from plans.services.follow_ups import close_follow_up, continue_follow_up
from plans.services.prescribing import Order, Reason, give_work
from plans.services.responses import rebuild_responses
from sessions.models import CaptureSession, Method

SESSIONS_SINCE = 3
"""At least so many thrown sessions stand after the one that raised the flag; the second of them is the follow-up."""
FEWEST_DAYS = 14
EVERY_THIRD = 3
LATE_DAYS = 60
"""Of so many follow-ups one is left for whoever tries the program to decide, where it is not later than that."""
NEXT_LOOK = dt.timedelta(weeks=3)
Zone = Finding.Zone
TICKED = (1, 2, 4, 5, 7, 8)
"""Days before today on which the athlete with an account ticked."""


def plan_for_athletes(today: dt.date) -> None:
    """Safe to run again: whoever has a plan is left alone."""
    coach = User.objects.get(username="coach")
    planned = set(Prescription.everything.values_list("athlete", flat=True))
    for place, athlete in enumerate(Athlete.objects.exclude(pk__in=planned).order_by("pk")):
        follow_up = _give_then(athlete, coach)
        if follow_up is not None and (place % EVERY_THIRD or (today - follow_up.due).days > LATE_DAYS):
            _decide(follow_up, coach, today)
        if athlete.account_id:
            _give_today(athlete, coach, today)


def _thrown(athlete: Athlete) -> list[CaptureSession]:
    """By the method of the newest one, oldest first."""
    rows = CaptureSession.objects.filter(athlete=athlete, scoring__isnull=False).exclude(method=Method.HANDS_ON)
    sessions = list(rows.order_by("date", "ordinal"))
    return [one for one in sessions if one.method == sessions[-1].method]


def _give_then(athlete: Athlete, coach: User) -> FollowUp | None:
    sessions = _thrown(athlete)
    for session, again in reversed(list(zip(sessions[:-SESSIONS_SINCE], sessions[2:], strict=False))):
        start = session.date + dt.timedelta(days=2)
        then = Situation(age_years=age_on(athlete.birth_date, session.date).years)
        chosen = _suggested(session, (Zone.FLAG,), then)
        if chosen is not None and (again.date - start).days >= FEWEST_DAYS:
            return _written_then(athlete, session, chosen, (start, again.date), coach)
    return None


def _written_then(
    athlete: Athlete, session: CaptureSession, chosen: Suggestion, days: tuple[dt.date, dt.date], coach: User
) -> FollowUp:
    start, due = days
    zone = zoneinfo.ZoneInfo(Facility.current().time_zone)
    written_at = dt.datetime.combine(session.date, dt.time(17), zone)
    row = Prescription.objects.create(
        athlete=athlete,
        version=_version(chosen),
        dose=dose_to_fields(chosen.dose),
        start=start,
        written_at=written_at,
        written_by=coach,
        is_shown=bool(athlete.account_id),
    )
    for place, need in enumerate(dict.fromkeys(answer.need for answer in chosen.answers)):
        PrescriptionReason.objects.create(
            prescription=row, place=place, metric=need.metric, direction=need.direction, session=session
        )
    follow_up = FollowUp.objects.create(prescription=row, begins=start, due=due, changed_at=written_at)
    rebuild_responses([athlete.pk])
    return follow_up


def _suggested(session: CaptureSession, zones: Sequence[str], now: Situation) -> Suggestion | None:
    """The first work for what was heaviest in the session, as the program says it for somebody in this situation."""
    off = Finding.objects.filter(session=session, is_family_head=True, zone__in=zones)
    off = off.exclude(sure=Finding.Sure.CANT_TELL).order_by("-priority")[:3]
    library = [one.value for one in InterventionVersion.objects.order_by("intervention", "-number")]
    version = versions_in_force([session.date]).get(session.date)
    causes = causes_by_effect(links_of(version)) if version else {}
    ranked = rank(suggest(library, [Need(one.metric, one.side) for one in off], now, causes=causes).offered)
    works = (one.suggestion for one in ranked if one.suggestion.dose.minutes)
    return next(works, None)


def _version(chosen: Suggestion) -> InterventionVersion:
    return InterventionVersion.objects.filter(intervention__key=chosen.key).latest("number")


def _decide(follow_up: FollowUp, coach: User, today: dt.date) -> None:
    """Closed where it got better; else the work goes on for some weeks."""
    response = Response.objects.filter(follow_up=follow_up).first()
    if response is None or not response.word:
        return
    if response.word == ResponseWord.BETTER:
        close_follow_up(follow_up=follow_up, seen=0, by=coach, note="Cleared. Keep the last set as a warm-up.")
    else:
        continue_follow_up(follow_up=follow_up, seen=0, due=today + NEXT_LOOK, by=coach, note="Once more, slower.")


def _give_today(athlete: Athlete, coach: User, today: dt.date) -> None:
    """Something that the family reads now, with some days ticked."""
    sessions: Sequence[CaptureSession] = _thrown(athlete)
    rows = Prescription.objects.open().filter(athlete=athlete)
    running = rows.values_list("version__intervention__key", flat=True)
    now = situation_of(athlete, today, running=running)
    chosen = _suggested(sessions[-1], (Zone.FLAG, Zone.WATCH), now) if sessions else None
    if chosen is None:
        return
    needs = dict.fromkeys(answer.need for answer in chosen.answers)
    weeks = dt.timedelta(weeks=chosen.intervention.recheck_weeks[1])
    start = today - dt.timedelta(days=max(TICKED))
    row = give_work(
        athlete=athlete,
        version=_version(chosen),
        order=Order(chosen.dose, start, today + weeks, "Before you throw, not after.", is_shown=True),
        reasons=[Reason(need.metric, need.direction, sessions[-1]) for need in needs],
        by=coach,
    )
    zone = zoneinfo.ZoneInfo(Facility.current().time_zone)
    for days in TICKED:
        day = today - dt.timedelta(days=days)
        at = dt.datetime.combine(day, dt.time(19), zone)
        WorkTick.objects.create(prescription=row, date=day, ticked_at=at, ticked_by=athlete.account)
