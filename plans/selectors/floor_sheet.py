"""What the floor sheet says of an athlete: everything that a coach looks at beside the mound, on one page."""

from __future__ import annotations

import datetime as dt

from athletes.facts import AthleteHeader, header_of, stopped_on
from athletes.models import Athlete, Facility, User
from athletes.quantities import format_height, format_mass
from metrics.selectors.trends.rows import cues_of
from plans.models import Prescription
from plans.selectors.answered import with_reasons
from plans.selectors.floor_points import floor_points, thens
from plans.selectors.needs import needs_of
from plans.selectors.plan_sheet import paper_of
from plans.selectors.throws import thrown_days
from plans.selectors.work import OpenWork, open_work, with_open_follow_up
from plans.sheets import FloorSheet, FloorWork
from plans.throwing_load import load_guideline, load_words, opening_on
from plans.throwing_load.rest import DAYS_BACK
from plans.throwing_load.values import ONE_DAY

MOST_WORKS = 8
MOST_CUES = 5


def floor_sheet(athlete: Athlete, reader: User, facility: Facility, on: dt.date, system: str) -> FloorSheet:
    """For readers of the plan. `athlete` loaded with_facts(); `system`: the units of its numbers."""
    header = header_of(athlete, on)
    rows = with_open_follow_up(with_reasons(Prescription.objects.open().visible_to(reader).filter(athlete=athlete)))
    prescriptions = list(rows.order_by("start", "pk"))
    works = open_work(athlete, on, rows=prescriptions)
    needs = needs_of(athlete)
    points, points_note = floor_points(athlete, needs, system)
    state, state_note = _state(header)
    return FloorSheet(
        paper=paper_of(facility),
        name=athlete.name,
        facility=facility.name,
        printed_on=on,
        facts=_facts(header, system),
        state=state,
        state_note=state_note,
        points=points,
        points_note=points_note,
        cues=tuple(cue.text for cue in cues_of(athlete, reader)[-MOST_CUES:][::-1]),
        works=tuple(_floor_work(one) for one in works[:MOST_WORKS]),
        left_out=max(0, len(works) - MOST_WORKS),
        changes=thens(athlete, prescriptions, system),
        throwing=_throwing(athlete, reader, facility, on),
    )


def _facts(header: AthleteHeader, system: str) -> tuple[str, ...]:
    sizes = [
        format_height(header.height.value, system) if header.height else "height not measured",
        format_mass(header.mass.value, system) if header.mass else "mass not measured",
    ]
    return (header.age.words, f"throws {header.throws}", *sizes, f"level {header.level_word}")


def _state(header: AthleteHeader) -> tuple[str, str]:
    """Pain or a stop, else the availability; what growing fast asks for beside it."""
    growing = "Growing fast: no drills with throws, no hard landings." if header.growing_fast else ""
    if header.stopped:
        return header.stopped.headline, " ".join(part for part in (header.stopped.note, growing) if part)
    until = header.availability.until
    words = f"Availability: {header.availability.words}" + (f", to {until.day} {until:%B}" if until else "")
    return words, growing


def _throwing(athlete: Athlete, reader: User, facility: Facility, on: dt.date) -> tuple[str, ...]:
    """The sentence of the youth guideline and what wins over it; nothing where no day of the last weeks is known."""
    days = thrown_days(athlete, reader, on - DAYS_BACK * ONE_DAY, on)
    if all(day.is_unknown for day in days):
        return ()
    guideline = load_guideline()
    opening = opening_on(days, athlete.birth_date, guideline)
    is_stopped = stopped_on(athlete, on) is not None
    words = load_words(opening, guideline, facility.local_pitch_rules, is_stopped=is_stopped)
    return (words.main, *words.precedence)


def _floor_work(work: OpenWork) -> FloorWork:
    return FloorWork(
        name=work.name,
        dose=work.dose_words,
        supervision=work.supervision_words,
        cautions=work.cautions,
        note=work.prescription.note,
        held=work.held,
    )
