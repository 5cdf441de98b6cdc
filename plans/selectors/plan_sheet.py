"""What the plan sheet says of an athlete: the work of a family's fridge door."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

from athletes.facts import stopped_on
from athletes.models import Athlete, Facility, User
from athletes.policy import Action, role_may
from metrics.models import Share
from plans.library import Dose
from plans.models import Prescription
from plans.selectors.todays_work import planned_days
from plans.selectors.work import OpenWork, next_look, open_work, with_open_follow_up
from plans.sheets import PlanSheet, SheetWork
from plans.sheets.values import A4, US_LETTER

MOST_WORKS = 6
"""More than a page, or a week, has room for. House opinion."""
STOPPED = "Throwing and loaded work are stopped."
HELD = "Held: do not do this now. Ask the coach."
"""For readers who learn that somebody is stopped, and not why."""


def plan_sheet(
    athlete: Athlete, reader: User, facility: Facility, on: dt.date, *, everything: bool = False
) -> PlanSheet:
    """Work that the family reads; with `everything`, for readers of the plan, all that is open.

    `athlete` best loaded with_facts().
    """
    rows = with_open_follow_up(Prescription.objects.open().visible_to(reader).filter(athlete=athlete))
    if not (everything and role_may(reader, Action.SEE_PLAN)):
        rows = rows.filter(is_shown=True)
    works = open_work(athlete, on, rows=rows.order_by("start", "pk"))
    printed, knows_why = works[:MOST_WORKS], role_may(reader, Action.REPORT_PAIN)
    return PlanSheet(
        paper=paper_of(facility),
        given_name=athlete.given_name,
        facility=facility.name,
        printed_on=on,
        stop=_stop(athlete, on, knows_why),
        works=tuple(_sheet_work(one, knows_why) for one in printed),
        left_out=len(works) - len(printed),
        unshown=sum(not one.is_shown for one in printed),
        next_look=next_look(_look_days(athlete, reader, works), on),
    )


def paper_of(facility: Facility) -> str:
    """What the printers of the house hold: letter where one measures in feet, A4 elsewhere."""
    return US_LETTER if facility.units == "us" else A4


def _look_days(athlete: Athlete, reader: User, works: Collection[OpenWork]) -> list[dt.date]:
    """Those of the progress page, so that both say one day: of the work, and what was told with the newest share."""
    if not works:
        return []
    shared = Share.objects.visible_to(reader).filter(athlete=athlete).values_list("look_again_on", flat=True)[:1]
    return [day for day in (*(one.follow_up_due for one in works), *shared) if day]


def _stop(athlete: Athlete, on: dt.date, knows_why: bool) -> str:
    """Where it hurts stands on no sheet: it hangs where visitors pass."""
    stopped = stopped_on(athlete, on)
    if stopped is None:
        return ""
    if not knows_why:
        return STOPPED
    return stopped.note if stopped.is_pain else " ".join(filter(None, (stopped.headline, stopped.note)))


def _sheet_work(work: OpenWork, knows_why: bool) -> SheetWork:
    return SheetWork(
        name=work.name,
        dose=work.dose_words,
        supervision=work.supervision_words,
        minutes=_minutes(work.dose),
        starts=_starts(work),
        instructions=work.instructions,
        cautions=work.cautions,
        note=work.prescription.note,
        held=work.held if knows_why or not work.held else HELD,
        days=planned_days(work.prescription.version.value, work.dose),
        is_once=work.kind == "referral",
    )


def _minutes(dose: Dose) -> str:
    """How long it takes, where the dose does not say it already."""
    return f"about {dose.minutes} min" if dose.minutes and not dose.work_minutes else ""


def _starts(work: OpenWork) -> str:
    start = work.prescription.start
    return f"from {start:%A} {start.day} {start:%B}" if work.is_ahead else ""
